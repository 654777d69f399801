"""The bench's questions answered from the catalogue and the core."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from workbench.core.batch.commands import Refused
from workbench.core.batch.made import composition_made, composition_now, grown_targets
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Lot
from workbench.core.design.firmness import correct_firmness
from workbench.core.design.headroom import headroom
from workbench.core.design.more_of import more_of
from workbench.core.design.wish import MOMENTS_S
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Grams, say
from workbench.ui.bench.facts import BenchFacts, Outlook, Suggested


def facts_of(
    catalogue: Catalogue, outlook: Callable[[SessionState, float], Outlook | None] | None = None
) -> BenchFacts:
    """Everything the card can say from these tables."""

    def how_much_more(state: SessionState, material: str) -> str:
        room, change = _headroom(state, material, catalogue), _a_little_more(state, material, catalogue)
        return say("{room} {change}", room=room, change=change) if room and change else room or change

    def correction(state: SessionState, answer: str) -> Suggested | None:
        return _firmness(state, answer, catalogue)

    lots: dict[str, tuple[Lot, ...]] = {}
    for lot in catalogue.shelf.lots:
        lots[lot.material] = (*lots.get(lot.material, ()), lot)
    return BenchFacts(lots, how_much_more, correction, _growth, outlook)


def _a_little_more(state: SessionState, material: str, catalogue: Catalogue) -> str:
    """What a little more of one oil would do to the scent of the jug as it is, before it is poured."""
    plan = state.plan
    if plan is None or material not in catalogue.materials or not catalogue.material(material).kind.is_scent:
        return ""
    recipe = plan.recipe
    try:
        found = more_of(
            material,
            composition_now(state),
            catalogue,
            recipe.uses,
            recipe.place,
            notes={line.material: line.note for line in recipe.scent},
            times_s=np.array(MOMENTS_S),
        )
    except Trouble:
        return ""  # what cannot be reckoned is said beside the limits already
    return found.says[0]


def _headroom(state: SessionState, material: str, catalogue: Catalogue) -> str:
    """How much more of one oil the balm as made may take, and which limit binds first."""
    plan = state.plan
    if plan is None or material not in catalogue.materials:
        return ""
    if not catalogue.material(material).kind.is_scent:
        return ""
    try:
        room = headroom(composition_now(state), catalogue, plan.recipe.uses, plan.recipe.place, material)
    except Trouble as trouble:
        return trouble.says
    if room.grams is None:
        return room.why or say("How much more is allowed cannot be known.")
    if room.unlimited:
        return say("No limit that is known here binds it.")
    if room.drops_sure is None:
        return say(
            "Up to {mass} more before “{limit}” binds.", mass=Grams(room.grams, 2), limit=room.limit_name
        )
    return say(
        "Up to {mass} more, {count} drops to be sure, before “{limit}” binds.",
        "Up to {mass} more, {count} drop to be sure, before “{limit}” binds.",
        mass=Grams(room.grams, 2),
        count=Count(room.drops_sure),
        limit=room.limit_name,
    )


def _firmness(state: SessionState, answer: str, catalogue: Catalogue) -> Suggested | None:
    plan = state.plan
    if plan is None:
        return None
    made = composition_made(state)
    scent = {line.material for line in plan.lines if line.where == "scent"}
    base = made.only(portion.material for portion in made.portions if portion.material not in scent)
    try:
        found = correct_firmness(base, catalogue, answer, scent_g=made.mass_g - base.mass_g)
    except Trouble as trouble:
        return Suggested(trouble.says)
    return Suggested(found.says, found.material, found.name, found.grams, found.also)


def _growth(state: SessionState) -> str:
    """What growing the batch would come to, and whether the tins still hold it."""
    plan = state.plan
    grown = grown_targets(state)
    if isinstance(grown, Refused):
        return grown.says
    if plan is None:
        return ""
    batch_g = plan.batch_g * grown.factor
    holds_g = sum(tin.fill_g for tin in plan.tins)
    more_g = (grown.factor - 1) * holds_g
    if not plan.tins:
        return say(
            "With {name} as weighed, the batch grows to {mass}.", name=grown.leading, mass=Grams(batch_g)
        )
    return say(
        "With {name} as weighed, the batch grows to {mass}: {more} more than the tins were meant to hold. Keep a spare tin ready.",
        name=grown.leading,
        mass=Grams(batch_g),
        more=Grams(more_g),
    )
