"""The course on skin: held against an ODE, limiting cases, an independent library and published relations."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from thermo import unifac

from workbench.core.catalogue.activity import Activity
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind, PartOf
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import DAY_S, HABIT_FACTOR, HOUR_S, course, usual_times_s
from workbench.core.scent.volatility import (
    GAS_J_MOL_K,
    TRIGLYCERIDE,
    Carrier,
    Film,
    carrier_of,
    compile_volatility,
    volatility_of,
)
from workbench.core.trouble import Trouble

BLEND = {"sunflower": 90.0, "bergamot": 4.0, "geranium": 3.0, "sandalwood": 3.0}
ON_OIL = Carrier({TRIGLYCERIDE: 1.0})


def test_what_is_left_falls_and_begins_whole(tables: Catalogue) -> None:
    run = course(Composition.of(BLEND), tables)
    assert np.allclose(run.left[:, 0], 1.0, atol=1e-12)
    assert np.all(np.diff(run.left, axis=1) <= 1e-15)
    assert np.all((run.left >= 0) & (run.left <= 1))


def test_top_middle_and_base_separate(tables: Catalogue) -> None:
    """Common practice, no source: top notes are gone after about an hour, base stays longest."""
    run = course(Composition.of(BLEND), tables)
    left = {oil: run.left_at(oil, HOUR_S) for oil in run.oils}
    assert left["bergamot"] < left["geranium"] < left["sandalwood"]
    assert left["bergamot"] < 0.25
    assert left["sandalwood"] > 0.95
    citrus = course(Composition.of({"sunflower": 95.0, "lemon": 5.0}), tables)
    assert citrus.left_at("lemon", HOUR_S) < 0.1


def test_left_at_a_moment_is_that_of_the_curve(tables: Catalogue) -> None:
    run = course(Composition.of(BLEND), tables)
    for row, oil in enumerate(run.oils):
        for at in (0, 50, 120, 199):
            assert run.left_at(oil, float(run.times_s[at])) == pytest.approx(run.left[row, at], abs=1e-12)


def test_rate_of_limonene_by_hand(tables: Catalogue) -> None:
    """Every step of the formula once more, in other units, from the table's own figures."""
    row = tables.constituents["limonene"]
    assert row.psat25_pa is not None
    assert row.dhvap_kj_mol is not None
    kelvin = 305.15
    psat = row.psat25_pa.value * math.exp(
        row.dhvap_kj_mol.value * 1e3 / 8.314462618 * (1 / 298.15 - 1 / kelvin)
    )
    gamma = math.exp(tables.scent.activity["triglyceride"].ln_gamma["limonene"])
    c_air_g_m3 = gamma * psat * row.molar_mass_g_mol.value / (8.314462618 * kelvin)  # at mole fraction 1
    c_balm_g_m3 = 0.92e6 * row.molar_mass_g_mol.value / 885.45  # one mole of it per mole of carrier, dilute
    k_m_s = 0.67e-2 * 0.15**0.78 * (18 / row.molar_mass_g_mol.value) ** (1 / 3)
    film_m = 20.0 / 0.92e6  # 2 mg/cm2 is 20 g/m2
    rate = k_m_s * (c_air_g_m3 / c_balm_g_m3) / film_m
    v = volatility_of(tables)
    assert v.rates_per_s(ON_OIL, Film())[v.index["limonene"]] == pytest.approx(rate, rel=1e-4)


def test_vapour_pressure_on_skin_rises_as_measured_heats_of_vaporisation_say(tables: Catalogue) -> None:
    """25 to 32 °C: limonene 1.5 to 1.7 fold, by the heat of vaporisation of about 48 to 50 kJ/mol of the
    NIST Chemistry WebBook (from memory)."""
    v = volatility_of(tables)
    ratio = v.psat_at_pa(305.15) / v.psat_pa
    assert 1.5 < ratio[v.index["limonene"]] < 1.7
    assert np.all(ratio[v.leaves] > 1.0)


def test_activities_are_those_of_an_independent_library(tables: Catalogue) -> None:
    """The table against `thermo` here and now, and against our own UNIFAC."""
    unifac.load_unifac_ip()
    for family, row in tables.scent.activity.items():
        carrier = {int(k): n for k, n in tables.carriers[family].items()}
        for key in ("limonene", "linalool", "patchoulol", "vanillin", "geranyl_acetate"):
            solute = {int(k): n for k, n in tables.constituents[key].unifac.items()}
            theirs = unifac.UNIFAC_gammas(T=305.15, xs=[1e-9, 1 - 1e-9], chemgroups=[solute, carrier])[0]
            assert row.ln_gamma[key] == pytest.approx(math.log(theirs), abs=2e-4)
            pair = Activity([tables.constituents[key].unifac, tables.carriers[family]], tables.unifac)
            ours = pair.ln_gamma(np.array([1e-9, 1.0]), 305.15)[0]
            assert row.ln_gamma[key] == pytest.approx(ours, abs=2e-4)


def test_without_the_table_our_own_unifac_stands_in(tables: Catalogue) -> None:
    bare = replace(tables, scent=replace(tables.scent, activity={}))
    ours, theirs = compile_volatility(bare), volatility_of(tables)
    assert np.allclose(ours.ln_gamma[TRIGLYCERIDE], theirs.ln_gamma[TRIGLYCERIDE], atol=2e-4)


