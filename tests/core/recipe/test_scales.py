from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import FINE_SCALE, KITCHEN_SCALE, POCKET_SCALE, base, kitchen, scent, simple
from workbench.core.catalogue.shelf import Scale
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import BatchSize, Measure, ScentLine
from workbench.core.recipe.scales import Carrier, best_scale, decimals_of, read_on, rounded_to, ways_out
from workbench.core.recipe.shares import Affine
from workbench.core.recipe.weighed import Line, WayOut

ALL = (KITCHEN_SCALE, FINE_SCALE, POCKET_SCALE)
# 3 g of scent in 60 g, as 9 parts lavender and 1 part lemon: 0.3 g of lemon
FAINT = simple(scent=(scent("lavender", 9), scent("lemon", 1)))


def offers_by_kind(line: Line) -> dict[str, WayOut]:
    return {way.kind: way for way in line.ways_out}


def test_the_finest_scale_that_carries_it() -> None:
    assert best_scale(30, ALL) is POCKET_SCALE
    assert best_scale(60, ALL) is FINE_SCALE
    assert best_scale(600, ALL) is KITCHEN_SCALE
    assert best_scale(6000, ALL) is KITCHEN_SCALE  # in two goes
    assert best_scale(1, ()) is None


@pytest.mark.parametrize(
    ("mass_g", "readability_g", "shown"),
    [
        (2.25, 0.1, 2.3),
        (2.249, 0.1, 2.2),
        (12.34, 1, 12.0),
        (12.34, 0.05, 12.35),
        (0.004, 0.01, 0.0),
        (7.1, 2, 8.0),
    ],
)
def test_what_a_scale_shows(mass_g: float, readability_g: float, shown: float) -> None:
    assert rounded_to(mass_g, readability_g) == shown


def test_decimals_of_scales() -> None:
    assert [decimals_of(digit) for digit in (1, 2, 0.5, 0.1, 0.05, 0.01, 0.001)] == [0, 0, 1, 1, 2, 2, 3]


def test_the_error_is_half_a_digit() -> None:
    reading = read_on(2.25, FINE_SCALE)
    assert reading.error_percent == pytest.approx(100 * 0.05 / 2.25)
    assert reading.weighable
    assert read_on(1.0, FINE_SCALE).weighable  # exactly 5 %
    assert not read_on(0.999, FINE_SCALE).weighable
    twice = read_on(900, FINE_SCALE)
    assert twice.goes == 2
    assert twice.error_percent == pytest.approx(100 * 0.1 / 900)
    assert read_on(0, FINE_SCALE).error_percent == 0
    unjudged = read_on(1.234, None)
    assert (unjudged.weigh_g, unjudged.weighable) == (1.23, False)


def test_a_faint_line_offers_three_ways() -> None:
    lemon = work_out(FAINT, kitchen(scales=(FINE_SCALE,))).lines[-1]
    assert lemon.exact_g == pytest.approx(0.3)
    assert not lemon.weighable
    ways = offers_by_kind(lemon)
    assert list(ways) == ["dilution", "drops", "larger batch"]
    # a worked dilution: 10 % of oil in carrier, of which ten times the mass is taken
    dilution = ways["dilution"]
    assert (dilution.dilute_oil_g, dilution.dilute_carrier_g, dilution.take_g) == (2.5, 22.5, 3.0)
    assert dilution.says == (
        "Mix 2.5 g of Lemon with 22.5 g of Jojoba, and weigh 3.0 g of that; take 2.7 g less of Jojoba."
    )
    # 0.3 g / 0.852 g/mL = 0.352 mL, at 27 drops per mL 9.5 drops; 10 drops are 0.21 to 0.43 g
    drops = ways["drops"].drops
    assert drops is not None
    assert drops.typical == 10
    assert drops.low_g == pytest.approx(10 * 0.852 / 40)
    assert drops.high_g == pytest.approx(10 * 0.852 / 20)
    assert "20 to 40 drops per mL" in ways["drops"].says
    assert ways["larger batch"].batch_g == pytest.approx(200.0)
    larger = work_out(
        FAINT.model_copy(update={"size": BatchSize(mass_g=200.0)}), kitchen(scales=(FINE_SCALE,))
    )
    assert larger.lines[-1].weighable


def test_a_better_scale_is_named_where_a_coarse_one_was_chosen() -> None:
    chosen = ScentLine.model_validate({**dict(scent("lemon", 1)), "scale": "fine"})
    worked = work_out(simple(scent=(scent("lavender", 9), chosen)), kitchen())
    lemon = worked.lines[-1]
    assert (lemon.scale, lemon.weighable) == ("fine", False)
    other = offers_by_kind(lemon)["other scale"]
    assert other.scale == "pocket"
    assert "“Pocket scale”, which can do it to 1.7 %" in other.says


