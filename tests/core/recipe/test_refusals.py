from __future__ import annotations

import pytest

from tests.core.recipe.kitchen import kitchen, simple
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import BatchSize, Heat, Premix, TinCount
from workbench.core.recipe.refusals import refusals

KITCHEN = kitchen()
METAL = BatchSize(tins=(TinCount(tin="round", count=3),))
GLASS = BatchSize(tins=(TinCount(tin="jar", count=3),))


@pytest.mark.parametrize(
    ("vessel", "size", "heat", "refused"),
    [
        ("steel_jug", GLASS, Heat.MICROWAVE, "“Steel jug” is of metal"),
        ("steel_jug", GLASS, Heat.WATER_BATH, ""),
        ("jug", METAL, Heat.MICROWAVE, ""),  # the tins are filled from the jug
        ("jug", GLASS, Heat.MICROWAVE, ""),
        (
            None,
            METAL,
            Heat.MICROWAVE,
            "“Round tin” is of metal",
        ),  # without a jug it would be melted in the tin
        (None, GLASS, Heat.MICROWAVE, ""),
        (None, METAL, Heat.WATER_BATH, ""),
    ],
)
def test_no_metal_in_the_microwave(vessel: str | None, size: BatchSize, heat: Heat, refused: str) -> None:
    found = refusals(simple(vessel=vessel, size=size, heat=heat), KITCHEN)
    assert len(found) == bool(refused)
    assert refused in "".join(found)


def test_metal_tins_beside_a_microwave_are_kept_out_of_it() -> None:
    worked = work_out(simple(vessel="jug", size=METAL, heat=Heat.MICROWAVE), KITCHEN)
    assert any("never go into the microwave" in note for note in worked.notes)


def test_only_an_oil_can_be_held_back() -> None:
    assert refusals(simple(premix=Premix(carrier="jojoba", share_of_carrier_percent=20)), KITCHEN) == ()
    (refusal,) = refusals(simple(premix=Premix(carrier="beeswax", share_of_carrier_percent=20)), KITCHEN)
    assert refusal.startswith("Beeswax is not liquid")


@pytest.mark.parametrize(
    ("mass_g", "note"),
    [
        (40.0, ""),
        (60.0, "leaves little room for stirring"),
        (100.0, "Choose a larger jug or melt in two goes"),
    ],
)
def test_the_jug_must_hold_it(mass_g: float, note: str) -> None:
    notes = work_out(simple(vessel="small_jug", size=BatchSize(mass_g=mass_g)), KITCHEN).notes
    assert len(notes) == bool(note)
    assert note in "".join(notes)
