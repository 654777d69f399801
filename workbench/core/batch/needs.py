"""What the step in hand still misses, and what about it asks for a second look."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.core.batch.made import MORE, Grown, grown_targets
from workbench.core.batch.state import BurstPhase, Recorded, SessionState
from workbench.core.batch.steps import BY_HAND, Need, NeedKind, StepKind
from workbench.core.wording import Degrees, Duration, Grams, say

TEN_TIMES_OFF = 5.0  # further off than this factor looks like a slipped decimal sign
OFF_TREND_K = 10.0
TREND_HOLDS_S = 300.0
WARMING_K_S = 8.0 / 60  # what a jug on the heat may do before two readings have shown how fast it warms
SPOON = "firmness"  # the need that records what the cold spoon says
SPOON_RIGHT = "firm"


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing without which the primary action is refused; `need` is "" for other than needs."""

    need: str
    says: str


def missing(state: SessionState) -> tuple[Missing, ...]:
    """What the current step must still record, in the order of the step; empty where none runs."""
    current = state.current
    if current is None:
        return ()
    found = [
        Missing(need.key, _ask_for(need))
        for need in current.step.needs
        if need.required and need.key not in current.recorded
    ]
    if state.burst.phase is BurstPhase.RUNNING:
        found.append(Missing("", say("The burst is still running; end it first.")))
    elif state.burst.phase is BurstPhase.STIR_DUE:
        found.append(Missing("", say("Stir after the burst.")))
    elif state.burst.phase is BurstPhase.READING_DUE:
        found.append(Missing("", say("Take the temperature after the burst.")))
    if unread_cautions(state):
        found.append(Missing("", say("Read the cautions of this step first.")))
    return tuple(found)


def unread_cautions(state: SessionState) -> tuple[str, ...]:
    """Cautions of a hot step that were not yet read, or not again since a hold."""
    current = state.current
    if current is None or not current.step.hot:
        return ()
    return tuple(key for key in current.step.cautions if key not in current.cautions_read)


def _ask_for(need: Need) -> str:
    match need.kind:
        case NeedKind.MASS:
            return say("Weigh this first: {label}.", label=need.label)
        case NeedKind.DROPS:
            return say("Count the drops first: {label}.", label=need.label)
        case NeedKind.TEMPERATURE:
            return say("Take the temperature first.")
        case NeedKind.CHOICE:
            return say("This comes first: {label}", label=need.label)
        case NeedKind.DEPTH:
            return say("Measure the depth first: {label}.", label=need.label)
        case NeedKind.COUNT:
            return say("Count first: {label}.", label=need.label)
        case NeedKind.BURST:
            return say("Heat in a burst first.")
        case NeedKind.WORDS:
            return say("Write this down first: {label}.", label=need.label)
        case NeedKind.TICK:
            return say("Tick this first: {label}.", label=need.label)


def _off_the_target(state: SessionState, need: Need, weighed_g: float, target_g: float) -> str:
    """Only what can still be done about it is offered."""
    masses = {"weighed": Grams(weighed_g, 2), "target": Grams(target_g, 2)}
    if weighed_g < target_g:
        return say(
            "{name}: {weighed} where {target} was meant. Add what is missing and weigh again, or accept it.",
            name=need.label,
            **masses,
        )
    if isinstance(grown_targets(state), Grown):
        return say(
            "{name}: {weighed} where {target} was meant. Accept it, grow the batch to it, or weigh again.",
            name=need.label,
            **masses,
        )
    if state.targets_g:
        return say(
            "{name}: {weighed} where {target} was meant. The batch has grown to it.",
            name=need.label,
            **masses,
        )
    return say(
        "{name}: {weighed} where {target} was meant. In all, the proportions hold as near as the scale shows. Accept it, or weigh again.",
        name=need.label,
        **masses,
    )


def _growth(state: SessionState) -> float:
    """The factor by which the steps that wait have grown, by the heaviest: least rounded; 1 where they have not."""
    grown = [
        (need.target, state.targets_g[need.key] / need.target)
        for each in state.steps
        for need in each.step.needs
        if need.target and need.key in state.targets_g and MORE not in need.key and need.kind is NeedKind.MASS
    ]
    return max(grown, default=(0.0, 1.0))[1]


def _fell_behind(state: SessionState, need: Need, recorded: Recorded) -> bool:
    """Whether the batch grew to this weight, and then less of it was recorded after all."""
    if need.target is None or need.low is None or need.key in state.targets_g or MORE in need.key:
        return False
    comes = any(
        other.material == need.material and MORE in other.key
        for each in state.steps
        for other in each.step.needs
    )
    lowest = need.target * _growth(state) - 2 * (need.target - need.low)
    return not comes and float(recorded.value) < lowest


