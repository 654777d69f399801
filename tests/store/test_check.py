"""“Check this project”: healthy, damaged and tampered files, nothing changed by looking."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.builders import batch, new_project, recipe, whole_batch
from workbench.store.check import chain_faults, check_project
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.save_recipe(recipe())
        project.save_recipe(recipe(load_percent=6.0))
        project.save_document("wear notes", "n1", {"words": "itches"})
        project.append(project.new_session(), 1, whole_batch())
        project.append(project.new_session(), 1, whole_batch()[:50])
    return path


def without_guard(path: Path, *statements: str) -> None:
    """What somebody with another program can do: take the triggers off, change, put them back."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        triggers = file.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            file.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            file.execute(statement)
        for _, sql in triggers:
            file.execute(sql)


def places(path: Path) -> list[str]:
    before = path.read_bytes()
    report = check_project(path)
    assert path.read_bytes() == before
    assert report.sound == (not report.faults)
    return [fault.place for fault in report.faults]


def test_a_healthy_project(path: Path) -> None:
    progress: list[tuple[int, int]] = []
    report = check_project(path, lambda done, total: progress.append((done, total)))
    assert report.sound, report.faults
    assert (report.recipes, report.sessions, report.entries) == (1, 2, len(whole_batch()) + 50)
    assert progress == [(0, 2), (1, 2), (2, 2)]
    assert [name.name for name in path.parent.iterdir()] == [path.name]


def test_a_project_that_is_open_elsewhere_can_be_checked(path: Path) -> None:
    with Project.open(path) as project:
        assert check_project(path).sound
        assert chain_faults(project) == ()


@pytest.mark.parametrize(
    ("statements", "place", "says"),
    [
        (
            ["UPDATE events SET body = replace(body, '\"raw_c\":', '\"raw_c\":1') WHERE session = 1 AND kind = 'temperature read'"],
            "session s1, entry",
            "was changed after it was written",
        ),
        (["DELETE FROM events WHERE session = 1 AND seq = 7"], "session s1, entry 8", "before it is missing"),
        (["DELETE FROM events WHERE session = 1 AND seq > 60"], "session s1", "entries after number 60 are missing"),
        (["DELETE FROM events WHERE session = 2"], "session s2", "has no entries"),
        (["UPDATE events SET at_s = 1 WHERE session = 1 AND seq = 20"], "session s1, entry 20", "not what its text says"),
        (["UPDATE events SET body = '{}' WHERE session = 2 AND seq = 20"], "session s2, entry 20", "cannot be read"),
        (["DELETE FROM revisions WHERE revision = 1"], "recipe Wind over Thyme", "revision is missing"),
        (["DELETE FROM words"], "recipe Wind over Thyme, revision 1", "personal words are missing"),
        (["UPDATE words SET text = 'nothing' WHERE place LIKE 'wear%'"], "wear notes n1, revision 1", "words were changed"),
        (["DELETE FROM summaries"], "session s1", "summary is missing"),
        (["UPDATE summaries SET digest = zeroblob(32)"], "session s1", "summary is of other entries"),
        (["INSERT INTO shelf VALUES (1, '', '[]')"], "shelf", "cannot be read"),
        (["INSERT INTO summaries VALUES (9, 1, zeroblob(32), 'finished', 'null')"], "table summaries, row 9", "missing"),
        (
            ["DELETE FROM events WHERE session = 1", "DELETE FROM summaries", "DELETE FROM sessions WHERE number = 1"],
            "sessions",
            "missing from the count",
        ),
        (["DROP TRIGGER events_never_deleted"], "trigger events_never_deleted", "restore a backup"),
        (["UPDATE meta SET value = '0'"], "session s1, entry 1", "was changed"),
    ],
)  # fmt: skip
def test_what_somebody_changed_is_found_with_its_place(
    path: Path, statements: list[str], place: str, says: str
) -> None:
    if statements[0].startswith("DROP TRIGGER"):
        with closing(sqlite3.connect(path)) as file:
            file.execute(statements[0])
    else:
        without_guard(path, *statements)
    before = path.read_bytes()
    report = check_project(path)
    assert path.read_bytes() == before
    matching = [fault for fault in report.faults if fault.place.startswith(place) and says in fault.says]
    assert matching, report.faults


def test_events_that_cannot_have_happened_are_named(path: Path) -> None:
    with Project.open(path) as project:
        project.append("s2", 51, [whole_batch()[0].model_copy(update={"at_s": 9e6})])  # a second beginning
        assert chain_faults(project) == ()
    report = check_project(path)
    assert [fault.place for fault in report.faults] == ["session s2, entry 51"]


def test_a_truncated_project(path: Path) -> None:
    whole = path.read_bytes()
    for keep in (len(whole) // 2, 4096, 5000):
        path.write_bytes(whole[:keep])
        assert places(path)
        assert all(str(fault).count(path.name) <= 1 for fault in check_project(path).faults)
    path.write_bytes(whole[:50])
    with pytest.raises(StoreTrouble, match="not a Balmbook project"):
        check_project(path)


def test_a_damaged_page_is_found_in_a_file_too_large_to_look_through_on_opening(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Project.open(path) as project:
        project.append(project.new_session(), 1, batch(400))
    monkeypatch.setattr("workbench.store.opening._LOOKED_THROUGH_BYTES", 0)
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 4096 // 2 * 4096)
        file.write(b"\xa5" * 4096)
    assert "database" in places(path)


def test_more_faults_than_anyone_reads_are_cut_off(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("workbench.store.check._MOST_FAULTS", 3)
    without_guard(path, "UPDATE words SET text = 'x'", "UPDATE events SET at_s = at_s + 1")
    report = check_project(path)
    assert len(report.faults) == 3
    assert report.notes == ("There are more faults than are listed here.",)


def test_what_is_no_file_at_all_is_trouble(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="nothing at"):
        check_project(tmp_path / "a.balmbook")


@pytest.fixture(autouse=True)
def _no_locks_left(tmp_path: Path) -> Iterator[None]:
    yield
    assert not list(tmp_path.glob("*.lock"))
