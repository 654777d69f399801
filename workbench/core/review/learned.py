"""What past batches taught of the vessels, ovens, stove and bottles that made them.

`lessons_of` asks one finished batch; `taken_in` puts its lessons on the shelf
beside the earlier ones and works out anew what is believed of each thing.  The
belief stands where the next forecast looks for it (`Vessel.learned` and so
on).  A practice run teaches nothing of real things; an odd batch counts for
less and says why; an old one fades.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from workbench.core.batch.bursts import CUP
from workbench.core.batch.events import AnyEvent, BurstEnded, BurstStarted
from workbench.core.batch.in_jug import Surroundings, bath_of, before_scent, surroundings
from workbench.core.batch.made import composition_made
from workbench.core.batch.outlook import readings_to_fit
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase, SessionState, StepProgress
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Learned, Lesson, Lot, Microwave, Shelf, Vessel, WaterTest
from workbench.core.heat.bath import melt_ahead
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import SHARE_TAKEN, WATTS, Burst, taught, usual_power
from workbench.core.heat.fitting import Reading
from workbench.core.heat.forecast import forecast
from workbench.core.heat.learning import MOST_LESSONS, believed, observed, oven_after_test, to_be_asked
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import DROP
from workbench.core.trouble import Trouble
from workbench.core.wording import say

FEWEST = 3  # readings of a melt or of a cooling that teach anything
FEWEST_BURSTS = 2
ODD_WEIGHT = 0.3  # judged: an odd batch counts for a third
LONG_HOLD_S = 60.0
HEAT_GUARDS = (Guard.MELT_CEILING, Guard.FLASH_SAFE, Guard.FRESH_READING, Guard.POUR_FLOOR)
STOVE_ABOUT = "stove"


@dataclass(frozen=True, slots=True)
class PastBatch:
    """A session that has ended, as the store has it."""

    session: str
    number: int
    events: Iterable[AnyEvent]  # all of them, to be gone through more than once


def about_vessel(key: str) -> str:
    return f"vessel:{key}"


def about_oven(key: str) -> str:
    return f"microwave:{key}"


def about_lot(key: str) -> str:
    return f"lot:{key}"


# --- asking one batch ---


def lessons_of(batch: PastBatch, catalogue: Catalogue) -> tuple[Lesson, ...]:
    """What one session taught; nothing for a practice run, or where there were too few readings."""
    state = fold(batch.events)
    plan = state.plan
    if plan is None or state.rehearsal or not state.phase.over or state.started_wall is None:
        return ()
    around = surroundings(plan, catalogue)
    day = state.started_wall.date()
    odd = why_odd(state)
    found: list[tuple[str, Learned]] = []
    vessel = around.vessel
    try:
        if vessel is not None:
            around = replace(around, vessel=to_be_asked(vessel))
            found += [(about_vessel(vessel.key), row) for row in _cooling(state, around, catalogue)]
        found += _bath(state, around, catalogue)
        if around.oven is not None:
            found += [
                (about_oven(around.oven.key), row)
                for row in _bursts(state, batch.events, around.oven, catalogue)
            ]
    except Trouble:
        return ()  # a material that is no longer known: its heat cannot be reckoned
    lessons = []
    for about, posterior in found:
        alone = observed(posterior)
        if alone is not None:
            lessons.append(
                Lesson(
                    batch=batch.session,
                    day=day,
                    about=about,
                    what=posterior.what,
                    value=alone[0],
                    sd=alone[1],
                    weight=ODD_WEIGHT if odd else 1.0,
                    odd=odd,
                    mass_g=None if about == STOVE_ABOUT else _melted(state).mass_g,
                )
            )
    return tuple(lessons)


def why_odd(state: SessionState) -> str:
    """Why a batch counts for less; "" for an ordinary one."""
    if state.phase is Phase.ENDED_EARLY:
        return say("it was ended early")
    if any(aside.guard in HEAT_GUARDS for aside in state.asides):
        return say("a guard was set aside")
    if any(each.held_s > LONG_HOLD_S for each in state.steps if each.step.hot):
        return say("it was on hold while hot")
    if any(note.what in ("slept", "program stood still") for note in state.clock_notes):
        return say("the computer slept in the middle")
    return ""


def _readings(state: SessionState, from_s: float, to_s: float) -> tuple[Reading, ...]:
    """Seconds from `from_s`."""
    return tuple(
        replace(each, seconds=each.seconds - from_s) for each in readings_to_fit(state, from_s, to_s)
    )


def _melt(state: SessionState) -> StepProgress | None:
    """The last heating before any fragrance was in; None where there was none."""
    found = None
    for each in state.steps:
        in_time = state.scented_at_s is None or (each.ended_at_s or 0.0) <= state.scented_at_s
        if each.step.heat_on and each.ended_at_s is not None and in_time:
            found = each
    return found


def _melted(state: SessionState) -> Composition:
    assert state.plan is not None
    return before_scent(composition_made(state), state.plan)


def _cooling(state: SessionState, around: Surroundings, catalogue: Catalogue) -> tuple[Learned, ...]:
    """Loss of the jug, between heat and fragrance (or the first tin)."""
    melt = _melt(state)
    if melt is None or melt.ended_at_s is None:
        return ()
    ends = [state.at_s, *(tin.at_s for tin in state.poured.values())]
    if state.scented_at_s is not None:
        ends.append(state.scented_at_s)
    readings = _readings(state, melt.ended_at_s, min(ends))
    composition = _melted(state)
    if len(readings) < FEWEST or composition.mass_g < 1:
        return ()
    observed_c = state.set_point_seen_c
    made = forecast(
        readings,
        Blend.of(composition, catalogue, observed_c),
        around.vessel,
        composition.mass_g,
        around.room_c,
        room_sd_k=around.room_sd_k,
        resolution_k=around.resolution_k,
        probe_sd_k=around.probe_sd_k,
    )
    return (made.loss,)


def _bath(state: SessionState, around: Surroundings, catalogue: Catalogue) -> list[tuple[str, Learned]]:
    """Contact of the jug to its bath, and the stove, by the first melt."""
    plan = state.plan
    step = next((each for each in state.steps if each.step.kind is StepKind.MELT_BATH), None)
    if plan is None or step is None or step.begun_at_s is None or step.step.aim_c is None:
        return []
    if step.held_s > LONG_HOLD_S or (state.scented_at_s or step.begun_at_s) < step.begun_at_s:
        return []
    ended_s = state.at_s if step.ended_at_s is None else step.ended_at_s
    readings = _readings(state, step.begun_at_s, ended_s)
    composition = _melted(state)
    if len(readings) < FEWEST or composition.mass_g < 1:
        return []
    made = melt_ahead(
        readings,
        Blend.of(composition, catalogue),
        around.vessel,
        composition.mass_g,
        around.room_c,
        step.step.aim_c,
        bath=bath_of(plan, around.room_c),
    )
    found = [(STOVE_ABOUT, made.stove)] if plan.stove is not None else []
    if around.vessel is not None:
        found.append((about_vessel(around.vessel.key), made.contact))
    return found


def _bursts(
    state: SessionState, events: Iterable[AnyEvent], oven: Microwave, catalogue: Catalogue
) -> tuple[Learned, ...]:
    """The share of water's watts that the melt took up."""
    bursts = burst_pairs(state, events)
    composition = _melted(state)
    if len(bursts) < FEWEST_BURSTS or composition.mass_g < 1:
        return ()
    if any(CUP in each.recorded for each in state.steps):
        return ()  # the cup of water beside the jug took a part of its own
    blend = Blend.of(composition, catalogue)
    row = taught(bursts, blend, composition.mass_g, usual_power(oven, composition.mass_g))
    return () if row is None else (row,)


