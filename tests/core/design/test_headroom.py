"""How much more fits, against hand-worked additions and the verdict itself."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.skin.samples import (
    base,
    catalogue,
    certificate,
    content,
    figure,
    leftover,
    limit,
    material,
    oil,
)
from workbench.core.catalogue.model import Confidence, MaterialKind, Place, Use
from workbench.core.design.headroom import headroom, headrooms
from workbench.core.recipe.composition import Composition
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import Verdict
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

PERFUME = (Use.PERFUME,)
KNOWN = catalogue(
    [
        base(),
        oil("clove", {"eugenol": 90.0}, density_g_ml=figure(1.05)),
        oil("rose", {"eugenol": 10.0, "geraniol": 20.0}),
        oil("cedar", {"cedrol": 30.0}),
        oil("lemon", {"limonene": 70.0}, restricted_as=("lemon",)),
        material("mystery", MaterialKind.BLEND),
        leftover("old", {"base": 80.0, "mystery": 20.0}),
        leftover("lost", {"base": 80.0, "gone": 20.0}),
    ],
    [
        limit("eugenol", {"4": 2.5, "1": 0.45}, constituents=("eugenol",)),
        limit("geraniol", {"4": 4.7}, constituents=("geraniol",)),
        limit("lemon", 2.0, restricted_as=("lemon",), group="phototoxic"),
    ],
)


def test_worked_addition() -> None:
    # Clove with 90 % eugenol and a limit of 2.5 %: 2.5 / 0.9 = 2.78 % of the finished balm.  Into 100 g of base that is
    # x / (100 + x) = 0.02778, so x = 2.857 g, because what is added makes the balm heavier too.
    found = headroom(Composition.of({"base": 100.0}), KNOWN, PERFUME, Place.EU, "clove")
    assert found.grams == pytest.approx(100 * (2.5 / 90) / (1 - 2.5 / 90), rel=1e-6)
    assert found.total_g == pytest.approx(found.grams)
    assert (found.limit_key, found.confidence, found.complete) == ("eugenol", Confidence.SEEN, True)
    # 20 to 40 drops per mL and 0.033 g a drop of a usual oil (tisserandinstitute.org/learn-more/drop-size); clove is
    # heavier: 0.039 g, and 0.0525 g for the largest drops (20 per mL at 1.05 g/mL)
    assert found.drops == 73
    assert found.drops_sure == 54


def test_what_is_in_there_counts() -> None:
    balm = Composition.of({"base": 97.0, "clove": 1.0, "rose": 2.0})
    found = {room.oil: room for room in headrooms(balm, KNOWN, PERFUME, Place.EU)}
    assert set(found) == {"clove", "rose"}
    # N = 1.1 g of eugenol in 100 g: (2.5 - 1.1) / (0.9 - 0.025)
    assert found["clove"].grams == pytest.approx(1.4 / 0.875, rel=1e-6)
    assert found["clove"].total_g == pytest.approx(1 + 1.4 / 0.875, rel=1e-6)


def test_over_is_nothing_more_and_says_what_would_pass() -> None:
    balm = Composition.of({"base": 95.0, "clove": 5.0})
    found = headroom(balm, KNOWN, PERFUME, Place.EU, "clove")
    assert found.grams == 0.0
    assert found.limit_key == "eugenol"
    assert found.total_g == pytest.approx(95 * (2.5 / 90) / (1 - 2.5 / 90), rel=1e-6)
    other = headroom(balm, KNOWN, PERFUME, Place.EU, "lemon")
    assert (other.grams, other.total_g) == (0.0, None)


def test_nothing_binds() -> None:
    found = headroom(Composition.of({"base": 95.0, "rose": 5.0}), KNOWN, PERFUME, Place.EU, "cedar")
    assert found.unlimited
    assert math.isinf(found.total_g or 0.0)
    assert found.drops is None
    assert found.limit_name == ""


def test_unknown_makes() -> None:
    balm = Composition.of({"base": 90.0, "mystery": 1.0, "clove": 1.0, "old": 8.0})
    found = {
        room.oil: room
        for room in headrooms(balm, KNOWN, PERFUME, Place.EU, ("mystery", "clove", "old", "lost"))
    }
    for key in ("mystery", "old", "lost"):
        assert found[key].grams is None
        assert not found[key].unlimited
        assert "Nothing is known" in found[key].why
    assert found["clove"].grams is not None
    assert not found["clove"].complete
    assert "unknown make" in found["clove"].why


def test_a_missing_number_makes_it_incomplete() -> None:
    found = headroom(Composition.of({"base": 100.0}), KNOWN, (Use.PERFUME, Use.LIPS), Place.EU, "rose")
    assert found.limit_key == "eugenol"
    assert not found.complete
    assert "Geraniol" in found.why


def test_a_certificate_counts() -> None:
    papers = catalogue(
        [base(), material("blend", MaterialKind.BLEND)],
        [limit("eugenol", 2.5, constituents=("eugenol",))],
        certificates=[certificate("blend", 8.0)],
    )
    found = headroom(Composition.of({"base": 92.0}), papers, PERFUME, Place.EU, "blend")
    assert found.grams == pytest.approx(8.0)
    assert found.limit_key == "certificate_blend"


def test_measured_bergapten_opens_the_way_only_for_measured_oils() -> None:
    measured = material(
        "measured",
        composition=(content("bergapten", 0.1, confidence=Confidence.SUPPLIER),),
        restricted_as=("bergamot_expressed",),
    )
    plain = oil("plain", {"limonene": 40.0}, restricted_as=("bergamot_expressed",))
    known = catalogue(
        [base(), measured, plain],
        [
            limit("bergamot", 0.4, restricted_as=("bergamot_expressed",), group="phototoxic"),
            limit("bergapten", 0.0015, constituents=("bergapten",), group="bergapten_total"),
        ],
    )
    balm = Composition.of({"base": 99.9, "measured": 0.1})
    found = {room.oil: room for room in headrooms(balm, known, PERFUME, Place.EU, ("measured", "plain"))}
    assert found["measured"].limit_key == "bergapten"
    assert found["measured"].total_g == pytest.approx(1.5 / (1 - 0.015) * 0.999, rel=1e-3)
    assert found["plain"].limit_key in ("bergamot", "phototoxic_sum")


def test_troubles() -> None:
    with pytest.raises(Trouble, match="nothing in the recipe"):
        headroom(Composition(()), KNOWN, PERFUME, Place.EU, "clove")
    with pytest.raises(Trouble, match="no material"):
        headroom(Composition.of({"base": 1.0}), KNOWN, PERFUME, Place.EU, "nowhere")


@given(
    clove=st.floats(0.0, 2.0),
    rose=st.floats(0.0, 10.0),
    lemon=st.floats(0.0, 1.5),
    oil_key=st.sampled_from(("clove", "rose", "lemon")),
    use=st.sampled_from((Use.PERFUME, Use.BODY)),
)
def test_the_verdict_turns_where_headroom_ends(
    clove: float, rose: float, lemon: float, oil_key: str, use: Use
) -> None:
    known = catalogue(
        KNOWN.materials.values(),
        [
            limit("eugenol", {"4": 2.5, "5A": 0.64}, constituents=("eugenol",)),
            limit("geraniol", {"4": 4.7, "5A": 1.2}, constituents=("geraniol",)),
            limit("lemon", 2.0, restricted_as=("lemon",), group="phototoxic"),
        ],
    )
    balm = Composition.of({"base": 100.0, "clove": clove, "rose": rose, "lemon": lemon})
    room = headroom(balm, known, (use,), Place.EU, oil_key)
    if assess(balm, known, (use,), Place.EU).verdict is Verdict.OVER:
        assert room.grams == 0.0
        return
    assert room.grams is not None
    assert math.isfinite(room.grams)
    fits = assess(balm.plus({oil_key: room.grams * 0.9999}), known, (use,), Place.EU)
    over = assess(balm.plus({oil_key: room.grams * 1.0001 + 1e-6}), known, (use,), Place.EU)
    assert (fits.verdict, over.verdict) == (Verdict.WITHIN, Verdict.OVER)
    assert room.limit_key in {use_.key for use_ in over.over}


def test_shipped_clove() -> None:
    # the published ceiling of the trade for clove in a perfume is near 2.5 / 0.9 = 2.8 % (limit recalled)
    shipped = load_catalogue()
    found = headroom(
        Composition.of({"beeswax": 30.0, "jojoba": 70.0}), shipped, PERFUME, Place.US, "clove_bud"
    )
    assert found.limit_name == "Eugenol"
    assert found.grams is not None
    assert 2.4 < found.grams < 3.2
