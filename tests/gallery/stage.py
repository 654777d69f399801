"""The whole window with everything behind it, on virtual time, to be put into any scene."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, QLocale, QPoint, QRect, QThreadPool
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from tests.gallery.pairs import Look, Place
from workbench import app as wiring
from workbench.core.batch.commands import Command, Start
from workbench.core.batch.plan import Plan
from workbench.core.recipe.model import Recipe
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.store.resources import load_catalogue, load_starter_shelf, resources_folder
from workbench.testing import Maker, MemoryJournal, VirtualClock, sample_rules
from workbench.ui import theme
from workbench.ui.batch_kit import BatchKit
from workbench.ui.bench import BatchPage, BenchKit
from workbench.ui.context import Context
from workbench.ui.house import House
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.window import MainWindow, Places, samples_in

if TYPE_CHECKING:
    from workbench.ui.bench import BenchView, SessionRunner

NOW = datetime(2026, 3, 14, 9, 0, tzinfo=timezone(timedelta(hours=1)))
SAMPLES = samples_in(Path(__file__).resolve().parents[2] / "sample_projects")


def dressed_application() -> QApplication:
    """The application with the fonts that come with the program."""
    QLocale.setDefault(QLocale("en_GB"))
    held = QApplication.instance()
    made = held if isinstance(held, QApplication) else QApplication(["balmbook"])
    if made.property("theme") is None:
        theme.load_fonts(resources_folder() / "fonts")
        theme.apply(made, theme.Theme())
    return made


class Stage:
    """One window; `folder` takes the project files."""

    def __init__(self, folder: Path, samples: bool = True) -> None:
        self.app, self.folder = dressed_application(), folder
        self.clock = VirtualClock(NOW)
        kit = BatchKit(lambda: self.clock, wiring.session_rules, SilentSound, SilentSpeech, NoAwake)
        starter = load_starter_shelf()
        context = Context(load_catalogue(), starter, Preferences(), lambda: date(2026, 8, 15), ScriptedAsk())
        self.starter = starter
        self.window = MainWindow(Places(folder, tuple(SAMPLES) if samples else ()))
        self.house = House(context, ProjectDesk(lambda: NOW), starter, wiring.planner, kit)
        self.window.furnish(self.house)
        self.window.show()
        self.batch: BatchPage | None = None

    # what is open

    def kitchen(self, recipe: Recipe) -> None:
        """A project of one's own with this recipe in the editor."""
        self.project(None)
        self.house.model.stack.setClean()
        self.house.model.open(recipe)
        self.house.batches.plan()
        self.house.model.finish_jobs()
        self.house.to_recipe()
        self.settle()

    def project(self, sample: str | None) -> None:
        """Open a copy of a sample project, or the empty one."""
        desk, house = self.house.desk, self.house
        house.model.stack.setClean()
        name = sample or "kitchen"
        path = self.folder / f"{name}.balmbook"
        if desk.project is not None and desk.project.path == path:
            return
        if sample is not None:
            source = next(path for path in SAMPLES if path.stem == sample)
            assert desk.copy_of(source, path)
        elif path.exists():
            assert desk.open(path)
        else:
            assert desk.create(path, self.starter)
        self.window.banner.hide()
        self.settle()

    def card(self, key: str) -> None:
        """One of the pages that follow from a recipe."""
        self.house.to_recipe()
        self.house.workplace.answers.cards.choose(key)
        self.house.workplace._show_answers()  # in front where there is room for one page only
        self.settle()

    # a batch

    def begin(self, plan: Plan) -> None:
        """A batch that has just been started."""
        self.look_round(plan)
        assert self.batch is not None
        self.batch._start(Start(plan, maker="M"))
        self.settle()

    def look_round(self, plan: Plan) -> None:
        self.bench_page().prepare(plan)
        self.settle()

    def bench_page(self) -> BatchPage:
        """An empty bench in the window, with a journal in memory."""
        self.clear_bench()
        if self.house.desk.project is None:
            self.project(None)
        self.clock = VirtualClock(NOW)
        kit = BenchKit(MemoryJournal(), self.clock, sample_rules(), lambda: "batch-1")
        self.batch = BatchPage(self.house.context, kit)
        self.window.add_page("batch", self.batch)
        self.batch.bare.connect(self.window.set_bare)
        self.window.strip.ways["batch"].show()
        self.window.show_page("batch")
        return self.batch

    def clear_bench(self) -> None:
        for sheet in self.window.findChildren(QDialog):
            sheet.reject()
        if self.batch is not None:
            self.batch.close_batch()
            self.batch = None
            self.window.set_bare(False)
            self.window.drop_page("batch")
            self.window.strip.ways["batch"].hide()
            self.settle()

    @property
    def runner(self) -> SessionRunner:
        assert self.batch is not None
        assert self.batch.runner is not None
        return self.batch.runner

    @property
    def view(self) -> BenchView:
        assert self.batch is not None
        assert self.batch.view is not None
        return self.batch.view

    @property
    def maker(self) -> Maker:
        return Maker(self.runner.conductor, self.clock)

    def behind(self, work: object) -> None:
        """Walk behind the scenes; the view looks once, afterwards."""
        assert callable(work)
        self.runner.blockSignals(True)
        work()
        self.runner.blockSignals(False)
        self.view.show_state()
        self.settle()

    def send(self, command: Command) -> None:
        refused = self.runner.send(command)
        assert refused is None, refused
        self.settle()

    # how it looks

    def put_on(self, look: Look) -> None:
        """Colours, text size and window of one look."""
        # as a maker chooses it, so that the window keeps to it whatever it opens
        self.house.set_preferences({"scheme": look.scheme, "text_percent": look.text_percent})
        wanted = theme.Theme(look.scheme, look.text_percent)
        if theme.theme_now() != wanted:  # dressed by another test
            theme.apply(self.app, wanted)
        view = self.batch.view if self.batch is not None else None
        if view is not None:
            far = look.place is Place.BENCH
            if far:
                view.far.set_size(look.text_percent, None)
            view.show_far(far)
            self.settle()  # the page that was in front before asks for no room any more
        self.window.resize(*look.place.size)
        self.settle()
        if view is not None:
            view.near.show_field()  # the scene was put up behind the back of the view
        self.settle()

    def picture(self) -> QImage:
        """The window, with the sheet that lies over it in its middle."""
        image = self.window.grab().toImage()
        painter = QPainter(image)
        for sheet in self.window.findChildren(QDialog):
            if sheet.isVisible():
                at = QPoint(*self._middle_of(sheet))
                painter.drawPixmap(at, sheet.grab())
                painter.setPen(theme.theme_now().colours.edge)
                painter.drawRect(QRect(at, sheet.size()))  # as a desktop frames it
        painter.end()
        return image

    def _middle_of(self, sheet: QDialog) -> tuple[int, int]:
        room = self.window.size() - sheet.size()
        return room.width() // 2, room.height() // 2

    def settle(self) -> None:
        """Queued signals, background work and layouts come to rest."""
        for _ in range(2):
            self.app.processEvents()
            QThreadPool.globalInstance().waitForDone(8000)
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
        self.app.processEvents()

    def shown(self) -> list[QWidget]:
        """Every widget that can be seen now."""
        return [widget for widget in self.window.findChildren(QWidget) if widget.isVisible()]

    def close(self) -> None:
        self.clear_bench()
        self.house.model.stack.setClean()
        self.window.close()
        self.settle()
        self.window.deleteLater()
        self.settle()
