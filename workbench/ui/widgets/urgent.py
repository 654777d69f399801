"""A line above every page but the bench: what the pot needs now, while its maker looks at something else."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QFrame, QHBoxLayout, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button


class UrgentBar(QFrame):
    """Stays as long as there is something to say; it is answered at the bench."""

    def __init__(self, to_bench: Callable[[], object], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = Words("", "strong", self)
        self.words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.go = button("", to_bench, "", self)
        line = QHBoxLayout(self)
        line.setContentsMargins(6 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 2 * GRID_PX)
        line.setSpacing(2 * GRID_PX)
        line.addWidget(self.words, 1)
        line.addWidget(self.go)
        self._away = False
        self.hide()

    def tell(self, words: str, grave: bool) -> None:
        """Nothing where `words` is empty; `grave`: somebody may be hurt."""
        as_role(self, "DANGER" if grave else "WARNING")
        self.words.say(words)
        self.go.setText(self.tr("To the batch"))
        self.setAccessibleName(words)
        self._show()

    def set_away(self, away: bool) -> None:
        """The bench itself is in front, or there is none: it says so in its own place."""
        self._away = away
        self._show()

    def _show(self) -> None:
        self.setVisible(bool(self.words.text()) and not self._away)
