"""Older files become today's in one transaction, after a copy; or stay as they were."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.builders import START, batch, new_project, reading
from workbench.store import migrations, schema
from workbench.store.connection import read_header
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble


def add_column(connection: sqlite3.Connection) -> None:
    connection.execute("ALTER TABLE recipes ADD COLUMN colour TEXT")


def fill_column(connection: sqlite3.Connection) -> None:
    connection.execute("UPDATE recipes SET colour = 'amber'")


def breaks(connection: sqlite3.Connection) -> None:
    connection.execute("CREATE TABLE half_done (x)")
    connection.execute("SELECT nonsense FROM nowhere")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.append(project.new_session(), 1, batch())
    return path


def test_steps_run_in_order_and_the_number_follows(path: Path) -> None:
    before = path.read_bytes()
    copy = migrations.migrate(path, 1, START, steps={1: add_column, 2: fill_column}, to=3)
    assert read_header(path) == 3
    assert copy.name == "a.balmbook.bak-v1"
    assert read_header(copy) == 1
    with closing(sqlite3.connect(copy)) as old, closing(sqlite3.connect(path)) as new:
        assert (
            old.execute("SELECT * FROM events").fetchall() == new.execute("SELECT * FROM events").fetchall()
        )
        assert new.execute(
            "SELECT count(*) FROM pragma_table_info('recipes') WHERE name = 'colour'"
        ).fetchone() == (1,)
    assert len(before) > 0


def test_a_step_that_fails_leaves_the_file_as_it_was(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="damaged"):
        migrations.migrate(path, 1, START, steps={1: add_column, 2: breaks}, to=3)
    assert path.read_bytes() == before


def test_an_earlier_copy_is_not_overwritten(path: Path) -> None:
    earlier = path.with_name("a.balmbook.bak-v1")
    earlier.write_bytes(b"precious")
    copy = migrations.migrate(path, 1, START, steps={1: add_column}, to=2)
    assert earlier.read_bytes() == b"precious"
    assert copy.name == "a.balmbook.bak-v1-20260314-093000"


def test_a_version_that_never_was_is_refused(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="damaged") as caught:
        migrations.migrate(path, 0, START)
    assert "never was a version 0" in str(caught.value)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_without_room_for_the_copy_nothing_is_changed(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = path.read_bytes()

    def full(_: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("workbench.store.files.sync_file", full)
    with pytest.raises(StoreTrouble, match="full"):
        migrations.migrate(path, 1, START, steps={1: add_column}, to=2)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_an_older_file_that_may_only_be_read_is_shown_as_it_would_become(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a write-protected stick, say: the steps run in a copy, the file stays as it is."""
    for module in ("opening", "migrations"):
        monkeypatch.setattr(f"workbench.store.{module}.SCHEMA_VERSION", 2)
    monkeypatch.setattr(migrations, "STEPS", {1: add_column})
    monkeypatch.setattr(migrations.migrate, "__kwdefaults__", {"steps": None, "to": 2})
    with closing(sqlite3.connect(":memory:")) as file:
        file.executescript(schema.SCHEMA)
        add_column(file)
        grown = schema.structure(file)
    monkeypatch.setattr("workbench.store.opening.expected_structure", lambda: grown)
    before = path.read_bytes()
    with Project.open(path, read_only=True) as project:
        assert project.events("s1") == batch()
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]
    with Project.open(path) as project:
        assert project.events("s1") == batch()
        assert project.append("s1", len(batch()) + 1, [reading(900.0)]) == len(batch()) + 1
    assert read_header(path) == 2
    assert read_header(path.with_name("a.balmbook.bak-v1")) == 1
