"""A batch that was interrupted: what is offered, and what the record says of it after."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from workbench.core.batch.events import EndedEarly
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase
from workbench.testing import Maker, MemoryJournal, VirtualClock, begin, sample_rules
from workbench.ui.bench.page import BatchPage, BenchKit
from workbench.ui.bench.resume import ResumePanel
from workbench.ui.context import Context


def interrupted(
    qtbot: QtBot, context: Context, step: str
) -> tuple[BatchPage, ResumePanel, VirtualClock, MemoryJournal]:
    conductor, clock, journal = begin()
    Maker(conductor, clock).go_to(step)
    clock.advance(600.0)
    clock.set_wall(-7200.0)
    page = BatchPage(context, BenchKit(journal, clock, sample_rules(), lambda: "another"))
    qtbot.addWidget(page)
    page.take_up("batch-1", fold(journal.events))
    assert page.resume is not None
    return page, page.resume, clock, journal


def test_how_long_ago_is_said_by_the_clock_that_will_count(qtbot: QtBot, context: Context) -> None:
    """The wall clock was set back meanwhile; by its hands no time has passed at all."""
    page, resume, _clock, journal = interrupted(qtbot, context, "cool")
    assert "10 min 2 s ago" in resume.where.text()
    assert "take it off now" in resume.warns.text()  # before anything is pressed
    resume.on.click()
    assert page.runner is not None
    assert page.runner.state.phase is Phase.HOLDING
    assert journal.events[-1].at_s - journal.events[-3].at_s > 590.0
    page.close_batch()


def test_a_hot_batch_is_ended_there_only_by_who_says_that_it_is_safe(qtbot: QtBot, context: Context) -> None:
    _page, resume, _clock, journal = interrupted(qtbot, context, "cool")
    resume.end.click()
    assert resume.form.reason is not None
    resume.form.reason.setText("the wax ran out")
    stored = len(journal.events)
    resume.form.accept()
    assert "safe first" in resume.form.says.text()
    assert len(journal.events) == stored
    resume.form.ticks[0].setChecked(True)
    resume.form.accept()
    ended = journal.events[-1]
    assert isinstance(ended, EndedEarly)
    assert ended.safe


def test_a_cold_batch_is_ended_with_a_reason_alone(qtbot: QtBot, context: Context) -> None:
    _page, resume, _clock, journal = interrupted(qtbot, context, "weigh:jojoba")
    resume.end.click()
    assert resume.form.reason is not None
    resume.form.reason.setText("the wax ran out")
    resume.form.accept()
    assert isinstance(journal.events[-1], EndedEarly)


def test_what_was_recorded_last_carries_its_unit(qtbot: QtBot, context: Context) -> None:
    _page, resume, _clock, _journal = interrupted(qtbot, context, "weigh:jojoba")  # two weights so far
    assert " g at " in resume.last.text()
    _page, poured, _clock, _journal = interrupted(qtbot, context, "set")
    assert " g at " in poured.last.text()
