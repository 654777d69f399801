"""What is in the jug: as weighed, as it will be, grown after a slip, and what is left of it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from workbench.core.batch.commands import Refused
from workbench.core.batch.state import Entry, SessionState, StepMark, StepProgress
from workbench.core.batch.steps import Need, NeedKind, Step
from workbench.core.batch.words import saved
from workbench.core.catalogue.model import Material, MaterialKind, PartOf
from workbench.core.recipe.composition import Composition
from workbench.core.wording import Count, Grams, say

HELD_BACK = ":held back"  # ends the key of a need for carrier that goes in with the scent


def mass_of(state: SessionState, entry: Entry) -> float:
    """Grams of an entry with its newest correction; of drops, in proportion to their count."""
    corrections = state.corrections.get(entry.seq)
    if not corrections:
        return entry.mass_g or 0.0
    value = float(corrections[-1].value)
    if entry.kind == "drops counted":
        return (entry.mass_g or 0.0) * value / float(entry.value) if entry.value else 0.0
    return value


def drop_mass_g(state: SessionState, need: Need) -> float:
    """Grams of one typical drop, by what the plan takes the line to weigh; 0 where it has no such line."""
    plan = state.plan
    line = (
        None if plan is None else next((each for each in plan.lines if each.material == need.material), None)
    )
    planned = next(
        (
            each.target
            for progress in state.steps
            for each in progress.step.needs
            if each.kind is NeedKind.DROPS and each.material == need.material
        ),
        None,
    )
    return 0.0 if line is None or not planned else line.exact_g / planned


def composition_made(state: SessionState) -> Composition:
    """Grams of each material as really weighed, counted and added so far."""
    masses = [
        (need.material, _mass_recorded(state, progress, need) or 0.0) for progress, need in _portions(state)
    ]
    return Composition.of([*masses, *_additions(state)])


def composition_now(state: SessionState) -> Composition:
    """Grams as weighed, and as planned for what is not weighed yet: what the jug will hold."""
    masses: list[tuple[str, float]] = []
    for progress, need in _portions(state):
        mass_g = _mass_recorded(state, progress, need)
        if mass_g is None and progress.mark in (StepMark.WAITING, StepMark.CURRENT):
            target = state.with_target(need).target or 0.0
            mass_g = target * drop_mass_g(state, need) if need.kind is NeedKind.DROPS else target
        masses.append((need.material, mass_g or 0.0))
    return Composition.of([*masses, *_additions(state)])


def fragrance_g(state: SessionState) -> float:
    """Grams of all that is poured in as fragrance, with carrier that was held back: as weighed, else as planned."""
    plan = state.plan
    scent = {line.material for line in plan.lines if line.where == "scent"} if plan is not None else set()
    whole_g = 0.0
    for progress, need in _portions(state):
        if need.material in scent or HELD_BACK in need.key:
            mass_g = _mass_recorded(state, progress, need)
            whole_g += _planned_g(state, state.with_target(need)) if mass_g is None else mass_g
    return whole_g


def _portions(state: SessionState) -> Iterator[tuple[StepProgress, Need]]:
    for progress in state.steps:
        for need in progress.step.needs:
            if need.material and need.kind in (NeedKind.MASS, NeedKind.DROPS):
                yield progress, need


def _mass_recorded(state: SessionState, progress: StepProgress, need: Need) -> float | None:
    recorded = progress.recorded.get(need.key)
    entry = None if recorded is None else state.entry(recorded.seq)
    return mass_of(state, entry) if isinstance(entry, Entry) else None


def _additions(state: SessionState) -> list[tuple[str, float]]:
    entries = (state.entry(seq) for seq in state.added)
    return [(each.material, mass_of(state, each)) for each in entries if isinstance(each, Entry)]


# --- a slip at the scale: grow the batch back to proportion ---

MORE = ":more"  # ends the key of a need that weighs more of what was weighed before


@dataclass(frozen=True, slots=True)
class Grown:
    """`factor` over the plan; new targets by need key, and steps that weigh more of what was weighed."""

    factor: float
    leading: str
    targets_g: dict[str, float]
    steps: tuple[Step, ...]


def grown_targets(state: SessionState) -> Grown | Refused:
    """New amounts so that the proportions hold despite what was overweighed.

    The material furthest over what was planned of it leads, all its portions
    together: a slip at one of two portions is a smaller share of the whole.
    Targets are g, of drops whole drops, and always counted from the plan.
    Refused where nothing weighs more than it should, or all has grown to it already.
    """
    portions = [
        (progress, need)
        for progress, need in _portions(state)
        if progress.mark not in (StepMark.REPLACED, StepMark.LEFT_OUT)
    ]
    weighed: dict[str, float] = {}
    meant: dict[str, float] = {}  # of the portions that were weighed
    for progress, need in portions:
        mass_g = _mass_recorded(state, progress, need)
        if mass_g is not None:
            weighed[need.material] = weighed.get(need.material, 0.0) + mass_g
            if not _is_more(need):
                meant[need.material] = meant.get(need.material, 0.0) + _planned_g(state, need)
    factor, leading = 1.0, ""
    for _, need in portions:
        mass_g, meant_g = weighed.get(need.material, 0.0), meant.get(need.material, 0.0)
        if meant_g > 0 and mass_g > meant_g + _digit(state, need) and mass_g / meant_g > factor:
            factor, leading = mass_g / meant_g, need.label
    if not leading:
        return Refused(says=say("Nothing weighs more than it should, so there is nothing to grow to."))
    lacking = {material: factor * meant_g - weighed[material] for material, meant_g in meant.items()}
    targets: dict[str, float] = {}
    grows = False
    for progress, need in portions:
        if _mass_recorded(state, progress, need) is not None:
            continue
        grown_g = lacking.pop(need.material, 0.0) if _is_more(need) else factor * _planned_g(state, need)
        if grown_g > 0:
            targets[need.key] = _as_shown(state, need, grown_g)
            now_g = _planned_g(state, state.with_target(need))
            grows = grows or abs(grown_g - now_g) > 2 * _digit(state, need)
    steps: list[Step] = []
    for progress, need in portions:
        if lacking.get(need.material, 0.0) > _digit(state, need):
            steps.append(_weigh_more(state, progress.step, need, lacking.pop(need.material)))
    if not steps and not grows:
        return Refused(says=say("The batch has grown to it already."))
    return Grown(factor, leading, targets, tuple(steps))


def _is_more(need: Need) -> bool:
    """Whether this weighs more of what was weighed before."""
    return MORE in need.key


def _planned_g(state: SessionState, need: Need) -> float:
    target = need.target or 0.0
    return target * drop_mass_g(state, need) if need.kind is NeedKind.DROPS else target


def _readability_g(state: SessionState, need: Need) -> float:
    lines = () if state.plan is None else state.plan.lines
    found = next((line.readability_g for line in lines if line.material == need.material), None)
    return found or 0.01


def _digit(state: SessionState, need: Need) -> float:
    if need.kind is NeedKind.DROPS:
        return drop_mass_g(state, need) / 2
    return _readability_g(state, need) / 2 * (1 + 1e-9)


def _as_shown(state: SessionState, need: Need, mass_g: float) -> float:
    """Rounded to what the scale shows, or to whole drops."""
    if need.kind is NeedKind.DROPS:
        return float(max(1, round(mass_g / drop_mass_g(state, need))))
    digit = _readability_g(state, need)
    return round(round(mass_g / digit) * digit, 6)


def _weigh_more(state: SessionState, step: Step, need: Need, mass_g: float) -> Step:
    shown = _as_shown(state, need, mass_g)
    key, taken = f"{need.key}{MORE}", {each.key for _, each in _portions(state)}
    while key in taken:  # every round of growing has its own, or one would get the target of another
        key += MORE
    tolerance = 0.0 if need.target is None or need.high is None else need.high - need.target
    more = need.model_copy(
        update={
            "key": key,
            "target": shown,
            "low": max(0.0, shown - tolerance),
            "high": shown + tolerance,
        }
    )
    amount = Grams(shown, 2)
    says = (
        say(
            "Add {count} drops more of {name}.",
            "Add {count} drop more of {name}.",
            count=Count(round(shown)),
            name=need.label,
        )
        if need.kind is NeedKind.DROPS
        else say("Weigh {mass} more of {name}.", mass=amount, name=need.label)
    )
    title = say("A little more of {name}", name=need.label)
    return Step(
        id=f"{step.id}{MORE}",
        kind=step.kind,
        title=title,
        instruction=says,
        said={"title": saved(title), "instruction": saved(says), "bench": saved(says)},
        reason=say("Another line was overweighed; this brings the proportions back."),
        bench=str(says)[:60],
        needs=(more,),
        done_when=say("It is weighed."),
    )


# --- what is left ---


def leftover_material(state: SessionState, wall: datetime) -> Material | Refused:
    """What is left in the jug as a material of its own, with its composition as made."""
    made = composition_made(state)
    whole_g = made.mass_g
    if whole_g <= 0:
        return Refused(says=say("Nothing was weighed in this batch, so nothing can be left over."))
    plain = unicodedata.normalize("NFKD", state.recipe_name).encode("ascii", "ignore").decode().lower()
    stem = "_".join(re.findall("[a-z0-9]+", plain))[:30].strip("_") or "balm"
    key = f"leftover_{stem}_{wall:%Y%m%d_%H%M}"
    taken = {each.lot for each in state.leftovers}
    name, round_ = key, 2
    while name in taken:
        name, round_ = f"{key}_{round_}", round_ + 1
    return Material(
        key=name,
        name=say("Left over from {recipe}, {day}", recipe=state.recipe_name, day=f"{wall:%Y-%m-%d}"),
        kind=MaterialKind.LEFTOVER,
        made_of=tuple(
            PartOf(material=each.material, share_percent=100 * each.mass_g / whole_g)
            for each in made.portions
        ),
    )
