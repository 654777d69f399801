"""Under a row of the shelf: a measurement that can be made of it, and what is known of it by now."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.shelf import Lot, Microwave, Shelf, Thermometer, ThermometerKind, Vessel
from workbench.core.heat.oven_power import by_tests
from workbench.core.review.learned import about_lot, about_oven, about_vessel
from workbench.ui.context import Context
from workbench.ui.shelf.drop_test import DropTestSheet
from workbench.ui.shelf.guide import GuideSheet
from workbench.ui.shelf.learned_box import LearnedBox
from workbench.ui.shelf.oven_test import OvenTestSheet
from workbench.ui.shelf.probe_check import ProbeCheckSheet
from workbench.ui.widgets.basic import Words, button, column, row

Sheet = Callable[[Context, str, Callable[[Shelf], str], QWidget], GuideSheet]
SHEETS: dict[str, Sheet] = {
    "lots": DropTestSheet,
    "thermometers": ProbeCheckSheet,
    "microwaves": OvenTestSheet,
}


class Measuring(QWidget):
    """`keep_shelf` saves a shelf and answers with "" or why not."""

    def __init__(
        self,
        context: Context,
        attribute: str,
        keep_shelf: Callable[[Shelf], str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._attribute, self._keep_shelf = context, attribute, keep_shelf
        self._key = ""
        self.why = Words("", "muted")
        self.begin = button(self._name(), lambda: self.measure())
        self._offer = QWidget()
        self._offer.setLayout(column(self.why, row(self.begin, 1), gap=1))
        self.learned = LearnedBox(context, keep_shelf)
        self.setLayout(column(self._offer, self.learned, gap=3))
        self.sheet: GuideSheet | None = None

    def show_row(self, one: Any) -> None:
        """The row that is chosen now."""
        self._key = one.key
        self._offer.setVisible(self._attribute in SHEETS and self._can(one))
        self.why.say(self._why(one))
        self.learned.show_about(self._about(one))

    def measure(self, beside: bool = False) -> None:
        """Open the sheet; what it finds is kept with the row.  `beside`: of a microwave, with a cup of water."""
        make = SHEETS.get(self._attribute)
        if make is None or not self._key:
            return
        if beside and self._attribute == "microwaves":
            sheet: GuideSheet = OvenTestSheet(self._context, self._key, self._keep_shelf, self.window(), True)
        else:
            sheet = make(self._context, self._key, self._keep_shelf, self.window())
        sheet.finished.connect(self._closed)
        self.sheet = sheet
        sheet.open()

    def _closed(self, _result: int) -> None:
        self.sheet = None
        self.begin.setFocus()

    def _name(self) -> str:
        return {
            "lots": self.tr("Weigh its drops …"),
            "thermometers": self.tr("Check it in ice and at the boil …"),
            "microwaves": self.tr("Test it with water …"),
        }.get(self._attribute, "")

    def _can(self, one: Any) -> bool:
        if isinstance(one, Thermometer):
            return one.kind is ThermometerKind.PROBE
        if isinstance(one, Lot):
            material = self._context.catalogue.materials.get(one.material)
            return material is not None and material.kind.is_scent
        return isinstance(one, Microwave)

    def _why(self, one: Any) -> str:
        if isinstance(one, Thermometer):
            if one.checked is None:
                return self.tr("Never checked. A check takes ten minutes and makes every limit surer.")
            return self.tr("Do it again after a fall, and every half year.")
        if isinstance(one, Microwave):
            found = by_tests(one, None)
            if found is not None and found.early:
                return self.tr(
                    "Repeat it once. Of the earlier test only the result was kept, by a formula that still counted the seconds in which an oven only starts: it is 2 to 10 % low."
                )
            if found is not None:
                return self.tr("Again when bursts warm more or less than foretold; tests are averaged.")
            return self.tr("Never tested: the first bursts are shorter than they could be.")
        return self.tr("Typical drops are counted with until its own were weighed.")

    def _about(self, one: Any) -> str:
        if isinstance(one, Vessel):
            return about_vessel(one.key)
        if isinstance(one, Microwave):
            return about_oven(one.key)
        return about_lot(one.key) if isinstance(one, Lot) else ""
