"""From a recipe to grams; this file alone covers every branch of `recipe.amounts`."""

from __future__ import annotations

import time
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import FINE_SCALE, base, kitchen, scent, simple
from workbench.core.catalogue.shelf import Lot
from workbench.core.recipe.amounts import Weighed, Where, work_out
from workbench.core.recipe.model import (
    Amount,
    BaseLine,
    BatchSize,
    Measure,
    Premix,
    Recipe,
    ScentLine,
    TinCount,
)
from workbench.core.trouble import Trouble
from workbench.core.units import read_amount

KITCHEN = kitchen()
FOUR_JARS = BatchSize(tins=(TinCount(tin="jar", count=4),), jug_allowance_percent=5)


def grams(weighed: Weighed) -> dict[str, float]:
    return {line.material: line.exact_g for line in weighed.lines}


def test_an_equal_parts_base() -> None:
    # equal parts of wax, butter and oil (common practice, no source)
    worked = work_out(simple(scent=()), KITCHEN)
    assert grams(worked) == pytest.approx({"beeswax": 20.0, "shea": 20.0, "jojoba": 20.0})
    assert (worked.load_percent, worked.scent_g, worked.base_g) == (0.0, 0.0, 60.0)


def test_the_load_is_a_share_of_the_whole() -> None:
    # 60 g with 5 % scent: 3 g scent as 3 + 1 parts, and 57 g base in three
    worked = work_out(simple(), KITCHEN)
    assert grams(worked) == pytest.approx(
        {"beeswax": 19.0, "shea": 19.0, "jojoba": 19.0, "lavender": 2.25, "lemon": 0.75}
    )
    assert worked.load_percent == pytest.approx(5.0)
    assert worked.base_composition.mass_g == pytest.approx(57.0)
    assert worked.scent_composition.as_dict() == pytest.approx({"lavender": 2.25, "lemon": 0.75})
    assert [line.as_meant for line in worked.lines] == ["1 part", "1 part", "1 part", "3 parts", "1 part"]
    assert [(line.where, line.index) for line in worked.lines] == [
        (Where.BASE, 0),
        (Where.BASE, 1),
        (Where.BASE, 2),
        (Where.SCENT, 0),
        (Where.SCENT, 1),
    ]


def test_per_cent_of_base_and_scent() -> None:
    worked = work_out(
        simple(
            base=(base("beeswax", 30, Measure.PERCENT), base("jojoba", 70, Measure.PERCENT)),
            scent=(scent("lavender", 60, Measure.PERCENT), scent("lemon", 40, Measure.PERCENT)),
        ),
        KITCHEN,
    )
    assert grams(worked) == pytest.approx({"beeswax": 17.1, "jojoba": 39.9, "lavender": 1.8, "lemon": 1.2})


def test_spoons_go_in_and_are_shown_as_typed() -> None:
    read = read_amount("2 tsp", density_g_ml=0.8675)
    spooned = BaseLine(
        material="jojoba", amount=Amount(value=read.value, measure=read.measure, typed=read.typed)
    )
    worked = work_out(simple(base=(base("beeswax", 1), spooned), scent=()), KITCHEN)
    # two US teaspoons of 4.928 922 mL (NIST SP 811) of an oil of 0.8675 g/mL
    assert grams(worked) == pytest.approx({"beeswax": 60 - 8.551680, "jojoba": 8.551680}, abs=1e-5)
    assert worked.lines[1].as_meant == "2 tsp"
    assert "keep their 8.55 g whatever the batch" in worked.notes[0]


def test_grams_without_parts_are_proportions() -> None:
    worked = work_out(
        simple(base=(base("beeswax", 10, Measure.GRAMS), base("jojoba", 20, Measure.GRAMS)), scent=()),
        KITCHEN,
    )
    assert grams(worked) == pytest.approx({"beeswax": 20.0, "jojoba": 40.0})
    assert "come to 30.00 g and were scaled to 60.00 g" in worked.notes[0]


def test_the_scent_can_set_the_load() -> None:
    worked = work_out(
        simple(
            scent=(scent("vetiver", 27, Measure.DROPS), scent("lemon", 2, Measure.GRAMS)),
            load_from_scent=True,
        ),
        KITCHEN,
    )
    # 27 drops of an oil of 1 g/mL are 1 g; 3 g of scent in 60 g are 5 %
    assert grams(worked)["vetiver"] == pytest.approx(1.0)
    assert worked.load_percent == pytest.approx(5.0)
    assert worked.base_g == pytest.approx(57.0)
    assert "The scent sets the load" in worked.notes[0]


