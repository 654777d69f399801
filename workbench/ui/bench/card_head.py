"""What must be done now: it stands above the card and never scrolls away.

Where an alarm or a trouble takes the room its letters become smaller, before
what is typed into is out of sight; never smaller than the rest of the card.
"""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from workbench.ui.bench.sheet import instruction_font
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, held_together

SIZES = (1.0, 0.82, 0.68)  # of the instruction's letters; the smallest is that of a heading
_WRAPS = int(Qt.TextFlag.TextWordWrap)


class CardHead(QWidget):
    """Which step it is, how long the batch has been going on, and what to do."""

    def __init__(self, place: Words, total: QLabel, headline: Words, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._place, self._headline = place, headline
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._top = QHBoxLayout()
        self._top.addWidget(place, 1)
        self._top.addWidget(total)
        box = self._box = QVBoxLayout(self)
        margin = theme_now().space(6)
        box.setContentsMargins(margin, theme_now().space(3), margin, theme_now().space(1))
        box.setSpacing(theme_now().space(2))
        box.addLayout(self._top)
        box.addWidget(headline)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.dress()

    def dress(self) -> None:
        self._put(SIZES[0])

    def fit(self, width: int, most: int) -> None:
        """The largest letters with which it is no higher than `most` px, or the smallest."""
        for times in SIZES:
            if times == SIZES[-1] or self._tall(width, times) <= most:
                self._put(times)
                return

    def _tall(self, width: int, times: float) -> int:
        margins, spacing = self._box.contentsMargins(), self._box.spacing()
        room = width - margins.left() - margins.right()
        above = (
            self._top.heightForWidth(room) if self._top.hasHeightForWidth() else self._top.sizeHint().height()
        )
        metrics = QFontMetrics(_font(times))
        words = held_together(self._headline.text())
        tall = metrics.boundingRect(QRect(0, 0, max(1, room), 100_000), _WRAPS, words).height()
        return margins.top() + above + spacing + tall + margins.bottom()

    def _put(self, times: float) -> None:
        font = _font(times)
        if self._headline.font() != font:
            self._headline.setFont(font)


def _font(times: float) -> QFont:
    font = instruction_font(theme_now())
    font.setPointSizeF(font.pointSizeF() * times)
    return font
