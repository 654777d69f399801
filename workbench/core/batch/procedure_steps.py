"""The steps of one plan, in order, from preparing to finishing, by either way of heating."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, floor

from workbench.core.batch.bursts import CUP
from workbench.core.batch.guards import BATH, BATH_DRY, FRAGRANCE_IN, UNDER_LIMIT_K
from workbench.core.batch.kitchen import Kitchen
from workbench.core.batch.limits import ABSOLUTE_CEILING_C
from workbench.core.batch.made import HELD_BACK
from workbench.core.batch.plan import PlannedLine, PlannedTemperatures, PlannedTin
from workbench.core.batch.step_making import StepMaker
from workbench.core.batch.steps import Guard, Need, NeedKind, Step, StepKind
from workbench.core.catalogue.model import Material, MaterialKind
from workbench.core.heat.bursts import HYDROCARBON_MOST, LEAST_G
from workbench.core.heat.oven_power import cup_power
from workbench.core.recipe.model import Heat, Recipe
from workbench.core.recipe.scales import decimals_of
from workbench.core.recipe.weighed import Line, Weighed, Where
from workbench.core.wording import Count, Degrees, Grams, say

WEIGHING_TOLERANCE = 0.02  # of the target, at least one digit of the scale
POUR_OVER_FLOOR_K = 8.0  # an unscented balm is poured from here down: hotter only deepens the dip
SPOON_ANSWERS = ("firm", "soft", "hard")
BATH_ANSWERS = ("high enough", "topped up", BATH_DRY)


@dataclass(frozen=True, slots=True)
class ProcedureSteps:
    """The steps of one plan, in order, in parts that can be put together again."""

    maker: StepMaker
    kitchen: Kitchen
    temperatures: PlannedTemperatures
    recipe: Recipe
    weighed: Weighed
    lines: tuple[PlannedLine, ...]
    tins: tuple[PlannedTin, ...]
    materials: Mapping[str, Material]

    @property
    def scented(self) -> bool:
        return any(line.where == Where.SCENT.value for line in self.lines)

    # --- before any heat ---

    def cold(self) -> tuple[Step, ...]:
        return (self._prepare(), *self._weighing(), *(self._mix() if self.scented else ()))

    def _prepare(self) -> Step:
        ticks = ["dry", "air", "lid", *(["probe"] if self.kitchen.probe_due else [])]
        return self.maker.step(
            "prepare",
            StepKind.PREPARE,
            "prepare",
            needs=[self.maker.need(key, NeedKind.TICK) for key in ticks],
            conditions=self.kitchen.wearer,
        )

    def _weighing(self) -> list[Step]:
        return [
            self._drops(line, count) if (count := _drops_of(exact)) else self._weigh(line)
            for exact, line in zip(self.weighed.lines, self.lines, strict=True)
            if line.weigh_g - line.held_back_g > 0 or _drops_of(exact)
        ]

    def _weigh(self, line: PlannedLine) -> Step:
        mass_g = line.weigh_g - line.held_back_g
        scent = line.where == Where.SCENT.value
        return self.maker.step(
            f"weigh:{line.material}",
            StepKind.WEIGH,
            "weigh",
            values={
                "mass": Grams(mass_g, _digits(line)),
                "name": line.name,
                "scale": line.scale or say("your scale"),
            },
            needs=[_mass_need(f"mass:{line.material}", line, mass_g)],
            conditions={"scented"} if scent else (),
        )

    def _drops(self, line: PlannedLine, count: int) -> Step:
        return self.maker.step(
            f"weigh:{line.material}",
            StepKind.WEIGH,
            "weigh_drops",
            values={"count": Count(count), "name": line.name},
            needs=[
                Need(
                    key=f"drops:{line.material}",
                    kind=NeedKind.DROPS,
                    label=line.name,
                    unit="drops",
                    target=count,
                    material=line.material,
                )
            ],
            conditions={"scented"},
        )

    def _mix(self) -> list[Step]:
        held = next((line for line in self.lines if line.held_back_g > 0), None)
        tick = self.maker.need("covered", NeedKind.TICK)
        if held is None:
            return [
                self.maker.step("mix", StepKind.MIX_SCENT, "mix_scent", needs=[tick], conditions={"scented"})
            ]
        return [
            self.maker.step(
                "mix",
                StepKind.MIX_SCENT,
                "mix_premix",
                values={"mass": Grams(held.held_back_g, _digits(held)), "name": held.name},
                needs=[_mass_need(f"mass:{held.material}{HELD_BACK}", held, held.held_back_g), tick],
                conditions={"scented"},
            )
        ]

    # --- from the melt on ---

    def from_melt(self, heat: Heat) -> tuple[Step, ...]:
        fragrance = [self._flame_out(), self._add(), self._stir()] if self.scented else []
        return (self._melt(heat), self._spoon(heat), self._cool(), *fragrance, self._pour(), *self._after())

    def _melt(self, heat: Heat) -> Step:
        bath = heat is Heat.WATER_BATH
        melt_out_c, ceiling_c = self.temperatures.melt_out_c, self._melt_ceiling_c()
        butters = any(material.kind is MaterialKind.BUTTER for material in self.materials.values())
        cup = not bath and self._wants_a_cup()
        needs = [
            *([self.maker.need("flame", NeedKind.TICK)] if self.kitchen.leftover else []),
            *([self.maker.need(CUP, NeedKind.TICK, required=False)] if cup else []),
            *([self._bath()] if bath else []),
            *([self.maker.need("butters", NeedKind.TICK)] if butters else []),
            self.maker.need("clear", NeedKind.TICK),
            self.maker.reading(),
            *(
                []
                if bath
                else [Need(key="burst", kind=NeedKind.BURST, label=say("Bursts"), unit="s", required=False)]
            ),
        ]
        limits = (
            Guard.ABSOLUTE_CEILING,
            Guard.SCENTED_CEILING if self.kitchen.leftover else Guard.MELT_CEILING,
        )
        return self.maker.step(
            "melt:bath" if bath else "melt:bursts",
            StepKind.MELT_BATH if bath else StepKind.MELT_BURSTS,
            "melt_bath" if bath else "melt_bursts",
            values={
                "order": ", ".join(self._melting_order()),
                "aim": Degrees(ceil(melt_out_c or 0.0), 0),
                "high": Degrees(floor(ceiling_c), 0),  # a ceiling is never rounded up
            },
            known=melt_out_c is not None,
            needs=needs,
            guards=(*limits, Guard.FRESH_READING, *((Guard.BOIL_DRY,) if bath else ())),
            conditions=self.kitchen.hot(
                *self.kitchen.heated_by(heat), *self._leftover_word(), *(["cup"] if cup else [])
            ),
            hot=True,
            heat_on=True,
            scented=self.kitchen.leftover,
            flame_allowed=not self.kitchen.leftover,
            aim_c=melt_out_c,
            low_c=None if melt_out_c is None else melt_out_c - 3.0,
            high_c=ceiling_c,
        )

    def _wants_a_cup(self) -> bool:
        """Too little for the microwave by itself, in an oven that was tested with a cup of water beside so little."""
        grams = {
            line.material: line.exact_g - line.held_back_g
            for line in self.lines
            if line.where == Where.BASE.value
        }
        whole_g = sum(grams.values())
        oily = sum(
            mass
            for key, mass in grams.items()
            if key in self.materials and self.materials[key].carrier_family == "hydrocarbon"
        )
        if not 0 < whole_g < LEAST_G or oily > HYDROCARBON_MOST * whole_g:
            return False
        return cup_power(self.kitchen.oven, whole_g) is not None

    def _spoon(self, heat: Heat) -> Step:
        bath = heat is Heat.WATER_BATH
        limits = (
            Guard.ABSOLUTE_CEILING,
            Guard.SCENTED_CEILING if self.kitchen.leftover else Guard.MELT_CEILING,
        )
        return self.maker.step(
            "spoon",
            StepKind.COLD_SPOON,
            "cold_spoon",
            needs=[
                self.maker.need("firmness", NeedKind.CHOICE, choices=SPOON_ANSWERS),
                self.maker.reading(required=False),
                *([self._bath(required=False)] if bath else []),
            ],
            guards=(*limits, *((Guard.FRESH_READING, Guard.BOIL_DRY) if bath else ())),
            conditions=self.kitchen.hot(*self.kitchen.heated_by(heat), *self._leftover_word()),
            hot=True,
            heat_on=bath,
            scented=self.kitchen.leftover,
            flame_allowed=not self.kitchen.leftover,
            high_c=self._melt_ceiling_c(),
        )

    def _cool(self) -> Step:
        floor_c = self.temperatures.pour_floor_c
        high_c = self._cool_to_c()
        return self.maker.step(
            "cool",
            StepKind.COOL,
            "cool" if self.scented else "cool_plain",
            values={"high": Degrees(high_c or 0.0), "low": Degrees(floor_c or 0.0)},
            known=high_c is not None and floor_c is not None,
            needs=[self.maker.reading()],
            guards=(Guard.ABSOLUTE_CEILING,),
            conditions=self.kitchen.hot(*self._leftover_word()),
            hot=True,
            scented=self.kitchen.leftover,
            flame_allowed=not self.kitchen.leftover,
            aim_c=high_c,
            low_c=floor_c,
            high_c=high_c,
        )

    def _flame_out(self) -> Step:
        hob = self.kitchen.stove in ("electric", "induction")
        return self.maker.step(
            "flame",
            StepKind.FLAME_OUT,
            "flame_out",
            needs=[
                self.maker.need("flame", NeedKind.TICK),
                *([self.maker.need("away", NeedKind.TICK)] if hob else []),
            ],
            guards=(Guard.ABSOLUTE_CEILING,),
            conditions={"scented", self.kitchen.stove},
            hot=True,
            flame_allowed=False,
        )

    def _add(self) -> Step:
        scent_g = sum(line.weigh_g for line in self.lines if line.where == Where.SCENT.value)
        held_g = sum(line.held_back_g for line in self.lines)
        high_c = self._cool_to_c()
        return self.maker.step(
            "add",
            StepKind.ADD_FRAGRANCE,
            "add",
            values={"mass": Grams(scent_g + held_g), "high": Degrees(high_c or 0.0)},
            known=high_c is not None,
            needs=[self.maker.reading(), self.maker.need(FRAGRANCE_IN, NeedKind.TICK)],
            guards=(Guard.FLASH_SAFE, Guard.SCENTED_CEILING, Guard.STIRRED_READING),
            conditions=self.kitchen.hot("scented", self.kitchen.stove),
            hot=True,
            scented=True,
            flame_allowed=False,
            aim_c=high_c,
            low_c=self.temperatures.pour_floor_c,
            high_c=high_c,
        )

    def _stir(self) -> Step:
        return self.maker.step(
            "stir",
            StepKind.STIR,
            "stir",
            needs=[self.maker.reading(required=False)],
            guards=(Guard.FLASH_SAFE, Guard.SCENTED_CEILING, Guard.STIRRED_READING),
            conditions=self.kitchen.hot("scented"),
            hot=True,
            scented=True,
            flame_allowed=False,
            low_c=self.temperatures.pour_floor_c,
            high_c=self._scented_ceiling_c(),
        )

    def _pour(self) -> Step:
        scented = self.scented or self.kitchen.leftover
        limits = (
            (Guard.SCENTED_CEILING, Guard.FLASH_SAFE, Guard.STIRRED_READING)
            if scented
            else (Guard.ABSOLUTE_CEILING,)
        )
        floor_c = self.temperatures.pour_floor_c
        return self.maker.step(
            "pour:1",
            StepKind.POUR,
            "pour",
            values={
                "tins": say("{count} tins", "one tin", count=Count(len(self.tins))),
                "keep_back": Grams(sum(tin.keep_back_g for tin in self.tins)),
                "low": Degrees(floor_c or 0.0),
            },
            known=floor_c is not None,
            needs=[
                self.maker.reading(),
                *(self._tin_need(tin, NeedKind.MASS, kept_back=True) for tin in self.tins),
            ],
            guards=(Guard.POUR_FLOOR, *limits),
            conditions=self.kitchen.hot(*(("scented",) if scented else ())),
            hot=True,
            scented=scented,
            flame_allowed=not scented,
            low_c=floor_c,
            high_c=self._scented_ceiling_c() if scented else None,
        )

    def rewarm(self) -> tuple[Step, ...]:
        """The step that warms a jug again that set too early; then it is poured on."""
        scented = self.scented or self.kitchen.leftover
        high_c = self._scented_ceiling_c() if self.scented else self._melt_ceiling_c()
        floor_c = self.temperatures.pour_floor_c
        limit = Guard.SCENTED_CEILING if scented else Guard.MELT_CEILING
        return (
            self.maker.step(
                "rewarm",
                StepKind.MELT_BATH,
                "rewarm",
                values={"high": Degrees(floor(high_c or 0.0), 0)},
                known=high_c is not None,
                needs=[
                    *([self.maker.need("flame", NeedKind.TICK)] if scented else []),
                    self._bath(),
                    self.maker.reading(),
                ],
                guards=(Guard.ABSOLUTE_CEILING, limit, Guard.FRESH_READING, Guard.BOIL_DRY),
                conditions=self.kitchen.hot(
                    *self.kitchen.heated_by(Heat.WATER_BATH), *(("scented",) if scented else ())
                ),
                hot=True,
                heat_on=True,
                scented=scented,
                flame_allowed=not scented,
                aim_c=None if floor_c is None else floor_c + POUR_OVER_FLOOR_K / 2,
                low_c=floor_c,
                high_c=high_c,
            ),
        )

    # --- when it is poured ---

    def _after(self) -> list[Step]:
        make, need = self.maker.step, self.maker.need
        scented = self.scented or self.kitchen.leftover
        high_c = self._scented_ceiling_c()
        return [
            make("set", StepKind.SET, "set"),
            make(
                "inspect",
                StepKind.INSPECT,
                "inspect",
                needs=[need("depth", NeedKind.DEPTH, unit="mm", target=0.0, low=0.0)],
            ),
            make(
                "mend",
                StepKind.MEND,
                "mend",
                values={"high": Degrees(floor(high_c or 0.0), 0)},
                known=high_c is not None,
                needs=[
                    need("mended", NeedKind.TICK),
                    self.maker.reading(required=False),
                ],
                guards=(Guard.SCENTED_CEILING if scented else Guard.ABSOLUTE_CEILING,),
                conditions=self.kitchen.hot("heat-gun", "water-bath", *(("scented",) if scented else ())),
                hot=True,
                scented=scented,
                flame_allowed=not scented,
                optional=True,
                high_c=high_c if scented else None,
            ),
            make("rest", StepKind.REST, "rest"),
            make(
                "weigh_tins",
                StepKind.WEIGH_TINS,
                "weigh_tins",
                needs=[self._tin_need(tin, NeedKind.MASS, kept_back=False) for tin in self.tins],
            ),
            make(
                "clean",
                StepKind.CLEAN,
                "clean",
                needs=[need("wiped", NeedKind.TICK)],
                conditions={"cleaning"},
            ),
            make(
                "finish",
                StepKind.FINISH,
                "finish",
                needs=[need("remarks", NeedKind.WORDS, required=False)],
                conditions={"worn", *(self.kitchen.wearer & {"sun", "phototoxic", "selling"})},
            ),
        ]

    # --- small parts ---

    def _bath(self, *, required: bool = True) -> Need:
        return self.maker.need(BATH, NeedKind.CHOICE, choices=BATH_ANSWERS, required=required)

    def _leftover_word(self) -> tuple[str, ...]:
        return ("scented",) if self.kitchen.leftover else ()

    def _tin_need(self, tin: PlannedTin, kind: NeedKind, *, kept_back: bool) -> Need:
        target = tin.fill_g - tin.keep_back_g if kept_back else tin.fill_g
        return self.maker.need(
            f"tin:{tin.number}",
            kind,
            label=say(self.maker.table.needs["tin"], number=tin.number, name=tin.name),
            unit="g",
            target=round(target, 2),
        )

    def _melting_order(self) -> list[str]:
        """Highest melting first, what is liquid after that, butters last and briefly."""
        base = [line for line in self.lines if line.where == Where.BASE.value]

        def rank(line: PlannedLine) -> tuple[int, float]:
            material = self.materials[line.material]
            melts_c = -273.0 if material.melting_c is None else material.melting_c.high
            return (1 if material.kind is MaterialKind.BUTTER else 0, -melts_c)

        return [line.name for line in sorted(base, key=rank)]

    def _melt_ceiling_c(self) -> float:
        ceiling_c = self.temperatures.melt_ceiling_c
        return ABSOLUTE_CEILING_C if ceiling_c is None else min(ceiling_c, ABSOLUTE_CEILING_C)

    def _scented_ceiling_c(self) -> float | None:
        ceiling_c = self.temperatures.scented_ceiling_c
        return None if ceiling_c is None else min(ceiling_c, ABSOLUTE_CEILING_C)

    def _cool_to_c(self) -> float | None:
        """The highest stirred reading with which the next step may begin."""
        temperatures = self.temperatures
        if not self.scented:
            floor_c = temperatures.pour_floor_c
            return None if floor_c is None else floor_c + POUR_OVER_FLOOR_K
        limit_c = (
            temperatures.scented_ceiling_c if self.recipe.add_above_flash_safe else temperatures.add_below_c
        )
        return None if limit_c is None else round(limit_c - UNDER_LIMIT_K, 1)


def _mass_need(key: str, line: PlannedLine, mass_g: float) -> Need:
    """A weight with the tolerance that is shown: 2 %, at least one digit of the scale."""
    digit_g = line.readability_g or 0.01
    tolerance_g = max(digit_g, WEIGHING_TOLERANCE * mass_g)
    digits = decimals_of(digit_g)
    return Need(
        key=key,
        kind=NeedKind.MASS,
        label=line.name,
        unit="g",
        target=round(mass_g, 6),
        low=round(max(0.0, mass_g - tolerance_g), digits),
        high=round(mass_g + tolerance_g, digits),
        material=line.material,
        scale=line.scale,
    )


def _digits(line: PlannedLine) -> int:
    return decimals_of(line.readability_g or 0.01)


def _drops_of(line: Line) -> int:
    """How many drops to count of a line that no scale at hand can weigh; 0 where it is weighed."""
    if line.weighable or line.where is not Where.SCENT:
        return 0
    return next((way.drops.typical for way in line.ways_out if way.drops is not None), 0)
