"""The way from the window to paper: menu entries, the page when it is first wanted, and what it needs."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk

if TYPE_CHECKING:
    from workbench.core.batch.plan import Plan
    from workbench.paper.press import Press
    from workbench.ui.paper.page import PaperPage
    from workbench.ui.window import MainWindow

PAGE = "paper"


@lru_cache(maxsize=1)
def shipped_press() -> Press:
    """The typefaces and languages that come with the program.  Raises `Trouble`."""
    from workbench.paper.press import open_press
    from workbench.store.resources import resource_bytes, resources_folder

    return open_press(resources_folder() / "fonts", resource_bytes)


class PaperRoom(QObject):
    """`plan` answers with the plan of the recipe as it stands, or None."""

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        plan: Callable[[], Plan | None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._desk, self._plan = context, desk, plan
        self.page: PaperPage | None = None
        self._window: MainWindow
        desk.parting.connect(self._part)

    def _part(self) -> None:
        if self.page is not None:
            self.page.let_go()

    def move_in(self, window: MainWindow) -> None:
        """The entries of the batch menu."""
        self._window = window
        menu = window.batch_menu
        menu.addSeparator()
        window.act(menu, self.tr("Labels for the tins …"), self.labels, "Ctrl+P")
        window.act(menu, self.tr("Gift card …"), self.card)
        window.act(menu, self.tr("Batch sheet …"), self.sheet)

    def labels(self) -> None:
        self._open("labels")

    def card(self) -> None:
        self._open("card")

    def sheet(self) -> None:
        self._open("sheet")

    def of_session(self, session: str) -> None:
        """Everything about one batch that can be printed."""
        self._open("labels", session)

    def _open(self, what: str, session: str = "") -> None:
        project = self._desk.project
        if project is None:
            return
        from workbench.ui.paper.kept import PaperOfProject
        from workbench.ui.paper.works import What

        page = self._page()
        page.open(PaperOfProject(project), session, What(what))
        self._window.show_page(PAGE)

    def _page(self) -> PaperPage:
        if self.page is None:
            from workbench.core.batch.alarms import parse_alarms
            from workbench.store.resources import resource_bytes
            from workbench.ui.paper.page import PaperPage
            from workbench.ui.paper.printing import QtPrinting
            from workbench.ui.paper.works import PaperWorks

            alarms = parse_alarms("alarms.toml", resource_bytes("alarms.toml"))
            works = PaperWorks(self._context, shipped_press, {each.key: each.title for each in alarms})
            project = self._desk.project
            folder = self._window.places.projects if project is None else project.path.parent
            self.page = PaperPage(self._context, works, self._plan, QtPrinting(self._window), folder)
            self.page.told.connect(self._told)
            self._window.add_page(PAGE, self.page)
        return self.page

    def _told(self, text: str, trouble: bool) -> None:
        self._window.banner.tell(text, trouble=trouble)
