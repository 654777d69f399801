"""Flash points against measured mixtures, published oils and independent libraries."""

from __future__ import annotations

from dataclasses import replace

import chemicals
import pytest
from hypothesis import given
from hypothesis import strategies as st
from thermo import VaporPressure

from tests.core.heat.pots import SHIPPED, carrier, figure, leftover, oil, pot, substance
from tests.tables.flash_points import EXPLAINED, OUTLIER_K, compare, median_error_k
from workbench.core.catalogue.catalogue import UnifacTable
from workbench.core.catalogue.model import Confidence, Material, MaterialKind
from workbench.core.heat.flash import flash_point
from workbench.core.heat.vapours import (
    LEAN_LIMIT_PA,
    flash_from_pressure_k,
    goss_j_mol,
    pressure_from_flash_pa,
    vapours_of,
    volatile_of,
)
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble


def celsius(value: float | None) -> float:
    assert value is not None
    return value


# Flash points of the pure substances, closed cup: heptane -4, octane 14.5, ethanol 13 °C, the anchors of the measured
# sets below.  Enthalpies of vaporisation at 25 °C are the CRC values that `chemicals` carries.
CAS = {"heptane": "142-82-5", "octane": "111-65-9", "ethanol": "64-17-5"}
HVAP = {
    key: float(chemicals.phase_change.Hvap_data_CRC.at[cas, "Hvap298"]) / 1000 for key, cas in CAS.items()
}
BINARY = pot(
    *(oil(key, {key: 100.0}) for key in CAS),
    constituents=(
        substance("heptane", 100.2, -4.0, HVAP["heptane"], 6090.0, {"1": 2, "2": 5}),
        substance("octane", 114.2, 14.5, HVAP["octane"], 1880.0, {"1": 2, "2": 6}),
        substance("ethanol", 46.07, 13.0, HVAP["ethanol"], 7870.0, {"1": 1, "2": 1, "14": 1}),
    ),
)
FRACTIONS = (0.02, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 0.98)
# Measured, in °C: compiled data of 332 points of 33 binaries, github fengyiyuchen/Flash-point-DE-SVR
# (data/flashpoint_data.xlsx); a check only, nothing of it is shipped.
HEPTANE_OCTANE = (14.6, 11.6, 9.6, 7.6, 4.6, 2.6, 1.6, -0.4, -0.4, -2.4, -3.4)
OCTANE_ETHANOL = (7.9, 5.9, 7.9, 5.9, 5.9, 5.9, 5.9, 6.9, 6.9, 8.9, 10.9)


def binary(first: str, second: str, x: float) -> Composition:
    masses = BINARY.constituents
    return Composition.of(
        {
            first: x * masses[first].molar_mass_g_mol.value,
            second: (1 - x) * masses[second].molar_mass_g_mol.value,
        }
    )


@pytest.mark.parametrize(("x", "measured"), list(zip(FRACTIONS, HEPTANE_OCTANE, strict=True)))
def test_heptane_and_octane_are_nearly_ideal(x: float, measured: float) -> None:
    found = flash_point(binary("heptane", "octane", x), BINARY)
    assert celsius(found.ideal.celsius) == pytest.approx(measured, abs=2.0)
    assert celsius(found.unifac.celsius) == pytest.approx(measured, abs=2.0)


@pytest.mark.parametrize(("x", "measured"), list(zip(FRACTIONS, OCTANE_ETHANOL, strict=True)))
def test_octane_and_ethanol_need_activities(x: float, measured: float) -> None:
    found = flash_point(binary("octane", "ethanol", x), BINARY)
    error = celsius(found.unifac.celsius) - measured
    # One of eleven points misses the 4 K that are aimed at: at x = 0.9 UNIFAC is 5.2 K too low, that is on the safe side.
    assert -4.0 <= error <= 4.0 or (x == 0.90 and -5.5 <= error < 0)
    assert found.lower.celsius == found.unifac.celsius


