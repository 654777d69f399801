"""The crash loop: a process that records is killed at a random moment, again and again.

`python -m tests.crash --rounds 500` writes to the real store in a child process,
sends it SIGKILL, opens the project and checks: the file is sound, every event
whose writing was acknowledged is there, in order, once, and nothing that was
never written.  (A kill does not test the syncs: the system still has the
pages.  That is tests/store/test_power_cut.py.)  With `--program` it is the real
program that is killed (see crash_window.py).
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from tests.store.builders import Calendar, at, reading, recipe, started
from workbench.core.batch.events import AnyEvent, Finished, Noted
from workbench.store import files
from workbench.store.check import chain_faults
from workbench.store.project import Project

LENGTH = 60  # events of one session


@dataclass(slots=True)
class Tally:
    rounds: int = 0
    acknowledged: int = 0
    lost: int = 0
    doubled_or_strange: int = 0
    unsound: int = 0
    journals_left: int = 0
    sessions: int = 0

    @property
    def good(self) -> bool:
        return self.lost == self.doubled_or_strange == self.unsound == 0

    def __str__(self) -> str:
        return (
            f"{self.rounds} rounds, {self.acknowledged} events acknowledged in {self.sessions} sessions: "
            f"{self.lost} lost, {self.doubled_or_strange} doubled or strange, {self.unsound} files unsound "
            f"({self.journals_left} writes were cut off and undone)"
        )


def event(seq: int) -> AnyEvent:
    """The event at one place of any session; the same whenever it is asked for."""
    if seq == 1:
        return started()
    if seq == LENGTH:
        return Finished(**at(float(LENGTH)))
    if seq % 7 == 0:
        return Noted(**at(float(seq)), step="melt", words=f"note {seq} " + "so " * (seq % 40))
    return reading(float(seq), 60.0 + seq / 4)


def record(path: Path) -> None:
    """The child: go on where the record ends, and say each number once it is acknowledged."""
    with Project.open(path) as project:
        if project.read_only:
            os.write(1, f"locked: {project.read_only_because}\n".encode())
            return
        session = project.open_session() or project.new_session()
        seq = len(project.events(session)) if project.open_session() else 0
        os.write(1, b"ready\n")
        while True:
            if seq == LENGTH:
                session, seq = project.new_session(), 0
            several = 1 + seq % 3
            events = [event(n) for n in range(seq + 1, min(seq + several, LENGTH) + 1)]
            seq = project.append(session, seq + 1, events)
            os.write(1, f"{session} {seq}\n".encode())
            if seq % 10 == 0:
                project.save_recipe(recipe(load_percent=float(1 + seq % 20)))


def run(rounds: int, seed: int, folder: Path) -> Tally:
    path = folder / "crash.balmbook"
    Project.create(path, now=Calendar()).close()
    chance, tally = random.Random(seed), Tally()
    acknowledged: dict[str, int] = {}
    for _ in range(rounds):
        one_round(path, chance, acknowledged)
        tally.rounds += 1
        tally.journals_left += files.journal_of(path).exists()
        examine(path, acknowledged, tally)
    tally.acknowledged = sum(acknowledged.values())
    tally.sessions = len(acknowledged)
    return tally


def one_round(path: Path, chance: random.Random, acknowledged: dict[str, int]) -> None:
    """Let the child write for a moment that nobody chose, and kill it."""
    child, said = fork(path)
    with said:
        first = said.readline().strip()
        assert first == b"ready", first
        lines = [said.readline() for _ in range(chance.randrange(12))]
        time.sleep(chance.uniform(0.0, 0.01))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for line in (b"".join(lines) + said.read()).decode().splitlines():
            session, _, seq = line.partition(" ")
            acknowledged[session] = int(seq)


def fork(path: Path) -> tuple[int, IO[bytes]]:
    """A child that records, and what it says.  No project is open here at that moment."""
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read_end)
        os.dup2(write_end, 1)
        try:
            record(path)
        finally:
            os._exit(1)
    os.close(write_end)
    return child, os.fdopen(read_end, "rb")


def examine(path: Path, acknowledged: dict[str, int], tally: Tally) -> None:
    with Project.open(path) as project:
        if project.read_only or chain_faults(project):
            tally.unsound += 1
        for entry in project.sessions():
            stored = project.events(entry.id)
            expected = [event(n) for n in range(1, len(stored) + 1)]
            if list(stored) != expected:
                tally.doubled_or_strange += 1
            tally.lost += max(0, acknowledged.get(entry.id, 0) - len(stored))
            if (len(stored) == LENGTH) != entry.ended:
                tally.doubled_or_strange += 1
        tally.lost += sum(
            count
            for session, count in acknowledged.items()
            if session not in {e.id for e in project.sessions()}
        )


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.crash", description=__doc__)
    parser.add_argument("--rounds", type=int, default=500)
    parser.add_argument("--seed", type=int, default=20260314)
    parser.add_argument("--program", action="store_true", help="kill the real program with its window")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if asked.program:
            from tests.crash_window import run_program

            whole = run_program(asked.rounds, asked.seed, Path(folder))
            print(whole)
            return 0 if whole.good else 1
        tally = run(asked.rounds, asked.seed, Path(folder))
    print(tally)
    return 0 if tally.good else 1


if __name__ == "__main__":
    sys.exit(main())
