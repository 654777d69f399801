"""A neat blend on paper: the closed form against scipy's solvers, Raoult's consequences, published tests."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition
from workbench.core.scent.paper import STRIP_MOMENTS_S, Strip, ideal_amounts, on_paper
from workbench.core.scent.volatility import Array
from workbench.core.trouble import Trouble

TIMES = np.concatenate([[0.0], np.geomspace(30.0, 86400.0, 40)])
BLEND = Composition.of({"bergamot": 4.0, "geranium": 3.0, "sandalwood": 3.0})


def test_the_closed_form_is_the_solution_of_the_equation() -> None:
    moles = np.array([1.0, 0.5, 0.2, 0.05, 0.1])
    speed = np.array([3e-3, 2e-4, 1e-5, 1e-7, 0.0])
    times = np.concatenate([[0.0], np.geomspace(1.0, 1e5, 60)])

    def flow(_t: float, n: Array) -> Array:
        made: Array = -speed * n / n.sum()
        return made

    solved = solve_ivp(flow, (0.0, 1e5), moles, method="Radau", t_eval=times, rtol=1e-10, atol=1e-14)
    assert np.abs(solved.y - ideal_amounts(moles, speed, times)).max() < 1e-6


def test_a_pure_liquid_leaves_evenly_and_is_gone() -> None:
    """Zeroth order: a pure liquid loses a mole per 1/speed seconds, whatever is left."""
    left = ideal_amounts(np.array([2.0]), np.array([0.1]), np.array([0.0, 5.0, 10.0, 19.0, 60.0]))[0]
    assert left[:4] == pytest.approx([2.0, 1.5, 1.0, 0.1], rel=1e-9)
    assert left[4] < 1e-9


def test_the_stiff_solver_and_the_closed_form_agree_where_the_blend_is_nearly_ideal(
    tables: Catalogue,
) -> None:
    """Terpenes among themselves are nearly ideal: sweet orange is 95 % limonene."""
    orange = Composition.of({"sweet_orange": 1.0})
    real = on_paper(orange, tables, TIMES)
    ideal = on_paper(orange, tables, TIMES, real=False)
    assert not real.ideal
    assert ideal.ideal
    assert np.abs(real.left - ideal.left).max() < 0.02


def test_activities_make_alcohols_leave_terpenes_sooner(tables: Catalogue) -> None:
    """Positive deviations of alcohols in hydrocarbons, as in every handbook of vapour-liquid equilibria."""
    thin = Composition.of({"lemon": 9.0, "palmarosa": 1.0})
    real, ideal = on_paper(thin, tables, TIMES), on_paper(thin, tables, TIMES, real=False)
    row = real.oils.index("palmarosa")
    assert np.all(real.left[row, 1:10] <= ideal.left[row, 1:10] + 1e-9)


def test_order_on_paper_is_that_of_the_trade(tables: Catalogue) -> None:
    """Poucher 1955 (J. Soc. Cosmet. Chem. 6:80): bergamot 6, sandalwood 100 on smelling strips."""
    run = on_paper(BLEND, tables, TIMES)
    hour = int(np.argmin(np.abs(run.times_s - 3600)))
    bergamot, geranium, sandalwood = (run.left[run.oils.index(o), hour] for o in BLEND.as_dict())
    assert bergamot < geranium < sandalwood
    assert sandalwood > 0.95


def test_the_low_note_gets_richer_while_the_high_one_leaves(tables: Catalogue) -> None:
    """S. Friberg's observation on limonene and phenethyl alcohol (seen in an abstract): the high note leaves
    first and the vapour pressure of the low one rises meanwhile.  Here: its mole fraction rises."""
    run = on_paper(Composition.of({"lemon": 1.0, "rose": 1.0}), tables, TIMES)
    from workbench.core.scent.volatility import volatility_of

    v = volatility_of(tables)
    moles = run.constituent_g[:, None] * run.constituent_left / v.molar_g_mol[run.constituents][:, None]
    fraction = moles / moles.sum(axis=0)
    low = int(np.flatnonzero(run.constituents == v.index["phenylethyl_alcohol"])[0])
    early = fraction[low, :15]
    assert np.all(np.diff(early) > 0)


def test_neat_is_not_one_exponential_but_the_film_is(tables: Catalogue) -> None:
    """Saiyasombati and Kasting 2003, Int. J. Cosmet. Sci. 25:235 (seen in an abstract), on data of Vuilleumier
    1995: with a fixative single exponentials, without it several.  Our film is the first, the strip the second."""
    run = on_paper(Composition.of({"lavender": 1.0}), tables, TIMES, real=False)
    from workbench.core.scent.volatility import volatility_of

    at = int(np.flatnonzero(run.constituents == volatility_of(tables).index["linalool"])[0])
    there = run.constituent_left[at] > 1e-3
    rate = -np.diff(np.log(run.constituent_left[at][there])) / np.diff(run.times_s[there])
    assert rate.max() > 1.3 * rate.min()


def test_mass_on_paper_never_grows(tables: Catalogue) -> None:
    run = on_paper(BLEND, tables, TIMES)
    assert np.all(run.constituent_left <= 1 + 1e-12)
    assert np.all(run.constituent_left >= 0)
    assert np.all(np.diff(run.left.sum(axis=0)) <= 1e-6)
    assert run.left[:, 0] == pytest.approx([1.0, 1.0, 1.0])


def test_a_strip_is_smelled_at_four_moments_and_more_drops_last_longer(tables: Catalogue) -> None:
    assert STRIP_MOMENTS_S == (0.0, 600.0, 1800.0, 3600.0)
    thin = on_paper(BLEND, tables, STRIP_MOMENTS_S, Strip(load_mg_cm2=5.0))
    thick = on_paper(BLEND, tables, STRIP_MOMENTS_S, Strip(load_mg_cm2=20.0))
    assert thick.left[0, 3] > thin.left[0, 3]


def test_base_materials_do_not_count_and_unknown_oils_are_named(tables: Catalogue) -> None:
    run = on_paper(Composition.of({"sunflower": 9.0, "lemon": 1.0, "labdanum": 1.0}), tables, (0.0, 60.0))
    assert run.oils == ("lemon",)
    assert run.unknown == ("labdanum",)
    with pytest.raises(Trouble, match="Nothing is known"):
        on_paper(Composition.of({"labdanum": 1.0}), tables, (0.0, 60.0))


def test_at_time_nought_all_is_there(tables: Catalogue) -> None:
    run = on_paper(BLEND, tables, (0.0,))
    assert np.allclose(run.left, 1.0)