def test_the_ideal_rule_fails_for_octane_and_ethanol() -> None:
    errors = [
        celsius(flash_point(binary("octane", "ethanol", x), BINARY).ideal.celsius) - measured
        for x, measured in zip(FRACTIONS, OCTANE_ETHANOL, strict=True)
    ]
    assert max(errors) > 7.0
    assert min(errors) > 3.0


@pytest.mark.parametrize("key", ["limonene", "linalool", "eugenol", "alpha_pinene", "benzyl_benzoate"])
def test_a_pure_substance_flashes_at_its_own_flash_point(key: str) -> None:
    known = pot(oil("pure", {key: 100.0}))
    own = SHIPPED.constituents[key].flash_point_c
    assert own is not None
    found = flash_point(Composition.of({"pure": 7.0}), known)
    assert found.ideal.celsius == pytest.approx(own.value, abs=1e-6)
    assert found.unifac.celsius == pytest.approx(own.value, abs=1e-3)


@pytest.mark.parametrize(
    ("family", "molar_mass", "ideal", "unifac"),
    [
        # Worked with pressures of `thermo`: linalool (75 °C) at 3 % in triolein 112 / 113, in tricaprylin 125 / 123,
        # in squalane 127 / 99, where the ideal rule is 28 K too hopeful
        ("triglyceride", 885.4, 112.0, 113.0),
        ("medium triglyceride", 470.7, 125.0, 123.0),
        ("hydrocarbon", 422.8, 127.0, 99.0),
    ],
)
def test_linalool_in_carriers(family: str, molar_mass: float, ideal: float, unifac: float) -> None:
    known = pot(oil("pure", {"linalool": 100.0}), carrier("carry", family, molar_mass))
    found = flash_point(Composition.of({"pure": 3.0, "carry": 97.0}), known)
    assert celsius(found.ideal.celsius) == pytest.approx(ideal, abs=3.0)
    assert celsius(found.unifac.celsius) == pytest.approx(unifac, abs=3.0)


def test_extrapolation_stays_below_the_worked_values_for_terpenes() -> None:
    # Limonene (47.9 °C) at 1, 3, 5, 10 % in triolein, ideal, worked with pressures of `thermo`: 113, 86, 76, 65 °C.  Our
    # constant enthalpy lets the pressure rise a little faster, so far from the anchor we are lower, never higher.
    known = pot(oil("pure", {"limonene": 100.0}), carrier("carry", "triglyceride", 885.4))
    for percent, worked in ((1.0, 113.0), (3.0, 86.0), (5.0, 76.0), (10.0, 65.0)):
        found = flash_point(Composition.of({"pure": percent, "carry": 100 - percent}), known)
        assert worked - 9.0 < celsius(found.ideal.celsius) <= worked + 0.5


def test_citrus_held_in_oil() -> None:
    # worked: 10 % neat citrus in a vegetable oil flashes near 65 °C, 30 % near 54 °C
    known = pot(oil("pure", {"limonene": 100.0}), carrier("carry", "triglyceride", 885.4))
    for percent, worked in ((10.0, 65.0), (30.0, 54.0)):
        found = flash_point(Composition.of({"pure": percent, "carry": 100 - percent}), known)
        assert celsius(found.lower.celsius) == pytest.approx(worked, abs=2.0)


def test_values_that_are_known_to_be_wrong_did_not_get_in() -> None:
    # limonene 97 °F (PMC7330110 table 1) and patchouli "190 °C" are printed, and wrong
    limonene = SHIPPED.constituents["limonene"].flash_point_c
    patchouli = SHIPPED.materials["patchouli"].flash_point_c
    assert limonene is not None
    assert patchouli is not None
    assert limonene.value > 40
    assert patchouli.value < 110


