"""Warm round bodies of balm on a counter: a 2-D axisymmetric enthalpy model, many at a time.

Independent of the forecast on purpose.  Every body (a jug, a tin) is a
cylinder of `rows` x `rings` cells.  Per cell two states are kept: heat content
and the latent heat given off so far.  The melt stays liquid down to its own
set point; below it each cell catches up with equilibrium at a finite rate.
Inside, a liquid melt is stirred by its own convection (a raised conductivity
by Rayleigh number) until gel stops it.  Outside: correlations of `air`, full
radiation, a counter that warms, draughts as a factor handed in.
All arrays have the bodies as their first axis; SI units, temperatures in °C.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from workbench.core.rehearsal import air

Field = NDArray[np.float64]

DIFFUSIVITY_M2_S = 9e-8
EXPANSION_1_K = 7.5e-4
VISCOSITY_M2_S = 1.8e-5
GEL_STOPS_AT = 0.012  # solid share that stops convection; weak gels hold with 1 to 2 % solids
MIXING_S = 2.5
LONG_WAY_J_KG = 8e3
STEP_SHARE = 0.2  # of what would upset an explicit step (0.25 in two dimensions)
TABLE_TO_ROOM_W_M2_K = 12.0


@dataclass(slots=True)
class Material:
    """Balm in each body: latent heat given off at equilibrium on one grid of °C, J/kg."""

    grid_c: Field  # (G,), even steps, rising
    bound_j_kg: Field  # (N, G): latent heat given off, falling with temperature
    solid: Field  # (N, G): solid share 0..1
    capacity_j_kg_k: Field  # (N,)
    density_kg_m3: Field  # (N,)
    set_c: Field  # (N,): starts to gel here
    catch_up_s: Field  # (N,)
    melt_w_m_k: float = 0.17
    gel_w_m_k: float = 0.20
    still: bool = False  # no convection inside, for checks against conduction alone


@dataclass(slots=True)
class Shape:
    """Round bodies by inside radius and filled height, in m, and what is around them."""

    radius_m: Field
    height_m: Field
    wall_j_m2_k: Field  # heat capacity of the wall per area touched
    wall_m2_k_w: Field  # resistance of the wall
    emissivity_wall: Field
    collar: Field  # 0..1: how freely the top sees the room
    base_w_m2_k: Field  # contact to the counter
    table_j_k: Field  # heat capacity of the counter that takes part


@dataclass(slots=True)
class Around:
    """What acts on the bodies now."""

    room_c: Field
    draught: Field  # factor on convection
    bath_c: Field | None = None  # a water bath around wall and bottom
    bath_w_m2_k: float = 500.0
    film_w: Field | None = None  # a wet wall drying
    inside_w: Field | None = None  # (N, rows, rings): heat put into cells, W
    stirred: Field | None = None  # 0/1 per body


class Bodies:
    """The state of many bodies; `step` moves all of them by the same time."""

    def __init__(
        self, material: Material, shape: Shape, start_c: Field, *, rows: int = 8, rings: int = 8
    ) -> None:
        self.material, self.shape = material, shape
        count = len(shape.radius_m)
        edges = np.linspace(0, 1, rings + 1)
        self._ring_share = edges[1:] ** 2 - edges[:-1] ** 2  # of the cross-section
        self._edges = edges
        self.rows, self.rings = rows, rings
        self._dz = shape.height_m / rows
        self._dr = shape.radius_m / rings
        area = np.pi * shape.radius_m**2
        self._ring_area = area[:, None, None] * self._ring_share[None, None, :]
        self.mass_kg = self._ring_area * (self._dz * material.density_kg_m3)[:, None, None]
        self.mass_kg = np.broadcast_to(self.mass_kg, (count, rows, rings)).copy()
        self._side_area = np.broadcast_to((2 * np.pi * shape.radius_m * self._dz)[:, None], (count, rows))
        # The wall goes with the cells it touches.
        self.heat_capacity_j_k = self.mass_kg * material.capacity_j_kg_k[:, None, None]
        self.heat_capacity_j_k[:, :, -1] += self._side_area * shape.wall_j_m2_k[:, None]
        self.heat_capacity_j_k[:, 0, :] += self._ring_area[:, 0, :] * shape.wall_j_m2_k[:, None]
        self.fraction = self.mass_kg / self.mass_kg.sum(axis=(1, 2), keepdims=True)
        self.celsius = np.broadcast_to(start_c[:, None, None], self.mass_kg.shape).copy()
        self.gelled = self.celsius < material.set_c[:, None, None]
        self.given = np.where(self.gelled, self._curve(material.bound_j_kg, self.celsius), 0.0)
        self.table_c = np.full(count, np.nan)
        self.film_every_s = (
            0.0  # how long the air's still film is taken for the same; draughts and radiation are not
        )
        self._film_left_s = 0.0
        self._top_w_m2_k = np.zeros(count)
        self._side_w_m2_k: Field | None = None
        self._wanted_w_m_k = np.full(self.mass_kg.shape, np.inf)  # conduction as of the last step
        # what every step asks for and nothing changes
        self._at = np.arange(count)[:, None, None]
        self._warms_k_kg_j = self.mass_kg / self.heat_capacity_j_k
        self._full_j_kg = np.maximum(material.bound_j_kg[:, 0], 1.0)[:, None, None]
        self._solid_per_j_kg = material.solid[:, 0][:, None, None] / self._full_j_kg
        self._set_c = material.set_c[:, None, None]
        self._cell_j_m_k = (
            STEP_SHARE
            * np.minimum(self._dz, self._dr) ** 2
            * (material.density_kg_m3 * material.capacity_j_kg_k)
        )
        # face area 2 pi r dz over distance dr: r/dr is the edge number
        self._radial_m = (2 * np.pi * self._dz)[:, None, None] * (edges[1:-1] * rings)[None, None, :]
        self._axial_m = self._ring_area / self._dz[:, None, None]

    def _index(self, celsius: Field) -> tuple[NDArray[np.int64], Field]:
        grid = self.material.grid_c
        place = (celsius - grid[0]) / (grid[1] - grid[0])
        # not np.clip: it looks the limits of the type up anew, thousands of times a batch
        low = np.minimum(np.maximum(place.astype(np.int64), 0), len(grid) - 2)
        return low, np.minimum(np.maximum(place - low, 0.0), 1.0)

    def _curve(self, table: Field, celsius: Field) -> Field:
        low, part = self._index(celsius)
        body = np.arange(len(table))[:, None, None]
        left = table[body, low]
        return np.asarray(left + (table[body, low + 1] - left) * part)

    @property
    def mean_c(self) -> Field:
        """True mean temperature of the balm in each body."""
        return np.asarray((self.celsius * self.fraction).sum(axis=(1, 2)))

    @property
    def hottest_c(self) -> Field:
        return np.asarray(self.celsius.max(axis=(1, 2)))

    @property
    def centre_c(self) -> Field:
        """The last place to set: the warmest cell on the axis."""
        return np.asarray(self.celsius[:, :, 0].max(axis=1))

    @property
    def gelled_share(self) -> Field:
        return np.asarray((self.gelled * self.fraction).sum(axis=(1, 2)))

    @property
    def solid_share(self) -> Field:
        return np.asarray((self.given / self._full_j_kg * self.fraction).sum(axis=(1, 2)))

    def rest_s(self, quiet_s: float, most_s: float) -> float:
        """How long a step may be when nothing is done, s: longer where all is gel and hardly flows any more."""
        if not self.gelled.all():
            return quiet_s
        longest_s = float((self._cell_j_m_k / self._wanted_w_m_k.max(axis=(1, 2))).min())
        return min(max(longest_s, quiet_s), most_s)

    def at_probe_c(self) -> Field:
        """A third of the way from axis to wall, half-way down."""
        return np.asarray(self.celsius[:, self.rows // 2, self.rings // 3])

    def heat_j(self) -> Field:
        """Heat content of balm and wall above 0 °C, for balances."""
        return np.asarray(
            (self.heat_capacity_j_k * self.celsius - self.mass_kg * self.given).sum(axis=(1, 2))
        )

    def _conductivity(self, dt_s: float) -> Field:
        spread = self.celsius.max(axis=(1, 2)) - self.celsius.min(axis=(1, 2))
        height = self.shape.height_m
        rayleigh = air.GRAVITY_M_S2 * EXPANSION_1_K * spread * height**3 / (VISCOSITY_M2_S * DIFFUSIVITY_M2_S)
        nusselt = np.minimum(np.maximum(0.2 * np.maximum(rayleigh, 1.0) ** 0.28, 1.0), 40.0)
        plain = np.where(self.gelled, self.material.gel_w_m_k, self.material.melt_w_m_k)
        if self.material.still:
            return np.asarray(plain, dtype=np.float64)
        free = np.exp(self.given * self._solid_per_j_kg / -GEL_STOPS_AT)
        raised = plain * (1 + (nusselt[:, None, None] - 1) * free)
        self._wanted_w_m_k = np.asarray(raised)
        # what an explicit step of this length can carry
        return np.asarray(np.minimum(raised, (self._cell_j_m_k / dt_s)[:, None, None]))

    def step(self, dt_s: float, around: Around) -> None:
        """Move on by `dt_s` (0.25 to 2 s)."""
        k = self._conductivity(dt_s)
        heat = self._conducted(k)
        heat += self._lost(dt_s, around, k)
        if around.inside_w is not None:
            heat += around.inside_w
        if around.film_w is not None:
            heat[:, :, -1] -= (around.film_w / self.rows)[:, None]
        self.celsius += heat * dt_s / self.heat_capacity_j_k
        self._freeze(dt_s)
        if around.stirred is not None and around.stirred.any():
            self._mix(dt_s, around.stirred)

    def _conducted(self, k: Field) -> Field:
        heat = np.zeros_like(self.celsius)
        radial = (k[:, :, 1:] + k[:, :, :-1]) / 2 * (self.celsius[:, :, 1:] - self.celsius[:, :, :-1])
        radial *= self._radial_m
        heat[:, :, :-1] += radial
        heat[:, :, 1:] -= radial
        axial = (k[:, 1:, :] + k[:, :-1, :]) / 2 * (self.celsius[:, 1:, :] - self.celsius[:, :-1, :])
        axial *= self._axial_m
        heat[:, :-1, :] += axial
        heat[:, 1:, :] -= axial
        return heat

    def _lost(self, dt_s: float, around: Around, k: Field) -> Field:
        """Heat into the outer cells, W; half a cell of balm lies between each centre and its surface."""
        shape = self.shape
        heat = np.zeros_like(self.celsius)
        room = around.room_c[:, None]
        side, top, base = self.celsius[:, :, -1], self.celsius[:, -1, :], self.celsius[:, 0, :]
        half_side = (self._dr / 2)[:, None] / k[:, :, -1]
        half_top = (self._dz / 2)[:, None] / k[:, -1, :]
        half_base = (self._dz / 2)[:, None] / k[:, 0, :]
        ring = self._ring_area[:, 0, :]
        top_mean = (top * self._ring_share).sum(axis=1)
        afresh = self._film_left_s <= 0
        self._film_left_s = self.film_every_s if afresh else self._film_left_s - dt_s
        if afresh:
            self._top_w_m2_k = air.facing_up_w_m2_k(top_mean, around.room_c, 2 * shape.radius_m)
        h_top = self._top_w_m2_k * around.draught
        h_top = (h_top + _radiation(top_mean, around.room_c, 0.95)) * shape.collar
        heat[:, -1, :] -= (top - room) / (1 / np.maximum(h_top, 1e-12)[:, None] + half_top) * ring
        if around.bath_c is not None:
            outside = 1 / around.bath_w_m2_k + shape.wall_m2_k_w + self._inner_m2_k_w(around)
            bath = around.bath_c[:, None]
            heat[:, :, -1] += (bath - side) / (outside[:, None] + half_side) * self._side_area
            heat[:, 0, :] += (bath - base) / (outside[:, None] + half_base) * ring
            self._side_w_m2_k = None  # out of the bath the wall is another
            return heat
        side_mean = side.mean(axis=1)
        if afresh or self._side_w_m2_k is None:
            self._side_w_m2_k = air.vertical_w_m2_k(side_mean, around.room_c, shape.height_m)
        h_side = self._side_w_m2_k * around.draught
        h_side = h_side + _radiation(side_mean, around.room_c, 1.0) * shape.emissivity_wall
        outside = 1 / h_side + shape.wall_m2_k_w
        heat[:, :, -1] -= (side - room) / (outside[:, None] + half_side) * self._side_area
        self.table_c = np.where(np.isnan(self.table_c), around.room_c, self.table_c)
        contact = 1 / shape.base_w_m2_k + shape.wall_m2_k_w
        into = (base - self.table_c[:, None]) / (contact[:, None] + half_base) * ring
        heat[:, 0, :] -= into
        away = TABLE_TO_ROOM_W_M2_K * np.pi * shape.radius_m**2 * (self.table_c - around.room_c)
        self.table_c = self.table_c + (into.sum(axis=1) - away) * dt_s / shape.table_j_k
        return heat

    def _inner_m2_k_w(self, around: Around) -> Field:
        """A resting lump of solids touches the wall badly: half the heat comes through."""
        lumps = np.minimum(self.solid_share / 0.5, 0.0 if self.material.still else 1.0)
        if around.stirred is not None:
            lumps = lumps * (1 - 0.5 * around.stirred)
        return np.asarray(lumps / 180.0)

    def _freeze(self, dt_s: float) -> None:
        """Latent heat moves towards equilibrium where gel has started; melting needs no start."""
        material = self.material
        self.gelled |= self.celsius < self._set_c
        if not (self.gelled.any() or self.given.any()):
            return
        low, part = self._index(self.celsius)
        left = material.bound_j_kg[self._at, low]
        fall = left - material.bound_j_kg[self._at, low + 1]
        full = left - fall * part - self.given
        full = np.where(self.gelled, full, np.minimum(full, 0.0))  # solids stirred in melt anywhere
        warms = self._warms_k_kg_j
        # Giving off heat warms the cell and so lowers what it may give off: by the slope of the curve,
        # and by bisection where the way is long and the curve may be steep.
        change = full / (1 + fall / (material.grid_c[1] - material.grid_c[0]) * warms)
        long_way = np.abs(full) > LONG_WAY_J_KG
        if long_way.any():
            far = np.nonzero(long_way)
            change[far] = self._up_to_equilibrium(full[far], warms[far], far)
        change = change * np.where(change < 0, 1.0, -np.expm1(-dt_s / material.catch_up_s)[:, None, None])
        self.given = self.given + change
        self.celsius = self.celsius + change * warms
        self.gelled &= ~((self.given < 1.0) & (self.celsius > self._set_c + 1.0))

    def _up_to_equilibrium(self, full: Field, warms: Field, where: tuple[NDArray[np.intp], ...]) -> Field:
        """The part of a change of latent heat after which these cells stand on their equilibrium curve."""
        celsius, given = self.celsius[where], self.given[where]
        table = self.material.bound_j_kg[where[0]]
        row = np.arange(len(full))
        low, high = np.zeros(len(full)), np.ones(len(full))
        for _ in range(12):
            share = (low + high) / 2
            index, part = self._index(celsius + share * full * warms)
            left = table[row, index]
            bound = left + (table[row, index + 1] - left) * part
            short = (bound - given - share * full) * np.sign(full) >= 0
            low = np.where(short, share, low)
            high = np.where(short, high, share)
        return np.asarray(full * low)

    def _mix(self, dt_s: float, stirred: Field) -> None:
        share = (stirred * -np.expm1(-dt_s / MIXING_S))[:, None, None]
        total = self.heat_capacity_j_k.sum(axis=(1, 2), keepdims=True)
        mean = (self.heat_capacity_j_k * self.celsius).sum(axis=(1, 2), keepdims=True) / total
        self.celsius += share * (mean - self.celsius)
        given = (self.fraction * self.given).sum(axis=(1, 2), keepdims=True)
        self.given += share * (given - self.given)
        gel = (self.fraction * self.gelled).sum(axis=(1, 2), keepdims=True)
        self.gelled |= (share > 0) & (gel > 0.3)


def _radiation(wall_c: Field, room_c: Field, emissivity: float) -> Field:
    """Radiation as W/(m² K) at this difference; full fourth powers."""
    hot, cold = wall_c + 273.15, room_c + 273.15
    return np.asarray(emissivity * air.STEFAN_BOLTZMANN_W_M2_K4 * (hot + cold) * (hot**2 + cold**2))


def joined(one: Bodies, other: Bodies) -> Bodies:
    """Both sets of bodies as one; they must have the same cells and the same grid of temperatures."""

    def both(left: Field, right: Field) -> Field:
        return np.concatenate((left, right))

    a, b = one.material, other.material
    material = Material(
        grid_c=a.grid_c,
        bound_j_kg=both(a.bound_j_kg, b.bound_j_kg),
        solid=both(a.solid, b.solid),
        capacity_j_kg_k=both(a.capacity_j_kg_k, b.capacity_j_kg_k),
        density_kg_m3=both(a.density_kg_m3, b.density_kg_m3),
        set_c=both(a.set_c, b.set_c),
        catch_up_s=both(a.catch_up_s, b.catch_up_s),
        melt_w_m_k=a.melt_w_m_k,
        gel_w_m_k=a.gel_w_m_k,
        still=a.still,
    )
    shape = Shape(*(both(getattr(one.shape, name), getattr(other.shape, name)) for name in Shape.__slots__))
    made = Bodies(material, shape, both(one.mean_c, other.mean_c), rows=one.rows, rings=one.rings)
    made.celsius = both(one.celsius, other.celsius)
    made.given = both(one.given, other.given)
    made.gelled = np.concatenate((one.gelled, other.gelled))
    made.table_c = both(one.table_c, other.table_c)
    return made
