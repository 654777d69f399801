"""How long the batch would take, and its steps as they would be made now."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from workbench.core.batch.plan import Plan
from workbench.core.batch.words import sentence_of
from workbench.core.wording import Duration
from workbench.ui.context import Context
from workbench.ui.editor.times_panel import TimesPanel
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, clear, column, figure, rule
from workbench.ui.writing import Writer


class StepsPage(QWidget):
    """Expected times, then a quiet list: number, title, what to do; the aim and the timer on the right.

    test_asked(oven, beside)   a microwave shall be tested with water, with a cup beside the jug or without
    """

    test_asked = Signal(str, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context: Context | None = None
        self.times = TimesPanel()
        self.times.test_asked.connect(self.test_asked)
        self._between = rule()
        self.head = Words("", "head")
        self.remark = Words("", "muted")
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(3 * GRID_PX)
        self.grid.setVerticalSpacing(3 * GRID_PX)
        self.grid.setColumnStretch(1, 1)
        whole = column(self.times, self._between, self.head, self.remark, self.grid, 1, gap=3)
        whole.setContentsMargins(0, 0, 0, GRID_PX)
        self.setLayout(whole)
        self._shown: tuple[object, ...] = ()
        self.times.hide()
        self._between.hide()

    def furnish(self, context: Context) -> None:
        """Tables and shelf that expected times are reckoned by."""
        self._context = context

    def show_why_not(self, says: str) -> None:
        self._shown = ()
        clear(self.grid)
        self.times.forget()
        self.times.hide()
        self._between.hide()
        self.head.say(self.tr("No steps yet"))
        self.remark.say_or_hide(says)

    def show_plan(self, plan: Plan, w: Writer) -> None:
        if self._context is not None:
            self.times.show()
            self._between.show()
            self.times.show_plan(plan, self._context.catalogue, w)
        key = (plan.steps, w)
        if key == self._shown:
            return
        self._shown = key
        clear(self.grid)
        self.head.say(self.tr("%n steps", "", len(plan.steps)))
        self.remark.say_or_hide("")
        for number, step in enumerate(plan.steps, start=1):
            top = Qt.AlignmentFlag.AlignTop
            order = figure(str(number), "muted")
            title = Words(w.sentence(sentence_of(step, "title")), "strong")
            what = Words(w.sentence(sentence_of(step, "instruction")), "body")
            words = QWidget()
            words.setLayout(column(title, what, gap=0))
            side = []
            if step.timer_s:
                side.append(str(Duration(step.timer_s)))
            if step.aim_c is not None:
                side.append(w.degrees(step.aim_c))
            elif step.low_c is not None and step.high_c is not None:
                side.append(f"{w.degrees(step.low_c)} – {w.degrees(step.high_c)}")
            aim = figure("\n".join(side), "strong")
            as_role(aim, "strong")
            self.grid.addWidget(order, number, 0, top)
            self.grid.addWidget(words, number, 1, top)
            self.grid.addWidget(aim, number, 2, top)
