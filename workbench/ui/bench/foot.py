"""The foot of the bench: Hold always at the left, the primary action always at the right."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from workbench.core.batch.state import Phase, SessionState
from workbench.ui.bench import now as look
from workbench.ui.bench.keys import DONE_KEY, FAR_KEY, HOLD_KEY, MORE_KEY, REST_KEY
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import button


class Foot(QFrame):
    """Only buttons and their words; the view connects them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "bar")
        self.hold = button("", None, "hold", self)
        self.rest = button("", None, "quiet", self)
        self.far = button("", None, "quiet", self)
        self.more = button("", None, "quiet", self)
        self.primary = QPushButton(self)
        as_role(self.primary, "primary")
        self.primary.setAutoDefault(False)
        box = QHBoxLayout(self)
        margin = theme_now().space(4)
        box.setContentsMargins(margin, theme_now().space(2), margin, theme_now().space(2))
        box.setSpacing(theme_now().space(3))
        box.addWidget(self.hold)
        box.addStretch(1)
        for each in (self.rest, self.far, self.more):
            box.addWidget(each)
        box.addStretch(1)
        box.addWidget(self.primary)

    def dress(self, ruler: Ruler) -> None:
        """As large as an oily finger needs."""
        tall = max(round(ruler.px(self, TARGET_MM)), round(2.6 * theme_now().em()))
        for each in (self.hold, self.primary, self.far, self.rest, self.more):
            each.setMinimumHeight(tall)
        self.hold.setMinimumWidth(3 * tall)
        self.primary.setMinimumWidth(4 * tall)

    def show_place(self, is_far: bool, on_rest: bool, fits_side: bool, fits_all: bool) -> None:
        """Which page is shown, and what else there is room for."""
        self.hold.setText(self.tr("Hold ({key})").format(key=HOLD_KEY))
        self.more.setText(self.tr("More ({key})").format(key=MORE_KEY))
        far = self.tr("Full view ({key})") if is_far else self.tr("Bench view ({key})")
        self.far.setText(far.format(key=FAR_KEY))
        self.far.setVisible(fits_side or is_far)
        rest = self.tr("Back to the step ({key})") if on_rest else self.tr("All the rest ({key})")
        self.rest.setText(rest.format(key=REST_KEY))
        self.rest.setVisible(not fits_all and not is_far)

    def show_state(self, state: SessionState, more_to_read: bool) -> None:
        self.hold.setEnabled(state.phase is Phase.RUNNING)
        self.more.setEnabled(state.phase.live)
        if state.phase.over:
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
        self.primary.setText(words.format(key=DONE_KEY))

    def open_menu(self) -> None:
        if self.more.isEnabled():
            self.more.showMenu()
