"""The blend against handbook values, hand arithmetic and published gels."""

from __future__ import annotations

from io import StringIO
from statistics import median

import numpy as np
import pytest
from chemicals.solubility import solubility_eutectic
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from tests.goals import gels
from tests.goals.cupboard import CUPBOARD, figure
from workbench.core.catalogue.model import Confidence, Material, MaterialKind, Span
from workbench.core.heat import known
from workbench.core.heat.blend import Blend, Firmness, liquidus_c, set_point_c
from workbench.core.heat.dissolving import ideal_liquidus_c, ingredients
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble


def mixed(**grams: float) -> Composition:
    return Composition.of(grams)


def test_the_ideal_liquidus_agrees_with_an_independent_library() -> None:
    # `chemicals.solubility.solubility_eutectic` (ideal, no heat-capacity term) is the judge.
    parts = ingredients(mixed(beeswax=20, sunflower=80), CUPBOARD)
    celsius = ideal_liquidus_c(parts[0], parts[1].share / parts[1].molar_g_mol)
    x = solubility_eutectic(celsius + 273.15, 64.0 + 273.15, 190 * 680, 0, 0, 1)
    assert x == pytest.approx((20 / 680) / (20 / 680 + 80 / 880), rel=1e-9)
    assert celsius == pytest.approx(54.0, abs=0.05)


def test_published_gels_and_what_each_row_is_worth() -> None:
    # The goal is a median of at most 4 K.  The table is printed by `python -m tests.goals.gels`.
    found = gels.medians()
    assert all(gel.fitted for gel in gels.PUBLISHED)  # whoever adds a row that is not fitted: score it apart
    # The raw law, which knows nothing of these rows, misses the goal by 0.12 K: stated, not hidden.
    assert found.raw_k == pytest.approx(4.12, abs=0.03)
    # With the correction that the other row alone gives, and as in use (fitted, so no proof).
    assert found.left_out_k <= gels.GOAL_K
    assert found.corrected_k <= gels.GOAL_K
    assert max(abs(gel.corrected_c - gel.seen_c) for gel in gels.PUBLISHED) <= 3.0


def test_the_correction_is_half_of_what_the_published_rows_lie_above_the_ideal_line() -> None:
    gaps = [gel.seen_c - gel.ideal_c for gel in gels.PUBLISHED]
    assert known.ABOVE_IDEAL_K.value == pytest.approx(gels.HALF * median(gaps), abs=0.15)
    assert "Hwang" in known.ABOVE_IDEAL_K.source


def test_the_table_says_which_rows_were_fitted() -> None:
    console = Console(width=120, record=True, file=StringIO())
    gels.show(console)
    text = console.export_text()
    assert text.count("published, fitted to") == len(gels.PUBLISHED)
    assert text.count("recalled, no evidence") == len(gels.RECALLED)
    assert "misses the goal by 0.1" in text
    assert "not independent" in text


def test_the_higher_of_two_waxes_counts() -> None:
    one = liquidus_c(mixed(carnauba=6, sunflower=94), CUPBOARD).celsius
    both = liquidus_c(mixed(carnauba=6, beeswax=14, sunflower=80), CUPBOARD).celsius
    assert one is not None
    assert both == pytest.approx(one, abs=1.5)
    assert both is not None
    assert both > (liquidus_c(mixed(beeswax=14, sunflower=86), CUPBOARD).celsius or 0)


def test_too_little_wax_says_it_does_not_set() -> None:
    # Least gelling shares: Blake et al., Dassanayake et al. (JAOCS 2009), Gels 10 (2024) 214.
    for wax, too_little, enough in (("carnauba", 3.5, 4.5), ("candelilla", 1.5, 2.5), ("beeswax", 2, 3.5)):
        found = set_point_c(mixed(**{wax: too_little, "sunflower": 100 - too_little}), CUPBOARD)
        assert found.celsius is None
        assert "does not set" in found.why
        assert set_point_c(mixed(**{wax: enough, "sunflower": 100 - enough}), CUPBOARD).celsius is not None


def test_butter_alone_sets_below_its_melting_range() -> None:
    found = set_point_c(mixed(shea=80, sunflower=20), CUPBOARD)
    assert found.celsius is not None
    assert 15 < found.celsius < 32  # common practice: shea stays liquid well below 32 °C
    assert set_point_c(mixed(coconut=30, sunflower=70), CUPBOARD).celsius is None


def test_an_observed_set_point_wins_and_narrows() -> None:
    base = mixed(beeswax=20, sunflower=80)
    seen = set_point_c(base, CUPBOARD, observed_c=47.5)
    assert seen.celsius == 47.5
    assert seen.sd_k < set_point_c(base, CUPBOARD).sd_k


def test_a_material_of_ones_own_needs_only_melting_range_latent_heat_and_capacity() -> None:
    own = Material(
        key="berry_wax",
        name="Berry wax",
        kind=MaterialKind.WAX,
        melting_c=Span(low=48, high=54, source="supplier's paper", confidence=Confidence.SUPPLIER),
        heat_of_fusion_j_g=figure(150),
        cp_solid_kj_kg_k=figure(1.9),
    )
    kitchen = CUPBOARD.over(CUPBOARD.shelf.model_copy(update={"materials": (own,)}))
    blend = Blend.of(mixed(berry_wax=25, almond=75), kitchen)
    assert blend.set_point.celsius is not None
    assert 25 < blend.set_point.celsius < 48
    assert blend.set_point.sd_k > 3.0  # more is guessed, so less is promised
    assert blend.enthalpy_j_g(80) > blend.enthalpy_j_g(20)


