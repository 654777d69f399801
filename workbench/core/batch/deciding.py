"""What each command leads to: events, or a refusal.  One small function per command."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from workbench.core.batch import commands as ask
from workbench.core.batch import events as told
from workbench.core.batch.commands import Command, Moment, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.guards import (
    BATH,
    FRAGRANCE_IN,
    fragrance_guard,
    fresh_reading_guard,
    go_on_guard,
    pour_guard,
    set_aside_guard,
    start_guard,
)
from workbench.core.batch.limits import ceiling, hard_ceiling, is_aside
from workbench.core.batch.made import composition_now, drop_mass_g, grown_targets, leftover_material
from workbench.core.batch.needs import missing, off_trend, second_look, ten_times_off, unread_cautions
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import BurstPhase, Entry, Phase, Reading, SessionState, StepMark
from workbench.core.batch.steps import Guard, Need, NeedKind, Step, StepKind
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Duration, Grams, say

LONGEST_BURST_S = 30.0
LONGEST_RECORDED_BURST_S = 120.0
BURST_SLACK_S = 0.5  # the screen shows whole seconds
MOST_G = 100_000.0
COLDEST_C, HOTTEST_C = -50.0, 400.0
DEEPEST_MM = 60.0

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


# --- the course of the session ---


def _start(asked: Asked, command: ask.Start) -> Decided:
    plan = command.plan
    refused = start_guard(plan, command.set_aside)
    if refused is not None:
        return refused
    return [
        told.SessionStarted(
            **asked.at,
            plan=plan.model_dump(mode="json"),
            recipe_name=plan.recipe.name,
            recipe_revision=plan.revision,
            maker=command.maker,
            rehearsal=command.rehearsal,
            seed=command.seed,
            batch_code=command.batch_code,
            running_s=asked.now.running_s,
            boot=asked.now.boot,
        ),
        *(
            told.GuardSetAside(**asked.at, step="", guard=each.guard, reason=each.reason.strip())
            for each in command.set_aside
            if plan.skin.verdict == "over"
        ),
        told.StepBegun(**asked.at, step=plan.steps[0].id),
    ]


def _finish_step(asked: Asked, command: ask.FinishStep) -> Decided:
    state, step = asked.state, _step(asked)
    lacking = missing(state)
    if lacking:
        return Refused(says=lacking[0].says, what_to_do=say("Then go on."))
    late = fresh_reading_guard(state, asked.now.at_s)
    if late is not None:
        return late
    doubt = second_look(state, asked.now.at_s)
    if doubt and not command.sure:
        return Refused(says=doubt, ask_sure=True)
    return [told.StepDone(**asked.at, step=step.id), *_next(asked)]


def _leave_out(asked: Asked, command: ask.LeaveOut) -> Decided:
    step = _step(asked)
    if not step.optional:
        return Refused(says=say("This step cannot be left out."))
    if not command.reason.strip():
        return Refused(says=say("Leaving a step out needs a word of reason."))
    return [
        told.StepLeftOut(**asked.at, step=step.id, reason=command.reason.strip()),
        *_next(asked),
    ]


def _next(asked: Asked) -> list[AnyEvent]:
    state = asked.state
    following = state.index + 1
    if following >= len(state.steps):
        return [told.Finished(**asked.at)]
    step = state.steps[following].step
    begun: list[AnyEvent] = [told.StepBegun(**asked.at, step=step.id)]
    if step.kind in (StepKind.MELT_BATH, StepKind.MELT_BURSTS, StepKind.ADD_FRAGRANCE):
        begun += _reckon(asked, step.id, {})
    return begun


def _reckon(asked: Asked, step: str, more: Mapping[str, float]) -> list[AnyEvent]:
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


def _end_batch(asked: Asked, command: ask.EndBatch) -> Decided:
    if not command.reason.strip():
        return Refused(says=say("Ending a batch early needs a reason."))
    return [
        *stop_burst(asked),
        told.EndedEarly(**asked.at, reason=command.reason.strip(), safe=command.safe),
    ]


# --- holds ---


def _hold(asked: Asked, command: ask.Hold) -> Decided:
    return [*stop_burst(asked), hold_event(asked, command.reason.strip(), "maker")]


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


def _confirm_safe(asked: Asked, command: ask.ConfirmSafe) -> Decided:
    return [told.HeldSafe(**asked.here)]


def _go_on(asked: Asked, command: ask.GoOn) -> Decided:
    return go_on_guard(asked.state, asked.now.at_s) or [told.WentOn(**asked.here)]


# --- what the maker records ---


def _read_cautions(asked: Asked, command: ask.ReadCautions) -> Decided:
    current = asked.state.current
    assert current is not None
    return [
        told.CautionRead(**asked.here, caution=key)
        for key in current.step.cautions
        if key not in current.cautions_read
    ]


def _weigh(asked: Asked, command: ask.Weigh) -> Decided:
    need = asked.state.need(command.need)
    if (
        need is None
        or need.kind is not NeedKind.MASS
        or (command.need.startswith("tin:") and not _weighs_tins(asked))
    ):
        return _no_such_need(command.need)
    if not _mass_fits(command.mass_g):
        return _not_a_mass()
    if not command.sure and ten_times_off(command.mass_g, need.target):
        return _ask_once_more(command.mass_g, need)
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
    return _step(asked).kind is StepKind.WEIGH_TINS


def _count_drops(asked: Asked, command: ask.CountDrops) -> Decided:
    need = asked.state.need(command.need)
    if need is None or need.kind is not NeedKind.DROPS:
        return _no_such_need(command.need)
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


def _read_temperature(asked: Asked, command: ask.ReadTemperature) -> Decided:
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
    dangerous = state.hot and celsius >= ceiling(state).celsius
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


def _answer(asked: Asked, command: ask.Answer) -> Decided:
    state, step = asked.state, _step(asked)
    need = state.need(command.need)
    if need is None:
        return _no_such_need(command.need)
    wrong = _answer_fits(need, command.value)
    if wrong:
        return Refused(says=wrong)
    if step.kind is StepKind.ADD_FRAGRANCE and need.key == FRAGRANCE_IN:
        if state.phase is not Phase.RUNNING:
            return Refused(says=say("Nothing goes in while the batch is on hold."))
        refused = _unread(state) or fragrance_guard(state, asked.now.at_s)
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


# --- heat ---


def _start_burst(asked: Asked, command: ask.StartBurst) -> Decided:
    state = asked.state
    if state.scented:
        return Refused(
            says=say("Scented balm is never warmed in the microwave."), what_to_do=say("Use the water bath.")
        )
    if state.heat is not Heat.MICROWAVE:
        return Refused(says=say("This batch is heated in the water bath."))
    unread = _unread(state)
    if unread is not None:
        return unread
    if state.burst.phase is not BurstPhase.READY:
        lacking = [each for each in missing(state) if each.need == ""]
        return Refused(says=lacking[0].says if lacking else say("Stir and take the temperature first."))
    most_s = min(LONGEST_BURST_S, asked.rules.next_burst_s(state))
    if not 0 < command.seconds <= most_s + BURST_SLACK_S:
        return Refused(
            says=say("The next burst may last {most} at most.", most=Duration(most_s)),
            what_to_do=say("Choose a shorter burst."),
        )
    return [told.BurstStarted(**asked.here, seconds=min(command.seconds, LONGEST_BURST_S))]


def _end_burst(asked: Asked, command: ask.EndBurst) -> Decided:
    return stop_burst(asked) or Refused(says=say("No burst is running."))


def _stir(asked: Asked, command: ask.Stir) -> Decided:
    if asked.state.burst.phase is BurstPhase.RUNNING:
        return Refused(says=say("The burst is still running; end it first."))
    return [told.Stirred(**asked.here)]


def _change_heat(asked: Asked, command: ask.ChangeHeat) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    if command.heat is state.heat:
        return Refused(says=say("It is heated that way already."))
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


def _back_to_bath(asked: Asked, command: ask.GoBackToBath) -> Decided:
    state, step, plan = asked.state, _step(asked), asked.state.plan
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


# --- slips and additions ---


def _add(asked: Asked, command: ask.Add) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    if not _mass_fits(command.mass_g):
        return _not_a_mass()
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
        if _step(asked).kind not in (StepKind.ADD_FRAGRANCE, StepKind.STIR, StepKind.POUR):
            return Refused(says=say("Fragrance goes in at its own step only."))
        refused = _unread(state) or fragrance_guard(state, asked.now.at_s)
        if refused is not None:
            return refused
    more = {command.material: command.mass_g}
    if asked.rules.judge_skin is not None and not is_aside(state, Guard.SKIN_LIMITS):
        skin = asked.rules.judge_skin(plan, composition_now(state).plus(more))
        if skin.verdict == "over":
            return Refused(
                says=skin.over[0] if skin.over else say("That would put the balm over a limit for skin."),
                what_to_do=say("Add less, or give a reason: the record and every label will say so."),
                guard=Guard.SKIN_LIMITS,
                can_set_aside=True,
            )
    reckoned = _reckon(asked, state.step_id, more)
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


def _too_hot_with(asked: Asked, event: told.TemperaturesReckoned) -> Refused | None:
    """An addition lowers the scented ceiling: it must not fall below what the jug is at."""
    ceiling_c, last_c = event.temperatures.get("scented_ceiling_c"), asked.state.last_c
    if ceiling_c is None or last_c is None or last_c < ceiling_c:
        return None
    return Refused(
        says=say(
            "With that much in it the jug may be {limit} at most, and it is {now}.",
            limit=Degrees(ceiling_c),
            now=Degrees(last_c),
        ),
        what_to_do=say("Let it cool first."),
        guard=Guard.SCENTED_CEILING,
    )


def _grow(asked: Asked, command: ask.GrowBatch) -> Decided:
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


# --- pouring and what is left ---


def _pour(asked: Asked, command: ask.Pour) -> Decided:
    state, plan = asked.state, asked.state.plan
    assert plan is not None
    tin = next((each for each in plan.tins if each.number == command.number), None)
    if tin is None:
        return Refused(says=say("There is no tin {number} in this plan.", number=command.number))
    step = _step(asked)
    need = state.need(f"tin:{command.number}")
    if need is None and step.kind is StepKind.POUR:
        return Refused(says=say("Tin {number} is poured already.", number=command.number))
    if not _mass_fits(command.mass_g):
        return _not_a_mass()
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
        refused = _unread(state) or pour_guard(state)
        if refused is not None:
            return refused
        if need is not None and not command.sure and ten_times_off(command.mass_g, need.target):
            return _ask_once_more(command.mass_g, need)
    return [
        told.TinPoured(
            **asked.here, tin=tin.tin, number=command.number, mass_g=command.mass_g, typed=command.typed
        )
    ]


def _leftover(asked: Asked, command: ask.KeepLeftover) -> Decided:
    if not _mass_fits(command.mass_g):
        return _not_a_mass()
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


def _see_set_point(asked: Asked, command: ask.SeeSetPoint) -> Decided:
    hottest_c = hard_ceiling(asked.state).celsius
    if not 0 < command.celsius < hottest_c:
        return Refused(says=say("A set point lies between 0 °C and {limit}.", limit=Degrees(hottest_c)))
    return [told.SetPointSeen(**asked.here, celsius=command.celsius, typed=command.typed)]


# --- the rest ---


def _set_aside(asked: Asked, command: ask.SetAside) -> Decided:
    step = _step(asked)
    if command.guard is not Guard.SKIN_LIMITS and command.guard not in step.guards:
        refused = set_aside_guard(asked.state, command, asked.now.at_s)
        return refused or Refused(says=say("This guard does not stand in the way of the step in hand."))
    refused = set_aside_guard(asked.state, command, asked.now.at_s)
    if refused is not None:
        return refused
    return [
        told.GuardSetAside(
            **asked.here, guard=command.guard, reason=command.reason.strip(), stated=command.stated
        )
    ]


def _acknowledge(asked: Asked, command: ask.Acknowledge) -> Decided:
    alarm = asked.state.alarms.get(command.alarm)
    if alarm is None or alarm.acknowledged_at_s is not None:
        return Refused(says=say("There is no such alarm to acknowledge."))
    return [told.AlarmAcknowledged(**asked.here, alarm=command.alarm)]


def _note(asked: Asked, command: ask.WriteNote) -> Decided:
    if not command.words.strip():
        return Refused(says=say("There is nothing to note down."))
    return [told.Noted(**asked.here, words=command.words)]


def _correct(asked: Asked, command: ask.Correct) -> Decided:
    state = asked.state
    original = state.entry(command.of)
    if original is None or (isinstance(original, Entry) and not _correctable(original)):
        return Refused(says=say("There is no value to correct there."))
    if not command.reason.strip():
        return Refused(says=say("A correction needs a word of reason; the original stays in the record."))
    wrong = _correction_fits(state, original, command.value)
    if wrong:
        return Refused(says=wrong)
    return [
        told.Corrected(
            **asked.here,
            of=command.of,
            value=command.value,
            typed=command.typed,
            reason=command.reason.strip(),
            by=command.by or state.maker,
        )
    ]


def _correctable(entry: Entry) -> bool:
    """Ticks, stirs and bursts happened or not; they hold no value that could be wrong."""
    return not isinstance(entry.value, bool) and entry.kind != "burst ended"


def _correction_fits(state: SessionState, original: Entry | Reading, value: float | str) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if isinstance(original, Reading):
        fits = number and COLDEST_C <= float(value) <= HOTTEST_C
        return "" if fits else say("A temperature must lie between -50 and 400 °C.")
    if isinstance(original.value, str):
        return "" if isinstance(value, str) and value.strip() else say("This needs words, not a number.")
    if not number or not 0 <= float(value) <= MOST_G:
        return say("This needs a number, 0 or more.")
    if original.kind == "drops counted" and not float(value).is_integer():
        return say("The number of drops must be a whole number.")
    return ""


def _notice_clock(asked: Asked, command: ask.NoticeClock) -> Decided:
    noticed: list[AnyEvent] = [told.ClockNoticed(**asked.here, what=command.what, seconds=command.seconds)]
    if command.what != "slept" or asked.state.phase is not Phase.RUNNING or not asked.state.hot:
        return noticed
    return [
        *noticed,
        *stop_burst(asked),
        hold_event(
            asked,
            say("The computer slept for {gap}. The jug went on without it.", gap=Duration(command.seconds)),
            "program",
        ),
    ]


def _take_up(asked: Asked, command: ask.TakeUp) -> Decided:
    taken: list[AnyEvent] = [
        told.TakenUp(
            **asked.here,
            gap_s=command.gap_s,
            basis=command.basis,
            running_s=asked.now.running_s,
            boot=asked.now.boot,
        ),
        *stop_burst(asked),
    ]
    if asked.state.phase is Phase.RUNNING and asked.state.hot:
        taken.append(
            hold_event(
                asked,
                say(
                    "The program was away for {gap}. The jug went on without it.", gap=Duration(command.gap_s)
                ),
                "program",
            )
        )
    return taken


def _look_again(asked: Asked, command: ask.LookAgain) -> Decided:
    return []  # what is due is added for every command


# --- words ---


def _step(asked: Asked) -> Step:
    step = asked.state.step
    assert step is not None  # the table lets no command about a step through before it
    return step


def _unread(state: SessionState) -> Refused | None:
    if not unread_cautions(state):
        return None
    return Refused(says=say("Read the cautions of this step first."))


def _mass_fits(mass_g: float) -> bool:
    return math.isfinite(mass_g) and 0 < mass_g <= MOST_G


def _not_a_mass() -> Refused:
    return Refused(says=say("A weight must be more than 0 g."))


def _no_such_need(key: str) -> Refused:
    return Refused(says=say("The step in hand does not ask for “{key}”.", key=key))


def _ask_once_more(mass_g: float, need: Need) -> Refused:
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


DECIDERS: Mapping[type[Command], Callable[[Asked, Any], Decided]] = {
    ask.Start: _start,
    ask.FinishStep: _finish_step,
    ask.LeaveOut: _leave_out,
    ask.ReadCautions: _read_cautions,
    ask.Weigh: _weigh,
    ask.CountDrops: _count_drops,
    ask.ReadTemperature: _read_temperature,
    ask.Answer: _answer,
    ask.StartBurst: _start_burst,
    ask.EndBurst: _end_burst,
    ask.Stir: _stir,
    ask.Add: _add,
    ask.GrowBatch: _grow,
    ask.Pour: _pour,
    ask.ChangeHeat: _change_heat,
    ask.GoBackToBath: _back_to_bath,
    ask.Hold: _hold,
    ask.ConfirmSafe: _confirm_safe,
    ask.GoOn: _go_on,
    ask.SetAside: _set_aside,
    ask.Acknowledge: _acknowledge,
    ask.SeeSetPoint: _see_set_point,
    ask.WriteNote: _note,
    ask.Correct: _correct,
    ask.NoticeClock: _notice_clock,
    ask.TakeUp: _take_up,
    ask.KeepLeftover: _leftover,
    ask.LookAgain: _look_again,
    ask.EndBatch: _end_batch,
}
