"""What the pages of the bench view are made of: each knows its height before it is shown."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtWidgets import QFrame, QWidget

from workbench.ui.bench.alarm_bar import SEEN_KEY, AlarmShown
from workbench.ui.bench.big_words import BigButton, BigWords
from workbench.ui.bench.cautions import ALERT
from workbench.ui.bench.entry import BenchEntry
from workbench.ui.bench.letters import Laid, Letters, Part
from workbench.ui.bench.metrics import CAPITAL_MM, FIGURE_MM, TARGET_MM
from workbench.ui.bench.temperature_face import BandBar
from workbench.ui.theme import as_role
from workbench.ui.widgets.signs import SignView

SMALL_MM = 0.7 * CAPITAL_MM  # what is read a step nearer
BUTTON_MM = 0.55 * CAPITAL_MM


class SignalLine(QFrame):
    """Sign, signal word and the bench wording of one caution."""

    def __init__(self, millimetres: float = CAPITAL_MM, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "card")
        self.sign = SignView(ALERT, 1.0, self)
        self.word = BigWords(0.7 * millimetres, True, self)
        self.word.setWordWrap(False)
        self.word.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.words = BigWords(millimetres, millimetres >= CAPITAL_MM, self)

    def show_line(self, sign: str, key: str, word: str, words: str) -> None:
        """`key` names the colours of the signal word, `word` is how it is written."""
        self.sign.show_sign(sign or ALERT)
        self.word.say(word, f"word_{key}")
        self.words.say(words)
        self.setAccessibleName(f"{word}: {words}")

    @property
    def shape(self) -> tuple[object, ...]:
        return (self.word.text(), self.words.text())

    def laid(self, width: int, letters: Letters) -> Laid | None:
        """The signal word before the words, or above them where that takes less height."""
        pad, font = letters.pad, letters.font(self.word.millimetres, True)
        line = letters.line(self.words.millimetres, self.words.bold)
        side = round(1.15 * line)
        chip_w = letters.wide(self.word.text(), self.word.millimetres, True) + 4 * pad // 2
        chip_h = letters.high(self.word.text(), self.word.millimetres, True) + 4
        left = 2 * pad + side
        tries: list[tuple[int, QRect, QRect]] = []
        beside = width - left - chip_w - 2 * pad
        tall = letters.tall(self.words.text(), self.words.millimetres, self.words.bold, beside)
        if tall is not None:
            whole = max(tall, side)
            top = pad // 2 + (whole - tall) // 2
            at = left + chip_w + pad
            chip = QRect(left, pad // 2 + (whole - chip_h) // 2, chip_w, chip_h)
            tries.append((whole + pad, chip, QRect(at, top, beside, tall)))
        below = width - left - pad
        tall = letters.tall(self.words.text(), self.words.millimetres, self.words.bold, below)
        if tall is not None and chip_w <= below:
            chip, top = QRect(left, pad // 2, chip_w, chip_h), pad // 2 + chip_h + 2
            # beside it is easier to read, so it has to save a good part of a line
            tries.append((top + tall + pad // 2 + line // 3, chip, QRect(left, top, below, tall)))
        if not tries:
            return None
        _, chip, words = min(tries, key=lambda each: each[0])
        whole = max(words.bottom() + 1, side) + pad // 2
        return Laid(
            whole,
            (
                Part(self.sign, QRect(pad, (whole - side) // 2, side, side)),
                Part(self.word, chip, font),
                Part(self.words, words, letters.font(self.words.millimetres, self.words.bold)),
            ),
        )


class AlarmLine(QFrame):
    """The alarm that counts most, what to do in a few words, and “I saw it”; seen(key)."""

    seen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = ""
        self._role = ""
        self.sign = SignView(ALERT, 1.0, self)
        self.big = BigWords(CAPITAL_MM, True, self)
        self.state = BigWords(SMALL_MM, False, self)
        self.ack = BigButton(BUTTON_MM, self._pressed, "big", self)

    def show_alarms(self, shown: Sequence[AlarmShown]) -> None:
        """The first of them; how many more there are is said."""
        if not shown:
            self.key = ""
            return
        first = shown[0]
        self.key = first.key
        self.big.say(first.bench)
        said = []
        if first.returned:
            said.append(self.tr("It is back to normal. Say that you saw it."))
        elif first.seen:
            said.append(self.tr("Seen, not over yet."))
        if len(shown) > 1:
            said.append(self.tr("%n more alarms", "", len(shown) - 1))
        self.state.say("  ".join(said))
        self.ack.setText(self.tr("I saw it ({key})").format(key=SEEN_KEY))
        self.ack.setVisible(not first.seen)
        quiet = first.seen or first.returned
        self._role = "alarm_seen" if quiet else f"alarm_{first.priority.value}"
        as_role(self, self._role)
        self.setAccessibleName(self.tr("Alarm: {title}").format(title=first.title))
        self.setAccessibleDescription(first.what_to_do)

    def pulse(self, lit: bool) -> None:
        """Only an unacknowledged danger turns its colours."""
        if self.key:
            as_role(self, "alarm_pulse" if lit and self._role == "alarm_high" else self._role)

    @property
    def shape(self) -> tuple[object, ...]:
        return (self.big.text(), self.state.text(), self.ack.isHidden())

    def laid(self, width: int, letters: Letters) -> Laid | None:
        pad = letters.pad
        side = round(1.15 * letters.line(CAPITAL_MM, True))
        button_w = self.ack.natural(letters) if not self.ack.isHidden() else 0
        room = width - side - 3 * pad - (button_w + pad if button_w else 0)
        tall = letters.tall(self.big.text(), CAPITAL_MM, True, room)
        state = letters.tall(self.state.text(), SMALL_MM, False, room)
        ack = self.ack.laid(button_w, letters) if button_w else Laid(0)
        if tall is None or state is None or ack is None:
            return None
        inner = max(tall + state, side, ack.tall)
        top, left = pad // 2 + (inner - tall - state) // 2, side + 2 * pad
        parts = [
            Part(self.sign, QRect(pad, pad // 2 + (inner - side) // 2, side, side)),
            Part(self.big, QRect(left, top, room, tall), letters.font(CAPITAL_MM, True)),
            Part(self.state, QRect(left, top + tall, room, state), letters.font(SMALL_MM)),
        ]
        if button_w:
            at = QRect(width - pad - button_w, pad // 2 + (inner - ack.tall) // 2, button_w, ack.tall)
            parts.append(Part(self.ack, at, ack.font))
        return Laid(inner + pad, tuple(parts))

    def _pressed(self) -> None:
        self.seen.emit(self.key)


class Figures(QWidget):
    """The large numbers: what is counted or weighed at the left, the temperature at the right.

    `grown`: how much larger than they must be the digits are, where there is room.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.grown = 1.0
        self.timer = self._digits()
        self.timer_says = BigWords(SMALL_MM, False, self)
        self.temperature = self._digits()
        self.bar = BandBar(self)
        self.reading_says = BigWords(SMALL_MM, False, self)
        self.has_left = self.has_right = False

    def _digits(self) -> BigWords:
        made = BigWords(FIGURE_MM, True, self)
        made.setWordWrap(False)
        return made

    def show_sides(self, left: bool, right: bool) -> None:
        self.has_left, self.has_right = left, right
        self.timer.setVisible(left)
        self.timer_says.setVisible(left)
        self.temperature.setVisible(right)
        self.bar.setVisible(right)
        self.reading_says.setVisible(right)

    @property
    def shape(self) -> tuple[object, ...]:
        """Digits are all equally wide, so a second that passes changes nothing."""
        return (
            self.has_left,
            self.has_right,
            len(self.timer.text()),
            self.timer.millimetres,
            self.timer_says.text(),
            len(self.temperature.text()),
            len(self.reading_says.text()) // 4,
        )

    def laid(self, width: int, letters: Letters) -> Laid | None:
        if not (self.has_left and self.has_right):
            return self._one(width, letters)
        gap = 2 * letters.gap
        for share in (0.4, 0.5, 0.33):
            left, right = round(share * width) - gap, width - round(share * width)
            one, other = self._left(left, letters), self._right(right, letters, 0)
            if one is not None and other is not None:
                return _beside(one, other, width - right)
        one, other = self._left(width, letters), self._right(width, letters, 0)
        return None if one is None or other is None else _below(one, other, letters.gap)

    def _one(self, width: int, letters: Letters) -> Laid | None:
        if self.has_left:
            return self._left(width, letters)
        if not self.has_right:
            return Laid(0)
        number = self._number(letters) + 2 * letters.gap
        if width - number >= 14 * self._em(letters):  # the band beside the number
            one, other = self._digits_laid(self.temperature, letters), self._right(width, letters, number)
            if other is not None:
                inner = max(one.tall, other.tall)
                return Laid(
                    inner,
                    (
                        *_moved(one, 0, (inner - one.tall) // 2),
                        *_moved(other, 0, (inner - other.tall) // 2),
                    ),
                )
        return self._right(width, letters, 0)

    def _mm(self, digits: BigWords) -> float:
        return digits.millimetres * self.grown

    def _number(self, letters: Letters) -> int:
        return letters.wide(self.temperature.text(), self._mm(self.temperature), True)

    @staticmethod
    def _em(letters: Letters) -> float:
        return 0.55 * letters.px(CAPITAL_MM) / 0.7

    def _digits_laid(self, digits: BigWords, letters: Letters) -> Laid:
        mm = self._mm(digits)
        wide, tall = letters.wide(digits.text(), mm, True), letters.high(digits.text(), mm, True)
        return Laid(tall, (Part(digits, QRect(0, 0, wide + letters.pad, tall), letters.font(mm, True)),))

    def _left(self, width: int, letters: Letters) -> Laid | None:
        number = self._digits_laid(self.timer, letters)
        says = letters.tall(self.timer_says.text(), SMALL_MM, False, width)
        if says is None or number.parts[0].place.width() > width:
            return None
        words = Part(self.timer_says, QRect(0, number.tall, width, says), letters.font(SMALL_MM))
        return Laid(number.tall + says, (*number.parts, words))

    def _right(self, width: int, letters: Letters, beside: int) -> Laid | None:
        """Number, band and age under one another, or the last two beside the number from `beside` px on."""
        number = Laid(0) if beside else self._digits_laid(self.temperature, letters)
        room = width - beside
        says = letters.tall(self.reading_says.text(), SMALL_MM, False, room)
        if says is None or (not beside and number.parts[0].place.width() > width):
            return None
        bar = BandBar.tall_at(self._em(letters))
        parts = (
            *number.parts,
            Part(self.bar, QRect(beside, number.tall, room, bar)),
            Part(self.reading_says, QRect(beside, number.tall + bar, room, says), letters.font(SMALL_MM)),
        )
        return Laid(number.tall + bar + says, parts)

    def dress(self, letters: Letters) -> None:
        """The band is painted, so it has to be told."""
        self.bar.set_em(self._em(letters))


def _moved(laid: Laid, right: int, down: int) -> tuple[Part, ...]:
    return tuple(Part(part.widget, part.place.translated(right, down), part.font) for part in laid.parts)


def _beside(one: Laid, other: Laid, at: int) -> Laid:
    return Laid(max(one.tall, other.tall), (*one.parts, *_moved(other, at, 0)))


def _below(one: Laid, other: Laid, gap: int) -> Laid:
    return Laid(one.tall + gap + other.tall, (*one.parts, *_moved(other, 0, one.tall + gap)))


class ButtonsBlock(QWidget):
    """Buttons one after another, on as many lines as they need."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: list[BigButton] = []

    @property
    def shape(self) -> tuple[object, ...]:
        return tuple(button.text() for button in self.buttons if not button.isHidden())

    def laid(self, width: int, letters: Letters) -> Laid | None:
        gap = max(letters.pad, letters.true_px(2.0))
        parts: list[Part] = []
        x = y = line = 0
        for button in self.buttons:
            if button.isHidden():
                continue
            wide = min(width, button.natural(letters))
            if x and x + wide > width:
                x, y, line = 0, y + line + gap, 0
            laid = button.laid(wide, letters)
            if laid is None:
                return None
            parts.append(Part(button, QRect(x, y, wide, laid.tall), laid.font))
            x, line = x + wide + gap, max(line, laid.tall)
        return Laid(y + line, tuple(parts))


class FieldBlock(ButtonsBlock):
    """What is asked for, the field and its unit, and the buttons that go with it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.says = BigWords(SMALL_MM, False, self)
        self.entry = BenchEntry(self)
        as_role(self.entry, "entry_big")
        self.unit = BigWords(CAPITAL_MM, False, self)
        self.unit.setWordWrap(False)

    @property
    def shape(self) -> tuple[object, ...]:
        return (self.says.text(), self.unit.text(), self.entry.takes_numbers, *super().shape)

    def laid(self, width: int, letters: Letters) -> Laid | None:
        gap = letters.pad
        says = letters.tall(self.says.text(), SMALL_MM, False, width)
        field_h = max(letters.true_px(TARGET_MM), letters.line(CAPITAL_MM) + 2 * gap)
        unit_w = letters.wide(self.unit.text(), CAPITAL_MM) if self.unit.text() else 0
        least = letters.wide("0000.00", CAPITAL_MM, True) + 4 * gap
        shown = [button for button in self.buttons if not button.isHidden()]
        button_w = sum(button.natural(letters) + gap for button in shown)
        unit_room = unit_w + gap if unit_w else 0
        if says is None or least + unit_room > width:
            return None
        beside = width - unit_room - button_w
        row_y = says + (gap // 2 if says else 0)
        field_w = beside if beside >= least else width - unit_room
        if self.entry.takes_numbers:
            field_w = min(field_w, 2 * least)
        entry_font = letters.font(CAPITAL_MM, True)
        parts = [
            Part(self.says, QRect(0, 0, width, says), letters.font(SMALL_MM)),
            Part(self.entry, QRect(0, row_y, field_w, field_h), entry_font),
        ]
        if unit_w:
            line = letters.line(CAPITAL_MM)
            at = QRect(field_w + gap, row_y + (field_h - line) // 2, unit_w, line)
            parts.append(Part(self.unit, at, letters.font(CAPITAL_MM)))
        if beside < least:
            below = super().laid(width, letters)
            if below is None:
                return None
            return Laid(
                row_y + field_h + gap + below.tall,
                (*parts, *_moved(below, 0, row_y + field_h + gap)),
            )
        x = field_w + unit_room + gap
        for button in shown:
            wide = button.natural(letters)
            laid = button.laid(wide, letters)
            if laid is None:
                return None
            parts.append(Part(button, QRect(x, row_y, wide, max(field_h, laid.tall)), laid.font))
            x += wide + gap
        return Laid(row_y + field_h, tuple(parts))
