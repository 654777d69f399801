"""What to do about what was really weighed: accept it, grow the batch, or weigh again.

`actual` maps material keys to grams as weighed; a material that is not in it
has not been weighed yet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from workbench.core.recipe.composition import Composition
from workbench.core.recipe.scales import decimals_of, rounded_to
from workbench.core.recipe.weighed import Line, Weighed, Where
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import Grams, Said, Share, say

# A fill line is read by eye to about a hundredth of what the tin holds.
FILL_LINE_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class Correction:
    """One line after a correction; `change_g` is to be added (or, if negative, taken out)."""

    where: Where
    material: str
    name: str
    now_g: float  # weighed so far; 0 if not yet
    target_g: float  # what it should weigh, as the scale shows it
    change_g: float
    says: Said


@dataclass(frozen=True, slots=True)
class Growth:
    """A batch grown back to proportion."""

    factor: float  # new batch over the planned one, never below 1
    leading: str  # name of the line that was overweighed most; "" if none was
    batch_g: float
    lines: tuple[Correction, ...]
    surplus_g: float  # more than the tins hold to the fill line; 0 for a plain mass
    fits: bool  # the tins still hold it, to what a fill line can be read
    says: Said

    @property
    def masses_g(self) -> dict[str, float]:
        """New targets by material, for the session's record."""
        return {line.material: line.target_g for line in self.lines}


@dataclass(frozen=True, slots=True)
class Acceptance:
    """The batch taken as it was weighed."""

    composition: Composition
    batch_g: float
    load_percent: float
    says: tuple[Said, ...]  # one sentence for each line that is off by more than its scale's digit


def as_made(weighed: Weighed, actual: Mapping[str, float]) -> Composition:
    """What is in the jug: as weighed, and as planned for lines not weighed yet.

    A line left out on purpose is 0 g in `actual`.  Materials that are in no
    line (added on the way) count too.  Raises `Trouble` for a mass that cannot be.
    """
    _check(weighed, actual)
    planned = {line.material: line.weigh_g for line in weighed.lines}
    return Composition.of({**planned, **actual})


def grow(weighed: Weighed, actual: Mapping[str, float]) -> Growth:
    """New grams for every line so that the proportions hold despite what was overweighed.

    The line that is furthest above its plan leads; a line within the last
    digit of its scale is taken as right.  Raises `Trouble` for a mass that
    cannot be, or where a line that should not be there was weighed.
    """
    _check(weighed, actual)
    leader, factor = None, 1.0
    for line in weighed.lines:
        now = actual.get(line.material)
        if now is None or now <= line.exact_g + _digit(line):
            continue
        if line.exact_g <= 0:
            raise Trouble(
                say(
                    "{name} is not in this recipe, so no batch can be grown around it. Start again or accept it.",
                    name=line.name,
                )
            )
        if now / line.exact_g > factor:
            leader, factor = line, now / line.exact_g
    lines = tuple(_grown(line, actual, factor) for line in weighed.lines)
    batch_g = weighed.batch_g * factor
    holds_g = sum(tin.count * tin.fill_g for tin in weighed.tins)
    surplus_g = max(0.0, batch_g - weighed.jug_allowance_g - holds_g) if weighed.tins else 0.0
    return Growth(
        factor=factor,
        leading="" if leader is None else leader.name,
        batch_g=batch_g,
        lines=lines,
        surplus_g=surplus_g,
        fits=surplus_g <= FILL_LINE_SHARE * holds_g or not weighed.tins,
        says=_growth_says(leader, batch_g, surplus_g, holds_g, bool(weighed.tins)),
    )


