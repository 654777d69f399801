"""The record cannot be written, as it is said two steps away."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QFrame, QWidget

from workbench.core.trouble import Trouble
from workbench.store.troubles import Kind, StoreTrouble
from workbench.ui.bench.big_words import BigButton, BigWords
from workbench.ui.bench.far_blocks import BUTTON_MM, SMALL_MM, ButtonsBlock
from workbench.ui.bench.letters import Laid, Letters, Part
from workbench.ui.theme import as_role
from workbench.ui.widgets.signs import SignView


class TroubleLine(QFrame):
    """What is the matter in a few words, and the ways on; the whole sentence stands on a later page."""

    def __init__(
        self, retry: Callable[[], object], copy: Callable[[], object], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        as_role(self, "alarm_medium")
        self.on = False
        self.sign = SignView("warning", 1.0, self)
        self.words = BigWords(SMALL_MM, True, self)
        self.ways = ButtonsBlock(self)
        self.retry = BigButton(BUTTON_MM, retry, "big", self.ways)
        self.copy = BigButton(BUTTON_MM, copy, "big", self.ways)
        self.ways.buttons += [self.retry, self.copy]
        self.hide()

    def tell(self, trouble: Trouble | None, says: str) -> None:
        """`says` is the whole sentence, for who listens."""
        self.on = trouble is not None
        full = isinstance(trouble, StoreTrouble) and trouble.kind is Kind.DISK_FULL
        self.words.say(
            self.tr("The disk is full: nothing more is recorded.")
            if full
            else self.tr("The record cannot be written.")
        )
        self.retry.setText(self.tr("Try again"))
        self.copy.setText(self.tr("Save a copy elsewhere …"))
        self.setAccessibleName(self.words.text())
        self.setAccessibleDescription(says)

    @property
    def shape(self) -> tuple[object, ...]:
        return (self.on, self.words.text(), *self.ways.shape)

    def laid(self, width: int, letters: Letters) -> Laid | None:
        """The ways on beside the words where both stand on one line, else below them."""
        pad, line = letters.pad, letters.line(SMALL_MM, True)
        side, left = round(1.15 * line), round(1.15 * line) + 2 * pad
        buttons = sum(each.natural(letters) for each in self.ways.buttons)
        gaps = max(pad, letters.true_px(2.0)) * (len(self.ways.buttons) - 1)
        beside = width - left - pad - buttons - gaps - 2 * pad
        one_line = letters.wide(self.words.text(), SMALL_MM, True) <= beside
        room = beside if one_line else width - left - pad
        tall = letters.tall(self.words.text(), SMALL_MM, True, room)
        ways = self.ways.laid(buttons + gaps if one_line else width - left - pad, letters)
        if tall is None or ways is None:
            return None
        if one_line:
            inner = max(tall, side, ways.tall)
            words = QRect(left, pad // 2 + (inner - tall) // 2, room, tall)
            place = QRect(
                left + room + 2 * pad, pad // 2 + (inner - ways.tall) // 2, buttons + gaps, ways.tall
            )
        else:
            first = max(tall, side)
            inner = first + pad // 2 + ways.tall
            words = QRect(left, pad // 2 + (first - tall) // 2, room, tall)
            place = QRect(left, pad + first, width - left - pad, ways.tall)
        parts = (
            Part(self.sign, QRect(pad, words.center().y() - side // 2, side, side)),
            Part(self.words, words, letters.font(SMALL_MM, True)),
            Part(self.ways, place),
            *ways.parts,  # they stand in the block of ways, not here
        )
        return Laid(inner + pad, parts)
