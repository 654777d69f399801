"""The way back to a batch that was interrupted, through the whole window."""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path
from weakref import ref

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.whole import Bench, begun, swept_away
from workbench.core.batch.commands import ConfirmSafe, EndBatch, ReadTemperature
from workbench.testing import Maker
from workbench.ui.preferences import Preferences


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Kitchen.balmbook"


@pytest.fixture
def bench(make_bench: Callable[[], Bench], path: Path) -> Bench:
    made = make_bench()
    made.make_project(path)
    return made


def test_the_offer_to_go_on_takes_no_running_batch_off_the_bench(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qapp: QApplication, qtbot: QtBot
) -> None:
    """Its entries would go on where nobody looks, and at the end of the window nobody would store them."""
    begun(bench, qtbot)
    bench.window.close()
    again = make_bench()
    assert again.window.open_path(path)
    batches = again.house.batches
    batches.make(False)
    assert batches.room is not None
    assert batches.room.page.preflight is not None
    batches.take_up("s1")  # a look round gives way
    swept_away(qapp)
    taken_up = batches.room
    assert taken_up is not None
    assert taken_up.page.resume is not None
    batches.take_up("s1")  # pressed once more: there is one hand at a session
    assert batches.room is taken_up
    taken_up.page.resume.ended.emit(EndBatch("the wax ran out"))
    swept_away(qapp)
    second = begun(again, qtbot)
    running = batches.room
    batches.take_up("s1")
    assert batches.room is running
    assert running is not None
    assert running.page.runner is second
    assert again.window.stack.currentWidget() is running
    assert "Another batch is running" in again.window.banner.words.text()


def test_a_danger_is_in_sight_on_every_page_of_the_window(bench: Bench, qtbot: QtBot) -> None:
    """Sound may be off or missing; who reads up on something meanwhile must not have to hear it."""
    runner = begun(bench, qtbot)
    maker = Maker(runner.conductor, bench.clock)
    urgent = bench.window.urgent
    maker.go_to("melt:bath")
    maker.read_cautions()
    bench.house.to_recipe()
    assert not urgent.isVisible()
    maker.send(ReadTemperature("melt:bath", 96.0, "96", True, sure=True))
    assert urgent.isVisible()  # at once, not when it is stored
    assert "off the heat" in urgent.words.text()
    assert urgent.property("role") == "DANGER"
    urgent.go.click()
    assert bench.window.stack.currentWidget() is bench.house.batches.room
    assert not urgent.isVisible()  # the bench says it itself
    view = bench.house.batches.room.page.view  # type: ignore[union-attr]
    assert view is not None
    view.alarms.acknowledge_first()
    bench.house.to_recipe()
    assert "heat off" in urgent.words.text()  # on hold, and nobody has said that it is safe
    maker.send(ConfirmSafe())
    qtbot.waitUntil(lambda: not runner.conductor.pending)
    assert not urgent.isVisible()


def test_the_project_that_was_open_is_the_first_thing_offered_after_a_crash(
    bench: Bench, make_bench: Callable[..., Bench], path: Path, qtbot: QtBot
) -> None:
    """A jug may stand on the heat: nobody should have to look for a file then."""
    begun(bench, qtbot)
    kept = bench.kept[-1]
    assert kept.last_project == str(path)
    bench.window.close()
    again = make_bench(preferences=kept)
    first = again.window.first
    assert first.last.isVisibleTo(again.window)
    assert "Kitchen" in first.last.text()
    assert first.start is first.last  # the first key press leads there
    assert str(path.parent) in first._last_words.text()
    first.last.click()
    assert again.house.desk.project is not None
    assert again.house.desk.project.path == path
    assert "was not ended" in again.window.banner.words.text()
    assert "take it off first" in again.window.banner.words.text()


def test_a_project_that_is_gone_is_not_offered(make_bench: Callable[..., Bench], tmp_path: Path) -> None:
    gone = Preferences(last_project=str(tmp_path / "on a stick" / "Gone.balmbook"))
    made = make_bench(preferences=gone).window.first
    assert not made.last.isVisibleTo(made)
    assert made.start is made.new


def left_in_a_hurry(bench: Bench, qtbot: QtBot) -> list[ref[object]]:
    """Of a bench that has something left to do once it is laid out: whatever must not outlive it."""
    runner = begun(bench, qtbot)
    room = bench.house.batches.room
    assert room is not None
    view = room.page.view
    assert view is not None
    runner.send(EndBatch("enough"))
    qtbot.waitUntil(lambda: not runner.conductor.pending)
    view.near.field_soon.start()
    view.steps._soon.start()
    return [ref(each) for each in (room, view, view.near, view.steps, view.card, runner, runner.conductor)]


def test_a_bench_that_goes_right_after_a_change_is_forgotten(
    bench: Bench, qtbot: QtBot, qapp: QApplication
) -> None:
    held = left_in_a_hurry(bench, qtbot)
    bench.house.batches.put_away()
    swept_away(qapp)
    gc.collect()
    assert [type(each()).__name__ for each in held if each() is not None] == []
