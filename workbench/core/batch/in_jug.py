"""What a heat model asks of a running batch: what is in the jug now, which jug, which probe, how warm the room."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.core.batch.made import composition_now
from workbench.core.batch.plan import Plan
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Microwave, Shelf, Thermometer, ThermometerKind, Vessel
from workbench.core.heat.bath import STOVE, STOVE_W, Bath
from workbench.core.recipe.composition import Composition

USUAL_ROOM_C = 21.0
CHECKED_SD_K = 0.2  # a probe whose ice and boiling point were read
UNCHECKED_SD_K = 0.5
INFRARED_SD_K = 2.0  # it sees only the skin of the melt
ROOM_SD_K, GUESSED_ROOM_SD_K = 1.5, 2.5
STOVE_DIFFERS = 0.10  # of ln watts, from batch to batch: another pan, more or less water


def before_scent(composition: Composition, plan: Plan) -> Composition:
    """The melt as it is before fragrance goes in: without scent and without carrier that is held back."""
    scent = {line.material for line in plan.lines if line.where == "scent"}
    held = {line.material: line.held_back_g for line in plan.lines if line.held_back_g > 0}
    return Composition.of(
        {
            key: max(mass - held.get(key, 0.0), 0.0)
            for key, mass in composition.as_dict().items()
            if key not in scent
        }
    )


def in_jug(state: SessionState) -> Composition:
    """Grams of each material in the jug now; what was poured is taken off all of them alike."""
    whole = composition_now(state)
    if state.plan is not None and not state.scented:
        whole = before_scent(whole, state.plan)
    poured_g = sum(tin.mass_g for tin in state.poured.values())
    if poured_g <= 0 or whole.mass_g <= 0:
        return whole
    left = max(1.0 - poured_g / whole.mass_g, 0.0)
    return Composition.of({key: mass * left for key, mass in whole.as_dict().items()})


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Jug, oven, probe and room of a batch, as the shelf has them."""

    vessel: Vessel | None
    oven: Microwave | None
    room_c: float
    room_sd_k: float
    resolution_k: float
    probe_sd_k: float


def surroundings(plan: Plan, catalogue: Catalogue) -> Surroundings:
    shelf, recipe = catalogue.shelf, plan.recipe
    vessel = next((each for each in shelf.vessels if each.key == recipe.vessel), None)
    oven = next((each for each in shelf.microwaves if each.key == recipe.microwave), None)
    if oven is None and len(shelf.microwaves) == 1:
        oven = shelf.microwaves[0]
    probe = thermometer_of(plan, shelf)
    return Surroundings(
        vessel,
        oven,
        USUAL_ROOM_C if shelf.room_c is None else shelf.room_c.value,
        GUESSED_ROOM_SD_K if shelf.room_c is None else ROOM_SD_K,
        0.1 if probe is None else probe.resolution_k,
        probe_sd_k(probe),
    )


def thermometer_of(plan: Plan, shelf: Shelf) -> Thermometer | None:
    """The thermometer whose check corrects the readings of this plan, as the shelf has it now; None for none."""
    found = shelf.thermometer_for(plan.recipe.thermometer)
    if found is None or plan.recipe.thermometer is not None or plan.thermometer == found.name:
        return found
    return None  # the plan was made while there were several, or none: it does not correct by this one


def probe_sd_k(probe: Thermometer | None) -> float:
    """How far a probe may be off after its correction, K."""
    if probe is None:
        return UNCHECKED_SD_K
    if probe.kind is ThermometerKind.INFRARED:
        return INFRARED_SD_K
    return UNCHECKED_SD_K if probe.checked is None or probe.dropped_since else CHECKED_SD_K


def bath_of(plan: Plan, room_c: float, shelf: Shelf | None = None) -> Bath:
    """A litre of cold water on the maker's stove, held below the boil; `shelf`: what its stove taught counts."""
    usual = Bath()
    watts = usual.stove_w if plan.stove is None else STOVE_W[plan.stove.value]
    known = None
    if shelf is not None and shelf.stove is plan.stove:
        known = next((row for row in shelf.stove_learned if row.what == STOVE), None)
    if known is None:
        return Bath(usual.water_g, min(room_c, 25.0), watts, usual.held_at_c)
    return Bath(
        usual.water_g,
        min(room_c, 25.0),
        watts * math.exp(known.value),
        usual.held_at_c,
        math.hypot(STOVE_DIFFERS, min(known.sd, usual.stove_sd)),
    )
