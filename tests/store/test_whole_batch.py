"""A batch led by the session, kept by the real store, interrupted and taken up again."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.store.builders import new_project
from workbench.core.batch import commands as ask
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.events import TakenUp
from workbench.core.batch.record import summary
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase
from workbench.store.check import check_project
from workbench.store.project import Project
from workbench.store.writer import DirectJournal
from workbench.testing import Maker, VirtualClock, sample_plan, sample_rules


def led(project: Project, clock: VirtualClock) -> Conductor:
    conductor = Conductor(project.new_session(), DirectJournal(project), clock, sample_rules())
    assert conductor.send(ask.Start(sample_plan(), maker="M")) is None
    return conductor


def test_what_the_screen_shows_is_what_the_file_holds(tmp_path: Path) -> None:
    with new_project(tmp_path / "a.balmbook") as project:
        conductor = led(project, clock := VirtualClock())
        Maker(conductor, clock).go_to_end()
        assert fold(project.events("s1")) == conductor.state
        (entry,) = project.sessions()
        assert entry.summary == summary(conductor.state)
        assert project.open_session() is None
    assert check_project(tmp_path / "a.balmbook").sound


@pytest.mark.parametrize("step", ["weigh:shea_butter", "melt:bath", "pour:1", "set"])
@pytest.mark.parametrize("reboot", [False, True])
def test_taken_up_where_it_was(tmp_path: Path, step: str, reboot: bool) -> None:
    """The process ends without a word in a step; ten minutes later the next one goes on."""
    path = tmp_path / "a.balmbook"
    clock = VirtualClock()
    with new_project(path) as project:
        conductor = led(project, clock)
        Maker(conductor, clock).go_to(step)
        before = conductor.state
    if reboot:
        clock.reboot(600.0)
    else:
        clock.advance(600.0)
    with Project.open(path) as project:
        session = project.open_session()
        assert session is not None
        state = fold(project.events(session))
        assert state == before
        conductor = Conductor(session, DirectJournal(project), clock, sample_rules(), state=state)
        assert conductor.take_up() is None
        events = project.events(session)
        (taken,) = [event for event in events if isinstance(event, TakenUp)]
        assert 600.0 <= taken.gap_s <= 605.0  # from the last entry on, a few seconds before the end
        assert taken.basis == ("wall clock" if reboot else "running clock")
        assert conductor.state.step_id == step
        assert (conductor.state.phase is not Phase.RUNNING) == before.hot  # a hot step comes back on hold
        assert fold(events) == conductor.state
    assert check_project(path).sound
