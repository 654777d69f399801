"""Looking back: a project with two dozen batches, and each way of reading them."""

from __future__ import annotations

from collections.abc import Callable

from tests.gallery.stage import Stage
from tests.ui.history.past import NAMES, led, retold
from workbench.core.review.faults import FaultKind, FaultSeen, FaultsSeen
from workbench.core.review.keeping import FAULT_SEEN, body_of
from workbench.testing import BEGIN, sample_recipe
from workbench.ui.history import HistoryPage

BATCHES = 24
# which of the led batches each is made after, and of which recipe; over and over
LED = (0, 1, 0, 5, 2, 1, 0, 4, 0, 3)
RECIPE = (0, 0, 1, 0, 2, 0, 0, 0, 3, 1)


def past_project(stage: Stage) -> HistoryPage:
    """Two dozen batches of five recipes; faults were recorded of two of them."""
    desk, path = stage.house.desk, stage.folder / "a-year.balmbook"
    stage.house.model.stack.setClean()
    if not path.exists():
        assert desk.create(path, stage.starter)
        project = desk.project
        assert project is not None
        for name in NAMES:
            project.save_recipe(sample_recipe().model_copy(update={"name": name}))
        for number in range(1, BATCHES + 1):
            batch = led()[LED[number % len(LED)]]
            events = retold(
                batch.events,
                days=9 * number,
                name=NAMES[RECIPE[number % len(RECIPE)]],
                code=f"B{number:02d}",
                rehearsal=number % 9 == 0,
            )
            project.append(project.new_session(), 1, events)
        for session, kind in (("s23", FaultKind.GRAIN), ("s20", FaultKind.SINK_HOLE)):
            seen = FaultsSeen(session=session, faults=(FaultSeen(kind=kind, noted=BEGIN),))
            project.save_document(FAULT_SEEN, session, body_of(seen))
        desk.show_again()
    elif desk.project is None or desk.project.path != path:
        assert desk.open(path)
    stage.house.to_history()
    stage.window.banner.hide()
    page = stage.house.history
    assert page is not None
    page.list.filters.clear()
    page.list.filters.more.setChecked(False)
    page.list.model.tick_none()
    page.list.sort_by("when", True)
    page.show_list()
    stage.settle()
    return page


def many(stage: Stage) -> None:
    page = past_project(stage)
    for row in (0, 2, 3):
        page.list.model.tick(row)


def filtered(stage: Stage) -> None:
    page = past_project(stage)
    page.list.filters.choose("recipe", NAMES[1])
    stage.settle()


def nothing_found(stage: Stage) -> None:
    page = past_project(stage)
    page.list.filters.words.setText("vetiver")
    stage.settle()


def session(key: str, number: int) -> Callable[[Stage], None]:
    """One page of one batch."""

    def put(stage: Stage) -> None:
        page = past_project(stage)
        page.open(f"s{number}")
        page.reader.go_to(key)
        stage.settle()

    return put


def fault(stage: Stage) -> None:
    session("faults", 21)(stage)
    page = stage.house.history
    assert page is not None
    page.faults.choose(FaultKind.GRAIN)
    stage.settle()


def beside(stage: Stage) -> None:
    page = past_project(stage)
    for number in (21, 23, 17, 14):
        page.list.model.tick(page.list.model.row_of(f"s{number}"))
    page.lay_side_by_side()
    stage.settle()


def trends(stage: Stage) -> None:
    page = past_project(stage)
    page.show_trends()
    page.trends.choose("recipe", NAMES[0])
    stage.settle()
