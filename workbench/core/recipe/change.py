"""One small function for every edit of a recipe; each returns a new recipe.

The editor's undo commands call these and keep the recipe before and after.
An edit that cannot be is refused with a `Trouble` whose sentence says why;
the recipe at hand is never touched.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import ValidationError

from workbench.core.catalogue.model import Note, Place, Row, Use
from workbench.core.recipe.model import (
    Amount,
    BaseLine,
    BatchSize,
    Brief,
    Heat,
    Measure,
    Premix,
    Recipe,
    ScentLine,
    TinCount,
)
from workbench.core.recipe.weighed import Where
from workbench.core.trouble import Fault, Trouble
from workbench.core.units import Spoons, read_amount
from workbench.core.wording import Count, Number, Said, say

_Made = TypeVar("_Made", bound=Row)
_Line = BaseLine | ScentLine


# ---- what is typed into a line -------------------------------------------------------------


def amount_from(
    text: str, *, bare: Measure, spoons: Spoons = Spoons.US, density_g_ml: float | None = None
) -> Amount:
    """An amount as typed, with its text kept; a bare number counts `bare`.  Raises `Trouble`."""
    read = read_amount(text, spoons=spoons, density_g_ml=density_g_ml, bare=bare)
    return make(Amount, value=read.value, measure=read.measure, typed=read.typed)


# ---- lines ---------------------------------------------------------------------------------


def set_amount(recipe: Recipe, where: Where, index: int, amount: Amount) -> Recipe:
    return _set_line(recipe, where, index, amount=amount)


def set_material(recipe: Recipe, where: Where, index: int, material: str) -> Recipe:
    """Another material on the same line; its lot is forgotten, it was of the old one."""
    line = line_at(recipe, where, index)
    changed = _set_line(recipe, where, index, material=material, lot=None)
    if recipe.premix is not None and where is Where.BASE and recipe.premix.carrier == line.material:
        return change(changed, premix=make(Premix, **{**dict(recipe.premix), "carrier": material}))
    return changed


def set_note(recipe: Recipe, index: int, note: Note) -> Recipe:
    return _set_line(recipe, Where.SCENT, index, note=note)


def set_scale(recipe: Recipe, where: Where, index: int, scale: str | None) -> Recipe:
    """The scale a line is weighed on; None: the best at hand."""
    return _set_line(recipe, where, index, scale=scale)


def set_lot(recipe: Recipe, where: Where, index: int, lot: str | None) -> Recipe:
    return _set_line(recipe, where, index, lot=lot)


def add_base_line(
    recipe: Recipe, material: str, amount: Amount | None = None, at: int | None = None
) -> Recipe:
    """A new line of the base at position `at` (None: last); 1 part unless said otherwise."""
    line = make(BaseLine, material=material, amount=amount or Amount(value=1, measure=Measure.PARTS))
    return _insert(recipe, Where.BASE, line, at)


def add_scent_line(
    recipe: Recipe, material: str, note: Note, amount: Amount | None = None, at: int | None = None
) -> Recipe:
    line = make(
        ScentLine, material=material, note=note, amount=amount or Amount(value=1, measure=Measure.PARTS)
    )
    return _insert(recipe, Where.SCENT, line, at)


def remove_line(recipe: Recipe, where: Where, index: int) -> Recipe:
    """Without that line; a premix that held back its oil goes too."""
    line = line_at(recipe, where, index)
    lines = [kept for kept in _lines(recipe, where) if kept is not line]
    if recipe.premix is not None and where is Where.BASE and recipe.premix.carrier == line.material:
        recipe = change(recipe, premix=None)
    return _with_lines(recipe, where, lines)


def move_line(recipe: Recipe, where: Where, index: int, to: int) -> Recipe:
    """The same lines in another order; `to` beyond the ends means the end."""
    line = line_at(recipe, where, index)
    lines = [kept for kept in _lines(recipe, where) if kept is not line]
    lines.insert(max(0, min(to, len(lines))), line)
    return _with_lines(recipe, where, lines)


# ---- the recipe as a whole -----------------------------------------------------------------


def set_name(recipe: Recipe, name: str) -> Recipe:
    if not name.strip():
        raise Trouble(say("A recipe needs a name. Type one."))
    return change(recipe, name=name)


def set_load(recipe: Recipe, percent: float) -> Recipe:
    """The fragrance load as a share of the whole; from now on it is not set by the scent."""
    return change(recipe, load_percent=percent, load_from_scent=False)


def let_scent_set_load(recipe: Recipe, yes: bool) -> Recipe:
    return change(recipe, load_from_scent=yes)


def set_mass(recipe: Recipe, mass_g: float) -> Recipe:
    """A batch of a plain mass; tins are forgotten."""
    allowance = recipe.size.jug_allowance_percent
    return change(recipe, size=make(BatchSize, mass_g=mass_g, jug_allowance_percent=allowance))


def set_tins(recipe: Recipe, tins: Iterable[tuple[str, int]]) -> Recipe:
    """A batch that fills these tins (key, count); a plain mass is forgotten."""
    counts = tuple(make(TinCount, tin=tin, count=count) for tin, count in tins)
    if not counts:
        raise Trouble(say("Without a tin there is no batch size. Choose a tin, or give the batch a mass."))
    if len({row.tin for row in counts}) < len(counts):
        raise Trouble(say("The same tin stands there twice. Put its number on one line."))
    allowance = recipe.size.jug_allowance_percent
    return change(recipe, size=make(BatchSize, tins=counts, jug_allowance_percent=allowance))


def set_jug_allowance(recipe: Recipe, percent: float) -> Recipe:
    return change(recipe, size=make(BatchSize, **{**dict(recipe.size), "jug_allowance_percent": percent}))


def set_uses(recipe: Recipe, uses: Iterable[Use]) -> Recipe:
    """Intended uses, in the order of the list and each once; the lowest limit of all counts."""
    wanted = set(uses)
    if not wanted:
        raise Trouble(say("Choose at least one intended use: the limits on skin follow from it."))
    return change(recipe, uses=tuple(use for use in Use if use in wanted))


def set_place(recipe: Recipe, place: Place) -> Recipe:
    return change(recipe, place=place)


def set_heat(recipe: Recipe, heat: Heat) -> Recipe:
    return change(recipe, heat=heat)


def set_equipment(
    recipe: Recipe, *, vessel: str | None = None, microwave: str | None = None, thermometer: str | None = None
) -> Recipe:
    """What is given is chosen; what is not given stays.  An empty key takes the choice back."""
    given = {"vessel": vessel, "microwave": microwave, "thermometer": thermometer}
    return change(recipe, **{name: key or None for name, key in given.items() if key is not None})


def set_premix(
    recipe: Recipe, carrier: str, share_of_carrier_percent: float, warmed_to_c: float | None = None
) -> Recipe:
    """Hold back a share of one base line and mix the scent with it first."""
    if carrier not in {line.material for line in recipe.base}:
        raise Trouble(say("The carrier to be held back is not in the base. Add it there first."))
    premix = make(
        Premix,
        carrier=carrier,
        share_of_carrier_percent=share_of_carrier_percent,
        warmed_to_c=warmed_to_c,
    )
    return change(recipe, premix=premix)


def remove_premix(recipe: Recipe) -> Recipe:
    return change(recipe, premix=None)


def set_brief(recipe: Recipe, **fields: object) -> Recipe:
    """Some fields of the brief; the others stay."""
    return change(recipe, brief=make(Brief, **{**dict(recipe.brief), **fields}))


def set_flash_margin(recipe: Recipe, margin_k: float) -> Recipe:
    """The margin under the neat flash point; 5 K or more, never less."""
    return change(recipe, flash_margin_k=margin_k)


def set_observed_set_point(recipe: Recipe, celsius: float | None) -> Recipe:
    return change(recipe, observed_set_point_c=celsius)


def set_paper_flash_point(recipe: Recipe, celsius: float | None) -> Recipe:
    """The lowest flash point that the supplier's paper states for the scent blend."""
    return change(recipe, blend_flash_on_paper_c=celsius)