def burst_pairs(state: SessionState, events: Iterable[AnyEvent]) -> tuple[Burst, ...]:
    """Every burst with the readings before and after it, corrections counted."""
    read = [(each.seq, state.celsius_of(each)) for each in state.readings]
    pairs: list[Burst] = []
    began = 0
    for seq, event in enumerate(events, start=1):
        if isinstance(event, BurstStarted):
            began = seq
        elif isinstance(event, BurstEnded) and began:
            before = [celsius for at, celsius in read if at < began]
            after = [celsius for at, celsius in read if at > seq]
            if before and after and event.seconds > 0:
                pairs.append(Burst(event.seconds, before[-1], after[0]))
            began = 0
    return tuple(pairs)


# --- the shelf ---


def taken_in(shelf: Shelf, lessons: Iterable[Lesson], up_to: int, today: date) -> Shelf:
    """The shelf with these lessons, each belief worked out anew; sessions up to `up_to` are not asked again."""
    return _reckoned(
        shelf.model_copy(update={"learned_up_to": max(shelf.learned_up_to, up_to)}),
        (*shelf.lessons, *lessons),
        today,
    )


def with_water_test(shelf: Shelf, oven: str, test: WaterTest, today: date) -> tuple[Shelf, bool]:
    """The shelf after one more water test, and whether it agrees with the earlier ones of a load like it.

    What blends took up was reckoned as a share of the watts believed before for their load, so each lesson
    moves by what is believed now.
    """
    before = next(each for each in shelf.microwaves if each.key == oven)
    after, fits = oven_after_test(before, test)
    about = about_oven(oven)

    def moved(each: Lesson) -> Lesson:
        if each.about != about or each.what != SHARE_TAKEN:
            return each
        load_g = test.water_g if each.mass_g is None else each.mass_g
        shift = math.log(usual_power(before, load_g).watts / usual_power(after, load_g).watts)
        return each.model_copy(update={"value": each.value + shift})

    ovens = tuple(after if each.key == oven else each for each in shelf.microwaves)
    lessons = [moved(each) for each in shelf.lessons]
    return _reckoned(shelf.model_copy(update={"microwaves": ovens}), lessons, today), fits


