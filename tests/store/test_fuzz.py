"""Any bytes either open or are refused with a sentence, and are never changed.

Invariant, for the project file, the exported JSON and the CSV of readings:
whatever is in the file, the only exception is StoreTrouble (with a sentence and
its place), it comes within 2 s and 200 MB, and the file is afterwards as it was.
Found cases are kept in tests/corpus/.  `BALMBOOK_FUZZ=5000 pytest tests/store/test_fuzz.py`
looks longer.
"""

from __future__ import annotations

import functools
import json
import os
import random
import sqlite3
import tempfile
import time
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.store.builders import START, Calendar, new_project, whole_batch
from tests.store.test_interchange import fill
from workbench.store import interchange, tables
from workbench.store.check import check_project
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble

CORPUS = Path(__file__).parents[1] / "corpus"
QUICK = settings(
    max_examples=int(os.environ.get("BALMBOOK_FUZZ", "60")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@functools.lru_cache(maxsize=1)
def sound_project() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.balmbook"
        with new_project(path) as project:
            fill(project)
            project.erase(project.personal_words()[:2], "asked")
        return path.read_bytes()


@functools.lru_cache(maxsize=1)
def sound_export() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.balmbook"
        path.write_bytes(sound_project())
        with Project.open(path) as project:
            interchange.export_project(project, path.with_suffix(".json"))
        return path.with_suffix(".json").read_bytes()


def read_everything(path: Path) -> None:
    """What the window may ask of a project; StoreTrouble is an answer."""
    with Project.open(path, now=Calendar()) as project:
        for ask in (
            project.recipes,
            project.shelf,
            project.drafts,
            project.sessions,
            project.open_session,
            project.personal_words,
            project.erasures,
            lambda: project.revisions("Renamed since"),
            lambda: project.documents("wear notes"),
            lambda: project.events("s1"),
            lambda: project.events("s2"),
        ):
            with suppress(StoreTrouble):
                ask()


def refuses_or_opens(content: bytes, seconds: float = 2.0) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.balmbook"
        path.write_bytes(content)
        begun = time.process_time()
        with suppress(StoreTrouble):
            read_everything(path)
        assert time.process_time() - begun < seconds
        with suppress(StoreTrouble):
            check_project(path)
        assert path.read_bytes() == content
        assert [each.name for each in Path(folder).iterdir()] == ["a.balmbook"]


@QUICK
@given(seed=st.integers(0, 2**32), count=st.integers(1, 40))
def test_flipped_bytes(seed: int, count: int) -> None:
    content, chance = bytearray(sound_project()), random.Random(seed)
    for _ in range(count):
        content[chance.randrange(len(content))] = chance.randrange(256)
    refuses_or_opens(bytes(content))


@QUICK
@given(seed=st.integers(0, 2**32))
def test_flipped_bytes_in_the_head_and_the_structure(seed: int) -> None:
    content, chance = bytearray(sound_project()), random.Random(seed)
    for _ in range(chance.randrange(1, 5)):
        content[chance.randrange(16, 4096 * 3)] = chance.choice((0, 1, 2, 127, 128, 254, 255))
    refuses_or_opens(bytes(content))


@QUICK
@given(seed=st.integers(0, 2**32))
def test_pages_that_are_swapped_or_copied_over_each_other(seed: int) -> None:
    content, chance = bytearray(sound_project()), random.Random(seed)
    pages = len(content) // 4096
    for _ in range(chance.randrange(1, 4)):
        first, second = (4096 * chance.randrange(1, pages) for _ in range(2))
        if chance.random() < 0.5:
            content[first : first + 4096] = content[second : second + 4096]
        else:
            content[first : first + 4096], content[second : second + 4096] = (
                content[second : second + 4096],
                content[first : first + 4096],
            )
    refuses_or_opens(bytes(content))


@QUICK
@given(keep=st.integers(0, 400_000), more=st.binary(max_size=64))
def test_truncated_and_extended_files(keep: int, more: bytes) -> None:
    refuses_or_opens(sound_project()[:keep] + more)


@QUICK
@given(content=st.binary(max_size=400), header=st.booleans())
def test_any_bytes(content: bytes, header: bool) -> None:
    refuses_or_opens(sound_project()[:100] + content if header else content)


texts = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        ["", "{}", "[]", "null", "NaN", "1e999", '{"kind":"noted"}', "[" * 5000, '{"words":{"words":"x"}}', "\x00", "2026-13-41"]
    ),
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8),
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["kind", "words", "brief", "plan", "recipe", "at_s"]), inner),
        max_leaves=12,
    ).map(json.dumps),
)  # fmt: skip

COLUMNS = [
    ("meta", "value"),
    ("shelf", "body"),
    ("recipes", "name"),
    ("revisions", "body"),
    ("revisions", "saved_at"),
    ("drafts", "body"),
    ("sessions", "started"),
    ("sessions", "recipe_name"),
    ("events", "body"),
    ("events", "kind"),
    ("events", "wall"),
    ("events", "digest"),
    ("summaries", "body"),
    ("summaries", "ended"),
    ("documents", "body"),
    ("words", "text"),
    ("words", "place"),
    ("erasures", "at"),
]


