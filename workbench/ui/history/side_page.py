"""Two to six batches side by side: curves laid upon each other, amounts, times and results."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from workbench.core.catalogue.model import Note
from workbench.core.review.compare import CompareRow, Comparison, Unit
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.words import elapsed_words
from workbench.ui.context import Context
from workbench.ui.history.figures import apart, written
from workbench.ui.history.lines_chart import LETTERS, Line, LinesChart, Sample, value_at
from workbench.ui.history.sheets import side_sheet
from workbench.ui.history.side_tables import SideCell, SideRow, SideTable
from workbench.ui.history.taking import Taking
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Scroller, Words, button, clear, column, page, row
from workbench.ui.widgets.beside import Beside
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.flow import FlowLayout

MOST_SENTENCES = 6
AT_FIRST = "add fragrance"  # most of what can go wrong does so around it


class SidePage(QWidget):
    """left()  back to the list;  opened(session)  one of them is to be read"""

    left = Signal()
    opened = Signal(str)

    def __init__(self, context: Context, taking: Taking, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context, self._taking = context, taking
        self._shown: Comparison | None = None
        self._aligned: str | None = None  # not chosen yet
        self._names: tuple[str, ...] = ()
        self._idle = ""
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.title = Words(self.tr("Side by side"), "title")
        self.back = button(self.tr("All batches"), self.left.emit)
        self.table = button(self.tr("Save as a table …"), self._take_table, "quiet")
        self.picture = button(self.tr("Save as a picture …"), self._take_picture, "quiet")
        self.says = Words("", "body")
        self.at_label = Words(self.tr("Lay the curves upon each other at"), "body")
        self.at_label.setWordWrap(False)
        self.at_box = ChooseBox(self.tr("Lay the curves upon each other at"), self, 16)
        self.at_box.chosen.connect(self._align)
        self.chart = LinesChart(self.tr("Temperature over time, side by side"))
        self.chart.pointed.connect(self._read_out)
        self.legend = QGridLayout()
        self.legend.setHorizontalSpacing(2 * GRID_PX)
        self.legend.setVerticalSpacing(GRID_PX)
        self.legend.setColumnStretch(2, 1)
        self.readout = Words("", "small")
        self.amounts = SideTable(self.tr("What went in"))
        self.shares = SideTable(self.tr("Of the whole, as made"))
        self.results = SideTable(self.tr("How it went and what came of it"))
        self.times = SideTable(self.tr("Time in each kind of step"))
        self.marks = SideTable(self.tr("What wearers marked, 0 to 10"))
        self.about = Words(
            self.tr(
                "Bold, with a sign: differs from A by more than scale, thermometer or clock can be off. A dash: not on record."
            ),
            "muted",
        )
        top = row(self.title, self.back, gap=2)
        top.setStretch(0, 1)
        doings = FlowLayout()
        doings.addWidget(self.table)
        doings.addWidget(self.picture)
        head = column(top, doings, gap=1)
        head.setContentsMargins(6 * GRID_PX, 4 * GRID_PX, 6 * GRID_PX, 0)
        choosing = row(self.at_label, self.at_box, 2, gap=2)
        choosing.setStretch(1, 1)
        which, differ = QWidget(), QWidget()
        which.setLayout(column(self.legend, 1))
        differ.setLayout(column(self.says, 1))
        inner = column(
            Beside(which, differ), choosing, self.chart, self.readout, self.about,
            self.results, self.amounts, self.shares, self.marks, self.times, gap=4,
        )  # fmt: skip
        self._body = page(column(inner), margin=6)
        whole = column(head, Scroller(self._body), gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)

    @property
    def _measures(self) -> Measures:
        return Measures(self._context.writer)

    def show_comparison(self, shown: Comparison, names: tuple[str, ...]) -> None:
        """The sides are titled by their letters; `names` are what the letters stand for."""
        self._shown, self._names = shown, names
        kinds = [each.kind for each in shown.alignments]
        if self._aligned not in kinds:
            self._aligned = AT_FIRST if AT_FIRST in kinds else ""
        self._fill()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.LanguageChange and self._shown is not None:
            self._fill()

    # -- inside

    def _fill(self) -> None:
        shown, m = self._shown, self._measures
        if shown is None:
            return
        letters = LETTERS[: len(shown.sides)]
        said = [f"– {m.say(each)}" for each in shown.says]
        if len(said) > MOST_SENTENCES:
            more = self.tr("– And more: see the bold figures below.")
            said = [*said[: MOST_SENTENCES - 1], more]
        self.says.say("\n".join(said))
        self.at_box.offer([(each.kind or "start", m.say(each.title)) for each in shown.alignments])
        self.at_box.show_key(self._aligned or "start")
        clear(self.legend)
        for at, (side, name) in enumerate(zip(shown.sides, self._names, strict=True)):
            self.legend.addWidget(Sample(at, letters[at]), at, 0)
            self.legend.addWidget(Words(name), at, 2)
            self.legend.addWidget(
                button(
                    self.tr("Read"),
                    _Opening(self, side.session),
                    "quiet",
                    name=self.tr("Read {letter}: {title}").format(letter=letters[at], title=name),
                ),
                at,
                1,
            )
        self._draw()
        made = [(m.say(each.title), each.made) for each in shown.amounts]
        shares = [(m.say(each.title), each.share) for each in shown.amounts]
        self.amounts.show_rows(letters, self._rows(made))
        self.shares.show_rows(letters, self._rows(shares))
        self.results.show_rows(letters, self._rows([(m.say(each.title), each) for each in shown.results]))
        self.times.show_rows(letters, self._rows([(self._big(each.title), each) for each in shown.times]))
        self.marks.show_rows(letters, self._mark_rows(shown))

    def _rows(self, rows: list[tuple[str, CompareRow]]) -> tuple[SideRow, ...]:
        m = self._measures
        return tuple(
            SideRow(
                title,
                tuple(
                    SideCell(written(cell.value, each.unit, m), apart(cell, each.unit, m))
                    for cell in each.cells
                ),
            )
            for title, each in rows
        )

    def _mark_rows(self, shown: Comparison) -> tuple[SideRow, ...]:
        m = self._measures
        notes = {
            Note.TOP: self.tr("top note"),
            Note.MIDDLE: self.tr("middle note"),
            Note.BASE: self.tr("base note"),
            None: self.tr("as a whole"),
        }
        return tuple(
            SideRow(
                self.tr("{note}, after {minutes} min").format(note=notes[each.note], minutes=each.after_min),
                tuple(
                    SideCell(written(cell.value, Unit.POINTS, m), apart(cell, Unit.POINTS, m))
                    for cell in each.cells
                ),
            )
            for each in shown.marks
        )

    def _big(self, title: str) -> str:
        text = self._measures.say(title)
        return text[:1].upper() + text[1:]

    def _align(self, kind: str) -> None:
        self._aligned = "" if kind == "start" else kind
        self._draw()

    def _draw(self) -> None:
        shown, m = self._shown, self._measures
        if shown is None:
            return
        found = shown.alignment(self._aligned or "")
        offsets = found.offsets_s if found is not None else (0.0,) * len(shown.sides)
        lines, left_out = [], []
        for letter, curve, offset in zip(LETTERS, shown.curves, offsets, strict=False):
            if offset is None:
                left_out.append(letter)
            points = () if offset is None else curve.shifted(offset)
            lines.append(Line(letter, curve.title, points))
        self.chart.show_lines(lines, m.temperature_number, m.temperature_unit)
        words = self.tr("Curves: {count}. Left and right read them out.").format(count=len(lines))
        if left_out:
            words = self.tr("Not drawn, because they never came to this step: {letters}.").format(
                letters=", ".join(left_out)
            )
        self.chart.setAccessibleDescription(words)
        self._idle = words if left_out else ""
        self._read_out(math.nan)

    def _read_out(self, seconds: float) -> None:
        """What the curves say where the cursor stands."""
        if math.isnan(seconds):
            self.readout.say(
                self._idle
                or self.tr("Point at the curve, or go along it with the arrow keys, to read it out.")
            )
            return
        m = self._measures
        parts = []
        for line in self.chart.lines:
            value = value_at(line, seconds)
            parts.append(f"{line.letter} {NO if value is None else m.temperature(value)}")
        when = elapsed_words(seconds).replace("-", "−")
        words = self.tr("At {when}: {values}").format(when=when, values=", ".join(parts))
        self.readout.say(words)
        self.chart.setAccessibleDescription(words)

    def _name(self) -> str:
        return self.tr("Side by side")

    def _take_table(self) -> None:
        if self._shown is not None:
            self._taking.table(self._name(), side_sheet(self._shown, self._names))

    def _take_picture(self) -> None:
        self._taking.picture(self._name(), self._body, self.title.text())


NO = "–"


class _Opening:
    """A press that knows which batch it is about."""

    def __init__(self, page: SidePage, session: str) -> None:
        self._page, self._session = page, session

    def __call__(self) -> None:
        self._page.opened.emit(self._session)
