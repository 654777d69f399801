"""Words of the trade, explained where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
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
        "wax": (
            tr("Wax"),
            tr("Gives the balm its hold. More of it makes a firmer balm and one that sets sooner."),
        ),
        "butter": (
            tr("Butter"),
            tr("A plant fat that is firm in a cool room and melts on skin, as shea butter does."),
        ),
        "carrier oil": (
            tr("Carrier oil"),
            tr("A liquid oil with little smell of its own. It softens the wax and carries the scent."),
        ),
        "parts": (
            tr("Parts"),
            tr(
                "Shares of the whole: with 1 part of wax and 2 parts of oil, a third is wax. How much is made turns them into a weight."
            ),
        ),
        "drops": (
            tr("Drops"),
            tr(
                "Counted from the bottle. They differ from oil to oil and from dropper to dropper; a scale is surer."
            ),
        ),
        "category": (
            tr("Meant for"),
            tr("Where on the body the balm is worn. Lips have stricter limits than hands."),
        ),
        "jug allowance": (
            tr("Stays in the jug"),
            tr("What clings to jug and spoon. That much more is made, so that the tins come out full."),
        ),
        "fill line": (
            tr("To the line"),
            tr("How high a tin is filled. A little room is left for the lid and for the rim of the balm."),
        ),
        "water bath": (
            tr("Water bath"),
            tr("The jug stands in a pan of hot water, so that nothing in it gets hotter than the water."),
        ),
        "bursts": (
            tr("Bursts"),
            tr("Short times in the microwave, with a stir and a reading after each."),
        ),
        "premix": (
            tr("Held-back carrier oil"),
            tr(
                "A part of the carrier oil that does not go into the pot. The scent is mixed into it and, warmed a little, does not set the pot where it goes in."
            ),
        ),
        "margin": (
            tr("Add scent below"),
            tr("How far under the flash point the pot must be before scent goes in. A larger margin is safer."),
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
    """Opens the meaning of the words on this part of a page.

    Its button stands at the foot of a page with the whole question on it.
    Beside a heading there is room for a question mark only: `beside` names the
    heading, and whoever lays it out puts `toggle` there.
    """

    def __init__(self, words: Sequence[str], beside: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = tuple(words)
        self._list = column(gap=1)
        if beside:
            self.toggle = button("?", None, "quiet", name=self.tr("Words of “{part}”").format(part=beside))
            self.toggle.setToolTip(self.tr("What these words mean (F1)"))
            self.setLayout(self._list)
            self.hide()
        else:
            self.toggle = button(self.tr("What these words mean"), None, "more")
            self.setLayout(column(row(self.toggle, 1), self._list, gap=2))
        self._beside = bool(beside)
        self.toggle.setCheckable(True)
        self.toggle.toggled.connect(self._toggled)

    def _toggled(self, shown: bool) -> None:
        clear(self._list)
        if shown:
            for word in self._words:
                name, means = meaning_of(word)
                said = Words(name, "strong")
                said.setAccessibleDescription(means)
                self._list.addWidget(said)
                self._list.addWidget(Words(means, "small"))
        self.setAccessibleDescription(
            " ".join(f"{name}: {means}" for name, means in map(meaning_of, self._words)) if shown else ""
        )
        if self._beside:
            self.setVisible(shown)
        announce(self, self.accessibleDescription())


def explain_near(widget: QWidget | None) -> bool:
    """Open or close the words nearest to what has the focus; False where there are none."""
    while widget is not None:
        near = [one for one in widget.findChildren(TradeWords) if one.toggle.isVisible()]
        if near:
            near[0].toggle.toggle()
            return True
        widget = widget.parentWidget()
    return False


def announce(widget: QWidget, text: str) -> None:
    """Let a screen reader say it when it comes to it."""
    if text:
        event = QAccessibleAnnouncementEvent(widget, text)
        event.setPoliteness(QAccessible.AnnouncementPoliteness.Polite)
        QAccessible.updateAccessibility(event)
