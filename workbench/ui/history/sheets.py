"""What is shown, as plain tables to be taken out: numbers with their unit in the name of the column."""

from __future__ import annotations

from collections.abc import Sequence

from workbench.core.batch.record import BatchRecord, SessionSummary
from workbench.core.batch.state import SessionState
from workbench.core.review.compare import CompareRow, Comparison
from workbench.core.review.past import PastRow
from workbench.core.review.trends import Trend
from workbench.ui.history.taking import Sheet
from workbench.ui.history.what_was_done import happened

LIST_COLUMNS = (
    "session", "begun", "recipe", "revision", "practice", "batch_code", "vessel", "heat", "ended", "made_g",
    "in_tins_g", "yield_percent", "loss_g", "leftover_g", "tins", "net_mean_g", "target_mean_g", "melt_s",
    "addition_c", "pour_c", "window_s", "highest_c", "sink_mm", "off_plan", "alarms", "faults_seen",
)  # fmt: skip
SESSION_COLUMNS = (
    "part",
    "what",
    "planned_g",
    "made_g",
    "share_percent",
    "at_s",
    "took_s",
    "held_s",
    "celsius",
    "words",
)


def list_sheet(rows: Sequence[PastRow]) -> Sheet:
    """One row a batch, as listed."""
    return Sheet(
        LIST_COLUMNS,
        tuple(
            (
                each.id, each.started.isoformat(), each.recipe_name, each.recipe_revision, each.rehearsal,
                each.batch_code, *_figures(each.summary, each.end), ", ".join(each.faults),
            )
            for each in rows
        ),
    )  # fmt: skip


def _figures(made: SessionSummary | None, end: str) -> tuple[object, ...]:
    if made is None:
        return ("", "", end, *(None,) * 16)
    return (
        made.vessel, made.heat, end, _round(made.made_g), _round(made.in_tins_g), _round(made.yield_percent),
        _round(made.loss_g), _round(made.leftover_g), made.tins, _round(made.net_g), _round(made.target_g),
        _round(made.melt_s, 0), _round(made.addition_c), _round(made.pour_c), _round(made.window_s, 0),
        _round(made.highest_c), _round(made.sink_depth_mm), made.deviations, made.alarms,
    )  # fmt: skip


def _round(value: float | None, digits: int = 2) -> float | None:
    return None if value is None else round(value, digits)


def session_sheet(state: SessionState, made: BatchRecord) -> Sheet:
    """Everything on the page of one batch, part by part."""
    rows: list[tuple[object, ...]] = []

    def add(part: str, what: str, **cells: object) -> None:
        rows.append((part, what, *(cells.get(column) for column in SESSION_COLUMNS[2:])))

    for line in made.lines:
        add(
            "material",
            line.name,
            planned_g=_round(line.planned_g, 3),
            made_g=_round(line.made_g, 3),
            share_percent=_round(line.share_percent, 4),
            words=", ".join(line.lots),
        )
    planned = {} if state.plan is None else {tin.number: tin.fill_g for tin in state.plan.tins}
    for tin in state.poured.values():
        add(
            "tin",
            f"{tin.tin} {tin.number}",
            planned_g=_round(planned.get(tin.number)),
            made_g=_round(tin.mass_g),
            at_s=_round(tin.at_s, 0),
        )
    for step in made.steps:
        add(
            "step",
            step.title,
            at_s=_round(step.begun_at_s, 0),
            took_s=_round(step.took_s, 0),
            held_s=_round(step.held_s, 0),
            words=step.left_out_because or step.mark.value,
        )
    for reading, _ in made.readings:
        add(
            "reading",
            "stirred" if reading.stirred else "not stirred",
            at_s=_round(reading.at_s, 0),
            celsius=_round(state.celsius_of(reading)),
        )
    for each in happened(made):
        add("off plan", str(each.says), at_s=_round(each.at_s, 0), words=str(each.done))
    for entry, struck in made.notes:
        add("note", str(struck.value), at_s=_round(entry.at_s, 0))
    return Sheet(SESSION_COLUMNS, tuple(rows))


def side_sheet(shown: Comparison, names: Sequence[str]) -> Sheet:
    """Batches side by side: one row a figure, then the readings of each on its own clock."""
    rows: list[tuple[object, ...]] = []

    def add(part: str, each: CompareRow, unit: str) -> None:
        rows.append((part, str(each.title), unit, *(_round(cell.value, 4) for cell in each.cells)))

    for result in shown.results:
        add("result", result, result.unit.value)
    for amount in shown.amounts:
        add("planned", amount.planned, "g")
        add("made", amount.made, "g")
        add("share", amount.share, "%")
    for spent in shown.times:
        add("time in step", spent, "s")
    for mark in shown.marks:
        note = "whole" if mark.note is None else mark.note.value
        what = f"{note} after {mark.after_min} min"
        rows.append(("wear", what, "of 10", *(_round(cell.value) for cell in mark.cells)))
    for at, curve in enumerate(shown.curves):
        for at_s, celsius in curve.points:
            values: list[object] = [None] * len(shown.curves)
            values[at] = _round(celsius)
            rows.append(("reading", f"{round(at_s)} s", "°C", *values))
    return Sheet(("part", "what", "unit", *names), tuple(rows))


def trends_sheet(shown: Sequence[Trend]) -> Sheet:
    """One row a batch and figure, oldest first."""
    columns = ("figure", "unit", "session", "begun", "recipe", "batch_code", "value", "middle", "z", "odd")
    return Sheet(
        columns,
        tuple(
            (
                str(each.title), each.unit, point.session, point.started.isoformat(), point.recipe_name,
                point.batch_code, _round(point.value, 3), _round(each.middle, 3), _round(point.z), point.odd,
            )
            for each in shown
            for point in each.points
        ),
    )  # fmt: skip
