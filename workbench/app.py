"""The one place where the parts of the window are put together."""

from __future__ import annotations

import logging
import sys
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from workbench.core.batch.alarms import AlarmDefinition
    from workbench.core.batch.rules import Rules
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.ui.window import MainWindow

log = logging.getLogger("balmbook")

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
    install_hook()
    app = make_application(argv)
    window = build_window()
    window.show()
    if path is not None:
        from PySide6.QtCore import QTimer

        QTimer.singleShot(0, window, lambda: window.open_path(path))
    return app.exec()


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


def install_hook() -> None:
    """Log every error of ours before there is an application; a slot that fails must not pass in silence."""
    before = sys.excepthook

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        log.error("a fault in the program", exc_info=(kind, error, trace))
        before(kind, error, trace)

    sys.excepthook = hook


def make_application(argv: Sequence[str]) -> QApplication:
    """The QApplication with its name, fonts and a first look."""
    from PySide6.QtWidgets import QApplication

    from workbench.store.resources import resources_folder
    from workbench.ui import theme

    app = QApplication(list(argv))
    app.setApplicationName("balmbook")
    app.setApplicationDisplayName("Balmbook")
    app.setDesktopFileName("balmbook")
    for name in theme.load_fonts(resources_folder() / "fonts"):
        log.warning("the font %s could not be loaded", name)
    return app


def session_rules(catalogue: Catalogue, alarms: tuple[AlarmDefinition, ...]) -> Rules:
    """What a running batch is judged by: alarms, and limits reckoned anew from what is really in the jug."""
    from workbench.core.batch.plan import Plan, PlannedSkin, PlannedTemperatures
    from workbench.core.batch.procedure import planned_skin, planned_temperatures
    from workbench.core.batch.rules import Rules
    from workbench.core.heat.temperatures import reckon
    from workbench.core.recipe.composition import Composition, expand
    from workbench.core.skin.assess import assess

    def temperatures(plan: Plan, made: Composition) -> PlannedTemperatures:
        scent = {line.material for line in plan.lines if line.where == "scent"}
        base = made.only(part.material for part in made.portions if part.material not in scent)
        recipe = plan.recipe
        return planned_temperatures(
            reckon(
                expand(base, catalogue.materials),
                made.only(scent),
                catalogue,
                margin_k=recipe.flash_margin_k,
                observed_set_point_c=recipe.observed_set_point_c,
                paper_flash_c=recipe.blend_flash_on_paper_c,
            )
        )

    def skin(plan: Plan, made: Composition) -> PlannedSkin:
        return planned_skin(assess(made, catalogue, plan.recipe.uses, plan.recipe.place))

    return Rules(alarms=alarms, reckon=temperatures, judge_skin=skin)


def build_window() -> MainWindow:
    """Wire tables, preferences, project desk and window; nothing is looked up later."""
    from datetime import datetime

    from PySide6.QtCore import QStandardPaths
    from PySide6.QtWidgets import QApplication

    from workbench.core.batch.alarms import parse_alarms
    from workbench.core.batch.plan import Plan
    from workbench.core.batch.procedure import make_plan
    from workbench.core.batch.step_words import parse_steps
    from workbench.core.design.evaluation import Evaluation
    from workbench.core.recipe.model import Recipe
    from workbench.devices.clock import SystemClock
    from workbench.devices.power import open_awake
    from workbench.devices.sound import open_sound
    from workbench.devices.speech import open_speech
    from workbench.store.preferences import Preferences as PreferencesFile
    from workbench.store.resources import load_catalogue, load_starter_shelf, resource_bytes, resources_folder
    from workbench.ui import theme
    from workbench.ui.batch_room import BatchKit
    from workbench.ui.context import Context
    from workbench.ui.preferences import FILE_NAME, Preferences
    from workbench.ui.project_desk import ProjectDesk
    from workbench.ui.window import MainWindow, Places, samples_in

    def now() -> datetime:
        return datetime.now().astimezone()

    place = QStandardPaths.StandardLocation
    config = Path(QStandardPaths.writableLocation(place.AppConfigLocation))
    documents = Path(QStandardPaths.writableLocation(place.DocumentsLocation))
    kept = PreferencesFile(config / FILE_NAME, Preferences, now())
    preferences = kept.value
    app = QApplication.instance()
    if isinstance(app, QApplication):
        theme.apply(app, theme.of_scheme(preferences.scheme, preferences.text_percent))
    steps = parse_steps("steps.toml", resource_bytes("steps.toml"))
    alarms = parse_alarms("alarms.toml", resource_bytes("alarms.toml"))

    def planner(recipe: Recipe, revision: int, catalogue: Catalogue, known: Evaluation) -> Plan:
        return make_plan(
            recipe, revision, catalogue, steps, weighed=known.weighed, temperatures=known.temperatures,
            skin=known.skin, today=now().date(),
        )  # fmt: skip

    kit = BatchKit(
        clock=SystemClock(),
        rules=lambda catalogue: session_rules(catalogue, alarms),
        sound=lambda: open_sound(resources_folder() / "sounds"),
        speech=open_speech,
        awake=open_awake,
    )
    starter = load_starter_shelf()
    context = Context(load_catalogue(), starter, preferences, lambda: now().date())
    samples = tuple(samples_in(resources_folder().parent / "sample_projects"))
    window = MainWindow(
        context,
        ProjectDesk(now),
        Places(documents / "Balmbook", samples),
        starter,
        planner,
        kit,
        keep_preferences=kept.save,
    )
    if kept.trouble is not None:
        window.tell_trouble(kept.trouble)
    return window
