"""Remedies for an empty window: every one is reckoned anew, so every one is held against the reckoning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.design import remedies as module
from workbench.core.design.edits import largest_carrier, waxes_of, with_less_of
from workbench.core.design.remedies import (
    HEAVY_FIRST,
    LESS_FRAGRANCE,
    LESS_OF_THE_LIGHTEST,
    LESS_WAX,
    LOWER_WAX,
    PREMIX,
    WITHOUT_IGNITION,
    Remedy,
    mixing_temperature_c,
    remedies,
    temperatures_of,
)
from workbench.core.design.remedies_scent import heavy_first
from workbench.core.design.remedy import Case
from workbench.core.heat.window import Reckoned
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.wording import Share
from workbench.store.resources import load_catalogue

SHIPPED = load_catalogue()


def base_line(material: str, value: float, measure: Measure = Measure.PARTS) -> BaseLine:
    return BaseLine(material=material, amount=Amount(value=value, measure=measure))


def scent_line(material: str, value: float, note: Note, measure: Measure = Measure.PARTS) -> ScentLine:
    return ScentLine(material=material, amount=Amount(value=value, measure=measure), note=note)


BEESWAX_BASE = (base_line("beeswax", 1), base_line("shea_butter", 1), base_line("jojoba", 2))
CITRUS = (
    scent_line("sweet_orange", 2, Note.TOP),
    scent_line("lavender", 2, Note.MIDDLE),
    scent_line("patchouli", 1, Note.BASE),
)


def recipe(
    base: tuple[BaseLine, ...] = BEESWAX_BASE, scent: tuple[ScentLine, ...] = CITRUS, **fields: object
) -> Recipe:
    return Recipe.model_validate({"name": "Empty window", "base": base, "scent": scent, **fields})


def of(found: tuple[Remedy, ...], kind: str) -> Remedy:
    return next(remedy for remedy in found if remedy.kind == kind)


@pytest.fixture(scope="module")
def found() -> tuple[Remedy, ...]:
    return remedies(recipe(), SHIPPED)


def test_the_window_of_a_citrus_blend_over_beeswax_is_empty() -> None:
    # 43 to 48 °C for citrus oils, 48 to 53 for the setting of 20 % beeswax: expect it often
    assert temperatures_of(recipe(), SHIPPED).open is False


def test_each_remedy_is_what_the_reckoning_says(found: tuple[Remedy, ...]) -> None:
    before = temperatures_of(recipe(), SHIPPED).width_k
    assert before is not None
    for remedy in found:
        assert remedy.recipe.accepted_remedy == remedy.kind
        assert remedy.width_k is not None
        assert remedy.gains_k == pytest.approx(remedy.width_k - before)
        assert remedy.opens == bool(remedy.temperatures.open)
        if remedy.kind not in (HEAVY_FIRST, WITHOUT_IGNITION):
            assert temperatures_of(remedy.recipe, SHIPPED) == remedy.temperatures
        assert remedy.says.endswith(".")
        assert remedy.costs.endswith(".")


def test_ranked_by_effect_with_the_last_way_last(found: tuple[Remedy, ...]) -> None:
    assert found[-1].kind == WITHOUT_IGNITION
    ranked = [(not remedy.opens, -(remedy.width_k or 0.0)) for remedy in found[:-1]]
    assert ranked == sorted(ranked)
    assert {LESS_OF_THE_LIGHTEST, LESS_WAX, PREMIX, HEAVY_FIRST} <= {remedy.kind for remedy in found}


def test_remedies_open_a_useful_window(found: tuple[Remedy, ...]) -> None:
    for remedy in found:
        if remedy.opens and remedy.kind != WITHOUT_IGNITION:
            # a stirred reading must lie 1.5 K under the limit
            assert (remedy.width_k or 0.0) >= 1.5


def test_less_of_the_lightest_leaves_the_others_alone(found: tuple[Remedy, ...]) -> None:
    remedy = of(found, LESS_OF_THE_LIGHTEST)
    before, after = work_out(recipe(), SHIPPED), work_out(remedy.recipe, SHIPPED)
    was, now = before.scent_composition.as_dict(), after.scent_composition.as_dict()
    assert "Sweet orange" in remedy.says
    assert now.get("sweet_orange", 0.0) < was["sweet_orange"]
    # the balm keeps its mass, so everything else grows a little with the base; proportions among them stay
    assert now["lavender"] / now["patchouli"] == pytest.approx(was["lavender"] / was["patchouli"], rel=1e-3)
    assert after.load_percent < before.load_percent


def test_less_wax_says_what_it_does_to_firmness(found: tuple[Remedy, ...]) -> None:
    remedy = of(found, LESS_WAX)
    assert "irmness" in remedy.costs
    before, after = work_out(recipe(), SHIPPED), work_out(remedy.recipe, SHIPPED)
    assert after.base_composition.share("beeswax") < before.base_composition.share("beeswax")
    assert after.base_composition.share("jojoba") > before.base_composition.share("jojoba")
    assert after.load_percent == pytest.approx(before.load_percent)


def test_premix_is_warmed_to_its_own_limit_and_does_not_set_the_pot(found: tuple[Remedy, ...]) -> None:
    remedy = of(found, PREMIX)
    premix = remedy.recipe.premix
    assert premix is not None
    assert premix.carrier == "jojoba"
    assert premix.warmed_to_c is not None
    assert premix.warmed_to_c < (remedy.temperatures.flash_safe.celsius or 0.0)
    mixed = mixing_temperature_c(remedy.recipe, SHIPPED, remedy.temperatures)
    assert mixed is not None
    limit = remedy.temperatures.add_below.celsius
    assert limit is not None
    assert premix.warmed_to_c - 0.1 <= mixed <= limit
    assert "above the pour floor" in remedy.costs
    assert mixing_temperature_c(recipe(), SHIPPED, remedy.temperatures) is None


def test_mixing_temperature_by_hand() -> None:
    # equal heat capacities and equal masses meet in the middle: 50 g of oil at 70 - 1.5 °C and 50 g at 20 °C
    even = recipe(
        base=(base_line("jojoba", 90),),
        scent=(scent_line("lavender", 1, Note.MIDDLE),),
        load_percent=10.0,
        size={"mass_g": 100.0},
        premix={"carrier": "jojoba", "share_of_carrier_percent": 44.4444444},
    )
    after = temperatures_of(recipe(), SHIPPED)
    mixed = mixing_temperature_c(even, SHIPPED, replace(after, add_below=Reckoned(70.0)))
    assert mixed == pytest.approx((68.5 + 20.0) / 2, abs=0.6)


def test_heavy_first_is_honest(found: tuple[Remedy, ...]) -> None:
    remedy = of(found, HEAVY_FIRST)
    assert not remedy.opens, "sweet orange alone flashes lower than the whole blend"
    assert remedy.gains_k < 0
    assert "top notes alone still need" in remedy.costs
    assert [line.material for line in remedy.recipe.scent] == [line.material for line in recipe().scent]


def test_heavy_first_opens_nothing_under_a_low_scented_ceiling() -> None:
    """Top notes that may go in above the pour floor are of no use where the whole jug may not be so hot."""
    heavy = recipe(scent=(scent_line("patchouli", 2, Note.TOP), scent_line("vetiver", 1, Note.BASE)))
    weighed = work_out(heavy, SHIPPED)
    before = temperatures_of(heavy, SHIPPED, weighed)
    floor_c = before.pour_floor.celsius
    assert floor_c is not None
    low = Reckoned(floor_c - 2.0, how="made up for this check")
    remedy = heavy_first(Case(heavy, SHIPPED, weighed, replace(before, scented_ceiling=low, add_below=low)))
    assert remedy is not None
    assert (remedy.width_k or 0.0) < 0
    assert not remedy.opens


def test_the_last_way_names_its_conditions(found: tuple[Remedy, ...]) -> None:
    last = found[-1]
    assert last.recipe.add_above_flash_safe
    assert last.temperatures.add_below.celsius == last.temperatures.scented_ceiling.celsius
    for word in ("flame out", "hotplate off", "no spark"):
        assert word in last.costs
    assert "of the top note is gone after 3 min" in last.costs


def test_a_wider_jug_loses_more_of_the_top_note() -> None:
    shelf = SHIPPED.shelf.model_copy(
        update={
            "vessels": (
                Vessel(
                    key="wide",
                    name="Wide",
                    material=VesselMaterial.GLASS,
                    holds_ml=500,
                    inner_diameter_mm=160,
                ),
                Vessel(key="plain", name="Plain", material=VesselMaterial.GLASS, holds_ml=500),
            )
        }
    )
    known = SHIPPED.over(shelf)
    lost = {}
    for vessel in ("wide", "plain"):
        last = remedies(recipe(vessel=vessel), known)[-1]
        share = last.costs.values["lost"]
        assert isinstance(share, Share)
        lost[vessel] = share.amount
    assert lost["wide"] == pytest.approx(4 * lost["plain"], rel=0.1)


def test_open_unscented_or_unknown_windows_need_nothing() -> None:
    calm = (scent_line("patchouli", 1, Note.BASE), scent_line("lavender", 2, Note.MIDDLE))
    assert remedies(recipe(scent=calm), SHIPPED) == ()
    assert remedies(recipe(scent=()), SHIPPED) == ()
    unknown = (scent_line("sweet_orange", 1, Note.TOP),)
    assert remedies(recipe(base=(base_line("jojoba", 1),), scent=unknown), SHIPPED) == (), (
        "it does not set at all"
    )


def test_a_high_wax_can_be_replaced() -> None:
    base = (base_line("carnauba", 1), base_line("jojoba", 4))
    remedy = of(remedies(recipe(base=base), SHIPPED), LOWER_WAX)
    assert "instead of Carnauba wax" in remedy.says
    waxes = waxes_of(remedy.recipe, SHIPPED)
    assert "carnauba" not in waxes
    assert len(waxes) == 1
    assert remedy.gains_k > 5


def test_a_single_oil_and_an_unbroken_paper_cannot_be_lightened() -> None:
    single = remedies(recipe(scent=(scent_line("sweet_orange", 1, Note.TOP),)), SHIPPED)
    assert LESS_OF_THE_LIGHTEST not in {remedy.kind for remedy in single}
    assert HEAVY_FIRST not in {remedy.kind for remedy in single}
    paper = remedies(recipe(blend_flash_on_paper_c=45.0), SHIPPED)
    assert LESS_OF_THE_LIGHTEST not in {remedy.kind for remedy in paper}


@pytest.mark.parametrize("from_scent", [False, True])
def test_less_fragrance_makes_a_premix_thinner(from_scent: bool) -> None:
    thick = recipe(
        scent=(scent_line("sweet_orange", 8, Note.TOP, Measure.GRAMS),),
        load_from_scent=from_scent,
        load_percent=14.0,
        premix={"carrier": "jojoba", "share_of_carrier_percent": 10.0},
    )
    assert temperatures_of(thick, SHIPPED).open is False
    remedy = of(remedies(thick, SHIPPED), LESS_FRAGRANCE)
    assert remedy.opens
    assert work_out(remedy.recipe, SHIPPED).load_percent < work_out(thick, SHIPPED).load_percent
    assert LESS_FRAGRANCE not in {found.kind for found in remedies(recipe(), SHIPPED)}, (
        "a neat blend stays as it is"
    )


def test_a_premix_too_thin_to_save() -> None:
    hard = recipe(
        base=(base_line("carnauba", 3), base_line("jojoba", 1)),
        scent=(scent_line("sweet_orange", 1, Note.TOP),),
        load_percent=38.0,
        premix={"carrier": "jojoba", "share_of_carrier_percent": 10.0},
    )
    assert LESS_FRAGRANCE not in {found.kind for found in remedies(hard, SHIPPED)}


def test_an_observed_set_point_is_dropped_when_the_wax_changes() -> None:
    seen = recipe(observed_set_point_c=52.0)
    remedy = of(remedies(seen, SHIPPED), LESS_WAX)
    assert remedy.recipe.observed_set_point_c is None
    kept = of(remedies(seen, SHIPPED), PREMIX)
    assert kept.recipe.observed_set_point_c == 52.0


def test_base_without_carrier_or_wax() -> None:
    butter = (base_line("cocoa_butter", 3), base_line("shea_butter", 1))
    found = {remedy.kind for remedy in remedies(recipe(base=butter), SHIPPED)}
    assert not found & {LESS_WAX, LOWER_WAX, PREMIX}
    assert largest_carrier(recipe(base=butter), SHIPPED) is None


@pytest.mark.parametrize("measure", [Measure.PERCENT, Measure.GRAMS, Measure.DROPS])
def test_every_measure_can_be_cut_down(measure: Measure) -> None:
    total = 100 if measure is Measure.PERCENT else 3
    scent = (
        scent_line("sweet_orange", total * 0.5, Note.TOP, measure),
        scent_line("lavender", total * 0.3, Note.MIDDLE, measure),
        scent_line("patchouli", total * 0.2, Note.BASE, measure),
    )
    start = recipe(scent=scent, load_from_scent=measure is not Measure.PERCENT)
    weighed = work_out(start, SHIPPED)
    half = with_less_of(start, weighed, {"sweet_orange"}, 0.5)
    gone = with_less_of(start, weighed, {"sweet_orange"}, 0.01)
    for changed in (half, gone):
        after = work_out(changed, SHIPPED)
        was, now = weighed.scent_composition, after.scent_composition
        assert now.as_dict()["lavender"] / now.as_dict()["patchouli"] == pytest.approx(
            was.as_dict()["lavender"] / was.as_dict()["patchouli"], rel=1e-3
        )
    assert [line.material for line in gone.scent] == ["lavender", "patchouli"]
    assert work_out(half, SHIPPED).scent_composition.as_dict()["sweet_orange"] == pytest.approx(
        weighed.scent_composition.as_dict()["sweet_orange"] / 2, rel=0.05
    )
    nothing = with_less_of(start, weighed, {"sweet_orange", "lavender", "patchouli"}, 0.0)
    assert nothing.scent == ()


def test_kinds_are_told_apart() -> None:
    kinds = {value for name, value in vars(module).items() if name.isupper() and isinstance(value, str)}
    assert len(kinds) == 7
    assert SHIPPED.material("beeswax").kind is MaterialKind.WAX
