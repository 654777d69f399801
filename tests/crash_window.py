"""The crash loop on the real program: `python -m tests.crash --program --rounds N`.

Each round starts the window on the project (see crash_program.py), lets it work
for a while that nobody chose and kills it with SIGKILL.  Then the record must
hold everything the screen had shown, and the next start must offer to go on at
the step where the record ends, on hold where the jug was hot.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from tests.crash_program import what
from workbench.core.batch.session import EMPTY, fold
from workbench.core.batch.state import Phase, SessionState
from workbench.store import files
from workbench.store.check import check_project
from workbench.store.project import Project
from workbench.store.resources import load_starter_shelf
from workbench.testing import BEGIN

MOST_LINES = 90  # of one life; a whole batch shows some sixty


@dataclass(slots=True)
class WindowTally:
    rounds: int = 0
    shown: int = 0
    lost: int = 0
    strange: int = 0  # the record says other than the screen did
    taken_up: int = 0
    hot: int = 0  # of those, came back on hold because the jug was hot
    badly_taken_up: int = 0
    unsound: int = 0
    journals_left: int = 0
    stuck: int = 0

    @property
    def good(self) -> bool:
        return self.lost == self.strange == self.badly_taken_up == self.unsound == 0

    def __str__(self) -> str:
        return (
            f"{self.rounds} rounds of the real program, {self.shown} changes shown: {self.lost} lost, "
            f"{self.strange} strange; {self.taken_up} times taken up again ({self.hot} hot, on hold), "
            f"{self.badly_taken_up} of them badly; {self.unsound} files unsound "
            f"({self.journals_left} writes were cut off and undone, {self.stuck} batches ended by the script)"
        )


def run_program(rounds: int, seed: int, folder: Path, most_lines: int = MOST_LINES) -> WindowTally:
    path = folder / "crash.balmbook"
    with Project.create(path, now=lambda: BEGIN) as project:
        project.save_shelf(load_starter_shelf())
    chance, tally, wall = random.Random(seed), WindowTally(), BEGIN
    shown: dict[str, set[str]] = {}
    for _ in range(rounds):
        before = standing(path)
        lines = one_life(path, wall, chance, most_lines)
        tally.rounds += 1
        tally.journals_left += files.journal_of(path).exists()
        judge_resume(before, lines, tally)
        for line in lines:
            kind, _, rest = line.partition(" ")
            session, _, said = rest.partition(" ")
            if kind == "shown":
                shown.setdefault(session, set()).add(said)
            tally.stuck += kind == "stuck"
        wall = examine(path, shown, tally) + timedelta(minutes=chance.uniform(1, 20))
    tally.shown = sum(len(said) for said in shown.values())
    return tally


def one_life(path: Path, wall: datetime, chance: random.Random, most_lines: int) -> list[str]:
    """What the program said from its start to its end, which came at a moment nobody chose."""
    home = {name: str(path.parent) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME")}
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.crash_program", str(path), wall.isoformat()],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, **home},
    )  # fmt: skip
    assert child.stdout is not None
    lines: list[str] = []
    wanted = chance.randrange(1, most_lines)
    try:
        while len(lines) < wanted and (line := child.stdout.readline()):
            lines.append(line.strip())
        time.sleep(chance.uniform(0.0, 0.03))
    finally:
        child.kill()
        rest, complaints = child.communicate(timeout=60)
    lines += rest.splitlines()
    if child.returncode != -signal.SIGKILL:
        raise RuntimeError(f"the program ended by itself: {lines[-3:]} {complaints[-2000:]}")
    return lines


def standing(path: Path) -> tuple[str, SessionState] | None:
    """The batch that the next start must offer, as the record has it."""
    with Project.open(path) as project:
        session = project.open_session()
        return None if session is None else (session, fold(project.events(session)))


def judge_resume(before: tuple[str, SessionState] | None, lines: list[str], tally: WindowTally) -> None:
    offers = [line for line in lines if line.startswith("resume ")]
    if before is None:
        tally.badly_taken_up += bool(offers)
        return
    session, state = before
    tally.taken_up += 1
    if offers != [f"resume {session} {what(state)}"]:
        tally.badly_taken_up += 1
    held = next((line.split()[-1] for line in lines if line.startswith("held ")), None)
    if held is None:
        return  # killed before it had gone on
    tally.hot += state.hot
    on_hold = held in (Phase.HOLDING.name, Phase.HELD.name)
    tally.badly_taken_up += on_hold is not (state.hot or state.hold is not None)


def examine(path: Path, shown: dict[str, set[str]], tally: WindowTally) -> datetime:
    """Compare the record with the screen; the newest wall time in it."""
    tally.unsound += not check_project(path).sound
    newest, found = BEGIN, dict[str, set[str]]()
    with Project.open(path) as project:
        tally.unsound += project.read_only
        for entry in project.sessions():
            state, said = EMPTY, found.setdefault(entry.id, set())
            for event in project.events(entry.id):
                state = fold((event,), state)
                said.add(what(state))
                newest = max(newest, event.wall)
    for session, said in shown.items():
        there = {one.partition("|")[0] for one in found.get(session, set())}
        missing = said - found.get(session, set())
        lost = {one for one in missing if one.partition("|")[0] not in there}
        tally.lost += len(lost)
        tally.strange += len(missing - lost)
    return newest
