"""The look ahead in its worker: late answers, a bench that is closed meanwhile, faults."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import pytest
from PySide6.QtCore import QThreadPool
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.bench.conftest import Bench
from workbench.core.batch.outlook import Ahead, Cooling, Question, question_of
from workbench.core.batch.real_rules import rules_for
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.testing import (
    Maker,
    begin,
    sample_catalogue,
    sample_plan,
    sample_rules,
)
from workbench.ui.bench import forecaster as place
from workbench.ui.bench.forecaster import Forecaster
from workbench.ui.bench.page import BatchPage, BenchKit
from workbench.ui.context import Context

PATIENCE_S = 20.0  # of a test whose worker got stuck; nothing waits that long otherwise


@dataclass
class Held:
    """Stands in for the solver: each job waits until its question may be answered."""

    gates: dict[int, threading.Event] = field(default_factory=dict)
    begun: list[Question] = field(default_factory=list)
    fault: Exception | None = None

    def __call__(self, question: Question, catalogue: Catalogue) -> Ahead:
        self.begun.append(question)
        gate = self.gates.setdefault(
            len(question.readings) if isinstance(question, Cooling) else 0, threading.Event()
        )
        assert gate.wait(PATIENCE_S), "nobody let this job go on"
        if self.fault is not None:
            raise self.fault
        return Ahead(question, trouble=f"{gate_of(question)} readings")

    def hold(self, *readings: int) -> None:
        for count in readings:
            self.gates[count] = threading.Event()

    def let_go(self, count: int) -> None:
        self.gates[count].set()


def gate_of(question: Question) -> int:
    return len(question.readings) if isinstance(question, Cooling) else 0


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    made = Held()
    monkeypatch.setattr(place, "answer", made)
    pool = QThreadPool.globalInstance()
    threads = pool.maxThreadCount()
    pool.setMaxThreadCount(max(threads, 2))
    yield made
    for gate in made.gates.values():
        gate.set()
    assert pool.waitForDone(5000)
    pool.setMaxThreadCount(threads)


@pytest.fixture(scope="module")
def cooling() -> tuple[SessionState, ...]:
    """A jug that cools, after its first, second and third reading since it left the heat."""
    conductor, clock, _ = begin(sample_plan())
    maker = Maker(conductor, clock)
    maker.go_to("cool")
    states = []
    assert maker.state.last_c is not None
    for fallen in (0.0, 1.0, 1.9):
        maker.wait(30.0)
        maker.read(round(59.4 - fallen, 1))
        states.append(maker.state)
    return tuple(states)


@pytest.fixture
def forecaster() -> Iterator[Forecaster]:
    made = Forecaster(sample_catalogue())
    yield made
    made.forget()
    made.deleteLater()


def rest() -> None:
    assert QThreadPool.globalInstance().waitForDone(5000)
    for _ in range(3):
        QApplication.processEvents()


def seen(forecaster: Forecaster) -> list[str]:
    said: list[str] = []
    forecaster.came.connect(lambda: said.append("" if forecaster.ahead is None else forecaster.ahead.trouble))
    return said


def test_an_answer_comes_with_a_later_look_and_is_asked_for_once(
    forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    first = cooling[0]
    assert forecaster.outlook(first, first.at_s) is None  # nothing is waited for
    forecaster.outlook(first, first.at_s + 1)
    forecaster.outlook(replace(first), first.at_s + 2)  # another state that asks the same
    assert forecaster.asked == 1
    rest()
    shown = forecaster.outlook(first, first.at_s + 3)
    assert shown is not None
    assert shown.says
    assert shown.fan is not None
    assert forecaster.last_cooling is forecaster.ahead


def test_the_older_answer_is_dropped_when_it_comes_last(
    held: Held, forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    older, newer = (len(gate_readings(state)) for state in cooling[:2])
    held.hold(older, newer)
    said = seen(forecaster)
    for started, state in enumerate(cooling[:2], start=1):
        forecaster.outlook(state, state.at_s)
        wait_until(lambda started=started: len(held.begun) == started)  # type: ignore[misc]
    held.let_go(newer)
    wait_until(lambda: bool(said))
    held.let_go(older)
    rest()
    assert len(held.begun) == 2  # both jobs were really under way
    assert said == [f"{newer} readings"]
    assert forecaster.ahead is not None
    assert gate_of(forecaster.ahead.question) == newer


def test_the_older_answer_is_dropped_when_it_comes_first(
    held: Held, forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    older, newer = (len(gate_readings(state)) for state in cooling[:2])
    held.hold(older, newer)
    said = seen(forecaster)
    forecaster.outlook(cooling[0], cooling[0].at_s)
    wait_until(lambda: bool(held.begun))
    forecaster.outlook(cooling[1], cooling[1].at_s)
    held.let_go(older)
    held.let_go(newer)
    rest()
    assert said == [f"{newer} readings"]


def test_a_step_without_a_forecast_forgets_what_is_under_way(
    held: Held, forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    held.hold(1)
    said = seen(forecaster)
    state = cooling[0]
    forecaster.outlook(state, state.at_s)
    assert forecaster.outlook(SessionState(), 0.0) is None
    held.let_go(1)
    rest()
    assert said == []
    assert forecaster.ahead is None


def test_closing_the_bench_while_a_job_runs_leaves_nothing(
    held: Held, context: Context, qtbot: QtBot
) -> None:
    conductor, clock, journal = begin(sample_plan())
    maker = Maker(conductor, clock)
    maker.go_to("cool")
    maker.read(59.8)
    state = maker.state
    count = len(gate_readings(state))
    held.hold(count)
    page = BatchPage(context, BenchKit(journal, clock, sample_rules(), lambda: "batch-1"))
    qtbot.addWidget(page)
    page.take_up("batch-1", state)
    assert page.resume is not None
    page.resume.go_on.emit()
    assert page.forecaster is not None
    forecaster = page.forecaster
    forecaster.outlook(state, state.at_s)
    wait_until(lambda: bool(held.begun))
    before = set(threading.enumerate())
    with qtbot.captureExceptions() as caught:
        page.close_batch()
        QApplication.sendPostedEvents(None, 52)  # deferred deletes: the forecaster is gone for good
        QApplication.processEvents()
        assert getattr(page, "forecaster", forecaster) is None
        held.let_go(count)
        rest()
    assert caught == []
    assert {one for one in threading.enumerate() if not one.name.startswith("Dummy")} <= before


def test_a_fault_in_the_worker_is_reported_and_the_old_answer_is_not_shown_as_new(
    held: Held, forecaster: Forecaster, qtbot: QtBot, cooling: tuple[SessionState, ...]
) -> None:
    first, second, third = cooling
    counts = [len(gate_readings(state)) for state in cooling]
    held.hold(*counts)
    for count in counts:
        held.let_go(count)
    forecaster.outlook(first, first.at_s)
    rest()
    assert forecaster.ahead is not None
    held.fault = ZeroDivisionError("a table of ours is empty")
    said = seen(forecaster)
    with qtbot.captureExceptions() as caught:
        forecaster.outlook(second, second.at_s)
        rest()
    assert [str(error) for _, error, _ in caught] == ["a table of ours is empty"]
    assert said == ["No forecast just now."]
    shown = forecaster.outlook(second, second.at_s)
    assert shown is not None
    assert shown.fan is None
    held.fault = None  # and the next reading asks again
    forecaster.outlook(third, third.at_s)
    rest()
    assert said[-1] == f"{counts[2]} readings"


def test_a_late_fault_is_reported_too_but_changes_nothing(
    held: Held, forecaster: Forecaster, qtbot: QtBot, cooling: tuple[SessionState, ...]
) -> None:
    count = len(gate_readings(cooling[0]))
    held.hold(count)
    held.fault = ZeroDivisionError("late")
    said = seen(forecaster)
    forecaster.outlook(cooling[0], cooling[0].at_s)
    wait_until(lambda: bool(held.begun))
    forecaster.forget()
    with qtbot.captureExceptions() as caught:
        held.let_go(count)
        rest()
    assert len(caught) == 1
    assert said == []


def test_trouble_is_a_sentence_not_a_fault(
    monkeypatch: pytest.MonkeyPatch, forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    def troubled(question: Question, catalogue: Catalogue) -> Ahead:
        raise Trouble("There is nothing in the jug.")

    monkeypatch.setattr("workbench.core.batch.outlook._cooling", troubled)
    forecaster.outlook(cooling[0], cooling[0].at_s)
    rest()
    shown = forecaster.outlook(cooling[0], cooling[0].at_s)
    assert shown is not None
    assert any("There is nothing in the jug." in line for line in shown.more)


def test_what_the_oven_refuses_stands_above_the_button(forecaster: Forecaster) -> None:
    conductor, clock, _ = begin(sample_plan(heat=Heat.MICROWAVE))  # about 43 g
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.read(22.0)
    shown = forecaster.outlook(maker.state, maker.state.at_s)
    assert shown is not None
    assert "too little for the microwave" in shown.says
    assert "water bath" in shown.says


def gate_readings(state: SessionState) -> tuple[object, ...]:
    question = question_of(state, sample_catalogue())
    assert isinstance(question, Cooling)
    return question.readings


def wait_until(done: Callable[[], bool]) -> None:
    """Let queued answers in until this holds; a worker that never brings one fails the test."""
    for _ in range(2000):
        if done():
            return
        QThreadPool.globalInstance().waitForDone(5)
        QApplication.processEvents()
    raise AssertionError("the worker brought nothing")


def test_the_button_and_the_words_above_it_say_one_thing(make_bench: Callable[..., Bench]) -> None:
    rules = rules_for(sample_catalogue(), sample_rules().alarms)
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), rules=rules)  # about 43 g
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    bench.maker.read(22.0)
    bench.view.show_state()
    bench.settle()
    card = bench.view.card
    assert not card.burst.isEnabled()
    assert card.burst.text() == "No burst now"
    assert "change the heat to the water bath" in card.burst_says.text()
    before = len(bench.journal.events)
    card.press_burst()
    bench.settle()
    assert len(bench.journal.events) == before


def test_at_its_stop_the_melt_is_offered_no_burst(make_bench: Callable[..., Bench]) -> None:
    """A degree over where the step says to stop: stir, look, go on; the button of the bursts is not there."""
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE))
    bench.go_to("melt:bursts")
    bench.maker.read_cautions()
    card, far = bench.view.card, bench.view.far
    step = bench.state.step
    assert step is not None
    assert step.aim_c is not None
    bench.maker.read(step.aim_c - 6.0)
    bench.view.show_state()
    assert card.burst.isVisibleTo(card)
    assert card.burst.text().startswith("Start a burst")
    bench.maker.read(step.aim_c + 1.0)
    bench.view.show_state()
    bench.settle()
    assert not card.burst.isVisibleTo(card)
    assert far.burst.isHidden()
    assert far.instruction.text() == "Hot enough. Stir until all is clear."
    assert card.burst_says.isVisibleTo(card)
    assert "Stir until the last grain is clear" in card.burst_says.text()
    before = len(bench.journal.events)
    assert not card.press_burst()
    bench.settle()
    assert len(bench.journal.events) == before
    bench.maker.read(step.aim_c - 5.0)
    bench.view.show_state()
    assert card.burst.isVisibleTo(card)


def test_what_is_out_of_date_before_its_turn_is_not_worked_out(
    held: Held, forecaster: Forecaster, cooling: tuple[SessionState, ...]
) -> None:
    QThreadPool.globalInstance().setMaxThreadCount(1)  # the fixture puts it back
    first, second, third = (len(gate_readings(state)) for state in cooling)
    held.hold(first, second, third)
    said = seen(forecaster)
    forecaster.outlook(cooling[0], cooling[0].at_s)
    wait_until(lambda: bool(held.begun))
    for state in cooling[1:]:
        forecaster.outlook(state, state.at_s)
    for count in (first, second, third):
        held.let_go(count)
    rest()
    assert [gate_of(question) for question in held.begun] == [first, third]
    assert said == [f"{third} readings"]
