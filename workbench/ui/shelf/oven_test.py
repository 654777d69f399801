"""The water test of a microwave, step by step, kept on it in one change of the shelf."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import ValidationError
from PySide6.QtWidgets import QWidget

from workbench.core.batch.in_jug import probe_sd_k
from workbench.core.catalogue.shelf import Microwave, Shelf, ThermometerKind, WaterTest
from workbench.core.heat.bursts import LEAST_G
from workbench.core.heat.oven_power import CUP_G, by_tests
from workbench.core.heat.water_test import LEAST_BESIDE_G, least_water_g, time_for_test_s, try_oven
from workbench.core.review.learned import with_water_test
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration, Grams
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet
from workbench.ui.widgets.choose import ChooseBox

USUAL, BESIDE = "usual", "beside"
NEEDED = ("water", "before", "seconds", "after")


class OvenTestSheet(GuideSheet):
    """`keep_shelf` saves a shelf and answers with "" or why not; `beside`: begin with a cup beside the jug."""

    def __init__(
        self,
        context: Context,
        oven: str,
        keep_shelf: Callable[[Shelf], str],
        parent: QWidget,
        beside: bool = False,
    ) -> None:
        self._oven, self._keep_shelf = oven, keep_shelf
        self._test: WaterTest | None = None
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
        self.kind = ChooseBox(self.tr("For melts of"), self, 30)
        self.kind.offer(
            [
                (USUAL, self.tr("{least} and more").format(least=w.value(Grams(LEAST_G, 0)))),
                (BESIDE, self.tr("less, with a cup of water beside the jug")),
            ]
        )
        self.kind.show_key(BESIDE if beside else USUAL)
        self.kind.chosen.connect(self._chosen)
        self.probe = ChooseBox(self.tr("Read with"), self, 30)
        probes = context.shelf.thermometers
        self.probe.offer([*((one.key, one.name) for one in probes), ("", self.tr("another one"))])
        best = next((one for one in probes if one.kind is ThermometerKind.PROBE), None)
        self.probe.show_key("" if best is None else best.key)
        self.probe.chosen.connect(lambda _key: self.look_again())
        self.probe.setVisible(bool(probes))
        self.step(self.tr("Say what the test is for, and which thermometer you read."), self.kind, self.probe)
        unit = w.mass_unit
        water = self.field(
            "water", self.tr("Water"), w.read_mass, self.tr("{unit} of water").format(unit=unit)
        )
        self._cup = self.field(
            "cup", self.tr("Water in the cup"), w.read_mass, self.tr("{unit} in the cup").format(unit=unit)
        )
        self._amount = self.step("", water, self._cup)
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
        self._chosen(self.kind.key() or USUAL)
        self.finish()

    def _chosen(self, key: str) -> None:
        """What is warmed: a bowl like the largest batch, or a small glass with a cup beside it."""
        w, held = self._context.writer, self._held()
        beside = key == BESIDE
        self._cup.setVisible(beside)
        self._amount.say(
            self.tr(
                "Weigh as much cold water into a small glass as you melt, {least} to {most}. Stand a cup with about {cup} of cold water beside it, a wooden stick in it; in the batch the same cup stands beside the jug, as full."
            ).format(
                least=w.value(Grams(LEAST_BESIDE_G, 0)),
                most=w.value(Grams(LEAST_G, 0)),
                cup=w.value(Grams(CUP_G, 0)),
            )
            if beside
            else self.tr(
                "Weigh cold water into a glass or ceramic bowl: about as much as your largest batch, and at least {least}."
            ).format(least=w.grams(least_water_g(held) if held is not None else 100))
        )
        self.look_again()

    def _held(self) -> Microwave | None:
        return next((one for one in self._context.shelf.microwaves if one.key == self._oven), None)

    def reckon(self) -> tuple[str, str, bool]:
        w, held, typed = self._context.writer, self._held(), self.values
        self._test = None
        if held is None:
            return self.tr("This microwave is no longer on the shelf."), "", False
        water, cup = typed.get("water"), typed.get("cup", 0.0) if self.beside else 0.0
        self._time.say(
            self.tr(
                "Stand the bowl in the middle of the plate, set full power and a time. Type the time that was set, in seconds."
            )
            if not water or (self.beside and not cup)
            else self.tr(
                "Stand the bowl in the middle of the plate, set full power and {time}, no longer. Type the time that was set, in seconds."
            ).format(time=w.value(Duration(time_for_test_s(held, water, cup))))
        )
        if any(key not in typed for key in (*NEEDED, *(("cup",) if self.beside else ()))):
            return "", self.tr("The result stands here once all the numbers are typed."), False
        try:
            test = self._read(typed, cup)
            found = try_oven(held, test)
        except Trouble as trouble:
            return w.trouble(trouble), "", False
        except ValidationError:
            return (
                self.tr(
                    "One of the numbers cannot be right. Look at the weights, the seconds and both temperatures."
                ),
                "",
                False,
            )
        self._test = test
        more = [w.sentence(text) for text in found.more]
        if (test.before_c, test.after_c) != (test.shown_before_c, test.shown_after_c):
            more.insert(
                0,
                self.tr("By the check of “{probe}” the water was at {before} and {after}.").format(
                    probe=test.thermometer,
                    before=w.degrees(test.before_c, 1),
                    after=w.degrees(test.after_c, 1),
                ),
            )
        early = by_tests(held, None)
        _, fits = with_water_test(self._context.shelf, held.key, test, self._context.today())
        if early is not None and early.early:
            more.append(
                self.tr("If you keep it, it takes the place of the older result, which was a little low.")
            )
        elif not fits:
            more.append(
                self.tr("It does not agree with the earlier test. If you keep it, it takes that one’s place.")
            )
        return w.sentence(found.says), " ".join(more), True

    @property
    def beside(self) -> bool:
        return self.kind.key() == BESIDE

    def _read(self, typed: dict[str, float], cup_g: float) -> WaterTest:
        """The test as read, corrected by the check of its thermometer as every other reading is."""
        probe = next((one for one in self._context.shelf.thermometers if one.key == self.probe.key()), None)

        def true_c(shown_c: float) -> float:
            return shown_c if probe is None else probe.slope * shown_c + probe.offset_k

        return WaterTest(
            day=self._context.today(),
            water_g=typed["water"],
            bowl_g=typed.get("bowl", 0.0),
            cup_g=cup_g,
            before_c=true_c(typed["before"]),
            after_c=true_c(typed["after"]),
            shown_before_c=typed["before"],
            shown_after_c=typed["after"],
            seconds=typed["seconds"],
            thermometer="" if probe is None else probe.name,
            probe_sd_k=probe_sd_k(probe),
        )

    def keep(self) -> str:
        if self._test is None:
            return ""
        shelf, _ = with_water_test(self._context.shelf, self._oven, self._test, self._context.today())
        return self._keep_shelf(shelf)
