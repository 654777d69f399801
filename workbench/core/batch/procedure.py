"""From a recipe to a plan: grams, limits, temperatures, and every step of the batch in words."""

from __future__ import annotations

from datetime import date

from workbench.core.batch.kitchen import Kitchen
from workbench.core.batch.plan import (
    Plan,
    PlannedLine,
    PlannedSkin,
    PlannedTemperatures,
    PlannedTin,
)
from workbench.core.batch.procedure_steps import ProcedureSteps
from workbench.core.batch.step_making import StepMaker
from workbench.core.batch.step_words import StepTable
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material
from workbench.core.design.evaluation import temperatures_of
from workbench.core.heat.window import Temperatures
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Heat, Recipe
from workbench.core.recipe.refusals import refusals
from workbench.core.recipe.weighed import Line, Weighed, Where
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import SkinVerdict
from workbench.core.wording import Share, say

KEEP_BACK = 0.06  # 5 to 8 % of a tin for topping up its dip (common practice, no source)
PLAIN_TIN = "plain"


def make_plan(
    recipe: Recipe,
    revision: int,
    catalogue: Catalogue,
    table: StepTable,
    *,
    weighed: Weighed | None = None,
    temperatures: Temperatures | None = None,
    skin: SkinVerdict | None = None,
    today: date | None = None,
) -> Plan:
    """Plan one batch of one recipe revision.

    What was worked out already (`design.evaluation.evaluate`) may be passed
    in.  `today` decides whether the thermometer is due for a check.  A recipe
    that is over a limit or has no window is planned all the same; what may
    not be started says so in `blockers`, and the guards of the start see to
    the rest.  Raises `Trouble` for a recipe that cannot be worked out.
    """
    weighed = weighed or work_out(recipe, catalogue)
    temperatures = temperatures or temperatures_of(recipe, catalogue, weighed)
    skin = skin or assess(weighed.composition, catalogue, recipe.uses, recipe.place)
    planned = planned_temperatures(temperatures)
    kitchen = Kitchen.of(recipe, catalogue, weighed, today)
    lines = tuple(_line(each, recipe, catalogue) for each in weighed.lines)
    tins = _tins(weighed)
    maker = StepMaker(table, tuple(catalogue.cautions.values()), planned)
    rows = {each.key: each for each in _rows(weighed, catalogue)}
    steps = ProcedureSteps(maker, kitchen, planned, recipe, weighed, lines, tins, rows)
    refused = _heat_refused(recipe, catalogue, kitchen)
    return Plan(
        recipe=recipe,
        revision=revision,
        heat=recipe.heat,
        stove=catalogue.shelf.stove,
        vessel="" if kitchen.vessel is None else kitchen.vessel.name,
        vessel_material="" if kitchen.vessel is None else kitchen.vessel.material.value,
        thermometer="" if kitchen.thermometer is None else kitchen.thermometer.name,
        thermometer_kind="" if kitchen.thermometer is None else kitchen.thermometer.kind.value,
        probe_offset_k=0.0 if kitchen.thermometer is None else kitchen.thermometer.offset_k,
        probe_slope=1.0 if kitchen.thermometer is None else kitchen.thermometer.slope,
        batch_g=weighed.batch_g,
        lines=lines,
        tins=tins,
        temperatures=planned,
        skin=planned_skin(skin),
        steps=(*steps.cold(), *steps.from_melt(recipe.heat)),
        steps_by_heat={heat.value: steps.from_melt(heat) for heat in Heat if heat.value not in refused},
        heat_refused=refused,
        rewarm_steps=steps.rewarm(),
        blockers=_blockers(recipe, catalogue, kitchen, planned),
        expected_yield_g=sum(tin.fill_g for tin in tins),
        materials=rows,
        edition=catalogue.edition,
    )


