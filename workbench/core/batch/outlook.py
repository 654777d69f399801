"""The look ahead of a running batch: how long the melt takes, when the window opens, when a tin may be moved.

In two parts, because a solver takes its tens of milliseconds: `question_of` is
cheap and says what there is to work out now, as plain data that changes only
when something was read, weighed or poured; `answer` works it out, in any
thread; `Ahead.says(now)` words it at every look.  Nothing is allowed because
of what is said here: fragrance waits for a stirred reading.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace

from workbench.core.batch import guards
from workbench.core.batch.in_jug import Surroundings, bath_of, in_jug, surroundings
from workbench.core.batch.outlook_fresh import Window, settled, window_of
from workbench.core.batch.outlook_words import cooling_says, melting_says, setting_says
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Learned, Tin
from workbench.core.heat.bath import Bath, MeltAhead, melt_ahead
from workbench.core.heat.blend import Blend
from workbench.core.heat.fitting import Reading
from workbench.core.heat.forecast import Crossing, Fan, Forecast, forecast
from workbench.core.heat.setting import Setting, setting
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.core.wording import say

COOLING = (StepKind.COOL, StepKind.FLAME_OUT, StepKind.ADD_FRAGRANCE, StepKind.STIR, StepKind.POUR)
SETTING = (StepKind.SET, StepKind.INSPECT)
AHEAD_AT_LEAST_S = 900.0  # of the fan that is drawn
MOST_FITTED = 120  # readings; more of them say nothing new of two or three numbers
SETTLED_S = 20.0  # after fragrance went in, until a reading speaks of the blend


@dataclass(frozen=True, slots=True)
class Melting:
    """Seconds are since the session began; `aim_c` is melt-out."""

    composition: Composition
    around: Surroundings
    bath: Bath
    aim_c: float
    since_s: float
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Cooling:
    """`opens_c`: what a stirred reading must lie under before fragrance goes in; None once it is in."""

    composition: Composition
    around: Surroundings
    opens_c: float | None
    plain: bool  # no fragrance at all: it opens for pouring
    observed_c: float | None
    readings: tuple[Reading, ...]
    floor_c: float | None = None  # the pour floor by which the guards go


@dataclass(frozen=True, slots=True)
class InTins:
    composition: Composition
    observed_c: float | None
    tin: Tin
    mass_g: float
    pour_c: float
    poured_at_s: float
    room_c: float


Question = Melting | Cooling | InTins


def question_of(state: SessionState, catalogue: Catalogue) -> Question | None:
    """What there is to work out in this state; None where there is nothing to go by."""
    plan, step, current = state.plan, state.step, state.current
    if plan is None or step is None or current is None or not state.phase.live:
        return None
    around = surroundings(plan, catalogue)
    observed_c = state.set_point_seen_c or plan.recipe.observed_set_point_c
    if step.kind is StepKind.MELT_BATH and step.aim_c is not None and current.begun_at_s is not None:
        begun_s = current.begun_at_s
        seen = tuple(
            replace(each, seconds=each.seconds - begun_s) for each in readings_to_fit(state, begun_s)
        )
        return Melting(
            in_jug(state), around, bath_of(plan, around.room_c, catalogue.shelf), step.aim_c, begun_s, seen
        )
    if step.kind in COOLING:
        readings = _cooling_readings(state)
        if not readings:
            return None
        plain = not any(line.where == "scent" for line in plan.lines)
        opens_c = None
        if plain and step.kind is StepKind.COOL:
            opens_c = step.high_c
        elif not state.scented and state.temperatures.add_below_c is not None:
            opens_c = state.temperatures.add_below_c - guards.UNDER_LIMIT_K
        return Cooling(
            in_jug(state), around, opens_c, plain, observed_c, readings, state.temperatures.pour_floor_c
        )
    if step.kind in SETTING:
        return _in_tins(state, catalogue, around.room_c, observed_c)
    return None


def readings_to_fit(state: SessionState, from_s: float = 0.0, to_s: float = math.inf) -> tuple[Reading, ...]:
    """Those from `from_s` to `to_s`; of a thermometer that is read every second no more than a fit can use."""
    first = bisect_left(state.readings, from_s, key=lambda each: each.at_s)
    until = bisect_right(state.readings, to_s, key=lambda each: each.at_s)
    apart = max(1, math.ceil((until - first) / MOST_FITTED))
    chosen = [state.readings[at] for at in range(until - 1, first - 1, -apart)]
    return tuple(Reading(each.at_s, state.celsius_of(each), each.stirred) for each in reversed(chosen))


def newest_of(state: SessionState) -> Reading | None:
    """The newest reading, in session seconds, if it speaks of the jug that `question_of` asks about.

    What is said is held against it: an answer of the solver may still be about the readings before it.
    """
    last, step, current = state.last_reading, state.step, state.current
    if last is None or step is None or current is None:
        return None
    if step.kind is StepKind.MELT_BATH:
        from_s = current.begun_at_s or 0.0
    elif step.kind in COOLING:
        from_s = _cools_from_s(state)
    else:
        return None
    if last.at_s < from_s:
        return None
    return Reading(last.at_s, state.celsius_of(last), last.stirred)


def _cooling_readings(state: SessionState) -> tuple[Reading, ...]:
    return readings_to_fit(state, _cools_from_s(state))


def _cools_from_s(state: SessionState) -> float:
    """Since when readings speak of a jug left to cool: off the heat, and settled after fragrance went in."""
    from_s = 0.0
    for each in state.steps:
        if each.step.heat_on and each.begun_at_s is not None:
            from_s = max(from_s, state.at_s + 1.0 if each.ended_at_s is None else each.ended_at_s)
    if state.scented_at_s is not None:
        from_s = max(from_s, state.scented_at_s + SETTLED_S)
    return from_s


def _in_tins(
    state: SessionState, catalogue: Catalogue, room_c: float, observed_c: float | None
) -> InTins | None:
    """The largest tin: it is the last that may be moved."""
    plan, last_c = state.plan, state.last_c
    if plan is None or not state.poured or last_c is None:
        return None
    tins = {each.key: each for each in catalogue.shelf.tins}
    poured = [each for each in state.poured.values() if each.tin in tins and each.mass_g > 0]
    if not poured:
        return None
    largest = max(poured, key=lambda each: each.mass_g)
    whole = replace(state, poured={})
    return InTins(
        in_jug(whole),
        observed_c,
        tins[largest.tin],
        largest.mass_g,
        last_c,
        max(each.at_s for each in poured),
        room_c,
    )


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a solver made of a question; `says` words it for the time it is asked at."""

    question: Question
    melt: MeltAhead | None = None
    cool: Forecast | None = None
    set_: Setting | None = None
    trouble: str = ""

    def says(self, now_s: float, newest: Reading | None = None) -> tuple[str, tuple[str, ...]]:
        """A sentence for large type and what stands under it; both empty where there is nothing to say.

        `newest`: a reading, in session seconds, that the solver may not know of yet; nothing is said that it
        contradicts.  Without it the newest that the solver was given counts.
        """
        question = self.question
        if self.trouble:
            return "", (self.trouble,)
        if self.melt is not None and isinstance(question, Melting):
            last = newest and replace(newest, seconds=newest.seconds - question.since_s)
            last = last or (question.readings[-1] if question.readings else None)
            held = settled(
                self.melt.molten, question.aim_c, last, guards.FIRST_RATE_K_S, warming=True
            )  # no bath warms faster
            return melting_says(self.melt, now_s - question.since_s, held)
        if self.cool is not None and isinstance(question, Cooling):
            return cooling_says(
                self.cool, self._window(self.cool, question, newest), now_s, plain=question.plain
            )
        if self.set_ is not None and isinstance(question, InTins):
            return setting_says(self.set_, now_s - question.poured_at_s)
        return "", ()

    def _window(self, cool: Forecast, question: Cooling, newest: Reading | None) -> Window:
        opens = cool.crossings[0] if cool.crossings else None
        return window_of(cool, opens, newest or question.readings[-1], question.floor_c)

    def opens_in_s(self, now_s: float, newest: Reading | None = None) -> float | None:
        """Seconds until the window opens in the median; 0 where it should be open.  `newest` as in `says`."""
        if self.cool is None or not self.cool.crossings or not isinstance(self.question, Cooling):
            return None
        opens = self._window(self.cool, self.question, newest).opens
        return None if opens is None else opens.crossing.remaining_s(now_s)

    def fan(self, now_s: float) -> Fan | None:
        """The forecast from now on, as far as it is worth drawing; seconds since the session began."""
        if self.cool is None:
            return None
        whole = self.cool.fan
        last = max(_end(self.cool.sets), _end(self.cool.floor), now_s + AHEAD_AT_LEAST_S)
        rows = [at for at, second in enumerate(whole.seconds) if self.cool.now_s <= second <= last]
        return Fan(
            tuple(whole.seconds[at] for at in rows),
            tuple(whole.median_c[at] for at in rows),
            tuple(whole.low80_c[at] for at in rows),
            tuple(whole.high80_c[at] for at in rows),
        )

    def lessons(self) -> tuple[Learned, ...]:
        """What the batch taught of its jug so far."""
        if self.cool is not None:
            return (self.cool.loss, self.cool.base)
        return () if self.melt is None else (self.melt.contact, self.melt.stove)


