"""How long looking back takes over 2,000 batches, beside plain SQL and lists on the same rows.

    python -m tests.benchmarks.review_speed [--small] [--processor]

Every list and chart has to be there, painted, within 300 ms, and the list has
to follow each typed letter within 50 ms.  The yardstick does the least that
would answer the same question with sqlite3, json and lists, and draws nothing.
Medians; what is imported when past batches are first opened is timed apart.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication, QWidget

from tests.store.builders import Calendar
from tests.ui.history.past import led, many, retold
from workbench.core.review.past import folded
from workbench.store import meaning
from workbench.store.project import Project
from workbench.store.resources import load_catalogue, load_starter_shelf, resources_folder
from workbench.ui import theme
from workbench.ui.context import Context

OPEN_MS, LETTER_MS, SCROLL_MS = 300.0, 50.0, 33.0
LISTED = (
    "SELECT s.number, s.started, s.recipe_name, s.rehearsal, s.batch_code, m.ended, m.body "
    "FROM sessions s JOIN summaries m ON m.session = s.number "
)


@dataclass(frozen=True, slots=True)
class Measured:
    """Milliseconds, the same by plain SQL and lists, and what is allowed."""

    what: str
    ours_ms: float
    plain_ms: float
    goal_ms: float

    @property
    def met(self) -> bool:
        return self.ours_ms <= self.goal_ms

    def __str__(self) -> str:
        return (
            f"{self.what:<34} {self.ours_ms:8.1f} ms   plain {self.plain_ms:8.1f} ms   "
            f"within {self.goal_ms:3.0f} ms: {'met' if self.met else 'MISSED'}"
        )


Clock = Callable[[], float]


def median_ms(work: Callable[[], object], times: int, clock: Clock) -> float:
    taken = []
    for _ in range(times):
        begun = clock()
        work()
        taken.append(1000 * (clock() - begun))
    return statistics.median(taken)


def fill(path: Path, count: int) -> None:
    """`count` batches of which the newest six can be read; the others have their rows for the list."""
    real = [batch for batch in led() if batch.made.phase == "finished"]
    with Project.create(path, now=Calendar()) as project:
        with project.writing() as connection:
            for entry in reversed(many(count - 6)):
                connection.execute(
                    "INSERT INTO sessions VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        entry.number, entry.started.isoformat(), entry.recipe_name, entry.recipe_revision,
                        entry.rehearsal, entry.batch_code,
                    ),
                )  # fmt: skip
                connection.execute(
                    "INSERT INTO summaries VALUES (?, 1, x'00', ?, ?)",
                    (entry.number, entry.end, meaning.to_json(entry.summary)),
                )
        for at in range(6):
            events = retold(
                real[at % len(real)].events,
                days=count + at,
                name="Evening ember",
                code=f"E{at}",
                rehearsal=False,
            )
            project.append(project.new_session(), 1, events)


class Looking:
    """The page over a project, and how long what is done to it takes until it is painted."""

    def __init__(self, project: Project) -> None:
        held = QApplication.instance()
        self.app = held if isinstance(held, QApplication) else QApplication(["benchmark"])
        if self.app.property("theme") is None:
            theme.load_fonts(resources_folder() / "fonts")
            theme.apply(self.app, theme.Theme())
        self.project = project
        self.context = Context(load_catalogue(), load_starter_shelf(), today=lambda: date(2026, 8, 15))
        begun = time.perf_counter()
        from workbench.store.review_tables import load_faults
        from workbench.ui.history import HistoryPage, PastPorts

        self.page = HistoryPage(self.context, PastPorts(project.events, load_faults()))
        self.import_ms = 1000 * (time.perf_counter() - begun)
        self.page.resize(1280, 740)
        self.page.show()
        self.paint()

    def paint(self) -> None:
        self.app.processEvents()
        self.app.processEvents()

    def done(self, work: Callable[[], object]) -> Callable[[], None]:
        def run() -> None:
            work()
            self.paint()

        return run

    def close(self) -> None:
        widget: QWidget = self.page
        widget.close()
        widget.deleteLater()
        self.context.deleteLater()
        self.paint()


class Plain:
    """The same questions to the file with nothing of ours."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def ask(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        with closing(sqlite3.connect(self.path)) as file:
            return file.execute(sql, values).fetchall()

    def listed(self) -> list[Any]:
        return [(row, json.loads(row[6])) for row in self.ask(LISTED + "ORDER BY s.number DESC")]

    def found(self, word: str) -> list[Any]:
        like = f"%{word}%"
        return self.ask(
            LISTED + "WHERE s.recipe_name || s.batch_code || m.body LIKE ? ORDER BY s.number DESC", like
        )

    def ordered(self, what: str) -> list[Any]:
        return self.ask(LISTED + f"ORDER BY json_extract(m.body, '$.{what}') DESC, s.number DESC")

    def trend(self, recipe: str, last: int) -> list[float]:
        rows = self.ask(LISTED + "WHERE s.recipe_name = ? ORDER BY s.number DESC LIMIT ?", recipe, last)
        made = [json.loads(row[6]) for row in rows]
        figures = ("melt_s", "addition_c", "window_s", "window_k", "loss_g", "sink_depth_mm", "net_g")
        columns = [[each[key] for each in made if each.get(key) is not None] for key in figures]
        return [statistics.median(values) for values in columns if values]

    def events(self, sessions: Sequence[str]) -> list[Any]:
        return [
            [json.loads(body) for (body,) in self.ask(
                "SELECT body FROM events WHERE session = ? ORDER BY seq", int(session[1:])
            )]
            for session in sessions
        ]  # fmt: skip

    def table(self) -> str:
        out = io.StringIO()
        csv.writer(out).writerows([*row[:6], *made.values()] for row, made in self.listed())
        return out.getvalue()


