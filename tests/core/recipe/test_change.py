from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import base, scent, simple
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.recipe import change
from workbench.core.recipe.model import Amount, BatchSize, Heat, Measure, Premix, Recipe, TinCount
from workbench.core.recipe.weighed import Where
from workbench.core.trouble import Trouble
from workbench.core.units import Spoons

RECIPE = simple()
HELD_BACK = simple(premix=Premix(carrier="jojoba", share_of_carrier_percent=20))


def _any(value: object) -> Any:
    """A value of the wrong type, as a file or a script may bring it."""
    return value


def keys(recipe: Recipe, where: Where) -> list[str]:
    return [line.material for line in (recipe.base if where is Where.BASE else recipe.scent)]


def test_an_amount_keeps_what_was_typed() -> None:
    amount = change.amount_from("2 tsp", bare=Measure.PARTS, spoons=Spoons.METRIC)
    assert amount == Amount(value=10.0, measure=Measure.MILLILITRES, typed="2 tsp")
    assert change.amount_from("1,5", bare=Measure.PARTS).value == 1.5
    edited = change.set_amount(RECIPE, Where.BASE, 1, amount)
    assert edited.base[1].amount == amount
    assert edited.base[0] is RECIPE.base[0]
    assert RECIPE.base[1].amount.value == 1  # the recipe at hand is never touched


def test_lines_come_go_and_move() -> None:
    longer = change.add_base_line(RECIPE, "almond", at=1)
    assert keys(longer, Where.BASE) == ["beeswax", "almond", "shea", "jojoba"]
    assert longer.base[1].amount == Amount(value=1, measure=Measure.PARTS)
    scented = change.add_scent_line(
        RECIPE, "vetiver", Note.BASE, Amount(value=3, measure=Measure.DROPS), at=99
    )
    assert keys(scented, Where.SCENT) == ["lavender", "lemon", "vetiver"]
    assert scented.scent[2].note is Note.BASE
    assert keys(change.add_scent_line(RECIPE, "vetiver", Note.TOP), Where.SCENT)[-1] == "vetiver"
    assert keys(change.remove_line(RECIPE, Where.BASE, 0), Where.BASE) == ["shea", "jojoba"]
    assert keys(change.move_line(RECIPE, Where.BASE, 0, 2), Where.BASE) == ["shea", "jojoba", "beeswax"]
    assert keys(change.move_line(RECIPE, Where.SCENT, 1, -5), Where.SCENT) == ["lemon", "lavender"]


def test_a_line_gets_another_material() -> None:
    lotted = change.set_lot(RECIPE, Where.BASE, 2, "lot_7")
    assert lotted.base[2].lot == "lot_7"
    swapped = change.set_material(lotted, Where.BASE, 2, "almond")
    assert (swapped.base[2].material, swapped.base[2].lot) == ("almond", None)
    held = change.set_material(HELD_BACK, Where.BASE, 2, "almond").premix
    assert held is not None
    assert (held.carrier, held.share_of_carrier_percent) == ("almond", 20)
    assert change.set_material(HELD_BACK, Where.BASE, 0, "almond").premix == HELD_BACK.premix


def test_the_premix_goes_with_its_oil() -> None:
    assert change.remove_line(HELD_BACK, Where.BASE, 2).premix is None
    assert change.remove_line(HELD_BACK, Where.BASE, 0).premix == HELD_BACK.premix
    assert change.remove_line(HELD_BACK, Where.SCENT, 0).premix == HELD_BACK.premix
    assert change.remove_premix(HELD_BACK).premix is None
    mixed = change.set_premix(RECIPE, "jojoba", 30, 40)
    assert mixed.premix == Premix(carrier="jojoba", share_of_carrier_percent=30, warmed_to_c=40)


def test_notes_and_scales() -> None:
    assert change.set_note(RECIPE, 1, Note.TOP).scent[1].note is Note.TOP
    assert change.set_scale(RECIPE, Where.SCENT, 0, "fine").scent[0].scale == "fine"
    assert change.set_scale(RECIPE, Where.SCENT, 0, None).scent[0].scale is None


def test_the_load_by_per_cent_or_by_the_scent() -> None:
    from_scent = change.let_scent_set_load(RECIPE, True)
    assert from_scent.load_from_scent
    back = change.set_load(from_scent, 7.5)
    assert (back.load_percent, back.load_from_scent) == (7.5, False)


def test_sizes_replace_each_other() -> None:
    tins = change.set_tins(RECIPE, [("jar", 4), ("round", 2)])
    assert tins.size == BatchSize(tins=(TinCount(tin="jar", count=4), TinCount(tin="round", count=2)))
    allowed = change.set_jug_allowance(tins, 8)
    assert allowed.size.jug_allowance_percent == 8
    massed = change.set_mass(allowed, 80)
    assert massed.size == BatchSize(mass_g=80, jug_allowance_percent=8)