def accept_remedy(recipe: Recipe, remedy: str, above_flash_safe: bool = False) -> Recipe:
    return change(recipe, accepted_remedy=remedy, add_above_flash_safe=above_flash_safe)


def set_remarks(recipe: Recipe, remarks: str) -> Recipe:
    return change(recipe, remarks=remarks)


# ---- how it is done ------------------------------------------------------------------------


def change(recipe: Recipe, **fields: object) -> Recipe:
    """The recipe with other fields, checked as a whole."""
    return make(Recipe, **{**dict(recipe), **fields})


def make(model: type[_Made], **fields: Any) -> _Made:
    """A model from its fields, with faults in sentences instead of a pydantic error."""
    try:
        return model(**fields)
    except ValidationError as error:
        faults = tuple(Fault(_place(one["loc"]), _sentence(one)) for one in error.errors(include_url=False))
        raise Trouble(say("This change cannot be made."), faults) from error


def line_at(recipe: Recipe, where: Where, index: int) -> _Line:
    lines = _lines(recipe, where)
    if not 0 <= index < len(lines):
        raise Trouble(say("There is no such line any more. Choose a line that is in the recipe."))
    return lines[index]


def _lines(recipe: Recipe, where: Where) -> tuple[_Line, ...]:
    return recipe.base if where is Where.BASE else recipe.scent


