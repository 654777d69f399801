"""A plan: one recipe revision, worked out for one batch, with its steps.

A plan is frozen into the first event of the session that uses it, so it is
plain data all the way down and survives as JSON.
"""

from __future__ import annotations

from functools import cached_property
from typing import Self

from pydantic import Field

from workbench.core.batch.steps import Step
from workbench.core.catalogue.model import Material, MaterialKind, Row, Text
from workbench.core.catalogue.shelf import StoveKind
from workbench.core.recipe.model import Heat, Recipe


class PlannedLine(Row):
    where: Text  # "base" or "scent"
    material: Text
    name: Text
    exact_g: float
    weigh_g: float
    share_percent: float
    scale: str = ""
    readability_g: float | None = None
    lot: str | None = None
    held_back_g: float = 0.0  # of this carrier, mixed with the scent first
    note: str = ""  # top, middle, base


class PlannedTin(Row):
    number: int
    tin: Text  # key of the tin; "plain" where the batch is a plain mass
    name: Text
    fill_g: float
    keep_back_g: float = 0.0  # for topping up


class PlannedTemperatures(Row):
    """°C; None where it cannot be known, with the reason in `why`."""

    set_point_c: float | None = None
    set_point_sd_k: float = 4.0
    pour_floor_c: float | None = None
    melt_out_c: float | None = None
    melt_ceiling_c: float | None = None
    neat_flash_c: float | None = None
    blend_flash_c: float | None = None
    flash_safe_c: float | None = None
    scented_ceiling_c: float | None = None
    add_below_c: float | None = None
    window_open: bool | None = None
    why: dict[str, str] = Field(default_factory=dict)
    how: dict[str, str] = Field(default_factory=dict)


class PlannedSkin(Row):
    verdict: Text  # within, over, unknown
    over: tuple[str, ...] = ()  # sentences
    unknown: tuple[str, ...] = ()


class Plan(Row):
    recipe: Recipe
    revision: int
    heat: Heat
    stove: StoveKind | None = None
    vessel: str = ""
    vessel_material: str = ""
    thermometer: str = ""
    thermometer_kind: str = ""
    probe_offset_k: float = 0.0
    probe_slope: float = 1.0
    batch_g: float
    lines: tuple[PlannedLine, ...]
    tins: tuple[PlannedTin, ...]
    temperatures: PlannedTemperatures
    skin: PlannedSkin
    steps: tuple[Step, ...]
    steps_by_heat: dict[str, tuple[Step, ...]] = Field(
        default_factory=dict
    )  # from the melt on, per way of heating
    heat_refused: dict[str, str] = Field(default_factory=dict)  # way of heating -> why it may not be used
    rewarm_steps: tuple[Step, ...] = ()  # set too early: back to the bath, then pour what is left
    blockers: tuple[str, ...] = ()  # why it may not be started as it stands
    expected_yield_g: float
    materials: dict[str, Material] = Field(default_factory=dict)  # the rows it was computed with
    edition: str = ""  # of the tables

    def __copy__(self) -> Self:
        """What was worked out once is worked out anew for a copy, which may get other lines."""
        copied = super().__copy__()
        copied.__dict__.pop("brings_fragrance", None)
        return copied

    @cached_property
    def brings_fragrance(self) -> bool:
        """Whether a leftover among the lines has fragrance in it before this batch's own goes in."""
        return any(
            self.materials[line.material].kind is MaterialKind.LEFTOVER
            for line in self.lines
            if line.material in self.materials
        )
