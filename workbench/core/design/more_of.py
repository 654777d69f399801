"""A little more of this: what one more addition of an oil does, before it is poured.

Works on a composition, so it serves the recipe as planned and a running
session as weighed alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.design.headroom import Headroom, headroom
from workbench.core.design.wish import MOMENTS_S
from workbench.core.recipe.amounts import Weighed, Where
from workbench.core.recipe.change import change
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import density_of
from workbench.core.recipe.model import Amount, Measure, Recipe
from workbench.core.scent.course import Course, course
from workbench.core.scent.notes import notes_for
from workbench.core.scent.strength import Strength, strength
from workbench.core.scent.telling import moment_words, note_words
from workbench.core.scent.volatility import Array
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import LimitUse, SkinVerdict
from workbench.core.trouble import Trouble
from workbench.core.units import drops_g
from workbench.core.wording import Grams, Number, Said, Share, say

_NOTES = (Note.TOP, Note.MIDDLE, Note.BASE)
A_LITTLE = 0.10  # of what is in there already


@dataclass(frozen=True, slots=True)
class Moved:
    """Strength 0..100 of one note at one moment, before and after."""

    at_s: float
    note: Note
    before: float
    after: float


@dataclass(frozen=True, slots=True, eq=False)
class MoreOf:
    """An addition of `grams` of `oil` and what it changes; nothing has happened yet."""

    oil: str
    grams: float
    before: Course
    after: Course
    strength_before: Strength
    strength_after: Strength
    moved: tuple[Moved, ...]
    skin_before: SkinVerdict
    skin_after: SkinVerdict
    newly_over: tuple[LimitUse, ...]
    headroom: Headroom
    says: tuple[Said, ...]


def a_little(oil: str, composition: Composition, catalogue: Catalogue) -> float:
    """A tenth of what is in there, and at least a drop; in g."""
    drop = drops_g(1, density_of(oil, catalogue.materials))[0]
    return max(A_LITTLE * composition.as_dict().get(oil, 0.0), drop)


def more_of(
    oil: str,
    composition: Composition,
    catalogue: Catalogue,
    uses: Iterable[Use],
    place: Place,
    *,
    grams: float | None = None,
    notes: Mapping[str, Note] | None = None,
    times_s: Array | None = None,
) -> MoreOf:
    """What `grams` more of an oil would do (None: a little); a negative amount is less of it.

    `times_s` are the times of the two courses; a screen that shows only the
    sentences asks for `MOMENTS_S`.

    Raises `Trouble` for an unknown material, an empty jug, or more taken out
    than there is.
    """
    uses = tuple(uses)
    if composition.mass_g <= 0:
        raise Trouble(say("There is nothing in the jug yet that an oil could be added to."))
    extra = a_little(oil, composition, catalogue) if grams is None else grams
    if extra < 0 and -extra > composition.as_dict().get(oil, 0.0) + 1e-9:
        raise Trouble(
            say("There is not so much {name} in it. Take less out.", name=catalogue.material(oil).name)
        )
    richer = composition.plus({oil: extra})
    before, after = course(composition, catalogue, times_s), course(richer, catalogue, times_s)
    chosen = notes_for(after.oils, catalogue, dict(notes or {}))
    was, will = strength(before, chosen), strength(after, chosen)
    moved = tuple(
        Moved(at_s, note, _at(was, row, at_s), _at(will, row, at_s))
        for at_s in MOMENTS_S
        for row, note in enumerate(_NOTES)
    )
    skin, skin_after = assess(composition, catalogue, uses, place), assess(richer, catalogue, uses, place)
    were_over = {limit.key for limit in skin.over}
    newly = tuple(limit for limit in skin_after.over if limit.key not in were_over)
    room = headroom(composition, catalogue, uses, place, oil)
    return MoreOf(
        oil=oil,
        grams=extra,
        before=before,
        after=after,
        strength_before=was,
        strength_after=will,
        moved=moved,
        skin_before=skin,
        skin_after=skin_after,
        newly_over=newly,
        headroom=room,
        says=(
            _say_strength(oil, extra, moved, chosen, after, catalogue),
            _say_limits(oil, skin, skin_after, newly, room, catalogue),
        ),
    )


def with_share(recipe: Recipe, weighed: Weighed, index: int, share: float) -> Recipe:
    """The recipe with one scent line at `share` (0..1) of the scent, the others in their proportions.

    Drops stay whole and at least one.  Raises `Trouble` where there is no
    other line to give way.
    """
    lines = [line for line in weighed.lines if line.where is Where.SCENT]
    own = next(line.exact_g for line in lines if line.index == index)
    others = sum(line.exact_g for line in lines if line.index != index)
    if others <= 0:
        raise Trouble(say("It is the only oil of the scent, so it is all of it."))
    share = min(max(share, 0.001), 0.995)
    if own <= 0:
        raise Trouble(say("There is none of it in the scent yet. Give it an amount first."))
    factor, rest = share * others / (own * (1.0 - share)), 1.0
    measures = [line.amount.measure for line in recipe.scent]
    total = own + others
    if all(measure is Measure.PERCENT for measure in measures):
        factor, rest = share * total / own, (1.0 - share) * total / others
    elif Measure.PARTS in measures and len(set(measures)) > 1 and not recipe.load_from_scent:
        # fixed amounts keep their grams and the parts share what they leave of the load
        if measures[index] is not Measure.PARTS:
            factor = share * total / own
        else:
            in_parts = sum(line.exact_g for line in lines if measures[line.index] is Measure.PARTS)
            of_parts = min(share * total / in_parts, 0.98)
            factor = of_parts * (in_parts - own) / (own * (1.0 - of_parts)) if in_parts > own else 1.0
    scent = tuple(
        line.model_copy(update={"amount": _times(line.amount, factor if at == index else rest)})
        for at, line in enumerate(recipe.scent)
    )
    return change(recipe, scent=scent)


def _times(amount: Amount, factor: float) -> Amount:
    if factor == 1.0:
        return amount
    value = amount.value * factor
    if amount.measure is Measure.DROPS:
        value = max(1.0, round(value))
    return Amount(value=round(value, 3) or 0.001, measure=amount.measure)


def _at(of: Strength, row: int, at_s: float) -> float:
    if not of.course.oils:
        return 0.0
    return float(np.interp(at_s, of.course.times_s, of.notes[row]))


def _say_strength(
    oil: str,
    extra: float,
    moved: tuple[Moved, ...],
    notes: Mapping[str, Note],
    after: Course,
    catalogue: Catalogue,
) -> Said:
    name = catalogue.material(oil).name
    if oil in after.unknown:
        return say("Nothing is known of what {name} is made of, so its course cannot be reckoned.", name=name)
    most = max(moved, key=lambda one: abs(one.after - one.before))
    change = abs(most.after - most.before)
    if change < 0.5:
        return say(
            "{grams} more of {name} hardly changes how strong any note is, from just on to four hours.",
            grams=Grams(extra, 2),
            name=name,
        )
    return say(
        "With {grams} more of {name}, {note} {when} goes from {before} to {after}.",
        grams=Grams(extra, 2),
        name=name,
        note=note_words(most.note),
        when=moment_words(most.at_s),
        before=Number(most.before, 0),
        after=Number(most.after, 0),
    )


def _say_limits(
    oil: str,
    before: SkinVerdict,
    after: SkinVerdict,
    newly: tuple[LimitUse, ...],
    room: Headroom,
    catalogue: Catalogue,
) -> Said:
    if newly:
        worst = max(newly, key=lambda one: one.used_percent or 0.0)
        return say(
            "It would go over the limit on skin for {limit}: {held} in the balm, {most} is the most.",
            limit=worst.name,
            held=Share(worst.concentration_percent or 0.0, 3),
            most=Share(worst.limit_percent or 0.0, 3),
        )
    if room.grams is None:
        return say("Its limits on skin cannot be judged: {why}", why=room.why)
    tightest = after.tightest
    if tightest is None or tightest.used_percent is None:
        return say("No limit on skin is touched.")
    was = before.tightest
    return say(
        "The tightest limit on skin goes from {before} to {after} of what is allowed ({limit}).",
        before=Share((was.used_percent or 0.0) if was else 0.0, 0),
        after=Share(tightest.used_percent, 0),
        limit=tightest.name,
    )
