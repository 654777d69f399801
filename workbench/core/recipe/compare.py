"""What changed between two revisions of a recipe, in sentences."""

from __future__ import annotations

from collections.abc import Callable

from workbench.core.recipe.lines import as_meant
from workbench.core.recipe.model import BaseLine, BatchSize, Premix, Recipe, ScentLine
from workbench.core.wording import Degrees, Grams, Kelvins, Said, Share, say

NameOf = Callable[[str], str]

# Fields told by a sentence of their own; every other field is told by its name.
_WORDS = {
    "vessel": say("the jug"),
    "microwave": say("the microwave"),
    "thermometer": say("the thermometer"),
    "remarks": say("the remarks"),
    "accepted_remedy": say("the accepted remedy"),
}


def what_changed(before: Recipe, after: Recipe, name_of: NameOf) -> tuple[Said, ...]:
    """One sentence for each difference; empty only where the two are the same.

    `name_of` turns the key of a material, tin or piece of equipment into its name.
    """
    told: list[Said] = []
    if before.name != after.name:
        told.append(
            say("It is now called “{after}”, before “{before}”.", after=after.name, before=before.name)
        )
    told += _lines(before.base, after.base, name_of)
    told += _lines(before.scent, after.scent, name_of)
    told += _load(before, after)
    if before.size != after.size:
        told.append(
            say(
                "The batch is now {after}, before {before}.",
                after=_size(after.size, name_of),
                before=_size(before.size, name_of),
            )
        )
    told += _premix(before.premix, after.premix, name_of)
    told += _settings(before, after, name_of)
    return tuple(told)


def _lines(
    before: tuple[BaseLine, ...] | tuple[ScentLine, ...],
    after: tuple[BaseLine, ...] | tuple[ScentLine, ...],
    name_of: NameOf,
) -> list[Said]:
    old = {line.material: line for line in before}
    new = {line.material: line for line in after}
    told = [say("{name} was taken out.", name=name_of(key)) for key in old if key not in new]
    for key, line in new.items():
        name, was = name_of(key), old.get(key)
        if was is None:
            told.append(say("{name} is new: {amount}.", name=name, amount=as_meant(line.amount)))
            continue
        if was.amount != line.amount:
            told.append(_amount_change(name, was, line))
        if isinstance(was, ScentLine) and isinstance(line, ScentLine) and was.note != line.note:
            told.append(
                say(
                    "{name} now counts as {after} note, before as {before} note.",
                    name=name,
                    after=line.note.value,
                    before=was.note.value,
                )
            )
        if was.scale != line.scale:
            told.append(say("{name} is weighed on another scale.", name=name))
        if was.lot != line.lot:
            told.append(say("{name} is taken from another lot.", name=name))
    kept = [key for key in old if key in new]
    if kept != [key for key in new if key in old]:
        told.append(say("The lines stand in another order."))
    return told


def _amount_change(name: str, was: BaseLine | ScentLine, line: BaseLine | ScentLine) -> Said:
    before, after = as_meant(was.amount), as_meant(line.amount)
    if before == after:  # "2 tsp" of other spoons
        return say("{name}: “{after}” now stands for another amount.", name=name, after=after)
    return say("{name}: {after}, before {before}.", name=name, after=after, before=before)


def _load(before: Recipe, after: Recipe) -> list[Said]:
    told = []
    if before.load_from_scent != after.load_from_scent:
        told.append(
            say("The scent now sets the load.")
            if after.load_from_scent
            else say("The load is now set at {load}, no longer by the scent.", load=Share(after.load_percent))
        )
    if before.load_percent != after.load_percent:
        digits = _telling(before.load_percent, after.load_percent)
        told.append(
            say(
                "The fragrance load is set at {after}, before at {before}.",
                after=Share(after.load_percent, digits),
                before=Share(before.load_percent, digits),
            )
        )
    return told


def _telling(before: float, after: float) -> int:
    """Decimals that tell two shares apart, from the two that are usual."""
    return next((digits for digits in (2, 3) if f"{before:.{digits}f}" != f"{after:.{digits}f}"), 4)


def _size(size: BatchSize, name_of: NameOf) -> Said:
    if size.mass_g is not None:
        return say("{mass}", mass=Grams(size.mass_g, 1))
    tins = ", ".join(f"{row.count} × {name_of(row.tin)}" for row in size.tins)
    return say("{tins} and {allowance} for the jug", tins=tins, allowance=Share(size.jug_allowance_percent))


def _premix(before: Premix | None, after: Premix | None, name_of: NameOf) -> list[Said]:
    if before == after:
        return []
    if after is None:
        return [say("The scent goes in neat, no longer as a premix.")]
    share, name = Share(after.share_of_carrier_percent), name_of(after.carrier)
    if after.warmed_to_c is None:
        return [say("The scent is premixed with {share} of {name}, not warmed.", share=share, name=name)]
    return [
        say(
            "The scent is premixed with {share} of {name}, warmed to {warm}.",
            share=share,
            name=name,
            warm=Degrees(after.warmed_to_c),
        )
    ]


def _settings(before: Recipe, after: Recipe, name_of: NameOf) -> list[Said]:
    told = []
    if before.uses != after.uses:
        told.append(
            say(
                "It is meant for {after}, before for {before}.",
                after=", ".join(use.value for use in after.uses),
                before=", ".join(use.value for use in before.uses),
            )
        )
    if before.place != after.place:
        told.append(
            say(
                "The rules of {after} apply, before those of {before}.",
                after=after.place.value,
                before=before.place.value,
            )
        )
    if before.heat != after.heat:
        told.append(
            say(
                "It is heated by {after}, before by {before}.",
                after=after.heat.value,
                before=before.heat.value,
            )
        )
    for field in ("vessel", "microwave", "thermometer"):
        old, new = getattr(before, field), getattr(after, field)
        if old != new:
            told.append(
                say(
                    "Another choice for {what}: {after}, before {before}.",
                    what=_WORDS[field],
                    after=name_of(new) if new else say("none"),
                    before=name_of(old) if old else say("none"),
                )
            )
    if before.flash_margin_k != after.flash_margin_k:
        told.append(
            say(
                "The margin under the flash point is {after}, before {before}.",
                after=Kelvins(after.flash_margin_k),
                before=Kelvins(before.flash_margin_k),
            )
        )
    if before.observed_set_point_c != after.observed_set_point_c:
        told.append(
            say("The observed set point was taken back.")
            if after.observed_set_point_c is None
            else say("The set point was seen at {seen}.", seen=Degrees(after.observed_set_point_c))
        )
    if before.blend_flash_on_paper_c != after.blend_flash_on_paper_c:
        told.append(
            say("The flash point from the supplier's paper was taken back.")
            if after.blend_flash_on_paper_c is None
            else say(
                "The supplier's paper states a flash point of {stated} for the scent.",
                stated=Degrees(after.blend_flash_on_paper_c),
            )
        )
    if before.add_above_flash_safe != after.add_above_flash_safe:
        told.append(
            say("Fragrance may go in above the flash-safe temperature, without any source of ignition.")
            if after.add_above_flash_safe
            else say("Fragrance goes in below the flash-safe temperature only.")
        )
    told += [
        say("Another text for {what}.", what=_WORDS[field])
        for field in ("accepted_remedy", "remarks")
        if getattr(before, field) != getattr(after, field)
    ]
    told += [
        say("The brief says something else on {what}.", what=field.replace("_", " "))
        for field in type(before.brief).model_fields
        if getattr(before.brief, field) != getattr(after.brief, field)
    ]
    return told
