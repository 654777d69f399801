"""The cautions of a step: read once in full, then in view for as long as it lasts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from workbench.core.catalogue.model import Caution, SignalWord
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, clear
from workbench.ui.widgets.signs import SignView
from workbench.ui.writing import translate

ORDER = (SignalWord.DANGER, SignalWord.WARNING, SignalWord.CAUTION, SignalWord.NOTICE)
TWO_COLUMNS_EM = 32
ALERT = "warning"  # the plain alert sign, for a caution that names no other


def in_order(keys: Sequence[str], table: Mapping[str, Caution]) -> tuple[Caution, ...]:
    """The cautions of the table by weight of their signal word; a key that is not there is left out."""
    found = [table[key] for key in keys if key in table]
    return tuple(sorted(found, key=lambda caution: ORDER.index(caution.word)))


def signal_word(widget: QWidget, word: SignalWord) -> str:
    return {
        SignalWord.DANGER: widget.tr("DANGER"),
        SignalWord.WARNING: widget.tr("WARNING"),
        SignalWord.CAUTION: widget.tr("CAUTION"),
        SignalWord.NOTICE: widget.tr("NOTICE"),
    }[word]


class CautionBlock(QWidget):
    """Sign, signal word, hazard; with consequence and what to do until it was read."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[tuple[Caution, ...], bool] = ((), False)
        self._columns = 1
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme_now().space(2))
        self._grid.setVerticalSpacing(theme_now().space(2))
        self._box.addLayout(self._grid)

    def show_cautions(self, cautions: tuple[Caution, ...], unread: bool) -> None:
        if (cautions, unread) == self._shown:
            return
        self._shown = (cautions, unread)
        self._fill()

    def _fitting(self) -> int:
        cautions, unread = self._shown
        narrow = self.width() < TWO_COLUMNS_EM * theme_now().em()
        return 1 if unread or narrow or len(cautions) < 3 else 2

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._fitting() != self._columns:
            self._fill()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._fill()
        super().changeEvent(event)

    def _fill(self) -> None:
        cautions, unread = self._shown
        clear(self._grid)
        self.setVisible(bool(cautions))
        self.setAccessibleName(self.tr("Cautions of this step"))
        spoken = []
        # once read they stand in two columns, short, so that the field stays in view
        columns = self._columns = self._fitting()
        for column in range(2):
            self._grid.setColumnStretch(3 * column + 2, 1 if column < columns else 0)
            self._grid.setColumnMinimumWidth(3 * column, 0)
        rows = -(-len(cautions) // columns)
        for at, caution in enumerate(cautions):
            row, left = at % rows, 3 * (at // rows)
            word = QLabel(signal_word(self, caution.word), self)
            as_role(word, f"word_{caution.word.value}" if unread else f"chip_{caution.word.value}")
            word.setAlignment(Qt.AlignmentFlag.AlignCenter)
            if unread:
                text = self.tr("{hazard} {consequence} {what_to_do}").format(
                    hazard=translate(caution.hazard),
                    consequence=translate(caution.consequence),
                    what_to_do=translate(caution.what_to_do),
                )
            else:
                text = translate(caution.bench)
            words = Words(text, "body" if unread else "small", self)
            words.setAccessibleName(f"{word.text()}: {text}")
            spoken.append(f"{word.text()}: {text}")
            sign = caution.sign or (ALERT if caution.word is not SignalWord.NOTICE else "")
            upper = Qt.AlignmentFlag.AlignTop
            middle = upper if unread else Qt.AlignmentFlag.AlignVCenter
            if sign:
                view = SignView(sign, 2.6 if unread else 1.7, self)
                self._grid.addWidget(view, row, left, alignment=middle)
                view.show()
            self._grid.addWidget(word, row, left + 1, alignment=middle)
            self._grid.addWidget(words, row, left + 2, alignment=Qt.AlignmentFlag(0) if unread else middle)
            for each in (word, words):
                each.show()  # at once: a layout shows what is put into it only after the next frame
        self.setAccessibleDescription(" ".join(spoken))