def test_per_cent_beside_grams_can_set_the_load() -> None:
    worked = work_out(
        simple(
            scent=(scent("lavender", 3, Measure.GRAMS), scent("lemon", 25, Measure.PERCENT)),
            load_from_scent=True,
        ),
        KITCHEN,
    )
    assert worked.scent_g == pytest.approx(4.0)
    assert grams(worked)["lemon"] == pytest.approx(1.0)


def test_drops_of_an_oil_of_unknown_density_are_counted_at_the_average() -> None:
    worked = work_out(
        simple(scent=(scent("bought_blend", 30, Measure.DROPS),), load_from_scent=True), KITCHEN
    )
    assert worked.scent_g == pytest.approx(0.99)


def test_a_batch_for_tins_fills_them_at_room_temperature() -> None:
    worked = work_out(simple(size=FOUR_JARS), KITCHEN)
    shares = {key: mass / worked.batch_g for key, mass in grams(worked).items()}
    density = 1 / sum(share / _density(key) for key, share in shares.items())
    assert worked.density_g_ml == pytest.approx(density)
    (tins,) = worked.tins
    assert (tins.name, tins.count) == ("Glass jar", 4)
    assert tins.volume_ml == pytest.approx(15.0, abs=0.001)
    assert tins.fill_g == pytest.approx(15.0 * density, abs=0.001)
    assert worked.batch_g == pytest.approx(4 * tins.fill_g * 1.05)
    assert worked.jug_allowance_g == pytest.approx(worked.batch_g - 4 * tins.fill_g)


def test_tins_with_lines_that_keep_their_grams() -> None:
    # the density depends on the batch and the batch on the density; both must come out right
    recipe = simple(
        base=(base("beeswax", 1), base("jojoba", 20, Measure.MILLILITRES)),
        scent=(scent("vetiver", 40, Measure.DROPS),),
        load_from_scent=True,
        size=FOUR_JARS,
    )
    worked = work_out(recipe, KITCHEN)
    assert grams(worked)["jojoba"] == pytest.approx(20 * 0.8675)
    volume = sum(mass / _density(key) for key, mass in grams(worked).items())
    assert volume == pytest.approx(4 * worked.tins[0].volume_ml * 1.05)
    assert worked.tins[0].fill_g * 4 * 1.05 == pytest.approx(worked.batch_g)


def test_an_unknown_density_is_named_where_it_counts() -> None:
    recipe = simple(scent=(scent("bought_blend", 1),), size=FOUR_JARS)
    assert any("No density is known for Bought blend" in note for note in work_out(recipe, KITCHEN).notes)
    assert not work_out(recipe.model_copy(update={"size": BatchSize(mass_g=60)}), KITCHEN).notes


def _density(key: str) -> float:
    figure = KITCHEN.material(key).density_g_ml
    assert figure is not None
    return figure.value


def test_a_premix_holds_back_carrier() -> None:
    recipe = simple(premix=Premix(carrier="jojoba", share_of_carrier_percent=25))
    worked = work_out(recipe, KITCHEN)
    assert [line.held_back_g for line in worked.lines] == pytest.approx([0, 0, 4.75, 0, 0])


def test_an_idle_scent_is_said() -> None:
    nothing = work_out(simple(scent=(scent("lavender", 0),)), KITCHEN)
    assert nothing.load_percent == 0
    assert nothing.base_g == pytest.approx(60.0)
    assert "without scent" in nothing.notes[0]
    no_load = work_out(simple(load_percent=0.0), KITCHEN)
    assert no_load.scent_g == 0
    assert "load is 0 %" in no_load.notes[0]


