"""One writer: orders in turn, answers in the thread that asked, nothing waits for the disk."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.builders import START, batch, new_project, reading, started
from workbench.core.trouble import Trouble
from workbench.store.backup import Backup, backups
from workbench.store.project import Project
from workbench.store.troubles import Kind, StoreTrouble, disk_full
from workbench.store.writer import DirectJournal, Writer


class Desk:
    """The caller's thread: runs what is posted to it, as an event loop would."""

    def __init__(self) -> None:
        self.posted: queue.Queue[Callable[[], None]] = queue.Queue()

    def post(self, work: Callable[[], None]) -> None:
        self.posted.put(work)

    def run_one(self) -> None:
        self.posted.get(timeout=20)()


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with new_project(tmp_path / "a.balmbook") as project:
        yield project


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def writer(project: Project, desk: Desk) -> Iterator[Writer]:
    writer = Writer(project, desk.post)
    yield writer
    writer.close()


def test_the_answer_comes_in_the_thread_that_asked_and_not_before_it_looks(
    project: Project, desk: Desk, writer: Writer
) -> None:
    answers: list[tuple[Trouble | None, int]] = []
    writer.append("s1", 1, [started()], lambda trouble: answers.append((trouble, threading.get_ident())))
    assert answers == []
    assert writer.waiting == 1
    desk.run_one()
    assert answers == [(None, threading.get_ident())]
    assert writer.waiting == 0
    assert project.events("s1") == (started(),)


def test_orders_are_done_and_answered_in_turn(project: Project, desk: Desk, writer: Writer) -> None:
    events, order = batch(30), []
    for seq, event in enumerate(events, start=1):
        writer.append("s1", seq, [event], lambda trouble, seq=seq: order.append((seq, trouble)))  # type: ignore[misc]
    for _ in events:
        desk.run_one()
    assert order == [(seq, None) for seq in range(1, len(events) + 1)]
    assert project.events("s1") == events


def test_trouble_comes_back_as_trouble(project: Project, desk: Desk, writer: Writer) -> None:
    said: list[Trouble | None] = []
    writer.append("s1", 1, [started()], said.append)
    writer.append("s1", 5, [reading(1)], said.append)
    desk.run_one()
    desk.run_one()
    assert said[0] is None
    assert isinstance(said[1], StoreTrouble)
    assert said[1].kind is Kind.OUT_OF_ORDER


def test_a_mistake_of_ours_puts_the_batch_on_hold_and_is_raised(desk: Desk, writer: Writer) -> None:
    said: list[Trouble | None] = []

    def broken() -> None:
        raise ZeroDivisionError("a bug")

    writer.later(broken, lambda result, trouble: said.append(trouble))
    with pytest.raises(ZeroDivisionError):
        desk.run_one()
    assert said[0] is not None
    assert "The program made a mistake" in said[0].says
    writer.append("s1", 1, [started()], said.append)  # the writer is still there
    desk.run_one()
    assert said[1] is None


def test_any_work_can_be_ordered(project: Project, desk: Desk, writer: Writer) -> None:
    got: list[object] = []
    writer.later(project.shelf, lambda shelf, trouble: got.append((shelf, trouble)))
    desk.run_one()
    assert got == [(project.shelf(), None)]


