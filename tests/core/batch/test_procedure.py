"""A plan: every step in words, by either way of heating, with the cautions of the kitchen at hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from workbench.core.batch.in_jug import thermometer_of
from workbench.core.batch.plan import Plan
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.step_making import LONGEST_BENCH, short_enough
from workbench.core.batch.step_words import parse_steps
from workbench.core.batch.steps import Guard, NeedKind, Step, StepKind
from workbench.core.batch.words import said_again, saved, sentence_of
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, MaterialKind, PartOf
from workbench.core.catalogue.shelf import StoveKind
from workbench.core.recipe.model import (
    Amount,
    BaseLine,
    BatchSize,
    Brief,
    Heat,
    Measure,
    Premix,
    Recipe,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, Duration, Grams, say, say_again
from workbench.store.resources import resource_bytes
from workbench.testing import BEGIN, sample_catalogue, sample_plan, sample_recipe, sample_steps

K = StepKind


def plan_of(recipe: Recipe, catalogue: Catalogue | None = None, today: date | None = None) -> Plan:
    return make_plan(recipe, 3, catalogue or sample_catalogue(), sample_steps(), today=today)


def the(plan: Plan, step_id: str) -> Step:
    return next(step for step in plan.steps if step.id == step_id)


def with_shelf(**changes: object) -> Catalogue:
    catalogue = sample_catalogue()
    return catalogue.over(catalogue.shelf.model_copy(update=changes))


@pytest.mark.parametrize("heat", list(Heat))
@pytest.mark.parametrize("scented", [True, False])
def test_every_step_is_fully_worded(heat: Heat, scented: bool) -> None:
    plan = sample_plan(heat=heat, scented=scented)
    assert len({step.id for step in plan.steps}) == len(plan.steps)
    for step in (*plan.steps, *plan.rewarm_steps):
        assert len(step.bench) <= 60
        for text in (step.title, step.instruction, step.reason, step.bench, step.done_when, step.safe_action):
            assert text
            assert "{" not in text
        assert (step.timer_s is None) == (step.timer_says == "")
        assert len({need.key for need in step.needs}) == len(step.needs)
        for key in step.cautions:
            assert key in sample_catalogue().cautions


def test_steps_come_in_the_order_of_the_procedure() -> None:
    kinds = [step.kind for step in sample_plan().steps]
    assert kinds[0] is K.PREPARE
    assert kinds.index(K.MIX_SCENT) < kinds.index(K.MELT_BATH) < kinds.index(K.COLD_SPOON)
    assert kinds.index(K.COLD_SPOON) < kinds.index(K.COOL) < kinds.index(K.FLAME_OUT)
    assert kinds.index(K.FLAME_OUT) < kinds.index(K.ADD_FRAGRANCE) < kinds.index(K.STIR) < kinds.index(K.POUR)
    assert kinds[-1] is K.FINISH


def test_without_fragrance_the_steps_about_it_are_left_away() -> None:
    kinds = {step.kind for step in sample_plan(scented=False).steps}
    assert not kinds & {K.MIX_SCENT, K.FLAME_OUT, K.ADD_FRAGRANCE, K.STIR}
    assert {K.COOL, K.POUR} <= kinds
    assert not any(step.scented for step in sample_plan(scented=False).steps)


def test_the_highest_melting_goes_in_first_and_butters_last() -> None:
    """Common practice, no source: waxes first, butters last and briefly."""
    base = [
        BaseLine(material=key, amount=Amount(value=parts, measure=Measure.PARTS))
        for key, parts in (
            ("shea_butter", 20),
            ("jojoba", 40),
            ("beeswax", 20),
            ("carnauba", 5),
            ("cocoa_butter", 15),
        )
    ]
    plan = plan_of(sample_recipe().model_copy(update={"base": tuple(base)}))
    words = the(plan, "melt:bath").instruction
    places = [words.index(name) for name in ("Carnauba", "Beeswax", "Jojoba")]
    assert places == sorted(places)
    assert min(words.index("Cocoa butter"), words.index("Shea butter")) > places[-1]
    assert "butters" in [need.key for need in the(plan, "melt:bath").needs]


def test_the_ceiling_is_never_rounded_up() -> None:
    plan = sample_plan()
    assert plan.temperatures.melt_ceiling_c == 73.8
    assert "Never over 73" in the(plan, "melt:bath").bench


def test_steps_carry_the_temperatures_of_the_recipe() -> None:
    plan = sample_plan()
    t = plan.temperatures
    assert the(plan, "melt:bath").aim_c == t.melt_out_c
    assert the(plan, "melt:bath").high_c == t.melt_ceiling_c
    assert the(plan, "cool").low_c == t.pour_floor_c
    assert the(plan, "add").high_c == pytest.approx((t.add_below_c or 0.0) - 1.5)
    assert the(plan, "pour:1").low_c == t.pour_floor_c


def test_every_line_is_weighed_and_every_tin_poured() -> None:
    plan = sample_plan()
    weighed = {need.material: need for step in plan.steps if step.kind is K.WEIGH for need in step.needs}
    assert set(weighed) == {line.material for line in plan.lines}
    for line in plan.lines:
        need = weighed[line.material]
        assert need.target == pytest.approx(line.weigh_g)
        assert need.low is not None
        assert need.high is not None
        assert need.low < line.weigh_g < need.high
    pour = the(plan, "pour:1")
    tins = [need for need in pour.needs if need.key.startswith("tin:")]
    assert [need.key for need in tins] == ["tin:1", "tin:2", "tin:3"]
    kept = sum(tin.keep_back_g for tin in plan.tins)
    # 5 to 8 % are kept back for topping up: common practice, no source
    assert 0.05 <= kept / sum(tin.fill_g for tin in plan.tins) <= 0.08
    for tin, need in zip(plan.tins, tins, strict=True):
        assert need.target == pytest.approx(tin.fill_g - tin.keep_back_g)


def test_a_plain_mass_is_poured_as_one() -> None:
    plan = plan_of(sample_recipe().model_copy(update={"size": BatchSize(mass_g=60.0)}))
    assert len(plan.tins) == 1
    assert "one tin" in the(plan, "pour:1").bench


def test_an_oil_no_scale_can_weigh_is_counted_in_drops() -> None:
    kitchen = [scale for scale in sample_catalogue().shelf.scales if scale.readability_g >= 1]
    plan = plan_of(sample_recipe(), with_shelf(scales=tuple(kitchen)))
    need = the(plan, "weigh:lavender").needs[0]
    assert need.kind is NeedKind.DROPS
    assert need.target is not None
    # 0.85 g of an oil of 0.88 g/mL at 20 to 40 drops per mL: 19 to 39 drops
    assert 19 <= need.target <= 39
    assert "drops" in the(plan, "weigh:lavender").bench


# --- ways of heating ---


def test_each_way_of_heating_has_its_own_steps_guards_and_cautions() -> None:
    plan = sample_plan()
    bath = plan.steps_by_heat["water-bath"][0]
    bursts = plan.steps_by_heat["microwave"][0]
    assert bath.kind is K.MELT_BATH
    assert bursts.kind is K.MELT_BURSTS
    assert Guard.BOIL_DRY in bath.guards
    assert Guard.BOIL_DRY not in bursts.guards
    assert {"bath_boils_dry", "water_drops"} <= set(bath.cautions)
    assert {"microwave_fire", "superheating", "metal_in_microwave"} <= set(bursts.cautions)
    assert not {"bath_boils_dry", "water_drops"} & set(bursts.cautions)
    assert plan.steps[-len(plan.steps_by_heat["water-bath"]) :] == plan.steps_by_heat["water-bath"]


def test_a_steel_jug_refuses_the_microwave() -> None:
    steel = sample_recipe().model_copy(update={"vessel": "steel_jug_400"})
    plan = plan_of(steel)
    assert plan.blockers == ()
    assert "metal" in plan.heat_refused["microwave"]
    assert "microwave" not in plan.steps_by_heat
    blocked = plan_of(steel.model_copy(update={"heat": Heat.MICROWAVE}))
    assert blocked.blockers


@pytest.mark.parametrize(
    ("stove", "caution"),
    [
        (StoveKind.GAS, "gas_flame"),
        (StoveKind.ELECTRIC, "hotplate_near_fragrance"),
        (StoveKind.INDUCTION, "induction_near_fragrance"),
    ],
)
def test_the_stove_decides_which_caution_stands_before_the_fragrance(stove: StoveKind, caution: str) -> None:
    plan = plan_of(sample_recipe(), with_shelf(stove=stove))
    others = {"gas_flame", "hotplate_near_fragrance", "induction_near_fragrance"} - {caution}
    flame = the(plan, "flame")
    assert flame.cautions[0] == caution
    assert not others & set(flame.cautions)
    assert not flame.flame_allowed
    assert ("away" in [need.key for need in flame.needs]) == (stove is not StoveKind.GAS)


def test_an_infrared_thermometer_is_said_to_see_only_the_skin() -> None:
    shelf = sample_catalogue().shelf
    infrared = next(each for each in shelf.thermometers if each.kind.value == "infrared")
    plan = plan_of(sample_recipe().model_copy(update={"thermometer": infrared.key}))
    for step in plan.steps:
        assert ("infrared_sees_the_skin" in step.cautions) == (step.hot and step.kind is not K.FLAME_OUT)


def test_the_brief_brings_cautions_at_the_start() -> None:
    brief = Brief(pregnant=True, pets=True, asthma=True)
    plan = plan_of(sample_recipe().model_copy(update={"brief": brief}))
    assert {"pregnancy", "pets_and_oils", "asthma"} <= set(plan.steps[0].cautions)
    assert "pregnancy" not in the(plan, "melt:bath").cautions


def test_a_probe_that_was_dropped_or_long_unchecked_is_checked_first() -> None:
    shelf = sample_catalogue().shelf
    probe = next(each for each in shelf.thermometers if each.kind.value == "probe")
    recipe = sample_recipe().model_copy(update={"thermometer": probe.key})
    today = BEGIN.date()

    def asks(**changes: object) -> bool:
        thermometers = (probe.model_copy(update=changes),)
        plan = plan_of(recipe, with_shelf(thermometers=thermometers), today)
        return "probe" in [need.key for need in plan.steps[0].needs]

    assert not asks(checked=today - timedelta(days=100), dropped_since=False)
    assert asks(checked=today - timedelta(days=100), dropped_since=True)
    assert asks(checked=today - timedelta(days=200), dropped_since=False)
    assert asks(checked=None, dropped_since=False)


def test_the_only_thermometer_counts_where_none_is_named_and_the_plan_says_so() -> None:
    """Its check corrects the readings and its cautions hold; of several, none is taken by guess."""
    probe, infrared = sample_catalogue().shelf.thermometers
    off = probe.model_copy(update={"offset_k": -1.5, "slope": 1.01})
    nobodys = sample_recipe().model_copy(update={"thermometer": None})
    only = with_shelf(thermometers=(off,))
    plan = plan_of(nobodys, only)
    assert (plan.thermometer, plan.probe_offset_k, plan.probe_slope) == (probe.name, -1.5, 1.01)
    assert thermometer_of(plan, only.shelf) == off
    seen = plan_of(nobodys, with_shelf(thermometers=(infrared,)))
    assert any("infrared_sees_the_skin" in step.cautions for step in seen.steps)
    several = plan_of(nobodys, with_shelf(thermometers=(off, infrared)))
    assert (several.thermometer, several.probe_offset_k, several.probe_slope) == ("", 0.0, 1.0)
    # what a plan was made with is what corrects its readings, whatever is thrown away since
    assert thermometer_of(several, only.shelf) is None
    gone = sample_recipe().model_copy(update={"thermometer": "lost"})
    with pytest.raises(Trouble, match="lost"):
        plan_of(gone, only)


# --- premix and leftovers ---


def test_a_premix_holds_carrier_back() -> None:
    premix = Premix(carrier="jojoba", share_of_carrier_percent=20)
    plan = plan_of(sample_recipe().model_copy(update={"premix": premix}))
    whole = next(line for line in plan.lines if line.material == "jojoba")
    assert whole.held_back_g == pytest.approx(0.2 * whole.weigh_g, abs=0.02)
    weighed = the(plan, "weigh:jojoba").needs[0].target or 0.0
    held = the(plan, "mix").needs[0]
    assert held.kind is NeedKind.MASS
    assert weighed + (held.target or 0.0) == pytest.approx(whole.weigh_g)
    scent_g = sum(line.weigh_g for line in plan.lines if line.where == "scent")
    assert f"{scent_g + whole.held_back_g:.1f} g" in the(plan, "add").instruction


def leftover_catalogue() -> Catalogue:
    leftover = Material(
        key="leftover_of_march",
        name="Left over from March",
        kind=MaterialKind.LEFTOVER,
        made_of=(PartOf(material="beeswax", share_percent=95), PartOf(material="lavender", share_percent=5)),
    )
    shelf = sample_catalogue().shelf
    return sample_catalogue().over(shelf.model_copy(update={"materials": (leftover,)}))


def test_a_leftover_makes_the_pot_scented_from_the_start() -> None:
    """Water bath only, scented ceiling from the first second."""
    recipe = sample_recipe()
    line = BaseLine(material="leftover_of_march", amount=Amount(value=10, measure=Measure.PARTS))
    recipe = recipe.model_copy(update={"base": (*recipe.base, line)})
    plan = plan_of(recipe, leftover_catalogue())
    melt = the(plan, "melt:bath")
    assert melt.scented
    assert Guard.SCENTED_CEILING in melt.guards
    assert Guard.MELT_CEILING not in melt.guards
    assert "scented_heat" in melt.cautions
    assert not melt.flame_allowed
    assert melt.needs[0].key == "flame"
    assert "microwave" in plan.heat_refused["microwave"]
    assert plan_of(recipe.model_copy(update={"heat": Heat.MICROWAVE}), leftover_catalogue()).blockers
    assert {"leftover_of_march", "lavender", "beeswax"} <= set(plan.materials)


# --- as data ---


def test_a_plan_survives_as_json() -> None:
    plan = sample_plan()
    assert Plan.model_validate_json(plan.model_dump_json()) == plan


def test_a_stored_sentence_can_be_said_in_other_units() -> None:
    plan = Plan.model_validate_json(sample_plan().model_dump_json())
    said = sentence_of(the(plan, "weigh:beeswax"), "instruction")

    def write(value: object) -> str:
        if isinstance(value, Grams):
            return f"{value.amount / 28.349523125:.3f} oz"  # the international avoirdupois ounce, exact by definition
        if isinstance(value, Degrees):
            return f"{value.amount * 9 / 5 + 32:.0f} °F"
        return str(value)

    assert "0.285 oz of Beeswax" in say_again(said, lambda text: text, write)
    melt = sentence_of(the(plan, "melt:bath"), "bench")
    assert "°F" in say_again(melt, lambda text: text, write)
    assert sentence_of(the(plan, "clean"), "title") == "Clean up"
    # a sentence inside a sentence is translated too
    pour = sentence_of(the(plan, "pour:1"), "instruction")
    assert "3 Dosen" in say_again(pour, lambda text: text.replace("{count} tins", "{count} Dosen"), write)
    assert saved(say("Stir for {time}.", time=Duration(90))).values["time"].kind == "Duration"
    assert said_again(saved(say("Stir for {time}.", time=Duration(90)))) == "Stir for 1 min 30 s."


def test_a_long_name_is_cut_on_the_bench_only() -> None:
    name = "Sweet almond oil, refined, from the shop round the corner"
    said = short_enough("Weigh {mass} of {name}.", {"mass": Grams(12.34, 2), "name": name})
    assert len(said) <= LONGEST_BENCH
    assert said.endswith("….")
    assert "12.34 g" in said


# --- the table of words ---


def test_a_spoilt_table_says_everything_that_is_wrong() -> None:
    good = resource_bytes("steps.toml").decode()
    spoilt = good.replace('key = "stir"', 'key = "stirr"').replace('wiped = "', 'whiped = "')
    with pytest.raises(Trouble) as raised:
        parse_steps("steps.toml", spoilt.encode())
    places = {fault.place for fault in raised.value.faults}
    assert places == {"steps.toml, stir", "steps.toml, stirr", "steps.toml, needs, wiped"}
    with pytest.raises(Trouble, match="not readable"):
        parse_steps("steps.toml", b"\xff")
    with pytest.raises(Trouble) as raised:
        parse_steps("steps.toml", b'[[step]]\nkey = "x"\n[needs]\n')
    assert len(raised.value.faults) >= 6
