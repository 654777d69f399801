"""The sheet for the binder: everything that a batch left behind, on as few pages as it takes.

What was corrected stays readable, struck through.  What was not recorded is a
blank to fill in by hand, never an invented value.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from workbench.core.batch.record import BatchRecord, record
from workbench.core.batch.state import Phase, SessionState
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say
from workbench.paper import batch_tables as tables
from workbench.paper.curve import draw_curve
from workbench.paper.flow import Flow
from workbench.paper.scene import Align, Document, Face, Ink, Line, Mark, Text
from workbench.paper.sizes import PaperSize
from workbench.paper.type import proportions
from workbench.paper.voice import Voice

CURVE_MM = 66.0
_HAND_LINES = 3


@dataclass(frozen=True, slots=True)
class WearNote:
    """What somebody wrote after wearing it; `who` is initials at most."""

    day: date | None
    who: str
    after: str  # "10 min", "4 h"
    words: str


@dataclass(frozen=True, slots=True)
class SheetWish:
    """How the sheet is printed; `seal` is the last digest of the record, to hold it against the project."""

    paper: PaperSize = PaperSize.A4
    voice: Voice = field(default_factory=Voice)
    alarm_titles: Mapping[str, str] = field(default_factory=dict)
    lot_names: Mapping[str, str] = field(default_factory=dict)  # key of a lot -> as the supplier calls it
    wear: Sequence[WearNote] = ()
    labels: Sequence[str] = ()  # which labels were printed, on what footing
    seal: str = ""


def make_batch_sheet(state: SessionState, wish: SheetWish) -> Document:
    """The record of a session as pages.  Raises `Trouble` for one that never began."""
    if state.plan is None or state.started_wall is None:
        raise Trouble(say("This batch never began, so there is nothing to print."))
    made = record(state)
    voice = wish.voice
    w, h = wish.paper.mm
    flow = Flow(w, h)
    _head(flow, state, made, voice)
    tables.lines(flow, made, voice, wish.lot_names)
    tables.limits(flow, state, voice)
    _curve(flow, state, voice)
    tables.tins(flow, state, made, voice)
    tables.steps(flow, state, voice)
    tables.deviations(flow, state, made, voice)
    tables.overrides(flow, state, made, voice)
    tables.alarms(flow, state, made, voice, wish.alarm_titles)
    tables.corrections(flow, state, made, voice)
    _defects(flow, state, made, voice)
    _wear(flow, wish, voice)
    _labels(flow, wish, voice)
    sheets = flow.sheets(lambda number, count: _furniture(flow, made, wish, number, count))
    title = f"{made.recipe_name}: {voice.say(say('batch sheet'))}"
    return Document(title, sheets)


def _head(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    assert made.started is not None
    size = 8.0
    baseline = flow.y_mm + proportions(Face.DISPLAY).capital * size
    x = flow.margin_mm
    flow.put(
        [Text(x, baseline, made.recipe_name, _fitting(made.recipe_name, size, flow.wide_mm), Face.DISPLAY)]
    )
    flow.y_mm = baseline + 3.4
    parts = [voice.say(say("Revision {number}", number=made.revision))]
    if made.batch_code:
        parts.append(voice.say(say("batch {code}", code=made.batch_code)))
    parts.append(
        voice.say(say("begun {day} at {time}", day=voice.day(made.started), time=voice.clock(made.started)))
    )
    parts.append(voice.say(say("{duration} in all", duration=voice.took(state.at_s))))
    parts.append(voice.say(say("made by {maker}", maker=made.maker or "________")))
    assert state.plan is not None
    vessel = state.plan.vessel or "________"
    parts.append(voice.say(say("{heat}, in {vessel}", heat=voice.say(state.heat.value), vessel=vessel)))
    flow.words(" · ".join(parts), Ink.SOFT)
    for said in _standing(made):
        flow.words(voice.say(said), bold=True)


def _fitting(text: str, size: float, wide: float) -> float:
    from workbench.paper.type import width_mm

    return min(size, wide / max(width_mm(text, 1.0, Face.DISPLAY), 0.01))


def _standing(made: BatchRecord) -> list[Said]:
    """What a reader has to know before anything else."""
    found: list[Said] = []
    if made.rehearsal:
        found.append(say("A practice run: no balm came of it."))
    if made.over_skin_limit:
        found.append(say("Over its limit for skin: the limit was set aside, and no label of it is final."))
    if made.phase is Phase.ENDED_EARLY:
        found.append(say("Ended early: {reason}", reason=made.ended_because or "-"))
    elif made.phase is not Phase.FINISHED:
        found.append(say("Not finished: printed while the batch was going on."))
    return found


def _curve(flow: Flow, state: SessionState, voice: Voice) -> None:
    flow.heading(voice.say(say("Temperature")), CURVE_MM if state.readings else 8.0)
    if not state.readings:
        flow.words(voice.say(say("No temperature was recorded.")), Ink.SOFT)
        return
    flow.drawing(CURVE_MM, lambda x, y, w, h: draw_curve(state, voice, x, y, w, h))


def _defects(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    flow.heading(voice.say(say("How it came out")), 24.0)
    depth = made.sink_depth_mm
    mended = tables.mended(state)
    rows: list[tuple[Said, str]] = [
        (say("Deepest dip"), "" if depth is None else f"{voice.number(depth, 1)} mm"),
        (
            say("Mended"),
            "" if mended is None else voice.say(say("yes") if mended else say("no, left as it is")),
        ),
        (say("Grain, sweat, cracks, frosting"), ""),
        (say("Too soft, too hard, weak scent"), ""),
    ]
    tables.blanks(flow, [(voice.say(name), value) for name, value in rows])
    notes = [voice.say(str(struck.value)) for _, struck in made.notes]
    notes += tables.remarks(state)
    for note in notes:
        flow.words(f"– {note}")


def _wear(flow: Flow, wish: SheetWish, voice: Voice) -> None:
    flow.heading(voice.say(say("Worn")), 20.0)
    tables.wear(flow, wish.wear, voice, _HAND_LINES)


def _labels(flow: Flow, wish: SheetWish, voice: Voice) -> None:
    if wish.labels:
        flow.heading(voice.say(say("Labels printed")))
        for said in wish.labels:
            flow.words(said)


def _furniture(flow: Flow, made: BatchRecord, wish: SheetWish, number: int, count: int) -> list[Mark]:
    voice = wish.voice
    y = flow.h_mm - 9.0
    x, right = flow.margin_mm, flow.w_mm - flow.margin_mm
    name = made.recipe_name if len(made.recipe_name) <= 44 else made.recipe_name[:43] + "…"
    left = " · ".join(part for part in (name, made.batch_code, f"{made.started:%Y-%m-%d}") if part)
    if wish.seal:
        left = f"{left} · {voice.say(say('record {seal}', seal=wish.seal[:16]))}"
    page = voice.say(say("page {number} of {count}", number=number, count=count))
    return [
        Line(x, y - 4.0, right, y - 4.0, 0.1, Ink.FAINT),
        Text(x, y, left, 2.5, ink=Ink.PALE),
        Text(right, y, page, 2.5, ink=Ink.PALE, align=Align.RIGHT),
    ]