def with_drops(shelf: Shelf, lot: str, count: int, mass_g: float, readability_g: float, today: date) -> Shelf:
    """The shelf after `count` drops of a bottle were weighed: `mass_g`, on a scale with that last digit."""
    sd = readability_g / 12**0.5 * 2**0.5 / count  # a reading before and one after
    lesson = Lesson(
        day=today, about=about_lot(lot), what=DROP, value=mass_g / count, sd=max(sd, 1e-4 * mass_g / count)
    )
    return _reckoned(shelf, (*shelf.lessons, lesson), today)


def forgotten(shelf: Shelf, about: str) -> Shelf:
    """Nothing is known of this thing any more; what it will teach from now on counts."""
    kept = tuple(each for each in shelf.lessons if each.about != about)
    return _placed(shelf.model_copy(update={"lessons": kept}), about, (), keep=())


def _reckoned(shelf: Shelf, lessons: Iterable[Lesson], today: date) -> Shelf:
    kept = _newest(lessons)
    shelf = shelf.model_copy(update={"lessons": kept})
    for about in dict.fromkeys(each.about for each in kept):
        shelf = _placed(shelf, about, believed(kept, about, today), keep=(WATTS,))
    return shelf


def _newest(lessons: Iterable[Lesson]) -> tuple[Lesson, ...]:
    """In order of day, the newest of each kind of each thing: a shelf does not grow without end."""
    rows = sorted(lessons, key=lambda each: each.day)
    left: dict[tuple[str, str], int] = {}
    kept = []
    for each in reversed(rows):
        key = (each.about, each.what)
        left[key] = left.get(key, 0) + 1
        if left[key] <= MOST_LESSONS:
            kept.append(each)
    return tuple(reversed(kept))


def _placed(shelf: Shelf, about: str, rows: tuple[Learned, ...], keep: tuple[str, ...]) -> Shelf:
    """Put the belief where forecasts look for it; `keep`: quantities that lessons do not decide."""
    if about == STOVE_ABOUT:
        return shelf.model_copy(update={"stove_learned": rows})
    kind, _, key = about.partition(":")
    attribute = {"vessel": "vessels", "microwave": "microwaves", "lot": "lots"}[kind]
    things: tuple[Vessel | Microwave | Lot, ...] = getattr(shelf, attribute)

    def changed(thing: Vessel | Microwave | Lot) -> Vessel | Microwave | Lot:
        if thing.key != key:
            return thing
        stay = tuple(row for row in thing.learned if row.what in keep)
        changes: dict[str, object] = {"learned": (*stay, *rows)}
        if isinstance(thing, Microwave) and not keep:
            changes["tests"] = ()
        return thing.model_copy(update=changes)

    return shelf.model_copy(update={attribute: tuple(changed(thing) for thing in things)})
