"""The chapter of temperatures, term by term, with injected set points and with the real ones."""

from __future__ import annotations

import pytest

from tests.core.heat.pots import SHIPPED, carrier, leftover, oil, pot
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.heat import blend
from workbench.core.heat.flash import flash_point
from workbench.core.heat.temperatures import reckon
from workbench.core.heat.window import Reckoned, Temperatures
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble

BASE = Composition.of({"beeswax": 20.0, "shea_butter": 20.0, "jojoba": 60.0})
SCENT = Composition.of({"sweet_orange": 3.0, "lavender": 2.0})


def liquidus_at(value: float | None) -> object:
    def liquidus(base: Composition, catalogue: Catalogue) -> Reckoned:
        return Reckoned(value, 3.0, why="" if value is not None else "not known in this test")

    return liquidus


def sets_at(value: float | None) -> object:
    def set_point(base: Composition, catalogue: Catalogue, observed: float | None) -> Reckoned:
        found = observed if observed is not None else value
        return Reckoned(found, 4.0, why="" if found is not None else "does not set in this test")

    return set_point


def fixed(
    scent: Composition = SCENT,
    *,
    base: Composition = BASE,
    known: Catalogue = SHIPPED,
    liquidus: float | None = 55.0,
    sets: float | None = 50.0,
    **options: object,
) -> Temperatures:
    return reckon(base, scent, known, liquidus=liquidus_at(liquidus), set_point=sets_at(sets), **options)  # type: ignore[arg-type]


def value(found: Reckoned) -> float:
    assert found.celsius is not None
    return found.celsius


def test_terms_of_the_chapter() -> None:
    found = fixed()
    assert value(found.pour_floor) == 53.0
    assert value(found.melt_out) == 60.0
    assert value(found.flash_safe) == pytest.approx(value(found.neat_flash) - 5)
    assert value(found.scented_ceiling) == pytest.approx(value(found.blend_flash) - 5)
    assert value(found.add_below) == pytest.approx(value(found.flash_safe))
    assert value(found.neat_flash) == min(value(found.neat_flash_ideal), value(found.neat_flash_unifac))
    assert value(found.blend_flash) == min(value(found.blend_flash_ideal), value(found.blend_flash_unifac))
    # sweet orange flashes at 43 to 48 °C and beeswax sets near 50: no window, common with citrus
    assert found.open is False
    assert found.pour_floor.how == "set point 50.0 °C and 3.0 °C"


def test_a_heavy_blend_has_a_window() -> None:
    found = fixed(Composition.of({"patchouli": 3.0, "lavender": 2.0}))
    assert found.open is True
    assert found.width_k == pytest.approx(value(found.add_below) - 53.0)


@pytest.mark.parametrize(
    ("liquidus", "base", "ceiling", "because"),
    [
        (50.0, {"candelilla": 20.0, "jojoba": 80.0}, 70.0, "melt-out"),
        (90.0, {"wax": 100.0}, 95.0, "no melt goes above"),
        (60.0, {"beeswax": 20.0, "shea_butter": 80.0}, 75.0, "Shea butter should not stand hotter"),
    ],
)
def test_melt_ceiling_is_the_lowest_of_three(
    liquidus: float, base: dict[str, float], ceiling: float, because: str
) -> None:
    wax = carrier("wax", "wax ester").model_copy(update={"kind": MaterialKind.WAX})
    found = fixed(base=Composition.of(base), known=pot(wax), liquidus=liquidus)
    assert value(found.melt_ceiling) == pytest.approx(ceiling)
    assert because in found.melt_ceiling.how


def test_margin_may_grow_but_not_shrink() -> None:
    wide = fixed(margin_k=15.0)
    assert value(wide.flash_safe) == pytest.approx(value(wide.neat_flash) - 15)
    assert value(wide.scented_ceiling) == pytest.approx(value(wide.blend_flash) - 5)
    with pytest.raises(Trouble, match="too small"):
        fixed(margin_k=4.9)


def test_an_observed_set_point_wins() -> None:
    assert value(fixed(observed_set_point_c=46.0).pour_floor) == 49.0
    real = reckon(BASE, SCENT, SHIPPED, observed_set_point_c=46.0)
    assert value(real.set_point) == 46.0


