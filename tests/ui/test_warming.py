"""What is wanted later is loaded ahead: apart from Qt in the pool, of the window in its own thread, never in a batch."""

from __future__ import annotations

import subprocess
import sys
import threading

from pytestqt.qtbot import QtBot

from workbench.ui.past_room import OF_WINDOW, PLAIN
from workbench.ui.warming import Warming


class Loads:
    def __init__(self) -> None:
        self.seen: list[tuple[str, bool]] = []  # name, whether in the thread of the window

    def __call__(self, name: str) -> None:
        self.seen.append((name, threading.current_thread() is threading.main_thread()))


def test_plain_ones_in_the_pool_and_those_of_the_window_one_at_a_time(qtbot: QtBot) -> None:
    loads = Loads()
    warming = Warming(("a", "b"), ("w", "x"), lambda: False, load=loads)
    warming.start()
    assert warming.waiting
    assert loads.seen == []  # the window comes first
    warming.look()
    qtbot.waitUntil(lambda: len(loads.seen) == 4)
    assert loads.seen == [("a", False), ("b", False), ("w", True), ("x", True)]
    assert not warming.waiting


def test_in_a_batch_nothing_is_loaded(qtbot: QtBot) -> None:
    loads, busy = Loads(), [True]
    warming = Warming(("a",), (), lambda: busy[0], load=loads)
    warming.look()
    assert warming.waiting
    assert loads.seen == []
    busy[0] = False
    warming.look()
    qtbot.waitUntil(lambda: loads.seen == [("a", False)])
    warming.stop()
    assert not warming.waiting


def test_what_is_loaded_in_the_pool_brings_no_qt() -> None:
    """And all of it is there: a name that was changed would never be loaded ahead."""
    ask = (
        "import sys; from importlib import import_module\n"
        f"for name in {PLAIN!r}: import_module(name)\n"
        "assert not [name for name in sys.modules if name.startswith('PySide6')]\n"
        f"for name in {OF_WINDOW!r}: import_module(name)\n"
        "assert 'scipy.optimize' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", ask], check=True, timeout=120)