def measure(path: Path, times: int = 7, clock: Clock = time.perf_counter) -> tuple[list[Measured], float]:
    """Every figure, and the ms that the first opening spends on imports and on building the page."""
    from workbench.store.tables import write_rows
    from workbench.ui.history.sheets import list_sheet

    plain = Plain(path)
    with Project.open(path) as project:
        look = Looking(project)
        page, found = look.page, []

        def add(what: str, goal_ms: float, ours: Callable[[], object], bare: Callable[[], object]) -> None:
            look.done(ours)()
            ours_ms, plain_ms = median_ms(look.done(ours), times, clock), median_ms(bare, times, clock)
            found.append(Measured(what, ours_ms, plain_ms, goal_ms))

        add("open the list", OPEN_MS, lambda: page.show_entries(project.sessions()), plain.listed)
        words = page.list.filters.words
        letters = iter("evening ember harbour salt orchard wind cedar thyme grey late" * 40)
        add(
            "one more letter to find by",
            LETTER_MS,
            lambda: words.setText((words.text() + next(letters))[-4:].strip()),
            lambda: plain.found(folded("ember")),
        )
        words.clear()
        boxes = iter([("recipe", "Grey harbour"), ("recipe", "")] * (times + 2))
        add(
            "a filter",
            LETTER_MS,
            lambda: page.list.filters.choose(*next(boxes)),
            lambda: plain.ask(LISTED + "WHERE s.recipe_name = ? ORDER BY s.number DESC", "Grey harbour"),
        )
        page.list.filters.clear()
        turns = iter([("added", True), ("sink", False)] * (times + 2))
        add(
            "sort by a column",
            OPEN_MS,
            lambda: page.list.sort_by(*next(turns)),
            lambda: plain.ordered("addition_c"),
        )
        page.list.sort_by("when", True)
        bar = page.list.table.verticalScrollBar()
        add(
            "scroll one page",
            SCROLL_MS,
            lambda: bar.setValue((bar.value() + 20) % max(1, bar.maximum())),
            lambda: plain.ask(LISTED + "ORDER BY s.number DESC LIMIT 20 OFFSET 400"),
        )
        add("trends of a recipe", OPEN_MS, page.show_trends, lambda: plain.trend("Evening ember", 20))
        page.show_list()
        newest = [row.id for row in page.list.model.rows[:6]]
        for at in range(6):
            page.list.model.tick(at)
        add("six side by side", OPEN_MS, page.lay_side_by_side, lambda: plain.events(newest))
        turn = iter(newest * times)
        add("read one", OPEN_MS, lambda: page.open(next(turn)), lambda: plain.events(newest[:1]))
        out = path.with_suffix(".csv")
        page.show_list()
        add(
            "the list as a table",
            OPEN_MS,
            lambda: write_rows(out, (sheet := list_sheet(page.list.model.rows)).columns, sheet.rows),
            plain.table,
        )
        first_ms = look.import_ms
        look.close()
    return found, first_ms


def main(asked: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.review_speed", description=__doc__)
    parser.add_argument("--small", action="store_true", help="200 batches")
    parser.add_argument("--processor", action="store_true", help="count processor time, on a busy machine")
    options = parser.parse_args(asked)
    count = 200 if options.small else 2_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "past.balmbook"
        fill(path, count)
        measured, first_ms = measure(
            path, clock=time.process_time if options.processor else time.perf_counter
        )
    for each in measured:
        print(each)
    print(f"built once, when past batches are first opened: {first_ms:.0f} ms; batches: {count:,}")
    return 0 if all(each.met for each in measured) else 1


if __name__ == "__main__":
    sys.exit(main())
