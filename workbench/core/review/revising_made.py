"""Proposals from the scales: the composition as made, firmness, and a batch size that covers real losses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil
from statistics import median
from typing import TypeVar

from workbench.core.batch.record import yields
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.design.edits import largest_carrier, with_less_wax
from workbench.core.recipe import change
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.recipe.weighed import Line, Where
from workbench.core.review.faults import FaultKind
from workbench.core.review.revising import Change, Ground
from workbench.core.scent.notes import note_of
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Grams, Said, Share, say

AS_MADE = "as made"
FIRMER, SOFTER = "firmer", "softer"
ALLOWANCE = "allowance"
MORE_WAX, LESS_WAX = 1.2, 0.8  # a fifth: one thumb-step (common practice, no source)
LEAST_ALLOWANCE_PERCENT = 1.0  # a smaller difference is not worth a revision
LAST_BATCHES = 8
_Line = TypeVar("_Line", BaseLine, ScentLine)


# --- the composition as made ---


def as_made(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """Write down what really went in, where the scales could tell it from the plan."""
    if not ground.made_g:
        return (), (say("Nothing was weighed, so the recipe stays as it was planned."),)
    differing = _differing(ground)
    if not differing:
        return (), (say("It was made as planned, by what the scales can show."),)
    missing = [line.name for line in ground.weighed.lines if line.material not in ground.made_g]
    if missing:
        return (), (
            say(
                "These were never weighed, so what was made is no recipe: {names}.",
                names=", ".join(missing),
            ),
        )
    name, made, planned = differing[0]
    return (
        Change(
            AS_MADE,
            say("Write the amounts down as they were made."),
            say(
                "It was made otherwise than planned, most of all {name}: {made} where {planned} was planned.",
                name=name,
                made=Share(made, 2),
                planned=Share(planned, 2),
            ),
            lambda recipe, catalogue: written(recipe, ground.made_g, catalogue),
        ),
    ), ()


def _differing(ground: Ground) -> list[tuple[str, float, float]]:
    """Name, share made and share planned (%) of what differs measurably, most first."""
    whole_g = sum(ground.made_g.values())
    planned = {line.material: line for line in ground.weighed.lines}
    found = []
    for key in dict.fromkeys((*planned, *ground.made_g)):
        line = planned.get(key)
        share = 0.0 if line is None else line.share_percent
        made = 100.0 * ground.made_g.get(key, 0.0) / whole_g
        digit_g = 0.01 if line is None or line.readability_g is None else line.readability_g
        if abs(made - share) > 100.0 * digit_g / whole_g:
            found.append((ground.catalogue.material(key).name, made, share))
    return sorted(found, key=lambda each: -abs(each[1] - each[2]))


def written(recipe: Recipe, made_g: Mapping[str, float], catalogue: Catalogue) -> Recipe:
    """The recipe whose shares are those that were made, in the measures it is written in."""
    weighed = work_out(recipe, catalogue)
    by_place = {(line.where, line.index): line for line in weighed.lines}
    scale = weighed.batch_g / sum(made_g.values())  # grams of this recipe for a gram that was made
    base = _group(recipe.base, by_place, Where.BASE, made_g, scale)
    scent = _group(recipe.scent, by_place, Where.SCENT, made_g, scale)
    known = {line.material for line in recipe.base} | {line.material for line in recipe.scent}
    for key in made_g:
        if key in known:
            continue
        material = catalogue.material(key)
        if material.kind.is_scent:
            amount = _alike(recipe.scent, by_place, Where.SCENT, made_g[key] * scale)
            scent.append(ScentLine(material=key, amount=amount, note=_note(key, catalogue)))
        else:
            amount = _alike(recipe.base, by_place, Where.BASE, made_g[key] * scale)
            base.append(BaseLine(material=key, amount=amount))
    scent_g = sum(made_g.get(line.material, 0.0) for line in scent)
    update: dict[str, object] = {"base": tuple(_whole(base)), "scent": tuple(_whole(scent))}
    if not recipe.load_from_scent:
        update["load_percent"] = round(100.0 * scent_g / sum(made_g.values()), 3)
    return change.change(recipe, **update)


def _group(
    lines: Sequence[_Line],
    by_place: Mapping[tuple[Where, int], Line],
    where: Where,
    made_g: Mapping[str, float],
    scale: float,
) -> list[_Line]:
    """Each amount in proportion to what was made of it; lines of which nothing went in are left out."""
    found: list[_Line] = []
    planned_group_g = sum(by_place[where, index].exact_g for index, _ in enumerate(lines))
    wanted_group_g = sum(made_g.get(line.material, 0.0) for line in lines) * scale
    for index, line in enumerate(lines):
        planned_g, wanted_g = by_place[where, index].exact_g, made_g.get(line.material, 0.0) * scale
        if wanted_g <= 0:
            continue
        if planned_g <= 0:
            raise Trouble(say("“{name}” had no amount in the recipe. Give it one first.", name=line.material))
        factor = wanted_g / planned_g
        if line.amount.measure is Measure.PERCENT:  # of its group, which may have grown or shrunk
            factor *= planned_group_g / wanted_group_g
        found.append(line.model_copy(update={"amount": _times(line.amount, factor)}))
    return found


def _times(amount: Amount, factor: float) -> Amount:
    value = amount.value * factor
    if amount.measure is Measure.DROPS:
        return Amount(value=max(1.0, float(round(value))), measure=amount.measure)
    return _written(value, amount.measure)


def _written(value: float, measure: Measure) -> Amount:
    """With as many figures as a kitchen can weigh, so that the recipe stays one that can be read."""
    if measure is Measure.PERCENT:
        return Amount(value=max(0.01, round(value, 2)), measure=measure)
    return Amount(value=float(f"{value:.4g}"), measure=measure)


def _whole(lines: list[_Line]) -> list[_Line]:
    """Lines in per cent add up to 100 again where nothing else shares the group."""
    percent = [line.amount.value for line in lines if line.amount.measure is Measure.PERCENT]
    if not percent or len(percent) < len(lines):
        return lines
    factor = 100.0 / sum(percent)
    whole = [line.model_copy(update={"amount": _times(line.amount, factor)}) for line in lines]
    most = max(range(len(whole)), key=lambda at: whole[at].amount.value)
    rest = sum(line.amount.value for at, line in enumerate(whole) if at != most)
    whole[most] = whole[most].model_copy(update={"amount": _written(100.0 - rest, Measure.PERCENT)})
    return whole


def _alike(
    lines: Sequence[BaseLine | ScentLine],
    by_place: Mapping[tuple[Where, int], Line],
    where: Where,
    mass_g: float,
) -> Amount:
    """An amount for a new line in the measure its neighbours are written in: parts or per cent, else g."""
    for measure in (Measure.PARTS, Measure.PERCENT):
        alike = [
            (line.amount.value, by_place[where, index].exact_g)
            for index, line in enumerate(lines)
            if line.amount.measure is measure
        ]
        grams = sum(each for _, each in alike)
        if grams > 0:
            return _written(mass_g * sum(value for value, _ in alike) / grams, measure)
    return _written(mass_g, Measure.GRAMS)


def _note(key: str, catalogue: Catalogue) -> Note:
    return note_of(key, catalogue).proposed or Note.MIDDLE


# --- firmness ---


def firmness(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """More or less wax, where somebody found the balm too soft or too hard."""
    soft, hard = ground.seen(FaultKind.TOO_SOFT), ground.seen(FaultKind.TOO_HARD)
    if not soft and not hard:
        return (), ()
    if soft and hard:
        return (), (say("It was found too soft and too hard: settle which before you change the wax."),)
    waxes = [
        line.name
        for line in ground.weighed.lines
        if ground.catalogue.material(line.material).kind is MaterialKind.WAX
    ]
    if not waxes:
        return (), (say("There is no wax in it whose amount could be changed."),)
    names = ", ".join(waxes)
    if soft:
        return (
            Change(
                FIRMER,
                say("A fifth more of {names}, for carrier oil.", names=names),
                say("It was found too soft."),
                lambda recipe, catalogue: _with_wax(recipe, catalogue, MORE_WAX),
                ("wax_low", "spoon_soft"),
            ),
        ), ()
    return (
        Change(
            SOFTER,
            say("A fifth less of {names}, for carrier oil.", names=names),
            say("It was found too hard."),
            lambda recipe, catalogue: _with_wax(recipe, catalogue, LESS_WAX),
            ("wax_high", "spoon_hard"),
        ),
    ), ()


def _with_wax(recipe: Recipe, catalogue: Catalogue, factor: float) -> Recipe:
    carrier = largest_carrier(recipe, catalogue)
    if factor > 1 and len({line.amount.measure for line in recipe.base}) == 1:
        more = sum(
            line.amount.value * (factor - 1)
            for line in recipe.base
            if catalogue.material(line.material).kind is MaterialKind.WAX
        )
        has = next((line.amount.value for line in recipe.base if line.material == carrier), None)
        if has is not None and more >= has:
            raise Trouble(say("There is not enough carrier oil to give way to so much wax."))
    return with_less_wax(recipe, catalogue, factor)


# --- how much to make ---


def size(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """What to make over the tins so that they come out full, from what really stayed behind."""
    recipe = ground.recipe
    own, plan = yields(ground.state), ground.state.plan
    # what was made beyond the plan and poured nowhere is no loss to the jug
    surplus_g = 0.0 if plan is None else max(0.0, own.made_g - plan.batch_g - own.leftover_g)
    lost_g = max(0.0, own.loss_g - surplus_g)
    if not recipe.size.tins or not ground.state.poured or own.in_tins_g <= 0:
        return (), ()
    lost = [100.0 * lost_g / own.in_tins_g, *_lost_before(ground)]
    needed = median(lost)
    rounded = ceil(2.0 * needed) / 2.0  # to the next half per cent
    has = recipe.size.jug_allowance_percent
    if abs(rounded - has) < LEAST_ALLOWANCE_PERCENT:
        return (), (
            say(
                "{has} for what stays in the jug is right: {lost} really stayed behind.",
                has=Share(has),
                lost=Share(needed),
            ),
        )
    reason = say(
        "{lost} of what is in the tins stayed behind (middle of {count} batches); {has} are allowed for it.",
        "{lost} stayed behind in this batch ({mass}); {has} are allowed for it. One batch proves little.",
        lost=Share(needed),
        mass=Grams(lost_g, 1),
        count=Count(len(lost)),
        has=Share(has),
    )
    return (
        Change(
            ALLOWANCE,
            say("Allow {share} for what stays in the jug.", share=Share(rounded)),
            reason,
            lambda recipe, _: change.set_jug_allowance(recipe, rounded),
        ),
    ), ()


def _lost_before(ground: Ground) -> list[float]:
    """Per cent of the tins' content that stayed behind in the newest batches of this recipe in this jug."""
    rows = [
        row
        for row in sorted(ground.past, key=lambda row: row.number, reverse=True)
        if row.summary is not None
        and row.recipe_name == ground.recipe.name
        and row.summary.vessel == (ground.recipe.vessel or "")
        and row.started != ground.state.started_wall
        and row.summary.tins
        and row.summary.in_tins_g > 0
    ]
    return [
        100.0 * max(0.0, row.summary.loss_g) / row.summary.in_tins_g
        for row in rows[: LAST_BATCHES - 1]
        if row.summary is not None
    ]