def test_cost_from_the_lots() -> None:
    lots = [
        Lot(key=f"lot_{key}", material=key, price_per_kg=price)
        for key, price in [("beeswax", 20.0), ("shea", 15.0), ("jojoba", 40.0), ("lavender", 200.0)]
    ]
    assert work_out(simple(), KITCHEN).cost.why.startswith("No line has a price yet")
    partly = work_out(simple(), kitchen(lots=tuple(lots))).cost
    assert (partly.amount, partly.missing) == (None, ("Lemon",))
    # 19 g each of 20, 15 and 40 per kg, and 2.25 g of 200
    assert "No price is known for Lemon; the other lines come to 1.88 EUR." in partly.why
    lots.append(Lot(key="bare", material="lemon"))
    lots.append(Lot(key="dear", material="lemon", price_per_kg=100.0))
    lots.append(Lot(key="cheap", material="lemon", price_per_kg=80.0))
    whole = work_out(simple(), kitchen(lots=tuple(lots))).cost
    assert whole.amount == pytest.approx(1.875 + 0.075)
    assert whole.why == ""
    chosen = ScentLine.model_validate({**dict(scent("lemon", 1)), "lot": "cheap"})
    cheaper = work_out(simple(scent=(scent("lavender", 3), chosen)), kitchen(lots=tuple(lots))).cost
    assert cheaper.amount == pytest.approx(1.875 + 0.060)


@pytest.mark.parametrize(
    ("recipe", "reason"),
    [
        (simple(base=()), "The base is empty"),
        (simple(base=(base("beeswax", 0),)), "The base is empty"),
        (
            simple(base=(base("beeswax", 60, Measure.PERCENT), base("jojoba", 50, Measure.PERCENT))),
            "base adds up to 110.0 %",
        ),
        (
            simple(scent=(scent("lemon", 60, Measure.PERCENT), scent("lavender", 50, Measure.PERCENT))),
            "scent adds up to 110.0 %",
        ),
        (
            simple(base=(base("beeswax", 100, Measure.PERCENT), base("jojoba", 1))),
            "lines of the base in % already come to 100.0 %",
        ),
        (
            simple(scent=(scent("lemon", 100, Measure.PERCENT), scent("lavender", 1, Measure.GRAMS))),
            "lines of the scent in % already come to 100.0 %",
        ),
        (
            simple(base=(base("beeswax", 1), base("jojoba", 80, Measure.GRAMS))),
            "come to 80.00 g, but the base has room for 57.00 g",
        ),
        (
            simple(scent=(scent("lemon", 1), scent("lavender", 5, Measure.GRAMS))),
            "come to 5.00 g, but the load leaves room for 3.00 g",
        ),
        (simple(load_from_scent=True), "Parts of the scent do not say"),
        (
            simple(load_from_scent=True, scent=(scent("lemon", 100, Measure.PERCENT),)),
            "Per cent of the scent alone",
        ),
        (
            simple(load_from_scent=True, scent=(scent("lemon", 60, Measure.GRAMS),)),
            "scent alone comes to 60.00 g, the batch to 60.00 g",
        ),
        (
            simple(load_from_scent=True, scent=(scent("lemon", 90, Measure.GRAMS),), size=FOUR_JARS),
            "scent alone comes to 90.00 g",
        ),
        (simple(scent=(scent("bought_blend", 5, Measure.MILLILITRES),)), "A volume needs a density"),
        (simple(premix=Premix(carrier="almond", share_of_carrier_percent=20)), "held back for the premix"),
        (simple(size=BatchSize(tins=(TinCount(tin="lost", count=1),))), "no tin “lost”"),
    ],
)
def test_recipes_that_cannot_be(recipe: Recipe, reason: str) -> None:
    with pytest.raises(Trouble) as trouble:
        work_out(recipe, KITCHEN)
    assert reason in str(trouble.value)


def test_everything_missing_is_told_at_once() -> None:
    with pytest.raises(Trouble) as trouble:
        work_out(simple(base=(base("first", 1), base("beeswax", 1)), scent=(scent("second", 1),)), KITCHEN)
    assert [fault.place for fault in trouble.value.faults] == ["first", "second"]


_VALUES = st.floats(0.1, 100).map(lambda value: round(value, 3))
_KEYS = ["beeswax", "shea", "jojoba", "almond", "leftover_one", "leftover_two"]
_OILS = ["lavender", "lemon", "vetiver", "benzoin", "bought_blend", "oil_1"]


