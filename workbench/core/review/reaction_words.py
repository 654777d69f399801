"""What is said of a reaction wherever its recipe, its materials or its lots are used again.

Each sentence says which entry it goes by and what is in common.  A wearer is
named by initials only, and not at all where words or initials were erased.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from workbench.core.catalogue.model import Material
from workbench.core.recipe.model import Recipe
from workbench.core.review.reactions import Flag, Flags, taken_apart
from workbench.core.wording import Said, say

CAUTION = say(
    "Find out what it was before it is used again: ask what else was used, stop wearing it, and leave a "
    "reaction that does not go away to a doctor. The record cannot tell which material it was."
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be made: its name, the keys of its materials, and (lot, material) of every line that names a lot."""

    name: str
    materials: Collection[str] = ()
    lots: tuple[tuple[str, str], ...] = ()


def wanted_of(recipe: Recipe) -> Wanted:
    """What a recipe would take."""
    lines = [(line.material, line.lot) for line in recipe.base]
    lines += [(line.material, line.lot) for line in recipe.scent]
    return Wanted(
        recipe.name,
        tuple(material for material, _ in lines),
        tuple((lot, material) for material, lot in lines if lot),
    )


def uses_caution(made: Flags, wanted: Wanted, materials: Mapping[str, Material]) -> Said | None:
    """The most telling caution for a recipe: it says by what it is related to which batch.  None where nothing is."""
    if made.unread:
        return say(
            "What wearers told cannot be read, so it is not known whether skin reacted to this recipe or to "
            "something in it. Act as if it had until it can be read again."
        )
    own = taken_apart(wanted.materials, materials)
    for unread in (False, True):
        found = [each for each in made.all if each.unread is unread]
        says = _related(found, wanted, own, materials)
        if says is not None:
            return says
    lost = [each for each in made.all if each.unread and not each.known]
    if not lost:
        return None
    return say(
        "Something that was noted of a batch cannot be read (it is kept under {keys}), nor of which recipe it "
        "was, so it is not known whether skin reacted to it. Act as if it had been of this one until somebody "
        "has looked.",
        keys=", ".join(each.batch for each in lost),
    )


def _related(
    found: list[Flag], wanted: Wanted, own: frozenset[str], materials: Mapping[str, Material]
) -> Said | None:
    """By its name, a lot, all of the fragrance, or some of it."""
    same = [each for each in found if each.recipe_name and each.recipe_name == wanted.name]
    if same:
        return _say_recipe(same, own, materials)
    for lot, material in wanted.lots:
        of_lot = [each for each in found if lot in each.lots]
        if of_lot:
            return _say(
                of_lot, say("a balm from the same lot of {material}", material=_names([material], materials))
            )
    common = [(each, shared) for each in found if (shared := _in_common(each, own))]
    if not common:
        return None
    whole = [pair for pair in common if pair[1] >= (pair[0].fragrance or pair[0].materials)]
    best = max((whole or common), key=lambda pair: len(pair[1]))[1]
    of_it = [each for each, shared in (whole or common) if shared == best]
    names = _names(sorted(best), materials)
    if whole and not of_it[0].fragrance:
        return _say(of_it, say("a balm without fragrance of {names}, as in this recipe", names=names))
    if whole:
        return _say(of_it, say("a balm whose whole fragrance is in this recipe too ({names})", names=names))
    return _say(of_it, say("a balm that has {names} in common with this recipe", names=names))


def _in_common(each: Flag, own: frozenset[str]) -> frozenset[str]:
    return (each.fragrance or each.materials) & own


def _say_recipe(found: list[Flag], own: frozenset[str], materials: Mapping[str, Material]) -> Said:
    newest = found[0]
    shared = _in_common(newest, own)
    if newest.materials and own and not shared:
        return _say(
            found,
            say(
                "this recipe as it was in revision {revision}, with other materials in it than now",
                revision=newest.revision,
            ),
        )
    if shared:
        return _say(
            found,
            say("this recipe, with the same {names} in it", names=_names(sorted(shared), materials)),
        )
    return _say(found, say("this recipe"))


def _names(keys: Iterable[str], materials: Mapping[str, Material]) -> str:
    """Some names have a comma in them."""
    return "; ".join(materials[key].name if key in materials else key for key in keys)


def _say(found: list[Flag], what: Said) -> Said:
    """`found` are all reactions, or all notes that cannot be read."""
    if found[0].unread:
        return say(
            "It is not known whether skin reacted to {what}: what was noted of batch {batch} cannot be read. "
            "Act as if it had until somebody has looked.",
            what=what,
            batch=", ".join(each.batch for each in found),
        )
    return say("A skin reaction was reported of {what}: {entry}.", what=what, entry=_entry(found))


def _entry(found: list[Flag]) -> Said:
    """Which entry it is, without a name where words or initials were erased."""
    newest, others = found[0], found[1:]
    told, wearer = newest.reported.told, newest.reported.wearer
    day = "" if told is None else f"{told:%Y-%m-%d}"
    if newest.reported.seen:
        first = say("batch {batch}, seen by the maker", batch=newest.batch)
    elif wearer and day:
        first = say("batch {batch}, told by {wearer} on {day}", batch=newest.batch, wearer=wearer, day=day)
    elif wearer:
        first = say("batch {batch}, told by {wearer}", batch=newest.batch, wearer=wearer)
    elif day:
        first = say("batch {batch}, told by a wearer on {day}", batch=newest.batch, day=day)
    else:
        first = say("batch {batch}, told by a wearer", batch=newest.batch)
    if not others:
        return first
    return say("{first}; also of {batches}", first=first, batches=", ".join(each.batch for each in others))


def lot_caution(made: Flags, lot: str) -> Said | None:
    """One sentence for wherever the lot is used; None where nothing was reported of a balm with it."""
    if made.unread:
        return say("What wearers told cannot be read, so it is not known whether skin reacted to this lot.")
    for unread in (False, True):
        found = [each for each in made.all if each.unread is unread and lot in each.lots]
        if found:
            return _say(found, say("a balm with this lot in it"))
    return None


def lot_doubt(made: Flags, material: str, opened: date | None = None) -> Said | None:
    """That a lot of `material` may have been in a balm that is flagged, because that batch did not name it.

    One that was `opened` after that day cannot have been.
    """
    found = [
        each
        for each in made.all
        if material in each.unnamed and not (opened and each.day and opened > each.day)
    ]
    if not found:
        return None
    if found[0].unread:
        return say(
            "Perhaps it was in batch {batch}: its lot was not named, and whether skin reacted to it cannot be "
            "read.",
            batch=found[0].batch,
        )
    return say(
        "Perhaps it was in a balm that skin reacted to, since its lot was not named: {entry}.",
        entry=_entry([each for each in found if not each.unread]),
    )


def holds_back(made: Flags, session: str, wanted: Wanted, materials: Mapping[str, Material]) -> Said | None:
    """Why no more fragrance is to be proposed for this batch's recipe; None where nothing speaks against it.

    A reaction to the batch itself, to its recipe, or to all of the fragrance in
    it; and the same of what cannot be read.
    """
    if made.unread:
        return uses_caution(made, wanted, materials)
    own = taken_apart(wanted.materials, materials)
    for each in made.all:
        if each.session == session:
            return _say([each], say("this batch"))
        if each.recipe_name == wanted.name:
            return _say_recipe([each], own, materials)
        whole = each.fragrance or each.materials
        if whole and whole <= own:
            return _related([each], Wanted("", own), own, materials)
    return None
