"""The tables of a batch sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from workbench.core.batch.record import BatchRecord, MadeLine
from workbench.core.batch.state import Entry, Reading, SessionState, StepMark
from workbench.core.batch.steps import NeedKind, StepKind
from workbench.core.batch.words import sentence_of
from workbench.core.wording import Said, say
from workbench.paper.flow import BODY_SMALL_MM, Cell, Column, Flow
from workbench.paper.scene import Align, Ink, Line, Text
from workbench.paper.type import size_for_small, width_mm
from workbench.paper.voice import Voice

if TYPE_CHECKING:
    from workbench.paper.batch_sheet import WearNote

BLANK = "________"
RIGHT = Align.RIGHT
# said by tables of their own, or by the step they belong to
_ELSEWHERE = ("guard", "alarm")
_MARKS = {
    StepMark.WAITING: say("not begun"),
    StepMark.CURRENT: say("in hand"),
    StepMark.DONE: say("done"),
    StepMark.LEFT_OUT: say("left out"),
    StepMark.REPLACED: say("another way"),
}


def lines(flow: Flow, made: BatchRecord, voice: Voice, lots: Mapping[str, str]) -> None:
    """Planned beside weighed, with the lots and what was corrected."""
    flow.heading(voice.say(say("What went in")))
    columns = (
        Column(voice.say(say("material")), part=1.0),
        Column(voice.say(say("lot")), mm=34),
        Column(voice.say(say("planned")), mm=22, align=RIGHT),
        Column(voice.say(say("weighed")), mm=24, align=RIGHT),
        Column(voice.say(say("off")), mm=17, align=RIGHT),
        Column(voice.say(say("of the whole")), mm=23, align=RIGHT),
    )
    rows = [_line(line, voice, lots) for line in made.lines]
    total = made.yields.made_g
    rows.append(
        [
            Cell(voice.say(say("all together")), bold=True),
            Cell(""),
            Cell(voice.mass(sum(line.planned_g for line in made.lines)), bold=True),
            Cell(voice.mass(total) if total else BLANK, bold=True),
            Cell(""),
            Cell(""),
        ]
    )
    flow.table(columns, rows)


def _line(line: MadeLine, voice: Voice, lots: Mapping[str, str]) -> list[Cell]:
    old = [_mass(value, voice) for entry in line.entries for value in entry.originals]
    off = line.off_percent
    return [
        Cell(line.name if line.where != "added" else voice.say(say("{name}, added", name=line.name))),
        Cell(", ".join(lots.get(lot, lot) for lot in line.lots) or BLANK, ink=Ink.SOFT),
        Cell(voice.mass(line.planned_g) if line.planned_g else "–"),
        Cell(BLANK if line.made_g is None else voice.mass(line.made_g), tuple(old)),
        Cell("" if off is None or abs(off) < 0.05 else f"{'+' if off > 0 else ''}{voice.share(off, 1)}"),
        Cell("" if line.share_percent is None else voice.share(line.share_percent)),
    ]


def _mass(value: float | str | bool, voice: Voice) -> str:
    return value if isinstance(value, str) else voice.mass(float(value))


def limits(flow: Flow, state: SessionState, voice: Voice) -> None:
    """Skin verdict and the temperatures that counted."""
    plan, now = state.plan, state.temperatures
    assert plan is not None
    flow.heading(voice.say(say("Limits")), 14.0)
    words = {
        "within": say("Skin: within every limit that is known here."),
        "over": say("Skin: over a limit."),
        "unknown": say("Skin: cannot be judged, something is not known."),
    }
    said = [voice.say(words.get(plan.skin.verdict, say("Skin: {verdict}", verdict=plan.skin.verdict)))]
    said += [voice.say(each) for each in (*plan.skin.over, *plan.skin.unknown)]
    flow.words(" ".join(said), bold=plan.skin.verdict == "over")
    named: tuple[tuple[Said, float | None], ...] = (
        (say("set point"), now.set_point_c if state.set_point_seen_c is None else state.set_point_seen_c),
        (say("pour floor"), now.pour_floor_c),
        (say("melt-out"), now.melt_out_c),
        (say("melt ceiling"), now.melt_ceiling_c),
        (say("neat flash point"), now.neat_flash_c),
        (say("flash-safe"), now.flash_safe_c),
        (say("scented ceiling"), now.scented_ceiling_c),
    )
    flow.words(
        " · ".join(
            f"{voice.say(name)} {'?' if celsius is None else voice.degrees(celsius, 1)}".replace(
                " °", "\u00a0°"
            )
            for name, celsius in named
        ),
        Ink.SOFT,
    )
    if plan.edition:
        flow.words(voice.say(say("Tables: {edition}.", edition=plan.edition)), Ink.PALE)


def tins(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    plan = state.plan
    assert plan is not None
    flow.heading(voice.say(say("Tins")), 20.0)
    weighed = {
        need: recorded
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for need, recorded in progress.recorded.items()
    }
    columns = (
        Column(voice.say(say("tin")), part=1.0),
        Column(voice.say(say("to fill with")), mm=28, align=RIGHT),
        Column(voice.say(say("poured")), mm=26, align=RIGHT),
        Column(voice.say(say("holds")), mm=26, align=RIGHT),
        Column(voice.say(say("given to")), mm=46, align=RIGHT),
    )
    rows = []
    for tin in plan.tins:
        poured = state.poured.get(tin.number)
        held = weighed.get(f"tin:{tin.number}")
        rows.append(
            [
                Cell(f"{tin.number}. {voice.say(tin.name)}"),
                Cell(voice.mass(tin.fill_g)),
                Cell(BLANK if poured is None else voice.mass(poured.mass_g)),
                Cell(BLANK if held is None else voice.mass(float(held.value))),
                Cell("_" * 18, ink=Ink.PALE),
            ]
        )
    flow.table(columns, rows)
    flow.y_mm += 1.2
    yields = made.yields
    said = [
        say("In the tins {mass}", mass=voice.mass(yields.in_tins_g)),
        say("kept as leftover {mass}", mass=voice.mass(yields.leftover_g)),
        say("lost {mass}", mass=voice.mass(max(yields.loss_g, 0.0))),
    ]
    words = " · ".join(voice.say(each) for each in said)
    if yields.percent is not None:
        words = f"{words} · {voice.say(say('yield {share}', share=voice.share(yields.percent, 1)))}"
    flow.words(words)
    for leftover in made.leftovers:
        flow.words(
            voice.say(say("Leftover {lot}: {mass}", lot=leftover.lot, mass=voice.mass(leftover.mass_g))),
            Ink.SOFT,
        )


def steps(flow: Flow, state: SessionState, voice: Voice) -> None:
    flow.heading(voice.say(say("Steps")), 20.0)
    columns = (
        Column("", mm=8),
        Column(voice.say(say("step")), part=1.0),
        Column(voice.say(say("began")), mm=18, align=RIGHT),
        Column(voice.say(say("took")), mm=26, align=RIGHT),
        Column(voice.say(say("on hold")), mm=22, align=RIGHT),
        Column(voice.say(say("how")), mm=46, align=RIGHT),
    )
    rows = []
    for number, each in enumerate(state.steps, start=1):
        took_s = (
            None if each.begun_at_s is None or each.ended_at_s is None else each.ended_at_s - each.begun_at_s
        )
        how = voice.say(_MARKS[each.mark])
        if each.left_out_because:
            how = f"{how}: {each.left_out_because}"
        rows.append(
            [
                Cell(str(number), ink=Ink.PALE),
                Cell(voice.say(sentence_of(each.step, "title"))),
                Cell("–" if each.begun_wall is None else voice.clock(each.begun_wall)),
                Cell("–" if took_s is None else voice.took(took_s)),
                Cell(voice.took(each.held_s) if each.held_s >= 1 else ""),
                Cell(how, ink=Ink.SOFT),
            ]
        )
    flow.table(columns, rows)


def deviations(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    """What went another way, additions among it; overrides and alarms have tables of their own."""
    flow.heading(voice.say(say("What went another way")))
    found = [each for each in made.deviations if each.kind not in _ELSEWHERE]
    if not found:
        flow.words(voice.say(say("Nothing: it went as planned.")), Ink.SOFT)
        return
    rows = [
        [Cell(_when(state, each.at_s, voice), ink=Ink.SOFT), Cell(voice.say(each.says))] for each in found
    ]
    flow.table((Column("", mm=16), Column("", part=1.0)), rows, titles=False)


def overrides(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    if not made.asides:
        return
    flow.heading(voice.say(say("Guards set aside")))
    rows = [
        [
            Cell(_when(state, each.at_s, voice), ink=Ink.SOFT),
            Cell(voice.say(each.guard.value)),
            Cell(each.reason or BLANK),
            Cell(", ".join(voice.say(word) for word in each.stated), ink=Ink.SOFT),
        ]
        for each in made.asides
    ]
    columns = (
        Column("", mm=16),
        Column(voice.say(say("guard")), mm=46),
        Column(voice.say(say("reason")), part=1.0),
        Column(voice.say(say("stated")), part=1.0),
    )
    flow.table(columns, rows)


def alarms(
    flow: Flow, state: SessionState, made: BatchRecord, voice: Voice, titles: Mapping[str, str]
) -> None:
    raised = [each for each in made.alarms if each.what == "raised"]
    if not raised:
        return
    flow.heading(voice.say(say("Alarms")))
    rows = []
    for each in raised:
        later = [past for past in made.alarms if past.key == each.key and past.at_s >= each.at_s]
        seen = next((past for past in later if past.what == "acknowledged"), None)
        back = next((past for past in later if past.what == "returned"), None)
        rows.append(
            [
                Cell(_when(state, each.at_s, voice), ink=Ink.SOFT),
                Cell(voice.say(titles.get(each.key, each.key))),
                Cell("–" if seen is None else voice.say(say("after {time}", time=voice.took(seen.at_s - each.at_s)))),
                Cell("–" if back is None else voice.say(say("after {time}", time=voice.took(back.at_s - each.at_s)))),
            ]
        )  # fmt: skip
    columns = (
        Column("", mm=16),
        Column(voice.say(say("alarm")), part=1.0),
        Column(voice.say(say("seen")), mm=32, align=RIGHT),
        Column(voice.say(say("over")), mm=32, align=RIGHT),
    )
    flow.table(columns, rows)


def corrections(flow: Flow, state: SessionState, made: BatchRecord, voice: Voice) -> None:
    """Every corrected value, the old one struck through, with the reason and who."""
    if not made.corrections:
        return
    flow.heading(voice.say(say("Corrections")))
    rows = []
    latest: dict[int, float | str | bool] = {}
    for each in made.corrections:
        entry = state.entry(each.of)
        old = latest.get(each.of, _original(entry))
        latest[each.of] = each.value
        rows.append(
            [
                Cell(_when(state, each.at_s, voice), ink=Ink.SOFT),
                Cell(_name_of(state, entry, voice)),
                Cell(_value(entry, each.value, voice), (_value(entry, old, voice),)),
                Cell(each.reason or BLANK),
                Cell(each.by, ink=Ink.SOFT),
            ]
        )
    columns = (
        Column("", mm=16),
        Column(voice.say(say("entry")), part=1.0),
        Column(voice.say(say("value")), mm=32, align=RIGHT),
        Column(voice.say(say("reason")), mm=58),
        Column(voice.say(say("by")), mm=12),
    )
    flow.table(columns, rows)


def _original(entry: Entry | Reading | None) -> float | str | bool:
    if isinstance(entry, Reading):
        return entry.raw_c
    return "" if entry is None else entry.value


def _name_of(state: SessionState, entry: Entry | Reading | None, voice: Voice) -> str:
    if isinstance(entry, Reading):
        return voice.say(say("temperature at {time}", time=_when(state, entry.at_s, voice)))
    if entry is None:
        return "–"
    if entry.material and state.plan is not None:
        row = state.plan.materials.get(entry.material)
        return entry.material if row is None else voice.say(row.name)
    return voice.say(entry.kind)


def _value(entry: Entry | Reading | None, value: float | str | bool, voice: Voice) -> str:
    if isinstance(value, str):
        return value
    if isinstance(entry, Reading):
        return voice.degrees(float(value))
    if entry is not None and entry.kind in ("mass weighed", "added", "tin poured", "leftover kept"):
        return voice.mass(float(value))
    return voice.number(float(value), 1)


def _when(state: SessionState, at_s: float, voice: Voice) -> str:
    assert state.started_wall is not None
    return voice.clock(state.started_wall + timedelta(seconds=at_s))


# --- how it came out, and how it wears ---


def mended(state: SessionState) -> bool | None:
    """Whether the dip was mended; None where nobody said."""
    for progress in reversed(state.steps):
        if progress.step.kind is StepKind.MEND:
            if progress.mark is StepMark.DONE:
                return True
            if progress.mark is StepMark.LEFT_OUT:
                return False
    return None


def remarks(state: SessionState) -> list[str]:
    """Free words given as the answer of a step."""
    return [
        str(progress.recorded[need.key].value)
        for progress in state.steps
        for need in progress.step.needs
        if need.kind is NeedKind.WORDS and need.key in progress.recorded and progress.recorded[need.key].value
    ]


def blanks(flow: Flow, rows: Sequence[tuple[str, str]]) -> None:
    """Names with their values, or with a line to write on."""
    size = size_for_small(BODY_SMALL_MM)
    for name, value in rows:
        flow.room(6.2)
        baseline = flow.y_mm + 4.0
        x = flow.margin_mm
        marks: list[Text | Line] = [Text(x, baseline, name, size, ink=Ink.SOFT)]
        start = x + max(58.0, width_mm(name, size) + 4)
        if value:
            marks.append(Text(start, baseline, value, size))
        else:
            marks.append(
                Line(start, baseline + 0.9, flow.w_mm - flow.margin_mm, baseline + 0.9, 0.1, Ink.PALE)
            )
        flow.put(marks)
        flow.y_mm += 6.2
    flow.y_mm += 1.0


def wear(flow: Flow, notes: Sequence[WearNote], voice: Voice, hand_lines: int) -> None:
    """What was written after wearing it, and some empty lines."""
    columns = (
        Column(voice.say(say("day")), mm=24),
        Column(voice.say(say("who")), mm=18),
        Column(voice.say(say("after")), mm=22),
        Column(voice.say(say("top, middle, base, and in words")), part=1.0),
    )
    rows = [
        [
            Cell("" if note.day is None else f"{note.day:%Y-%m-%d}", ink=Ink.SOFT),
            Cell(note.who),
            Cell(note.after),
            Cell(note.words),
        ]
        for note in notes
    ]
    empty = Cell("\u00a0")
    tall = [[empty, empty, empty, Cell("\u00a0")] for _ in range(hand_lines)]
    flow.table(columns, rows)
    for row in tall:
        flow.table(columns, [row], titles=False)
        flow.y_mm += 1.6
