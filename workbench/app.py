"""The one place where the parts of the window are put together."""

from __future__ import annotations

import logging
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from workbench.core.batch.plan import Plan
    from workbench.core.batch.ports import Clock
    from workbench.core.batch.rules import Rules
    from workbench.core.batch.step_words import StepTable
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.design.evaluation import Evaluation
    from workbench.core.recipe.model import Recipe
    from workbench.devices.power import Awake
    from workbench.devices.sound import Sound
    from workbench.devices.speech import Speech
    from workbench.store.preferences import Preferences as PreferencesFile
    from workbench.ui.preferences import Preferences
    from workbench.ui.project_desk import ProjectDesk
    from workbench.ui.window import MainWindow

log = logging.getLogger("balmbook")

REST_MS = (
    2_000  # for answers that are being worked out for nobody; they write nothing, and nobody sees the wait
)

# libraries that Qt loads, and the Debian package that brings each
PACKAGES = {
    "libEGL.so": "libegl1",
    "libGL.so": "libgl1",
    "libOpenGL.so": "libopengl0",
    "libxkbcommon-x11.so": "libxkbcommon-x11-0",
    "libxkbcommon.so": "libxkbcommon0",
    "libdbus-1.so": "libdbus-1-3",
    "libfontconfig.so": "libfontconfig1",
    "libxcb-cursor.so": "libxcb-cursor0",
    "libpulse.so": "libpulse0",
    "libglib-2.0.so": "libglib2.0-0",
}


def run_window(path: Path | None, argv: Sequence[str]) -> int:
    """Open the window, on a project or an exported file if one is named; the exit code.

    Raises `Trouble` where Qt cannot be loaded or must not be used.
    """
    try:
        from PySide6 import QtWidgets as _  # noqa: F401 (to see whether it can be loaded at all)
    except ImportError as error:
        raise Trouble(missing_library(str(error))) from error
    if bindings_lose_none():
        raise Trouble(
            say(
                "This pair of Python and PySide6 ends the program within minutes (PySide6 6.12 on Python 3.11 loses references). Install PySide6 6.11.3, or use Python 3.12 or newer."
            )
        )
    from PySide6.QtCore import QTimer

    from workbench.ui.faults import FaultHook, FaultPost

    hook = FaultHook()
    hook.install()
    app = make_application(argv)
    hook.keep_log(own_folder())
    kept = preferences_file()
    dress(app, kept)
    speak(app, kept)
    window = make_window()
    post = FaultPost(window)
    post.told.connect(window.tell_fault)
    hook.listener = post.hear
    window.show()
    if path is not None:
        window.open_path(path)
    QTimer.singleShot(0, window, lambda: move_in(window, kept))  # the window is on the screen first
    code = app.exec()
    hook.listener = None
    all_kept = window.house is None or see_out(window.house.desk)
    if not (come_to_rest() and all_kept):
        end_at_once(code)
    return code


def see_out(desk: ProjectDesk) -> bool:
    """Wait for what is still being written, and say so where that takes time; whether all of it is done."""
    from workbench.ui.keeping.farewell import Farewell

    return Farewell(desk.at_work).wait()


def come_to_rest() -> bool:
    """Nobody waits for an answer any more; a thread of the pool that outlived the interpreter would end it badly.

    False where one of them takes too long: Qt and Python would both wait for it
    without a limit, so the program has to `end_at_once`.
    """
    from PySide6.QtCore import QThreadPool

    pool = QThreadPool.globalInstance()
    pool.clear()
    return pool.waitForDone(REST_MS)


def end_at_once(code: int) -> NoReturn:
    """End the process without the threads that do not come back; files are as after a power cut, at worst."""
    log.warning("the program ended without waiting any longer for what it had begun")
    logging.shutdown()
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError, AttributeError):
            stream.flush()
    os._exit(code)


def bindings_lose_none() -> bool:
    """Whether each void Qt call loses a reference to None, as PySide6 6.12 does on CPython 3.11.

    Such a process dies after some thousand calls, in the middle of a batch.
    """
    from PySide6.QtCore import QTimer

    timer, before = QTimer(), sys.getrefcount(None)
    for _ in range(200):
        timer.setSingleShot(True)
    return before - sys.getrefcount(None) > 100


def missing_library(error: str) -> str:
    """One sentence that names the package to install, from the text of an ImportError."""
    for library, package in PACKAGES.items():
        if library in error:
            return say(
                "The window needs the system package {package}. Install it, for example with: sudo apt-get install {package}",
                package=package,
            )
    return say("The window cannot be opened, because Qt could not be loaded ({error}).", error=error)


def make_application(argv: Sequence[str]) -> QApplication:
    """The QApplication with its name and fonts, and the sweeping of what Python leaves lying about."""
    from PySide6.QtWidgets import QApplication

    from workbench.ui import theme
    from workbench.ui.sweeping import Sweeping

    app = QApplication(list(argv))
    app.setApplicationName("balmbook")
    app.setApplicationDisplayName("Balmbook")
    app.setDesktopFileName("balmbook")
    Sweeping(app)
    for name in theme.load_fonts(_resources() / "fonts"):
        log.warning("the font %s could not be loaded", name)
    return app


