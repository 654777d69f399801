"""The batch as made, read back from the state of its session.

Everything here is what happened: what was weighed beside what was planned,
times, readings, overrides, alarms, and corrections with the original kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import overload

from workbench.core.batch import figures
from workbench.core.batch.deviations import Deviation, deviations, name_of
from workbench.core.batch.made import composition_made, leftover_material
from workbench.core.batch.state import (
    AlarmPast,
    Aside,
    ClockNote,
    Correction,
    Entry,
    HoldPast,
    Leftover,
    Phase,
    Reading,
    SessionState,
    StepMark,
)
from workbench.core.batch.steps import NeedKind, StepKind
from workbench.core.batch.used import used_of
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Heat

__all__ = [
    "SUMMARY_FORM",
    "BatchRecord",
    "Deviation",
    "MadeLine",
    "SessionSummary",
    "StepTime",
    "Struck",
    "Yield",
    "deviations",
    "leftover_material",
    "name_of",
    "record",
    "summary",
]


@dataclass(frozen=True, slots=True)
class Struck:
    """A value as shown: the newest, and every earlier one struck through, oldest first."""

    seq: int
    value: float | str | bool
    originals: tuple[float | str | bool, ...] = ()
    corrections: tuple[Correction, ...] = ()


@dataclass(frozen=True, slots=True)
class MadeLine:
    """One material: planned, as weighed, and its share of what was made."""

    material: str
    name: str
    where: str
    planned_g: float
    made_g: float | None  # None: nothing was recorded
    share_percent: float | None
    lots: tuple[str, ...]
    entries: tuple[Struck, ...]
    lot_unknown: bool = False  # some of it was recorded without saying from which lot

    @property
    def off_percent(self) -> float | None:
        if self.made_g is None or self.planned_g <= 0:
            return None
        return 100 * (self.made_g - self.planned_g) / self.planned_g


@dataclass(frozen=True, slots=True)
class Yield:
    """Grams in, grams in tins, and what is left; `percent` is tins over what went in."""

    made_g: float
    poured_g: float
    weighed_tins_g: float | None  # content of the set tins; None where they were not all weighed
    leftover_g: float
    expected_g: float

    @property
    def in_tins_g(self) -> float:
        return self.poured_g if self.weighed_tins_g is None else self.weighed_tins_g

    @property
    def loss_g(self) -> float:
        return self.made_g - self.in_tins_g - self.leftover_g

    @property
    def percent(self) -> float | None:
        return None if self.made_g <= 0 else 100 * self.in_tins_g / self.made_g

    @property
    def of_expected_percent(self) -> float | None:
        return None if self.expected_g <= 0 else 100 * self.in_tins_g / self.expected_g


@dataclass(frozen=True, slots=True)
class StepTime:
    step: str
    title: str
    mark: StepMark
    begun_at_s: float | None
    begun_wall: datetime | None
    took_s: float | None
    held_s: float
    left_out_because: str


class StruckReadings(Sequence[tuple[Reading, Struck]]):
    """Every reading beside its corrections, made when somebody looks: most look only at their number."""

    __slots__ = ("_state",)

    def __init__(self, state: SessionState) -> None:
        self._state = state

    def __len__(self) -> int:
        return len(self._state.readings)

    @overload
    def __getitem__(self, index: int) -> tuple[Reading, Struck]: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[tuple[Reading, Struck]]: ...
    def __getitem__(self, index: int | slice) -> tuple[Reading, Struck] | Sequence[tuple[Reading, Struck]]:
        if isinstance(index, slice):
            return tuple(self[at] for at in range(*index.indices(len(self))))
        reading = self._state.readings[index]
        return reading, struck(self._state, reading)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, StruckReadings) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self))


@dataclass(frozen=True, slots=True)
class BatchRecord:
    recipe_name: str
    revision: int
    maker: str
    batch_code: str
    rehearsal: bool
    started: datetime | None
    ended: datetime | None
    phase: Phase
    ended_because: str
    lines: tuple[MadeLine, ...]
    composition: Composition  # as made, g
    yields: Yield
    steps: tuple[StepTime, ...]
    readings: Sequence[tuple[Reading, Struck]]
    highest_c: float | None
    deviations: tuple[Deviation, ...]
    asides: tuple[Aside, ...]
    alarms: tuple[AlarmPast, ...]
    holds: tuple[HoldPast, ...]
    clock_notes: tuple[ClockNote, ...]
    notes: tuple[tuple[Entry, Struck], ...]
    corrections: tuple[Correction, ...]
    leftovers: tuple[Leftover, ...]
    sink_depth_mm: float | None
    over_skin_limit: bool


@dataclass(frozen=True, slots=True)
class SessionSummary:
    """The small row that lists and trends read; masses in g, times in s."""

    recipe_name: str
    revision: int
    batch_code: str
    rehearsal: bool
    started: datetime | None
    ended: datetime | None
    phase: str
    took_s: float
    made_g: float
    in_tins_g: float
    yield_percent: float | None
    loss_g: float
    leftover_g: float
    tins: int
    deviations: int
    alarms: int
    corrections: int
    readings: int
    highest_c: float | None
    sink_depth_mm: float | None
    over_skin_limit: bool
    form: int = 1  # a row of an older form has only what stands above; it is built again from the events
    materials: tuple[str, ...] = ()  # keys, planned or weighed
    lots: tuple[str, ...] = ()  # keys of the lots weighed from
    tin_counts: tuple[tuple[str, int], ...] = ()  # tin key, how many were poured
    vessel: str = ""  # key; "" where the recipe names none
    heat: str = ""  # as it was at the end
    stove: str = ""  # of a water bath
    microwave: str = ""  # key, where it was melted in one
    words: str = ""  # every note, one a line; goes when the notes are erased
    melt_s: float | None = None  # these as in `figures`
    addition_c: float | None = None
    pour_c: float | None = None
    window_s: float | None = None
    window_k: float | None = None
    net_g: float | None = None  # mean of the tins
    target_g: float | None = None  # mean of the tins
    expected_g: float = 0.0  # of all tins, as planned
    step_starts: tuple[tuple[str, float], ...] = ()  # kind of step, when its first was begun
    off_plan: tuple[str, ...] = ()  # kinds of deviation, each once
    used: tuple[tuple[str, str, float], ...] = ()  # material key, lot key or "", grams taken

    def start_of(self, kind: str) -> float | None:
        """When the first step of a kind was begun, s; None where none was."""
        return dict(self.step_starts).get(kind)


SUMMARY_FORM = 3  # raised whenever a summary says more than before


def record(state: SessionState) -> BatchRecord:
    """The whole record of a session that was started, running or over."""
    corrections = sorted(
        (each for chain in state.corrections.values() for each in chain), key=lambda each: each.seq
    )
    return BatchRecord(
        recipe_name=state.recipe_name,
        revision=state.revision,
        maker=state.maker,
        batch_code=state.batch_code,
        rehearsal=state.rehearsal,
        started=state.started_wall,
        ended=state.ended_wall,
        phase=state.phase,
        ended_because=state.ended_because,
        lines=_lines(state),
        composition=composition_made(state),
        yields=yields(state),
        steps=tuple(_step_times(state)),
        readings=StruckReadings(state),
        highest_c=highest_c(state),
        deviations=deviations(state),
        asides=state.asides,
        alarms=tuple(state.alarm_history),
        holds=tuple(state.holds),
        clock_notes=tuple(state.clock_notes),
        notes=tuple((each, struck(state, each)) for each in state.entries if each.kind == "noted"),
        corrections=tuple(corrections),
        leftovers=state.leftovers,
        sink_depth_mm=sink_depth_mm(state),
        over_skin_limit=state.over_skin_limit,
    )


def summary(state: SessionState) -> SessionSummary:
    """One row for lists; it can be made again from the events at any time."""
    made, off = yields(state), deviations(state)
    recipe = None if state.plan is None else state.plan.recipe
    bath = state.heat is Heat.WATER_BATH
    return SessionSummary(
        recipe_name=state.recipe_name,
        revision=state.revision,
        batch_code=state.batch_code,
        rehearsal=state.rehearsal,
        started=state.started_wall,
        ended=state.ended_wall,
        phase=state.phase.value,
        took_s=state.at_s,
        made_g=made.made_g,
        in_tins_g=made.in_tins_g,
        yield_percent=made.percent,
        loss_g=made.loss_g,
        leftover_g=made.leftover_g,
        tins=len(state.poured),
        deviations=len(off),
        alarms=sum(each.what == "raised" for each in state.alarm_history),
        corrections=sum(len(chain) for chain in state.corrections.values()),
        readings=len(state.readings),
        highest_c=highest_c(state),
        sink_depth_mm=sink_depth_mm(state),
        over_skin_limit=state.over_skin_limit,
        form=SUMMARY_FORM,
        materials=figures.materials_of(state),
        lots=figures.lots_of(state),
        used=used_of(state),
        tin_counts=figures.tin_counts(state),
        vessel="" if recipe is None else recipe.vessel or "",
        heat=state.heat.value,
        stove="" if state.plan is None or state.plan.stove is None or not bath else state.plan.stove.value,
        microwave="" if recipe is None or bath else recipe.microwave or "",
        words=figures.words_of(state),
        melt_s=figures.melt_s(state),
        addition_c=figures.addition_c(state),
        pour_c=figures.pour_c(state),
        window_s=figures.window_s(state),
        window_k=figures.window_k(state),
        net_g=figures.net_g(state),
        target_g=figures.target_g(state),
        expected_g=made.expected_g,
        step_starts=figures.step_starts(state),
        off_plan=tuple(dict.fromkeys(each.kind for each in off)),
    )


def struck(state: SessionState, item: Entry | Reading) -> Struck:
    """A recorded value with its corrections: the newest counts, the earlier ones stay readable."""
    original: float | str | bool = item.raw_c if isinstance(item, Reading) else item.value
    chain = state.corrections.get(item.seq, ())
    values = [original, *(each.value for each in chain)]
    return Struck(item.seq, values[-1], tuple(values[:-1]), chain)


def highest_c(state: SessionState) -> float | None:
    """The highest temperature of the batch, corrections applied; °C."""
    return max((state.celsius_of(each) for each in state.readings), default=None)


def sink_depth_mm(state: SessionState) -> float | None:
    """The depth of the deepest dip as last recorded."""
    found = [
        progress.recorded[need.key].value
        for progress in state.steps
        for need in progress.step.needs
        if need.kind is NeedKind.DEPTH and need.key in progress.recorded
    ]
    return float(found[-1]) if found else None


def yields(state: SessionState) -> Yield:
    """What went in, what came out."""
    weighed = [
        float(each.value)
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for each in progress.recorded.values()
    ]
    poured_g = sum(tin.mass_g for tin in state.poured.values())
    all_weighed = bool(weighed) and len(weighed) == len(state.poured)
    return Yield(
        made_g=composition_made(state).mass_g,
        poured_g=poured_g,
        weighed_tins_g=sum(weighed) if all_weighed else None,
        leftover_g=sum(each.mass_g for each in state.leftovers),
        expected_g=0.0 if state.plan is None else state.plan.expected_yield_g,
    )


def _lines(state: SessionState) -> tuple[MadeLine, ...]:
    """Planned lines first, then what was added beyond them."""
    if state.plan is None:
        return ()
    made = composition_made(state).as_dict()
    whole_g = sum(made.values())
    entries: dict[str, list[Entry]] = {}
    for entry in state.entries:
        if entry.material and entry.kind in ("mass weighed", "drops counted", "added"):
            entries.setdefault(entry.material, []).append(entry)
    planned = {line.material: line for line in state.plan.lines}
    lines = []
    for material in [*planned, *(key for key in made if key not in planned)]:
        line, own = planned.get(material), entries.get(material, [])
        made_g = made.get(material) if own else None
        lines.append(
            MadeLine(
                material=material,
                name=name_of(state, material),
                where="added" if line is None else line.where,
                planned_g=0.0 if line is None else line.weigh_g,
                made_g=made_g,
                share_percent=None if made_g is None or whole_g <= 0 else 100 * made_g / whole_g,
                lots=tuple(dict.fromkeys(each.lot for each in own if each.lot)),
                entries=tuple(struck(state, each) for each in own),
                lot_unknown=any(not each.lot for each in own),
            )
        )
    return tuple(lines)


def _step_times(state: SessionState) -> list[StepTime]:
    return [
        StepTime(
            each.step.id,
            each.step.title,
            each.mark,
            each.begun_at_s,
            each.begun_wall,
            None if each.begun_at_s is None or each.ended_at_s is None else each.ended_at_s - each.begun_at_s,
            each.held_s,
            each.left_out_because,
        )
        for each in state.steps
    ]