def test_everything_else_about_a_recipe() -> None:
    assert change.set_name(RECIPE, "North window").name == "North window"
    # in the order of the list, each once
    assert change.set_uses(RECIPE, [Use.HANDS, Use.LIPS, Use.HANDS]).uses == (Use.LIPS, Use.HANDS)
    assert change.set_place(RECIPE, Place.US).place is Place.US
    assert change.set_heat(RECIPE, Heat.MICROWAVE).heat is Heat.MICROWAVE
    fitted = change.set_equipment(RECIPE, vessel="jug", thermometer="probe")
    assert (fitted.vessel, fitted.microwave, fitted.thermometer) == ("jug", None, "probe")
    assert change.set_equipment(fitted, vessel="").vessel is None
    briefed = change.set_brief(RECIPE, pregnant=True, liked="green and cool")
    assert briefed.brief.pregnant
    assert change.set_brief(briefed, liked="").brief.pregnant
    assert change.set_flash_margin(RECIPE, 15).flash_margin_k == 15
    assert change.set_observed_set_point(RECIPE, 51.5).observed_set_point_c == 51.5
    assert change.set_paper_flash_point(RECIPE, 62).blend_flash_on_paper_c == 62
    accepted = change.accept_remedy(RECIPE, "less wax", above_flash_safe=True)
    assert (accepted.accepted_remedy, accepted.add_above_flash_safe) == ("less wax", True)
    assert change.set_remarks(RECIPE, "for winter").remarks == "for winter"


@pytest.mark.parametrize(
    ("edit", "reason"),
    [
        (lambda r: change.add_base_line(r, "shea"), "in the recipe already"),
        (lambda r: change.add_scent_line(r, "shea", Note.BASE), "in the recipe already"),
        (lambda r: change.set_material(r, Where.BASE, 0, "shea"), "in the recipe already"),
        (lambda r: change.add_base_line(r, "Not a key"), "the material: It is not a key"),
        (
            lambda r: change.set_amount(r, Where.BASE, 0, Amount(value=3, measure=Measure.DROPS)),
            "cannot be in drops",
        ),
        (lambda r: change.amount_from("two", bare=Measure.PARTS), "not a number"),
        (lambda r: change.remove_line(r, Where.BASE, 3), "no such line any more"),
        (lambda r: change.move_line(r, Where.SCENT, -1, 0), "no such line any more"),
        (lambda r: change.set_load(r, 41), "the fragrance load: It must be 40 or less."),
        (lambda r: change.set_load(r, -0.5), "the fragrance load: It must be 0 or more."),
        (lambda r: change.set_load(r, float("nan")), "the fragrance load: It must be"),
        (lambda r: change.set_mass(r, 0), "the batch mass: It must be more than 0."),
        (lambda r: change.set_mass(r, 1e6), "the batch mass: It must be 20000 or less."),
        (lambda r: change.set_tins(r, []), "Without a tin there is no batch size"),
        (lambda r: change.set_tins(r, [("jar", 1), ("jar", 2)]), "stands there twice"),
        (lambda r: change.set_tins(r, [("jar", 0)]), "the number of tins: It must be 1 or more."),
        (
            lambda r: change.set_tins(r, [("jar", _any(1.5))]),
            "the number of tins: It must be a whole number.",
        ),
        (
            lambda r: change.set_tins(r, [("jar", _any("x"))]),
            "the number of tins: It must be a whole number.",
        ),
        (lambda r: change.set_jug_allowance(r, 51), "what stays in the jug: It must be 50 or less."),
        (lambda r: change.set_uses(r, []), "at least one intended use"),
        (lambda r: change.set_premix(r, "almond", 20), "not in the base"),
        (lambda r: change.set_premix(r, "jojoba", 120), "the share held back: It must be 100 or less."),
        (
            lambda r: change.set_flash_margin(r, 4.5),
            "the margin under the flash point: It must be 5 or more.",
        ),
        (lambda r: change.set_name(r, "  "), "needs a name"),
        (lambda r: change.set_brief(r, for_whom="everybody in the house"), "8 characters are the most"),
        (lambda r: change.set_brief(r, colour="red"), "There is no such field"),
        (lambda r: change.set_observed_set_point(r, _any("warm")), "It must be a number."),
        (lambda r: change.change(r, name=""), "the name: It may not be empty."),
        (lambda r: change.change(r, uses=()), "choose at least one intended use"),
        (lambda r: change.change(r, place="Moon"), "It does not fit"),
    ],
)
def test_edits_that_cannot_be(edit: object, reason: str) -> None:
    assert callable(edit)
    before = RECIPE.model_dump()
    with pytest.raises(Trouble) as trouble:
        edit(RECIPE)
    assert reason in str(trouble.value)
    assert RECIPE.model_dump() == before


@given(st.integers(0, 4), st.integers(-2, 7))
def test_moving_loses_no_line(index: int, to: int) -> None:
    recipe = simple(
        base=tuple(
            base(key, n + 1) for n, key in enumerate(["beeswax", "shea", "jojoba", "almond", "leftover_one"])
        ),
        scent=(scent("lemon", 1),),
    )
    moved = change.move_line(recipe, Where.BASE, index, to)
    assert sorted(keys(moved, Where.BASE)) == sorted(keys(recipe, Where.BASE))
    assert moved.base[max(0, min(to, 4))] == recipe.base[index]
    back = change.move_line(moved, Where.BASE, max(0, min(to, 4)), index)
    assert back == recipe
