"""The ratio test finds mistyped limits and leaves good ones alone."""

from __future__ import annotations

import pytest

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Limit
from workbench.core.catalogue.plausible import doubtful_limits, unusual_ratios
from workbench.store.resources import load_catalogue


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


def named(catalogue: Catalogue, key: str) -> Limit:
    return next(limit for limit in catalogue.limits if limit.key == key)


def test_our_table_raises_no_doubt(catalogue: Catalogue) -> None:
    assert doubtful_limits(catalogue.limits) == ()


@pytest.mark.parametrize(
    "key",
    [
        # Rows of the 49th Amendment that were read and rest on sensitisation alone
        "cinnamyl_alcohol_standard",
        "verbena_absolute_standard",
    ],
)
def test_rows_that_were_read_stand_in_the_usual_ratio(catalogue: Catalogue, key: str) -> None:
    limit = named(catalogue, key)
    assert limit.confidence is Confidence.SEEN
    assert unusual_ratios(limit) == ()


def test_a_certificate_of_the_newest_amendment_keeps_the_ratio() -> None:
    # A supplier's certificate under the 51st Amendment (2024): category 4 4.54 %, 5A 1.16 % of the compound.
    row = Limit(
        key="compound",
        name="Compound",
        regime="industry standard",
        max_percent={"4": 4.54, "5A": 1.16},
        basis="certificate",
        source="certificate",
        confidence=Confidence.SECOND_HAND,
    )
    assert unusual_ratios(row) == ()


@pytest.mark.parametrize("key", ["methyl_eugenol_standard", "estragole_standard", "citronellal_standard"])
def test_limits_with_another_reason_do_not_stand_in_it(catalogue: Catalogue, key: str) -> None:
    # Genotoxic or systemic end points cap these rows of the 49th Amendment; the test must not be used on them.
    assert unusual_ratios(named(catalogue, key))


@pytest.mark.parametrize("slip", [10.0, 0.1, 2.0, 0.5])
@pytest.mark.parametrize("category", ["1", "4", "5A"])
@pytest.mark.parametrize(
    "key", ["citral_standard", "eugenol_standard", "geraniol_standard", "coumarin_standard"]
)
def test_a_slip_of_the_pen_is_found(catalogue: Catalogue, key: str, category: str, slip: float) -> None:
    good = named(catalogue, key)
    numbers = {**good.max_percent, category: good.max_percent[category] * slip}
    doubts = doubtful_limits([good.model_copy(update={"max_percent": numbers})])
    assert doubts
    assert {doubt.limit for doubt in doubts} == {key}
    assert good.name in doubts[0].says


@pytest.mark.parametrize(
    ("key", "perfume", "hand_cream"),
    [
        # Values before the 49th Amendment (SCCS opinion on fragrance allergens 2012, table 11-1), which still
        # circulate: fine fragrance mixed with today's body and lip numbers must raise a doubt.
        ("cinnamaldehyde_standard", 0.05, 0.05),
        ("eugenol_standard", 0.5, 0.5),
        ("geraniol_standard", 5.3, 2.8),
        ("isoeugenol_standard", 0.02, 0.02),
        ("hydroxycitronellal_standard", 1.0, 1.0),
    ],
)
def test_superseded_numbers_are_found(
    catalogue: Catalogue, key: str, perfume: float, hand_cream: float
) -> None:
    good = named(catalogue, key)
    old = good.model_copy(update={"max_percent": {**good.max_percent, "4": perfume, "5A": hand_cream}})
    assert doubtful_limits([old])
    assert good.max_percent["4"] != perfume


def test_a_prohibition_has_no_ratio(catalogue: Catalogue) -> None:
    assert unusual_ratios(named(catalogue, "peru_balsam_crude_law")) == ()
