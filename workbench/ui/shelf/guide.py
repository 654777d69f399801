"""A sheet that leads through a measurement step by step and works out the result as it goes."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QGridLayout, QWidget

from workbench.ui.context import Context
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, figure, page, row, rule
from workbench.ui.widgets.callout import callout_of
from workbench.ui.widgets.number import NumberField, Typed, commit_all
from workbench.ui.widgets.order import in_layout_order, set_tab_order

LETTERS = 76
WIDEST = 0.94  # of the window it belongs to


class GuideSheet(QDialog):
    """Heading, cautions, numbered steps with their fields, the result, and two answers.

    It belongs to a window and blocks nothing else.  A subclass adds steps, then calls `finish`; it answers
    `reckon` with what is known so far and `keep` with "" or why it could not be kept.
    """

    def __init__(self, context: Context, heading: str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._context = context
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setWindowTitle(heading)
        self.fields: dict[str, NumberField] = {}
        self.values: dict[str, float] = {}
        self._count = 0
        self.heading, self.text = Words(heading, "head"), Words(text)
        self._content = column(self.heading, self.text, gap=3)
        self._steps = QGridLayout()
        self._steps.setHorizontalSpacing(3 * GRID_PX)
        self._steps.setVerticalSpacing(3 * GRID_PX)
        self._steps.setColumnStretch(1, 1)
        self.found = Words("", "strong")
        self.more = Words("", "body")
        self.fault = Words("", "error")
        self.fault.hide()
        self.leave = button(self.tr("Keep nothing"), self.reject)
        self.take = button(self.tr("Keep it"), self._keep, "primary")
        self.take.setEnabled(False)

    # what a subclass puts on it

    def say_head(self, heading: str, text: str) -> None:
        self.setWindowTitle(heading)
        self.heading.say(heading)
        self.text.say(text)

    def caution(self, *keys: str) -> None:
        """Cautions of the tables, above the steps."""
        table = self._context.catalogue.cautions
        for key in keys:
            if key in table:
                self._content.addWidget(callout_of(table[key]))

    def step(self, text: str, *below: QWidget) -> Words:
        """A numbered step; what is typed for it stands below its words."""
        self._count += 1
        words = Words(text)
        number = figure(str(self._count), "muted")
        holder = QWidget()
        holder.setLayout(column(words, *(row(one, 1) for one in below), gap=1))
        line = self._steps.rowCount()
        self._steps.addWidget(number, line, 0, Qt.AlignmentFlag.AlignTop)
        self._steps.addWidget(holder, line, 1)
        return words

    def field(self, key: str, name: str, read: Callable[[str], float], unit: str) -> NumberField:
        """A number; what is read stands in `values[key]`."""
        made = NumberField(name, read, unit, 8)
        made.setProperty("key", key)
        made.recorded.connect(self._recorded)
        made.left_empty.connect(self._emptied)
        self.fields[key] = made
        return made

    def mass(self, key: str, name: str) -> NumberField:
        return self.field(key, name, self._context.writer.read_mass, self._context.writer.mass_unit)

    def degrees(self, key: str, name: str) -> NumberField:
        return self.field(key, name, self._context.writer.read_degrees, self._context.writer.heat_unit)

    def finish(self) -> None:
        """Everything is on it: close it with the result and the answers."""
        self._content.addLayout(self._steps)
        self._content.addWidget(rule())
        self._content.addWidget(self.found)
        self._content.addWidget(self.more)
        self._content.addStretch(1)
        self._scroller = Scroller(page(self._content, margin=6))
        as_role(self._scroller, "page")
        foot = column(self.fault, row(1, self.leave, self.take, gap=3))
        foot.setContentsMargins(6 * GRID_PX, 3 * GRID_PX, 6 * GRID_PX, 4 * GRID_PX)
        whole = column(self._scroller, rule(), foot, gap=0)
        whole.setStretch(0, 1)
        self.setLayout(whole)
        self._look()
        set_tab_order(self)  # down the steps, and the answers last
        first = next((each for each in in_layout_order(self) if each.isVisibleTo(self)), None)
        if first is not None:
            first.setFocus()

    def reckon(self) -> tuple[str, str, bool]:
        """(result, what it means, whether it can be kept) of what is typed so far; sentences as shown."""
        raise NotImplementedError

    def keep(self) -> str:
        raise NotImplementedError

    # how it behaves

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(min(LETTERS * em // 2, self._most().width()), min(52 * em, self._most().height()))

    def minimumSizeHint(self) -> QSize:
        return QSize(16 * theme_now().em(), 12 * theme_now().em())

    def _most(self) -> QSize:
        parent = self.parentWidget()
        window = parent.window() if parent is not None else None
        size = window.size() if window is not None else QSize(1024, 700)
        return QSize(round(WIDEST * size.width()), round(WIDEST * size.height()))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.resize(self.sizeHint())

    def _recorded(self, typed: Typed) -> None:
        self._settle(self.sender(), float(typed.value))

    def _emptied(self) -> None:
        self._settle(self.sender(), None)

    def _settle(self, sender: object, value: float | None) -> None:
        if isinstance(sender, NumberField):
            key = str(sender.property("key"))
            if value is None:
                self.values.pop(key, None)
            else:
                self.values[key] = value
        self._look()

    def look_again(self) -> None:
        """Something besides a field is different."""
        if hasattr(self, "_scroller"):
            self._look()

    def _look(self) -> None:
        result, more, good = self.reckon()
        self.found.say_or_hide(result, "lead" if good else "attention")
        self.more.say_or_hide(more)
        if result and self.isVisible():
            QTimer.singleShot(0, self, self._into_sight)
        self.take.setEnabled(good)
        self.fault.say_or_hide("")

    def _into_sight(self) -> None:
        """What came out stands at the end of the page; nobody keeps what was not seen."""
        self._scroller.ensureWidgetVisible(self.more if self.more.isVisible() else self.found, 0, 2 * GRID_PX)

    def _keep(self) -> None:
        if not commit_all(self) or not self.take.isEnabled():
            return
        says = self.keep()
        if says:
            self.fault.say_or_hide(says)
            return
        self.accept()
