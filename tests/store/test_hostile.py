"""Files made to cost time or memory: refused within 2 s and 200 MB, in a process that counts both."""

from __future__ import annotations

import json
import sqlite3
import struct
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.builders import batch, new_project, recipe

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="reads the peak of /proc/self/status"
)

# Imports come first: the budget is for the file, not for starting Python.
COUNTED = """
import re, sys, time
from datetime import datetime, timezone
from pathlib import Path
from pydantic import BaseModel
from workbench.core.catalogue.shelf import Shelf
from workbench.store import check, interchange, preferences, tables
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble

def peak_mb():
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024

def read(path):
    with Project.open(path) as project:
        for ask in (project.recipes, project.shelf, project.drafts, project.sessions, project.open_session,
                    project.personal_words, project.erasures, lambda: project.events("s1"),
                    lambda: project.documents("k"), lambda: project.revisions("x")):
            ask()

now = datetime(2026, 3, 14, tzinfo=timezone.utc)
path = Path(sys.argv[2])
work = {
    "open": lambda: read(path),
    "import": lambda: interchange.import_project(path, path.with_name("target.balmbook"), now),
    "csv": lambda: tables.read_readings(path),
    "settings": lambda: preferences.Preferences(path, Shelf, now),
}[sys.argv[1]]
before, begun = peak_mb(), time.process_time()  # not the wall: other work may keep the computer busy
said = "taken"
try:
    work()
except StoreTrouble as trouble:
    said = trouble.kind.value + ": " + trouble.says[:100]
print(f"{time.process_time() - begun:.3f} {peak_mb() - before:.1f} {said}")
"""