def _growth_says(leader: Line | None, batch_g: float, surplus_g: float, holds_g: float, tins: bool) -> Said:
    if leader is None:
        return say("Nothing weighs more than planned, so the batch stays at {batch}.", batch=Grams(batch_g))
    if not tins or surplus_g <= 0:
        return say(
            "With {name} as weighed, the batch grows to {batch}.", name=leader.name, batch=Grams(batch_g)
        )
    if surplus_g <= FILL_LINE_SHARE * holds_g:
        return say(
            "With {name} as weighed, the batch grows to {batch}; the tins still hold it.",
            name=leader.name,
            batch=Grams(batch_g),
        )
    return say(
        "With {name} as weighed, the batch grows to {batch}. That is {surplus} more than the tins hold: have a spare tin ready.",
        name=leader.name,
        batch=Grams(batch_g),
        surplus=Grams(surplus_g),
    )


def _grown(line: Line, actual: Mapping[str, float], factor: float) -> Correction:
    exact = line.exact_g * factor
    target = exact if line.readability_g is None else rounded_to(exact, line.readability_g)
    digits = 2 if line.readability_g is None else decimals_of(line.readability_g)
    now = actual.get(line.material)
    if now is None:
        says = say("Weigh {mass} of {name}.", mass=Grams(target, digits), name=line.name)
        return Correction(line.where, line.material, line.name, 0.0, target, target, says)
    change = target - now
    if change < _digit(line):
        # within the last digit: what is in the jug is the target
        says = say("{name} stays as it is.", name=line.name)
        return Correction(line.where, line.material, line.name, now, now, 0.0, says)
    says = say("Add {mass} more of {name}.", mass=Grams(change, digits), name=line.name)
    return Correction(line.where, line.material, line.name, now, target, change, says)


def accept(weighed: Weighed, actual: Mapping[str, float]) -> Acceptance:
    """The composition as it is, and what that did to the proportions.

    Raises `Trouble` for a mass that cannot be and for an empty jug.
    """
    composition = as_made(weighed, actual)
    batch_g = composition.mass_g
    if batch_g <= 0:
        raise Trouble(say("With nothing weighed there is no batch to accept. Weigh at least one line."))
    masses = composition.as_dict()
    scent_g = sum(masses.get(line.material, 0.0) for line in weighed.lines if line.where is Where.SCENT)
    says = []
    for line in weighed.lines:
        now = actual.get(line.material)
        if now is None or abs(now - line.exact_g) <= _digit(line) or line.exact_g <= 0:
            continue
        off = 100 * (now - line.exact_g) / line.exact_g
        values = {"name": line.name, "percent": Share(abs(off)), "share": Share(100 * now / batch_g, 2)}
        says.append(
            say("{name} is {percent} over its plan; it now makes up {share} of the balm.", **values)
            if off > 0
            else say("{name} is {percent} under its plan; it now makes up {share} of the balm.", **values)
        )
    return Acceptance(composition, batch_g, 100 * scent_g / batch_g, tuple(says))


def weigh_again(weighed: Weighed, actual: Mapping[str, float]) -> tuple[Correction, ...]:
    """For each weighed line that is off by more than its scale's digit, what brings it back."""
    _check(weighed, actual)
    found = []
    for line in weighed.lines:
        now = actual.get(line.material)
        if now is None or abs(now - line.exact_g) <= _digit(line):
            continue
        change = line.weigh_g - now
        digits = 2 if line.readability_g is None else decimals_of(line.readability_g)
        if change < 0:
            says = say("Take out {mass} of {name}.", mass=Grams(-change, digits), name=line.name)
        else:
            says = say("Add {mass} more of {name}.", mass=Grams(change, digits), name=line.name)
        found.append(Correction(line.where, line.material, line.name, now, line.weigh_g, change, says))
    return tuple(found)


def _digit(line: Line) -> float:
    """Half a digit of the scale, and the last bit of arithmetic."""
    return (line.readability_g or 0.01) / 2 * (1 + 1e-9) + 1e-9


def _check(weighed: Weighed, actual: Mapping[str, float]) -> None:
    names = {line.material: line.name for line in weighed.lines}
    faults = tuple(
        Fault(names.get(material, material), say("A weight is a number of grams, 0 or more. Weigh it again."))
        for material, mass_g in actual.items()
        if not isfinite(mass_g) or mass_g < 0
    )
    if faults:
        raise Trouble(say("Something weighed cannot be right."), faults)
