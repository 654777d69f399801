"""The guards of a running batch, and what can set each aside.

| guard | can be set aside by |
|---|---|
| 95 °C, a bath that boils dry, scented ceiling | nothing: the step goes to hold |
| melt ceiling below 95 °C | a reason |
| flash-safe temperature when adding | a reason and the maker's word: flame out, hotplate off and away, no spark near; below the scented ceiling only |
| a stirred reading, 1.5 K under the limit, less than a minute old | nothing: take the reading |
| a fresh reading while heat is on | a reason, once; then it asks again |
| pour floor | a reason; or the jug goes back into the bath |
| skin limits | a reason, for the session |
| an open window | one remedy accepted before the start |
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from workbench.core.batch.commands import Refused, SetAside
from workbench.core.batch.limits import Ceiling, ceiling, hard_ceiling, is_aside
from workbench.core.batch.plan import Plan
from workbench.core.batch.state import Phase, Reading, SessionState
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.recipe.model import Heat
from workbench.core.wording import Degrees, Duration, Kelvins, say

NO_SPARK = ("flame is out", "hotplate off and away", "no spark near")  # what the maker must state, all three
FRAGRANCE_IN = "in"  # the need that records that the fragrance goes in now
BATH = "bath"  # the need that records how the bath water stands
BATH_DRY = "boiled dry"

UNDER_LIMIT_K = 1.5
STIRRED_YOUNGER_THAN_S = 60.0
GO_ON_YOUNGER_THAN_S = 120.0
DUE_AT_LEAST_S = 60.0
DUE_AT_MOST_S = 300.0
# Nothing warms faster than this in a water bath at full boil while nothing is known of the batch:
# 100 g from 22 to 80 °C takes some 13 min by calculation, half of that for a small one.
FIRST_RATE_K_S = 8.0 / 60
SLOWEST_RATE_K_S = 1.0 / 60  # a reading that stood still says little about the next minutes
FIRST_GUESS_C = 22.0
RATE_SEGMENTS = 3


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the guard table."""

    guard: Guard
    can_set_aside: bool
    needs_statement: bool = False
    holds: bool = False  # broken: the step goes to hold


TABLE: dict[Guard, Rule] = {
    rule.guard: rule
    for rule in (
        Rule(Guard.ABSOLUTE_CEILING, False, holds=True),
        Rule(Guard.BOIL_DRY, False, holds=True),
        Rule(Guard.SCENTED_CEILING, False, holds=True),
        Rule(Guard.MELT_CEILING, True, holds=True),
        Rule(Guard.FLASH_SAFE, True, needs_statement=True),
        Rule(Guard.STIRRED_READING, False),
        Rule(Guard.FRESH_READING, True, holds=True),
        Rule(Guard.POUR_FLOOR, True),
        Rule(Guard.SKIN_LIMITS, True),
        Rule(Guard.WINDOW, False),
    )
}


# --- a fresh reading while heat is on ---


def reading_due_after_s(celsius: float | None, limit_c: float, rate_k_s: float | None) -> float:
    """Seconds from a reading until the next is due: 60 to 300.

    Half the shortest time in which `limit_c` could be reached from `celsius`
    at `rate_k_s`, the fastest warming seen.  Without a rate the fastest that
    a bath can do is taken, without a reading a jug at room temperature.
    """
    room_k = limit_c - (FIRST_GUESS_C if celsius is None else celsius)
    fastest = FIRST_RATE_K_S if rate_k_s is None else max(rate_k_s, SLOWEST_RATE_K_S)
    return min(DUE_AT_MOST_S, max(DUE_AT_LEAST_S, room_k / fastest / 2))


def readings_of_step(state: SessionState, most: int = RATE_SEGMENTS + 1) -> tuple[Reading, ...]:
    """The newest readings taken since the current step began, oldest first."""
    current = state.current
    if current is None or current.begun_at_s is None:
        return ()
    newest = state.readings[-most:] if state.readings else ()
    return tuple(each for each in newest if each.at_s >= current.begun_at_s and each.step == current.step.id)


def observed_rate_k_s(state: SessionState) -> float | None:
    """The fastest warming between neighbouring readings of this step, K/s; None before there are two."""
    readings = readings_of_step(state)
    rates = [
        (state.celsius_of(later) - state.celsius_of(earlier)) / (later.at_s - earlier.at_s)
        for earlier, later in pairwise(readings)
        if later.at_s - earlier.at_s >= 1.0
    ]
    return max(rates) if rates else None


