"""The last batches of a recipe or of a vessel, figure by figure, with the odd one marked and said why."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import QDate, QEvent, QLocale, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QCheckBox, QFrame, QGridLayout, QWidget

from workbench.core.review.past import PastRow, choices
from workbench.core.review.trends import Trend, trends
from workbench.ui.bench.measures import Measures
from workbench.ui.context import Context
from workbench.ui.history.batch_model import Names
from workbench.ui.history.figures import axis_number, axis_word, written
from workbench.ui.history.sheets import trends_sheet
from workbench.ui.history.taking import Taking
from workbench.ui.history.trend_chart import Dot, TrendChart
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, clear, column, page, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.flow import FlowLayout

CARD_EM = 25
MOST_COLUMNS = 3
LASTS = (10, 20, 50, 200)


class TrendCard(QFrame):
    """opened(session)"""

    opened = Signal(str)

    def __init__(self, shown: Trend, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "sheet")
        self.trend = shown
        title = measures.say(shown.title)
        self.title = Words(title, "strong")
        self.says = Words(measures.say(shown.says), "small")
        self.chart = TrendChart(title)
        self.chart.opened.connect(self.opened)
        self.chart.pointed.connect(self._pointed)
        self.at = Words(" ", "muted")
        number = {point.session: axis_number(point.value, shown.unit, measures) for point in shown.points}
        dots = tuple(
            Dot(
                point.session,
                _day(point.started),
                number[point.session],
                written(point.value, shown.unit, measures),
                point.odd,
            )
            for point in shown.points
        )
        usual = (
            None
            if shown.low is None or shown.high is None
            else (axis_number(shown.low, shown.unit, measures), axis_number(shown.high, shown.unit, measures))
        )
        middle = None if shown.middle is None else axis_number(shown.middle, shown.unit, measures)
        self.chart.show_dots(
            dots,
            lambda value, digits: axis_word(value, shown.unit, measures, digits),
            _clipped(usual, dots),
            middle,
        )
        self.odd = [
            Words(
                self.tr("! {day}: {why}").format(day=_day(point.started), why=measures.say(point.says or "")),
                "attention",
            )
            for point in shown.odd
        ]
        caution = [Words(measures.say(shown.caution), "muted")] if shown.caution is not None else []
        if shown.missing:
            caution.append(
                Words(self.tr("Not on record in {count} of them.").format(count=shown.missing), "muted")
            )
        whole = column(self.title, self.says, self.chart, self.at, *self.odd, *caution, 1, gap=1)
        margin = 3 * GRID_PX
        whole.setContentsMargins(margin, 2 * GRID_PX, margin, 2 * GRID_PX)
        self.setLayout(whole)
        self.chart.setAccessibleDescription(
            " ".join([self.says.text(), *(each.text() for each in (*self.odd, *caution))])
        )

    def _pointed(self, words: str) -> None:
        self.at.say(words or " ")  # the line is kept, so that nothing below it moves


class TrendsPage(QWidget):
    """left()  back to the list;  opened(session)  a batch is to be read"""

    left = Signal()
    opened = Signal(str)

    def __init__(self, context: Context, taking: Taking, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context, self._taking = context, taking
        self._rows: tuple[PastRow, ...] = ()
        self._names = Names()
        self._shown: tuple[Trend, ...] = ()
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.title = Words(self.tr("Trends"), "title")
        self.back = button(self.tr("All batches"), self.left.emit)
        self.table = button(self.tr("Save as a table …"), self._take_table, "quiet")
        self.picture = button(self.tr("Save as a picture …"), self._take_picture, "quiet")
        self.of_box = ChooseBox(self.tr("Of which recipe or vessel"), self, 24)
        self.of_box.chosen.connect(self._refill)
        self.last_box = ChooseBox(self.tr("How many batches"), self, 12)
        self.last_box.chosen.connect(self._refill)
        self.practice = QCheckBox(self.tr("Practice runs too"))
        self.practice.toggled.connect(self._refill)
        self.none = Words("", "lead")
        self.keys = Words(
            self.tr("In a chart the arrow keys read the batches out, and Enter opens one."), "muted"
        )
        self.cards: list[TrendCard] = []
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(3 * GRID_PX)
        self._columns = 0
        top = row(self.title, self.back, gap=2)
        top.setStretch(0, 1)
        doings = FlowLayout()
        doings.addWidget(self.table)
        doings.addWidget(self.picture)
        choosing = FlowLayout()
        for made in (self.of_box, self.last_box, self.practice):
            choosing.addWidget(made)
        head = column(top, doings, choosing, self.keys, gap=1)
        head.setContentsMargins(6 * GRID_PX, 4 * GRID_PX, 6 * GRID_PX, 0)
        self._body = page(column(self.none, self._grid, 1, gap=2), margin=6)
        whole = column(head, Scroller(self._body), gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._chosen_practice = False

    @property
    def _measures(self) -> Measures:
        return Measures(self._context.writer)

    def show_rows(self, rows: Sequence[PastRow], names: Names, recipe: str = "") -> None:
        """All batches there are; `recipe` is looked at first where it is among them."""
        self._rows, self._names = tuple(rows), names
        there = choices(self._rows)
        entries = [
            *((f"recipe:{key}", self.tr("Recipe: {name}").format(name=key)) for key, _ in there.recipes),
            *(
                (f"vessel:{key}", self.tr("Jug: {name}").format(name=names.vessels.get(key, key)))
                for key, _ in there.vessels
            ),
        ]
        self.of_box.offer(entries)
        keys = [key for key, _ in entries]
        if recipe and f"recipe:{recipe}" in keys:
            self.of_box.show_key(f"recipe:{recipe}")
        elif self.of_box.key() not in keys and keys:
            self.of_box.show_key(keys[0])
        self.last_box.offer(
            [(str(count), self.tr("the last {count}").format(count=count)) for count in LASTS]
        )
        if not self.last_box.key():
            self.last_box.show_key("20")
        if self._rows and all(each.rehearsal for each in self._rows):
            self.practice.blockSignals(True)
            self.practice.setChecked(True)
            self.practice.blockSignals(False)
        self._refill()

    def choose(self, kind: str, key: str) -> None:
        """ "recipe" or "vessel" and its key, as if chosen by hand."""
        self.of_box.show_key(f"{kind}:{key}")
        self._refill()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_grid"):
            self._columns = 0
            self._arrange()

    # -- inside

    def _refill(self) -> None:
        kind, _, key = self.of_box.key().partition(":")
        rows = [each for each in self._rows if self.practice.isChecked() or not each.rehearsal]
        last = int(self.last_box.key() or 20)
        self._shown = trends(rows, last=last, **{kind: key}) if key else ()
        self.keys.setVisible(bool(self._shown))
        self.none.say_or_hide(
            ""
            if self._shown
            else self.tr(
                "There is nothing to follow yet. Trends begin with the first batch that was brought to its end; practice runs count only if you say so."
            )
        )
        clear(self._grid)
        self.cards = [TrendCard(each, self._measures) for each in self._shown]
        for card in self.cards:
            card.opened.connect(self.opened)
        self._columns = 0
        self._arrange()

    def _arrange(self) -> None:
        wide = (self.width() - 14 * GRID_PX) // (CARD_EM * theme_now().em())
        columns = max(1, min(MOST_COLUMNS, wide))
        if columns == self._columns:
            return
        self._columns = columns
        for card in self.cards:
            self._grid.removeWidget(card)
        for at, card in enumerate(self.cards):
            self._grid.addWidget(card, at // columns, at % columns)
        for at in range(MOST_COLUMNS):
            self._grid.setColumnStretch(at, 1 if at < columns else 0)

    def _name(self) -> str:
        return self.tr("Trends {of}").format(of=self.of_box.currentText())

    def _take_table(self) -> None:
        self._taking.table(self._name(), trends_sheet(self._shown))

    def _take_picture(self) -> None:
        self._taking.picture(self._name(), self._body, self.title.text(), self.of_box.currentText())


def _day(started: datetime) -> str:
    return QLocale().toString(QDate(started.year, started.month, started.day), QLocale.FormatType.ShortFormat)


def _clipped(usual: tuple[float, float] | None, dots: tuple[Dot, ...]) -> tuple[float, float] | None:
    """The usual stretch may be wide; the chart shows no more of it than keeps the batches readable."""
    if usual is None or not dots:
        return None
    low, high = min(dot.number for dot in dots), max(dot.number for dot in dots)
    room = high - low
    if room < 1e-6 * max(1.0, abs(high)):
        return None
    return max(usual[0], low - room), min(usual[1], high + room)
