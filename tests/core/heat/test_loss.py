"""What leaves with the air: against closed forms and facts of the trade."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.core.heat.pots import SHIPPED, carrier, oil, pot, substance
from workbench.core.catalogue.catalogue import Catalogue, UnifacTable
from workbench.core.catalogue.model import Note
from workbench.core.heat.loss import Loss, Stay, loss, open_surface_cm2
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble

BALM = Composition.of(
    {"beeswax": 20.0, "jojoba": 75.0, "sweet_orange": 2.0, "lavender": 2.0, "patchouli": 1.0}
)
SURFACE = 30.0


def lost(
    celsius: float, seconds: float, known: Catalogue = SHIPPED, balm: Composition = BALM, **options: float
) -> Loss:
    return loss(balm, known, (Stay(celsius, seconds),), SURFACE, **options)  # type: ignore[arg-type]


def test_worked_by_hand() -> None:
    # one substance of 1000 Pa, M 144 (18/144 = 1/8, cube root 1/2), gamma one: k = 0.67 x 0.15^0.78 / 2 cm/s
    known = pot(
        oil("pure", {"thing": 100.0}, note=Note.TOP),
        carrier("carry", "no such family", 500.0),
        constituents=(substance("thing", 144.0, 60.0, 50.0, 1000.0),),
    )
    balm = Composition.of({"pure": 14.4, "carry": 90.0})
    found = loss(balm, known, (Stay(25.0, 600.0),), 50.0)
    k_cm_s = 0.67 * 0.15**0.78 * 0.5
    moles = 0.1 + 90.0 / 900.0  # the carrier stands in by a heavy molecule where its family is unknown
    per_cm3 = 1000.0 / (8.314462618 * 298.15) * 1e-6
    expected = 1 - math.exp(-k_cm_s * 50.0 * per_cm3 * 600.0 / moles)
    assert found.of(Note.TOP) == pytest.approx(100 * expected, rel=1e-6)


def test_top_notes_leave_first() -> None:
    # common practice, no source: top notes go first, base notes stay
    found = lost(65.0, 1200.0)
    assert found.of(Note.TOP) > found.of(Note.MIDDLE) > found.of(Note.BASE) > 0
    assert [key for key, _ in found.by_material] == ["sweet_orange", "lavender", "patchouli"]


def test_warmer_longer_wider_and_windier_lose_more() -> None:
    plain = lost(60.0, 300.0).of(Note.TOP)
    assert lost(70.0, 300.0).of(Note.TOP) > plain * 1.3
    assert lost(60.0, 600.0).of(Note.TOP) > plain * 1.8
    assert lost(60.0, 300.0, air_m_s=0.72).of(Note.TOP) > plain * 2.5
    assert loss(BALM, SHIPPED, (Stay(60.0, 300.0),), 2 * SURFACE).of(Note.TOP) > plain * 1.8


def test_stays_add_up() -> None:
    twice = loss(BALM, SHIPPED, (Stay(60.0, 300.0), Stay(60.0, 300.0)), SURFACE)
    assert twice.of(Note.TOP) == pytest.approx(lost(60.0, 600.0).of(Note.TOP))
    assert lost(60.0, 0.0).of(Note.TOP) == 0


def test_a_few_minutes_of_stirring_do_not_ruin_a_balm() -> None:
    # common practice, no source: fragrance is stirred in for a few minutes and the balm still smells of its top note
    found = lost(60.0, 180.0)
    assert 0 < found.of(Note.TOP) < 10


def test_the_band_is_honest_about_the_draught() -> None:
    top = lost(60.0, 1200.0).by_note[0]
    assert top.note is Note.TOP
    assert top.low_percent < top.percent < top.high_percent
    assert top.high_percent / top.low_percent > 5
    assert "Assumed" in lost(60.0, 60.0).assumption


def test_notes_of_the_recipe_win() -> None:
    found = loss(
        BALM, SHIPPED, (Stay(60.0, 600.0),), SURFACE, notes={"patchouli": Note.TOP, "sweet_orange": Note.BASE}
    )
    assert found.of(Note.BASE) > found.of(Note.TOP)


def test_without_scent_or_table() -> None:
    assert lost(60.0, 600.0, balm=Composition.of({"beeswax": 1.0})).by_note == ()
    assert lost(60.0, 600.0, balm=Composition.of({"beeswax": 1.0})).of(Note.TOP) == 0
    bare = pot()

    ideal = lost(60.0, 600.0, known=replace(bare, unifac=UnifacTable()))
    assert ideal.of(Note.TOP) > 0


def test_troubles() -> None:
    with pytest.raises(Trouble, match="above zero"):
        loss(BALM, SHIPPED, (), 0.0)
    with pytest.raises(Trouble, match="above zero"):
        loss(BALM, SHIPPED, (), 10.0, air_m_s=0.0)
    with pytest.raises(Trouble, match="negative"):
        lost(60.0, -1.0)


def test_open_surface() -> None:
    assert open_surface_cm2(80.0) == pytest.approx(50.27, abs=0.01)
