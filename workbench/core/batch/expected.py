"""What a plan will take, told before anything is heated: melt, cooling, window, setting, and all of it.

Each time comes from the very model that will look ahead at the stove, asked
with nothing read yet, so its range is as wide as the kitchen is unknown.  It
takes some hundred milliseconds: not in the thread of the window.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from workbench.core.batch import guards
from workbench.core.batch.in_jug import Surroundings, bath_of, before_scent, surroundings
from workbench.core.batch.plan import Plan
from workbench.core.batch.steps import StepKind
from workbench.core.batch.times import Expected, Times, What
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Tin, Vessel
from workbench.core.heat.bath import Bath, contact_says, melt_ahead
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import HYDROCARBON_MOST, LEAST_G
from workbench.core.heat.bursts_ahead import play_bursts
from workbench.core.heat.cooling import loss_says
from workbench.core.heat.forecast import Crossing, Forecast, Reading, forecast
from workbench.core.heat.oven_power import CUP_G, EARLY, by_tests, cup_power
from workbench.core.heat.setting import Setting, Span80, setting
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Degrees, Grams, Kelvins, Millilitres, say

__all__ = ["Expected", "Times", "What", "expected_times"]

MELTED_OVER_K = 2.0  # a melt is taken off when it is clear, a little over its aim
MELTED_SD_K = 2.0


def expected_times(plan: Plan, catalogue: Catalogue) -> Times:
    """Times of every hot part of the plan.  Never raises: what cannot be known is said in its row."""
    return _Reckoning(plan, catalogue).all()


class _Reckoning:
    def __init__(self, plan: Plan, catalogue: Catalogue) -> None:
        self.plan, self.catalogue = plan, catalogue
        self.around: Surroundings = surroundings(plan, catalogue)
        self.whole = Composition.of([(line.material, line.exact_g) for line in plan.lines])
        self.melted = before_scent(self.whole, plan)
        self.observed_c = plan.recipe.observed_set_point_c
        self.doubts: tuple[str, ...] = ()  # about the oven, once the bursts were played through
        aims = [
            step.aim_c
            for step in plan.steps
            if step.kind in (StepKind.MELT_BATH, StepKind.MELT_BURSTS) and step.aim_c is not None
        ]
        self.aim_c = aims[0] if aims else plan.temperatures.melt_out_c

    def all(self) -> Times:
        rows = [self._told(What.MELT, self._melt), *self._cooling(), *self._setting()]
        other = self._other()
        if other is not None:
            rows.append(other)
        rows.append(_total(rows))
        return replace(self._test(), rows=tuple(rows), assumed=self._assumed())

    def _test(self) -> Times:
        """Which water test of the oven this batch lacks, and why; no rows."""
        oven, mass_g = self.around.oven, self.melted.mass_g
        if oven is None or self.plan.heat is not Heat.MICROWAVE:
            return Times((), ())
        if self._wants_a_cup():
            if cup_power(oven, mass_g) is not None:
                return Times((), ())
            return Times(
                (),
                (),
                oven.key,
                say(
                    "So little goes in the water bath, or into the microwave with a cup of {cup} of cold water beside "
                    "the jug, after a water test with that cup. Water and hot wax must never meet, and water from a "
                    "microwave can burst out of its cup when it is moved.",
                    cup=Grams(CUP_G, 0),
                ),
                with_cup=True,
            )
        found = by_tests(oven, mass_g)
        if found is None:
            says = say("This microwave was never tested, so bursts begin shorter than they could be.")
        elif found.early:
            says = say(
                "The water test of this microwave is an early one that reads a little low. Repeat it once."
            )
        else:
            return Times((), ())
        return Times((), (), oven.key, says)

    def _wants_a_cup(self) -> bool:
        """Too little for the microwave by itself, and nothing in it that a cup of water beside it would not help."""
        if not 1 <= self.melted.mass_g < LEAST_G or Heat.MICROWAVE.value in self.plan.heat_refused:
            return False
        try:
            return self._blend(self.melted).hydrocarbon_share <= HYDROCARBON_MOST
        except Trouble:
            return False

    def _told(self, what: What, work: Callable[[], Expected]) -> Expected:
        try:
            return work()
        except Trouble as trouble:
            return Expected(what, None, says=trouble.says)

    def _blend(self, composition: Composition) -> Blend:
        return Blend.of(composition, self.catalogue, self.observed_c)

    # --- melting ---

    def _melt(self) -> Expected:
        if self.aim_c is None:
            return Expected(What.MELT, None, says=self._why("melt_out_c"))
        if self.melted.mass_g < 1:
            return Expected(What.MELT, None, says=say("There is nothing in the base to melt yet."))
        if self.plan.heat is Heat.MICROWAVE:
            return self._bursts(self.aim_c)
        around = self.around
        bath: Bath = bath_of(self.plan, around.room_c, self.catalogue.shelf)
        doubt = contact_says(around.vessel, self.melted.mass_g)
        self.doubts = (doubt,) if doubt else ()
        found = melt_ahead(
            (), self._blend(self.melted), around.vessel, self.melted.mass_g, around.room_c, self.aim_c, bath=bath
        ).molten  # fmt: skip
        if found.median_s is None:
            return Expected(What.MELT, None, says=say("It will not melt out in a bath like this."))
        return Expected(
            What.MELT,
            found.median_s,
            found.low80_s,
            found.high80_s,
            say(
                "a litre of water from {cold} on, held near {hot}, stirred now and then",
                cold=Degrees(bath.start_c, 0),
                hot=Degrees(bath.held_at_c, 0),
            ),
        )

    def _bursts(self, aim_c: float) -> Expected:
        around = self.around
        found = play_bursts(
            self._blend(self.melted),
            around.oven,
            around.vessel,
            self.melted.mass_g,
            around.room_c,
            aim_c,
            self.plan.temperatures.melt_ceiling_c or 95.0,
        )
        cup = say(
            "Reckoned with a cup of {cup} of water beside the jug, never in it or over it.",
            cup=Grams(CUP_G, 0),
        )
        told = tuple(
            each for each in found.doubts if each != EARLY
        )  # which stands beside the offer to repeat it
        self.doubts = (*((cup,) if found.with_cup else ()), *told)
        if found.median_s is None:
            return Expected(What.MELT, None, says=found.says)
        return Expected(What.MELT, found.median_s, found.low80_s, found.high80_s, found.says)

    # --- cooling and the window ---

    def _cooling(self) -> list[Expected]:
        t = self.plan.temperatures
        plain = not any(line.where == "scent" for line in self.plan.lines)
        opens_c = self._opens_c()
        if self.aim_c is None:
            return [Expected(What.COOL, None, says=self._why("melt_out_c"))]
        if opens_c is None:
            return [Expected(What.COOL, None, says=self._why("add_below_c"))]
        if not plain and t.window_open is False:
            return [
                Expected(
                    What.COOL,
                    None,
                    says=say("There is no window: it sets before it is cool enough. See the remedies."),
                )
            ]
        try:
            found = self._forecast(opens_c)
        except Trouble as trouble:
            return [Expected(What.COOL, None, says=trouble.says)]
        cool = _of_crossing(found.crossings[0])
        by = say(
            "from {hot}, when it is clear, to {cool}", hot=Degrees(self._hot_c(), 0), cool=Degrees(opens_c, 0)
        )
        if plain:
            by = say(
                "from {hot}, when it is clear, to pouring at {cool}",
                hot=Degrees(self._hot_c(), 0),
                cool=Degrees(opens_c, 0),
            )
        return [
            Expected(What.COOL, *cool, by, "" if cool[0] is not None else say("It will not cool that far in this room.")),
            self._window(found),
        ]  # fmt: skip

    def _opens_c(self) -> float | None:
        t = self.plan.temperatures
        if any(line.where == "scent" for line in self.plan.lines):
            return None if t.add_below_c is None else t.add_below_c - guards.UNDER_LIMIT_K
        cool = next((step for step in self.plan.steps if step.kind is StepKind.COOL), None)
        return None if cool is None else cool.high_c

    def _hot_c(self) -> float:
        ceiling_c = self.plan.temperatures.melt_ceiling_c
        hot_c = (self.aim_c or 0.0) + MELTED_OVER_K
        return hot_c if ceiling_c is None else min(hot_c, ceiling_c)

    def _forecast(self, opens_c: float) -> Forecast:
        around = self.around
        return forecast(
            (Reading(0.0, self._hot_c()),),
            self._blend(self.melted),
            around.vessel,
            self.melted.mass_g,
            around.room_c,
            below=(opens_c,),
            room_sd_k=around.room_sd_k,
            resolution_k=around.resolution_k,
            probe_sd_k=MELTED_SD_K,
            figures=self.catalogue.heat,
        )

    def _window(self, found: Forecast) -> Expected:
        """From opening to the pour floor; both ends are unsure together, so its ends are those of the floor."""
        opens, floor = found.crossings[0], found.floor
        if floor is None:
            return Expected(What.WINDOW, None, says=say("It does not set, so it can be poured at any time."))
        if opens.median_s is None:
            return Expected(What.WINDOW, None)
        if floor.median_s is None:
            return Expected(What.WINDOW, None, says=say("It stays pourable for hours in this room."))
        lasts = max(floor.median_s - opens.median_s, 0.0)
        low = high = None
        if floor.low80_s is not None and floor.high80_s is not None:
            low = max(lasts - (floor.median_s - floor.low80_s), 0.0)
            high = lasts + (floor.high80_s - floor.median_s)
        scent_g = self.whole.mass_g - self.melted.mass_g
        by = say("until the pour floor at {floor}", floor=Degrees(floor.below_c, 0))
        if scent_g > 0:
            mixed = scent_g / self.whole.mass_g * max(opens.below_c - self.around.room_c, 0.0)
            by = say(
                "until the pour floor at {floor}; what goes in cold takes about {cold} of it at once",
                floor=Degrees(floor.below_c, 0),
                cold=Kelvins(mixed, 0 if mixed >= 1 else 1),
            )
        return Expected(What.WINDOW, lasts, low, high, by)

    # --- in the tins ---

    def _setting(self) -> list[Expected]:
        tins = {each.key: each for each in self.catalogue.shelf.tins}
        planned = [each for each in self.plan.tins if each.tin in tins and each.fill_g > 0]
        if not planned:
            return [Expected(What.MOVABLE, None, says=say("Choose tins, and their setting can be reckoned."))]
        largest = max(planned, key=lambda each: each.fill_g)
        tin: Tin = tins[largest.tin]
        pour_c = self._pour_c()
        if pour_c is None:
            return [Expected(What.MOVABLE, None, says=self._why("pour_floor_c"))]
        try:
            found: Setting = setting(self._blend(self.whole), tin, largest.fill_g, pour_c, self.around.room_c)
        except Trouble as trouble:
            return [Expected(What.MOVABLE, None, says=trouble.says)]
        by = say(
            "“{tin}” with {mass}, poured at {pour}", tin=largest.name, mass=Grams(largest.fill_g, 0), pour=Degrees(pour_c, 0)
        )  # fmt: skip
        rows = []
        for what, span in ((What.SKIN, found.skin), (What.MOVABLE, found.movable), (What.ROOM, found.cool)):
            if span is not None:
                rows.append(_of_span(what, span, by))
        return rows

    def _pour_c(self) -> float | None:
        """Half way between the floor and where the fragrance goes in; without fragrance where pouring begins."""
        t, opens_c = self.plan.temperatures, self._opens_c()
        if t.pour_floor_c is None:
            return opens_c
        return (
            t.pour_floor_c + 2.0 if opens_c is None else max((t.pour_floor_c + opens_c) / 2, t.pour_floor_c)
        )

    # --- the rest ---

    def _other(self) -> Expected | None:
        """Timers that no model reckons: spoon, stirring.  Weighing takes what it takes."""
        kinds = (StepKind.COLD_SPOON, StepKind.STIR)
        total = sum(step.timer_s or 0.0 for step in self.plan.steps if step.kind in kinds)
        return Expected(What.OTHER, total, total, total, say("as timed in the steps")) if total else None

    def _assumed(self) -> tuple[str, ...]:
        around = self.around
        lines: list[str] = []
        if around.vessel is None:
            lines.append(say("No vessel is chosen: a glass one is assumed, and the ranges are wide."))
        else:
            lines.append(_jug_says(self.whole.mass_g, around.vessel))
        lines.append(
            say("A room at {room}, by your shelf.", room=Degrees(around.room_c, 0))
            if self.catalogue.shelf.room_c is not None
            else say("A room at {room}: type yours in on the shelf.", room=Degrees(around.room_c, 0))
        )
        doubt = loss_says(around.vessel, self.melted.mass_g)
        lines += [*((doubt,) if doubt else ()), *self.doubts]
        return tuple(lines)

    def _why(self, name: str) -> str:
        return self.plan.temperatures.why.get(name) or say("It cannot be known from this recipe.")


def _jug_says(mass_g: float, vessel: Vessel) -> str:
    batches = max((row.batches for row in vessel.learned), default=0)
    values = {
        "mass": Grams(mass_g, 0),
        "vessel": vessel.name,
        "holds": Millilitres(vessel.holds_ml, 0),
    }
    if batches == 0:
        return say("{mass} in “{vessel}” ({holds}), of which no batch has taught anything yet.", **values)
    return say(
        "{mass} in “{vessel}” ({holds}), as {count} batches have taught.",
        "{mass} in “{vessel}” ({holds}), as one batch has taught.",
        count=Count(batches),
        **values,
    )


def _of_crossing(found: Crossing) -> tuple[float | None, float | None, float | None]:
    return found.median_s, found.low80_s, found.high80_s


def _of_span(what: What, span: Span80, by: str) -> Expected:
    return Expected(what, span.median_s, span.low80_s, span.high80_s, by)


def _total(rows: list[Expected]) -> Expected:
    """From lighting the stove to tins that may be moved; ranges that do not hang together, by root of squares."""
    parts = [row for row in rows if row.what in (What.MELT, What.COOL, What.MOVABLE, What.OTHER)]
    known = [row for row in parts if row.median_s is not None]
    if len(known) < len(parts) or not known:
        return Expected(What.TOTAL, None, says=say("Not known as long as one of these is not."))
    median = sum(row.median_s or 0.0 for row in known)

    def off(end: Callable[[Expected], float | None]) -> float:
        return math.sqrt(
            sum(((end(row) or row.median_s or 0.0) - (row.median_s or 0.0)) ** 2 for row in known)
        )

    return Expected(
        What.TOTAL,
        median,
        max(median - off(lambda row: row.low80_s), 0.0),
        median + off(lambda row: row.high80_s),
        say("from the cold jug to tins that may be moved; weighing not counted"),
    )