def test_carriers_count_by_their_real_molar_mass_in_the_ideal_rule_only() -> None:
    light = pot(oil("pure", {"limonene": 100.0}), carrier("carry", "triglyceride", 400.0))
    heavy = pot(oil("pure", {"limonene": 100.0}), carrier("carry", "triglyceride", 900.0))
    unstated = pot(oil("pure", {"limonene": 100.0}), carrier("carry", "", None))
    balm = Composition.of({"pure": 5.0, "carry": 95.0})
    one, two, three = (flash_point(balm, known) for known in (light, heavy, unstated))
    assert celsius(one.ideal.celsius) > celsius(two.ideal.celsius) + 5.0
    assert one.unifac.celsius == pytest.approx(celsius(two.unifac.celsius), abs=0.05)
    assert three.ideal.celsius == pytest.approx(celsius(two.ideal.celsius), abs=0.05), "the default is heavy"


def test_oils_against_published_closed_cups() -> None:
    rows = compare(SHIPPED)
    counted = [row for row in rows if not row.is_bound]
    assert len(counted) >= 20
    assert median_error_k(rows) <= 6.0
    assert {row.key for row in counted if abs(row.error_k) > OUTLIER_K} <= EXPLAINED.keys()
    # what is only published as "over 87" or so must not be computed far below
    assert all(row.error_k > -6.0 for row in rows if row.is_bound)


# Values of `chemicals` that are evaluated data: IEC 60079-20-1 and NFPA 497, and of the DIPPR table the round ones; its
# long-decimal half is off by 12 K on average (alpha-pinene 30.6, benzyl acetate, phenethyl alcohol, ...) and stays out.
EVALUATED = {
    "limonene": ("5989-27-5", "Serat DIPPR (2017)"),
    "beta_pinene": ("127-91-3", "Serat DIPPR (2017)"),
    "camphene": ("79-92-5", "Serat DIPPR (2017)"),
    "p_cymene": ("99-87-6", "IEC 60079-20-1 (2010)"),
    "alpha_terpinene": ("99-86-5", "Serat DIPPR (2017)"),
    "gamma_terpinene": ("99-85-4", "Serat DIPPR (2017)"),
    "alpha_phellandrene": ("99-83-2", "Serat DIPPR (2017)"),
    "camphor": ("76-22-2", "Serat DIPPR (2017)"),
    "menthol": ("2216-51-5", "Serat DIPPR (2017)"),
    "anethole": ("104-46-1", "Serat DIPPR (2017)"),
    "benzaldehyde": ("100-52-7", "IEC 60079-20-1 (2010)"),
    "methyl_salicylate": ("119-36-8", "Serat DIPPR (2017)"),
}


@pytest.mark.parametrize("key", EVALUATED)
def test_shipped_flash_points_agree_with_the_library(key: str) -> None:
    cas, method = EVALUATED[key]
    figure_c = SHIPPED.constituents[key].flash_point_c
    assert figure_c is not None
    assert figure_c.value == pytest.approx(chemicals.T_flash(cas, method=method) - 273.15, abs=0.3)


@pytest.mark.parametrize(
    ("key", "cas"),
    [
        ("alpha_pinene", "80-56-8"),
        ("p_cymene", "99-87-6"),
        ("1_8_cineole", "470-82-6"),
        ("eugenol", "97-53-0"),
    ],
)
@pytest.mark.parametrize("celsius_at", [20.0, 40.0, 60.0, 80.0])
def test_pressures_agree_with_fitted_data(key: str, cas: str, celsius_at: float) -> None:
    # `thermo` has correlations fitted to data for these four (Antoine WebBook and Poling, Landolt); its estimates for
    # other terpenoids (linalool six to eight times too high) are no reference
    ours = volatile_of(SHIPPED.constituents[key])
    assert ours is not None
    theirs = VaporPressure(CASRN=cas)(celsius_at + 273.15)
    assert ours.pressure_pa(celsius_at + 273.15) == pytest.approx(theirs, rel=0.35)


def test_flash_points_sit_near_the_lean_limit() -> None:
    # at its flash point a terpene has about LFL x 101325 Pa: 0.7 % is 709 Pa (LFL of limonene and p-cymene, IEC)
    for key in ("limonene", "alpha_pinene", "linalool", "p_cymene"):
        ours = volatile_of(SHIPPED.constituents[key])
        assert ours is not None
        assert 400 < ours.pressure_pa(ours.flash_k) < 1200


