"""Set before any Qt import: no screen, one locale, one time zone, no scaling."""

from __future__ import annotations

import os

os.environ["QT_QPA_PLATFORM"] = os.environ.get("BALMBOOK_TEST_PLATFORM", "offscreen")
os.environ["LC_ALL"] = "C.UTF-8"
os.environ["TZ"] = "Europe/Berlin"
os.environ["QT_SCALE_FACTOR"] = os.environ.get("BALMBOOK_TEST_SCALE", "1")

from hypothesis import settings

# How long one example takes says nothing about right or wrong on a machine that does other things too.
settings.register_profile("usual", deadline=None)
settings.register_profile("thorough", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("BALMBOOK_TEST_PROFILE", "usual"))
