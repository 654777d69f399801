"""Python's collector runs in the window's thread only, and answers come back without a Qt object in between."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable, Iterator
from functools import partial
from weakref import ref

import pyqtgraph as pg
import pytest
from PySide6.QtCore import QObject, QThreadPool
from PySide6.QtWidgets import QApplication
from shiboken6 import delete

from workbench.ui.post import Post, application_post
from workbench.ui.scent.later import Later
from workbench.ui.sweeping import Sweeping, sweep


@pytest.fixture
def collected() -> Iterator[list[int]]:
    """Threads in which the collector ran."""
    where: list[int] = []

    def told(phase: str, _about: dict[str, int]) -> None:
        if phase == "start":
            where.append(threading.get_ident())

    gc.callbacks.append(told)
    yield where
    gc.callbacks.remove(told)


def litter(many: int) -> None:
    """Objects that hold each other, which only the collector can find."""
    for _ in range(many):
        one: list[object] = []
        one.append([one])


def test_a_thread_of_the_pool_never_collects(qapp: QApplication, collected: list[int]) -> None:
    gc.enable()
    sweeping = Sweeping()
    collected.clear()  # what was due when it was let for a moment
    try:
        worker = threading.Thread(target=litter, args=(20_000,))
        worker.start()
        worker.join()
        assert collected == []
        sweeping.look()
        assert collected == [threading.get_ident()]
    finally:
        sweeping.stop()
        assert gc.isenabled()
        gc.disable()
        sweeping.deleteLater()


def test_it_would_collect_there_if_it_were_let(qapp: QApplication, collected: list[int]) -> None:
    """The fault that this is against; without it the test above says nothing."""
    gc.enable()
    try:
        worker = threading.Thread(target=litter, args=(20_000,))
        worker.start()
        worker.join()
    finally:
        gc.disable()
    assert set(collected) - {threading.get_ident()}


def test_the_lines_of_a_curve_are_such_litter(qapp: QApplication) -> None:
    """A line with a name holds its name and is held by it: what was taken off a plot waits for the collector."""
    gc.collect()
    line = pg.InfiniteLine(1.0, label="floor")
    there = ref(line)
    del line
    assert there() is not None
    gc.collect()
    assert there() is None


def test_the_oldest_are_gone_through_at_times_only(qapp: QApplication) -> None:
    gc.collect()
    litter(gc.get_threshold()[0] + 100)
    assert sweep() == 0
    assert sweep() is None
    assert gc.get_count()[1] == 1


def test_an_answer_for_a_page_that_is_gone_is_dropped(qapp: QApplication, settle: Callable[[], None]) -> None:
    came: list[object] = []
    page = QObject()
    later, go_on = Later(page), threading.Event()
    later.came.connect(came.append)

    def work() -> str:
        go_on.wait(10)
        return "late"

    later.start(work)
    delete(page)  # with its children, while the job runs
    go_on.set()
    settle()
    assert came == []


def test_calls_arrive_in_order_and_a_fault_stops_none(qapp: QApplication, settle: Callable[[], None]) -> None:
    heard: list[int] = []
    post = Post()

    def from_a_thread() -> None:
        for number in range(200):
            post.send(partial(heard.append, number))

    QThreadPool.globalInstance().start(from_a_thread)
    settle()
    assert heard == list(range(200))
    delete(post)
    post.send(lambda: heard.append(-1))  # nobody there, and nothing happens
    settle()
    assert len(heard) == 200


def test_there_is_one_post_for_the_application(qapp: QApplication) -> None:
    assert application_post() is application_post()