def test_mixing_carriers_by_the_logarithm_stays_near_unifac_of_the_real_mixture(tables: Catalogue) -> None:
    """Half vegetable oil, half squalane, by mass: K of the mixture from UNIFAC on the three molecules."""
    v = volatility_of(tables)
    mixed = v.partition(Carrier({"triglyceride": 0.5, "hydrocarbon": 0.5}), 305.15)
    moles = np.array([0.5 / 885.45, 0.5 / 422.83])
    molar = 1.0 / moles.sum()
    for key in ("limonene", "linalool", "linalyl_acetate", "patchoulol", "beta_caryophyllene"):
        groups = [
            tables.constituents[key].unifac,
            tables.carriers["triglyceride"],
            tables.carriers["hydrocarbon"],
        ]
        x = np.array([1e-9, *(moles / moles.sum())])
        gamma = math.exp(Activity(groups, tables.unifac).ln_gamma(x, 305.15)[0])
        real = 0.92e6 * GAS_J_MOL_K * 305.15 / (molar * gamma * v.psat_at_pa(305.15)[v.index[key]])
        assert mixed[v.index[key]] == pytest.approx(real, rel=0.35)


def test_a_polar_constituent_leaves_a_hydrocarbon_faster(tables: Catalogue) -> None:
    """Abraham and Ibrahim 2006, doi 10.1016/j.ejmech.2006.01.012 (from memory): alcohols are held by the
    esters of vegetable oil; a paraffin holds them far less.  Terpenes hardly care."""
    v = volatility_of(tables)
    on_squalane = v.rates_per_s(Carrier({"hydrocarbon": 1.0}), Film())
    on_oil = v.rates_per_s(ON_OIL, Film())
    faster = on_squalane / np.maximum(on_oil, 1e-30)
    assert faster[v.index["linalool"]] > 2.0
    assert faster[v.index["linalool"]] > 2 * faster[v.index["limonene"]]


def test_the_carrier_is_read_from_the_base(tables: Catalogue) -> None:
    assert carrier_of(Composition.of({"squalane": 3.0, "sunflower": 1.0, "lemon": 5.0}), tables).families == {
        "hydrocarbon": 0.75,
        "triglyceride": 0.25,
    }
    nothing = carrier_of(Composition.of({"lemon": 1.0}), tables)
    assert nothing.assumed
    assert nothing.families == {TRIGLYCERIDE: 1.0}


def test_film_and_air_move_all_times_together(tables: Catalogue) -> None:
    v = volatility_of(tables)
    usual = v.rates_per_s(ON_OIL, Film())
    thick = v.rates_per_s(ON_OIL, Film(film_mg_cm2=4.0))
    assert np.allclose(thick, usual / 2)
    # 0.165 m/s on the bench and 0.72 m/s in a hood, the speeds of Gajjar, Miller and Kasting 2013 (seen in
    # an abstract): a factor of (0.72 / 0.165)^0.78 = 3.15
    fast, slow = (v.rates_per_s(ON_OIL, Film(air_m_s=u)) for u in (0.72, 0.165))
    assert np.allclose(fast[v.leaves] / slow[v.leaves], 3.155, atol=0.01)
    assert HABIT_FACTOR >= 3.15**0.5


def test_the_band_holds_the_course(tables: Catalogue) -> None:
    run = course(Composition.of(BLEND), tables)
    low, high = run.band()
    assert np.all(low <= run.left + 1e-12)
    assert np.all(high >= run.left - 1e-12)
    middle = run.left[:, 120]
    assert np.all(high[:, 120] - low[:, 120] > 0.01 * middle * (1 - middle))


def test_what_nothing_is_known_of_is_named_and_left_out(tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 90.0, "lemon": 5.0, "labdanum": 5.0}), tables)
    assert run.oils == ("lemon",)
    assert run.unknown == ("labdanum",)


def test_a_leftover_counts_with_what_is_in_it(tables: Catalogue) -> None:
    leftover = tables.materials["sunflower"].model_copy(
        update={
            "key": "old_balm",
            "kind": MaterialKind.LEFTOVER,
            "made_of": (
                PartOf(material="sunflower", share_percent=90.0),
                PartOf(material="lemon", share_percent=10.0),
            ),
        }
    )
    shelf = tables.shelf.model_copy(update={"materials": (leftover,)})
    run = course(Composition.of({"old_balm": 50.0, "lemon": 1.0}), tables.over(shelf))
    assert run.oils == ("lemon",)
    assert run.masses_g[0] == pytest.approx(6.0)


def test_a_balm_without_scent_has_an_empty_course(tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 90.0}), tables)
    assert run.oils == ()
    assert run.left.shape == (0, len(run.times_s))
    assert run.left_g().shape == run.left.shape


def test_an_unknown_material_is_trouble(tables: Catalogue) -> None:
    with pytest.raises(Trouble, match="no material"):
        course(Composition.of({"moon_dust": 1.0}), tables)


def test_the_usual_times_reach_from_just_on_to_a_day() -> None:
    times = usual_times_s()
    assert times[0] == 0.0
    assert times[-1] == pytest.approx(DAY_S)
    assert len(times) == 200
    with pytest.raises(ValueError, match="read-only"):
        times[0] = 1.0


def test_residues_never_leave(tables: Catalogue) -> None:
    v = volatility_of(tables)
    rates = v.rates_per_s(ON_OIL, Film())
    assert rates[v.index["nonvolatile"]] == 0.0
    assert rates[v.index["bergapten"]] == 0.0
    assert v.biot(ON_OIL, Film())[v.index["limonene"]] == pytest.approx(0.105, abs=0.02)