def test_the_paper_of_the_blend_caps_the_neat_flash_point_only() -> None:
    free = fixed()
    held = fixed(paper_flash_c=40.0)
    assert value(held.neat_flash) == 40.0
    assert value(held.flash_safe) == 35.0
    assert value(held.blend_flash) == pytest.approx(value(free.blend_flash))


def test_a_premix_flashes_higher_and_its_carrier_is_not_in_the_pot() -> None:
    seen: list[Composition] = []

    def liquidus(base: Composition, catalogue: Catalogue) -> Reckoned:
        seen.append(base)
        return Reckoned(55.0)

    premix = SCENT.plus({"jojoba": 20.0})
    neat = fixed()
    mixed = reckon(BASE, SCENT, SHIPPED, premix=premix, liquidus=liquidus, set_point=sets_at(50.0))  # type: ignore[arg-type]
    assert value(mixed.neat_flash) > value(neat.neat_flash) + 5
    assert value(mixed.blend_flash) == pytest.approx(value(neat.blend_flash))
    assert seen[0].as_dict() == pytest.approx({"beeswax": 20.0, "shea_butter": 20.0, "jojoba": 40.0})


def test_the_scented_ceiling_can_be_the_lower_one() -> None:
    # a heavy oil goes into a pot that holds citrus from a leftover
    known = pot(leftover("old", {"beeswax": 20.0, "jojoba": 70.0, "sweet_orange": 10.0}))
    found = fixed(Composition.of({"sandalwood": 2.0}), base=Composition.of({"old": 98.0}), known=known)
    assert value(found.add_below) == min(value(found.flash_safe), value(found.scented_ceiling))
    assert value(found.scented_ceiling) < value(found.flash_safe)


def test_unscented() -> None:
    found = fixed(Composition(()))
    assert found.unscented
    assert found.open is True
    assert found.flash_safe.celsius is None
    assert "no fragrance" in found.flash_safe.why
    assert found.blend_flash.celsius is None


def test_a_leftover_brings_its_ceiling_into_the_melt() -> None:
    known = pot(leftover("old", {"beeswax": 20.0, "jojoba": 70.0, "sweet_orange": 10.0}))
    base = Composition.of({"old": 60.0, "beeswax": 10.0, "jojoba": 30.0})
    found = fixed(Composition(()), base=base, known=known, liquidus=80.0)
    inside = flash_point(base, known).lower
    assert value(found.blend_flash) == pytest.approx(value(inside))
    assert value(found.melt_ceiling) == pytest.approx(min(value(inside) - 5, 95.0))
    assert "leftover" in found.melt_ceiling.how
    assert value(found.scented_ceiling) == pytest.approx(value(inside) - 5)


def test_a_leftover_of_unknown_make_leaves_no_melt_ceiling() -> None:
    known = pot(
        oil("mystery", {}, kind=MaterialKind.BLEND),
        leftover("old", {"beeswax": 90.0, "mystery": 10.0}),
    )
    found = fixed(Composition(()), base=Composition.of({"old": 100.0}), known=known)
    assert found.melt_ceiling.celsius is None
    assert "Mystery" in found.melt_ceiling.why


def test_what_cannot_be_known_is_none_with_a_reason() -> None:
    known = pot(oil("mystery", {}, kind=MaterialKind.BLEND))
    found = fixed(Composition.of({"mystery": 5.0}), known=known)
    assert found.add_below.celsius is None
    assert "Mystery" in found.add_below.why
    assert found.open is None
    told = fixed(Composition.of({"mystery": 5.0}), known=known, paper_flash_c=65.0)
    assert value(told.flash_safe) == 60.0
    assert told.add_below.celsius is None, "the whole mixture is still unknown"
    soft = fixed(sets=None, liquidus=None)
    assert soft.open is None
    assert soft.pour_floor.why == "does not set in this test"
    assert soft.melt_out.celsius is None
    assert value(soft.melt_ceiling) == 75.0


def test_real_liquidus_and_set_point() -> None:
    found = reckon(BASE, SCENT, SHIPPED)
    assert found.liquidus == blend.liquidus_c(BASE, SHIPPED)
    assert value(found.melt_out) == pytest.approx(value(found.liquidus) + 5)
    assert value(found.pour_floor) == pytest.approx(value(blend.set_point_c(BASE, SHIPPED)) + 3)
