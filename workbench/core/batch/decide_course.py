"""Decisions about the course of a session: start, steps, holds, guards, alarms, clocks, the end."""

from __future__ import annotations

from workbench.core.batch import commands as ask
from workbench.core.batch import events as told
from workbench.core.batch.asked import (
    Asked,
    Decided,
    hold_event,
    reckoned_events,
    step_of,
    stop_burst,
)
from workbench.core.batch.commands import Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.guards import (
    fresh_reading_guard,
    go_on_guard,
    set_aside_guard,
    start_guard,
)
from workbench.core.batch.needs import missing, second_look
from workbench.core.batch.state import Phase
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.wording import Duration, say


def decide_start(asked: Asked, command: ask.Start) -> Decided:
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


def decide_finish_step(asked: Asked, command: ask.FinishStep) -> Decided:
    state, step = asked.state, step_of(asked)
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


def decide_leave_out(asked: Asked, command: ask.LeaveOut) -> Decided:
    step = step_of(asked)
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
        begun += reckoned_events(asked, step.id, {})
    return begun


def decide_end_batch(asked: Asked, command: ask.EndBatch) -> Decided:
    if not command.reason.strip():
        return Refused(says=say("Ending a batch early needs a reason."))
    return [
        *stop_burst(asked),
        told.EndedEarly(**asked.at, reason=command.reason.strip(), safe=command.safe),
    ]


def decide_hold(asked: Asked, command: ask.Hold) -> Decided:
    return [*stop_burst(asked), hold_event(asked, command.reason.strip(), "maker")]


def decide_confirm_safe(asked: Asked, command: ask.ConfirmSafe) -> Decided:
    return [told.HeldSafe(**asked.here)]


def decide_go_on(asked: Asked, command: ask.GoOn) -> Decided:
    return go_on_guard(asked.state, asked.now.at_s) or [told.WentOn(**asked.here)]


def decide_set_aside(asked: Asked, command: ask.SetAside) -> Decided:
    step = step_of(asked)
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


def decide_acknowledge(asked: Asked, command: ask.Acknowledge) -> Decided:
    alarm = asked.state.alarms.get(command.alarm)
    if alarm is None or alarm.acknowledged_at_s is not None:
        return Refused(says=say("There is no such alarm to acknowledge."))
    return [told.AlarmAcknowledged(**asked.here, alarm=command.alarm)]


def decide_note(asked: Asked, command: ask.WriteNote) -> Decided:
    if not command.words.strip():
        return Refused(says=say("There is nothing to note down."))
    return [told.Noted(**asked.here, words=command.words)]


def decide_notice_clock(asked: Asked, command: ask.NoticeClock) -> Decided:
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


def decide_take_up(asked: Asked, command: ask.TakeUp) -> Decided:
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


def decide_look_again(asked: Asked, command: ask.LookAgain) -> Decided:
    return []  # what is due is added for every command
