"""Fields that each stand for one choice; what is settled is told with its key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QCheckBox, QPlainTextEdit, QWidget

from workbench.core.trouble import Trouble
from workbench.ui.editor.intent import TextField
from workbench.ui.editor.panel import Form
from workbench.ui.shelf.fields import read_day
from workbench.ui.theme import theme_now
from workbench.ui.widgets.basic import Words, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed
from workbench.ui.writing import told

Reader = Callable[[str], float]


class Choices(QObject):
    """changed(key, value)  one choice was settled"""

    changed = Signal(str, object)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.form = Form()
        self._boxes: dict[str, ChooseBox] = {}
        self._texts: dict[str, TextField] = {}
        self._days: dict[str, tuple[TextField, Words]] = {}
        self._numbers: dict[str, NumberField] = {}
        self._whole: set[str] = set()
        self._ticks: dict[str, QCheckBox] = {}
        self._areas: dict[str, QPlainTextEdit] = {}
        self._showing = False
        self._owner = parent

    # building

    def choice(self, key: str, name: str, entries: Sequence[tuple[str, str]]) -> ChooseBox:
        made = ChooseBox(name.replace("&", ""), self._owner, 14)
        made.offer(entries)
        made.chosen.connect(lambda value: self.changed.emit(key, value))
        self._boxes[key] = made
        self.form.add(name, row(made, 1), made)
        return made

    def text(self, key: str, name: str, hint: str = "") -> TextField:
        made = TextField(name.replace("&", ""))
        made.setPlaceholderText(hint)
        made.editingFinished.connect(lambda: self._settled(key, made.text().strip()))
        self._texts[key] = made
        self.form.add(name, made)
        return made

    def area(self, key: str, name: str) -> QPlainTextEdit:
        """Several lines; told as it is typed, because there is no moment at which it is left."""
        made = QPlainTextEdit()
        made.setAccessibleName(name.replace("&", ""))
        made.setTabChangesFocus(True)
        made.setFixedHeight(7 * theme_now().em())
        made.textChanged.connect(lambda: self._settled(key, made.toPlainText().strip()))
        self._areas[key] = made
        self.form.add(name, made)
        return made

    def day(self, key: str, name: str, hint: str) -> TextField:
        made, says = TextField(name.replace("&", "")), Words("", "error")
        made.setPlaceholderText(hint)
        says.hide()
        made.editingFinished.connect(lambda: self._read_day(key))
        self._days[key] = (made, says)
        self.form.add(name, made)
        self.form.add_wide(says)
        return made

    def number(
        self, key: str, name: str, read: Reader, unit: str = "", *, whole: bool = False
    ) -> NumberField:
        made = NumberField(name.replace("&", ""), read, unit, 6)
        made.recorded.connect(lambda typed: self._read_number(key, typed))
        made.left_empty.connect(lambda: self._settled(key, None))
        self._numbers[key] = made
        if whole:
            self._whole.add(key)
        self.form.add(name, row(made, 1), made.edit)
        return made

    def tick(self, key: str, name: str) -> QCheckBox:
        made = QCheckBox(name)
        made.toggled.connect(lambda on: self._settled(key, on))
        self._ticks[key] = made
        self.form.add_wide(made)
        return made

    # showing

    def show_values(self, values: dict[str, Any], write: Callable[[float], str]) -> None:
        self._showing = True
        for key, box in self._boxes.items():
            value = values.get(key)
            box.show_key("" if value is None else str(value))
        for key, text in self._texts.items():
            text.show_text(str(values.get(key) or ""))
        for key, area in self._areas.items():
            said = str(values.get(key) or "")
            if area.toPlainText().strip() != said:
                area.setPlainText(said)
        for key, (field, says) in self._days.items():
            value = values.get(key)
            field.show_text(f"{value:%Y-%m-%d}" if isinstance(value, date) else "")
            says.say_or_hide("")
        for key, number in self._numbers.items():
            value = values.get(key)
            number.show_text("" if value is None else write(float(value)))
        for key, tick in self._ticks.items():
            tick.setChecked(bool(values.get(key)))
        self._showing = False

    def refuse(self, key: str, says: str) -> None:
        """A value that cannot be used, said at its field."""
        if key in self._numbers:
            self._numbers[key].refuse(says)
        elif key in self._days:
            self._days[key][1].say_or_hide(says)

    def _settled(self, key: str, value: object) -> None:
        if not self._showing:
            self.changed.emit(key, value)

    def _read_number(self, key: str, typed: Typed) -> None:
        value = float(typed.value)
        self._settled(key, round(value) if key in self._whole else value)

    def _read_day(self, key: str) -> None:
        field, says = self._days[key]
        text = field.text().strip()
        try:
            day = read_day(text) if text else None
        except Trouble as trouble:
            says.say_or_hide(told(trouble.says))
            return
        says.say_or_hide("")
        self._settled(key, day)
