"""A practice run: the simulated kitchen does what the running session says is done.

`RehearsalFeed` reads the state of a session and nothing else; the window and
the scripted maker use it alike.  Time is the session's own: `follow` moves the
kitchen on to it.
"""

from __future__ import annotations

from workbench.core.batch.bursts import CUP
from workbench.core.batch.guards import in_a_bath
from workbench.core.batch.in_jug import thermometer_of
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.made import composition_made
from workbench.core.batch.plan import Plan
from workbench.core.batch.state import BurstPhase, Phase, SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.core.heat.oven_power import CUP_G
from workbench.core.rehearsal.pot import STIR_S, Heating, Kitchen

UNDER_CEILING_K = 3.0  # a careful maker keeps the bath this far under the ceiling of what hangs in it
HOTTEST_BATH_C = 94.0
MELTING = (StepKind.MELT_BATH, StepKind.MELT_BURSTS)


class RehearsalFeed:
    """Readings for the current step of a practice session; one seed, one day."""

    def __init__(
        self,
        plan: Plan,
        catalogue: Catalogue,
        seed: int,
        *,
        room_c: float | None = None,
        resolution_k: float = 0.1,
    ) -> None:
        recipe = plan.recipe
        vessel = next((each for each in catalogue.shelf.vessels if each.key == recipe.vessel), None)
        if room_c is None:
            room_c = 21.0 if catalogue.shelf.room_c is None else catalogue.shelf.room_c.value
        probe = thermometer_of(plan, catalogue.shelf)
        self.kitchen = Kitchen(
            catalogue,
            seed,
            vessel=vessel,
            room_c=room_c,
            resolution_k=resolution_k if probe is None else probe.resolution_k,
        )
        self._plan, self._catalogue = plan, catalogue
        self._in_jug: dict[str, float] = {}
        self._poured: dict[int, float] = {}
        self._followed: SessionState | None = None  # states are frozen: one that was done is not done again
        self._scent = {line.material for line in plan.lines if line.where == "scent"}

    def follow(self, state: SessionState, now_s: float) -> None:
        """Bring jug, bath, oven and tins to session time `now_s`, done to as the state says."""
        self.kitchen.pass_time(now_s - self.kitchen.now_s)
        if state.plan is None or state is self._followed:
            return
        self._followed = state
        self._fill(state)
        self._heat(state)
        self._pour(state)

    def stir_and_read(self, seconds: float = STIR_S) -> float:
        """Stir, wait for the probe, read: the raw °C it shows.  The kitchen runs ahead by `seconds`."""
        self.kitchen.stir(seconds)
        return self.read()

    def read(self) -> float:
        """What the probe shows now, raw °C; a stir that was begun is finished first."""
        if self.kitchen.stirring_s > 0:
            self.kitchen.pass_time(self.kitchen.stirring_s)
        # the session corrects by the check of the maker's own thermometer, so it is that one which is played
        step = self.kitchen.conditions.resolution_k
        shown_c = (self.kitchen.read() - self._plan.probe_offset_k) / self._plan.probe_slope
        return round(round(shown_c / step) * step, 3)

    def _fill(self, state: SessionState) -> None:
        melted = any(each.step.kind in MELTING and each.begun_at_s is not None for each in state.steps)
        if not melted:
            return
        made = composition_made(state).as_dict()
        if not state.scented:
            for key, held_back in self._held_back().items():
                made[key] = max(made.get(key, 0.0) - held_back, 0.0)
            made = {key: mass for key, mass in made.items() if key not in self._scent}
        more = {key: mass - self._in_jug.get(key, 0.0) for key, mass in made.items()}
        more = {key: mass for key, mass in more.items() if mass > 1e-6}
        if more and not self._poured:
            self.kitchen.put_in(more)
            for key, mass in more.items():
                self._in_jug[key] = self._in_jug.get(key, 0.0) + mass

    def _held_back(self) -> dict[str, float]:
        return {line.material: line.held_back_g for line in self._plan.lines if line.held_back_g > 0}

    def _heat(self, state: SessionState) -> None:
        kitchen = self.kitchen
        if state.burst.phase is BurstPhase.RUNNING and state.phase is Phase.RUNNING:
            if kitchen.heating is not Heating.OVEN:
                kitchen.cup_g = 0.0 if state.recorded(CUP) is None else CUP_G
                kitchen.start_oven()
        elif state.heat_on and in_a_bath(state):
            kitchen.into_bath(min(ceiling_c(state) - UNDER_CEILING_K, HOTTEST_BATH_C))
        elif kitchen.heating is not Heating.OFF:
            kitchen.off_the_heat()

    def _pour(self, state: SessionState) -> None:
        for number, poured in state.poured.items():
            before = self._poured.get(number, 0.0)
            if poured.mass_g <= before + 1e-6:
                continue
            if before:
                self.kitchen.take_out(poured.mass_g - before)  # topping up
            else:
                self.kitchen.pour(self._tin(poured.tin, poured.mass_g), poured.mass_g)
            self._poured[number] = poured.mass_g

    def _tin(self, key: str, mass_g: float) -> Tin:
        """A tin of the shelf; a batch that is a plain mass goes into one as high as its radius."""
        found = next((each for each in self._catalogue.shelf.tins if each.key == key), None)
        return found or Tin(key="plain", name="plain", shape=TinShape.BY_WATER, water_g=mass_g / 0.9)