def second_look(state: SessionState, now_s: float) -> str:
    """Why finishing the step now asks once more; "" where it need not.

    A weight outside its tolerance, a temperature outside the step's band, or
    a step that took less time than it honestly can.
    """
    current = state.current
    if current is None:
        return ""
    for bare in current.step.needs:
        need, recorded = state.with_target(bare), current.recorded.get(bare.key)
        if recorded is None or need.target is None:
            continue
        if need.kind is NeedKind.MASS and need.material and _outside(need, recorded):
            return _off_the_target(state, need, float(recorded.value), need.target)
        if need.kind is NeedKind.MASS and need.material and _fell_behind(state, need, recorded):
            return say(
                "{name}: {weighed}. The batch has grown since, to {grown} of it. Add what is missing and weigh again, or accept it: the steps that follow ask for the grown amounts.",
                name=need.label,
                weighed=Grams(float(recorded.value), 2),
                grown=Grams(need.target * _growth(state), 2),
            )
    step = current.step
    spoon = current.recorded.get(SPOON)
    if step.kind is StepKind.COLD_SPOON and spoon is not None and spoon.value != SPOON_RIGHT:
        return say(
            "The spoon says {answer}. Correct it now, or leave it as it is: with fragrance in it, it cannot be mended.",
            answer=str(spoon.value),
        )
    reading = next((need for need in step.needs if need.kind is NeedKind.TEMPERATURE and need.required), None)
    held = None if reading is None else current.recorded.get(reading.key)
    if held is not None and step.kind in _BANDED:
        celsius = float(held.value)
        if step.low_c is not None and celsius < step.low_c:
            return say(
                "It is {now}; this step is done at {low} or more.",
                now=Degrees(celsius),
                low=Degrees(step.low_c),
            )
        if step.high_c is not None and celsius > step.high_c:
            return say(
                "It is {now}; this step is done at {high} or less.",
                now=Degrees(celsius),
                high=Degrees(step.high_c),
            )
    if step.least_s is not None and active_s(state, now_s) < step.least_s:
        return say(
            "This takes at least {least}, and it has been {so_far}.",
            least=Duration(step.least_s),
            so_far=Duration(active_s(state, now_s)),
        )
    return ""


_BANDED = (StepKind.MELT_BATH, StepKind.MELT_BURSTS, StepKind.COOL)


def _outside(need: Need, recorded: Recorded) -> bool:
    value = float(recorded.value)
    return (need.low is not None and value < need.low) or (need.high is not None and value > need.high)


def active_s(state: SessionState, now_s: float) -> float:
    """Seconds the current step has run: holds count where the wax goes on by itself, not while the maker stirs."""
    step = state.step
    if step is None:
        return 0.0
    elapsed_s = state.step_elapsed_s(now_s)
    return elapsed_s - state.step_held_s(now_s) if step.kind in BY_HAND else elapsed_s


def timer_left_s(state: SessionState, now_s: float) -> float | None:
    """Seconds left on the timer of the current step, below 0 when it is over; None without a timer."""
    step = state.step
    return None if step is None or step.timer_s is None else step.timer_s - active_s(state, now_s)


def ten_times_off(value: float, target: float | None) -> bool:
    """Whether a value is so far off its target that a decimal sign may have slipped."""
    if target is None or target <= 0 or value <= 0:
        return False
    return value / target > TEN_TIMES_OFF or target / value > TEN_TIMES_OFF


def off_trend(state: SessionState, celsius: float, now_s: float) -> float | None:
    """What the trend of the last readings lets one expect, in °C, where a reading is 10 K or more off it.

    None where it is not, where there is no trend, or where the microwave ran
    since: then a rise says nothing against the reading.  With one earlier
    reading and heat on, a jug may have warmed as fast as the guards allow for.
    """
    readings = state.readings[-2:]
    if not readings or now_s - readings[-1].at_s > TREND_HOLDS_S:
        return None
    last = readings[-1]
    last_c = state.celsius_of(last)
    expected = last_c
    if len(readings) == 2 and 1.0 <= last.at_s - readings[0].at_s <= TREND_HOLDS_S:
        rate = (last_c - state.celsius_of(readings[0])) / (last.at_s - readings[0].at_s)
        expected = last_c + rate * (now_s - last.at_s)
    low, high = min(last_c, expected), max(last_c, expected)
    if len(readings) == 1 and state.heat_on:
        high = last_c + WARMING_K_S * (now_s - last.at_s)
    if low - OFF_TREND_K < celsius < high + OFF_TREND_K:
        return None
    bursts = state.burst.phase in (BurstPhase.STIR_DUE, BurstPhase.READING_DUE)
    if bursts and celsius > high:
        return None
    return expected
