from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.core.recipe.kitchen import simple
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.recipe import change
from workbench.core.recipe.compare import what_changed
from workbench.core.recipe.model import Amount, Brief, Heat, Measure, Recipe
from workbench.core.recipe.weighed import Where

RECIPE = simple()


def name_of(key: str) -> str:
    return key.replace("_", " ").capitalize()


def told(edit: Callable[[Recipe], Recipe], before: Recipe = RECIPE) -> tuple[str, ...]:
    return what_changed(before, edit(before), name_of)


@pytest.mark.parametrize(
    ("edit", "there", "back"),
    [
        (
            lambda r: change.set_name(r, "New"),
            "It is now called “New”, before “Kitchen window”.",
            "“Kitchen window”",
        ),
        (
            lambda r: change.set_amount(r, Where.BASE, 0, Amount(value=2, measure=Measure.PARTS)),
            "Beeswax: 2 parts, before 1 part.",
            "Beeswax: 1 part, before 2 parts.",
        ),
        (lambda r: change.add_base_line(r, "almond"), "Almond is new: 1 part.", "Almond was taken out."),
        (
            lambda r: change.set_note(r, 1, Note.TOP),
            "Lemon now counts as top note, before as middle note.",
            "middle",
        ),
        (
            lambda r: change.set_scale(r, Where.SCENT, 0, "fine"),
            "Lavender is weighed on another scale.",
            "scale",
        ),
        (lambda r: change.set_lot(r, Where.BASE, 1, "lot_7"), "Shea is taken from another lot.", "lot"),
        (
            lambda r: change.move_line(r, Where.BASE, 0, 2),
            "The lines stand in another order.",
            "another order",
        ),
        (
            lambda r: change.set_load(r, 6.5),
            "The fragrance load is set at 6.50 %, before at 5.00 %.",
            "5.00 %, before at 6.50 %",
        ),
        (
            lambda r: change.let_scent_set_load(r, True),
            "The scent now sets the load.",
            "no longer by the scent",
        ),
        (
            lambda r: change.set_mass(r, 80),
            "The batch is now 80.0 g, before 60.0 g.",
            "60.0 g, before 80.0 g",
        ),
        (
            lambda r: change.set_tins(r, [("jar", 4)]),
            "The batch is now 4 × Jar and 5.0 % for the jug, before 60.0 g.",
            "60.0 g, before 4 × Jar",
        ),
        (
            lambda r: change.set_premix(r, "jojoba", 20),
            "The scent is premixed with 20.0 % of Jojoba, not warmed.",
            "goes in neat",
        ),
        (
            lambda r: change.set_premix(r, "jojoba", 20, 40),
            "The scent is premixed with 20.0 % of Jojoba, warmed to 40.0 °C.",
            "goes in neat",
        ),
        (
            lambda r: change.set_uses(r, [Use.LIPS, Use.HANDS]),
            "It is meant for lips, hands, before for solid perfume.",
            "for solid perfume, before",
        ),
        (lambda r: change.set_place(r, Place.UK), "The rules of UK apply, before those of EU.", "EU apply"),
        (
            lambda r: change.set_heat(r, Heat.MICROWAVE),
            "heated by microwave, before by water-bath",
            "by water-bath,",
        ),
        (
            lambda r: change.set_equipment(r, vessel="glass_jug"),
            "Another choice for the jug: Glass jug, before none.",
            "none, before Glass jug",
        ),
        (
            lambda r: change.set_flash_margin(r, 15),
            "The margin under the flash point is 15.0 °C, before 5.0 °C.",
            "5.0 °C, before 15.0 °C",
        ),
        (lambda r: change.set_observed_set_point(r, 52), "The set point was seen at 52.0 °C.", "taken back"),
        (lambda r: change.set_paper_flash_point(r, 61), "a flash point of 61.0 °C", "taken back"),
        (
            lambda r: change.accept_remedy(r, "", above_flash_safe=True),
            "without any source of ignition",
            "below the flash-safe temperature only",
        ),
        (
            lambda r: change.accept_remedy(r, "less wax"),
            "Another text for the accepted remedy.",
            "accepted remedy",
        ),
        (lambda r: change.set_remarks(r, "dry"), "Another text for the remarks.", "remarks"),
    ],
)
def test_one_edit_is_one_sentence_there_and_back(
    edit: Callable[[Recipe], Recipe], there: str, back: str
) -> None:
    (sentence,) = told(edit)
    assert there in sentence
    (sentence,) = what_changed(edit(RECIPE), RECIPE, name_of)
    assert back in sentence


@pytest.mark.parametrize("field", list(Brief.model_fields))
def test_every_field_of_the_brief_is_told(field: str) -> None:
    old = getattr(RECIPE.brief, field)
    new = (not old) if isinstance(old, bool) else (("nuts",) if isinstance(old, tuple) else "other")
    (sentence,) = told(lambda recipe: change.set_brief(recipe, **{field: new}))
    assert sentence == f"The brief says something else on {field.replace('_', ' ')}."


def test_no_field_of_a_recipe_is_forgotten() -> None:
    other = {
        "name": "Other",
        "brief": Brief(liked="green"),
        "base": RECIPE.base[:2],
        "scent": RECIPE.scent[:1],
        "load_percent": 3.0,
        "load_from_scent": True,
        "uses": (Use.BODY,),
        "place": Place.US,
        "heat": Heat.MICROWAVE,
        "vessel": "jug",
        "microwave": "oven",
        "thermometer": "probe",
        "size": change.set_mass(RECIPE, 30).size,
        "premix": change.set_premix(RECIPE, "jojoba", 10).premix,
        "flash_margin_k": 8.0,
        "observed_set_point_c": 50.0,
        "blend_flash_on_paper_c": 60.0,
        "add_above_flash_safe": True,
        "accepted_remedy": "wait",
        "remarks": "dry",
    }
    assert set(other) == set(Recipe.model_fields)  # a new field needs its sentence
    for field, value in other.items():
        assert told(lambda recipe, f=field, v=value: change.change(recipe, **{f: v})), field  # type: ignore[misc]
    assert what_changed(RECIPE, RECIPE, name_of) == ()


def test_the_same_words_for_another_amount() -> None:
    one = change.set_amount(
        RECIPE, Where.BASE, 0, Amount(value=9.86, measure=Measure.MILLILITRES, typed="2 tsp")
    )
    two = change.set_amount(
        one, Where.BASE, 0, Amount(value=10.0, measure=Measure.MILLILITRES, typed="2 tsp")
    )
    assert what_changed(one, two, name_of) == ("Beeswax: “2 tsp” now stands for another amount.",)


def test_a_material_that_takes_the_place_of_another() -> None:
    sentences = told(lambda recipe: change.set_material(recipe, Where.BASE, 2, "almond"))
    assert sentences == ("Jojoba was taken out.", "Almond is new: 1 part.")
