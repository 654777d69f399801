"""The way from the window to past batches: the page when it is first wanted, and what it needs of a project."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.warming import Warming
from workbench.ui.wear_watch import WearWatch, watch_wear

if TYPE_CHECKING:
    from workbench.core.batch.events import AnyEvent
    from workbench.ui.history import HistoryPage
    from workbench.ui.window import MainWindow

PAGE = "history"
ROWS_AT_A_VISIT = 12  # summaries of an older version, built again a few at a time


# what the page of past batches brings along; by name, so that nothing is loaded before the window is up
PLAIN = (
    "workbench.store.review_tables", "workbench.core.review.next_revision", "workbench.core.review.compare",
    "workbench.core.review.trends", "workbench.core.review.wear_course", "workbench.core.review.pace",
)  # fmt: skip
OF_WINDOW = (
    "workbench.ui.history.batch_list", "workbench.ui.history.record_page", "workbench.ui.history.wear_page",
    "workbench.ui.history.side_page", "workbench.ui.history.trends_page", "workbench.ui.history.page",
)  # fmt: skip


class PastRoom(QObject):
    """print_asked(session)  a batch is wanted on paper
    revise_asked(recipe, words)  a changed recipe is wanted in the editor
    practise_asked()  make_asked()  a first batch is wanted
    """

    print_asked = Signal(str)
    revise_asked = Signal(object, str)
    practise_asked = Signal()
    make_asked = Signal()

    def __init__(self, context: Context, desk: ProjectDesk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._context, self._desk = context, desk
        self.page: HistoryPage | None = None
        self.wear: WearWatch
        self.warming: Warming | None = None
        self._called = ""  # what the line about a wear test says
        self._window: MainWindow

    def move_in(self, window: MainWindow) -> None:
        """Look at the clock for whoever wears a balm, as long as the window is open."""
        self._window = window
        self.wear = watch_wear(self._context, self._desk, self._smell_now, self)

    def show(self, session: str = "") -> None:
        """The list of past batches, or one of them to be read through."""
        project = self._desk.project
        if project is None:
            return
        page = self._page()
        try:
            if not project.read_only:
                project.renew_summaries(ROWS_AT_A_VISIT)
            page.show_entries(project.sessions())
        except Trouble as trouble:
            self._window.tell_trouble(trouble)
        if session:
            page.open(session)
        self._window.show_page(PAGE)

    def warm_up(self, busy: Callable[[], bool]) -> None:
        """Load what the page needs while nothing happens: its first opening is not to wait for that."""
        self.warming = Warming(PLAIN, OF_WINDOW, busy, self)
        self.warming.start()

    def forget(self) -> None:
        """Another project is open."""
        if self.page is not None:
            self.page.forget()

    def rewrite(self) -> None:
        """Units, look or language are others."""
        if self.page is not None:
            self.page.rewrite()

    def _page(self) -> HistoryPage:
        if self.page is None:
            self.page = past_page(self._context, self._desk, self._window)
            self.page.print_asked.connect(self.print_asked)
            self.page.revise_asked.connect(self.revise_asked)
            self.page.practise_asked.connect(self.practise_asked)
            self.page.make_asked.connect(self.make_asked)
            self.page.wear_changed.connect(self._wear_changed)
            self._window.add_page(PAGE, self.page)
        return self.page

    def _smell_now(self, words: str, session: str) -> bool:
        """A wear test is due: a quiet line, unless something that waits for an answer stands there."""
        banner = self._window.banner
        if banner.isVisible():
            return False
        self._called = words
        banner.tell(words, (self.tr("Mark it"), lambda: self._to_wear(session)), trouble=False)
        return True

    def _wear_changed(self) -> None:
        """Who has just marked need not be called to it any more."""
        banner = self._window.banner
        if self._called and banner.words.text() == self._called:
            banner.hide()
        self.wear.look_again()

    def _to_wear(self, session: str) -> None:
        self.show(session)
        if self.page is not None:
            self.page.reader.go_to("wear")


def past_page(context: Context, desk: ProjectDesk, window: MainWindow) -> HistoryPage:
    """Built when it is first wanted: it brings the curves and the tables of faults."""
    from workbench.core.batch.alarms import parse_alarms
    from workbench.store.resources import resource_bytes
    from workbench.store.review_tables import load_faults
    from workbench.ui.history import HistoryPage, PastPorts
    from workbench.ui.history.port import ShelvedOfProject

    def events(session: str) -> tuple[AnyEvent, ...]:
        return desk.project.events(session) if desk.project is not None else ()

    def folder() -> Path:
        return window.places.projects if desk.project is None else desk.project.path.parent

    def newest_revision(name: str) -> int | None:
        entry = desk.recipe(name)
        return None if entry is None else entry.revision

    alarms = parse_alarms("alarms.toml", resource_bytes("alarms.toml"))
    page = HistoryPage(
        context,
        PastPorts(
            events,
            load_faults(),
            ShelvedOfProject(lambda: desk.project, window.tell_trouble),
            folder,
            desk.aside,
            newest_revision=newest_revision,
            alarm_titles={each.key: each.title for each in alarms},
        ),
    )
    page.troubled.connect(window.tell_trouble)
    page.told.connect(lambda words: window.banner.tell(words, trouble=False))
    return page
