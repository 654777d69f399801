"""A strip above the page that says what went wrong and what can be done; it waits to be read."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button

WORDS_EMS = 20  # a line of words is at least so wide, or the answers go below it


class Banner(QFrame):
    """Hidden until there is something to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "banner")
        self.words = Words("", "body", self)
        self.words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.close_button = button(self.tr("Understood"), self.hide)
        self._actions: list[QWidget] = []
        self._answers = QWidget(self)
        self._line = QHBoxLayout(self._answers)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(2 * GRID_PX)
        self._line.addStretch(1)
        self._line.addWidget(self.close_button)
        self._whole = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._whole.setContentsMargins(6 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 2 * GRID_PX)
        self._whole.setSpacing(2 * GRID_PX)
        self._whole.addWidget(self.words, 1)
        self._whole.addWidget(self._answers)
        self.hide()

    def tell(self, text: str, *actions: tuple[str, Callable[[], object]], trouble: bool = True) -> None:
        """Show a sentence with the things that can be done about it."""
        as_role(self, "banner" if trouble else "hint")
        for gone in self._actions:
            self._line.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        self._actions = []
        for index, (name, act) in enumerate(actions):
            # what waits to be gone on with is more than a remark to be understood
            made = button(name, self.hide, "primary" if index == 0 and not trouble else "")
            made.clicked.connect(act)  # after it is put away: what comes of it may be told here too
            self._line.insertWidget(1 + index, made)
            self._actions.append(made)
        self.words.say(text)
        self.setAccessibleName(text)
        self._arrange()
        self.show()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """The answers beside the words, or below where the words would be left a narrow column."""
        beside = self.width() - self._answers.sizeHint().width() >= WORDS_EMS * self.fontMetrics().height()
        self._whole.setDirection(
            QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        )
