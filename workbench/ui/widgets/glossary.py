"""Words of the trade, explained where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from workbench.ui.widgets.basic import Words, button, clear, column, row

T = "glossary"


def meaning_of(word: str) -> tuple[str, str]:
    """(the word, one or two sentences about it), in the language of the window."""

    def tr(text: str) -> str:
        return QCoreApplication.translate(T, text)

    return {
        "window": (
            tr("Window"),
            tr(
                "The temperatures at which fragrance may go in and the blend still pours: from the pour floor up to the lower of flash-safe temperature and scented ceiling. It may be empty."
            ),
        ),
        "set point": (
            tr("Set point"),
            tr(
                "Where the cooling blend begins to cloud or gel. It is computed; one you have seen yourself wins over it."
            ),
        ),
        "pour floor": (
            tr("Pour floor"),
            tr("A little above the set point. Below it the blend no longer levels in a tin."),
        ),
        "melt-out": (tr("Melt-out"), tr("Where the last solid piece of the blend is liquid. Melt up to it.")),
        "melt ceiling": (
            tr("Melt ceiling"),
            tr(
                "The hottest the jug should get before fragrance is in it; above it, a material loses colour or quality."
            ),
        ),
        "flash point": (
            tr("Flash point"),
            tr(
                "The lowest temperature at which the vapour above an oil can catch fire from a flame or a spark. Neat oils flash much lower than a balm with a little of them in it."
            ),
        ),
        "flash-safe temperature": (
            tr("Flash-safe temperature"),
            tr(
                "The flash point of the scent that is poured in, less a margin. The pot must be cooler than that when fragrance goes in."
            ),
        ),
        "scented ceiling": (
            tr("Scented ceiling"),
            tr("The hottest the jug may ever be once fragrance is in it."),
        ),
        "fragrance load": (
            tr("Fragrance load"),
            tr("How much of the whole balm is scent, in per cent by weight."),
        ),
        "notes": (
            tr("Top, middle and base notes"),
            tr(
                "Top notes are smelled first and are gone within the hour; middle notes carry the scent; base notes stay longest."
            ),
        ),
        "limit": (
            tr("Limit"),
            tr(
                "The largest share of a constituent that a rule allows in a balm for this use. It is counted over all oils together."
            ),
        ),
        "leave-on": (
            tr("Leave-on"),
            tr("What stays on the skin, as a balm does; limits are lower than for what is rinsed off."),
        ),
        "phototoxic": (
            tr("Phototoxic"),
            tr(
                "Reacts with sunlight on skin and burns it, hours later. Some citrus peel oils are, when pressed."
            ),
        ),
        "INCI": (
            tr("INCI name"),
            tr("The name of an ingredient as a cosmetic label must print it, the same in every language."),
        ),
        "allergen": (
            tr("Allergens to declare"),
            tr("Fragrance substances that a label must name above a small share, so that people can avoid them."),
        ),
    }[word]  # fmt: skip


class TradeWords(QWidget):
    """A quiet button that opens the meaning of the words on this page."""

    def __init__(self, words: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = tuple(words)
        self.toggle = button(self.tr("What these words mean"), self._toggled, "quiet")
        self.toggle.setCheckable(True)
        self._list = column(gap=1)
        self.setLayout(column(row(self.toggle, 1), self._list, gap=2))

    def _toggled(self) -> None:
        clear(self._list)
        if self.toggle.isChecked():
            for word in self._words:
                name, means = meaning_of(word)
                self._list.addWidget(Words(name, "strong"))
                self._list.addWidget(Words(means, "small"))
