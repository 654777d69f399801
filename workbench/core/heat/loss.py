"""What leaves with the air while fragrance stands warm, by note.

Assumption, named wherever the figure is shown: the melt is well mixed and the
air above it carries nothing yet, so only the layer of air over the open
surface holds vapour back.  Then every constituent leaves at a steady share:

    rate = k A g P(T) / (R T n)      with  k = 0.67 u^0.78 (18 / M)^(1/3) cm/s

k: gas-side mass transfer over an open surface in the form of the US EPA's
spill model (Peress 2003, recalled; among the two best of five in 54
measurements on skin and glass, Gajjar, Miller and Kasting 2013); u air speed
in m/s; A open surface; g activity by UNIFAC; P vapour pressure; n moles in the
pot.  Air speed is the largest unknown: 0.15 m/s is a still room, a hood over
the stove moves three times as much away.  A lid brings the loss to almost
nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.heat.vapours import GAS_J_MOL_K, ZERO_C_K, Mixture, Vector, mixture_of
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.core.wording import Number, Said, say

STILL_ROOM_M_S = 0.15
# Goss and Schwarzenbach's enthalpy and our pressures at 25 °C are within a factor of two to three
# for half the constituents, and a draught triples the rate.
UNCERTAINTY_FACTOR = 3.0


@dataclass(frozen=True, slots=True)
class Stay:
    """Time in the open jug at one temperature."""

    celsius: float
    seconds: float


@dataclass(frozen=True, slots=True)
class NoteLoss:
    """Share of one note that has left, per cent by mass; `low` and `high` bound it honestly."""

    note: Note
    percent: float
    low_percent: float
    high_percent: float


@dataclass(frozen=True, slots=True)
class Loss:
    by_note: tuple[NoteLoss, ...]  # top, middle, base; only notes that are there
    by_material: tuple[tuple[str, float], ...]  # per cent lost of each, most first
    assumption: Said

    def of(self, note: Note) -> float:
        """Per cent lost of a note; 0 where there is none of it."""
        return next((loss.percent for loss in self.by_note if loss.note is note), 0.0)


def loss(
    composition: Composition,
    catalogue: Catalogue,
    stays: Iterable[Stay],
    surface_cm2: float,
    notes: Mapping[str, Note] | None = None,
    air_m_s: float = STILL_ROOM_M_S,
) -> Loss:
    """Shares of each note that leave over one or several stays in the open.

    `composition` is the whole jug in grams; `surface_cm2` its open surface;
    `notes` the note each material was given in the recipe, else its own.
    Scent of unknown make is left out.  Raises `Trouble` for a surface, a time
    or an air speed that is not positive, and for unknown materials.
    """
    if surface_cm2 <= 0 or air_m_s <= 0:
        raise Trouble(say("Give the open surface in cm² and the air speed in m/s as numbers above zero."))
    mixture = mixture_of(composition, catalogue)
    exposure = np.zeros(len(mixture.volatiles))
    for stay in stays:
        if stay.seconds < 0:
            raise Trouble(say("A time in the jug cannot be negative. Correct the minutes."))
        exposure += stay.seconds * _rates(mixture, stay.celsius, surface_cm2, air_m_s)
    masses = mixture.moles * np.array([volatile.molar_mass_g_mol for volatile in mixture.volatiles])
    by_material = sorted(
        (
            (oil.material.key, 100.0 * _share_lost(row, exposure))
            for oil, row in zip(mixture.oils, masses, strict=True)
        ),
        key=lambda pair: -pair[1],
    )
    by_note = []
    for note in Note:
        rows = [
            row
            for oil, row in zip(mixture.oils, masses, strict=True)
            if (notes or {}).get(oil.material.key, oil.material.note) is note
        ]
        if rows:
            total = np.sum(rows, axis=0)
            by_note.append(
                NoteLoss(
                    note,
                    100.0 * _share_lost(total, exposure),
                    100.0 * _share_lost(total, exposure / UNCERTAINTY_FACTOR),
                    100.0 * _share_lost(total, exposure * UNCERTAINTY_FACTOR),
                )
            )
    return Loss(
        tuple(by_note),
        tuple(by_material),
        say(
            "Assumed: an open jug of {surface} cm² in air that moves at {air} m/s; it can be three times less or more.",
            surface=Number(surface_cm2, 0),
            air=Number(air_m_s, 2),
        ),
    )


def _share_lost(masses: Vector, exposure: Vector) -> float:
    total = float(masses.sum())
    return float(masses @ -np.expm1(-exposure)) / total if total > 0 else 0.0


def _rates(mixture: Mixture, celsius: float, surface_cm2: float, air_m_s: float) -> Vector:
    """Share leaving per second for every volatile."""
    t_k = celsius + ZERO_C_K
    total = mixture.all_moles
    gammas = mixture.gammas(t_k)
    rates = np.empty(len(mixture.volatiles))
    for at, volatile in enumerate(mixture.volatiles):
        transfer_m_s = 0.67e-2 * air_m_s**0.78 * (18.0 / volatile.molar_mass_g_mol) ** (1 / 3)
        per_m3 = gammas[at] * volatile.pressure_pa(t_k) / (GAS_J_MOL_K * t_k)
        rates[at] = transfer_m_s * surface_cm2 * 1e-4 * per_m3 / total
    return rates


def open_surface_cm2(inner_diameter_mm: float) -> float:
    """Open surface of a round jug from its inside width."""
    return math.pi * (inner_diameter_mm / 20.0) ** 2
