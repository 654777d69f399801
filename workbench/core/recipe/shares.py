"""Parts, per cent and fixed grams of one group of lines, before the batch is known.

Every mass is written as `fixed + per_g × batch mass`, because the mass of a
batch for tins follows from the density of what is in it, and that from the
masses.  In this form it is one division instead of a search.

How mixed measures live together:
- per cent is taken first, of the whole group;
- lines in g, mL or drops keep their grams, and the parts share what is left;
- without any parts nothing could give way, so the lines in g, mL or drops
  then say proportions, and are scaled to fill what the per cent leave;
- per cent alone that miss 100 are scaled to 100 and that is said; over 100 is
  refused.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from workbench.core.recipe.model import Measure
from workbench.core.recipe.weighed import Where
from workbench.core.trouble import Trouble
from workbench.core.wording import Grams, Said, Share, say

# Thirds and sevenths written with one or two decimals miss 100 by a few hundredths.
ROUND_PERCENT = 0.1 + 1e-9


class Affine(NamedTuple):
    """A mass in g that depends on the mass of the batch: `fixed + per_g * batch_g`."""

    fixed: float
    per_g: float

    def at(self, batch_g: float) -> float:
        return self.fixed + self.per_g * batch_g

    def scaled(self, by: float) -> Affine:
        return Affine(self.fixed * by, self.per_g * by)


NOTHING = Affine(0.0, 0.0)


class Rule(StrEnum):
    """How the lines of a group came to share it."""

    EMPTY = "empty"
    RELATIVE = "relative"  # parts or per cent only
    FIXED_AND_PARTS = "fixed and parts"
    FIXED_SCALED = "fixed, scaled"


class Row(NamedTuple):
    """One line: what it counts and, for g, mL and drops, its grams."""

    measure: Measure
    value: float
    grams: float | None


@dataclass(frozen=True, slots=True)
class Sums:
    percent: float
    parts: float
    fixed_g: float


def sums(rows: Sequence[Row]) -> Sums:
    return Sums(
        percent=sum(row.value for row in rows if row.measure is Measure.PERCENT),
        parts=sum(row.value for row in rows if row.measure is Measure.PARTS),
        fixed_g=sum(row.grams for row in rows if row.grams is not None),
    )


@dataclass(frozen=True, slots=True)
class Shared:
    masses: tuple[Affine, ...]
    rule: Rule
    fixed_g: float  # sum of the lines in g, mL and drops, as typed
    rest: Affine  # what the parts share or the fixed lines are scaled to
    notes: tuple[Said, ...]


def scent_that_sets_the_load(rows: Sequence[Row]) -> float:
    """Grams of the whole scent where its lines in g, mL and drops decide.

    Lines in per cent are of the scent and come on top.  Raises `Trouble` where
    the lines leave it open.
    """
    add = sums(rows)
    if add.parts > 0:
        raise Trouble(
            say(
                "Parts of the scent do not say how much scent there is. Give those lines in grams, drops or %, or set the load in %."
            )
        )
    if add.percent > 0 and (add.fixed_g <= 0 or add.percent >= 100):
        raise Trouble(
            say(
                "Per cent of the scent alone do not say how much scent there is. Give at least one line in grams or drops and keep the others below 100 %, or set the load in %."
            )
        )
    return add.fixed_g / (1 - add.percent / 100)


def share_out(rows: Sequence[Row], total: Affine, where: Where) -> Shared:
    """Masses of the lines of one group that weighs `total`; they add up to it.

    Raises `Trouble` where the lines contradict each other.
    """
    add = sums(rows)
    if add.percent <= 0 and add.parts <= 0 and add.fixed_g <= 0:
        return Shared(tuple(NOTHING for _ in rows), Rule.EMPTY, 0.0, NOTHING, ())
    if add.parts <= 0 and add.fixed_g <= 0:
        return _per_cent_only(rows, total, where, add.percent)
    if add.percent >= 100:
        raise Trouble(_nothing_left(where, add.percent))
    left = total.scaled(1 - add.percent / 100)
    if add.parts > 0:
        rule = Rule.FIXED_AND_PARTS if add.fixed_g > 0 else Rule.RELATIVE
        rest = Affine(left.fixed - add.fixed_g, left.per_g)
    else:
        rule, rest = Rule.FIXED_SCALED, left
    masses: list[Affine] = []
    for row in rows:
        if row.measure is Measure.PERCENT:
            masses.append(total.scaled(row.value / 100))
        elif row.measure is Measure.PARTS:
            masses.append(rest.scaled(row.value / add.parts) if add.parts > 0 else NOTHING)
        elif rule is Rule.FIXED_SCALED:
            masses.append(rest.scaled((row.grams or 0.0) / add.fixed_g))
        else:
            masses.append(Affine(row.grams or 0.0, 0.0))
    return Shared(tuple(masses), rule, add.fixed_g, rest, ())


def _per_cent_only(rows: Sequence[Row], total: Affine, where: Where, percent: float) -> Shared:
    if percent > 100 + ROUND_PERCENT:
        if where is Where.BASE:
            raise Trouble(
                say(
                    "The base adds up to {sum}. Take its lines down to 100 % together; the scent is counted apart.",
                    sum=Share(percent),
                )
            )
        raise Trouble(
            say("The scent adds up to {sum}. Take its lines down to 100 % together.", sum=Share(percent))
        )
    notes: tuple[Said, ...] = ()
    if percent < 100 - ROUND_PERCENT:
        if where is Where.BASE:
            notes = (
                say("The base adds up to {sum} only; its lines were scaled to 100 %.", sum=Share(percent)),
            )
        else:
            notes = (
                say("The scent adds up to {sum} only; its lines were scaled to 100 %.", sum=Share(percent)),
            )
    masses = tuple(total.scaled(row.value / percent) for row in rows)
    return Shared(masses, Rule.RELATIVE, 0.0, total, notes)


def _nothing_left(where: Where, percent: float) -> Said:
    if where is Where.BASE:
        return say(
            "The lines of the base in % already come to {sum}; nothing is left for its lines in parts, grams or spoons. Lower them, or use one measure.",
            sum=Share(percent),
        )
    return say(
        "The lines of the scent in % already come to {sum}; nothing is left for its lines in parts, grams or drops. Lower them, or use one measure.",
        sum=Share(percent),
    )


def explain(shared: Shared, batch_g: float, where: Where) -> tuple[Said, ...]:
    """What the maker should know about mixed measures, once the batch is known.

    Raises `Trouble` where lines in grams are more than their group holds.
    """
    rest_g = shared.rest.at(batch_g)
    notes = list(shared.notes)
    if shared.rule is Rule.FIXED_AND_PARTS:
        if rest_g <= 0:
            raise Trouble(_too_much(shared.fixed_g, rest_g + shared.fixed_g, where))
        notes.append(
            say(
                "Lines in grams, spoons or drops keep their {fixed} whatever the batch; the parts share the other {rest}.",
                fixed=Grams(shared.fixed_g, 2),
                rest=Grams(rest_g, 2),
            )
        )
    elif shared.rule is Rule.FIXED_SCALED and abs(rest_g - shared.fixed_g) > 1e-6 * shared.fixed_g:
        notes.append(
            say(
                "The base lines in grams or spoons come to {fixed} and were scaled to {rest}; their proportions are kept.",
                fixed=Grams(shared.fixed_g, 2),
                rest=Grams(rest_g, 2),
            )
            if where is Where.BASE
            else say(
                "The scent lines in grams or drops come to {fixed} and were scaled to {rest} by the load; their proportions are kept.",
                fixed=Grams(shared.fixed_g, 2),
                rest=Grams(rest_g, 2),
            )
        )
    return tuple(notes)


def _too_much(fixed_g: float, room_g: float, where: Where) -> Said:
    if where is Where.BASE:
        return say(
            "The base lines in grams or spoons come to {fixed}, but the base has room for {room} only. Make the batch larger, or use parts.",
            fixed=Grams(fixed_g, 2),
            room=Grams(max(room_g, 0.0), 2),
        )
    return say(
        "The scent lines in grams or drops come to {fixed}, but the load leaves room for {room} only. Raise the load, make the batch larger, or let the scent set the load.",
        fixed=Grams(fixed_g, 2),
        room=Grams(max(room_g, 0.0), 2),
    )
