"""The simulated kitchen of a practice run keeps time with the session."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from workbench.core.batch import commands as ask
from workbench.core.batch.state import BurstPhase
from workbench.core.recipe.model import Heat
from workbench.testing import Maker, MemoryJournal, VirtualClock, sample_catalogue, sample_plan, sample_rules
from workbench.ui.bench.practice import Practice
from workbench.ui.bench.runner import SessionRunner

BURST_S = 5.0


def wait(runner: SessionRunner, clock: VirtualClock, seconds: float) -> None:
    for _ in range(round(seconds / 0.5)):
        clock.advance(0.5)
        runner.look()


@pytest.mark.parametrize("pause_s", [1.0, 60.0])
def test_a_burst_heats_also_right_after_a_stirred_reading(qtbot: QtBot, pause_s: float) -> None:
    clock, journal = VirtualClock(), MemoryJournal()
    catalogue, plan = sample_catalogue(), sample_plan(heat=Heat.MICROWAVE, tins=10)
    runner = SessionRunner("practice", journal, clock, sample_rules(), catalogue.cautions)
    assert runner.send(ask.Start(plan, maker="M", rehearsal=True, seed=7)) is None
    practice = Practice(runner, plan, catalogue, 7, runner)
    maker = Maker(runner.conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    wait(runner, clock, 2.0)
    kitchen = practice._feed.kitchen
    maker.read(practice.read(True))  # the kitchen has stirred for 20 s and is ahead now
    assert kitchen.now_s > runner.now_s() + 10
    wait(runner, clock, pause_s)
    before_c = kitchen.mean_c
    maker.send(ask.StartBurst("melt:bursts", BURST_S))
    wait(runner, clock, BURST_S)
    assert runner.state.burst.phase is BurstPhase.RUNNING
    maker.send(ask.EndBurst("melt:bursts"))
    wait(runner, clock, 4.0)
    warmed_k = kitchen.mean_c - before_c
    # the oven of this day gives its heat after two seconds of filament, whenever the burst began
    c = kitchen.conditions
    most_k = c.oven_w * (BURST_S - 2.0 + 0.5) / (kitchen.composition.mass_g * 2.0)
    assert 0.3 < warmed_k < most_k
    runner.deleteLater()
