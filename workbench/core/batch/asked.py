"""What every decision needs: the situation, and events and refusals that several commands share."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from workbench.core.batch import events as told
from workbench.core.batch.commands import Moment, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.limits import is_aside
from workbench.core.batch.made import composition_now
from workbench.core.batch.needs import unread_cautions
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import BurstPhase, SessionState
from workbench.core.batch.steps import Guard, Need, Step
from workbench.core.trouble import Trouble
from workbench.core.wording import Grams, say

LONGEST_RECORDED_BURST_S = 120.0
MOST_G = 100_000.0


Decided = list[AnyEvent] | Refused


@dataclass(frozen=True, slots=True)
class Asked:
    """The situation in which a command is asked."""

    state: SessionState
    now: Moment
    rules: Rules

    @property
    def at(self) -> dict[str, Any]:
        """The two times every event carries."""
        return {"at_s": self.now.at_s, "wall": self.now.wall}

    @property
    def here(self) -> dict[str, Any]:
        """The two times and the step in hand."""
        return {**self.at, "step": self.state.step_id}


def hold_event(
    asked: Asked, reason: str, by: Literal["maker", "guard", "program"], guard: Guard | None = None
) -> told.HoldAsked:
    """The event of a hold, with what the step in hand says is safe."""
    step = asked.state.step
    return told.HoldAsked(
        **asked.here,
        reason=reason,
        by=by,
        guard=guard,
        safe_action="" if step is None else step.safe_action,
    )


def stop_burst(asked: Asked) -> list[AnyEvent]:
    """The end of a burst that still runs; nothing where none does."""
    burst = asked.state.burst
    if burst.phase is not BurstPhase.RUNNING:
        return []
    ran_s = min(asked.now.at_s - burst.started_at_s, LONGEST_RECORDED_BURST_S)
    return [told.BurstEnded(**asked.here, seconds=ran_s, early=ran_s < burst.planned_s)]


def reckoned_events(asked: Asked, step: str, more: Mapping[str, float]) -> list[AnyEvent]:
    """The limits of what is really in the jug, where they differ from those in force."""
    state, rules = asked.state, asked.rules
    if rules.reckon is None or state.plan is None:
        return []
    try:
        temperatures = rules.reckon(state.plan, composition_now(state).plus(more))
    except Trouble:
        return []  # what is in force stays in force
    old, new = state.temperatures.model_dump(mode="json"), temperatures.model_dump(mode="json")
    if not any(_moved(old[name], new[name]) for name in new if name.endswith("_c")):
        return []
    return [told.TemperaturesReckoned(**asked.at, step=step, temperatures=new)]


def _moved(old: float | None, new: float | None) -> bool:
    if old is None or new is None:
        return old is not new
    return abs(old - new) >= 0.1


def step_of(asked: Asked) -> Step:
    """The step in hand; the table lets no command about a step through without one."""
    step = asked.state.step
    assert step is not None  # the table lets no command about a step through before it
    return step


def skin_guard(asked: Asked, more: Mapping[str, float]) -> Refused | None:
    """A refusal where what was weighed, with `more` grams of what goes in now, is over a limit for skin."""
    state, judge = asked.state, asked.rules.judge_skin
    if judge is None or state.plan is None or is_aside(state, Guard.SKIN_LIMITS):
        return None
    skin = judge(state.plan, composition_now(state).plus(more))
    if skin.verdict != "over":
        return None
    return Refused(
        says=skin.over[0] if skin.over else say("That would put the balm over a limit for skin."),
        what_to_do=say("Add less, or give a reason: the record and every label will say so."),
        guard=Guard.SKIN_LIMITS,
        can_set_aside=True,
    )


def unread(state: SessionState) -> Refused | None:
    """A refusal while cautions of a hot step are unread."""
    if not unread_cautions(state):
        return None
    return Refused(says=say("Read the cautions of this step first."))


def mass_fits(mass_g: float) -> bool:
    """Whether this can be a weight in g: more than 0, at most 100 kg."""
    return math.isfinite(mass_g) and 0 < mass_g <= MOST_G


def not_a_mass() -> Refused:
    """The refusal of a weight that cannot be."""
    return Refused(says=say("A weight must be more than 0 g."))


def no_such_need(key: str) -> Refused:
    """The refusal of an answer nobody asked for."""
    return Refused(says=say("The step in hand does not ask for “{key}”.", key=key))


def ask_once_more(mass_g: float, need: Need) -> Refused:
    """The refusal that a repeated command with `sure` overrides."""
    return Refused(
        says=say(
            "{label}: {mass} is far from the {target} that was meant.",
            label=need.label,
            mass=Grams(mass_g, 2),
            target=Grams(need.target or 0.0, 2),
        ),
        what_to_do=say("Look at the decimal sign; if it is right, record it once more."),
        ask_sure=True,
    )
