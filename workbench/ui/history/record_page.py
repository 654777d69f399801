"""One past batch, read through: what was planned beside what was done, nothing hidden."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QLabel, QWidget

from workbench.core.batch.record import BatchRecord, MadeLine, Struck
from workbench.core.batch.state import Reading, SessionState, StepMark
from workbench.ui.bench import now as look
from workbench.ui.bench.curve import CurvePane, band_names
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.step_list import mark_words
from workbench.ui.bench.words import elapsed_words
from workbench.ui.context import Context
from workbench.ui.history.tables import TOP_LEFT, PlainTable, with_struck
from workbench.ui.history.timeline import StepBar, spans
from workbench.ui.history.what_was_done import happened
from workbench.ui.theme import theme_now
from workbench.ui.widgets.basic import Words, clear, column
from workbench.ui.widgets.beside import Beside

AFTER_S = 300.0  # the curve ends a little after the last reading, not when the tins had set


@dataclass(frozen=True, slots=True)
class _Shown:
    state: SessionState
    made: BatchRecord


class RecordPage(QWidget):
    """The record of one batch; it only reads."""

    def __init__(
        self, context: Context, alarm_titles: Mapping[str, str] | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._context, self._alarm_titles = context, alarm_titles or {}
        self._shown: _Shown | None = None
        self._written_in = self._measures
        self.curve = CurvePane(self._written_in, self)
        self._measure()
        self._body = column(gap=6)
        whole = column(self.curve, self._body, 1, gap=4)
        self.setLayout(whole)

    @property
    def _measures(self) -> Measures:
        return Measures(self._context.writer)

    def show_session(self, _session_id: str, state: SessionState, record: BatchRecord) -> None:
        self._shown = _Shown(state, record)
        self._fill()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.LanguageChange:
            self._fill()
        elif event.type() is QEvent.Type.FontChange and hasattr(self, "curve"):
            self._measure()

    def _measure(self) -> None:
        self.curve.setMinimumHeight(15 * theme_now().em())

    # -- inside

    def _fill(self) -> None:
        if self._shown is None:
            return
        state, made = self._shown.state, self._shown.made
        if self._written_in != self._measures:
            self._written_in = self._measures
            self.curve.set_measures(self._measures)
        self.curve.setVisible(bool(state.readings))
        last = state.last_reading
        ends_s = state.at_s if last is None else min(state.at_s, last.at_s + AFTER_S)
        self.curve.show_data(look.curve_of(state, ends_s, band_names(self), self._spoken(made)))
        clear(self._body)
        left, right = QWidget(), QWidget()
        left.setLayout(column(*self._amounts(state, made), 1, gap=6))
        right.setLayout(column(*self._happenings(made), 1, gap=6))
        self._body.addWidget(Beside(left, right))
        self._body.addWidget(self._steps(state, made))

    def _spoken(self, made: BatchRecord) -> str:
        if made.highest_c is None:
            return self.tr("No temperature was recorded.")
        return self.tr("Readings: {count}, the highest {value}.").format(
            count=len(made.readings), value=self._measures.temperature(made.highest_c)
        )

    def _amounts(self, state: SessionState, made: BatchRecord) -> list[QWidget]:
        tables: list[QWidget] = [self._lines(made)]
        if state.poured:
            tables.append(self._tins(state, made))
        return tables

    def _lines(self, made: BatchRecord) -> PlainTable:
        table = PlainTable(
            self.tr("What went in"), (self.tr("planned"), self.tr("weighed"), self.tr("of the whole"))
        )
        papers = {lot.key: lot.supplier_lot or lot.key for lot in self._context.shelf.lots}
        for line in made.lines:
            name = self._measures.say(line.name)
            if line.lots:
                name = self.tr("{name}, lot {lots}").format(
                    name=name, lots=", ".join(papers.get(each, each) for each in line.lots)
                )
            planned = self._measures.mass(line.planned_g, 0.01) if line.planned_g else "–"
            share = "–" if line.share_percent is None else self._share(line.share_percent)
            table.add(name, planned, self._weighed(line), share)
        nameless = self._nameless(made)
        if nameless:
            table.add_wide(nameless, "attention")
        return table

    def _share(self, percent: float) -> str:
        """With as many digits as its neighbours in the column have, unless it would be 0 then."""
        if percent < 0.01:
            return self._measures.writer.share(percent)
        return self.tr("{share} %").format(share=self._measures.number(percent, 2))

    def _nameless(self, made: BatchRecord) -> str:
        """Of what it is not known from which bottle or bag it came; "" where all was named, or only practised."""
        unknown = [self._measures.say(line.name) for line in made.lines if line.lot_unknown]
        if not unknown or made.rehearsal:
            return ""
        if not any(line.lots for line in made.lines):
            return self.tr(
                "No lot was named when it was weighed, so it is not known from which bottles and bags this batch was made."
            )
        return self.tr(
            "The lot was not named when it was weighed, so it is not known from which bottle or bag this came: {names}."
        ).format(names=", ".join(unknown))

    def _weighed(self, line: MadeLine) -> str | QLabel:
        """The newest value; what it replaced stands before it, struck through."""
        if line.made_g is None:
            return "–"
        text = self._measures.mass(line.made_g, 0.01)
        struck = [each for entry in line.entries for each in entry.originals]
        return with_struck([self._mass(value) for value in struck], text) if struck else text

    def _mass(self, value: float | str | bool) -> str:
        return value if isinstance(value, str) else self._measures.mass(float(value), 0.01)

    def _tins(self, state: SessionState, made: BatchRecord) -> PlainTable:
        table = PlainTable(self.tr("Tins"), (self.tr("planned"), self.tr("poured")))
        planned = {} if state.plan is None else {tin.number: tin for tin in state.plan.tins}
        for each in state.poured.values():
            tin = planned.get(each.number)
            words = self.tr("Tin {number}").format(number=each.number)
            if tin is not None and tin.tin != "plain":
                words = self.tr("Tin {number}, {kind}").format(number=each.number, kind=tin.name)
            target = "–" if tin is None else self._measures.mass(tin.fill_g)
            table.add(words, target, self._measures.mass(each.mass_g))
        yields = made.yields
        words = self.tr("In tins")
        if yields.percent is not None:
            words = self.tr("In tins ({share} of what went in)").format(
                share=self._measures.writer.share(yields.percent)
            )
        expected = self._measures.mass(yields.expected_g) if yields.expected_g else ""
        table.add(words, expected, self._measures.mass(yields.in_tins_g), role="strong")
        if yields.leftover_g:
            table.add(self.tr("Kept as a leftover"), "", self._measures.mass(yields.leftover_g))
        if made.sink_depth_mm is not None:
            depth = self.tr("{depth} mm").format(depth=self._measures.number(made.sink_depth_mm, 1))
            table.add(self.tr("Deepest dip"), "", depth)
        return table

    def _happenings(self, made: BatchRecord) -> list[QWidget]:
        found = happened(made, self._alarm_titles)
        table = PlainTable(self.tr("What went another way"), (self.tr("after"),) if found else ())
        if not found:
            table.add_wide(self.tr("Nothing: it went as planned."), "muted")
        for each in found:
            cell = QWidget()
            words = [Words(self._measures.say(each.says))]
            if each.done:
                words.append(Words(self._measures.say(each.done), "muted"))
            cell.setLayout(column(*words, gap=1))
            table.add(cell, elapsed_words(each.at_s))
        tables: list[QWidget] = [table]
        notes = self._notes(made)
        return [*tables, notes] if notes is not None else tables

    def _notes(self, made: BatchRecord) -> PlainTable | None:
        corrected = [(reading, struck) for reading, struck in made.readings if struck.corrections]
        if not made.notes and not corrected:
            return None
        table = PlainTable(self.tr("Notes and corrections"), (self.tr("after"),))
        for entry, struck in made.notes:
            table.add(str(struck.value), elapsed_words(entry.at_s))
        for reading, struck in corrected:
            table.add(self._corrected(reading, struck), elapsed_words(reading.at_s))
        return table

    def _corrected(self, reading: Reading, struck: Struck) -> QLabel:
        assert self._shown is not None
        newest = self._measures.temperature(self._shown.state.celsius_of(reading))
        label = with_struck([self._measures.temperature(float(value)) for value in struck.originals], newest)
        label.setAlignment(TOP_LEFT)
        return label

    def _steps(self, state: SessionState, made: BatchRecord) -> PlainTable:
        table = PlainTable(
            self.tr("Steps"), (self.tr("begun after"), self.tr("took"), self.tr("on hold"), "")
        )
        table.grid.setColumnStretch(0, 3)
        table.grid.setColumnStretch(4, 4)
        bars = spans(made, state.at_s)
        for number, each in enumerate(made.steps, start=1):
            title = self._measures.say(each.title)
            words = self.tr("{number}. {title}").format(number=number, title=title)
            if each.left_out_because:
                words = self.tr("{words} – {how}: {why}").format(
                    words=words, how=mark_words(self, each.mark), why=each.left_out_because
                )
            elif each.mark is not StepMark.DONE:
                words = self.tr("{words} – {how}").format(words=words, how=mark_words(self, each.mark))
            begun = "–" if each.begun_at_s is None else elapsed_words(each.begun_at_s)
            took = "–" if each.took_s is None else elapsed_words(each.took_s)
            held = elapsed_words(each.held_s) if each.held_s else "–"
            bar = bars.get(each.step)
            spoken = self.tr("{title}: begun after {begun}, took {took}").format(
                title=title, begun=begun, took=took
            )
            table.add(words, begun, took, held, "" if bar is None else StepBar(bar, each.mark, spoken))
        return table
