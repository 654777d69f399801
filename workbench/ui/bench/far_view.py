"""The bench view: readable from two steps away.

Capitals of 9 mm, the temperature twice that, by the real size of the screen.
Nothing scrolls and nothing is cut: every block is measured before it is
shown (`far_fit`).  The first page holds what a glance is for; an alarm, the
weightiest caution and the answer to a press stand on every page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QWidget

from workbench.core.batch.guards import BATH
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import NeedKind
from workbench.core.catalogue.model import Caution
from workbench.core.trouble import Trouble
from workbench.ui.bench import now as look
from workbench.ui.bench.alarm_bar import AlarmShown
from workbench.ui.bench.big_words import BigButton, BigWords, OnceButton
from workbench.ui.bench.cautions import in_order, signal_word
from workbench.ui.bench.far_blocks import (
    BUTTON_MM,
    SMALL_MM,
    AlarmLine,
    ButtonsBlock,
    FieldBlock,
    Figures,
    SignalLine,
)
from workbench.ui.bench.far_fit import FarPage, arrange
from workbench.ui.bench.far_put import larger_page, put_page
from workbench.ui.bench.far_trouble import TroubleLine
from workbench.ui.bench.far_words import instruction_now, taken_words, temperature_words
from workbench.ui.bench.keys import MORE_KEY
from workbench.ui.bench.letter_size import LEAST, MOST, SizePanel
from workbench.ui.bench.letters import Block
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import CAPITAL_MM, FIGURE_MM, Ruler
from workbench.ui.bench.step_card import StepCard
from workbench.ui.bench.target import target_now
from workbench.ui.bench.temperature_face import Where, age_words, trend_words
from workbench.ui.bench.timer_face import is_over, timer_caption, timer_digits
from workbench.ui.theme import as_role, theme_now


class FarView(QWidget):
    """One step as seen from across the kitchen.

    sized(percent, px per mm)   the maker wants other letters
    paged(which, how many)      counted from 1
    """

    sized = Signal(int, object)
    paged = Signal(int, int)

    def __init__(
        self,
        measures: Measures,
        cautions: Mapping[str, Caution],
        card: StepCard,
        retry: Callable[[], object],
        copy: Callable[[], object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._measures, self._cautions, self._card, self._needs = measures, cautions, card, card.needs
        self._state = SessionState()
        self._page = 0
        self._ready = True
        self._pages: tuple[FarPage, ...] = ()
        self._laid: tuple[object, ...] = ()  # for what the pages were made
        self.percent = 100
        self.ruler = Ruler()

        self.alarm = AlarmLine(self)
        self.trouble = TroubleLine(retry, copy, self)
        self.trouble_says = BigWords(SMALL_MM, False, self)
        self.trouble_says.hide()
        self.danger = SignalLine(CAPITAL_MM, self)
        self.instruction = BigWords(CAPITAL_MM, True, self)
        self.optional = BigWords(SMALL_MM, False, self)
        self.says = BigWords(SMALL_MM, True, self)
        self.figures = Figures(self)
        self.timer, self.temperature = self.figures.timer, self.figures.temperature
        self.burst_block = ButtonsBlock(self)
        self.burst = BigButton(0.8 * CAPITAL_MM, card.press_burst, "primary", self.burst_block)
        self.burst_block.buttons.append(self.burst)
        self.burst_says = BigWords(SMALL_MM, False, self)
        self.options = ButtonsBlock(self)
        self.field = FieldBlock(self)
        self.entry = self.field.entry
        self.probe = BigButton(BUTTON_MM, self._take_reading, "big", self.field)
        self.stirred = BigButton(BUTTON_MM, self._stirred_pressed, "big", self.field)
        self.stirred.setCheckable(True)
        self.record = BigButton(BUTTON_MM, self._record_pressed, "big", self.field)
        self.field.buttons += [self.stirred, self.probe, self.record]
        self.outlook = BigWords(SMALL_MM, False, self)
        self.trend = BigWords(SMALL_MM, False, self)
        self.done_when = BigWords(SMALL_MM, False, self)
        self.then = BigWords(SMALL_MM, False, self)
        self._lines: list[SignalLine] = []  # the cautions behind the first
        self.sizes = SizePanel(self.percent, self.ruler, self)
        self.sizes.hide()
        self.sizes.changed.connect(self._resized)
        self.sizes.closed.connect(self.toggle_size)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.entry.entered.connect(self._entered)
        self.entry.textEdited.connect(lambda: self._needs.said.emit(""))
        self._needs.said.connect(self.tell)
        self._needs.stirred.toggled.connect(self._say_need)
        self._say()

    # -- what it shows

    def set_size(self, percent: int, px_per_mm: float | None) -> None:
        self.percent, self.ruler = min(MOST, max(LEAST, percent)), Ruler(px_per_mm)
        self.lay()

    def show_alarms(self, shown: Sequence[AlarmShown]) -> None:
        self.alarm.show_alarms(shown)
        self.lay()

    def show_trouble(self, trouble: Trouble | None, says: str) -> None:
        """The record cannot be written, or can again; `says` is the whole sentence."""
        self.trouble.tell(trouble, says)
        self.trouble_says.say(says)
        self.lay()

    def show_state(self, state: SessionState, now_s: float, measures: Measures) -> None:
        if state.step_id != self._state.step_id or state.phase is not self._state.phase:
            self._page, self._laid = 0, ()
            self.entry.clear()
        self._state, self._measures, self._ready = state, measures, False
        step, hold = state.step, state.hold
        self._show_cautions(in_order(() if step is None else step.cautions, self._cautions))
        self.done_when.say(
            ""
            if step is None or hold is not None
            else self.tr("Done when: {words}").format(words=measures.step_says(step, "done_when"))
        )
        optional = step is not None and step.optional and hold is None
        self.optional.say(
            self.tr("This step can be left out: {key}.").format(key=MORE_KEY) if optional else ""
        )
        after = look.next_step(state)
        self.then.say(
            ""
            if after is None or hold is not None
            else self.tr("Then: {words}").format(words=measures.step_says(after, "bench"))
        )
        self._show_options(state)
        self._show_burst()
        self._say_need()
        self._ready = True
        self.show_time(now_s)

    def show_time(self, now_s: float) -> None:
        """Only what changes with time."""
        state = self._state
        unread = bool(look.cautions_unread(state)) and not look.on_hold(state)
        timer = look.timer_shown(state, now_s)
        if look.on_hold(state) or unread:
            timer = look.TimerShown(look.Clockwork.NONE, 0.0)
        self.instruction.say(instruction_now(self, state, timer, self._measures))
        target, range_words = target_now(self._needs, state)
        weighs = bool(target) and timer.kind in (look.Clockwork.UP, look.Clockwork.NONE) and not unread
        if weighs:  # how long a step has been going on is worth less room than what is to be weighed
            self.timer.millimetres = FIGURE_MM
            self.timer.say(target, "body")
            self.figures.timer_says.say(range_words)
        else:
            up = timer.kind is look.Clockwork.UP
            if up and not state.hot:  # nobody waits for it, and it would take the room of what is to be done
                timer = look.TimerShown(look.Clockwork.NONE, 0.0)
            self.timer.millimetres = CAPITAL_MM if up else FIGURE_MM
            self.timer.say(timer_digits(timer) if timer.kind is not look.Clockwork.NONE else "")
            as_role(self.timer, "attention_big" if is_over(timer) else "body")
            self.figures.timer_says.say(timer_caption(self, timer, state.step, self._measures))
        reads = look.can_read_temperature(state.step) and state.current is not None and not unread
        reads = reads and timer.kind not in (
            look.Clockwork.BURST,
            look.Clockwork.STIR,
        )  # hands and eyes are busy
        self.figures.show_sides(weighs or timer.kind is not look.Clockwork.NONE, reads)
        self._show_temperature(state, now_s)
        self.lay()

    def show_outlook(self, words: str) -> None:
        if words != self.outlook.text():
            self.outlook.say(words)
            self.lay()

    def tell(self, says: str) -> None:
        """An answer to a press stands on the first page: whoever read on is taken back to it."""
        if says != self.says.text():
            self.says.say(says)
            if says:
                self._page = 0
            self.lay()
        elif says and self._page:
            self._page = 0  # the same answer once more, to a press on another page
            self._show_page()

    # -- keys and pages

    def take_key(self, character: str) -> None:
        if self._needs.put_off():
            return
        self._go_to(self.field)
        self.entry.take_key(character)

    def take_reading(self, text: str) -> None:
        """What the practice thermometer shows."""
        self._go_to(self.field)
        self.entry.setText(text)
        self.focus_entry()

    def focus_entry(self) -> None:
        if self.field.isVisibleTo(self):
            self.entry.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.setFocus(Qt.FocusReason.OtherFocusReason)  # where no key does harm

    @property
    def pages(self) -> int:
        return len(self._pages)

    @property
    def page(self) -> FarPage | None:
        return self._pages[self._page] if self._pages else None

    @property
    def on_last_page(self) -> bool:
        return self._page >= len(self._pages) - 1

    def turn_page(self) -> None:
        self._page = (self._page + 1) % max(1, len(self._pages))
        self._show_page()

    def toggle_size(self) -> None:
        self.sizes.setVisible(not self.sizes.isVisibleTo(self))
        self.lay()

    # -- Qt

    def minimumSizeHint(self) -> QSize:
        """It never forces the window to grow."""
        return QSize(20 * theme_now().em(), 8 * theme_now().em())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.lay()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    # -- inside

    def _say(self) -> None:
        self.setAccessibleName(self.tr("Bench view"))
        self.record.setText(self.tr("Record (Enter)"))

    def _show_cautions(self, cautions: Sequence[Caution]) -> None:
        for at, caution in enumerate(cautions):
            if at > len(self._lines):
                self._lines.append(SignalLine(SMALL_MM, self))
                self._lines[-1].hide()
            line = self.danger if at == 0 else self._lines[at - 1]
            line.show_line(
                caution.sign,
                caution.word.value,
                signal_word(self, caution.word),
                self._measures.say(caution.bench),
            )
        self._cautions_shown = len(cautions)

    def _show_options(self, state: SessionState) -> None:
        """Answers that are still open, each a button with the number that types it."""
        held = look.on_hold(state)  # then only a bath that boiled dry has any
        asked = [each for each in look.options(state) if held or state.recorded(each.need) is None]
        buttons = self.options.buttons
        while len(buttons) < len(asked):
            buttons.append(OnceButton(SMALL_MM, self._option_pressed, "big", self.options))
        for at, button in enumerate(buttons):
            button.setVisible(at < len(asked))
            if at < len(asked):
                option, words = asked[at], self._measures.say(asked[at].label)
                # no question stands above the buttons here: "high enough" alone would say nothing
                bath = option.need == BATH
                said = self.tr("{number}  Water: {label}") if bath else self.tr("{number}  {label}")
                button.setText(said.format(number=option.number, label=words))
                button.setProperty("need", option.need)
                button.setProperty("value", option.value)

    def _show_burst(self) -> None:
        card = self._card
        shown = not card.burst.isHidden()
        self.burst.setVisible(shown)
        self.burst.setText(card.burst.text())
        self.burst.setEnabled(card.burst.isEnabled())
        self.burst_says.say(card.burst_says.text() if shown and not card.burst_says.isHidden() else "")

    def _show_temperature(self, state: SessionState, now_s: float) -> None:
        shown = look.temperature_shown(state, now_s)
        words = temperature_words(self, shown, self._measures)
        self.temperature.say(words)
        role = "stale_big" if shown.stale or shown.celsius is None else "body"
        as_role(self.temperature, "danger_big" if shown.where is Where.DANGER else role)
        self.figures.reading_says.say(age_words(self, shown))
        as_role(self.figures.reading_says, "attention_big" if shown.stale else "body")
        if self.figures.has_right:
            self.trend.say(trend_words(self, shown, self._measures))
        elif look.can_read_temperature(state.step) and shown.celsius is not None:
            self.trend.say(
                self.tr("{temperature}. {age}").format(temperature=words, age=age_words(self, shown))
            )
        else:
            self.trend.say("")
        self.figures.bar.show_temperature(shown, self._measures)

    def _say_need(self) -> None:
        """The field's own words and buttons."""
        need, needs, measures = self._needs.need, self._needs, self._measures
        if need is None:
            return
        taken = taken_words(self, needs, self._state, measures)
        if taken:  # an empty field looks like a lost entry
            says = taken
        elif need.kind in (NeedKind.TICK, NeedKind.CHOICE):
            says = self.tr("Type its number, or press it.")
        else:
            says = measures.say(need.label)
            _, good = target_now(needs, self._state)
            if not good and (target := needs.target_words(need)):
                says = self.tr("{label}: {target}").format(label=says, target=target)
        self.field.says.say(says)
        self.field.unit.say(needs.unit_of(need))
        self.entry.take_numbers(need.kind is not NeedKind.WORDS)
        self.entry.setAccessibleName(measures.say(need.label))
        reads = need.kind is NeedKind.TEMPERATURE
        self.stirred.setVisible(reads)
        self.stirred.setChecked(needs.stirred.isChecked())
        self.stirred.setText(needs.stirred_words(short=True))
        self.probe.setVisible(reads and needs.can_probe)
        self.probe.setText(needs.probe.text())
        self.lay()

    def _entered(self, text: str) -> None:
        """The card's own field records it, and says what is left to be mended."""
        self._needs.enter(text)
        self.entry.setText(self._needs.entry.text())
        if not self.entry.text() and self._page:
            self._page = 0  # what was typed is taken: back to what a glance is for
            self._show_page()

    def _record_pressed(self) -> None:
        if self.entry.text().strip():
            self._entered(self.entry.text())
        else:
            self.focus_entry()

    def _option_pressed(self) -> None:
        pressed = self.sender()
        self.focus_entry()  # the button goes, and the keys would go on to whatever comes next in the window
        self._needs.answer(str(pressed.property("need")), pressed.property("value"))

    def _stirred_pressed(self) -> None:
        self._needs.stirred.setChecked(self.stirred.isChecked())

    def _take_reading(self) -> None:
        self._needs.take_reading()
        self.take_reading(self._needs.entry.text())

    def _resized(self, percent: int, px_per_mm: float | None) -> None:
        self.percent, self.ruler = percent, Ruler(px_per_mm)
        self.lay()
        self.sized.emit(percent, px_per_mm)

    # -- the pages

    def _wanted(self) -> tuple[list[Block], list[Block], list[Block]]:
        """On every page, on the first, and after it; each in the order of its weight."""
        state = self._state
        held, need = look.on_hold(state), self._needs.need
        unread = bool(look.cautions_unread(state)) and not held
        asks = need is not None and not unread and state.current is not None
        field: list[Block] = [self.field] if (state.hot if held else asks) else []
        pinned: list[Block] = [self.alarm] if self.alarm.key else []
        if self.trouble.on:
            pinned.append(self.trouble)
        if self._cautions_shown:
            pinned.append(self.danger)
        first: list[Block] = [self.instruction, *self._said(self.optional)]
        rest: list[Block] = []
        if self.says.text():
            first.append(self.says)
        if self.figures.has_left or self.figures.has_right:
            first.append(self.figures)
        if asks and not held and not self.burst.isHidden():
            first.append(self.burst_block)
            rest += self._said(self.burst_says)
        ticks = need is not None and need.kind in (NeedKind.TICK, NeedKind.CHOICE)
        # where nothing is hot, what is to be recorded is what the step is about
        if asks and any(not button.isHidden() for button in self.options.buttons):
            (first if ticks and not state.hot else rest).append(self.options)
        (rest if state.hot or ticks else first).extend(field)
        rest += self._said(self.trouble_says)
        if not unread:
            rest += [*self._said(self.outlook), *self._said(self.trend)]
        rest += self._lines[: max(0, self._cautions_shown - 1)]
        if not unread:
            rest += [*self._said(self.done_when), *self._said(self.then)]
        return pinned, first, rest

    @staticmethod
    def _said(words: BigWords) -> list[Block]:
        return [words] if words.text() else []

    def lay(self) -> None:
        """Measure, choose pages and letters, show the page that is open."""
        if not self.isVisible() or not self._ready:
            return  # it is laid out when it is shown, and when everything in it is said
        margin = _margin()
        width, height = self.width() - 2 * margin, self.height() - 2 * margin
        if self.sizes.isVisibleTo(self):
            tall = self.sizes.tall_at(width)
            self.sizes.setGeometry(margin, self.height() - margin - tall, width, tall)
            height -= tall + margin
        px_per_mm = self.ruler.px(self, 1.0)
        pinned, first, rest = self._wanted()
        shapes = tuple((id(block), block.shape) for block in (*pinned, *first, *rest))
        wanted = (width, height, px_per_mm, self.percent, theme_now(), len(pinned), len(first), shapes)
        if wanted == self._laid:
            return
        self._laid = wanted
        self.figures.grown = 1.0
        self._pages = arrange(pinned, first, rest, width, height, px_per_mm, self.percent)
        # beside a hot pot letters stay as they are while figures come and go, and while they are being chosen
        calm = not (self._state.hot and self.figures in first) and not self.sizes.isVisibleTo(self)
        if len(self._pages) == 1 and calm:
            blocks = [*pinned, *first, *rest]
            larger = larger_page(blocks, self.figures, width, height, px_per_mm, self.percent, MOST)
            self._pages = self._pages if larger is None else (larger,)
        if self._pages:
            self.sizes.show_size(self.percent, self.ruler, self._pages[0].letters.percent)
        self._page = min(self._page, max(0, len(self._pages) - 1))
        self._show_page()

    def _show_page(self) -> None:
        page = self.page
        shown = [] if page is None else [block for block, _ in page.blocks]
        had = self.focusWidget() if self.isAncestorOf(QApplication.focusWidget() or self) else None
        for block in self._all():
            if block not in shown:
                if had is not None and block.isAncestorOf(had):
                    self.setFocus(Qt.FocusReason.OtherFocusReason)  # never on to a button that does something
                block.setVisible(False)
        if page is not None:
            put_page(page, self.figures, self.width() - 2 * _margin(), _margin())
        if QApplication.focusWidget() is self:
            self.focus_entry()
        self.paged.emit(self._page + 1, max(1, len(self._pages)))

    def _all(self) -> list[Block]:
        """Whatever can stand on a page."""
        fixed: list[Block] = [self.alarm, self.trouble, self.trouble_says, self.danger, self.instruction]
        fixed += [self.optional, self.says, self.figures, self.burst_block, self.burst_says]
        fixed += [self.options, self.field, self.outlook, self.trend, self.done_when, self.then]
        return [*fixed, *self._lines]

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.lay()

    def _go_to(self, block: Block) -> None:
        """The page on which this stands."""
        for at, page in enumerate(self._pages):
            if any(each is block for each, _ in page.blocks):
                self._page = at
        self._show_page()


def _margin() -> int:
    return 4 * theme_now().space(1)
