"""A caution as it stands on a page: sign, signal word, hazard, consequence, what to do."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QWidget

from workbench.core.catalogue.model import Caution, SignalWord
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, column, row
from workbench.ui.widgets.signs import SignView

# a sign for a caution that names none, by its signal word
_BY_WORD = {
    SignalWord.DANGER: "warning",
    SignalWord.WARNING: "warning",
    SignalWord.CAUTION: "warning",
    SignalWord.NOTICE: "",
}


class Callout(QFrame):
    """A filled panel in the colour of its signal word; the word itself is always there."""

    def __init__(
        self,
        word: SignalWord,
        heading: str,
        text: str = "",
        sign: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        as_role(self, word.value)
        self.word = Words(self._word(word), "strong")
        self.word.setWordWrap(False)
        self.heading = Words(heading, "strong")
        self.text = Words(text)
        self.text.setVisible(bool(text))
        named = sign or _BY_WORD[word]
        first = row(self.word, self.heading, gap=2)
        first.setAlignment(self.word, Qt.AlignmentFlag.AlignTop)  # at the first line, however many there are
        words = column(first, self.text, gap=1)
        first.setStretch(1, 1)
        if named:
            view = SignView(named)
            whole = row(view, words, gap=3)
            whole.setAlignment(view, Qt.AlignmentFlag.AlignTop)
            whole.setStretch(1, 1)
        else:
            whole = row(words)
        margin = 3 * GRID_PX
        whole.setContentsMargins(margin, margin, margin, margin)
        self.setLayout(whole)
        self.setAccessibleName(f"{self.word.text()}: {heading}")
        self.setAccessibleDescription(text)

    def _word(self, word: SignalWord) -> str:
        return {
            SignalWord.DANGER: self.tr("DANGER"),
            SignalWord.WARNING: self.tr("WARNING"),
            SignalWord.CAUTION: self.tr("CAUTION"),
            SignalWord.NOTICE: self.tr("NOTICE"),
        }[word]


class Finding(QFrame):
    """Something abnormal in the recipe: a mark on the edge, a heading, what it means.  No safety colour."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "finding")
        self.heading = Words("", "danger")
        self.text = Words("")
        whole = column(self.heading, self.text, gap=1)
        whole.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 3 * GRID_PX, 2 * GRID_PX)
        self.setLayout(whole)
        self.hide()

    def say(self, heading: str, text: str) -> None:
        """Show it, or hide it where there is nothing to find."""
        self.heading.say(heading)
        self.text.say_or_hide(text)
        self.setAccessibleName(heading)
        self.setAccessibleDescription(text)
        if self.isHidden() == bool(heading):
            self.setVisible(bool(heading))


def callout_of(caution: Caution, parent: QWidget | None = None) -> Callout:
    """A caution of the tables: hazard first, then what it does, then what to do."""
    from workbench.ui.writing import translate

    text = f"{translate(caution.consequence)}\n{translate(caution.what_to_do)}"
    return Callout(caution.word, translate(caution.hazard), text, caution.sign, parent)
