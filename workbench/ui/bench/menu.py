"""What can be asked for beside the step's own needs, and the form each of it opens."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from workbench.core.batch import transitions
from workbench.core.batch.commands import (
    Add,
    ChangeHeat,
    Command,
    Correct,
    EndBatch,
    GoBackToBath,
    LeaveOut,
    Refused,
    SeeSetPoint,
    WriteNote,
)
from workbench.core.batch.state import SessionState
from workbench.ui.bench.facts import BenchFacts, Suggested
from workbench.ui.bench.form import Form
from workbench.ui.bench.forms import BenchForms
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.runner import SessionRunner


class BenchMenu(QObject):
    """form(Form): to be opened in the card; far(), letters(): the bench view or its size was asked for."""

    form = Signal(object)
    far = Signal()
    letters = Signal()

    def __init__(
        self,
        runner: SessionRunner,
        facts: BenchFacts,
        measures: Callable[[], Measures],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._runner, self._measures = runner, measures
        self._forms = BenchForms(facts, self)
        self.menu = QMenu(parent)
        self.actions: list[tuple[QAction, type[Command]]] = []
        self.fill()

    def fill(self) -> None:
        """The entries, in the language of the window."""
        self.menu.clear()
        self.actions = []
        far = QAction(self.tr("Bench view: large letters"), self)
        far.triggered.connect(self.far)
        self.menu.addAction(far)
        letters = QAction(self.tr("Bench view: size of the letters"), self)
        letters.triggered.connect(self.letters)
        self.menu.addAction(letters)
        for words, call, command in (
            (self.tr("Write a note (N)"), self.note, WriteNote),
            (self.tr("Correct an earlier entry"), self.earlier, Correct),
            (self.tr("Add more of one thing"), self.add, Add),
            (self.tr("Say where it set"), self.set_point, SeeSetPoint),
            (self.tr("Change the way of heating"), self.heat, ChangeHeat),
            (self.tr("Set too early: back to the bath"), self.bath, GoBackToBath),
            (self.tr("Leave this step out"), self.leave_out, LeaveOut),
            (self.tr("End this batch"), self.end, EndBatch),
        ):
            action = QAction(words, self)
            action.triggered.connect(call)
            self.menu.addAction(action)
            self.actions.append((action, command))

    def show_state(self, state: SessionState) -> None:
        """Only what the step in hand takes is offered."""
        step = state.step
        for action, command in self.actions:
            fits = transitions.by_phase(state.phase, command) is None
            if fits and step is not None:
                fits = transitions.by_step(step.kind, command) is None
            if command is LeaveOut:
                fits = fits and step is not None and step.optional
            action.setVisible(fits)

    def _emit(self, form: Form | None) -> None:
        if form is not None:
            self.form.emit(form)

    def note(self) -> None:
        self._emit(self._forms.note())

    def add(self) -> None:
        self._emit(self._forms.add_more(self._runner.state, self._measures()))

    def suggested(self, suggested: Suggested) -> None:
        self._emit(self._forms.add_more(self._runner.state, self._measures(), suggested))

    def set_point(self) -> None:
        self._emit(self._forms.set_point(self._runner.state, self._measures()))

    def heat(self) -> None:
        self._emit(self._forms.change_heat(self._runner.state, self._measures()))

    def bath(self) -> None:
        self._emit(self._forms.back_to_bath(self._runner.state))

    def leave_out(self) -> None:
        self._emit(self._forms.leave_out(self._runner.state, self._measures()))

    def earlier(self) -> None:
        self._emit(self._forms.correct_earlier(self._runner.state, self._measures()))

    def end(self) -> None:
        self._emit(self._forms.end_batch(self._runner.state))

    def grow(self) -> None:
        self._emit(self._forms.grow(self._runner.state, self._measures()))

    def set_aside(self, refusal: Refused) -> None:
        self._emit(self._forms.set_aside(self._runner.state, refusal, self._measures()))

    def correction(self, seq: int) -> None:
        self._emit(self._forms.correct(self._runner.state, seq, self._measures()))
