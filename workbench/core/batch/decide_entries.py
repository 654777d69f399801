"""Decisions about what the maker records: weights, drops, temperatures, answers, corrections."""

from __future__ import annotations

import math
from dataclasses import replace

from workbench.core.batch import commands as ask
from workbench.core.batch import events as told
from workbench.core.batch.asked import (
    MOST_G,
    Asked,
    Decided,
    ask_once_more,
    mass_fits,
    no_such_need,
    not_a_mass,
    reckoned_events,
    skin_guard,
    step_of,
    unread,
)
from workbench.core.batch.commands import Refused
from workbench.core.batch.evolving import evolve
from workbench.core.batch.guards import (
    BATH,
    FRAGRANCE_IN,
    UNDER_LIMIT_K,
    fragrance_guard,
    fragrance_limit,
)
from workbench.core.batch.limits import ceiling, hard_ceiling
from workbench.core.batch.made import drop_mass_g
from workbench.core.batch.needs import off_trend, ten_times_off
from workbench.core.batch.state import Entry, Phase, Reading, SessionState
from workbench.core.batch.steps import Need, NeedKind, StepKind
from workbench.core.wording import Degrees, say

COLDEST_C, HOTTEST_C = -50.0, 400.0
DEEPEST_MM = 60.0
_WEIGHED = ("mass weighed", "drops counted")


def decide_read_cautions(asked: Asked, command: ask.ReadCautions) -> Decided:
    current = asked.state.current
    assert current is not None
    return [
        told.CautionRead(**asked.here, caution=key)
        for key in current.step.cautions
        if key not in current.cautions_read
    ]


def decide_weigh(asked: Asked, command: ask.Weigh) -> Decided:
    need = asked.state.need(command.need)
    if (
        need is None
        or need.kind is not NeedKind.MASS
        or (command.need.startswith("tin:") and not _weighs_tins(asked))
    ):
        return no_such_need(command.need)
    if not mass_fits(command.mass_g):
        return not_a_mass()
    if not command.sure and ten_times_off(command.mass_g, need.target):
        return ask_once_more(command.mass_g, need)
    return [
        told.MassWeighed(
            **asked.here,
            need=need.key,
            material=need.material or need.key,
            mass_g=command.mass_g,
            typed=command.typed,
            lot=command.lot,
            sure=command.sure,
        )
    ]


def _weighs_tins(asked: Asked) -> bool:
    return step_of(asked).kind is StepKind.WEIGH_TINS


def decide_count_drops(asked: Asked, command: ask.CountDrops) -> Decided:
    need = asked.state.need(command.need)
    if need is None or need.kind is not NeedKind.DROPS:
        return no_such_need(command.need)
    if not 0 < command.count <= 100_000:
        return Refused(says=say("The number of drops must be a whole number above 0."))
    return [
        told.DropsCounted(
            **asked.here,
            need=need.key,
            material=need.material,
            count=command.count,
            typed=command.typed,
            mass_g=_mass_of_drops(asked, need, command.count),
            lot=command.lot,
        )
    ]


def _mass_of_drops(asked: Asked, need: Need, count: int) -> float:
    """By what the plan takes a typical drop to weigh."""
    per_drop_g = drop_mass_g(asked.state, need)
    return per_drop_g * count


def decide_read_temperature(asked: Asked, command: ask.ReadTemperature) -> Decided:
    state = asked.state
    plan = state.plan
    assert plan is not None
    if not COLDEST_C <= command.raw_c <= HOTTEST_C:
        return Refused(
            says=say(
                "No kitchen thermometer shows that; it must lie between {low} and {high}.",
                low=Degrees(COLDEST_C, 0),
                high=Degrees(HOTTEST_C, 0),
            )
        )
    celsius = plan.probe_slope * command.raw_c + plan.probe_offset_k
    if not COLDEST_C <= celsius <= HOTTEST_C:
        return Refused(says=say("With the correction of this probe no such temperature is possible."))
    # a reading at a limit is never questioned first: danger is shown at once, and can be corrected
    dangerous = state.hot and (celsius >= ceiling(state).celsius or _forbids_fragrance(state, celsius))
    expected = None if command.sure or dangerous else off_trend(state, celsius, asked.now.at_s)
    if expected is not None:
        return Refused(
            says=say(
                "{now} is far from {expected}, which the last readings let one expect.",
                now=Degrees(celsius),
                expected=Degrees(expected),
            ),
            what_to_do=say("Look again; if it is right, record it once more."),
            ask_sure=True,
        )
    return [
        told.TemperatureRead(
            **asked.here,
            raw_c=command.raw_c,
            celsius=celsius,
            typed=command.typed,
            stirred=command.stirred,
            sure=command.sure,
        )
    ]


def _forbids_fragrance(state: SessionState, celsius: float) -> bool:
    """At the step where fragrance goes in: too hot for it, so that no earlier reading may let it in meanwhile."""
    step, limit = state.step, fragrance_limit(state)
    if step is None or step.kind is not StepKind.ADD_FRAGRANCE or limit is None:
        return False
    return celsius > limit.celsius - UNDER_LIMIT_K