def latest_rate_k_s(state: SessionState) -> float | None:
    """Warming (positive) or cooling between the last two readings of this step, K/s."""
    readings = readings_of_step(state, 2)
    if len(readings) < 2 or readings[1].at_s - readings[0].at_s < 1.0:
        return None
    earlier, later = readings
    return (state.celsius_of(later) - state.celsius_of(earlier)) / (later.at_s - earlier.at_s)


def in_a_bath(state: SessionState) -> bool:
    """Whether the jug of the current step stands in a heated bath (a scented one always does)."""
    step = state.step
    if step is None or not step.heat_on:
        return False
    return step.kind is StepKind.MELT_BATH or (
        step.kind is not StepKind.MELT_BURSTS and state.heat is Heat.WATER_BATH
    )


def reading_interval_s(state: SessionState) -> float | None:
    """How often a fresh reading is due now; None where heat is not on by a bath."""
    if not state.heat_on or not in_a_bath(state):
        return None
    readings = readings_of_step(state, 1)
    celsius = state.celsius_of(readings[-1]) if readings else state.last_c
    return reading_due_after_s(celsius, ceiling(state).celsius, observed_rate_k_s(state))


def reading_due_at_s(state: SessionState) -> float | None:
    """When the next reading is due, in session seconds; None where none is asked for.

    In the microwave a reading is due after every burst; the bursts see to that.
    """
    interval = reading_interval_s(state)
    current = state.current
    if interval is None or current is None or current.begun_at_s is None:
        return None
    readings = readings_of_step(state, 1)
    last_s = readings[-1].at_s if readings else current.begun_at_s
    went_on_s = state.holds[-1].went_on_at_s if state.holds else None
    last_s = max(last_s, went_on_s or 0.0)
    put_off = _put_off(state, last_s)
    return (put_off if put_off is not None else last_s) + interval


def _put_off(state: SessionState, since_s: float) -> float | None:
    """When the fresh reading was put off since `since_s`; None if it was not."""
    for aside in reversed(state.asides):
        if aside.guard is Guard.FRESH_READING and aside.step == state.step_id and aside.at_s >= since_s:
            return aside.at_s
    return None


def reading_overdue_s(state: SessionState, now_s: float) -> float:
    """Seconds by which a fresh reading is late; 0 while it is not."""
    due_s = reading_due_at_s(state)
    return 0.0 if due_s is None else max(0.0, now_s - due_s)


def fresh_reading_guard(state: SessionState, now_s: float) -> Refused | None:
    late_s = reading_overdue_s(state, now_s)
    if late_s <= 0:
        return None
    readings = readings_of_step(state, 1)
    since_s = readings[-1].at_s if readings else 0.0
    return Refused(
        says=say("A fresh temperature has been due for {late}.", late=Duration(late_s)),
        what_to_do=say("Stir, take the temperature and type it in."),
        guard=Guard.FRESH_READING,
        can_set_aside=_put_off(state, since_s) is None,
    )


# --- ceilings ---


@dataclass(frozen=True, slots=True)
class Breach:
    """A guard is broken and the step must go to hold."""

    guard: Guard
    says: str


def breach(state: SessionState, now_s: float) -> Breach | None:
    """Why a running step must go to hold now; None while it need not."""
    if state.phase is not Phase.RUNNING or not state.hot:
        return None
    over = over_ceiling(state)
    if over is not None:
        return Breach(
            over.guard,
            say(
                "It is {now}, and the limit is {limit}. Take the jug off the heat.",
                now=Degrees(state.last_c or 0.0),
                limit=Degrees(over.celsius),
            ),
        )
    bath = state.recorded(BATH)
    if bath is not None and bath.value == BATH_DRY:
        return Breach(Guard.BOIL_DRY, say("The bath has boiled dry. Turn the heat off and take the jug out."))
    interval = reading_interval_s(state)
    if interval is not None and reading_overdue_s(state, now_s) >= interval:
        return Breach(
            Guard.FRESH_READING,
            say("For too long nobody has taken the temperature: it may have reached its limit by now."),
        )
    return None


