"""Constituent totals over all sources."""

from __future__ import annotations

import pytest

from tests.core.skin.samples import base, catalogue, content, leftover, material, oil
from workbench.core.recipe.composition import Composition, expand
from workbench.core.skin.tables import tables_of
from workbench.core.skin.totals import totals
from workbench.core.trouble import Trouble

KNOWN = catalogue(
    [
        base(),
        material("lavender_oil", composition=(content("linalool", 20.0, most=40.0), content("camphor", 0.5))),
        oil("linalool_neat", {"linalool": 100.0}),
        leftover("first", {"base": 80.0, "lavender_oil": 20.0}),
        leftover("second", {"base": 50.0, "first": 50.0}),
    ]
)


def test_every_source_counts_at_its_maximum() -> None:
    found = totals(
        Composition.of({"base": 90.0, "lavender_oil": 5.0, "linalool_neat": 1.0, "second": 4.0}), KNOWN
    )
    assert [total.constituent for total in found] == ["linalool", "camphor"]
    # 5 x 0.4 + 1 + 4 x 0.5 x 0.2 x 0.4, per cent of 100 g
    assert found[0].percent == pytest.approx(2.0 + 1.0 + 0.16)
    assert dict(found[0].from_materials) == pytest.approx(
        {"lavender_oil": 2.0, "linalool_neat": 1.0, "second": 0.16}
    )


def test_a_leftover_counts_like_what_it_was_made_of() -> None:
    balm = Composition.of({"base": 50.0, "second": 25.0, "first": 25.0})
    whole = {total.constituent: total.percent for total in totals(balm, KNOWN)}
    apart = {total.constituent: total.percent for total in totals(expand(balm, KNOWN.materials), KNOWN)}
    assert whole == pytest.approx(apart)


def test_nothing_and_nowhere() -> None:
    assert totals(Composition(()), KNOWN) == ()
    with pytest.raises(Trouble, match="no material"):
        totals(Composition.of({"nowhere": 1.0}), KNOWN)


def test_tables_are_compiled_once_per_catalogue() -> None:
    assert tables_of(KNOWN) is tables_of(KNOWN)
    others = [catalogue([base()]) for _ in range(6)]
    compiled = [tables_of(other) for other in others]  # more than are kept
    assert [tables.catalogue for tables in compiled] == others
    assert tables_of(KNOWN).catalogue is KNOWN