def test_a_disk_that_blocks_does_not_hold_up_the_caller(
    project: Project, desk: Desk, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Alarms are shown by the caller's thread: it must come back while the disk still hangs."""
    gate, inside = threading.Event(), threading.Event()
    real = Project.append

    def stuck(self: Project, *order: object) -> int:
        inside.set()
        assert gate.wait(30)
        return real(self, *order)  # type: ignore[arg-type]

    monkeypatch.setattr(Project, "append", stuck)
    said: list[Trouble | None] = []
    writer.append("s1", 1, [started()], said.append)
    assert inside.wait(20)
    writer.append("s1", 2, [reading(1)], said.append)  # returns although the first still hangs
    assert said == []
    assert desk.posted.empty()
    gate.set()
    desk.run_one()
    desk.run_one()
    assert said == [None, None]


def test_a_screen_that_reads_while_the_disk_hangs_is_told_so(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After its own patience, which is the shorter one: an alarm may be due in its thread."""
    monkeypatch.setattr("workbench.store.project._PATIENCE_OF_WINDOW_S", 0.05)
    monkeypatch.setattr("workbench.store.project._PATIENCE_S", 600.0)
    gate, inside = threading.Event(), threading.Event()

    def hang() -> None:
        with project.reading():
            inside.set()
            gate.wait(20)

    holder = threading.Thread(target=hang)
    holder.start()
    assert inside.wait(20)
    with pytest.raises(StoreTrouble, match="has not answered") as caught:
        project.recipes()
    assert caught.value.kind is Kind.UNREACHABLE
    gate.set()
    holder.join()
    assert project.recipes() == ()


def test_closing_finishes_what_was_ordered(project: Project, desk: Desk) -> None:
    writer = Writer(project, desk.post)
    for seq, event in enumerate(batch(), start=1):
        writer.append("s1", seq, [event], lambda trouble: None)
    writer.close()
    assert project.events("s1") == batch()
    assert not any(thread.name.startswith("balmbook-writer") for thread in threading.enumerate())


def test_a_backup_is_made_beside_the_writing_when_it_is_due(
    project: Project, desk: Desk, writer: Writer
) -> None:
    got: list[tuple[Backup | None, Trouble | None]] = []
    writer.back_up(START, lambda made, trouble: got.append((made, trouble)))
    desk.run_one()
    writer.back_up(START + timedelta(minutes=5), lambda made, trouble: got.append((made, trouble)))
    desk.run_one()
    (made, trouble), second = got
    assert trouble is None
    assert backups(project.path) == (made,)
    assert second == (None, None)


def test_the_direct_journal_answers_at_once(project: Project) -> None:
    said: list[Trouble | None] = []
    journal = DirectJournal(project)
    journal.append("s1", 1, [started()], said.append)
    journal.append("s1", 9, [reading(1)], said.append)
    assert said[0] is None
    assert isinstance(said[1], StoreTrouble)


def test_what_is_owed_is_what_the_disk_has_not_taken(
    project: Project, desk: Desk, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    real: Callable[..., int] = Project.append

    def full(*_: object) -> int:
        raise disk_full(project.path)

    ignore: Callable[..., None] = lambda *_: None  # noqa: E731

    def owes() -> list[tuple[int, int]]:
        return [(each.first_seq, len(each.events)) for each in writer.owed.entries]

    writer.append("s1", 1, [started()], ignore)
    desk.run_one()
    assert owes() == []
    monkeypatch.setattr(Project, "append", full)
    for _ in range(3):  # tried again and again
        writer.append("s1", 2, [reading(10.0)], ignore)
        desk.run_one()
    writer.append("s1", 2, [reading(10.0), reading(20.0)], ignore)  # all of it, as the window closes
    desk.run_one()
    assert owes() == [(2, 2)]
    monkeypatch.setattr(Project, "append", real)
    writer.append("s1", 2, [reading(10.0)], ignore)
    desk.run_one()
    assert owes() == [(2, 2)]
    writer.append("s1", 3, [reading(20.0)], ignore)
    desk.run_one()
    assert owes() == []  # written under another order, but written


def test_a_draft_is_owed_until_it_is_kept(
    project: Project, desk: Desk, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    ignore: Callable[..., None] = lambda *_: None  # noqa: E731
    real = Project.save_draft

    def full(*_: object) -> None:
        raise disk_full(project.path)

    monkeypatch.setattr(Project, "save_draft", full)
    writer.keep_draft("recipe", "half a recipe", ignore)
    desk.run_one()
    assert writer.owed.drafts == {"recipe": "half a recipe"}
    monkeypatch.setattr(Project, "save_draft", real)
    writer.keep_draft("recipe", "more of it", ignore)
    desk.run_one()
    assert writer.owed.drafts == {}
    assert [draft.text for draft in project.drafts()] == ["more of it"]
    writer.keep_draft("recipe", "", ignore)
    desk.run_one()
    assert project.drafts() == ()
