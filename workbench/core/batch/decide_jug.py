"""Decisions about the jug: bursts, the way of heating, the bath, additions, growing, pouring, leftovers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from workbench.core.batch import commands as ask
from workbench.core.batch import events as told
from workbench.core.batch.asked import (
    Asked,
    Decided,
    ask_once_more,
    mass_fits,
    not_a_mass,
    reckoned_events,
    skin_guard,
    step_of,
    stop_burst,
    unread,
)
from workbench.core.batch.bursts import LONGEST_BURST_S, no_burst
from workbench.core.batch.commands import Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.guards import (
    UNDER_LIMIT_K,
    fragrance_guard,
    pour_guard,
)
from workbench.core.batch.limits import hard_ceiling
from workbench.core.batch.made import grown_targets, leftover_material
from workbench.core.batch.needs import missing, ten_times_off
from workbench.core.batch.state import BurstPhase, SessionState, StepMark
from workbench.core.batch.steps import Guard, Step, StepKind
from workbench.core.recipe.model import Heat
from workbench.core.wording import Degrees, Duration, Kelvins, say

BURST_SLACK_S = 0.5  # the screen shows whole seconds


def decide_start_burst(asked: Asked, command: ask.StartBurst) -> Decided:
    state = asked.state
    if state.scented:
        return Refused(
            says=say("Scented balm is never warmed in the microwave."), what_to_do=say("Use the water bath.")
        )
    if state.heat is not Heat.MICROWAVE:
        return Refused(says=say("This batch is heated in the water bath."))
    refused = unread(state)
    if refused is not None:
        return refused
    if state.burst.phase is not BurstPhase.READY:
        lacking = [each for each in missing(state) if each.need == ""]
        return Refused(says=lacking[0].says if lacking else say("Stir and take the temperature first."))
    most_s = min(LONGEST_BURST_S, asked.rules.next_burst_s(state))
    refused_for_good = asked.rules.burst_refused(state)
    if refused_for_good:
        return Refused(says=refused_for_good, what_to_do=say("Change the heat to the water bath."))
    stop = no_burst(state)
    if stop is not None:
        return stop
    if most_s <= 0:
        return Refused(
            says=say("No burst now: it is close enough to its ceiling."),
            what_to_do=say("Stir, wait a minute and read again."),
        )
    if not 0 < command.seconds <= most_s + BURST_SLACK_S:
        return Refused(
            says=say("The next burst may last {most} at most.", most=Duration(most_s)),
            what_to_do=say("Choose a shorter burst."),
        )
    return [told.BurstStarted(**asked.here, seconds=min(command.seconds, LONGEST_BURST_S))]


def decide_end_burst(asked: Asked, command: ask.EndBurst) -> Decided:
    return stop_burst(asked) or Refused(says=say("No burst is running."))


def decide_stir(asked: Asked, command: ask.Stir) -> Decided:
    if asked.state.burst.phase is BurstPhase.RUNNING:
        return Refused(says=say("The burst is still running; end it first."))
    return [told.Stirred(**asked.here)]


def decide_change_heat(asked: Asked, command: ask.ChangeHeat) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    if command.heat is state.heat:
        return Refused(says=say("It is heated that way already."))
    if state.poured:
        return Refused(says=say("Tins are poured already; the jug is warmed again in the water bath only."))
    if state.scented:
        return Refused(says=say("Fragrance is in the jug: only the water bath may warm it now."))
    why = plan.heat_refused.get(command.heat.value)
    if why:
        return Refused(says=why)
    steps = plan.steps_by_heat.get(command.heat.value, ())
    if not steps:
        return Refused(says=say("This plan knows only one way of heating."))
    if not command.reason.strip():
        return Refused(says=say("Changing the way of heating needs a word of reason."))
    if state.burst.phase is BurstPhase.RUNNING:
        return Refused(says=say("The burst is still running; end it first."))
    return _instead(
        asked,
        told.HeatChanged(
            **asked.here,
            heat=command.heat,
            reason=command.reason.strip(),
            steps=_as_rows(_renamed(asked.state, steps)),
        ),
    )


def decide_back_to_bath(asked: Asked, command: ask.GoBackToBath) -> Decided:
    state, step, plan = asked.state, step_of(asked), asked.state.plan
    assert plan is not None
    if not state.scented and step.kind is not StepKind.POUR:
        return Refused(says=say("No fragrance is in the jug yet: warm it as before."))
    if not plan.rewarm_steps:
        return Refused(says=say("This plan has no way back to the bath."))
    if not command.reason.strip():
        return Refused(says=say("Going back to the bath needs a word of reason."))
    again: list[Step] = list(plan.rewarm_steps)
    if step.kind is StepKind.POUR:
        left = tuple(
            need
            for need in step.needs
            if not need.key.startswith("tin:") or int(need.key.removeprefix("tin:")) not in state.poured
        )
        again.append(step.model_copy(update={"needs": left}))
    waiting = [each.step for each in state.steps[state.index + 1 :] if each.mark is StepMark.WAITING]
    again = _renamed(state, (*again,))
    return _instead(
        asked,
        told.BackToBath(**asked.here, reason=command.reason.strip(), steps=_as_rows([*again, *waiting])),
    )


def _renamed(state: SessionState, steps: tuple[Step, ...]) -> list[Step]:
    """The steps with identifiers that no step that was begun has used."""
    taken = {each.step.id for each in state.steps if each.mark is not StepMark.WAITING}
    named: list[Step] = []
    for step in steps:
        stem, name, round_ = step.id, step.id, 2
        while name in taken:
            name, round_ = f"{stem}:again{round_}", round_ + 1
        taken.add(name)
        named.append(step if name == step.id else step.model_copy(update={"id": name}))
    return named


def _as_rows(steps: list[Step]) -> tuple[dict[str, Any], ...]:
    return tuple(step.model_dump(mode="json") for step in steps)


def _instead(asked: Asked, event: told.HeatChanged | told.BackToBath) -> list[AnyEvent]:
    return [event, told.StepBegun(**asked.at, step=str(event.steps[0]["id"]))]


def decide_add(asked: Asked, command: ask.Add) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    if not mass_fits(command.mass_g):
        return not_a_mass()
    if not command.reason.strip():
        return Refused(says=say("Adding something needs a word of reason."))
    material = plan.materials.get(command.material)
    if material is None:
        return Refused(
            says=say("“{key}” is not part of this plan.", key=command.material),
            what_to_do=say("Add only what the recipe holds, or plan it anew."),
        )
    is_scent = material.kind.is_scent
    if is_scent:
        if step_of(asked).kind not in (StepKind.ADD_FRAGRANCE, StepKind.STIR, StepKind.POUR):
            return Refused(says=say("Fragrance goes in at its own step only."))
        refused = unread(state) or fragrance_guard(_poured_in_alone(asked, command.material), asked.now.at_s)
        if refused is not None:
            return refused
    more = {command.material: command.mass_g}
    over = skin_guard(asked, more)
    if over is not None:
        return over
    reckoned = reckoned_events(asked, state.step_id, more)
    if is_scent and reckoned and isinstance(reckoned[0], told.TemperaturesReckoned):
        too_hot = _too_hot_with(asked, reckoned[0])
        if too_hot is not None:
            return too_hot
    return [
        told.Added(
            **asked.here,
            material=command.material,
            mass_g=command.mass_g,
            typed=command.typed,
            reason=command.reason.strip(),
            lot=command.lot,
        ),
        *reckoned,
    ]


def _poured_in_alone(asked: Asked, material: str) -> SessionState:
    """The state with the flash-safe temperature of one oil poured in by itself, never a higher one.

    More of one oil goes in neat: it may flash well below the blend, or the
    premix, that the plan reckoned with.
    """
    state, plan, own_flash_c = asked.state, asked.state.plan, asked.rules.own_flash_c
    if plan is None or own_flash_c is None:
        return state
    own_c, safe_c = own_flash_c(material), state.temperatures.flash_safe_c
    if own_c is not None and safe_c is not None:
        safe_c = min(safe_c, own_c - plan.recipe.flash_margin_k)
    elif own_c is None:
        safe_c = None
    return replace(state, temperatures=state.temperatures.model_copy(update={"flash_safe_c": safe_c}))


def _too_hot_with(asked: Asked, event: told.TemperaturesReckoned) -> Refused | None:
    """An addition lowers the scented ceiling: it must not fall below what the jug is at."""
    ceiling_c, last_c = event.temperatures.get("scented_ceiling_c"), asked.state.last_c
    if ceiling_c is None or last_c is None or last_c <= ceiling_c - UNDER_LIMIT_K:
        return None
    return Refused(
        says=say(
            "With that much in it the limit of the jug is {limit}, and it is {now}: stay {under} under it.",
            limit=Degrees(ceiling_c),
            now=Degrees(last_c),
            under=Kelvins(UNDER_LIMIT_K),
        ),
        what_to_do=say("Let it cool first."),
        guard=Guard.SCENTED_CEILING,
    )


def decide_grow(asked: Asked, command: ask.GrowBatch) -> Decided:
    if not command.reason.strip():
        return Refused(says=say("Growing the batch needs a word of reason."))
    grown = grown_targets(asked.state)
    if isinstance(grown, Refused):
        return grown
    return [
        told.AmountsChanged(
            **asked.here,
            targets_g=grown.targets_g,
            reason=command.reason.strip(),
            steps=_as_rows(_renamed(asked.state, grown.steps)),
        )
    ]


def decide_pour(asked: Asked, command: ask.Pour) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    tin = next((each for each in plan.tins if each.number == command.number), None)
    if tin is None:
        return Refused(says=say("There is no tin {number} in this plan.", number=command.number))
    step = step_of(asked)
    need = state.need(f"tin:{command.number}")
    if need is None and step.kind is StepKind.POUR:
        return Refused(says=say("Tin {number} is poured already.", number=command.number))
    if not mass_fits(command.mass_g):
        return not_a_mass()
    refused = unread(state)
    if refused is not None:
        return refused
    if step.kind is StepKind.POUR:
        if need is not None and need.key in (state.current.recorded if state.current else {}):
            return Refused(
                says=say("Tin {number} is poured already.", number=command.number),
                what_to_do=say("Correct it if the number was wrong; topping up has its own step."),
            )
        reading_due = next(
            (each for each in missing(state) if each.need and not each.need.startswith("tin:")), None
        )
        if reading_due is not None:
            return Refused(says=reading_due.says)
        refused = skin_guard(asked, {}) or pour_guard(state)
        if refused is not None:
            return refused
        if need is not None and not command.sure and ten_times_off(command.mass_g, need.target):
            return ask_once_more(command.mass_g, need)
    return [
        told.TinPoured(
            **asked.here, tin=tin.tin, number=command.number, mass_g=command.mass_g, typed=command.typed
        )
    ]


def decide_leftover(asked: Asked, command: ask.KeepLeftover) -> Decided:
    if not mass_fits(command.mass_g):
        return not_a_mass()
    material = leftover_material(asked.state, asked.now.wall)
    if isinstance(material, Refused):
        return material
    return [
        told.LeftoverKept(
            **asked.here,
            lot=material.key,
            mass_g=command.mass_g,
            material=material.model_dump(mode="json"),
        )
    ]


def decide_see_set_point(asked: Asked, command: ask.SeeSetPoint) -> Decided:
    hottest_c = hard_ceiling(asked.state).celsius
    if not 0 < command.celsius < hottest_c:
        return Refused(says=say("A set point lies between 0 °C and {limit}.", limit=Degrees(hottest_c)))
    return [told.SetPointSeen(**asked.here, celsius=command.celsius, typed=command.typed)]
