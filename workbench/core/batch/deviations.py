"""Every way in which a batch left its plan, as sentences in order of time."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.core.batch.made import mass_of
from workbench.core.batch.state import ClockNote, Phase, SessionState, StepMark
from workbench.core.batch.steps import NeedKind
from workbench.core.wording import Duration, Grams, Said, Share, say


@dataclass(frozen=True, slots=True)
class Deviation:
    """One way in which the batch left its plan, as a sentence."""

    kind: str  # weight, guard, alarm, hold, left out, addition, heat, clock, ended
    step: str
    at_s: float
    says: str


def name_of(state: SessionState, material: str) -> str:
    """What the maker calls a material, by the plan of the batch; its key where the plan does not know it."""
    if state.plan is None:
        return material
    line = next((each for each in state.plan.lines if each.material == material), None)
    row = state.plan.materials.get(material)
    return line.name if line is not None else material if row is None else row.name


def deviations(state: SessionState) -> tuple[Deviation, ...]:
    """Every way in which the batch left its plan, in order of time."""
    found = [
        *_weights_off(state),
        *(
            Deviation(
                "guard",
                each.step,
                each.at_s,
                say("“{guard}” was set aside: {reason}", guard=each.guard.value, reason=each.reason),
            )
            for each in state.asides
        ),
        *(
            Deviation("alarm", each.step, each.at_s, say("Alarm “{alarm}”.", alarm=each.key))
            for each in state.alarm_history
            if each.what == "raised"
        ),
        *(
            Deviation("hold", each.step, each.asked_at_s, say("On hold: {reason}", reason=each.reason or "-"))
            for each in state.holds
        ),
        *(
            Deviation(
                "left out",
                each.step.id,
                each.ended_at_s or 0.0,
                say("“{step}” was left out: {reason}", step=each.step.title, reason=each.left_out_because),
            )
            for each in state.steps
            if each.mark is StepMark.LEFT_OUT and not each.step.optional
        ),
        *(
            Deviation(
                "addition",
                each.step,
                each.at_s,
                say(
                    "{mass} of {material} were added: {reason}",
                    mass=Grams(mass_of(state, each), 2),
                    material=name_of(state, each.material),
                    reason=each.reason,
                ),
            )
            for each in state.entries
            if each.kind == "added"
        ),
        *(
            Deviation(
                "replaced",
                each.step.id,
                each.ended_at_s or 0.0,
                say("“{step}” was broken off for another way on.", step=each.step.title),
            )
            for each in state.steps
            if each.mark is StepMark.REPLACED
        ),
        *(
            Deviation(
                "clock",
                each.step,
                each.at_s,
                _of_clock(each),
            )
            for each in state.clock_notes
        ),
    ]
    if state.phase is Phase.ENDED_EARLY:
        found.append(
            Deviation(
                "ended",
                state.step_id,
                state.at_s,
                say("The batch was ended early: {reason}", reason=state.ended_because),
            )
        )
    return tuple(sorted(found, key=lambda each: each.at_s))


def _of_clock(note: ClockNote) -> Said:
    """What the clocks told, for who has never heard of two of them."""
    gap = Duration(abs(note.seconds))
    match note.what:
        case "slept":
            return say("The computer slept for {gap}.", gap=gap)
        case "wall clock changed":
            if note.seconds < 0:
                return say("The clock of the computer was set back by {gap}.", gap=gap)
            return say("The clock of the computer was set forward by {gap}.", gap=gap)
        case "program stood still":
            return say("The program stood still for {gap}.", gap=gap)
        case _:
            return say("The program was away for {gap}; then it went on.", gap=gap)


def _weights_off(state: SessionState) -> list[Deviation]:
    found = []
    for progress in state.steps:
        for bare in progress.step.needs:
            need, recorded = state.with_target(bare), progress.recorded.get(bare.key)
            if recorded is None or not need.material or need.kind is not NeedKind.MASS or not need.target:
                continue
            value = float(recorded.value)
            if (need.low is None or value >= need.low) and (need.high is None or value <= need.high):
                continue
            amounts = {"name": need.label, "made": Grams(value, 2), "planned": Grams(need.target, 2)}
            off = Share(100 * abs(value - need.target) / need.target)
            says = (
                say("{name}: {made} where {planned} was planned ({off} more).", off=off, **amounts)
                if value > need.target
                else say("{name}: {made} where {planned} was planned ({off} less).", off=off, **amounts)
            )
            found.append(Deviation("weight", progress.step.id, recorded.at_s, says))
    return found