def test_a_scale_that_is_gone_is_said() -> None:
    chosen = ScentLine.model_validate({**dict(scent("lemon", 1)), "scale": "sold"})
    worked = work_out(simple(scent=(chosen,)), kitchen())
    assert worked.lines[-1].scale == "pocket"
    assert "no longer on the shelf" in worked.notes[0]


def test_no_scale_at_all_is_said_once() -> None:
    worked = work_out(simple(), kitchen(scales=()))
    assert worked.notes == (
        "There is no scale on the shelf, so nothing could be matched to what it shows. Add one.",
    )
    assert {line.weighable for line in worked.lines} == {False}
    assert {line.ways_out for line in worked.lines} == {()}


def test_more_than_the_scale_carries() -> None:
    worked = work_out(simple(size=BatchSize(mass_g=3000)), kitchen(scales=(FINE_SCALE,)))
    assert "Beeswax is more than “Fine scale” carries; weigh it in 2 goes." in worked.notes


def test_a_solid_is_neither_dripped_nor_diluted() -> None:
    worked = work_out(
        simple(base=(base("beeswax", 1), base("jojoba", 200)), scent=(scent("benzoin", 1),), load_percent=1),
        kitchen(scales=(FINE_SCALE,)),
    )
    wax, _carrier, resin = worked.lines
    assert list(offers_by_kind(wax)) == ["larger batch"]
    assert list(offers_by_kind(resin)) == ["larger batch"]


def test_grams_that_stay_the_same_are_not_helped_by_a_larger_batch() -> None:
    worked = work_out(
        simple(scent=(scent("lemon", 0.2, Measure.GRAMS),), load_from_scent=True),
        kitchen(scales=(FINE_SCALE,)),
    )
    assert list(offers_by_kind(worked.lines[-1])) == ["dilution", "drops"]


def test_offers_end_where_they_make_no_sense() -> None:
    def ways(mass_g: float, carrier: Carrier | None, per_g: float = 1e-9) -> set[str]:
        found = ways_out(
            "Lemon", mass_g, Affine(0, per_g), 60, FINE_SCALE, density_g_ml=None, liquid=True, carrier=carrier
        )
        return {way.kind for way in found}

    plenty = Carrier("Jojoba", 50)
    assert ways(0.3, plenty) == {"dilution", "drops"}  # a batch of tonnes is no way out
    assert ways(0.3, None) == {"drops"}
    assert ways(0.3, Carrier("Jojoba", 1)) == {"drops"}  # the recipe has no carrier to give
    assert ways(0.01, plenty) == set()  # less than half a drop, and too thin a dilution
    coarse = ways_out(
        "Lemon", 5, Affine(0, 5 / 60), 60, KITCHEN_SCALE, density_g_ml=0.85, liquid=True, carrier=plenty
    )
    assert [way.kind for way in coarse] == ["dilution", "larger batch"]  # nobody counts 160 drops


@given(
    st.floats(0.02, 0.99),
    st.sampled_from([0.1, 0.05, 0.01]),
    st.sampled_from([-1, 0, 1]),
    st.sampled_from([-1, 0, 1]),
    st.sampled_from([-1, 0, 1]),
)
def test_a_dilution_hits_the_mass_within_the_errors_of_its_weighings(
    tenths: float, readability_g: float, first: int, second: int, third: int
) -> None:
    """Each of the three weighings may be half a digit off, in any direction."""
    scale = Scale(key="s", name="S", readability_g=readability_g, capacity_g=500)
    mass_g = 10 * readability_g * tenths  # too little for this scale
    found = ways_out(
        "Lemon", mass_g, Affine(0, 0), 60, scale, density_g_ml=0.85, liquid=True, carrier=Carrier("Oil", 1e9)
    )
    for way in found:
        if way.kind != "dilution":
            continue
        assert way.dilute_oil_g is not None
        assert way.dilute_carrier_g is not None
        assert way.take_g is not None
        half = readability_g / 2
        oil = way.dilute_oil_g + first * half
        carrier = way.dilute_carrier_g + second * half
        # 2 % each for the oil and for what is taken, and 2 % because the plan rounds that to a digit
        taken = (way.take_g + third * half) * oil / (oil + carrier)
        assert taken == pytest.approx(mass_g, rel=0.065)
        planned = way.take_g * way.dilute_oil_g / (way.dilute_oil_g + way.dilute_carrier_g)
        assert planned == pytest.approx(mass_g, rel=0.0201)