def decide_answer(asked: Asked, command: ask.Answer) -> Decided:
    state, step = asked.state, step_of(asked)
    need = state.need(command.need)
    if need is None:
        return no_such_need(command.need)
    wrong = _answer_fits(need, command.value)
    if wrong:
        return Refused(says=wrong)
    if step.kind is StepKind.ADD_FRAGRANCE and need.key == FRAGRANCE_IN:
        if state.phase is not Phase.RUNNING:
            return Refused(says=say("Nothing goes in while the batch is on hold."))
        refused = unread(state) or skin_guard(asked, {}) or fragrance_guard(state, asked.now.at_s)
        if refused is not None:
            return refused
    if state.phase is not Phase.RUNNING and need.key != BATH:
        return Refused(says=say("The batch is on hold."), what_to_do=say("Go on first."))
    return [told.AnswerGiven(**asked.here, need=need.key, value=command.value, typed=command.typed)]


def _answer_fits(need: Need, value: str | float | bool) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    match need.kind:
        case NeedKind.TICK:
            return "" if value is True else say("This is ticked when it is done.")
        case NeedKind.CHOICE:
            return (
                ""
                if value in need.choices
                else say("Choose one of: {choices}.", choices=", ".join(need.choices))
            )
        case NeedKind.COUNT:
            fits = number and 0 <= float(value) <= 1e6 and float(value).is_integer()
            return "" if fits else say("This needs a whole number, 0 or more.")
        case NeedKind.DEPTH:
            fits = number and 0 <= float(value) <= DEEPEST_MM
            return "" if fits else say("This needs a depth between 0 and 60 mm.")
        case NeedKind.WORDS:
            return "" if isinstance(value, str) and value.strip() else say("This needs a few words.")
        case _:
            return say("This is recorded by its own key.")


def decide_correct(asked: Asked, command: ask.Correct) -> Decided:
    state = asked.state
    original = state.entry(command.of)
    if original is None or (isinstance(original, Entry) and not _correctable(original)):
        return Refused(says=say("There is no value to correct there."))
    if not command.reason.strip():
        return Refused(says=say("A correction needs a word of reason; the original stays in the record."))
    wrong = _correction_fits(state, original, command.value)
    if wrong:
        return Refused(says=wrong)
    corrected = told.Corrected(
        **asked.here,
        of=command.of,
        value=command.value,
        typed=command.typed,
        reason=command.reason.strip(),
        by=command.by or state.maker,
    )
    if original.seq not in state.added and not (isinstance(original, Entry) and original.kind in _WEIGHED):
        return [corrected]
    if not state.phase.live or not state.hot:
        return [corrected]  # the limits are reckoned when the melt begins
    after = replace(asked, state=evolve(state, state.seq + 1, corrected))
    return [corrected, *reckoned_events(after, state.step_id, {})]


def correctable(state: SessionState, most: int = 40) -> tuple[Entry | Reading, ...]:
    """What holds a value that can be typed anew, the newest first; choices are answered again in their step."""
    entries = [
        each
        for each in state.entries
        if _correctable(each) and not (isinstance(each.value, str) and _chosen(state, each))
    ]
    readings = list(state.readings[-most:]) if state.readings else []
    found: list[Entry | Reading] = [*entries, *readings]
    return tuple(sorted(found, key=lambda each: -each.seq)[:most])


def _chosen(state: SessionState, entry: Entry) -> bool:
    need = _need_of(state, entry)
    return need is not None and need.kind is NeedKind.CHOICE


def _correctable(entry: Entry) -> bool:
    """Ticks, stirs and bursts happened or not; they hold no value that could be wrong."""
    return not isinstance(entry.value, bool) and entry.kind != "burst ended"


def _need_of(state: SessionState, original: Entry | Reading) -> Need | None:
    """The need that an answer was given to; what it asks for holds for a correction too."""
    if isinstance(original, Reading) or original.kind != "answer given":
        return None
    progress = state.progress(original.step)
    needs = () if progress is None else progress.step.needs
    return next((need for need in needs if need.key == original.need), None)


def _correction_fits(state: SessionState, original: Entry | Reading, value: float | str) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    answered = _need_of(state, original)
    if answered is not None:
        return _answer_fits(answered, value)
    if isinstance(original, Reading):
        fits = number and COLDEST_C <= float(value) <= HOTTEST_C
        return "" if fits else say("A temperature must lie between -50 and 400 °C.")
    if isinstance(original.value, str):
        return "" if isinstance(value, str) and value.strip() else say("This needs words, not a number.")
    if original.kind == "set point seen":
        hottest_c = hard_ceiling(state).celsius
        fits = number and 0 < float(value) < hottest_c
        return "" if fits else say("A set point lies between 0 °C and {limit}.", limit=Degrees(hottest_c))
    if not number or not 0 <= float(value) <= MOST_G:
        return say("This needs a number, 0 or more.")
    if original.kind == "drops counted" and not float(value).is_integer():
        return say("The number of drops must be a whole number.")
    return ""
