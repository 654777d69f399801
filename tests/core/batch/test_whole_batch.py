"""A whole batch without a window: by the bath and by bursts, scented and plain."""

from __future__ import annotations

import itertools
import time

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.events import event_adapter
from workbench.core.batch.session import fold
from workbench.core.batch.state import Phase, SessionState, StepMark
from workbench.core.batch.steps import StepKind
from workbench.core.recipe.model import Heat
from workbench.testing import Maker, MemoryJournal, VirtualClock, begin, sample_plan

K = StepKind
EVERY = list(itertools.product(Heat, (True, False)))


def made(heat: Heat, scented: bool = True) -> tuple[SessionState, MemoryJournal]:
    conductor, clock, journal = begin(sample_plan(heat=heat, scented=scented))
    Maker(conductor, clock).go_to_end()
    return conductor.state, journal


@pytest.mark.parametrize(("heat", "scented"), EVERY)
def test_it_ends_finished_with_every_step_done(heat: Heat, scented: bool) -> None:
    state, journal = made(heat, scented)
    assert state.phase is Phase.FINISHED
    assert {each.mark for each in state.steps} == {StepMark.DONE, StepMark.LEFT_OUT}
    assert [each.step.id for each in state.steps if each.mark is StepMark.LEFT_OUT] == ["mend"]
    assert len(state.poured) == 3
    assert state.scented is scented
    assert state.asides == ()
    again = fold(event_adapter.validate_json(event_adapter.dump_json(each)) for each in journal.events)
    assert again == state


@pytest.mark.parametrize("heat", list(Heat))
def test_fragrance_comes_after_the_spoon_the_cooling_and_the_flame(heat: Heat) -> None:
    state, _ = made(heat)
    done = [each.step.kind for each in state.steps]
    melt = K.MELT_BATH if heat is Heat.WATER_BATH else K.MELT_BURSTS
    order = [K.PREPARE, K.WEIGH, K.MIX_SCENT, melt, K.COLD_SPOON, K.COOL, K.FLAME_OUT, K.ADD_FRAGRANCE]
    order += [K.STIR, K.POUR, K.SET, K.INSPECT, K.MEND, K.REST, K.WEIGH_TINS, K.CLEAN, K.FINISH]
    assert list(dict.fromkeys(done)) == order


@pytest.mark.parametrize(("heat", "scented"), EVERY)
def test_a_normal_batch_keeps_the_alarm_budget(heat: Heat, scented: bool) -> None:
    """At most 6 an hour: EEMUA 191 and ISA-18.2, "acceptable" (as quoted at controlglobal.com)."""
    state, _ = made(heat, scented)
    raised = [each.at_s for each in state.alarm_history if each.what == "raised"]
    for start in raised:
        assert sum(start <= other < start + 3600 for other in raised) <= 6


def test_a_small_batch_melts_in_the_bath_within_the_usual_time() -> None:
    """10 to 20 min: common practice, no source.  The maker of the tests warms at 4 K a minute."""
    state, _ = made(Heat.WATER_BATH)
    melt = state.progress("melt:bath")
    assert melt is not None
    assert melt.begun_at_s is not None
    assert melt.ended_at_s is not None
    assert 600 <= melt.ended_at_s - melt.begun_at_s <= 1200


def test_every_burst_is_followed_by_a_stir_and_a_reading() -> None:
    """Bursts of about 30 s with a stir between: common practice, no source."""
    _, journal = made(Heat.MICROWAVE)
    kinds = [
        each.kind for each in journal.events if each.kind in ("burst ended", "stirred", "temperature read")
    ]
    for place, kind in enumerate(kinds):
        if kind == "burst ended":
            assert kinds[place + 1 : place + 3] == ["stirred", "temperature read"]
    assert all(each.seconds <= 30 for each in journal.events if each.kind == "burst started")


def test_changing_the_heat_at_the_melt_changes_steps_guards_and_cautions() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    before = bench.state.step
    assert "reason" in bench.refused(ask.ChangeHeat(bench.step, Heat.WATER_BATH, " ")).says
    assert "already" in bench.refused(ask.ChangeHeat(bench.step, Heat.MICROWAVE, "x")).says
    assert bench.kinds(ask.ChangeHeat(bench.step, Heat.WATER_BATH, "the plate will not turn")) == [
        "heat changed",
        "step begun",
    ]
    after = bench.state.step
    assert before is not None
    assert after is not None
    assert after.kind is K.MELT_BATH
    assert "microwave_fire" in before.cautions
    assert "microwave_fire" not in after.cautions
    assert "bath_boils_dry" in after.cautions
    assert bench.state.heat is Heat.WATER_BATH
    assert [each.mark for each in bench.state.steps if each.step.id == "melt:bursts"] == [StepMark.REPLACED]
    # and back: the step that is begun again has a name of its own
    bench.do(ask.ChangeHeat(bench.step, Heat.MICROWAVE, "no gas"))
    assert bench.step == "melt:bursts:again2"
    assert len({each.step.id for each in bench.state.steps}) == len(bench.state.steps)


def test_set_too_early_goes_back_to_the_bath_and_pours_the_rest() -> None:
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to("pour:1")
    maker.read_cautions()
    maker.read()
    maker.send(ask.Pour("pour:1", 1, 12.68, "12.68"))
    maker.send(ask.GoBackToBath("pour:1", "it drew threads"))
    assert maker.step.id == "rewarm"
    maker.jug_c = 48.0
    maker.do_step()
    again = maker.step
    assert again.kind is K.POUR
    assert again.id == "pour:1:again2"
    assert [need.key for need in again.needs] == ["reading", "tin:2", "tin:3"]
    maker.go_to_end()
    assert conductor.state.phase is Phase.FINISHED
    assert sorted(conductor.state.poured) == [1, 2, 3]


def test_a_soft_spoon_is_corrected_and_asked_again() -> None:
    bench = Bench.at("spoon")
    bench.read(58.0)
    bench.do(ask.Answer("spoon", "firmness", "soft"))
    doubt = bench.refused(ask.FinishStep("spoon"))
    assert doubt.ask_sure
    assert "soft" in doubt.says
    before = bench.state.temperatures.set_point_c or 0.0
    kinds = bench.kinds(ask.Add("spoon", "beeswax", 2.0, "2", "too soft"))
    assert kinds == ["added", "temperatures reckoned"]
    # more wax sets at a higher temperature, and the spoon must speak again
    assert (bench.state.temperatures.set_point_c or 0.0) > before
    assert bench.state.recorded("firmness") is None
    assert "firm" in bench.refused(ask.FinishStep("spoon")).says


def test_an_event_at_10000_readings_costs_no_more_than_at_100() -> None:
    """No refolding from the start: the median cost stays within a factor of two."""
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to("cool")
    spent: list[float] = []
    for _ in range(10_000):
        clock.advance(1.0)
        started = time.process_time()
        maker.send(ask.ReadTemperature("cool", 60.0, "60", True))
        spent.append(time.process_time() - started)
    early, late = sorted(spent[50:1050])[500], sorted(spent[-1000:])[500]
    assert late < 2.0 * early
    assert len(conductor.state.readings) >= 10_000


def test_the_clock_of_the_test_is_not_the_clock_of_the_batch() -> None:
    conductor, clock, _ = begin(clock=VirtualClock())
    clock.advance(3.0)
    assert conductor.now_s() == 3.0
