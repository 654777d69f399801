"""What lists, trends and comparisons ask of one batch: times, temperatures and contents as single figures.

Each is read off the state with corrections applied, and is None where the
record does not hold it.  Seconds count from the session's start unless a name
says otherwise.
"""

from __future__ import annotations

from bisect import bisect_right

from workbench.core.batch.guards import FRAGRANCE_IN
from workbench.core.batch.made import composition_made
from workbench.core.batch.state import SessionState, StepMark, StepProgress
from workbench.core.batch.steps import NeedKind, StepKind

CLEAR = "clear"  # the tick that says that nothing solid is left
REWARM = "rewarm"  # the step that warms a jug again; it is no melting of its own
MELTING = (StepKind.MELT_BATH, StepKind.MELT_BURSTS)


def materials_of(state: SessionState) -> tuple[str, ...]:
    """Keys of every material that was planned or went in, planned ones first."""
    planned = () if state.plan is None else tuple(line.material for line in state.plan.lines)
    return tuple(dict.fromkeys((*planned, *composition_made(state).as_dict())))


def lots_of(state: SessionState) -> tuple[str, ...]:
    """Keys of the lots that were weighed from."""
    return tuple(dict.fromkeys(each.lot for each in state.entries if each.lot))


def tin_counts(state: SessionState) -> tuple[tuple[str, int], ...]:
    """Tin key and how many of it were poured, in order of pouring."""
    counts: dict[str, int] = {}
    for each in state.poured.values():
        counts[each.tin] = counts.get(each.tin, 0) + 1
    return tuple(counts.items())


def words_of(state: SessionState) -> str:
    """All that was written in words, one note a line; personal, to be erased with the notes."""
    notes = []
    for each in state.entries:
        if each.kind == "noted":
            chain = state.corrections.get(each.seq, ())
            notes.append(str(chain[-1].value if chain else each.value))
    for progress in state.steps:
        for need in progress.step.needs:
            if need.kind is NeedKind.WORDS and need.key in progress.recorded:
                notes.append(str(progress.recorded[need.key].value))
    return "\n".join(note for note in notes if note)


def step_starts(state: SessionState) -> tuple[tuple[str, float], ...]:
    """Kind of step and when the first of its kind was begun, s."""
    starts: dict[str, float] = {}
    for each in state.steps:
        if each.begun_at_s is not None and each.mark is not StepMark.LEFT_OUT:
            starts.setdefault(each.step.kind.value, each.begun_at_s)
    return tuple(starts.items())


def melt_s(state: SessionState) -> float | None:
    """Seconds from the first melting step's beginning to the tick “all clear”, holds taken off.

    A tick made ahead of the work does not count before the first reading from
    which the step could be done.  Where the way of heating was changed, the
    time on both counts.  Warming a jug that set too early is not melting.
    """
    melts = [each for each in state.steps if each.step.kind in MELTING and each.step.id != REWARM]
    begun = next((each.begun_at_s for each in melts if each.begun_at_s is not None), None)
    last = next((each for each in reversed(melts) if CLEAR in each.recorded), None)
    if begun is None or last is None:
        return None
    clear_s = max(last.recorded[CLEAR].at_s, _first_warm_s(state, last) or 0.0)
    held_s = sum(
        max(0.0, min(each.went_on_at_s, clear_s) - max(each.asked_at_s, begun))
        for each in state.holds
        if each.went_on_at_s is not None
    )
    return max(0.0, clear_s - begun - held_s)


def _first_warm_s(state: SessionState, melt: StepProgress) -> float | None:
    """When the first reading of a melting step lay where the step may end."""
    if melt.step.low_c is None:
        return None
    warm = (
        each.at_s
        for each in state.readings
        if each.step == melt.step.id and state.celsius_of(each) >= melt.step.low_c
    )
    return next(warm, None)


def addition_c(state: SessionState) -> float | None:
    """°C of the newest reading when the fragrance was ticked as in."""
    step = _first(state, StepKind.ADD_FRAGRANCE)
    ticked = None if step is None else step.recorded.get(FRAGRANCE_IN)
    return None if ticked is None else _read_before(state, ticked.at_s)


def pour_c(state: SessionState) -> float | None:
    """°C of the newest reading when the first tin was poured."""
    poured = _first_poured_s(state)
    return None if poured is None else _read_before(state, poured)


def window_s(state: SessionState) -> float | None:
    """Seconds the jug was seen to stay fit to scent and pour.

    From the beginning of the addition step (for a balm without fragrance: of
    the pouring step) to the first reading below the pour floor, or to the
    last tin where none was below it.
    """
    step = _first(state, StepKind.ADD_FRAGRANCE) or _first(state, StepKind.POUR)
    if step is None or step.begun_at_s is None or not state.poured:
        return None
    floor_c = state.temperatures.pour_floor_c
    last_s = max(each.at_s for each in state.poured.values())
    below = (
        each.at_s
        for each in state.readings
        if each.at_s >= step.begun_at_s and floor_c is not None and state.celsius_of(each) < floor_c
    )
    return max(0.0, min(next(below, last_s), last_s) - step.begun_at_s)


def window_k(state: SessionState) -> float | None:
    """K from the pour floor to what the pot must be below for fragrance, by what was in the jug."""
    low_c, high_c = state.temperatures.pour_floor_c, state.temperatures.add_below_c
    return None if low_c is None or high_c is None else high_c - low_c


def net_g(state: SessionState) -> float | None:
    """Mean content of a tin, g: as weighed when set, else as poured."""
    weighed = [
        float(each.value)
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for each in progress.recorded.values()
    ]
    if not weighed or len(weighed) != len(state.poured):
        weighed = [each.mass_g for each in state.poured.values()]
    return sum(weighed) / len(weighed) if weighed else None


def target_g(state: SessionState) -> float | None:
    """Mean planned content of the tins that were poured, g."""
    if state.plan is None:
        return None
    planned = [tin.fill_g for tin in state.plan.tins if tin.number in state.poured]
    return sum(planned) / len(planned) if planned else None


def _first(state: SessionState, kind: StepKind) -> StepProgress | None:
    """The first step of a kind that was really begun and not replaced."""
    return next(
        (
            each
            for each in state.steps
            if each.step.kind is kind and each.begun_at_s is not None and each.mark is not StepMark.REPLACED
        ),
        None,
    )


def _first_poured_s(state: SessionState) -> float | None:
    return min((each.at_s for each in state.poured.values()), default=None)


def _read_before(state: SessionState, at_s: float) -> float | None:
    until = bisect_right(state.readings, at_s, key=lambda each: each.at_s)
    return state.celsius_of(state.readings[until - 1]) if until else None