def over_ceiling(state: SessionState) -> Ceiling | None:
    """The ceiling that the last reading of this session has reached, or None."""
    limit = ceiling(state)
    last_c = state.last_c
    return limit if last_c is not None and last_c >= limit.celsius else None


# --- fragrance ---


def fragrance_limit(state: SessionState) -> Ceiling | None:
    """What the jug must be under when fragrance goes in; None where that cannot be known.

    The lower of flash-safe temperature and scented ceiling; the scented
    ceiling alone once flash-safe was set aside.
    """
    temperatures = state.temperatures
    scented = hard_ceiling(replace(state, scented=True))
    if is_aside(state, Guard.FLASH_SAFE):
        return scented
    if temperatures.flash_safe_c is None:
        return None
    if temperatures.flash_safe_c <= scented.celsius:
        return Ceiling(temperatures.flash_safe_c, Guard.FLASH_SAFE)
    return scented


def fragrance_guard(state: SessionState, now_s: float) -> Refused | None:
    """Why fragrance may not go in now; None when it may.

    Asks for a stirred reading, at least 1.5 K under the limit and less than
    a minute old; neither can be set aside.
    """
    if not is_aside(state, Guard.FLASH_SAFE) and state.temperatures.flash_safe_c is None:
        return Refused(
            says=say(
                "The flash point of what goes in is not known, so nobody can say how hot the jug may be."
            ),
            what_to_do=say(
                "Enter the flash point from the supplier's paper next time. Now it may only go in with flame out, hotplate off and away and no spark near, and with a reason."
            ),
            guard=Guard.FLASH_SAFE,
            can_set_aside=True,
        )
    if state.temperatures.scented_ceiling_c is None:
        return Refused(
            says=say("How hot the jug may be with this fragrance in it is not known."),
            what_to_do=say("Enter the flash points of its oils from the suppliers' papers and plan it anew."),
            guard=Guard.SCENTED_CEILING,
        )
    limit = fragrance_limit(state)
    assert limit is not None
    reading = state.last_reading
    age_s = state.age_s(now_s)
    if reading is None or age_s is None or not reading.stirred or age_s >= STIRRED_YOUNGER_THAN_S:
        return Refused(
            says=say("A stirred reading less than a minute old is needed before fragrance goes in."),
            what_to_do=say("Stir well, take the temperature and type it in."),
            guard=Guard.STIRRED_READING,
        )
    celsius = state.celsius_of(reading)
    if celsius <= limit.celsius - UNDER_LIMIT_K:
        return None
    if limit.guard is Guard.FLASH_SAFE and celsius >= limit.celsius:
        hard_c = hard_ceiling(replace(state, scented=True)).celsius
        return Refused(
            says=say(
                "At {now} the oils could flash: it must be under {limit}.",
                now=Degrees(celsius),
                limit=Degrees(limit.celsius),
            ),
            what_to_do=say("Let it cool, stir and take the temperature again."),
            guard=Guard.FLASH_SAFE,
            can_set_aside=celsius <= hard_c - UNDER_LIMIT_K,
        )
    return Refused(
        says=say(
            "{now} is too close to the limit of {limit}: stay {under} under it.",
            now=Degrees(celsius),
            limit=Degrees(limit.celsius),
            under=Kelvins(UNDER_LIMIT_K),
        ),
        what_to_do=say("Let it cool a little, stir and take the temperature again."),
        guard=Guard.STIRRED_READING if limit.guard is Guard.FLASH_SAFE else limit.guard,
    )


# --- pouring ---


def pour_guard(state: SessionState) -> Refused | None:
    """Why a tin may not be poured now: below the pour floor it no longer levels."""
    floor_c = state.temperatures.pour_floor_c
    last_c = state.last_c
    if floor_c is None or last_c is None or last_c >= floor_c or is_aside(state, Guard.POUR_FLOOR):
        return None
    return Refused(
        says=say(
            "At {now} it no longer levels in a tin; the pour floor is {floor}.",
            now=Degrees(last_c),
            floor=Degrees(floor_c),
        ),
        what_to_do=say("Put the jug back into the bath, or give a reason to pour all the same."),
        guard=Guard.POUR_FLOOR,
        can_set_aside=True,
    )


# --- before the start ---


