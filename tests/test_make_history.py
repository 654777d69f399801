"""The generated history: the same for everybody, sound, marked, and clones with true chains."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from tests import make_history as history
from workbench.core.recipe.amounts import work_out
from workbench.store import interchange
from workbench.store.check import check_project
from workbench.store.project import Project


def test_days_spread_over_two_years_whatever_the_season() -> None:
    days = [history.day_of(number, 200) for number in range(1, 201)]
    assert days == sorted(days)
    assert timedelta(days=720) < days[-1] - days[0] < timedelta(days=735)
    assert {day.utcoffset() for day in days} == {timedelta(hours=1), timedelta(hours=2)}
    assert all(8 <= day.hour < 19 for day in days)


def test_revisions_change_something() -> None:
    for which in range(len(history.FAMILIES)):
        made = [history.family(which, revision) for revision in (1, 2, 3, 4)]
        assert len({recipe.name for recipe in made}) == 1
        assert all(one != other for one, other in pairwise(made))
        catalogue, _steps = history.kitchen()
        for recipe in made:
            work_out(recipe, catalogue)  # a base in per cent still adds up to 100


@pytest.mark.slow
def test_a_short_history_is_sound_and_can_be_multiplied(tmp_path: Path) -> None:
    path = tmp_path / "history.balmbook"
    entries = history.make_history(path, 2, processes=1)
    again = history.one(2, 2)
    with Project.open(path) as project:
        assert [entry.rehearsal for entry in project.sessions()] == [True, True]
        assert [event.model_dump_json().encode() for event in project.events("s2")] == list(again.events)
        text = path.with_suffix(".json")
        interchange.export_project(project, text)
    interchange.import_project(text, tmp_path / "again.balmbook", history.FIRST_DAY)
    history.multiplied(path, 7)
    report = check_project(path)
    assert report.sound, report.faults
    assert (report.sessions, report.entries > 3 * entries) == (7, True)
    with Project.open(path) as project:
        begun = {entry.id: entry.started for entry in project.sessions()}
        before = {entry.id: entry.summary for entry in project.sessions()}
        assert begun["s3"] - begun["s1"] == timedelta(days=1)
        assert begun["s7"] - begun["s1"] == timedelta(days=3)
        project.rebuild_summaries()
        assert {entry.id: entry.summary for entry in project.sessions()} == before