def planned_temperatures(temperatures: Temperatures) -> PlannedTemperatures:
    """The temperatures as plain data, rounded to 0.1 °C, each with how it came about or why it is unknown."""
    found = {
        "set_point_c": temperatures.set_point,
        "pour_floor_c": temperatures.pour_floor,
        "melt_out_c": temperatures.melt_out,
        "melt_ceiling_c": temperatures.melt_ceiling,
        "neat_flash_c": temperatures.neat_flash,
        "blend_flash_c": temperatures.blend_flash,
        "flash_safe_c": temperatures.flash_safe,
        "scented_ceiling_c": temperatures.scented_ceiling,
        "add_below_c": temperatures.add_below,
    }
    return PlannedTemperatures(
        **{name: each.or_none() for name, each in found.items()},
        set_point_sd_k=temperatures.set_point.sd_k or 4.0,
        window_open=temperatures.open,
        why={name: each.why for name, each in found.items() if each.celsius is None and each.why},
        how={name: each.how for name, each in found.items() if each.how},
    )


def planned_skin(verdict: SkinVerdict) -> PlannedSkin:
    """The skin verdict as sentences."""
    return PlannedSkin(
        verdict=verdict.verdict.value,
        over=tuple(
            say(
                "{name} is at {share} and may be at most {limit}.",
                name=use.name,
                share=Share(use.concentration_percent or 0.0, 3),
                limit=Share(use.limit_percent or 0.0, 3),
            )
            for use in verdict.over
        ),
        unknown=tuple(each.why for each in verdict.unknown),
    )


def _line(line: Line, recipe: Recipe, catalogue: Catalogue) -> PlannedLine:
    note, lot = "", recipe.base[line.index].lot if line.where is Where.BASE else None
    if line.where is Where.SCENT:
        note, lot = recipe.scent[line.index].note.value, recipe.scent[line.index].lot
    return PlannedLine(
        where=line.where.value,
        material=line.material,
        name=line.name,
        exact_g=line.exact_g,
        weigh_g=line.weigh_g,
        share_percent=line.share_percent,
        scale="" if line.scale is None else catalogue.scale(line.scale).name,
        readability_g=line.readability_g,
        lot=lot,
        held_back_g=line.held_back_g,
        note=note,
    )


def _tins(weighed: Weighed) -> tuple[PlannedTin, ...]:
    """Every tin by number; a batch that is a plain mass counts as one tin."""
    if not weighed.tins:
        fill_g = max(weighed.batch_g - weighed.jug_allowance_g, 0.0)
        return (PlannedTin(number=1, tin=PLAIN_TIN, name=say("all of it"), **_filled(fill_g)),)
    each = [fill for fill in weighed.tins for _ in range(fill.count)]
    return tuple(
        PlannedTin(number=number, tin=fill.tin, name=fill.name, **_filled(fill.fill_g))
        for number, fill in enumerate(each, start=1)
    )


def _filled(fill_g: float) -> dict[str, float]:
    return {"fill_g": round(fill_g, 2), "keep_back_g": round(KEEP_BACK * fill_g, 2)}


def _rows(weighed: Weighed, catalogue: Catalogue) -> list[Material]:
    """The rows of all materials, those inside leftovers and premixes too."""
    found: list[Material] = []
    waiting = [line.material for line in weighed.lines]
    while waiting:
        material = catalogue.material(waiting.pop())
        if material not in found:
            found.append(material)
            waiting += [part.material for part in material.made_of]
    return found


def _heat_refused(recipe: Recipe, catalogue: Catalogue, kitchen: Kitchen) -> dict[str, str]:
    """Ways of heating that this batch may not take, each with its reason."""
    always = set(refusals(recipe.model_copy(update={"heat": Heat.WATER_BATH}), catalogue))
    by_microwave = refusals(recipe.model_copy(update={"heat": Heat.MICROWAVE}), catalogue)
    against = [each for each in by_microwave if each not in always]
    if kitchen.leftover:
        against.append(
            say("The leftover in it holds fragrance: scented balm is never warmed in the microwave.")
        )
    return {Heat.MICROWAVE.value: against[0]} if against else {}


def _blockers(
    recipe: Recipe, catalogue: Catalogue, kitchen: Kitchen, temperatures: PlannedTemperatures
) -> tuple[str, ...]:
    """Why the batch may not be started as it stands."""
    found = [str(each) for each in refusals(recipe, catalogue)]
    refused = _heat_refused(recipe, catalogue, kitchen).get(recipe.heat.value)
    if refused is not None and refused not in found:
        found.append(str(refused))
    if kitchen.leftover and temperatures.melt_ceiling_c is None:
        found.append(
            say(
                "How hot the leftover in it may get is not known. Leave it out, or enter the flash points of its oils."
            )
        )
    return tuple(found)