def test_the_estimate_of_a_missing_flash_point_is_cautious() -> None:
    # against the shipped closed cups that were read (not recalled): low for nearly all, never more than 5 K high
    errors = [
        flash_from_pressure_k(row.psat25_pa.value, row.dhvap_kj_mol.value * 1000)
        - 273.15
        - row.flash_point_c.value
        for row in SHIPPED.constituents.values()
        if row.flash_point_c is not None
        and row.psat25_pa is not None
        and row.dhvap_kj_mol is not None
        and row.flash_point_c.confidence is Confidence.SEEN
    ]
    assert len(errors) >= 15
    assert max(errors) < 5.0
    assert sorted(errors)[len(errors) // 2] < 0


def test_substances_with_gaps() -> None:
    only_pressure = volatile_of(substance("a", 150.0, None, None, 20.0))
    only_flash = volatile_of(substance("b", 150.0, 60.0, None, None))
    assert volatile_of(substance("c", 150.0, None, 50.0, None)) is None
    assert only_pressure is not None
    assert only_flash is not None
    assert (only_pressure.estimated, only_flash.estimated) == (True, False)
    assert only_pressure.pressure_pa(only_pressure.flash_k) == pytest.approx(LEAN_LIMIT_PA)
    assert only_flash.pressure_pa(333.15) == pytest.approx(LEAN_LIMIT_PA, rel=1e-3)
    assert flash_from_pressure_k(
        pressure_from_flash_pa(333.15), goss_j_mol(pressure_from_flash_pa(333.15))
    ) == pytest.approx(333.15)
    assert flash_from_pressure_k(1e-30, 1e4) == 900.0


def test_the_missing_rest_of_an_oil_is_more_of_the_same() -> None:
    whole = pot(
        oil("one", {"limonene": 60.0, "linalool": 40.0}), oil("two", {"limonene": 48.0, "linalool": 32.0})
    )
    assert flash_point(Composition.of({"one": 1.0}), whole).lower.celsius == pytest.approx(
        celsius(flash_point(Composition.of({"two": 1.0}), whole).lower.celsius)
    )
    gap = pot(
        oil("three", {"limonene": 60.0, "nothing_known": 40.0}),
        constituents=(substance("nothing_known", 150, None, None, None),),
    )
    assert flash_point(Composition.of({"three": 1.0}), gap).lower.celsius == pytest.approx(47.9, abs=0.01)


def test_an_oil_of_unknown_make_enters_by_its_own_flash_point() -> None:
    known = pot(oil("mystery", {}, flash=figure(62.0)), carrier("carry", "triglyceride", 885.4))
    found = flash_point(Composition.of({"mystery": 5.0}), known)
    assert found.lower.celsius == pytest.approx(62.0, abs=0.01)
    assert "own flash points: Mystery" in found.lower.how
    mixed = flash_point(Composition.of({"mystery": 5.0, "sweet_orange": 5.0}), known)
    assert 47.0 < celsius(mixed.lower.celsius) < 62.0


def test_nothing_known_is_not_guessed() -> None:
    known = pot(oil("mystery", {}, kind=MaterialKind.BLEND))
    found = flash_point(Composition.of({"mystery": 1.0, "lavender": 5.0}), known)
    assert found.lower.celsius is None
    assert "Mystery" in found.lower.why
    told = flash_point(Composition.of({"mystery": 1.0}), known, paper_flash_c=58.0)
    assert told.lower.celsius == 58.0
    with pytest.raises(Trouble, match="no material"):
        flash_point(Composition.of({"nowhere": 1.0}), known)
    assert flash_point(Composition.of({"beeswax": 1.0}), SHIPPED).lower.celsius is None


def test_never_above_the_paper() -> None:
    blend = Composition.of({"lavender": 5.0, "patchouli": 5.0})
    free = celsius(flash_point(blend, SHIPPED).lower.celsius)
    held = flash_point(blend, SHIPPED, paper_flash_c=free - 4)
    assert held.lower.celsius == pytest.approx(free - 4)
    assert "paper" in held.lower.how
    assert flash_point(blend, SHIPPED, paper_flash_c=free + 4).lower.celsius == pytest.approx(free)


def with_paper(key: str, flash_c: float) -> Material:
    return SHIPPED.materials[key].model_copy(update={"flash_point_c": figure(flash_c, Confidence.SUPPLIER)})


def test_a_supplier_s_flash_point_of_one_oil_is_an_anchor() -> None:
    low = pot(with_paper("lavender", 60.0))
    assert flash_point(Composition.of({"lavender": 3.0}), low).ideal.celsius == pytest.approx(60.0, abs=0.01)
    mixed = Composition.of({"lavender": 3.0, "patchouli": 3.0})
    assert (
        celsius(flash_point(mixed, low).lower.celsius)
        < celsius(flash_point(mixed, SHIPPED).lower.celsius) - 4
    )
    # a paper that is more hopeful than our sum does not raise it
    high = pot(with_paper("lavender", 90.0))
    assert flash_point(mixed, high).lower.celsius == pytest.approx(
        celsius(flash_point(mixed, SHIPPED).lower.celsius)
    )


def test_never_above_the_flash_point_of_the_base() -> None:
    known = pot(carrier("thin", "hydrocarbon", 300.0, flash_c=110.0))
    found = flash_point(Composition.of({"thin": 99.5, "sandalwood": 0.5}), known)
    assert found.lower.celsius == pytest.approx(110.0)
    assert "base" in found.lower.how


def test_too_little_to_compute() -> None:
    known = pot(
        oil("heavy", {"resin": 100.0}),
        carrier("carry", "triglyceride"),
        constituents=(substance("resin", 500, None, 30.0, 1e-20),),
    )
    found = flash_point(Composition.of({"heavy": 1.0, "carry": 99.0}), known)
    assert found.lower.celsius is None
    assert "Too little" in found.lower.why


def test_a_leftover_counts_as_what_it_was_made_of() -> None:
    known = pot(leftover("old", {"beeswax": 30.0, "jojoba": 60.0, "lavender": 10.0}))
    apart = Composition.of({"beeswax": 3.0, "jojoba": 6.0, "lavender": 1.0})
    assert flash_point(Composition.of({"old": 10.0}), known).lower.celsius == pytest.approx(
        celsius(flash_point(apart, known).lower.celsius)
    )


def test_without_an_activity_table_the_ideal_rule_is_all_there_is() -> None:
    bare = replace(SHIPPED, unifac=UnifacTable())
    found = flash_point(Composition.of({"lavender": 5.0}), bare)
    assert found.unifac.celsius is None
    assert found.lower.celsius == found.ideal.celsius


def test_the_oil_that_burns_first_stands_first() -> None:
    found = flash_point(Composition.of({"patchouli": 5.0, "sweet_orange": 5.0}), SHIPPED)
    assert found.shares[0][0] == "sweet_orange"
    assert sum(share for _, share in found.shares) == pytest.approx(1.0)


@given(
    orange=st.floats(0.1, 10.0), rose=st.floats(0.1, 10.0), wax=st.floats(0.1, 50.0), more=st.floats(1.1, 5.0)
)
def test_more_base_never_lowers_the_ideal_flash_point(
    orange: float, rose: float, wax: float, more: float
) -> None:
    blend = {"sweet_orange": orange, "rose": rose}
    thin = flash_point(Composition.of({**blend, "jojoba": wax}), SHIPPED)
    thick = flash_point(Composition.of({**blend, "jojoba": wax * more}), SHIPPED)
    assert celsius(thick.ideal.celsius) >= celsius(thin.ideal.celsius) - 1e-6


def test_compiled_once() -> None:
    assert vapours_of(SHIPPED) is vapours_of(SHIPPED)
    others = [replace(SHIPPED, edition=str(n)) for n in range(6)]
    assert [vapours_of(other).catalogue for other in others] == others