def start_guard(plan: Plan, set_aside: tuple[SetAside, ...]) -> Refused | None:
    """Why a plan may not be started as it stands."""
    if plan.blockers:
        return Refused(says=plan.blockers[0], what_to_do=say("Change the recipe and plan it again."))
    # every other remedy changes the recipe so that it has a window; only this one leaves it empty
    remedy = plan.recipe.add_above_flash_safe and _pours_below_the_scented_ceiling(plan)
    scented = bool(plan.recipe.scent)
    if scented and plan.temperatures.window_open is not True and not remedy:
        if plan.temperatures.window_open is False:
            says = say(
                "There is no window: the fragrance could flash before the blend is cool enough, or the blend sets first."
            )
        else:
            says = say("Nobody can say whether there is a window: something it depends on is not known.")
        return Refused(
            says=says, what_to_do=say("Accept one of the remedies shown first."), guard=Guard.WINDOW
        )
    aside = next((each for each in set_aside if each.guard is Guard.SKIN_LIMITS), None)
    if plan.skin.verdict == "over" and (aside is None or not aside.reason.strip()):
        return Refused(
            says=plan.skin.over[0] if plan.skin.over else say("The balm is over a limit for skin."),
            what_to_do=say("Lower the amount, or give a reason: the record and every label will say so."),
            guard=Guard.SKIN_LIMITS,
            can_set_aside=True,
        )
    if any(each.guard is not Guard.SKIN_LIMITS for each in set_aside):
        return Refused(says=say("Only skin limits can be set aside before the start."))
    return None


def _pours_below_the_scented_ceiling(plan: Plan) -> bool:
    floor_c, ceiling = plan.temperatures.pour_floor_c, plan.temperatures.scented_ceiling_c
    return floor_c is not None and ceiling is not None and floor_c < ceiling


# --- setting aside ---


def set_aside_guard(state: SessionState, command: SetAside, now_s: float) -> Refused | None:
    """Why a guard may not be set aside now; None when it may."""
    rule = TABLE[command.guard]
    if not rule.can_set_aside:
        return Refused(
            says=say("“{guard}” can never be set aside.", guard=command.guard.value), guard=command.guard
        )
    if not command.reason.strip():
        return Refused(
            says=say("Setting “{guard}” aside needs a reason.", guard=command.guard.value),
            what_to_do=say("Type the reason in a few words."),
            guard=command.guard,
            can_set_aside=True,
        )
    if rule.needs_statement and not set(NO_SPARK) <= set(command.stated):
        return Refused(
            says=say("This may only be set aside with flame out, hotplate off and away, and no spark near."),
            what_to_do=say("See to all three and say so."),
            guard=command.guard,
            can_set_aside=True,
        )
    if command.guard is Guard.FRESH_READING:
        due = fresh_reading_guard(state, now_s)
        if due is None:
            return Refused(says=say("No reading is overdue."), guard=command.guard)
        if not due.can_set_aside:
            return Refused(
                says=say("The reading was put off once already; now it is needed."),
                what_to_do=say("Stir, take the temperature and type it in."),
                guard=command.guard,
            )
    return None


def go_on_guard(state: SessionState, now_s: float) -> Refused | None:
    """Why a held step may not go on: a hot one needs a reading of its own, under its ceiling."""
    hold = state.hold
    if hold is None or not state.hot:
        return None
    reading = state.last_reading
    fresh = reading is not None and reading.seq > hold.seq and now_s - reading.at_s < GO_ON_YOUNGER_THAN_S
    if not fresh:
        return Refused(
            says=say("A fresh temperature is needed before this step goes on."),
            what_to_do=say("Stir, take the temperature and type it in."),
            guard=Guard.FRESH_READING,
        )
    over = over_ceiling(state)
    if over is not None:
        return Refused(
            says=say(
                "It is still {now}, and the limit is {limit}.",
                now=Degrees(state.last_c or 0.0),
                limit=Degrees(over.celsius),
            ),
            what_to_do=say("Leave it off the heat and take the temperature again."),
            guard=over.guard,
            can_set_aside=TABLE[over.guard].can_set_aside,
        )
    bath = state.recorded(BATH)
    if bath is not None and bath.value == BATH_DRY:
        return Refused(
            says=say("The bath has boiled dry."),
            what_to_do=say("Fill it with warm water and say that it is topped up."),
            guard=Guard.BOIL_DRY,
        )
    return None
