"""Preferences: units, look, text size, language; each takes effect at once."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from workbench.core.units import MassUnit, Spoons, TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.editor.intent import TextField
from workbench.ui.editor.panel import Form
from workbench.ui.preferences import TEXT_SIZES
from workbench.ui.theme import Scheme, as_role, theme_now
from workbench.ui.widgets.basic import Panel, Scroller, Words, column, page, row, rule
from workbench.ui.widgets.choose import ChooseBox

LABEL_EM = 11  # one width for the names in all three parts


class SettingsPage(QWidget):
    """changed(dict)  fields of the preferences with their new values"""

    changed = Signal(dict)

    def __init__(
        self, context: Context, languages: list[tuple[str, str]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._context = context
        as_role(self, "page")
        self._boxes: dict[str, ChooseBox] = {}
        look = Panel(self.tr("Look"))
        form = Form(LABEL_EM)
        self._box(form, "scheme", self.tr("&Colours"), [
            (Scheme.SYSTEM.value, self.tr("as the computer has it")),
            (Scheme.LIGHT.value, self.tr("paper and ink")),
            (Scheme.DARK.value, self.tr("lamp light")),
            (Scheme.HIGH_CONTRAST.value, self.tr("high contrast")),
        ])  # fmt: skip
        self._box(
            form, "text_percent", self.tr("&Text size"), [(str(size), f"{size} %") for size in TEXT_SIZES]
        )
        self._box(
            form,
            "bench_percent",
            self.tr("Letters at the bench"),
            [(str(size), f"{size} %") for size in TEXT_SIZES],
        )
        self._box(
            form, "language", self.tr("&Language"), [("", self.tr("as the computer has it")), *languages]
        )
        if len(languages) > 1:
            form.add("", Words(self.tr("in the whole window from the next start on"), "muted"))
        look.body.addLayout(form)
        units = Panel(self.tr("Units"), self.tr("everywhere, at once; both ways of typing are always read"))
        form = Form(LABEL_EM)
        self._box(form, "mass", self.tr("&Mass"), [
            (MassUnit.GRAM.value, self.tr("grams")),
            (MassUnit.OUNCE.value, self.tr("ounces (28.35 g)")),
        ])  # fmt: skip
        self._box(form, "temperature", self.tr("T&emperature"), [
            (TemperatureUnit.CELSIUS.value, self.tr("°C, Celsius")),
            (TemperatureUnit.FAHRENHEIT.value, self.tr("°F, Fahrenheit")),
        ])  # fmt: skip
        self._box(form, "spoons", self.tr("&Spoons"), [
            (Spoons.METRIC.value, self.tr("metric: 5 and 15 mL")),
            (Spoons.US.value, self.tr("US: 4.93 and 14.79 mL")),
            (Spoons.US_LABELLING.value, self.tr("US, as on food labels: 5 and 15 mL")),
        ])  # fmt: skip
        self._box(form, "decimal_comma", self.tr("&Decimals"), [
            ("no", self.tr("1.5, with a point")),
            ("yes", self.tr("1,5, with a comma")),
        ])  # fmt: skip
        units.body.addLayout(form)
        batch = Panel(self.tr("At a batch"))
        form = Form(LABEL_EM)
        self.maker = TextField(self.tr("Your initials"))
        self.maker.setMaxLength(8)
        self.maker.editingFinished.connect(self._maker)
        form.add(self.tr("&Your initials, for the record"), row(self.maker, 1), self.maker)
        self._box(
            form,
            "sound_percent",
            self.tr("Loudness of tones"),
            [(str(level), f"{level} %" if level else self.tr("silent")) for level in (0, 40, 80, 100)],
        )
        self.speech = QCheckBox(self.tr("Speak alarms where this computer can"))
        self.speech.toggled.connect(self._speech)
        form.add_wide(self.speech)
        batch.body.addLayout(form)
        content = column(Words(self.tr("Preferences"), "title"), look, rule(), units, rule(), batch, 1, gap=5)
        self._inner = page(content, margin=8)
        middle = row(1, self._inner, 1)
        middle.setStretch(1, 20)
        whole = column(Scroller(page(middle, margin=0)), gap=0)
        self.setLayout(whole)
        context.preferences_changed.connect(self.show_preferences)
        self.show_preferences()

    def _box(self, form: Form, key: str, name: str, entries: list[tuple[str, str]]) -> None:
        made = ChooseBox(name.replace("&", ""), self, 22)
        made.offer(entries)
        made.setProperty("key", key)
        made.chosen.connect(self._chosen)
        self._boxes[key] = made
        form.add(name, row(made, 1), made)

    def show_preferences(self) -> None:
        held = self._context.preferences
        for key, made in self._boxes.items():
            value = getattr(held, key)
            made.show_key("yes" if value is True else "no" if value is False else str(value))
        self.maker.show_text(held.maker)
        self.speech.setChecked(held.speech)
        self._inner.setMaximumWidth(theme_now().em() * 48)

    def _chosen(self, value: str) -> None:
        key = str(self.sender().property("key"))
        held: object = value
        if key.endswith("_percent"):
            held = int(value)
        elif key == "decimal_comma":
            held = value == "yes"
        self.changed.emit({key: held})

    def _maker(self) -> None:
        if self.maker.text().strip() != self._context.preferences.maker:
            self.changed.emit({"maker": self.maker.text().strip()})

    def _speech(self, on: bool) -> None:
        if on != self._context.preferences.speech:
            self.changed.emit({"speech": on})
