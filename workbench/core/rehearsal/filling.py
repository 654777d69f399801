"""What the scripted maker writes down: weights, drops, ticks and answers, and the tins that are poured."""

from __future__ import annotations

from workbench.core.batch import commands as ask
from workbench.core.batch.guards import FRAGRANCE_IN
from workbench.core.batch.state import Phase
from workbench.core.batch.steps import Guard, Need, NeedKind, Step, StepKind
from workbench.core.rehearsal.hands import Hands
from workbench.core.rehearsal.melting import Melting
from workbench.core.wording import Count, Grams, say


def fill_one(hands: Hands, melting: Melting, step: Step) -> bool:
    """Record the next thing the step asks for; False when it asks for nothing more."""
    current = hands.state.current
    recorded = {} if current is None else current.recorded
    for bare in step.needs:
        need = hands.state.with_target(bare)
        if need.key in recorded or not need.required:
            continue
        hands.wait(3.0)
        if hands.state.phase is Phase.RUNNING:
            _answer(hands, melting, step, need)
        return True
    return False


def _answer(hands: Hands, melting: Melting, step: Step, need: Need) -> None:
    match need.kind:
        case NeedKind.MASS if step.kind is StepKind.POUR:
            _pour(hands, step, need)
        case NeedKind.MASS:
            _weigh(hands, step, need)
        case NeedKind.DROPS:
            count = round(need.target or 1)
            hands.must(ask.CountDrops(step.id, need.key, count, f"{count}"))
            hands.tell(
                say(
                    "{count} drops of {name}.", "{count} drop of {name}.", count=Count(count), name=need.label
                )
            )
        case NeedKind.TEMPERATURE:
            hands.read()
        case NeedKind.TICK if need.key == FRAGRANCE_IN:
            if hands.send(ask.Answer(step.id, need.key, True)) is None:
                hands.tell(say("The fragrance is in."))
            else:
                hands.wait(20.0)
                hands.read()
        case NeedKind.TICK:
            hands.must(ask.Answer(step.id, need.key, True))
        case NeedKind.CHOICE:
            hands.must(ask.Answer(step.id, need.key, need.choices[0], need.choices[0]))
        case NeedKind.DEPTH:
            depth = hands.kitchen.dip_mm(1)
            hands.must(ask.Answer(step.id, need.key, depth, f"{depth:g}"))
        case NeedKind.COUNT:
            hands.must(ask.Answer(step.id, need.key, float(round(need.target or 1))))
        case NeedKind.WORDS:
            hands.must(ask.Answer(step.id, need.key, say("rehearsed")))
        case NeedKind.BURST:
            melting.in_bursts(step)


def _weigh(hands: Hands, step: Step, need: Need) -> None:
    line = next((each for each in hands.plan.lines if each.material == need.material), None)
    digit = 0.1 if line is None or line.readability_g is None else line.readability_g
    target = need.target or 1.0
    mass = hands.kitchen.weigh(target, digit)
    if (need.high is not None and mass > need.high) or (need.low is not None and mass < need.low):
        mass = target  # a careful hand corrects it before typing
    hands.wait(20.0)
    hands.must(ask.Weigh(step.id, need.key, mass, f"{mass:g}", lot=None if line is None else line.lot))
    hands.tell(say("Weighed {mass} of {name}.", mass=Grams(mass, 2), name=need.label))


def _pour(hands: Hands, step: Step, need: Need) -> None:
    number = int(need.key.rsplit(":", 1)[-1])
    mass = round(min(need.target or 0.0, max(hands.kitchen.composition.mass_g - 0.3, 0.1)), 1)
    hands.wait(12.0)
    refused = hands.send(ask.Pour(step.id, number, mass, f"{mass:g}"))
    if refused is None:
        hands.tell(say("Poured tin {number}: {mass}.", number=number, mass=Grams(mass)))
        return
    if refused.guard is Guard.POUR_FLOOR:
        hands.must(ask.GoBackToBath(step.id, say("set too early")))
        hands.shown_c = None
        hands.tell(say("Set too early: back into the bath."))
        return
    hands.wait(15.0)
    hands.read()
