"""The way from the window to past batches: the page when it is first wanted, and what it needs of a project."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk

if TYPE_CHECKING:
    from workbench.core.batch.events import AnyEvent
    from workbench.ui.history import HistoryPage
    from workbench.ui.window import MainWindow


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
