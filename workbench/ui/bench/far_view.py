"""The bench view: readable from two steps away.

Capitals of 9 mm, the temperature twice that, by the real size of the screen.
Nothing scrolls: blocks are laid on pages in the order of their weight, the
danger line stands on every page, and one key turns the page.
"""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import NeedKind
from workbench.core.catalogue.model import Caution
from workbench.ui.bench import now as look
from workbench.ui.bench.big_words import BigWords
from workbench.ui.bench.cautions import ALERT, in_order, signal_word
from workbench.ui.bench.entry import BenchEntry
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import CAPITAL_MM, FIGURE_MM, Ruler, font_for_capitals, told_px_per_mm
from workbench.ui.bench.need_panel import NeedPanel
from workbench.ui.bench.temperature_face import BandBar, Trend, Where, age_words, trend_of, trend_words
from workbench.ui.bench.timer_face import is_over, timer_caption, timer_digits
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import button
from workbench.ui.widgets.signs import SignView

PAGE_KEY = "F3"


class DangerLine(QFrame):
    """Sign, signal word and the bench wording of the weightiest caution."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "card")
        self.sign = SignView(ALERT, 1.0, self)
        self.word = BigWords(CAPITAL_MM * 0.7, True, self)
        self.word.setWordWrap(False)
        self.word.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.word.setMargin(theme_now().space(1))
        self.words = BigWords(CAPITAL_MM, True, self)
        box = QHBoxLayout(self)
        pad = theme_now().space(3)
        box.setContentsMargins(pad, pad, pad, pad)
        box.setSpacing(theme_now().space(4))
        box.addWidget(self.sign)
        box.addWidget(self.word)
        box.addWidget(self.words, 1)

    def show_caution(self, caution: Caution | None, word: str, words: str) -> None:
        self.setVisible(caution is not None)
        if caution is None:
            return
        self.sign.show_sign(caution.sign or ALERT)
        self.word.setText(word)
        as_role(self.word, f"word_{caution.word.value}")
        self.words.setText(words)

    def size_for(self, ruler: Ruler, percent: int) -> None:
        self.word.size_for(ruler, percent)
        self.words.size_for(ruler, percent)
        side = round(1.3 * self.words.fontMetrics().height())
        if self.sign.width() != side or self.sign.height() != side:
            self.sign.setFixedSize(side, side)


class RulerBar(QWidget):
    """A bar that should be exactly 100 mm long; the maker holds a ruler to it."""

    LENGTH_MM = 100.0

    def __init__(self, ruler: Ruler, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.ruler = ruler
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(self.tr("A bar that should be 100 mm long"))

    def show_ruler(self, ruler: Ruler) -> None:
        self.ruler = ruler
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(self.ruler.px(self, self.LENGTH_MM)) + 2, 2 * theme_now().em())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), theme_now()
        painter.setPen(theme.pen("ink", 2))
        length, base = self.ruler.px(self, self.LENGTH_MM), self.height() - 2
        painter.drawLine(1, base, round(length) + 1, base)
        for at in range(0, 101, 10):
            x = round(1 + length * at / 100)
            painter.drawLine(x, base, x, base - (self.height() - 4 if at % 50 == 0 else self.height() // 2))
        painter.end()


class SizePanel(QFrame):
    """Letters larger or smaller, and the ruler; changed(percent, px per mm)."""

    changed = Signal(int, object)

    def __init__(self, percent: int, ruler: Ruler, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "panel")
        self.percent, self.ruler = percent, ruler
        self.words = QLabel(self)
        self.bar = RulerBar(ruler, self)
        smaller = button(self.tr("Smaller letters"), self._smaller, "", self)
        larger = button(self.tr("Larger letters"), self._larger, "", self)
        shorter = button(self.tr("Bar is too long"), self._shorter, "", self)
        longer = button(self.tr("Bar is too short"), self._longer, "", self)
        first, second = QHBoxLayout(), QHBoxLayout()
        for box, widgets in ((first, (smaller, larger, self.words)), (second, (self.bar, shorter, longer))):
            for widget in widgets:
                box.addWidget(widget)
            box.addStretch(1)
        whole = QVBoxLayout(self)
        whole.addLayout(first)
        whole.addLayout(second)
        self._say()

    def show_size(self, percent: int, ruler: Ruler) -> None:
        self.percent, self.ruler = percent, ruler
        self.bar.show_ruler(ruler)
        self._say()

    def _say(self) -> None:
        self.words.setText(
            self.tr("{percent} %. Hold a ruler to the bar: it should be 100 mm long.").format(
                percent=self.percent
            )
        )

    def _step(self, percent: int, times: float = 1.0) -> None:
        self.percent = min(200, max(100, percent))
        if times != 1.0:
            px_per_mm = (self.ruler.px_per_mm or told_px_per_mm(self)) * times
            self.ruler = Ruler(min(60.0, max(0.6, px_per_mm)))
            self.bar.show_ruler(self.ruler)
        self._say()
        self.changed.emit(self.percent, self.ruler.px_per_mm)

    def _smaller(self) -> None:
        self._step(self.percent - 10)

    def _larger(self) -> None:
        self._step(self.percent + 10)

    def _shorter(self) -> None:
        self._step(self.percent, 1 / 1.01)

    def _longer(self) -> None:
        self._step(self.percent, 1.01)


class FarView(QWidget):
    """One step as seen from across the kitchen."""

    sized = Signal(int, object)  # percent, px per mm or None

    def __init__(
        self,
        measures: Measures,
        cautions: Mapping[str, Caution],
        needs: NeedPanel,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._measures, self._cautions, self._needs = measures, cautions, needs
        self._state = SessionState()
        self._now_s = 0.0
        self._page = 0
        self._pages: list[list[QWidget]] = [[]]
        self.percent = 100
        self.ruler = Ruler()

        self.danger = DangerLine(self)
        self.instruction = BigWords(CAPITAL_MM, True, self)
        self.timer = BigWords(FIGURE_MM, True, self)
        self.timer.setWordWrap(False)
        self.timer_says = BigWords(CAPITAL_MM * 0.7, False, self)
        self.temperature = BigWords(FIGURE_MM, True, self)
        self.temperature.setWordWrap(False)
        self.bar = BandBar(self)
        self.reading_says = BigWords(CAPITAL_MM * 0.7, False, self)
        self.figures = QWidget(self)
        left, right = QVBoxLayout(), QVBoxLayout()
        for box, widgets in (
            (left, (self.timer, self.timer_says)),
            (right, (self.temperature, self.bar, self.reading_says)),
        ):
            box.setSpacing(theme_now().space(1))
            for widget in widgets:
                box.addWidget(widget)
            box.addStretch(1)
        figures = QHBoxLayout(self.figures)
        figures.setContentsMargins(0, 0, 0, 0)
        figures.setSpacing(theme_now().space(10))
        figures.addLayout(left, 2)
        figures.addLayout(right, 3)
        self.field = QWidget(self)
        self.need_says = BigWords(CAPITAL_MM * 0.7, False, self.field)
        self.entry = BenchEntry(self.field)
        self.unit = BigWords(CAPITAL_MM, False, self.field)
        self.unit.setWordWrap(False)
        field = QHBoxLayout(self.field)
        field.setContentsMargins(0, 0, 0, 0)
        field.setSpacing(theme_now().space(4))
        field.addWidget(self.need_says, 3)
        field.addWidget(self.entry, 2)
        field.addWidget(self.unit)
        self.options = BigWords(CAPITAL_MM * 0.7, False, self)
        self.more_cautions = BigWords(CAPITAL_MM * 0.7, False, self)
        self.trend = BigWords(CAPITAL_MM * 0.7, False, self)
        self.done_when = BigWords(CAPITAL_MM * 0.7, False, self)
        self.says = BigWords(CAPITAL_MM * 0.7, True, self)
        self.turn = button("", self.turn_page, "quiet", self)
        self.size_button = button("", self._toggle_size, "quiet", self)
        self.sizes = SizePanel(self.percent, self.ruler, self)
        self.sizes.hide()
        self.sizes.changed.connect(self._resized)
        self._blocks: tuple[QWidget, ...] = (
            self.instruction,
            self.figures,
            self.says,
            self.options,
            self.field,
            self.more_cautions,
            self.trend,
            self.done_when,
        )
        feet = QHBoxLayout()
        feet.addWidget(self.turn)
        feet.addStretch(1)
        feet.addWidget(self.size_button)
        self._box = QVBoxLayout(self)
        margin = theme_now().space(6)
        self._box.setContentsMargins(margin, margin, margin, theme_now().space(2))
        self._box.setSpacing(theme_now().space(5))
        self._box.addWidget(self.danger)
        for block in self._blocks:
            self._box.addWidget(block)
        self._box.addStretch(1)
        self._box.addWidget(self.sizes)
        self._box.addLayout(feet)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.entry.entered.connect(self._entered)
        needs.stirred.toggled.connect(self._say_need)
        self._say()

    # -- what it shows

    def set_size(self, percent: int, px_per_mm: float | None) -> None:
        self.percent, self.ruler = min(200, max(100, percent)), Ruler(px_per_mm)
        self.sizes.show_size(self.percent, self.ruler)
        self._lay()

    def show_state(self, state: SessionState, now_s: float, measures: Measures) -> None:
        if state.step_id != self._state.step_id:
            self._page = 0
            self.entry.clear()
        self._state, self._measures = state, measures
        step, hold = state.step, state.hold
        if hold is not None:
            self.instruction.setText(measures.say(hold.safe_action))
        elif step is not None:
            self.instruction.setText(measures.step_says(step, "bench"))
        else:
            self.instruction.setText(self.tr("No batch runs."))
        cautions = in_order(() if step is None else step.cautions, self._cautions)
        first = cautions[0] if cautions else None
        self.danger.show_caution(
            first,
            "" if first is None else signal_word(self, first.word),
            "" if first is None else measures.say(first.bench),
        )
        self.more_cautions.setText("\n".join(self._caution_words(each) for each in cautions[1:]))
        self.done_when.setText(
            ""
            if step is None
            else self.tr("Done when: {words}").format(words=measures.step_says(step, "done_when"))
        )
        self.options.setText(
            "\n".join(
                self.tr("{number} {label}").format(number=each.number, label=measures.say(each.label))
                for each in look.options(state)
                if state.recorded(each.need) is None
            )
        )
        need = self._needs.need
        if need is not None:
            self._say_need()
            self.unit.setText(self._needs.unit.text())
            self.entry.take_numbers(need.kind is not NeedKind.WORDS)
            self.entry.setAccessibleName(measures.say(need.label))
        self.show_time(now_s)
        self._lay()

    def show_time(self, now_s: float) -> None:
        self._now_s = now_s
        state = self._state
        timer = look.timer_shown(state, now_s)
        if look.on_hold(state):
            timer = look.TimerShown(look.Clockwork.NONE, 0.0)
        for widget in (self.timer, self.timer_says):
            widget.setVisible(timer.kind is not look.Clockwork.NONE)
        # how long a step has been going on is worth less room than what it counts down to
        self.timer.millimetres = CAPITAL_MM if timer.kind is look.Clockwork.UP else FIGURE_MM
        _set(self.timer, timer_digits(timer) if timer.kind is not look.Clockwork.NONE else "")
        as_role(self.timer, "attention_big" if is_over(timer) else "body")
        _set(self.timer_says, timer_caption(self, timer, state.step, self._measures))
        shown = look.temperature_shown(state, now_s)
        wants = look.can_read_temperature(state.step)
        for face in (self.temperature, self.bar, self.reading_says):
            face.setVisible(wants)
        if not wants:
            return
        trend = trend_of(shown.rate_k_min)
        if shown.celsius is None:
            words = self.tr("– {unit}").format(unit=self._measures.temperature_unit)
        else:
            words = self._measures.temperature(shown.celsius)
            if trend is not None and trend is not Trend.STEADY:
                words = f"{words} {trend.value}"
        _set(self.temperature, words)
        role = "stale_big" if shown.stale or shown.celsius is None else "body"
        as_role(self.temperature, "danger_big" if shown.where is Where.DANGER else role)
        _set(self.reading_says, age_words(self, shown))
        as_role(self.reading_says, "attention_big" if shown.stale else "body")
        _set(self.trend, trend_words(self, shown, self._measures))
        self.bar.show_temperature(shown, self._measures)

    def tell(self, says: str) -> None:
        if says != self.says.text():
            self.says.setText(says)
            self._lay()

    def take_key(self, character: str) -> None:
        self._page = next((at for at, page in enumerate(self._pages) if self.field in page), self._page)
        self._show_page()
        self.entry.take_key(character)

    def focus_entry(self) -> None:
        if self.field.isVisibleTo(self):
            self.entry.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.setFocus(Qt.FocusReason.OtherFocusReason)  # where no key does harm

    @property
    def pages(self) -> int:
        return len(self._pages)

    @property
    def on_last_page(self) -> bool:
        return self._page >= len(self._pages) - 1

    def turn_page(self) -> None:
        self._page = (self._page + 1) % max(1, len(self._pages))
        self._show_page()

    def minimumSizeHint(self) -> QSize:
        """It never forces the window to grow: what does not fit goes to the next page."""
        return QSize(20 * theme_now().em(), 10 * theme_now().em())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    # -- inside

    def _entered(self, text: str) -> None:
        """The card's own field records it, and says what is left to be mended."""
        self._needs.enter(text)
        self.entry.setText(self._needs.entry.text())

    def _say_need(self) -> None:
        need = self._needs.need
        if need is None:
            return
        if need.kind in (NeedKind.TICK, NeedKind.CHOICE):
            _set(self.need_says, self.tr("Its number"))
            return
        label = self._measures.say(need.label)
        if need.kind is NeedKind.TEMPERATURE and self._needs.stirred.isChecked():
            label = self.tr("{label}: stirred").format(label=label)
        _set(self.need_says, label)

    def _caution_words(self, caution: Caution) -> str:
        return f"{signal_word(self, caution.word)}: {self._measures.say(caution.bench)}"

    def _say(self) -> None:
        self.size_button.setText(self.tr("Size of the letters"))
        self.setAccessibleName(self.tr("Bench view"))

    def _toggle_size(self) -> None:
        self.sizes.setVisible(not self.sizes.isVisibleTo(self))
        self._lay()

    def _resized(self, percent: int, px_per_mm: float | None) -> None:
        self.percent, self.ruler = percent, Ruler(px_per_mm)
        self._lay()
        self.sized.emit(percent, px_per_mm)

    def _wanted(self) -> list[QWidget]:
        state = self._state
        held = state.phase in (Phase.HOLDING, Phase.HELD)
        need = self._needs.need
        unread = bool(look.cautions_unread(state))
        wanted: list[QWidget] = [self.instruction]
        if state.current is not None:
            wanted.append(self.figures)
        if self.says.text():
            wanted.append(self.says)
        asks = need is not None and not unread and state.current is not None
        if asks and not held and self.options.text():
            wanted.append(self.options)
        if state.hot if held else asks:
            wanted.append(self.field)
        if self.more_cautions.text():
            wanted.append(self.more_cautions)
        if self.trend.text() and look.can_read_temperature(state.step):
            wanted.append(self.trend)
        if self.done_when.text():
            wanted.append(self.done_when)
        return wanted

    def _lay(self) -> None:
        """Fonts first, then blocks onto pages by their height at this width."""
        for words in self.findChildren(BigWords):
            words.size_for(self.ruler, self.percent)
        self.danger.size_for(self.ruler, self.percent)
        font = font_for_capitals(
            theme_now().font("strong"), self.ruler.px(self, CAPITAL_MM * self.percent / 100)
        )
        self.entry.setFont(font)
        self.bar.set_em(0.55 * self.ruler.px(self, CAPITAL_MM * self.percent / 100) / 0.7)
        margins = self._box.contentsMargins()
        width = max(1, self.width() - margins.left() - margins.right())
        room = self.height() - margins.top() - margins.bottom() - self.turn.sizeHint().height()
        room -= 2 * self._box.spacing()
        if self.sizes.isVisibleTo(self):
            room -= self.sizes.sizeHint().height() + self._box.spacing()
        if not self.danger.isHidden():
            room -= self._height(self.danger, width) + self._box.spacing()
        self._pages = [[]]
        left = room
        for block in self._wanted():
            tall = self._height(block, width) + self._box.spacing()
            if tall > left and self._pages[-1]:
                self._pages.append([])
                left = room
            self._pages[-1].append(block)
            left -= tall
        self._page = min(self._page, len(self._pages) - 1)
        self._show_page()

    @staticmethod
    def _height(block: QWidget, width: int) -> int:
        layout = block.layout()
        if layout is not None and layout.hasHeightForWidth():
            return layout.totalHeightForWidth(width)
        tall = block.heightForWidth(width)
        return tall if tall > 0 else block.sizeHint().height()

    def _show_page(self) -> None:
        here = self._pages[self._page] if self._pages else []
        for block in self._blocks:
            block.setVisible(block in here)
        self.turn.setVisible(len(self._pages) > 1)
        self.turn.setText(
            self.tr("Page {page} of {pages}: turn ({key})").format(
                page=self._page + 1, pages=len(self._pages), key=PAGE_KEY
            )
        )


def _set(label: QLabel, words: str) -> None:
    if label.text() != words:
        label.setText(words)
