"""How long a batch will take, worked out in the pool while the page stays free."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from workbench.core.batch.plan import Plan
from workbench.core.batch.times import Expected, Times, What
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.core.wording import Duration
from workbench.ui.scent.later import Later
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Panel, Words, button, clear, column, figure, row, rule
from workbench.ui.writing import Writer

AT_ONCE_S = 20.0
FINE_S = 120.0  # below it to a quarter of a minute, above to a minute
LONG_S = 5400.0  # above it to five minutes


def _reckon(plan: Plan, catalogue: Catalogue) -> Times:
    from workbench.core.batch.expected import expected_times  # brings the solvers; not needed for the window

    return expected_times(plan, catalogue)


class TimesPanel(Panel):
    """A row per stretch: what, the median, the range that holds it four times of five, and by what.

    test_asked(oven, beside)   the oven of this recipe lacks a water test; the maker wants to make it, with a
                               cup of water beside the jug where `beside`
    """

    test_asked = Signal(str, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", "", parent)
        self.rename(
            self.tr("How long it takes"),
            self.tr("in brackets the range that holds it four times out of five"),
        )
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(3 * GRID_PX)
        self.grid.setVerticalSpacing(2 * GRID_PX)
        self.grid.setColumnStretch(0, 1)
        self.assumed = Words("", "muted")
        self.untested = Words("", "body")
        self.test = button(self.tr("Test it with water …"), self._test)
        self._offer = QWidget()
        self._offer.setLayout(column(self.untested, row(self.test, 1), gap=1))
        self._offer.hide()
        self.body.addLayout(self.grid)
        self.body.addWidget(self.assumed)
        self.body.addWidget(self._offer)
        self._later = Later(self)
        self._later.came.connect(self._came)
        self._asked: tuple[Plan, Catalogue] | None = None
        self._writer: Writer | None = None
        self._oven, self._beside = "", False
        self.times: Times | None = None

    def show_plan(self, plan: Plan, catalogue: Catalogue, w: Writer) -> None:
        """Ask for the times of this plan, unless they are asked for or shown already."""
        anew = w != self._writer
        self._writer = w
        if self._asked is not None and self._asked[0] == plan and self._asked[1] is catalogue:
            if anew and self.times is not None:
                self._show(self.times, plan, w)
            return
        self._asked = (plan, catalogue)
        if self.times is None:
            self.assumed.say(self.tr("Working it out …"))
        self._later.start(lambda: _reckon(plan, catalogue))

    def forget(self) -> None:
        self._asked, self.times = None, None
        self._later.forget()
        clear(self.grid)
        self.assumed.say("")
        self._offer.hide()

    def _came(self, result: object) -> None:
        if isinstance(result, Times) and self._asked is not None and self._writer is not None:
            self.times = result
            self._show(result, self._asked[0], self._writer)

    def _show(self, times: Times, plan: Plan, w: Writer) -> None:
        clear(self.grid)
        for line, each in enumerate(times.rows):
            if each.what is What.TOTAL:
                self.grid.addWidget(rule(), 2 * line, 0, 1, 3)
            self._row(2 * line + 1, each, plan, w)
        self.assumed.say(" ".join(w.sentence(text) for text in times.assumed))
        self._oven, self._beside = times.oven, times.with_cup
        self.untested.say(w.sentence(times.test_says))
        self.test.setText(
            self.tr("Test it with water and a cup …") if times.with_cup else self.tr("Test it with water …")
        )
        self._offer.setVisible(bool(times.oven))

    def _row(self, line: int, each: Expected, plan: Plan, w: Writer) -> None:
        top = Qt.AlignmentFlag.AlignTop
        by = w.sentence(each.by if each.median_s is not None else each.says)
        name = Words(self._name(each.what, plan), "strong")
        words = QWidget()
        words.setLayout(column(name, Words(by, "muted"), gap=0) if by else column(name, gap=0))
        long = self._time(each, w)
        wide = self._range(each, w)
        median, between = figure(long, "strong"), figure(wide, "body")
        words.setAccessibleName(f"{name.text()}: {long} {wide} {by}")
        self.grid.addWidget(words, line, 0, top)
        self.grid.addWidget(median, line, 1, top)
        self.grid.addWidget(between, line, 2, top)

    def _name(self, what: What, plan: Plan) -> str:
        plain = not any(one.where == "scent" for one in plan.lines)
        if what is What.MELT and plan.heat is Heat.MICROWAVE:
            return self.tr("Melting in bursts")
        if what is What.COOL and plain:
            return self.tr("Cooling until it is poured")
        return {
            What.MELT: self.tr("Melting in the water bath"),
            What.COOL: self.tr("Cooling until the fragrance may go in"),
            What.WINDOW: self.tr("Then it stays open for"),
            What.SKIN: self.tr("In the tin: first skin after"),
            What.MOVABLE: self.tr("The tin may be moved after"),
            What.ROOM: self.tr("It is at room temperature after"),
            What.OTHER: self.tr("Spoon and stirring"),
            What.TOTAL: self.tr("All together"),
        }[what]

    def _time(self, each: Expected, w: Writer) -> str:
        if each.median_s is None:
            return "–"
        if each.median_s < AT_ONCE_S:
            return self.tr("at once")
        if FINE_S <= each.median_s < LONG_S:
            return self.tr("{minutes} min").format(minutes=w.number(each.median_s / 60, 0))
        return w.value(_rounded(each.median_s))

    def _range(self, each: Expected, w: Writer) -> str:
        low, high = each.low80_s, each.high80_s
        if each.median_s is None or low is None or low == high:
            return ""
        if high is None:
            return self.tr("({low} or much more)").format(low=w.value(_rounded(low)))
        if high < AT_ONCE_S:
            return ""
        if 2 * FINE_S <= high < LONG_S:
            return self.tr("({low} to {high} min)").format(
                low=w.number(max(low / 60, 1), 0), high=w.number(high / 60, 0)
            )
        return self.tr("({low} to {high})").format(low=w.value(_rounded(low)), high=w.value(_rounded(high)))

    def _test(self) -> None:
        self.test_asked.emit(self._oven, self._beside)


def _rounded(seconds: float) -> Duration:
    step = 15.0 if seconds < FINE_S else 60.0 if seconds < LONG_S else 300.0
    return Duration(step * round(seconds / step))
