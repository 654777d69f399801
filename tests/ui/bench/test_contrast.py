"""Every kind of step as it is painted, from near and in the bench view, in all three palettes.

Numbers: WCAG 2.2, success criterion 1.4.3 (text 4.5:1, large text 3:1).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication

from tests.ui.bench.conftest import Bench
from tests.ui.contrast import faint
from workbench.core.batch import commands as ask
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui import theme
from workbench.ui.theme import Scheme

STEPS = ("prepare", "weigh:jojoba", "mix", "melt:bath", "cool", "add", "stir", "pour:1", "set", "weigh_tins")


def looked_at(bench: Bench, at: str) -> list[str]:
    """What is too pale, from near and on the first page of the bench view."""
    bench.view.show_state()
    bench.settle()
    found = [f"{at}: {each}" for each in faint(bench.view)]
    bench.view.show_far(True)
    bench.settle()
    found += [f"{at}, bench view: {each}" for each in faint(bench.view)]
    bench.view.show_far(False)
    bench.settle()
    return found


@pytest.mark.parametrize("scheme", [Scheme.LIGHT, Scheme.DARK, Scheme.HIGH_CONTRAST])
def test_words_of_every_step_stand_off_their_ground(
    make_bench: Callable[..., Bench], qapp: QApplication, scheme: Scheme
) -> None:
    theme.apply(qapp, theme.Theme(scheme, 100))
    bench = make_bench(size=(1280, 736))
    faults: list[str] = []
    for step in STEPS:
        bench.go_to(step)
        faults += looked_at(bench, f"{step} in hand")
        if bench.state.step is not None and bench.state.step.hot:
            bench.maker.read_cautions()
            bench.maker.wait(20.0)
            bench.maker.read()
            faults += looked_at(bench, step)
    bench.go_to_end()
    faults += [f"finished: {each}" for each in faint(bench.view)]
    assert not faults, "\n".join(dict.fromkeys(faults))


@pytest.mark.parametrize("scheme", [Scheme.LIGHT, Scheme.DARK, Scheme.HIGH_CONTRAST])
def test_words_of_alarms_holds_and_bursts_stand_off_their_ground(
    make_bench: Callable[..., Bench], qapp: QApplication, scheme: Scheme
) -> None:
    theme.apply(qapp, theme.Theme(scheme, 100))
    bench = make_bench(sample_plan(heat=Heat.MICROWAVE), size=(1280, 736))
    bench.work_on("melt:bursts")
    seconds = bench.runner.rules.next_burst_s(bench.state)
    faults = looked_at(bench, "before a burst")
    bench.runner.send(ask.StartBurst("melt:bursts", float(round(seconds))))
    faults += looked_at(bench, "a burst")
    bench.wait(seconds + 3.0)
    faults += looked_at(bench, "a burst that is over")
    bench.runner.send(ask.EndBurst("melt:bursts"))
    bench.runner.send(ask.Stir("melt:bursts"))
    bench.runner.send(ask.ReadTemperature("melt:bursts", 97.0, "97", True, sure=True))
    faults += looked_at(bench, "a danger")
    bench.runner.send(ask.Acknowledge(bench.view.alarms.shown[0].key))
    faults += looked_at(bench, "a danger that was seen")
    bench.runner.send(ask.ConfirmSafe())
    bench.fill_disk()
    bench.runner.send(ask.ReadTemperature("melt:bursts", 70.0, "70", True, sure=True))
    faults += looked_at(bench, "held, and nothing can be written")
    assert not faults, "\n".join(dict.fromkeys(faults))
