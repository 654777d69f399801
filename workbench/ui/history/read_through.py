"""One past batch, read through: what was planned beside what was done, nothing hidden."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from workbench.core.batch.record import BatchRecord, MadeLine, Struck, record
from workbench.core.batch.state import Phase, Reading, SessionState
from workbench.ui.bench import now as look
from workbench.ui.bench.curve import CurvePane, band_names
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.step_list import mark_words
from workbench.ui.bench.words import elapsed_words, when_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, clear


class ReadThrough(QWidget):
    """correct(seq): the maker wants to correct an entry; left(): back to the list; paper_asked(): print it."""

    correct = Signal(int)
    left = Signal()
    paper_asked = Signal()

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._state = SessionState()
        self.title = Words("", "title")
        self.remark = Words("", "lead")
        self.back = button("", self.left.emit, "quiet", self)
        self.paper = button("", self.paper_asked.emit, "", self)
        self.curve = CurvePane(measures, self)
        self.curve.setMinimumHeight(16 * theme_now().em())
        self._body = QVBoxLayout()
        self._body.setSpacing(theme_now().space(2))
        inner = QWidget()
        as_role(inner, "page")
        inner.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        box = QVBoxLayout(inner)
        margin = theme_now().space(6)
        box.setContentsMargins(margin, theme_now().space(4), margin, margin)
        box.setSpacing(theme_now().space(3))
        top = QHBoxLayout()
        top.addWidget(self.title, 1)
        top.addWidget(self.paper, alignment=Qt.AlignmentFlag.AlignTop)
        top.addWidget(self.back, alignment=Qt.AlignmentFlag.AlignTop)
        box.addLayout(top)
        box.addWidget(self.remark)
        box.addWidget(self.curve)
        box.addLayout(self._body)
        box.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(Scroller(inner, self))

    def show_state(self, state: SessionState, measures: Measures) -> None:
        self._state, self._measures = state, measures
        self.curve.set_measures(measures)
        self._fill()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._fill()
        super().changeEvent(event)

    # -- inside

    def _fill(self) -> None:
        state = self._state
        self.back.setText(self.tr("All batches"))
        self.paper.setText(self.tr("Labels, card, sheet …"))
        if state.plan is None:
            return
        made = record(state)
        self.title.say(
            self.tr("{name} (practice)").format(name=made.recipe_name) if made.rehearsal else made.recipe_name
        )
        self.remark.say(self._remark(made))
        self.curve.setVisible(bool(state.readings))
        self.curve.show_data(look.curve_of(state, state.at_s, band_names(self), self._spoken(made)))
        clear(self._body)
        self._lines(made)
        self._tins(made)
        self._deviations(made)
        self._steps(made)
        self._notes(made)

    def _remark(self, made: BatchRecord) -> str:
        when = "" if made.started is None else when_words(made.started, long=True)
        words = self.tr("Revision {revision}, begun {when}, {took} in all.").format(
            revision=made.revision, when=when, took=elapsed_words(self._state.at_s)
        )
        if made.phase is Phase.ENDED_EARLY:
            words = self.tr("{words} Ended early: {why}").format(words=words, why=made.ended_because)
        elif made.phase is not Phase.FINISHED:
            words = self.tr("{words} It was not ended.").format(words=words)
        if made.over_skin_limit:
            words = self.tr("{words} Over a limit for skin.").format(words=words)
        return words

    def _spoken(self, made: BatchRecord) -> str:
        if made.highest_c is None:
            return self.tr("No temperature was recorded.")
        return self.tr("Readings: {count}, the highest {value}.").format(
            count=len(made.readings), value=self._measures.temperature(made.highest_c)
        )

    def _grid(self, heading: str, *columns: str) -> QGridLayout:
        self._body.addSpacing(theme_now().space(3))
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme_now().space(6))
        grid.setVerticalSpacing(theme_now().space(1))
        grid.addWidget(Words(heading, "head"), 0, 0)
        for at, words in enumerate(columns, start=1):
            grid.addWidget(_right(words, "muted"), 0, at)
        grid.setColumnStretch(0, 1)
        self._body.addLayout(grid)
        return grid

    def _lines(self, made: BatchRecord) -> None:
        grid = self._grid(
            self.tr("What went in"), self.tr("planned"), self.tr("weighed"), self.tr("of the whole")
        )
        for at, line in enumerate(made.lines, start=1):
            name = line.name
            if line.lots:
                name = self.tr("{name}, lot {lots}").format(name=line.name, lots=", ".join(line.lots))
            grid.addWidget(Words(name), at, 0)
            grid.addWidget(
                _right(self._measures.mass(line.planned_g, 0.01) if line.planned_g else "–"), at, 1
            )
            grid.addWidget(self._weighed(line), at, 2)
            share = "–" if line.share_percent is None else self._measures.writer.share(line.share_percent)
            grid.addWidget(_right(share), at, 3)

    def _weighed(self, line: MadeLine) -> QLabel:
        """The newest value; what it replaced stands before it, struck through."""
        if line.made_g is None:
            return _right("–")
        text = self._measures.mass(line.made_g, 0.01)
        struck = [each for entry in line.entries for each in entry.originals]
        return _with_struck([self._mass(value) for value in struck], text)

    def _mass(self, value: float | str | bool) -> str:
        return value if isinstance(value, str) else self._measures.mass(float(value), 0.01)

    def _tins(self, made: BatchRecord) -> None:
        state = self._state
        if not state.poured:
            return
        grid = self._grid(self.tr("Tins"), self.tr("poured"))
        for at, tin in enumerate(state.poured.values(), start=1):
            grid.addWidget(Words(self.tr("Tin {number}").format(number=tin.number)), at, 0)
            grid.addWidget(_right(self._measures.mass(tin.mass_g)), at, 1)
        yields = made.yields
        row = len(state.poured) + 1
        words = self.tr("In tins")
        if yields.percent is not None:
            words = self.tr("In tins ({share} of what went in)").format(
                share=self._measures.writer.share(yields.percent)
            )
        grid.addWidget(Words(words, "strong"), row, 0)
        grid.addWidget(_right(self._measures.mass(yields.in_tins_g), "strong"), row, 1)
        if yields.leftover_g:
            grid.addWidget(Words(self.tr("Kept as a leftover")), row + 1, 0)
            grid.addWidget(_right(self._measures.mass(yields.leftover_g)), row + 1, 1)

    def _deviations(self, made: BatchRecord) -> None:
        grid = self._grid(self.tr("What went another way"))
        if not made.deviations:
            grid.addWidget(Words(self.tr("Nothing: it went as planned."), "muted_body"), 1, 0)
        for at, each in enumerate(made.deviations, start=1):
            grid.addWidget(Words(self._measures.say(each.says)), at, 0)
            grid.addWidget(_right(elapsed_words(each.at_s), "muted_body"), at, 1)

    def _steps(self, made: BatchRecord) -> None:
        grid = self._grid(self.tr("Steps"), self.tr("how"), self.tr("took"))
        for at, each in enumerate(made.steps, start=1):
            grid.addWidget(Words(self._measures.say(each.title)), at, 0)
            mark = mark_words(self, each.mark)
            if each.left_out_because:
                mark = self.tr("{mark}: {why}").format(mark=mark, why=each.left_out_because)
            grid.addWidget(_right(mark, "muted_body"), at, 1)
            grid.addWidget(_right("–" if each.took_s is None else elapsed_words(each.took_s)), at, 2)

    def _notes(self, made: BatchRecord) -> None:
        corrected = [(reading, struck) for reading, struck in made.readings if struck.corrections]
        if not made.notes and not corrected:
            return
        grid = self._grid(self.tr("Notes and corrections"))
        row = 1
        for entry, struck in made.notes:
            grid.addWidget(Words(str(struck.value)), row, 0)
            grid.addWidget(_right(elapsed_words(entry.at_s), "muted_body"), row, 1)
            row += 1
        for reading, struck in corrected:
            grid.addWidget(self._corrected(reading, struck), row, 0)
            grid.addWidget(_right(elapsed_words(reading.at_s), "muted_body"), row, 1)
            row += 1

    def _corrected(self, reading: Reading, struck: Struck) -> QLabel:
        newest = self._measures.temperature(self._state.celsius_of(reading))
        old = [self._measures.temperature(float(value)) for value in struck.originals]
        label = _with_struck(old, newest)
        label.setAlignment(Qt.AlignmentFlag.AlignLeft)
        return label


def _right(words: str, role: str = "body") -> QLabel:
    made = QLabel(words)
    as_role(made, role)
    made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
    return made


def _with_struck(old: list[str], newest: str) -> QLabel:
    """Struck through on screen; in words for who listens."""
    made = _right("")
    made.setTextFormat(Qt.TextFormat.RichText)
    made.setText(" ".join([*(f"<s>{_escaped(each)}</s>" for each in old), _escaped(newest)]))
    made.setAccessibleName(newest)
    return made


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
