"""What the bench has learned of one thing, said plainly, with a way to forget it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.shelf import Shelf
from workbench.core.review.learned import forgotten
from workbench.core.review.learned_words import all_says
from workbench.ui.context import Context
from workbench.ui.widgets.ask import Choice, Question
from workbench.ui.widgets.basic import Words, button, column, row

FORGET = "forget what was learned"


class LearnedBox(QWidget):
    """`keep_shelf` saves a shelf and answers with "" or why not; hidden while there is nothing to say."""

    def __init__(
        self, context: Context, keep_shelf: Callable[[Shelf], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._context, self._keep_shelf = context, keep_shelf
        self._about = ""
        self.head = Words(self.tr("What the bench has learned"), "strong")
        self.says = Words("")
        self.fault = Words("", "error")
        self.fault.hide()
        self.forget = button(self.tr("Forget what was learned …"), self._ask, "quiet")
        self.setLayout(column(self.head, self.says, self.fault, row(self.forget, 1), gap=2))
        self.hide()

    def show_about(self, about: str) -> None:
        """`about`: "vessel:KEY", "microwave:KEY", "stove" or "lot:KEY"; "" for nothing."""
        if about != self._about:
            self.fault.say_or_hide("")
        self._about = about
        context = self._context
        lines = all_says(context.shelf, about, context.catalogue) if about else ()
        self.says.say("\n".join(context.writer.sentence(line) for line in lines))
        self.setVisible(bool(lines))

    def _ask(self) -> None:
        self._context.ask.ask(
            Question(
                FORGET,
                self.tr("Forget what was learned of this?"),
                self.tr(
                    "Forecasts begin again as for a new one, with wider ranges. Your records of past batches stay as they are; only later batches teach from now on. Forget it when it was replaced, or stands elsewhere now."
                ),
                (
                    Choice("keep", self.tr("Keep it")),
                    Choice("forget", self.tr("Forget it"), True),
                ),
            ),
            self._answered,
        )

    def _answered(self, key: str) -> None:
        if key == "forget":
            self.fault.say_or_hide(self._keep_shelf(forgotten(self._context.shelf, self._about)))
            self.show_about(self._about)
