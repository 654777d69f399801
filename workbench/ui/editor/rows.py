"""One line of the recipe: what, how much, what that weighs, and what there is to say about it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent, QStandardItemModel
from PySide6.QtWidgets import QGridLayout, QMenu, QSizePolicy, QToolButton, QWidget

from workbench.core.catalogue.model import Note
from workbench.core.recipe.model import Measure
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, column, figure
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Reader

NARROW_EM = 33  # below this width the line is set in two rows


@dataclass(frozen=True, slots=True)
class LineText:
    """What a line shows, already written the user's way."""

    material: str
    amount: str
    measure: Measure
    weigh: str
    details: str
    attention: str = ""
    headroom: str = ""
    note: Note | None = None
    scale: str = ""
    lot: str = ""


class LineRow(QWidget):
    """Signals only; the panel turns them into edits.

    asked(str)  "remove", "up", "down", "scale:<key>", "lot:<key>"
    """

    material_chosen = Signal(str)
    amount_typed = Signal(object)  # Typed with a ReadAmount
    measure_chosen = Signal(str)
    note_chosen = Signal(str)
    asked = Signal(str)

    def __init__(
        self,
        materials: QStandardItemModel,
        read: Reader,
        with_note: bool,
        measures: list[tuple[str, str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.material = ChooseBox(self.tr("Material"), self, 9)
        self.material.setModel(materials)
        self.amount = NumberField(self.tr("Amount"), read, chars=5, parent=self, show_fault=False)
        self.measure = ChooseBox(self.tr("Measure"), self, 4)
        self.measure.offer(measures)
        self.weigh = figure("", "strong", self)
        self.more = QToolButton(self)
        self.more.setText("…")
        as_role(self.more, "dots")
        self.more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.more.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._menu = QMenu(self.more)
        self.more.setMenu(self._menu)
        self._scales: list[tuple[str, str]] = []
        self._lots: list[tuple[str, str]] = []
        self._menu.aboutToShow.connect(self._fill_menu)
        self.note: ChooseBox | None = None
        if with_note:
            self.note = ChooseBox(self.tr("Note"), self, 5)
            self.note.offer(
                [
                    (Note.TOP.value, self.tr("top")),
                    (Note.MIDDLE.value, self.tr("middle")),
                    (Note.BASE.value, self.tr("base")),
                ]
            )
            self.note.chosen.connect(self.note_chosen)
        self.details = Words("", "muted", self)
        self.headroom = Words("", "small", self)
        self.attention = Words("", "attention", self)
        self.fault = Words("", "error", self)
        for words in (self.headroom, self.attention, self.fault):
            words.hide()
        self.grid = QGridLayout()
        self.below = column(self.details, self.headroom, self.attention, self.fault, gap=0)
        whole = column(self.grid, self.below)
        whole.setSpacing(GRID_PX // 2)
        self.setLayout(whole)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setHorizontalSpacing(2 * GRID_PX)
        self.grid.setVerticalSpacing(GRID_PX // 2)
        self._narrow: bool | None = None
        self._shown = LineText("", "", Measure.PARTS, "", "")
        self.material.chosen.connect(self.material_chosen)
        self.measure.chosen.connect(self.measure_chosen)
        self.amount.recorded.connect(self.amount_typed)
        self.amount.left_empty.connect(self._restore)
        self.amount.edit.refused.connect(self._say_fault)
        self._arrange(False)
        self._measure()

    def show_line(self, line: LineText) -> None:
        if line == self._shown:
            self.amount.show_text(line.amount)
            return
        self._shown = line
        self.material.show_key(line.material)
        name = self.material.currentText()
        self.amount.edit.setAccessibleName(self.tr("Amount of {material}").format(material=name))
        self.measure.setAccessibleName(self.tr("Measure of {material}").format(material=name))
        self.more.setAccessibleName(self.tr("More for {material}").format(material=name))
        self.material.setToolTip(name)
        self._arrange(self.width() < self._one_row_px())
        self.amount.show_text(line.amount)
        self.measure.show_key(line.measure.value)
        self.weigh.say(line.weigh)
        self.weigh.setAccessibleName(self.tr("Weigh {mass}").format(mass=line.weigh))
        self.details.say_or_hide(line.details)
        self.headroom.say_or_hide(line.headroom)
        self.attention.say_or_hide(line.attention)
        if self.note is not None and line.note is not None:
            self.note.show_key(line.note.value)
            self.note.setAccessibleName(self.tr("Note of {material}").format(material=name))

    def offer_in_menu(self, scales: list[tuple[str, str]], lots: list[tuple[str, str]]) -> None:
        self._scales, self._lots = scales, lots

    def say(self, sentence: str) -> None:
        """Why the last edit of this line could not be taken."""
        self.fault.say_or_hide(sentence)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and hasattr(self, "grid"):
            self._measure()

    def minimumSizeHint(self) -> QSize:
        """As narrow as two rows can be: the width decides how many there are."""
        return QSize(theme_now().em() * 20, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange(event.size().width() < self._one_row_px())

    def _one_row_px(self) -> int:
        """The width at which everything stands in one row, with the name of the material in full."""
        em = theme_now().em()
        name = self.material.fontMetrics().horizontalAdvance(self.material.currentText()) + round(2.6 * em)
        fixed = [
            self.amount.sizeHint().width(),
            self.measure.width(),
            self.weigh.minimumWidth(),
            self.more.width(),
        ]
        if self.note is not None:
            fixed.append(self.note.width())
        gaps = len(fixed) * self.grid.horizontalSpacing()
        return max(NARROW_EM * em, name + sum(fixed) + gaps)

    def _restore(self) -> None:
        self.amount.show_text(self._shown.amount)

    def _say_fault(self, sentence: str) -> None:
        self.say(sentence)

    def _measure(self) -> None:
        em = theme_now().em()
        most = 10 * em
        self.measure.setFixedWidth(min(most, max(round(em * 5.2), self.measure.widest_px())))
        self.weigh.setMinimumWidth(round(em * 4.6))
        self.more.setFixedWidth(round(em * 2.2))
        if self.note is not None:
            self.note.setFixedWidth(min(most, max(round(em * 5.7), self.note.widest_px())))

    def _arrange(self, narrow: bool) -> None:
        if narrow == self._narrow:
            return
        self._narrow = narrow
        while self.grid.takeAt(0) is not None:
            pass
        for at in range(8):
            self.grid.setColumnStretch(at, 0)
        first: list[QWidget] = [self.note] if self.note is not None else []
        middle = Qt.AlignmentFlag.AlignVCenter
        if narrow:
            for at, widget in enumerate(first):
                self.grid.addWidget(widget, 0, at, middle)
            start = len(first)
            self.grid.addWidget(self.material, 0, start, 1, 5 - start, middle)
            self.grid.addWidget(self.more, 0, 5, middle)
            self.grid.addWidget(self.amount, 1, 0, 1, 1 + start, middle)
            self.grid.addWidget(self.measure, 1, 1 + start, middle)
            self.grid.addWidget(self.weigh, 1, 2 + start, 1, 4 - start, middle)
            self.grid.setColumnStretch(2 + start, 1)
        else:
            for at, widget in enumerate(
                [*first, self.material, self.amount, self.measure, self.weigh, self.more]
            ):
                self.grid.addWidget(widget, 0, at, middle)
            self.grid.setColumnStretch(len(first), 1)
        indent = self.note.width() + 2 * GRID_PX if self.note is not None and not narrow else 0
        self.below.setContentsMargins(indent, 0, 0, 0)

    def _fill_menu(self) -> None:
        self._menu.clear()
        for key, text in (("up", self.tr("Move up")), ("down", self.tr("Move down"))):
            self._add(self._menu, key, text)
        if self._scales:
            below = self._menu.addMenu(self.tr("Weigh on"))
            for key, text in self._scales:
                self._add(below, f"scale:{key}", text, key == self._shown.scale)
        if len(self._lots) > 1:
            below = self._menu.addMenu(self.tr("Take from lot"))
            for key, text in self._lots:
                self._add(below, f"lot:{key}", text, key == self._shown.lot)
        self._menu.addSeparator()
        self._add(self._menu, "remove", self.tr("Take out of the recipe"))

    def _add(self, menu: QMenu, key: str, text: str, checked: bool | None = None) -> None:
        action = QAction(text, menu)
        action.setData(key)
        if checked is not None:
            action.setCheckable(True)
            action.setChecked(checked)
        action.triggered.connect(self._triggered)
        menu.addAction(action)

    def _triggered(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.asked.emit(str(action.data()))


def fixed_height(widget: QWidget) -> QWidget:
    widget.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
    return widget
