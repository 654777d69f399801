"""Power cuts at random moments: nothing acknowledged is lost, no file is damaged.

What this model says of other settings, 400 cuts each with the seed below, run
once with SQLite 3.54 (lost: cuts after which an acknowledged event was gone;
damaged: files that did not open any more):

    journal DELETE,   synchronous EXTRA      0 lost     0 damaged   <- ours
    journal TRUNCATE, synchronous FULL       0 lost     0 damaged
    journal DELETE,   synchronous FULL      55 lost     4 damaged
    journal DELETE,   synchronous NORMAL    68 lost     1 damaged
    journal DELETE,   synchronous OFF        0 lost   400 damaged

so the simulator bites, and `test_a_weaker_setting_is_caught` keeps it biting.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.store.builders import START, at, reading, started
from tests.store.power import Log, LoggingDisk, OnLoggingDisk
from workbench.core.batch.events import AnyEvent, Noted
from workbench.store import journal, opening
from workbench.store.connection import settle, transaction
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble

PROJECT = "0123456789abcdef0123456789abcdef"
SEED = 20260314
EVENTS = 60
SHORT = 14


def weaker(journal_mode: str, synchronous: str) -> Callable[[Any], None]:
    def settled(connection: Any) -> None:
        settle(connection)
        connection.execute(f"PRAGMA synchronous={synchronous}")
        connection.execute(f"PRAGMA journal_mode={journal_mode}").fetchone()

    return settled


def event(seq: int) -> AnyEvent:
    if seq == 1:
        return started()
    if seq % 9 == 0:
        return Noted(**at(float(seq)), step="melt", words="a long note " * (seq * 8))
    return reading(float(seq), 60.0 + seq / 4)


def record(folder: Path, log: Log, settled: Callable[[Any], None] = settle, length: int = EVENTS) -> None:
    """A batch on the logging disk, by the store's own code; each acknowledgement is logged."""
    disk = LoggingDisk(f"disk-{id(log)}", log)
    with closing(OnLoggingDisk(folder / "a.balmbook", f"disk-{id(log)}")) as connection:
        settled(connection)
        opening.write_new(connection, START, PROJECT)  # type: ignore[arg-type]
        log.add("ack", 0)
        seq = 0
        while seq < length:
            events = [event(n) for n in range(seq + 1, min(length, seq + 1 + seq % 3) + 1)]
            with transaction(connection):  # type: ignore[arg-type]
                seq = journal.append(connection, PROJECT, 1, seq + 1, events)  # type: ignore[arg-type]
            log.add("ack", seq)
    disk.unregister()


def found(folder: Path) -> int:
    """How many events stand in the file after the cut; raises when it is damaged."""
    path = folder / "a.balmbook"
    with Project.open(path) as project:
        assert not project.read_only
        stored = project.stored_events("s1")
        assert [each.event for each in stored] == [event(n) for n in range(1, len(stored) + 1)]
        before = journal.first_link(PROJECT)
        for each in stored:
            before = journal.link(before, 1, each.seq, each.body)
            assert before == each.digest
    return len(stored)


def cuts(folder: Path, log: Log, count: int, seed: int) -> tuple[int, int]:
    """(cuts that lost an acknowledged event, damaged files)."""
    chance, lost, damaged = random.Random(seed), 0, 0
    born = log.operations.index(("ack", 0))  # projects are made elsewhere and moved into place when whole
    for number in range(count):
        scene = folder / f"cut{number}"
        scene.mkdir()
        acknowledged = log.cut(chance.randint(born + 1, len(log.operations)), chance, scene)
        try:
            lost += found(scene) < acknowledged
        except (StoreTrouble, sqlite3.DatabaseError, AssertionError):
            damaged += 1
        shutil.rmtree(scene)
    return lost, damaged


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    (tmp_path / "live").mkdir()
    return tmp_path


@pytest.mark.slow
def test_four_hundred_cuts_lose_and_damage_nothing(scene: Path) -> None:
    log = Log()
    record(scene / "live", log)
    assert found(scene / "live") == EVENTS
    assert cuts(scene, log, 400, SEED) == (0, 0)


@pytest.mark.parametrize("synchronous", ["FULL", "NORMAL", "OFF"])
def test_a_weaker_setting_is_caught(scene: Path, synchronous: str) -> None:
    log = Log()
    record(scene / "live", log, weaker("DELETE", synchronous))
    lost, damaged = cuts(scene, log, 100, SEED)
    assert lost + damaged > 5


@pytest.mark.slow
@pytest.mark.parametrize("for_ever", [False, True])
def test_the_disk_gives_up_at_every_single_write(scene: Path, for_ever: bool) -> None:
    """SQLite's own I/O error loop (sqlite.org/testing.html, 3.2): fail the Nth operation for each N.

    Once, or from then on.  What was acknowledged before is there; a retry after a
    single failure goes through and doubles nothing.
    """
    clean = Log()
    record(scene / "live", clean, length=SHORT)
    made = next(index for index, operation in enumerate(clean.operations) if operation == ("ack", 0))
    first = sum(
        operation[0] in ("write", "truncate", "sync", "delete") for operation in clean.operations[:made]
    )
    for number in range(first + 1, clean.counted + 1):
        folder = scene / f"fail{number}"
        folder.mkdir()
        log = Log(fail_at=number, for_ever=for_ever)
        acknowledged = record_with_retry(folder, log)
        assert found(folder) >= acknowledged, f"operation {number}"
        if not for_ever:
            assert acknowledged == SHORT
            assert found(folder) == SHORT
        shutil.rmtree(folder)
    assert clean.counted - first > 50


def record_with_retry(folder: Path, log: Log) -> int:
    """The batch, each append tried once more after a failure; how many events were acknowledged."""
    name = f"disk-{id(log)}"
    disk = LoggingDisk(name, log)
    acknowledged = 0
    with closing(OnLoggingDisk(folder / "a.balmbook", name)) as connection:
        settle(connection)  # type: ignore[arg-type]
        opening.write_new(connection, START, PROJECT)  # type: ignore[arg-type]
        while acknowledged < SHORT:
            upto = min(SHORT, acknowledged + 1 + acknowledged % 3)
            events = [event(n) for n in range(acknowledged + 1, upto + 1)]
            for attempt in (1, 2):
                try:
                    with transaction(connection):  # type: ignore[arg-type]
                        journal.append(connection, PROJECT, 1, acknowledged + 1, events)  # type: ignore[arg-type]
                except sqlite3.OperationalError:
                    if attempt == 2:
                        return acknowledged
                else:
                    acknowledged = upto
                    break
    disk.unregister()
    return acknowledged
