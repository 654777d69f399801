"""Fields of a shelf row: each reads, writes and explains one value."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.editor.intent import TextField
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed
from workbench.ui.writing import Writer


class FieldKind(StrEnum):
    WORDS = "words"
    NUMBER = "number"
    MASS = "mass"
    HEAT = "temperature"
    KELVIN = "difference"
    DAY = "day"
    CHOICE = "choice"
    TICK = "tick"


Entries = Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One value of a row: its field name, what it is called, how it is typed."""

    key: str
    name: str
    kind: FieldKind = FieldKind.WORDS
    unit: str = ""
    hint: str = ""
    entries: Callable[[], Entries] | None = None
    needed: bool = False
    only_if: Callable[[Any], bool] | None = None  # shown for rows for which this holds


class FieldEditor(QObject):
    """The widget of one field.  settled(value) carries what was typed, None for nothing."""

    settled = Signal(object)
    refused = Signal(str)

    def __init__(self, spec: FieldSpec, writer: Callable[[], Writer], parent: QWidget) -> None:
        super().__init__(parent)
        self.spec, self._writer = spec, writer
        self.widget: QWidget
        self._number: NumberField | None = None
        self._words: TextField | None = None
        self._box: ChooseBox | None = None
        self._tick: QCheckBox | None = None
        kind = spec.kind
        if kind is FieldKind.TICK:
            self._tick = QCheckBox(spec.name)
            self._tick.toggled.connect(self._toggled)
            self.widget = self._tick
        elif kind is FieldKind.CHOICE:
            self._box = ChooseBox(spec.name, parent, 18)
            self._box.chosen.connect(self._picked)
            self.widget = self._box
        elif kind in (FieldKind.WORDS, FieldKind.DAY):
            self._words = TextField(spec.name)
            self._words.setPlaceholderText(spec.hint)
            self._words.editingFinished.connect(self._typed_words)
            self.widget = self._words
        else:
            self._number = NumberField(spec.name, self._read, self._unit(), 8)
            self._number.edit.setPlaceholderText(spec.hint)
            self._number.recorded.connect(self._typed_number)
            self._number.left_empty.connect(self._emptied)
            self.widget = self._number
        self._showing = False
        self._day: date | None = None

    @property
    def focus(self) -> QWidget:
        return self._number.edit if self._number is not None else self.widget

    def show_value(self, value: Any) -> None:
        w = self._writer()
        self._showing = True
        if self._tick is not None:
            self._tick.setChecked(bool(value))
        elif self._box is not None:
            self._box.offer(self.spec.entries() if self.spec.entries is not None else ())
            self._box.show_key("" if value is None else str(value))
        elif self._words is not None:
            self._words.show_text("" if value is None else str(value))
        elif self._number is not None:
            self._number.show_unit(self._unit())
            self._number.show_text("" if value is None else self._text(float(value), w))
        self._showing = False

    def refuse(self, says: str) -> None:
        if self._number is not None:
            self._number.refuse(says)
        else:
            self.refused.emit(says)

    def _unit(self) -> str:
        w = self._writer()
        kind = self.spec.kind
        if kind is FieldKind.MASS:
            return w.mass_unit
        return w.heat_unit if kind in (FieldKind.HEAT, FieldKind.KELVIN) else self.spec.unit

    def _text(self, value: float, w: Writer) -> str:
        kind = self.spec.kind
        if kind is FieldKind.MASS:
            return w.mass_text(value)
        if kind is FieldKind.HEAT:
            return w.heat_text(value)
        if kind is FieldKind.KELVIN:
            return w.short(value * (1.8 if w.heat_unit == "°F" else 1.0), 3).replace("-", "−")
        return w.short(value, 4)

    def _read(self, text: str) -> float:
        w, kind = self._writer(), self.spec.kind
        if kind is FieldKind.MASS:
            return w.read_mass(text)
        if kind is FieldKind.HEAT:
            return w.read_degrees(text)
        if kind is FieldKind.KELVIN:
            return w.read_signed(text) / (1.8 if w.heat_unit == "°F" else 1.0)
        return w.read_plain(text)

    def _typed_number(self, typed: Typed) -> None:
        self.settled.emit(float(typed.value))

    def _picked(self, key: str) -> None:
        self.settled.emit(key)

    def _emptied(self) -> None:
        self.settled.emit(None)

    def _toggled(self, on: bool) -> None:
        if not self._showing:
            self.settled.emit(on)

    def _typed_words(self) -> None:
        assert self._words is not None
        text = self._words.text().strip()
        if self.spec.kind is FieldKind.DAY:
            try:
                self.settled.emit(read_day(text) if text else None)
            except Trouble as trouble:
                self.refused.emit(trouble.says)
            return
        self.settled.emit(text)


def read_day(text: str) -> date:
    """A day from 2026-03-01 or 1.3.2026.  Raises `Trouble`."""
    parts = text.replace("/", "-").replace(".", "-").split("-")
    try:
        numbers = [int(part) for part in parts if part.strip()]
        if len(numbers) != 3:
            raise ValueError
        if numbers[0] > 31:
            return date(numbers[0], numbers[1], numbers[2])
        if "/" in text:
            raise ValueError  # 3/4/2026 is March to some and April to others
        return date(numbers[2], numbers[1], numbers[0])
    except ValueError:
        raise Trouble(say("“{text}” is not a day. Type it like 2026-03-01.", text=text)) from None
