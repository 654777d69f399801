"""Summaries that an older version wrote say what today's lists ask, after one visit; erased words leave them."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import fields
from pathlib import Path

import pytest

from tests.store.builders import new_project, whole_batch
from workbench.core.batch.record import SUMMARY_FORM, SessionSummary, summary
from workbench.core.batch.session import fold
from workbench.store import renewing
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble

V1 = Path(__file__).parent.parent / "compat" / "v1" / "kitchen.balmbook"


def change(path: Path, edit: Callable[[sqlite3.Connection], object]) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        edit(connection)


def make_old(connection: sqlite3.Connection) -> None:
    """Rows as version 1 wrote them: nothing after `over_skin_limit`."""
    names = [field.name for field in fields(SessionSummary)]
    kept = names[: names.index("form")]
    for session, body in connection.execute("SELECT session, body FROM summaries").fetchall():
        old = {name: json.loads(body)[name] for name in kept}
        connection.execute("UPDATE summaries SET body = ? WHERE session = ?", (json.dumps(old), session))


def test_a_file_of_the_first_version_is_renewed_on_opening(tmp_path: Path) -> None:
    copy = tmp_path / "kitchen.balmbook"
    shutil.copyfile(V1, copy)
    with closing(sqlite3.connect(copy)) as file:
        assert all("form" not in body for (body,) in file.execute("SELECT body FROM summaries"))
    with Project.open(copy, read_only=True) as project:
        assert {each.summary.form for each in project.sessions() if each.summary is not None} == {1}
    with Project.open(copy) as project:
        ended = [each for each in project.sessions() if each.ended]
        assert ended
        for each in ended:
            assert each.summary == summary(fold(project.events(each.id)))
            assert each.summary is not None
            assert each.summary.form == SUMMARY_FORM
            assert "beeswax" in each.summary.materials
            assert each.summary.words == "the wax smells of honey – schön"
    before = copy.read_bytes()
    with Project.open(copy):
        assert copy.read_bytes() == before  # once, and not again


def test_many_rows_are_renewed_in_portions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        for _ in range(5):
            project.append(project.new_session(), 1, whole_batch())
    change(path, make_old)
    monkeypatch.setattr(renewing, "AT_OPENING", 2)
    with Project.open(path) as project:
        forms = [each.summary.form for each in project.sessions() if each.summary is not None]
        assert forms == [SUMMARY_FORM, SUMMARY_FORM, 1, 1, 1]  # the newest first
        assert project.renew_summaries(2) == 1
        assert project.renew_summaries(2) == 0
        assert project.renew_summaries(2) == 0
        assert all(each.summary == summary(fold(whole_batch())) for each in project.sessions())


def test_a_record_that_cannot_be_read_is_listed_without_a_summary_and_stops_nothing(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        for _ in range(2):
            project.append(project.new_session(), 1, whole_batch())

    def damage(connection: sqlite3.Connection) -> None:
        make_old(connection)
        connection.execute("DROP TRIGGER events_never_changed")
        connection.execute("UPDATE events SET body = '{}' WHERE session = 2 AND seq = 3")
        connection.execute(
            "CREATE TRIGGER events_never_changed BEFORE UPDATE ON events "
            "BEGIN SELECT RAISE(ABORT, 'the record cannot be changed'); END"
        )

    change(path, damage)
    with Project.open(path) as project:
        second, first = project.sessions()
        assert second.summary is None
        assert second.end == "finished"
        assert first.summary == summary(fold(whole_batch()))


def test_a_row_that_no_version_wrote_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.append(project.new_session(), 1, whole_batch())
    change(path, lambda connection: connection.execute("UPDATE summaries SET body = '{}'"))
    before = path.read_bytes()
    with Project.open(path) as project, pytest.raises(StoreTrouble, match="damaged"):
        project.sessions()
    assert path.read_bytes() == before


def test_erased_notes_leave_the_summary_and_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    shutil.copyfile(V1, path)
    with Project.open(path) as project:
        assert any("honey" in each.summary.words for each in project.sessions() if each.summary is not None)
        project.erase(project.personal_words(), "asked")
        for each in project.sessions():
            if each.summary is not None:
                assert each.summary.words == "(erased on request)"
    assert b"honey" not in path.read_bytes()
