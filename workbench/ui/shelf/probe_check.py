"""The check of a thermometer in ice water and at the boil, and how its readings are corrected after it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.shelf import Shelf, Thermometer
from workbench.core.heat.thermometer import ProbeCheck, check_probe
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet
from workbench.ui.widgets.choose import ChooseBox

HEIGHT, PRESSURE = "height", "pressure"
SHOWN_C = (40.0, 60.0, 80.0)


class ProbeCheckSheet(GuideSheet):
    """`keep_shelf` saves a shelf and answers with "" or why not."""

    def __init__(
        self, context: Context, probe: str, keep_shelf: Callable[[Shelf], str], parent: QWidget
    ) -> None:
        self._probe, self._keep_shelf = probe, keep_shelf
        self._check: ProbeCheck | None = None
        super().__init__(context, "", "", parent)
        held = self._held()
        self.say_head(
            self.tr("Check “{probe}”").format(probe=held.name if held is not None else probe),
            self.tr(
                "Two temperatures that nature fixes show how far the thermometer is off. One of them alone helps too; both tell more."
            ),
        )
        self.caution("boiling_water")
        self.step(
            self.tr(
                "Fill a glass with crushed ice and a little cold water, stir and wait three minutes. Hold the tip in the middle, off glass and ice, until the display rests. Type what it shows."
            ),
            self.degrees("ice", self.tr("In ice water")),
        )
        self.step(
            self.tr(
                "Bring plain water to a rolling boil. Hold the tip in the water, off the bottom, until the display rests. Type what it shows."
            ),
            self.degrees("boil", self.tr("In boiling water")),
        )
        self.by = ChooseBox(self.tr("By"), self, 22)
        self.by.offer(
            [
                (HEIGHT, self.tr("height above sea level")),
                (PRESSURE, self.tr("air pressure at your place")),
            ]
        )
        self.by.show_key(HEIGHT)
        self.by.chosen.connect(self._chosen)
        self.height_field = self.field(
            "height", self.tr("Height above sea level"), context.writer.read_signed, "m"
        )
        self.pressure_field = self.field(
            "pressure", self.tr("Air pressure"), context.writer.read_plain, "hPa"
        )
        self.step(
            self.tr(
                "Water boils colder on a hill. Say how high you are; an air pressure read today, not reduced to sea level, is closer."
            ),
            self.by,
            self.height_field,
            self.pressure_field,
        )
        self.pressure_field.hide()
        self.finish()

    def _held(self) -> Thermometer | None:
        return next((one for one in self._context.shelf.thermometers if one.key == self._probe), None)

    def _chosen(self, key: str) -> None:
        self.height_field.setVisible(key == HEIGHT)
        self.pressure_field.setVisible(key == PRESSURE)
        self.look_again()

    def reckon(self) -> tuple[str, str, bool]:
        w, held, typed = self._context.writer, self._held(), self.values
        self._check = None
        if held is None:
            return self.tr("This thermometer is no longer on the shelf."), "", False
        ice, boil = typed.get("ice"), typed.get("boil")
        by_height = self.by.key() == HEIGHT
        place = typed.get(HEIGHT if by_height else PRESSURE)
        if ice is None and boil is None:
            return "", self.tr("The result stands here once a reading is typed."), False
        if boil is not None and place is None:
            return (
                "",
                self.tr("Type the height or the air pressure, too: the boiling point hangs on it."),
                False,
            )
        try:
            self._check = check_probe(
                ice,
                boil,
                height_m=place if by_height else None,
                pressure_hpa=None if by_height else place,
                resolution_k=held.resolution_k,
            )
        except Trouble as trouble:
            return w.trouble(trouble), "", False
        found = self._check
        lines = [w.sentence(text) for text in found.warns]
        shown = [
            self.tr("{raw} becomes {true}").format(
                raw=w.degrees(raw, 1), true=w.degrees(found.corrected_c(raw), 1)
            )
            for raw in SHOWN_C
        ]
        lines.append(self.tr("From then on: {list}.").format(list=", ".join(shown)))
        lines.append(self.tr("What the thermometer showed is kept beside every corrected reading."))
        return w.sentence(found.says), "\n".join(lines), True

    def keep(self) -> str:
        found, held = self._check, self._held()
        if found is None or held is None:
            return ""
        checked = held.model_copy(
            update={
                "offset_k": round(found.offset_k, 3),
                "slope": round(found.slope, 5),
                "checked": self._context.today(),
                "dropped_since": False,
            }
        )
        shelf = self._context.shelf
        rows = tuple(checked if one.key == held.key else one for one in shelf.thermometers)
        return self._keep_shelf(shelf.model_copy(update={"thermometers": rows}))
