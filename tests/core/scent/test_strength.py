"""Strength: the dose-response against published constants, the rule for mixtures, its inverse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import course
from workbench.core.scent.strength import NOSE, PERCEIVED, air_mg_m3, leads_of, log_dose_for, strength
from workbench.core.scent.volatility import compile_volatility, volatility_of

NOTES = {"bergamot": Note.TOP, "geranium": Note.MIDDLE, "sandalwood": Note.BASE}
BLEND = Composition.of({"sunflower": 90.0, "bergamot": 4.0, "geranium": 3.0, "sandalwood": 3.0})


def test_published_constants_are_in_the_tables(tables: Catalogue) -> None:
    """Wakayama and others 2019, Ind. Eng. Chem. Res., doi 10.1021/acs.iecr.9b01225, as in pyrfume-data:
    linalool Imax 50.63, C 0.08, D 0.65; geraniol 29.88, 0.17, 0.35."""
    v = volatility_of(tables)
    for key, (most, half, width) in {
        "linalool": (50.63, 0.08, 0.65),
        "geraniol": (29.88, 0.17, 0.35),
    }.items():
        at = v.index[key]
        assert (v.odour_max[at], v.odour_log_half[at], v.odour_width[at]) == (most, half, width)


def test_the_same_curve_gives_the_concentration_at_intensity_5(tables: Catalogue) -> None:
    """From the same laboratory's curves: limonene 3.8, linalool 0.044, geraniol 0.41, phenylethyl alcohol
    0.26, indole 0.05 mg/m3 at intensity 5 (computed from the published constants by hand)."""
    run = course(Composition.of({"sunflower": 90.0, "rose": 3.0, "lemon": 3.0, "neroli": 3.0}), tables)
    dose = dict(zip((run.volatility.keys[p] for p in run.constituents), log_dose_for(run, 5.0), strict=True))
    for key, mg_m3 in {
        "limonene": 3.8,
        "linalool": 0.044,
        "geraniol": 0.41,
        "phenylethyl_alcohol": 0.26,
        "indole": 0.05,
    }.items():
        assert 10 ** dose[key] == pytest.approx(mg_m3, rel=0.15)


def test_dose_and_strength_are_inverse(tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 99.0, "lemon": 1.0}), tables, np.array([0.0]))
    v, places = run.volatility, run.constituents
    for target in (5.0, 20.0, 40.0):
        log_c = log_dose_for(run, target)
        possible = np.isfinite(log_c)
        steps = (log_c[possible] - v.odour_log_half[places][possible]) / v.odour_width[places][possible]
        assert np.allclose(v.odour_max[places][possible] / (1 + np.exp(-steps)), target)
        assert np.all(v.odour_max[places][~possible] <= target)


def test_the_strength_of_one_constituent_by_hand(tables: Catalogue) -> None:
    """A single oil, its strongest constituent, written out."""
    run = course(Composition.of({"sunflower": 95.0, "lavender": 5.0}), tables, np.array([0.0, 1800.0]))
    v = run.volatility
    at, share = v.contents["lavender"]
    partition = v.partition(run.carrier, 305.15)
    rates = v.rates_per_s(run.carrier, run.film)
    for column, seconds in enumerate((0.0, 1800.0)):
        mg_m3 = 0.05 * share * 0.92e9 * NOSE / partition[at] * np.exp(-rates[at] * seconds)
        steps = (np.log10(mg_m3) - v.odour_log_half[at]) / v.odour_width[at]
        each = v.odour_max[at] / (1 + np.exp(-steps))
        assert strength(run, {}).oils[0, column] == pytest.approx(each.max(), rel=1e-9)
        assert strength(run, {}).whole[column] == pytest.approx(each.max(), rel=1e-9)


def test_what_two_oils_share_counts_towards_each_and_adds_in_the_whole(tables: Catalogue) -> None:
    together = strength(
        course(Composition.of({"sunflower": 90.0, "lavender": 5.0, "neroli": 5.0}), tables, np.array([0.0])),
        {"lavender": Note.MIDDLE, "neroli": Note.MIDDLE},
    )
    assert together.whole[0] > together.oils.max()  # linalool of both
    assert together.notes[1, 0] == pytest.approx(together.whole[0])
    assert together.course.volatility.keys[int(together.lead[0])] == "linalool"


def test_more_of_an_oil_is_never_weaker(tables: Catalogue) -> None:
    weak, strong = (
        strength(course(Composition.of({"sunflower": 95.0, "rose": grams}), tables), {}).whole
        for grams in (0.5, 5.0)
    )
    assert np.all(strong >= weak)


def test_the_notes_lead_one_after_the_other(tables: Catalogue) -> None:
    """Common practice, no source: top leads at first, and what is still there at last is the base."""
    found = strength(course(BLEND, tables), NOTES)
    leading = found.leading()
    assert leading[0] is Note.TOP
    assert leads_of(found, (0.0,)) == (Note.TOP,)
    assert found.notes[2, -1] > found.notes[0, -1]
    assert np.all(found.whole >= found.notes.max(axis=0) - 1e-9)
    assert np.all(found.notes_low <= found.notes)
    assert np.all(found.notes_high >= found.notes)
    assert np.allclose(found.of_note(Note.BASE), found.notes[2])


def test_nothing_leads_where_nothing_is_perceived(tables: Catalogue) -> None:
    found = strength(course(Composition.of({"sunflower": 99.9, "lemon": 0.01}), tables), {"lemon": Note.TOP})
    assert found.whole.max() < PERCEIVED
    assert set(found.leading()) == {None}


def test_odourless_materials_have_no_strength(tables: Catalogue) -> None:
    v = volatility_of(tables)
    for key in ("nonadecane", "nonvolatile", "benzoic_acid"):
        assert v.odour_max[v.index[key]] == 0.0
    run = course(Composition.of({"sunflower": 90.0}), tables)
    assert strength(run, {}).whole.max() == 0.0
    assert air_mg_m3(run).shape == (0,)


def test_a_constituent_without_a_curve_takes_the_relation(tables: Catalogue) -> None:
    """C = -0.18 + 0.81 log Psat, Imax = 34.9 + 8.95 log Psat, D = 0.45 + 0.11 log Psat (fit to 132 curves of
    Wakayama 2019); at 1 Pa they are -0.18, 34.9 and 0.45."""
    row = tables.constituents["linalool"]
    assert row.psat25_pa is not None
    bare = row.model_copy(
        update={
            "intensity_max": None,
            "intensity_log_c_half": None,
            "intensity_width": None,
            "intensity_source": "",
            "psat25_pa": row.psat25_pa.model_copy(update={"value": 1.0}),
        }
    )
    changed = replace(tables, constituents={**tables.constituents, "linalool": bare})
    v = compile_volatility(changed)
    at = v.index["linalool"]
    assert (v.odour_max[at], v.odour_log_half[at], v.odour_width[at]) == pytest.approx((34.9, -0.18, 0.45))
    assert v.odour_spread[at] > volatility_of(tables).odour_spread[at]
