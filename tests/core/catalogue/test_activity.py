"""The activity coefficients against an independent implementation and published mixtures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thermo.unifac import UNIFAC

from workbench.core.catalogue.activity import Activity, ln_gamma
from workbench.core.catalogue.catalogue import Catalogue, UnifacTable
from workbench.store.resources import load_catalogue

ETHANOL = {"1": 1, "2": 1, "14": 1}
OCTANE = {"1": 2, "2": 6}


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


def independent(groups: list[dict[str, int]], x: list[float], t_k: float) -> list[float]:
    """ln gamma by the `thermo` library (MIT licence), which carries its own copy of the parameters."""
    there = UNIFAC.from_subgroups(
        T=t_k, xs=x, chemgroups=[{int(group): n for group, n in one.items()} for one in groups]
    )
    return [math.log(gamma) for gamma in there.gammas()]


@pytest.mark.parametrize("t_k", [288.15, 305.15, 353.15])
def test_every_constituent_in_every_carrier_agrees_with_the_independent_library(
    catalogue: Catalogue, t_k: float
) -> None:
    known = [row.unifac for row in catalogue.constituents.values() if row.unifac]
    for carrier in catalogue.carriers.values():
        groups = [dict(carrier), *known]
        x = [0.6, *[0.4 / len(known)] * len(known)]
        ours = ln_gamma(groups, np.array(x), t_k, catalogue.unifac)
        assert ours == pytest.approx(independent(groups, x, t_k), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(data=st.data(), t_k=st.floats(280.0, 370.0))
def test_any_mixture_agrees_with_the_independent_library(
    catalogue: Catalogue, data: st.DataObject, t_k: float
) -> None:
    known = [row.unifac for row in catalogue.constituents.values() if row.unifac]
    groups = data.draw(st.lists(st.sampled_from(known), min_size=2, max_size=6))
    weights = data.draw(st.lists(st.floats(0.01, 1.0), min_size=len(groups), max_size=len(groups)))
    x = [weight / sum(weights) for weight in weights]
    ours = Activity(groups, catalogue.unifac).ln_gamma(np.array(x), t_k)
    assert ours == pytest.approx(independent(groups, x, t_k), abs=1e-9)


def test_octane_in_ethanol_is_far_from_ideal_as_published(catalogue: Catalogue) -> None:
    # Alkane and alcohol at 25 °C: both limiting activity coefficients lie well above one.  Octane in ethanol
    # about 13 to 18 and ethanol in octane about 27 to 40 at infinite dilution (handbook order of magnitude,
    # DECHEMA collection, recalled).
    mixture = Activity([OCTANE, ETHANOL], catalogue.unifac)
    thin_octane = math.exp(mixture.ln_gamma(np.array([1e-9, 1.0]), 298.15)[0])
    thin_ethanol = math.exp(mixture.ln_gamma(np.array([1.0, 1e-9]), 298.15)[1])
    assert 10 < thin_octane < 25
    assert 20 < thin_ethanol < 60


def test_heptane_and_octane_are_almost_ideal(catalogue: Catalogue) -> None:
    # Neighbours in the alkane series mix ideally (common knowledge of physical chemistry, no source).
    both = ln_gamma([{"1": 2, "2": 5}, OCTANE], np.array([0.5, 0.5]), 298.15, catalogue.unifac)
    assert np.exp(both) == pytest.approx([1.0, 1.0], abs=0.01)


@pytest.mark.parametrize(
    ("solute", "carrier", "published"),
    [
        # Limiting activity coefficients at 32 °C by the same method, calculated beforehand with `thermo` 0.6.1.
        ("limonene", "triglyceride", 0.39),
        ("limonene", "medium triglyceride", 0.75),
        ("limonene", "hydrocarbon", 0.68),
        ("alpha_pinene", "triglyceride", 0.39),
        ("linalool", "triglyceride", 1.22),
        ("linalool", "hydrocarbon", 7.5),
        ("linalyl_acetate", "hydrocarbon", 1.99),
        ("beta_caryophyllene", "triglyceride", 0.54),
        ("eugenol", "hydrocarbon", 40.0),
    ],
)
def test_limiting_values_in_the_carriers(
    catalogue: Catalogue, solute: str, carrier: str, published: float
) -> None:
    groups = [catalogue.constituents[solute].unifac, dict(catalogue.carriers[carrier])]
    gamma = np.exp(ln_gamma(groups, np.array([1e-9, 1.0]), 305.15, catalogue.unifac))[0]
    assert gamma == pytest.approx(published, rel=0.05)


def test_a_pure_liquid_has_a_coefficient_of_one(catalogue: Catalogue) -> None:
    assert ln_gamma([ETHANOL], np.array([1.0]), 300.0, catalogue.unifac) == pytest.approx([0.0], abs=1e-12)


def test_several_mixtures_at_once_are_the_same_as_one_by_one(catalogue: Catalogue) -> None:
    mixture = Activity([OCTANE, ETHANOL], catalogue.unifac)
    shares = np.array([[0.1, 0.9], [0.5, 0.5], [0.9, 0.1]])
    together = mixture.ln_gamma(shares, 310.0)
    assert together.shape == (3, 2)
    for row, x in zip(together, shares, strict=True):
        assert row == pytest.approx(mixture.ln_gamma(x, 310.0))


def test_shares_need_not_add_up_to_one(catalogue: Catalogue) -> None:
    mixture = Activity([OCTANE, ETHANOL], catalogue.unifac)
    assert mixture.ln_gamma(np.array([2.0, 6.0]), 310.0) == pytest.approx(
        mixture.ln_gamma(np.array([0.25, 0.75]), 310.0)
    )


def test_a_molecule_without_groups_is_ideal_and_leaves_the_others_alone(catalogue: Catalogue) -> None:
    three = ln_gamma([OCTANE, {}, ETHANOL], np.array([0.2, 0.5, 0.3]), 300.0, catalogue.unifac)
    two = ln_gamma([OCTANE, ETHANOL], np.array([0.4, 0.6]), 300.0, catalogue.unifac)
    assert three[1] == 0.0
    assert three[[0, 2]] == pytest.approx(two)


def test_only_unknown_molecules_are_ideal() -> None:
    assert ln_gamma([{}, {}], np.array([0.5, 0.5]), 300.0, UnifacTable()).tolist() == [0.0, 0.0]


def test_excess_energy_obeys_gibbs_and_duhem(catalogue: Catalogue) -> None:
    # x1 dln g1/dx1 + x2 dln g2/dx1 = 0 at constant temperature (Gibbs-Duhem).
    mixture = Activity([OCTANE, ETHANOL], catalogue.unifac)
    x, step = 0.3, 1e-5
    slope = (
        mixture.ln_gamma(np.array([x + step, 1 - x - step]), 300.0)
        - mixture.ln_gamma(np.array([x - step, 1 - x + step]), 300.0)
    ) / (2 * step)
    assert x * slope[0] + (1 - x) * slope[1] == pytest.approx(0.0, abs=1e-6)