def _end(crossing: Crossing | None) -> float:
    return 0.0 if crossing is None or crossing.high80_s is None else crossing.high80_s


def answer(question: Question, catalogue: Catalogue) -> Ahead:
    """Work a question out.  Takes 30 to 100 ms, so not in the thread of the window."""
    try:
        match question:
            case Melting():
                return Ahead(question, melt=_melting(question, catalogue))
            case Cooling():
                return Ahead(question, cool=_cooling(question, catalogue))
            case InTins():
                blend = Blend.of(question.composition, catalogue, question.observed_c)
                found = setting(blend, question.tin, question.mass_g, question.pour_c, question.room_c)
                return Ahead(question, set_=found)
    except Trouble as trouble:
        return Ahead(question, trouble=say("No forecast: {why}", why=trouble.says))


def _melting(question: Melting, catalogue: Catalogue) -> MeltAhead:
    around = question.around
    return melt_ahead(
        question.readings,
        Blend.of(question.composition, catalogue),
        around.vessel,
        question.composition.mass_g,
        around.room_c,
        question.aim_c,
        bath=question.bath,
    )


def _cooling(question: Cooling, catalogue: Catalogue) -> Forecast:
    around = question.around
    return forecast(
        question.readings,
        Blend.of(question.composition, catalogue, question.observed_c),
        around.vessel,
        question.composition.mass_g,
        around.room_c,
        below=() if question.opens_c is None else (question.opens_c,),
        room_sd_k=around.room_sd_k,
        resolution_k=around.resolution_k,
        probe_sd_k=around.probe_sd_k,
        figures=catalogue.heat,
    )


__all__ = ["Ahead", "Cooling", "InTins", "Melting", "Question", "answer", "question_of"]
