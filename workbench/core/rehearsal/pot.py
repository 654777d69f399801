"""A jug, its bath, its oven and its tins on one simulated day.

`Kitchen` is the simulation behind a practice run.  It knows nothing of
sessions: whoever drives it says what is done to the jug and lets time pass.
One seed, one day: the same calls give the same readings.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Tin, Vessel
from workbench.core.heat.vessels import jug, tin_round
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.body import Around, Bodies, joined
from workbench.core.rehearsal.conditions import Conditions, draw
from workbench.core.rehearsal.truth import hot_pattern, true_material, true_set_point_c, true_shape

WATER_J_G_K = 4.186
WATER_BOILS_J_G = 2260.0
FILAMENT_S = 2.0
LOAD_G = 65.0  # an oven gives m / (m + LOAD_G) of its watts to m grams of water; recalled, low confidence
STIR_S = 20.0
BUSY_STEP_S = 0.5
BATH_STEP_S = 1.0
QUIET_STEP_S = 2.0  # nothing is done to the jug, or it stands in a tin
REST_STEP_S = 10.0  # all of it is gel: heat creeps out, nothing flows
AT_REST_K = 1.0
FILM_S = 5.0  # in so little time a jug cools too little to change the air at its wall
JUG_ROWS = 8
TIN_ROWS = 5  # a tin is shallow; more rows would only force shorter steps
LEAST_ROW_M = 0.002  # what is left in a jug after pouring is shallower still


class Heating(StrEnum):
    OFF = "off"
    BATH = "bath"
    OVEN = "oven"


class Kitchen:
    """One jug on one day.  Masses in g, temperatures in °C, times in s."""

    def __init__(
        self,
        catalogue: Catalogue,
        seed: int,
        *,
        vessel: Vessel | None = None,
        room_c: float = 21.0,
        resolution_k: float = 0.1,
        conditions: Conditions | None = None,
    ) -> None:
        self._rng = np.random.default_rng(seed)
        self.conditions = conditions or draw(self._rng, room_c=room_c, resolution_k=resolution_k)
        self._catalogue, self._vessel = catalogue, vessel
        self.now_s = 0.0
        self.heating = Heating.OFF
        self.cup_g = 0.0  # of water beside the jug in the oven
        self.bath_aim_c = 90.0
        self.bath_c = self.conditions.room_c
        self.bath_g = self.conditions.bath_water_g
        self.composition = Composition(())
        self.highest_c = -273.15  # hottest place the jug ever had
        self._jug: Bodies | None = None
        self._probe_c = self.conditions.room_c
        self._draught = 1.0
        self._stir_left_s = 0.0
        self._film_g = 0.0
        self._heated_s = 0.0  # of the burst that runs
        self._pattern = np.zeros((0, 0))
        self.tins: Bodies | None = None

    # --- what is done ---

    def put_in(self, grams: dict[str, float], celsius: float | None = None) -> None:
        """Put materials into the jug, at room temperature unless said otherwise."""
        added = Composition.of(grams)
        if not added.portions:
            return
        warm = self.room_c if celsius is None else celsius
        if self._jug is None:
            self.composition = added
            self._remake(warm, 0.0)
            return
        before, share = self._jug, added.mass_g / (added.mass_g + self.composition.mass_g)
        given = float((before.given * before.fraction).sum()) * (1 - share)
        mean = float(before.mean_c[0])
        # what is added takes its heat from the balm, wall and all, before anything melts or sets
        capacity = float(before.heat_capacity_j_k.sum())
        extra = added.mass_g / 1000 * float(before.material.capacity_j_kg_k[0])
        self.composition = self.composition.plus(grams)
        self._remake((capacity * mean + extra * warm) / (capacity + extra), given)

    def take_out(self, mass_g: float) -> None:
        """Pour this much out of the jug."""
        left = self.composition.mass_g - mass_g
        if self._jug is None or left <= 0.2:
            self.composition, self._jug = Composition(()), None
            return
        mean, given = float(self._jug.mean_c[0]), float((self._jug.given * self._jug.fraction).sum())
        factor = left / self.composition.mass_g
        self.composition = Composition.of(
            {portion.material: portion.mass_g * factor for portion in self.composition.portions}
        )
        self._remake(mean, given)

    def pour(self, tin: Tin, mass_g: float) -> None:
        """Fill one tin from the jug."""
        if self._jug is None:
            return
        celsius = self.mean_c
        filled = self._tin_body(tin, mass_g, celsius)
        self.tins = filled if self.tins is None else joined(self.tins, filled)
        self.tins.film_every_s = FILM_S
        self.take_out(mass_g)

    def stir(self, seconds: float = STIR_S) -> None:
        """Begin to stir; let time pass for it to take effect."""
        self._stir_left_s = max(self._stir_left_s, seconds)

    def into_bath(self, aim_c: float = 90.0) -> None:
        """Into a water bath that the maker keeps near `aim_c` (below boiling)."""
        self.heating, self.bath_aim_c = Heating.BATH, min(aim_c, 99.0)

    def off_the_heat(self) -> None:
        """Out of bath or oven, onto the counter."""
        if self.heating is Heating.BATH:
            self._film_g = self.conditions.film_g
        self.heating = Heating.OFF

    def start_oven(self) -> None:
        self.heating, self._heated_s = Heating.OVEN, 0.0

    def top_up_bath(self, grams: float = 300.0) -> None:
        """Warm tap water, 45 °C."""
        self.bath_c = (self.bath_c * self.bath_g + 45.0 * grams) / (self.bath_g + grams)
        self.bath_g += grams

    # --- what is seen ---

    @property
    def stirring_s(self) -> float:
        """Seconds of stirring still to come."""
        return self._stir_left_s

    @property
    def room_c(self) -> float:
        slow = 0.3 * np.sin(2 * np.pi * self.now_s / 2400.0)
        return float(self.conditions.room_c + self.conditions.drift_k_h * self.now_s / 3600 + slow)

    @property
    def mean_c(self) -> float:
        """The true mean temperature in the jug; the room's when it is empty."""
        return self.room_c if self._jug is None else float(self._jug.mean_c[0])

    @property
    def set_point_c(self) -> float | None:
        """Where this balm starts to gel today."""
        return true_set_point_c(self.composition, self._catalogue, self.conditions)

    @property
    def clear(self) -> bool:
        """No solids to be seen in the jug."""
        return self._jug is None or float(self._jug.solid_share[0]) < 0.004

    def read(self) -> float:
        """What the thermometer shows now: late, off, noisy and rounded."""
        shown = self._probe_c + self.conditions.offset_k + float(self._rng.normal(0, self.conditions.noise_k))
        step = self.conditions.resolution_k
        return round(round(shown / step) * step, 3)

    def weigh(self, mass_g: float, readability_g: float) -> float:
        """A careful hand with a scale: within two digits of what was meant."""
        near = mass_g + float(self._rng.normal(0, 0.7)) * readability_g
        return max(round(round(near / readability_g) * readability_g, 4), readability_g)

    def tins_centre_c(self) -> tuple[float, ...]:
        return () if self.tins is None else tuple(float(value) for value in self.tins.centre_c)

    def dip_mm(self, number: int) -> float:
        """Depth of the dip in one tin (1 …): share of the contraction that side freezing leaves open."""
        if self.tins is None or number > len(self.tins.shape.radius_m):
            return 0.0
        radius = float(self.tins.shape.radius_m[number - 1])
        height = float(self.tins.shape.height_m[number - 1])
        lost = 0.03 + 0.04 * float(self._rng.uniform(0.5, 1.2))
        funnel = height / (height + radius)
        return round(1000 * height * lost * (0.4 + 1.6 * funnel), 1)

    # --- time ---

    def pass_time(self, seconds: float) -> None:
        """Let this much time pass."""
        end = self.now_s + max(seconds, 0.0)
        tins_since = self.now_s
        while self.now_s < end - 1e-9:
            if self.heating is Heating.OFF and self._all_cold:
                self.now_s = end  # nothing changes any more; a night's rest need not be computed
                return
            dt_s = min(self._step_s(), end - self.now_s)
            self._weather(dt_s)
            self._bath(dt_s)
            if self._jug is not None:
                self._jug_step(dt_s)
            self.now_s += dt_s
            if self.tins is not None:
                since_s = self.now_s - tins_since
                if since_s >= self.tins.rest_s(QUIET_STEP_S, REST_STEP_S) or self.now_s >= end - 1e-9:
                    self._tins_steps(since_s)
                    tins_since = self.now_s

    def _step_s(self) -> float:
        """How long the next step may be: short while something is done, long once everything has set."""
        if self.heating is Heating.OVEN or self._stir_left_s > 0:
            return BUSY_STEP_S
        if self.heating is Heating.BATH and self._jug is not None:
            return BATH_STEP_S
        body = self.tins if self._jug is None else self._jug
        return QUIET_STEP_S if body is None else body.rest_s(QUIET_STEP_S, REST_STEP_S)

    @property
    def _all_cold(self) -> bool:
        bodies = [body for body in (self._jug, self.tins) if body is not None]
        return all(float(np.abs(body.celsius - self.room_c).max()) < AT_REST_K for body in bodies)

    def _weather(self, dt_s: float) -> None:
        c = self.conditions
        keep = float(np.exp(-dt_s / c.draught_s))
        push = c.draught_wander * np.sqrt(1 - keep**2) * self._rng.normal()
        self._draught = 1 + (self._draught - 1) * keep + float(push)

    def _bath(self, dt_s: float) -> None:
        if self.heating is not Heating.BATH:
            self.bath_c += (self.room_c - self.bath_c) * dt_s / 1800
            return
        capacity = max(self.bath_g, 30.0) * WATER_J_G_K
        # the maker turns the knob: full on below the aim, just enough near it
        power = self.conditions.stove_w * float(np.clip((self.bath_aim_c + 1.0 - self.bath_c) / 4.0, 0, 1))
        steam_g_s = 0.025 * float(np.exp((self.bath_c - 90) / 15))
        into_jug = 0.0
        if self._jug is not None:
            into_jug = 1.2 * (self.bath_c - self.mean_c)
        change = power - 4.0 * (self.bath_c - self.room_c) - steam_g_s * WATER_BOILS_J_G - into_jug
        self.bath_c = min(self.bath_c + change * dt_s / capacity, 100.0)
        self.bath_g = max(self.bath_g - steam_g_s * dt_s, 0.0)

    def _around(self) -> Around:
        draught = np.array([max(self.conditions.draught_level * self._draught, 0.2)])
        return Around(room_c=np.array([self.room_c]), draught=draught)

    def _jug_step(self, dt_s: float) -> None:
        body = self._jug
        assert body is not None
        around = self._around()
        if self.heating is Heating.BATH:
            around.bath_c = np.array([self.bath_c])
        elif self.heating is Heating.OVEN:
            self._heated_s += dt_s
            if self._heated_s > FILAMENT_S:
                around.inside_w = self._oven_heat()[None, :, :]
        if self._film_g > 0 and self.heating is Heating.OFF:
            gone = min(self._film_g, self._film_g * dt_s / 90.0 + 1e-4)
            self._film_g -= gone
            around.film_w = np.array([gone * WATER_BOILS_J_G / dt_s])
        if self._stir_left_s > 0:
            around.stirred = np.array([1.0])
            self._stir_left_s -= dt_s
        body.step(dt_s, around)
        self.highest_c = max(self.highest_c, float(body.hottest_c[0]))
        lag = -np.expm1(-dt_s / self.conditions.lag_s)
        self._probe_c += float(lag) * (float(body.at_probe_c()[0]) - self._probe_c)

    def _oven_heat(self) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        assert self._jug is not None
        mass = self.composition.mass_g
        water_w = self.conditions.oven_w * mass / (mass + self.cup_g + LOAD_G)
        liquid = 1 - float(np.clip(self._jug.solid_share[0] / 0.3, 0, 1))
        share = self.conditions.absorbs * (
            self.conditions.solids_absorb + (1 - self.conditions.solids_absorb) * liquid
        )
        return np.asarray(self._pattern * water_w * share)

    def _tins_steps(self, seconds: float) -> None:
        """Tins go at their own pace, which may be slower or faster than the jug's."""
        assert self.tins is not None
        # a step may pass what is allowed by a fifth rather than be halved
        parts = max(round(seconds / self.tins.rest_s(QUIET_STEP_S, REST_STEP_S) + 0.3), 1)
        for _ in range(parts):
            self._tins_step(seconds / parts)

    def _tins_step(self, dt_s: float) -> None:
        assert self.tins is not None
        count = len(self.tins.shape.radius_m)
        around = self._around()
        around.room_c = np.repeat(around.room_c, count)
        around.draught = np.repeat(around.draught, count)
        self.tins.step(dt_s, around)

    # --- bodies ---

    def _remake(self, celsius: float, given_j_kg: float) -> None:
        material = true_material(self.composition, self._catalogue, self.conditions)
        volume = self.composition.mass_g / float(material.density_kg_m3[0]) * 1000
        shape = true_shape(jug(self._vessel, volume), self.conditions)
        rows = JUG_ROWS
        if self.tins is not None:  # a film on the bottom: rows that thin would force shorter steps
            rows = min(max(int(float(shape.height_m[0]) / LEAST_ROW_M), 1), JUG_ROWS)
        body = Bodies(material, shape, np.array([celsius]), rows=rows)
        body.film_every_s = FILM_S
        warm = celsius >= float(material.set_c[0]) or given_j_kg > 0
        if self._jug is not None and warm:
            body.given[:] = given_j_kg
            body.gelled[:] = given_j_kg > 1.0
            body.table_c = self._jug.table_c
        self._jug = body
        volume_cells = body.mass_kg[0]
        rows, rings = volume_cells.shape
        self._pattern = hot_pattern(self._rng, rows, rings, self.conditions.hot_spot, volume_cells)

    def _tin_body(self, tin: Tin, mass_g: float, celsius: float) -> Bodies:
        material = true_material(self.composition, self._catalogue, self.conditions)
        volume = mass_g / float(material.density_kg_m3[0]) * 1000
        conditions = replace(self.conditions, base_w_m2_k=max(self.conditions.base_w_m2_k, 12.0))
        shape = true_shape(tin_round(tin, volume), conditions, open_top=True)
        return Bodies(material, shape, np.array([celsius]), rows=TIN_ROWS)
