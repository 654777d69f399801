"""How fast the record is, beside plain SQLite: `python -m tests.benchmarks.store_speed`.

    append    one event, from the call to its acknowledgement, over a bare INSERT
              with the same settings on the same disk          goal: within 2 x
    list      2,000 sessions of 1,000 events: all summaries     goal: within 0.5 s
    session   one of them, every event                          goal: within 0.2 s
    memory    does not grow with the sessions that stay closed

Absolute times depend on the machine; the ratios are what is compared.  Appends are
timed on the wall, turn about, since the disk is most of them; list and session by the
processor, so that a computer that does other things besides changes nothing.
`--small` is what CI runs.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from tests.store.builders import Calendar, reading, started, whole_batch
from workbench.core.batch.events import AnyEvent
from workbench.store import journal, meaning, words
from workbench.store.connection import settle, transaction
from workbench.store.project import Project


@dataclass(frozen=True, slots=True)
class Measured:
    """Seconds, and the same by plain sqlite3."""

    what: str
    ours_s: float
    plain_s: float
    goal: str
    met: bool

    @property
    def ratio(self) -> float:
        return self.ours_s / self.plain_s

    def __str__(self) -> str:
        return (
            f"{self.what:<28} {1e3 * self.ours_s:9.2f} ms   plain SQLite {1e3 * self.plain_s:9.2f} ms   "
            f"{self.ratio:5.2f} x   {self.goal}: {'met' if self.met else 'MISSED'}"
        )


def median_s(work: Callable[[], object], times: int, clock: Callable[[], float] = time.perf_counter) -> float:
    taken = []
    for _ in range(times):
        begun = clock()
        work()
        taken.append(clock() - begun)
    return statistics.median(taken)


def append_speed(folder: Path, rounds: int = 300) -> Measured:
    """Turn about, so that whatever else the computer does meets both."""
    project = Project.create(folder / "append.balmbook", now=Calendar())
    session = project.new_session()
    project.append(session, 1, [started()])
    bare = sqlite3.connect(folder / "bare.db", isolation_level=None)
    settle(bare)
    bare.execute("CREATE TABLE events (session INTEGER, seq INTEGER, body TEXT, PRIMARY KEY (session, seq))")
    body = reading(1).model_dump_json()
    ours, plain = [], []
    for n in range(rounds):
        event = reading(float(n), 60.0 + n % 30)
        begun = time.perf_counter()
        project.append(session, 2 + n, [event])
        middle = time.perf_counter()
        with transaction(bare):
            bare.execute("INSERT INTO events VALUES (1, ?, ?)", (n, body))
        ours.append(middle - begun)
        plain.append(time.perf_counter() - middle)
    project.close()
    bare.close()
    ours_s, plain_s = statistics.median(ours), statistics.median(plain)
    return Measured("append one event", ours_s, plain_s, "within 2 x", ours_s <= 2 * plain_s)


def late_append_speed(folder: Path, readings: int = 10_000) -> Measured:
    """An event at ten thousand readings beside one at a hundred: nothing is folded from the start."""
    project = Project.create(folder / "late.balmbook", now=Calendar())
    session = project.new_session()
    project.append(session, 1, [started(), *(reading(float(n)) for n in range(99))])

    def some(first: int) -> float:
        seqs = iter(range(first, first + 100))
        return median_s(lambda: project.append(session, n := next(seqs), [reading(float(n))]), 100)

    early = some(101)
    project.append(session, 201, [reading(float(n)) for n in range(201, readings + 1)])
    late = some(readings + 1)
    project.close()
    return Measured(
        "append at 10,000 readings", late, early, "no more than 1.5 x one at 100", late <= 1.5 * early
    )


def make_large(path: Path, sessions: int, events: int) -> None:
    """Sessions with true chains, written by the journal's own parts but in one go."""
    project = Project.create(path, now=Calendar())
    summary = meaning.to_json(meaning.summarise(whole_batch()))
    first = started().model_copy(update={"plan": {"batch_g": 60.0}})
    bodies: list[tuple[AnyEvent, str]] = [(first, journal.to_body(first, words.Taken()))]
    bodies += [
        (event := reading(float(n), 60.0 + n % 30), event.model_dump_json()) for n in range(events - 1)
    ]
    with project.writing() as connection:
        for number in range(1, sessions + 1):
            connection.execute(
                "INSERT INTO sessions VALUES (?, ?, 'Wind over Thyme', 1, 0, ?)",
                (number, first.wall.isoformat(), f"T-{number}"),
            )
            before = journal.first_link(project.id)
            rows = []
            for seq, (each, body) in enumerate(bodies, start=1):
                before = journal.link(before, number, seq, body)
                rows.append((number, seq, each.at_s, each.wall.isoformat(), each.kind, body, before))
            connection.executemany("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
            connection.execute(
                "INSERT INTO summaries VALUES (?, ?, ?, 'finished', ?)", (number, len(rows), before, summary)
            )
    project.close()


GROWTH = """
import re, sys
from pathlib import Path
from workbench.store.project import Project

def held_mb():
    return int(re.search(r"VmRSS:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024

before = held_mb()
with Project.open(sys.argv[1]) as project:
    listed = project.sessions()
    print(held_mb() - before)
"""


def growth_mb(path: Path) -> float | None:
    """What opening and listing costs a fresh process, MB; None where the system does not tell."""
    if not sys.platform.startswith("linux"):
        return None
    done = subprocess.run(
        [sys.executable, "-c", GROWTH, str(path)], capture_output=True, text=True, check=True
    )
    return float(done.stdout)


def large_speed(path: Path, sessions: int, events: int) -> list[Measured]:
    """The list, and one session."""

    def open_and_list() -> None:
        with Project.open(path) as project:
            if len(project.sessions()) != sessions:
                raise AssertionError("not all sessions are in the list")

    def plain_list() -> None:
        with closing(sqlite3.connect(path)) as file:
            file.execute(
                "SELECT * FROM sessions s JOIN summaries m ON m.session = s.number ORDER BY number DESC"
            ).fetchall()

    def plain_session() -> None:
        with closing(sqlite3.connect(path)) as file:
            file.execute("SELECT * FROM events WHERE session = ? ORDER BY seq", (sessions // 2,)).fetchall()

    listed = median_s(open_and_list, 5, time.process_time)
    with Project.open(path) as project:
        one = median_s(lambda: project.events(f"s{sessions // 2}"), 5, time.process_time)
    return [
        Measured(
            f"open and list {sessions:,}",
            listed,
            median_s(plain_list, 5, time.process_time),
            "within 0.5 s",
            listed <= 0.5,
        ),
        Measured(
            f"read one of {events:,} events",
            one,
            median_s(plain_session, 5, time.process_time),
            "within 0.2 s",
            one <= 0.2,
        ),
    ]


def main(asked: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.store_speed", description=__doc__)
    parser.add_argument("--small", action="store_true", help="300 sessions of 300 events")
    parser.add_argument(
        "--folder", type=Path, help="where to write (about 800 MB), a temporary folder if left out"
    )
    options = parser.parse_args(asked)
    sessions, events = (300, 300) if options.small else (2_000, 1_000)
    with tempfile.TemporaryDirectory(dir=options.folder) as scratch:
        folder = Path(scratch)
        measured = [append_speed(folder), late_append_speed(folder, 2_000 if options.small else 10_000)]
        for each in measured:
            print(each, flush=True)
        path = folder / "large.balmbook"
        make_large(path, sessions, events)
        large = large_speed(path, sessions, events)
        for each in large:
            print(each)
        few = folder / "few.balmbook"
        make_large(few, sessions, 5)
        print(
            f"memory for opening and listing {sessions:,} sessions, MB: {growth_mb(path)} ({path.stat().st_size:,} bytes)"
        )
        print(f"the same with five events in each: {growth_mb(few)} ({few.stat().st_size:,} bytes)")
    return 0 if all(each.met for each in (*measured, *large)) else 1


if __name__ == "__main__":
    sys.exit(main())