def _resources() -> Path:
    """The folder of resources without reading a table, which would bring half the program."""
    package = Path(__file__).resolve().parent
    inside = package / "resources"
    return inside if inside.is_dir() else package.parent / "resources"


def own_folder() -> Path:
    """Where the program keeps what it needs itself on this computer; `make_application` has given it its name."""
    from PySide6.QtCore import QStandardPaths

    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation))


def preferences_file() -> PreferencesFile[Preferences]:
    """The user's preferences from their place on this computer; `trouble` says what was wrong with them."""
    from PySide6.QtCore import QStandardPaths

    from workbench.store.preferences import Preferences as PreferencesFile
    from workbench.ui.preferences import FILE_NAME, Preferences

    config = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppConfigLocation))
    return PreferencesFile(config / FILE_NAME, Preferences, now())


def dress(app: QApplication, kept: PreferencesFile[Preferences]) -> None:
    from workbench.ui import theme

    theme.apply(app, theme.of_scheme(kept.value.scheme, kept.value.text_percent))


def speak(app: QApplication, kept: PreferencesFile[Preferences]) -> None:
    """Install the language before the first word is shown; what is not translated stays English."""
    from workbench.ui.language import book_for

    book, wrong = book_for(kept.value.language, _resources() / "i18n")
    if wrong:
        log.warning("a translation could not be read: %s", wrong)
    book.setParent(app)
    app.installTranslator(book)


def make_window() -> MainWindow:
    """The frame of the window, with nothing behind it yet."""
    from PySide6.QtCore import QStandardPaths

    from workbench.ui.window import MainWindow, Places, samples_in

    documents = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation))
    samples = tuple(samples_in(_resources().parent / "sample_projects"))
    return MainWindow(Places(documents / "Balmbook", samples))


def move_in(window: MainWindow, kept: PreferencesFile[Preferences]) -> None:
    """Furnish the window; what is wanted later is loaded while nothing happens."""
    furnish(window, kept)
    house = window.house
    if house is not None:
        house.past.warm_up(lambda: house.batches.running)


def furnish(window: MainWindow, kept: PreferencesFile[Preferences]) -> None:
    """Read the tables and put everything together; nothing is looked up later."""
    from workbench.store.resources import load_catalogue, load_starter_shelf
    from workbench.store.untold import Untold
    from workbench.ui.batch_kit import BatchKit
    from workbench.ui.context import Context
    from workbench.ui.house import House
    from workbench.ui.project_desk import ProjectDesk

    try:
        tables, starter = load_catalogue(), load_starter_shelf()
    except Trouble as trouble:
        window.tell_trouble(trouble)
        return
    kit = BatchKit(clock=system_clock, rules=session_rules, sound=tones, speech=voice, awake=stay_awake)
    context = Context(tables, starter, kept.value, lambda: now().date())
    own = own_folder()
    desk = ProjectDesk(now, untold=Untold(own / "untold"), rescue_to=own / "rescued")
    window.furnish(House(context, desk, starter, planner, kit, kept.save))
    if kept.trouble is not None:
        window.tell_trouble(kept.trouble)


def planner(recipe: Recipe, revision: int, catalogue: Catalogue, known: Evaluation) -> Plan:
    """The steps of a batch, from what the editor knows already."""
    from workbench.core.batch.procedure import make_plan

    return make_plan(
        recipe,
        revision,
        catalogue,
        step_table(),
        weighed=known.weighed,
        temperatures=known.temperatures,
        skin=known.skin,
        today=now().date(),
    )


@cache
def step_table() -> StepTable:
    from workbench.core.batch.step_words import parse_steps
    from workbench.store.resources import resource_bytes

    return parse_steps("steps.toml", resource_bytes("steps.toml"))


def now() -> datetime:
    """Local wall time with its offset."""
    return datetime.now().astimezone()


def system_clock() -> Clock:
    from workbench.devices.clock import SystemClock

    return SystemClock()


@cache
def tones() -> Sound:
    from workbench.devices.sound import open_sound

    return open_sound(_resources() / "sounds")


@cache
def voice() -> Speech:
    from workbench.devices.speech import open_speech

    return open_speech()


def stay_awake() -> Awake:
    from workbench.devices.power import open_awake

    return open_awake()


def session_rules(catalogue: Catalogue) -> Rules:
    """What a running batch is judged by: alarms, and limits reckoned anew from what is really in the jug."""
    from workbench.core.batch.alarms import parse_alarms
    from workbench.core.batch.real_rules import rules_for
    from workbench.store.resources import resource_bytes

    return rules_for(catalogue, parse_alarms("alarms.toml", resource_bytes("alarms.toml")))