def _lines(keys: Sequence[str]) -> st.SearchStrategy[list[tuple[str, float]]]:
    return st.lists(
        st.tuples(st.sampled_from(keys), _VALUES), min_size=1, max_size=6, unique_by=lambda row: row[0]
    )


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """Recipes of all measures in which the fixed lines leave room."""
    bases = tuple(
        base(key, value / 50 if fixed else value, draw(st.sampled_from(_FIXED)) if fixed else Measure.PARTS)
        for key, value in draw(_lines(_KEYS))
        for fixed in [draw(st.booleans())]
    )
    scents = tuple(
        scent(key, round(value), Measure.DROPS) if drops else scent(key, value)
        for key, value in draw(_lines(_OILS))
        for drops in [draw(st.integers(0, 3)) == 0]
    )
    size = draw(
        st.one_of(
            st.floats(500, 5000).map(lambda mass: BatchSize(mass_g=mass)),
            st.integers(40, 200).map(lambda count: BatchSize(tins=(TinCount(tin="jar", count=count),))),
        )
    )
    return simple(base=bases, scent=scents, load_percent=draw(st.floats(0, 40)), size=size)


_FIXED = [Measure.GRAMS, Measure.MILLILITRES]


@given(recipes())
def test_masses_add_up_to_the_batch_and_shares_to_a_hundred(recipe: Recipe) -> None:
    try:
        worked = work_out(recipe, KITCHEN)
    except Trouble as trouble:
        # only a load too small for its drops may stop these
        assert "load leaves room for" in str(trouble) or "nothing is left" in str(trouble)  # noqa: PT017
        return
    assert sum(line.exact_g for line in worked.lines) == pytest.approx(worked.batch_g, rel=1e-12, abs=1e-9)
    assert sum(line.share_percent for line in worked.lines) == pytest.approx(100.0, abs=1e-9)
    assert worked.base_g + worked.scent_g == pytest.approx(worked.batch_g, abs=1e-9)
    assert worked.composition.mass_g == pytest.approx(worked.batch_g, abs=1e-9)
    assert all(line.exact_g >= 0 for line in worked.lines)
    if not recipe.load_from_scent and any(line.amount.value > 0 for line in recipe.scent):
        assert worked.load_percent == pytest.approx(recipe.load_percent, abs=1e-9)
    for line in worked.lines:
        assert line.readability_g is not None
        assert abs(line.weigh_g - line.exact_g) <= line.readability_g / 2 + 1e-9


@given(
    _lines(_KEYS),
    _lines(_OILS),
    st.sampled_from([Measure.PARTS, Measure.GRAMS]),
    st.floats(0.5, 40),
    st.floats(1, 2000),
    st.floats(0.1, 10),
)
def test_scaling_there_and_back(
    bases: list[tuple[str, float]],
    scents: list[tuple[str, float]],
    measure: Measure,
    load: float,
    mass_g: float,
    by: float,
) -> None:
    recipe = simple(
        base=tuple(base(key, value, measure) for key, value in bases),
        scent=tuple(scent(key, value) for key, value in scents),
        load_percent=load,
        size=BatchSize(mass_g=mass_g),
    )
    small = work_out(recipe, KITCHEN)
    large = work_out(recipe.model_copy(update={"size": BatchSize(mass_g=mass_g * by)}), KITCHEN)
    for one, other in zip(small.lines, large.lines, strict=True):
        assert other.exact_g == pytest.approx(one.exact_g * by, rel=1e-9)
        assert other.share_percent == pytest.approx(one.share_percent, rel=1e-9)
    # the masses of the large batch, written down as grams, are the small one again
    written = simple(
        base=tuple(
            base(line.material, line.exact_g, Measure.GRAMS)
            for line in large.lines
            if line.where is Where.BASE
        ),
        scent=tuple(
            scent(line.material, line.exact_g, Measure.GRAMS)
            for line in large.lines
            if line.where is Where.SCENT
        ),
        load_percent=load,
        size=BatchSize(mass_g=mass_g),
    )
    for one, other in zip(small.lines, work_out(written, KITCHEN).lines, strict=True):
        assert other.exact_g == pytest.approx(one.exact_g, rel=1e-9, abs=1e-12)


def test_forty_lines_are_worked_out_at_once() -> None:
    recipe = simple(
        base=tuple(base(key, 1) for key in ("beeswax", "shea", "jojoba", "almond")),
        scent=tuple(scent(f"oil_{n}", 1 + n) for n in range(36)),
        size=FOUR_JARS,
    )
    rich = kitchen(scales=(FINE_SCALE,))
    best = min(_seconds(recipe, rich) for _ in range(30))
    # about 2 ms on an ordinary computer with a way out for nearly every line; the editor has 50
    assert best < 0.010


def _seconds(recipe: Recipe, catalogue: object) -> float:
    began = time.process_time()
    work_out(recipe, catalogue)  # type: ignore[arg-type]
    return time.process_time() - began