def counted(what: str, path: Path) -> tuple[float, float, str]:
    """(seconds of the processor, MB of growth, what was said)"""
    done = subprocess.run(
        [sys.executable, "-c", COUNTED, what, str(path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    seconds, megabytes, said = done.stdout.split(" ", 2)
    return float(seconds), float(megabytes), said.strip()


def within_budget(what: str, path: Path) -> str:
    size = path.stat().st_size
    content = path.read_bytes() if size < 60_000_000 else b""
    seconds, megabytes, said = counted(what, path)
    assert seconds < 2.0, said
    assert megabytes < 200.0, said
    assert path.stat().st_size == size
    assert not content or path.read_bytes() == content
    assert not path.with_name("target.balmbook").exists()
    return said


def changed(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("PRAGMA synchronous=OFF")
        triggers = file.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            file.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            file.execute(statement)
        for _, sql in triggers:
            file.execute(sql)


COUNT = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n WHERE x < {many})"
LISTS = "'[' || substr(replace(hex(zeroblob(640000)), '00', '[],'), 1, 1919999) || ']'"


@pytest.mark.slow
@pytest.mark.parametrize(
    "statements",
    [
        [f"INSERT INTO shelf VALUES (1, '', {LISTS})"],
        [f"UPDATE revisions SET body = {LISTS}"],
        [f"UPDATE events SET body = {LISTS} WHERE seq <= 20"],
        [f"UPDATE events SET body = '{{\"kind\":\"noted\",\"plan\":' || {LISTS} || '}}', kind = 'noted' WHERE seq <= 20"],
        ["UPDATE events SET body = replace(hex(zeroblob(1900000)), '00', '[')"],
        [COUNT.format(many=300_000) + " INSERT INTO sessions SELECT x + 1, '2026-03-14', 'x', 1, 0, '' FROM n"],
        [COUNT.format(many=2_000) + " INSERT INTO drafts SELECT x, '', hex(zeroblob(60000)) FROM n"],
        [COUNT.format(many=60_000) + " INSERT INTO events SELECT 1, x + 1000, 0, '', 'step begun', hex(zeroblob(600)), zeroblob(32) FROM n"],
        [COUNT.format(many=100_000) + " INSERT INTO recipes SELECT x + 10, 'r' || x, 0 FROM n", COUNT.format(many=100_000) + " INSERT INTO revisions SELECT x + 10, 1, '', '{}' FROM n"],
        [COUNT.format(many=400) + " INSERT INTO words SELECT substr(hex(zeroblob(32)), 1, 58) || (100000 + x), 'p', 's', '{' || hex(zeroblob(300000)) FROM n"],
    ],
    ids=["shelf", "recipe", "events", "plans", "deep", "sessions", "drafts", "many events", "recipes", "words"],
)  # fmt: skip
def test_sound_databases_with_too_much_in_them(tmp_path: Path, statements: list[str]) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.save_recipe(recipe())
        project.append(project.new_session(), 1, batch(40))
    changed(path, *statements)
    within_budget("open", path)


def test_nothing_is_copied_to_be_sorted(tmp_path: Path) -> None:
    """SQLite sorts in a file of its own where no index gives the order: a hostile project would be written once more."""
    path = tmp_path / "a.balmbook"
    asked: list[str] = []
    with new_project(path) as project:
        project.save_recipe(recipe())
        project.append(project.new_session(), 1, batch(40))
        with project.reading() as connection:
            connection.set_trace_callback(asked.append)
        for ask in (project.recipes, project.shelf, project.drafts, project.sessions, project.open_session,
                    project.personal_words, project.erasures, lambda: project.events("s1"),
                    lambda: project.documents("k"), lambda: project.revisions("x")):  # fmt: skip
            ask()
        with project.reading() as connection:
            connection.set_trace_callback(None)
            plans = {
                one: [str(row[3]) for row in connection.execute(f"EXPLAIN QUERY PLAN {one}")]
                for one in asked
                if one.startswith("SELECT")
            }
    assert len(plans) >= 10
    assert not [one for one, plan in plans.items() if "USE TEMP B-TREE FOR ORDER BY" in plan]


@pytest.mark.slow
@pytest.mark.parametrize("size", [20_000_000, 3_000_000_000])
def test_a_huge_empty_file(tmp_path: Path, size: int) -> None:
    path = tmp_path / "a.balmbook"
    with path.open("wb") as file:
        file.truncate(size)
    assert within_budget("open", path).startswith("not ours")


@pytest.mark.slow
@pytest.mark.parametrize("pages", [64, 0x7FFF_FFFE])
def test_a_database_whose_pages_point_at_each_other(tmp_path: Path, pages: int) -> None:
    """A tree that contains itself a hundred times on each level would never be read to its end."""
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.append(project.new_session(), 1, batch(2000))
    with closing(sqlite3.connect(path)) as file:
        root = file.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'events'").fetchone()[0]
    content = bytearray(path.read_bytes())
    struct.pack_into(">I", content, 28, pages)  # the file claims to have so many pages
    at = (root - 1) * 4096
    assert content[at] == 2  # an inner page of an index tree
    cells = struct.unpack_from(">H", content, at + 3)[0]
    for cell in range(cells):
        pointer = struct.unpack_from(">H", content, at + 12 + 2 * cell)[0]
        struct.pack_into(">I", content, at + pointer, root)
    struct.pack_into(">I", content, at + 8, root)
    path.write_bytes(content)
    assert within_budget("open", path).startswith("damaged")


@pytest.mark.slow
@pytest.mark.parametrize(
    "make",
    [
        lambda: b"[" + b"[]," * 15_000_000 + b"0]",
        lambda: b"[" * 47_000_000,
        lambda: b"9" * 47_000_000,
        lambda: b'"' + b"\\u0000" * 7_800_000 + b'"',
        lambda: b'{"format":"balmbook project","version":1,"drafts":[' + b"{}," * 800_000 + b"{}]}",
        lambda: json.dumps({"documents": [{"kind": "k", "key": "k", "body": [[0]] * 800_000}]}).encode(),
        lambda: json.dumps({"sessions": [{"events": [{"event": {"plan": {str(n): n for n in range(700_000)}}}]}]}).encode(),
    ],
    ids=["lists", "deep", "digits", "escapes", "empty drafts", "document", "plan"],
)  # fmt: skip
def test_exported_files_made_to_cost(tmp_path: Path, make: Callable[[], bytes]) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(make())
    said = within_budget("import", path)
    assert said.startswith(("invalid", "too large"))


@pytest.mark.slow
@pytest.mark.parametrize(
    "make",
    [
        lambda: b"0,90\n" * 3_900_000,
        lambda: b"1," * 9_900_000,
        lambda: b"\n" * 19_000_000,
        lambda: b"x" * 21_000_000,
    ],
    ids=["rows", "one line", "empty lines", "too large"],
)
def test_readings_made_to_cost(tmp_path: Path, make: Callable[[], bytes]) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(make())
    within_budget("csv", path)


@pytest.mark.slow
def test_settings_made_to_cost(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(b'{"materials": [' + b"{}," * 330_000 + b"{}]}")
    seconds, megabytes, _ = counted("settings", path)
    assert seconds < 2.0
    assert megabytes < 200.0
