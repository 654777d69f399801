"""Keeping, seen from the window: backups, restoring, copies, checks, erasing, and a window that only reads."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import sys
from collections.abc import Callable
from dataclasses import asdict
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.editor.kitchen import OPEN
from tests.ui.whole import Bench, offers, said, started
from workbench.core.batch.commands import EndBatch, WriteNote
from workbench.core.batch.session import fold
from workbench.core.recipe import change
from workbench.core.recipe.model import Brief
from workbench.store import backup
from workbench.store.check import check_project
from workbench.store.lock import Owner
from workbench.store.project import Project
from workbench.ui.batch_room import BatchRoom
from workbench.ui.keeping.sheets import EraseSheet, FoundSheet, RestoreSheet

PRIVATE = "dislikes the smell of cut grass"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Kitchen.balmbook"


@pytest.fixture
def bench(make_bench: Callable[[], Bench], path: Path) -> Bench:
    """A project with one saved recipe of four per cent."""
    made = make_bench()
    made.make_project(path)
    assert made.house.recipes.save()
    return made


def press(bench: Bench, text: str) -> None:
    offers(bench)[text].click()


def entry(bench: Bench, text: str) -> Any:
    return next(one for one in bench.window.project_menu.actions() if one.text().startswith(text))


def sheet(bench: Bench, kind: type[Any]) -> Any:
    return bench.window.findChild(kind)


def start(bench: Bench, qtbot: QtBot) -> BatchRoom:
    room = started(bench)
    qtbot.waitUntil(lambda: room.running)
    return room


# --- backups


def test_closing_keeps_a_backup_and_nothing_new_needs_none(
    bench: Bench, make_bench: Callable[[], Bench], path: Path
) -> None:
    bench.window.close()
    made = backup.backups(path)
    assert len(made) == 1
    with Project.open(made[0].path, read_only=True) as copy:
        assert [one.name for one in copy.recipes()] == [OPEN.name]
    again = make_bench()
    assert again.window.open_path(path)
    again.window.close()
    assert backup.backups(path) == made


def test_in_use_a_backup_is_made_at_most_every_hour(bench: Bench, path: Path, qtbot: QtBot) -> None:
    desk = bench.house.desk
    assert desk._looks.isActive()  # looked at every few minutes
    at = [NOW]
    desk._now = lambda: at[0]
    desk.back_up()
    qtbot.waitUntil(lambda: len(backup.backups(path)) == 1)
    bench.house.model.edit("strength", lambda recipe: change.set_load(recipe, 5))
    assert bench.house.recipes.save()
    assert desk.writer is not None
    writer = desk.writer
    for minutes, count in ((59, 1), (61, 2)):
        at[0] = NOW + timedelta(minutes=minutes)
        desk.back_up()
        qtbot.waitUntil(lambda: writer.waiting == 0)
        assert len(backup.backups(path)) == count


def test_a_folder_that_takes_no_backup_is_said_once(bench: Bench, path: Path, qtbot: QtBot) -> None:
    backup.folder_of(path).write_text("in the way", encoding="utf-8")
    desk = bench.house.desk
    told: list[object] = []
    desk.troubled.connect(told.append)
    assert desk.writer is not None
    writer = desk.writer
    for _ in range(3):
        desk.back_up()
        qtbot.waitUntil(lambda: writer.waiting == 0)
    assert len(told) == 1
    backup.folder_of(path).unlink()


def test_restoring_sets_the_present_file_aside_and_opens_the_backup(
    bench: Bench, path: Path, qtbot: QtBot
) -> None:
    desk = bench.house.desk
    assert desk.project is not None
    backup.make(desk.project, NOW)
    bench.house.model.edit("strength", lambda recipe: change.set_load(recipe, 5))
    assert bench.house.recipes.save()
    entry(bench, "Restore a backup").trigger()
    chosen = sheet(bench, RestoreSheet)
    assert chosen.list.count() == 1
    assert "2026-03-14 09:00:00" in chosen.list.item(0).text()
    chosen.put.click()
    qtbot.waitUntil(lambda: "in its place" in said(bench))
    assert bench.house.model.recipe.load_percent == OPEN.load_percent
    assert bench.house.recipes.revision == 1
    (aside,) = path.parent.glob("Kitchen set aside *.balmbook")
    assert aside.name in said(bench)
    with Project.open(aside, read_only=True) as before:
        assert [one.recipe.load_percent for one in before.recipes()] == [5]  # nothing was lost


def test_a_damaged_project_offers_the_way_back(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot
) -> None:
    bench.window.close()
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    again = make_bench()
    assert not again.window.open_path(path)
    assert "Kitchen.balmbook" in said(again)
    press(again, "Restore a backup …")
    sheet(again, RestoreSheet).put.click()
    qtbot.waitUntil(lambda: "in its place" in said(again))
    assert again.house.model.recipe == OPEN


def test_without_a_backup_the_sheet_says_so(bench: Bench) -> None:
    bench.house.keeping.restore()
    chosen = sheet(bench, RestoreSheet)
    assert not chosen.put.isEnabled()
    assert "no backup" in chosen.text.text()
    chosen.keep.click()


# --- looking through


def test_a_check_shows_every_fault(bench: Bench, path: Path, qtbot: QtBot) -> None:
    bench.house.keeping.check()
    qtbot.waitUntil(lambda: "is sound" in said(bench))
    room = start(bench, qtbot)
    assert room.page.runner is not None
    room.page.runner.send(EndBatch("the wax ran out"))
    qtbot.waitUntil(lambda: not room.running)
    with sqlite3.connect(path) as hand:  # what is built from the record may be lost
        hand.execute("DELETE FROM summaries")
    hand.close()
    bench.house.keeping.check()
    qtbot.waitUntil(lambda: "The record is whole" in said(bench))
    assert all("Build the summaries again" in fault.says for fault in check_project(path).faults)
    press(bench, "Build the summaries again")
    qtbot.waitUntil(lambda: "built again: 1" in said(bench))
    assert check_project(path).sound
    with sqlite3.connect(path) as hand:  # somebody meddles with the record
        hand.execute("DROP TRIGGER IF EXISTS events_no_update")
        for (name,) in hand.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            hand.execute(f"DROP TRIGGER {name}")
        hand.execute("UPDATE events SET digest = zeroblob(32) WHERE seq = 1")
    hand.close()
    expected = check_project(path).faults
    assert expected
    bench.house.keeping.check()
    qtbot.waitUntil(lambda: "not sound" in said(bench))
    press(bench, "See them all")
    found = sheet(bench, FoundSheet)
    shown = [found.list.item(at).text() for at in range(found.list.count())]
    assert [str(fault) for fault in expected] == shown[: len(expected)]
    found.seen.click()


def test_a_running_batch_is_not_held_up_by_a_check_or_a_restore(bench: Bench, qtbot: QtBot) -> None:
    start(bench, qtbot)
    for ask in (bench.house.keeping.check, bench.house.keeping.restore, bench.house.keeping.erase):
        bench.window.banner.hide()
        ask()
        assert "A batch is running" in said(bench)
    assert sheet(bench, RestoreSheet) is None
    assert sheet(bench, EraseSheet) is None


# --- a copy elsewhere


def test_a_copy_holds_what_the_record_would_not_take(
    bench: Bench, path: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    room = start(bench, qtbot)
    runner, view = room.page.runner, room.page.view
    assert runner is not None
    assert view is not None
    qtbot.waitUntil(lambda: not runner.conductor.pending)
    stored = runner.state.seq
    path.rename(tmp_path / "gone.balmbook")  # the stick was pulled
    assert runner.send(WriteNote("the wax smells of honey")) is None
    qtbot.waitUntil(lambda: not view.trouble.isHidden())
    assert view.trouble.copy.isVisibleTo(view)
    target = tmp_path / "elsewhere" / "Rescued.balmbook"
    target.parent.mkdir()
    bench.ask.answers["save copy"] = target
    view.trouble.copy.click()
    qtbot.waitUntil(target.exists)
    qtbot.waitUntil(lambda: "Rescued.balmbook" in said(bench))
    with Project.open(target) as copy:
        (session,) = copy.sessions()
        state = fold(copy.events(session.id))
    assert state.seq == runner.conductor.ahead.seq > stored
    assert "the wax smells of honey" in [one.value for one in state.entries] + [
        one.typed for one in state.entries
    ]
    (tmp_path / "gone.balmbook").rename(path)
    runner.retry()
    qtbot.waitUntil(lambda: not runner.conductor.pending)


def test_tables_of_all_batches(bench: Bench, tmp_path: Path, qtbot: QtBot) -> None:
    room = start(bench, qtbot)
    room.over.emit()
    for key, column in (("readings", "celsius"), ("weights", "mass_g")):
        target = tmp_path / f"{key}.csv"
        bench.ask.answers[key] = target
        getattr(bench.house.keeping, f"_{key}")()
        qtbot.waitUntil(target.exists)
        qtbot.waitUntil(lambda: "Rows written" in said(bench))
        assert column in target.read_text(encoding="utf-8").splitlines()[0].split(",")


# --- a wearer's words


def test_a_wearers_words_go_from_project_backups_and_window(bench: Bench, path: Path, qtbot: QtBot) -> None:
    house = bench.house
    brief = Brief(for_whom="QX", disliked=PRIVATE)
    house.model.edit("for whom", lambda recipe: recipe.model_copy(update={"brief": brief}))
    assert house.recipes.save()
    assert house.desk.project is not None
    backup.make(house.desk.project, NOW - timedelta(hours=2))
    house.keeping.erase()
    words = sheet(bench, EraseSheet)
    assert "QX" in words.list.item(0).text()
    assert not words.erase.isEnabled()  # nothing marked, no reason
    for at in range(words.list.count()):
        words.list.item(at).setCheckState(Qt.CheckState.Checked)
    assert not words.erase.isEnabled()
    words.reason.setText("asked for it")
    bench.ask.answers["erase words"] = "keep"
    words.erase.click()
    assert house.desk.personal_words()  # thought better of it
    words = None
    house.keeping.erase()
    words = bench.window.findChildren(EraseSheet)[-1]
    for at in range(words.list.count()):
        words.list.item(at).setCheckState(Qt.CheckState.Checked)
    words.reason.setText("asked for it")
    bench.ask.answers["erase words"] = "erase"
    words.erase.click()
    qtbot.waitUntil(lambda: "erased: " in said(bench))
    assert house.desk.personal_words() == ()
    assert house.model.recipe.brief == Brief()
    (erasure,) = house.desk.project.erasures()
    assert erasure.reason == "asked for it"
    (left,) = backup.backups(path)
    for file in (path, left.path):
        assert PRIVATE.encode() not in file.read_bytes()


# --- whose project it is


def test_the_second_window_says_who_has_it_and_changes_nothing(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot
) -> None:
    other = make_bench()
    assert other.window.open_path(path)
    assert f"process {os.getpid()}" in said(other)
    assert "reading only" in other.window.windowTitle()
    editor, answers = other.house.workplace.editor, other.house.workplace.answers
    assert not any(part.isEnabled() for part in (editor.title, *editor.panels, editor.save))
    assert not answers.make.isEnabled()
    assert not answers.practise.isEnabled()
    assert f"process {os.getpid()}" in answers.why_not.text()
    assert other.house.model.edit("strength", lambda recipe: change.set_load(recipe, 3)) != ""
    assert other.house.model.recipe == OPEN
    other.house.batches.make(False)
    assert other.house.batches.room is None
    other.house.keeping.look()
    assert not entry(other, "Erase").isEnabled()
    bench.window.close()  # the first lets go; looking again makes the second one whole
    other.house.batches.plan()
    press_again = other.house.desk.open_again
    away = path.rename(path.with_name("elsewhere.balmbook"))  # but first somebody moves the file
    assert not press_again()
    assert "There is nothing at" in said(other)
    assert (
        other.window.stack.currentWidget() is other.window.first
    )  # no page to type into, with no file behind it
    assert other.window.windowTitle() == "Balmbook"
    away.rename(path)
    assert other.window.open_path(path)
    assert "reading only" not in other.window.windowTitle()
    assert editor.save.isEnabled()
    assert answers.make.isEnabled()
    assert other.house.model.edit("strength", lambda recipe: change.set_load(recipe, 3)) == ""
    assert other.house.recipes.save()


@pytest.mark.skipif(sys.platform == "win32", reason="the lock's text is read under the lock")
def test_what_another_computer_left_behind_is_said(
    bench: Bench, make_bench: Callable[[], Bench], path: Path
) -> None:
    bench.window.close()
    owner = Owner("somebody", "pantry", 4711, "2026-03-13T18:00:00+01:00")
    path.with_name(path.name + ".lock").write_text(json.dumps(asdict(owner)), encoding="utf-8")
    again = make_bench()
    assert again.window.open_path(path)
    assert "somebody on pantry" in said(again)
    assert again.house.workplace.editor.save.isEnabled()  # a caution, not a bar


def test_leaving_does_not_wait_for_a_slow_backup(
    bench: Bench, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A last backup that hangs goes on beside the window, and is there in the end."""
    import threading

    from workbench.ui import project_desk

    go_on, real = threading.Event(), backup.on_close
    monkeypatch.setattr(backup, "on_close", lambda *given: (go_on.wait(20), real(*given))[1])
    monkeypatch.setattr(project_desk, "PATIENCE_S", 0.05)
    assert bench.window.close()
    assert backup.backups(path) == ()
    go_on.set()
    assert bench.house.desk.at_work.let_go(20)
    assert len(backup.backups(path)) == 1
    shutil.copy(path, path.with_suffix(".copy"))  # it is let go, too
    with Project.open(path) as project:
        assert not project.read_only
