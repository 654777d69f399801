"""The water test of a microwave, step by step, kept on it in one change of the shelf."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.shelf import Microwave, Shelf
from workbench.core.heat.water_test import Tested, least_water_g, time_for_test_s, try_oven
from workbench.core.review.learned import with_water_test
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet

NEEDED = ("water", "before", "seconds", "after")


class OvenTestSheet(GuideSheet):
    """`keep_shelf` saves a shelf and answers with "" or why not."""

    def __init__(
        self, context: Context, oven: str, keep_shelf: Callable[[Shelf], str], parent: QWidget
    ) -> None:
        self._oven, self._keep_shelf = oven, keep_shelf
        self._tested: Tested | None = None
        super().__init__(context, "", "", parent)
        held = self._held()
        self.say_head(
            self.tr("Test “{oven}” with water").format(oven=held.name if held is not None else oven),
            self.tr(
                "Five minutes, once per oven. It tells how many watts really reach a small amount, and how long the first bursts may be."
            ),
        )
        self.caution("water_superheats", "water_test_metal")
        w = context.writer
        self.step(
            self.tr(
                "Weigh cold water into a glass or ceramic bowl: about as much as your largest batch, and at least {least}."
            ).format(least=w.grams(least_water_g(held) if held is not None else 100)),
            self.mass("water", self.tr("Water")),
        )
        self.step(
            self.tr(
                "If you know what the empty bowl weighs, type it: it warms too. Leave it empty otherwise."
            ),
            self.mass("bowl", self.tr("Empty bowl")),
        )
        self.step(
            self.tr("Stir the water, read it and type what the thermometer shows."),
            self.degrees("before", self.tr("Water before")),
        )
        self._time = self.step("", self.field("seconds", self.tr("Seconds"), w.read_plain, self.tr("s")))
        self.step(
            self.tr(
                "When it stops, wait ten seconds and open. Put a wooden stick or spoon in before you move the bowl, stir well, read at once and type it."
            ),
            self.degrees("after", self.tr("Water after")),
        )
        self.finish()

    def _held(self) -> Microwave | None:
        return next((one for one in self._context.shelf.microwaves if one.key == self._oven), None)

    def reckon(self) -> tuple[str, str, bool]:
        w, held, typed = self._context.writer, self._held(), self.values
        self._tested = None
        if held is None:
            return self.tr("This microwave is no longer on the shelf."), "", False
        water = typed.get("water")
        self._time.say(
            self.tr(
                "Stand the bowl in the middle of the plate, set full power and a time. Type the time that was set, in seconds."
            )
            if not water
            else self.tr(
                "Stand the bowl in the middle of the plate, set full power and {time}, no longer. Type the time that was set, in seconds."
            ).format(time=w.value(Duration(time_for_test_s(held, water))))
        )
        if any(key not in typed for key in NEEDED):
            return "", self.tr("The result stands here once the four numbers are typed."), False
        try:
            self._tested = try_oven(
                held, typed["water"], typed["before"], typed["after"], typed["seconds"], bowl_g=typed.get("bowl", 0.0)
            )  # fmt: skip
        except Trouble as trouble:
            return w.trouble(trouble), "", False
        more = [w.sentence(text) for text in self._tested.more]
        _, fits = with_water_test(self._context.shelf, held.key, self._tested.power, self._context.today())
        if not fits:
            more.append(
                self.tr("It does not agree with the earlier test. If you keep it, it takes that one’s place.")
            )
        return w.sentence(self._tested.says), " ".join(more), True

    def keep(self) -> str:
        if self._tested is None:
            return ""
        shelf, _ = with_water_test(self._context.shelf, self._oven, self._tested.power, self._context.today())
        return self._keep_shelf(shelf)