def _with_lines(recipe: Recipe, where: Where, lines: Iterable[_Line]) -> Recipe:
    return change(recipe, **{where.value: tuple(lines)})


def _set_line(recipe: Recipe, where: Where, index: int, **fields: object) -> Recipe:
    line = line_at(recipe, where, index)
    changed = make(type(line), **{**dict(line), **fields})
    lines = [changed if kept is line else kept for kept in _lines(recipe, where)]
    _check_lines(recipe, where, lines)
    return _with_lines(recipe, where, lines)


def _insert(recipe: Recipe, where: Where, line: _Line, at: int | None) -> Recipe:
    lines = list(_lines(recipe, where))
    lines.insert(len(lines) if at is None else max(0, min(at, len(lines))), line)
    _check_lines(recipe, where, lines)
    return _with_lines(recipe, where, lines)


def _check_lines(recipe: Recipe, where: Where, lines: Iterable[_Line]) -> None:
    """The rules the model has too, told in the maker's words before it is asked."""
    lines = tuple(lines)
    other = recipe.scent if where is Where.BASE else recipe.base
    materials = [line.material for line in (*lines, *other)]
    if len(set(materials)) < len(materials):
        raise Trouble(
            say("This material is in the recipe already. Change the amount there; one material has one line.")
        )
    if where is Where.BASE and any(line.amount.measure is Measure.DROPS for line in lines):
        raise Trouble(
            say("A base line cannot be in drops. Use parts, %, g, mL or spoons; drops are for the scent.")
        )


_FIELDS = {
    "value": say("the amount"),
    "load_percent": say("the fragrance load"),
    "mass_g": say("the batch mass"),
    "count": say("the number of tins"),
    "jug_allowance_percent": say("what stays in the jug"),
    "share_of_carrier_percent": say("the share held back"),
    "flash_margin_k": say("the margin under the flash point"),
    "for_whom": say("for whom"),
    "name": say("the name"),
    "material": say("the material"),
}


def _place(loc: tuple[int | str, ...]) -> str:
    """The field a fault is about, in words where there are some."""
    field = next((str(part) for part in reversed(loc) if isinstance(part, str)), "")
    return _FIELDS.get(field, field.replace("_", " "))


def _sentence(error: Any) -> Said:
    """One pydantic fault in a sentence that says what to type instead."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "greater_than_equal":
        return say("It must be {least} or more.", least=_number(context["ge"]))
    if kind == "greater_than":
        return say("It must be more than {least}.", least=_number(context["gt"]))
    if kind == "less_than_equal":
        return say("It must be {most} or less.", most=_number(context["le"]))
    if kind == "string_too_long":
        return say(
            "It is too long; {count} characters are the most.",
            "It is too long; one character is the most.",
            count=Count(context["max_length"]),
        )
    if kind == "string_too_short":
        return say("It may not be empty.")
    if kind == "string_pattern_mismatch":
        return say("It is not a key of this program. Choose it from the list.")
    if kind in ("finite_number", "float_parsing", "float_type", "int_parsing", "int_from_float", "int_type"):
        return say("It must be a number.") if kind.startswith("f") else say("It must be a whole number.")
    if kind == "extra_forbidden":
        return say("There is no such field.")
    return say("It does not fit: {why}.", why=str(context.get("error", error["msg"])))


def _number(value: float) -> Number:
    return Number(value, 0 if float(value).is_integer() else 2)


def another_blend(before: Recipe, after: Recipe) -> bool:
    """Whether something else is mixed: a remedy was accepted for one blend and holds for no other."""
    one, other = (
        (each.base, each.scent, each.load_percent, each.load_from_scent, each.premix)
        for each in (before, after)
    )
    return one != other
