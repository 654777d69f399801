"""The foot of the bench: Hold always at the left, the primary action always at the right."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from workbench.core.batch.state import Phase, SessionState
from workbench.ui.bench import now as look
from workbench.ui.bench.keys import DONE_KEY, FAR_KEY, HOLD_KEY, MORE_KEY, REST_KEY, TURN_KEY
from workbench.ui.bench.metrics import TARGET_MM, Ruler, font_for_capitals
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import button

BUTTON_MM, LEAST_MM = 5.0, 4.0  # capitals on the buttons of the bench view


class Foot(QFrame):
    """Only buttons and their words; the view connects them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "bar")
        self.hold = button("", None, "hold", self)
        self.rest = button("", None, "quiet", self)
        self.turn = button("", None, "quiet", self)
        self.far = button("", None, "quiet", self)
        self.more = button("", None, "quiet", self)
        self.more.setObjectName("more")  # its arrow needs room beside the words
        self.primary = QPushButton(self)
        as_role(self.primary, "primary")
        self.primary.setAutoDefault(False)
        box = self._box = QHBoxLayout(self)
        margin = theme_now().space(4)
        box.setContentsMargins(margin, theme_now().space(2), margin, theme_now().space(2))
        box.setSpacing(theme_now().space(3))
        box.addWidget(self.hold)
        box.addStretch(1)
        for each in (self.turn, self.rest, self.far, self.more):
            box.addWidget(each)
        box.addStretch(1)
        box.addWidget(self.primary)
        self._words: dict[QPushButton, str] = {}
        self._two_lines = self._large = self._has_far = False
        self._dressed: tuple[object, ...] = ()
        self._ruler, self._tall = Ruler(), 0
        self.turn.hide()

    def dress(self, ruler: Ruler) -> None:
        """As large as an oily finger needs."""
        self._ruler = ruler
        tall = max(round(ruler.px(self, TARGET_MM)), round(2.6 * theme_now().em()))
        for each in (self.hold, self.primary, self.turn, self.far, self.rest, self.more):
            each.setMinimumHeight(tall)
        self._tall = tall
        self._dressed = ()
        self._fit()

    def show_place(self, is_far: bool, on_rest: bool, fits_side: bool, fits_all: bool) -> None:
        """Which page is shown, and what else there is room for."""
        self._say(self.hold, self.tr("Hold ({key})"), HOLD_KEY)
        self._say(self.more, self.tr("More ({key})"), MORE_KEY)
        far = self.tr("Full view ({key})") if is_far else self.tr("Bench view ({key})")
        self._say(self.far, far, FAR_KEY)
        self._has_far = fits_side or is_far
        self.far.setVisible(self._has_far)
        rest = self.tr("Back to the step ({key})") if on_rest else self.tr("All the rest ({key})")
        self._say(self.rest, rest, REST_KEY)
        self.rest.setVisible(not fits_all and not is_far)
        self._large = is_far
        self._fit()

    def show_state(self, state: SessionState, more_to_read: bool) -> None:
        self.hold.setEnabled(state.phase is Phase.RUNNING)
        self.more.setEnabled(state.phase.live)
        for each in (self.hold, self.more):
            each.setVisible(not state.phase.over)
        self.far.setVisible(self._has_far and not state.phase.over)
        if state.phase.over:
            self.rest.hide()
            words = self.tr("Close this batch ({key})")
        elif state.phase is Phase.HOLDING:
            words = self.tr("Done, it is safe ({key})")
        elif state.phase is Phase.HELD:
            words = self.tr("Go on ({key})")
        elif look.cautions_unread(state):
            words = self.tr("Read on ({key})") if more_to_read else self.tr("I have read this ({key})")
        elif look.next_step(state) is None:
            words = self.tr("Finish the batch ({key})")
        else:
            words = self.tr("Done, next step ({key})")
        self._say(self.primary, words, DONE_KEY)
        self._fit()  # what came or went may leave no room for one line

    def show_pages(self, page: int, pages: int, is_far: bool) -> None:
        """Which page of the bench view is open; nothing where there is only one."""
        self.turn.setVisible(is_far and pages > 1)
        words = self.tr("Page {page} of {pages} ({key})")
        self._say(self.turn, words.replace("{page}", str(page)).replace("{pages}", str(pages)), TURN_KEY)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _say(self, on: QPushButton, words: str, key: str) -> None:
        if self._words.get(on) != words:
            self._words[on] = words
            on.setProperty("key", key)
            self._write(on)
            self._fit()

    def _write(self, on: QPushButton) -> None:
        key = str(on.property("key"))
        words = self._words[on].format(key=key)
        on.setAccessibleName(words)
        # the key below the words where they would not all fit side by side
        on.setText(words.replace(f" ({key})", f"\n({key})") if self._two_lines else words)

    def _fit(self) -> None:
        """Letters of the bench view where they fit, on one line or two, else those of the window."""
        shown = tuple((words, each.isHidden()) for each, words in self._words.items())
        wanted = (self.width(), self._large, self._ruler, theme_now(), shown)
        if wanted == self._dressed:
            return
        self._dressed = wanted
        sizes = (BUTTON_MM, LEAST_MM) if self._large else ()
        tries = [(millimetres, two_lines) for two_lines in (False, True) for millimetres in sizes]
        for millimetres, two_lines in (*tries, (0.0, False), (0.0, True)):
            self._set(millimetres, two_lines)
            if self._box.minimumSize().width() <= self.width():
                return

    def _set(self, millimetres: float, two_lines: bool) -> None:
        self._two_lines = two_lines
        theme = theme_now()
        for each in self._words:
            font = theme.font("strong" if each in (self.hold, self.primary) else "body")
            if millimetres:
                larger = font_for_capitals(font, self._ruler.px(self, millimetres))
                if QFontMetrics(larger).height() > QFontMetrics(font).height():
                    font = larger
            each.setFont(font)
            self._write(each)
            least = {self.hold: 2 if two_lines else 3, self.primary: 3 if two_lines else 4}.get(each, 1)
            each.setMinimumWidth(max(least * self._tall, each.minimumSizeHint().width()))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    def open_menu(self) -> None:
        if self.more.isEnabled():
            self.more.showMenu()