@QUICK
@given(column=st.sampled_from(COLUMNS), value=texts, row=st.integers(0, 30))
def test_a_sound_database_with_other_texts_in_it(column: tuple[str, str], value: str, row: int) -> None:
    table, name = column
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.balmbook"
        path.write_bytes(sound_project())
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            file.execute("PRAGMA synchronous=OFF")
            triggers = file.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
            for trigger, _ in triggers:
                file.execute(f"DROP TRIGGER {trigger}")
            keys = ", ".join(each[1] for each in file.execute(f"PRAGMA table_info({table})") if each[5])
            with suppress(sqlite3.Error, UnicodeError):
                file.execute(
                    f"UPDATE {table} SET {name} = ? WHERE ({keys}) = (SELECT {keys} FROM {table} LIMIT 1 OFFSET ?)",
                    (value.encode() if name == "digest" else value, row),
                )
            for _, sql in triggers:
                file.execute(sql)
        content = path.read_bytes()
    refuses_or_opens(content)


def refuses_or_takes_in(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "a.json", Path(folder) / "b.balmbook"
        source.write_bytes(content)
        begun = time.process_time()
        try:
            interchange.import_project(source, target, START)
        except StoreTrouble:
            assert not target.exists()
        else:
            assert check_project(target).sound
        assert time.process_time() - begun < 4.0  # the sound ones are checked, too
        assert source.read_bytes() == content


@QUICK
@given(seed=st.integers(0, 2**32), count=st.integers(1, 10))
def test_exported_files_with_flipped_bytes(seed: int, count: int) -> None:
    content, chance = bytearray(sound_export()), random.Random(seed)
    for _ in range(count):
        content[chance.randrange(len(content))] = chance.choice(b'0123456789-."{}[],:eE\x00\xff na')
    refuses_or_takes_in(bytes(content))


junk: st.SearchStrategy[Any] = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**20), 10**20), st.floats(), st.text(max_size=20),
    st.lists(st.integers(), max_size=3), st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
)  # fmt: skip


@QUICK
@given(seed=st.integers(0, 2**32), value=junk)
def test_exported_files_with_another_value_somewhere(seed: int, value: Any) -> None:
    document, chance = json.loads(sound_export()), random.Random(seed)
    where: Any = document
    while True:
        key = chance.choice(list(where)) if isinstance(where, dict) else chance.randrange(len(where))
        below = where[key]
        if not isinstance(below, (dict, list)) or not below or chance.random() < 0.08:
            if chance.random() < 0.2:
                del where[key]
            else:
                where[key] = value
            break
        where = below
    refuses_or_takes_in(json.dumps(document).encode("utf-8", "surrogatepass"))


@QUICK
@given(order=st.permutations(range(12)))
def test_events_in_another_order(order: list[int]) -> None:
    document = json.loads(sound_export())
    events = document["sessions"][0]["events"]
    start = 20
    shuffled = [events[start + n]["event"] for n in order]
    for n, event in enumerate(shuffled):
        events[start + n]["event"] = {**event, "at_s": events[start]["event"]["at_s"]}
    for part in events[start + len(shuffled) :]:
        part["event"]["at_s"] = max(part["event"]["at_s"], events[start]["event"]["at_s"])
    refuses_or_takes_in(json.dumps(document).encode())


@settings(max_examples=300, deadline=None)
@given(
    content=st.one_of(
        st.binary(max_size=300),
        st.text(alphabet="0123456789.,;\t\n\r -+eE\"'#abcnif_٣\x00", max_size=200).map(
            lambda text: text.encode()
        ),
    )
)
def test_any_csv(content: bytes) -> None:
    try:
        rows = tables.parse_readings(content, Path("r.csv"))
    except StoreTrouble:
        return
    assert rows
    assert all(-50 <= celsius <= 400 and seconds >= 0 for seconds, celsius in rows)
    assert [seconds for seconds, _ in rows] == sorted(seconds for seconds, _ in rows)


@pytest.mark.parametrize("path", sorted(CORPUS.iterdir()), ids=lambda path: path.name)
def test_found_cases(path: Path) -> None:
    if path.suffix == ".balmbook":
        refuses_or_opens(path.read_bytes())
    elif path.suffix == ".json":
        refuses_or_takes_in(path.read_bytes())
    elif path.suffix == ".csv":
        with suppress(StoreTrouble):
            tables.parse_readings(path.read_bytes(), path)


def test_the_samples_of_this_test_are_sound(tmp_path: Path) -> None:
    """Or the mutations would be of nothing."""
    (tmp_path / "a.balmbook").write_bytes(sound_project())
    with Project.open(tmp_path / "a.balmbook") as project:
        assert project.events("s1") == whole_batch()
    refuses_or_takes_in(sound_export())
    (tmp_path / "a.json").write_bytes(sound_export())
    interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
