"""Cards that answer in one line and open their page: a row of them is the way through the answers."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, column


class AnswerCard(QPushButton):
    """Title above, answer below; `alert` marks what must be found, with a word sign and not by colour alone."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setCheckable(True)
        as_role(self, "answer")
        self.title = Words(title, "muted", self)
        self.title.setWordWrap(False)
        self.answer = Words("", "strong", self)
        self.answer.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        for words in (self.title, self.answer):
            words.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        inside = column(self.title, self.answer, 1, gap=0)
        inside.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        self.setLayout(inside)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._alert = self._low = False
        self._name = title

    def answer_with(self, text: str, alert: bool = False) -> None:
        shown = f"!  {text}" if alert else text
        self.answer.say(shown, "danger" if alert else "strong")
        self.setAccessibleName(f"{self._name}: {text}")
        if alert != self._alert:
            self._alert = alert
            self.setProperty("alert", "true" if alert else "false")
            self.style().unpolish(self)
            self.style().polish(self)
            self._say_title()
        self.updateGeometry()

    def set_low(self, low: bool) -> None:
        """Show the title alone; the page below says the answer in its first line."""
        if low != self._low:
            self._low = low
            self.answer.setVisible(not low)
            self._say_title()
            self.updateGeometry()

    def _say_title(self) -> None:
        marked = self._low and self._alert
        self.title.say(f"!  {self._name}" if marked else self._name, "danger" if marked else "muted")
        self.updateGeometry()

    @property
    def least_px(self) -> int:
        """The width its title needs with the margins around it."""
        return self.title.sizeHint().width() + 6 * GRID_PX

    @property
    def _low_px(self) -> int:
        return self.title.sizeHint().height() + 5 * GRID_PX

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        if self._low:
            return QSize(self.least_px, self._low_px)
        width = max(self.width(), 9 * em)
        inside = self.layout()
        height = inside.heightForWidth(width) if inside is not None else 0
        return QSize(9 * em, max(height, 4 * em))

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(self.least_px, self._low_px) if self._low else QSize(8 * em, 4 * em)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.updateGeometry()


class AnswerCards(QWidget):
    """As many cards in a row as fit; arrow keys go from one to the next."""

    chosen = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.cards: dict[str, AnswerCard] = {}
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self._group.buttonClicked.connect(self._clicked)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(2 * GRID_PX)
        self._columns = 0
        self._low = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Maximum)

    def add(self, key: str, title: str) -> AnswerCard:
        card = AnswerCard(title, self)
        card.setProperty("key", key)
        self.cards[key] = card
        self._group.addButton(card)
        self._columns = 0
        return card

    def minimumSizeHint(self) -> QSize:
        """As narrow as one card: the width decides how many stand in a row."""
        return QSize(8 * theme_now().em(), super().minimumSizeHint().height())

    def set_low(self, low: bool) -> None:
        """Titles only, where the window is too low for cards and what they open."""
        if low == self._low:
            return
        self._low = low
        for card in self.cards.values():
            card.set_low(low)
        self._columns = 0
        self._arrange()

    def choose(self, key: str) -> None:
        self.cards[key].setChecked(True)
        self.chosen.emit(key)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and hasattr(self, "_grid"):
            self._columns = 0
            self._arrange()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
            return
        keys = list(self.cards)
        now = next((i for i, key in enumerate(keys) if self.cards[key].hasFocus()), 0)
        to = keys[(now + step) % len(keys)]
        self.cards[to].setFocus(Qt.FocusReason.TabFocusReason)
        self.choose(to)

    def _arrange(self) -> None:
        wide = max(1, self.width() // round(8.8 * theme_now().em()))
        if self._low:
            wide = _that_fit([card.least_px for card in self.cards.values()], self.width())
        count = len(self.cards)
        columns = -(-count // -(-count // wide)) if count else 1  # as few rows as fit, evenly filled
        if columns == self._columns:
            return
        self._columns = columns
        for card in self.cards.values():
            self._grid.removeWidget(card)
        last = count % columns or columns  # cards in the last row share its whole width
        for index, card in enumerate(self.cards.values()):
            line, at = divmod(index, columns)
            wide = last if line < (count - 1) // columns else columns
            self._grid.addWidget(card, line, at * wide, 1, wide)
        for column_number in range(count * count):
            self._grid.setColumnStretch(column_number, 1 if column_number < columns * last else 0)

    def _clicked(self, card: QPushButton) -> None:
        self.chosen.emit(str(card.property("key")))


def _that_fit(widths: list[int], room: int) -> int:
    """How many fit beside one another in every row, when the rows are filled evenly."""
    for rows in range(1, len(widths) + 1):
        columns = -(-len(widths) // rows)
        lines = [widths[start : start + columns] for start in range(0, len(widths), columns)]
        if max(sum(line) + 2 * GRID_PX * (len(line) - 1) for line in lines) <= room:
            return columns
    return 1