def test_an_unknown_material_is_trouble() -> None:
    with pytest.raises(Trouble, match="no material"):
        liquidus_c(mixed(moon_wax=3), CUPBOARD)


def test_energy_to_melt_against_hand_arithmetic() -> None:
    # Cocoa butter 20 -> 45 °C, all of it solid at first: 2.01 x 14 + 157 + 2.09 x 11 = 208 J/g, constants
    # from Beckett, Useful Physical Constants.  At 20 °C a quarter of it is molten (fat curve), which the
    # hand sum leaves out: 208 - 0.24 x 157.
    cocoa = Blend.of(mixed(cocoa=100), CUPBOARD)
    assert cocoa.enthalpy_j_g(45) - cocoa.enthalpy_j_g(20) == pytest.approx(208 - 0.24 * 157, rel=0.02)
    # 100 g beeswax 20 -> 80 °C: 2.0 x 44 + 190 + 2.2 x 16 = 313.2 J/g
    wax = Blend.of(mixed(beeswax=100), CUPBOARD)
    assert wax.enthalpy_j_g(80) - wax.enthalpy_j_g(20) == pytest.approx(313.2, rel=0.01)
    # 100 g of 20/20/60 beeswax, shea, oil, 22 -> 80 °C: 11.89 + 3.80 + 1.20 = 16.9 kJ if the butter
    # were 60 % solid; its curve in so much oil holds far less, 11.89 + 3.8 is the floor.
    blend = Blend.of(mixed(beeswax=20, shea=20, sunflower=60), CUPBOARD)
    assert 155 < blend.enthalpy_j_g(80) - blend.enthalpy_j_g(22) < 174


def test_published_heats_of_fusion_come_out_of_the_curve() -> None:
    # Rice bran 190.5 and carnauba 137.6 J/g: Dassanayake et al., JAOCS 2009.
    for wax, published in (("rice_bran_wax", 190.5), ("carnauba", 137.6), ("candelilla", 129.0)):
        blend = Blend.of(mixed(**{wax: 100}), CUPBOARD)
        assert blend.latent_j_g[-1] == pytest.approx(published, rel=1e-6)


def test_contraction_of_beeswax_and_of_blends() -> None:
    wax = Blend.of(mixed(beeswax=100), CUPBOARD)
    melted = 0.822 + 0.0007 * (98 - 70)  # relative density 0.8222 at 98 °C (Crane 1990), memory slope
    assert wax.density_g_ml(70) == pytest.approx(melted, rel=1e-3)
    assert wax.density_g_ml(20) == pytest.approx(0.96, rel=2e-3)
    # Volume lost from 60 to 20 °C with 20 % butter and 15 / 25 / 35 % wax: 5.0 / 5.9 / 6.9 %, ±1.5
    for share, lost in ((15, 5.0), (25, 5.9), (35, 6.9)):
        blend = Blend.of(mixed(beeswax=share, shea=20, sunflower=80 - share), CUPBOARD)
        drop = 100 * (1 - blend.volume_ml_g(20) / blend.volume_ml_g(60, cooling=True))
        assert drop == pytest.approx(lost, abs=1.5)


def test_firmness_of_the_equal_parts_balm() -> None:
    # Common practice, no source: equal parts wax, butter and oil make a firm, light balm.
    assert Blend.of(mixed(beeswax=30, shea=30, almond=30), CUPBOARD).firmness is Firmness.FIRM
    assert Blend.of(mixed(beeswax=12, almond=88), CUPBOARD).firmness is Firmness.SOFT
    assert Blend.of(mixed(almond=100), CUPBOARD).firmness is Firmness.NONE


def test_a_cooling_blend_holds_its_heat_down_to_the_set_point() -> None:
    blend = Blend.of(mixed(beeswax=25, shea=15, almond=60), CUPBOARD)
    assert blend.set_point.celsius is not None
    above = blend.set_point.celsius + 0.5
    assert blend.solid_fraction(above, cooling=True) == 0
    assert blend.solid_fraction(above) > 0
    assert blend.enthalpy_j_g(above, cooling=True) > blend.enthalpy_j_g(above)
    assert blend.enthalpy_j_g(blend.set_point.celsius - 5, cooling=True) == pytest.approx(
        blend.enthalpy_j_g(blend.set_point.celsius - 5), abs=1e-6
    )


@given(
    st.floats(0, 60), st.floats(0, 60), st.floats(5, 90), st.floats(0, 60), st.floats(-10, 120), st.booleans()
)
def test_enthalpy_rises_and_can_be_turned_back(
    beeswax: float, carnauba: float, oil: float, shea: float, celsius: float, cooling: bool
) -> None:
    blend = Blend.of(mixed(beeswax=beeswax, carnauba=carnauba, almond=oil, shea=shea), CUPBOARD)
    curve = blend.enthalpy_curve(cooling=cooling)
    assert np.all(np.diff(curve) > 0)
    assert blend.celsius_at(blend.enthalpy_j_g(celsius, cooling=cooling), cooling=cooling) == pytest.approx(
        celsius, abs=1e-6
    )
    assert np.all(np.diff(blend.solid) <= 1e-12)
    assert blend.solid.min() >= -1e-9
    assert blend.solid.max() <= 1
