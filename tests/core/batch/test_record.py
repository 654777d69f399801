"""The batch as made: what went in and came out, what left the plan, and corrections struck through."""

from __future__ import annotations

import pytest

from tests.core.batch.bench import Bench, started
from workbench.core.batch import commands as ask
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.record import record, summary
from workbench.core.batch.session import EMPTY, fold
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat
from workbench.testing import Maker, begin, sample_plan, sample_rules


def finished(heat: Heat = Heat.WATER_BATH) -> SessionState:
    conductor, clock, _ = begin(sample_plan(heat=heat))
    Maker(conductor, clock).go_to_end()
    return conductor.state


def test_a_smooth_batch_reads_as_planned() -> None:
    state = finished()
    made, plan = record(state), sample_plan()
    assert made.phase is Phase.FINISHED
    assert [line.material for line in made.lines] == [line.material for line in plan.lines]
    for line, planned in zip(made.lines, plan.lines, strict=True):
        assert line.made_g == pytest.approx(planned.weigh_g)
        assert line.off_percent == pytest.approx(0.0)
        assert line.share_percent == pytest.approx(planned.share_percent, abs=0.05)
        assert len(line.entries) == 1
        assert line.entries[0].originals == ()
    assert sum(line.share_percent or 0.0 for line in made.lines) == pytest.approx(100.0)
    assert made.deviations == ()
    assert not made.over_skin_limit


def test_masses_add_up() -> None:
    """In = tins + leftover + loss, to the last bit."""
    made = record(finished()).yields
    assert made.made_g == pytest.approx(made.in_tins_g + made.leftover_g + made.loss_g)
    assert made.percent == pytest.approx(100 * made.in_tins_g / made.made_g)
    assert made.weighed_tins_g == pytest.approx(sum(tin.fill_g for tin in sample_plan().tins))
    assert made.of_expected_percent == pytest.approx(100.0)
    assert made.in_tins_g == made.weighed_tins_g


def test_until_the_tins_are_weighed_what_was_poured_counts() -> None:
    state = Bench.at("set").state
    made = record(state).yields
    assert made.weighed_tins_g is None
    assert made.in_tins_g == pytest.approx(sum(tin.mass_g for tin in state.poured.values()))


def test_times_of_the_steps_fill_the_whole() -> None:
    state = finished()
    made = record(state)
    assert sum(step.took_s or 0.0 for step in made.steps) == pytest.approx(state.at_s)
    assert all(step.begun_wall is not None for step in made.steps)


def test_everything_that_left_the_plan_is_listed_in_order() -> None:
    bench = Bench.at("weigh:beeswax")
    bench.do(ask.Weigh(bench.step, "mass:beeswax", 8.5, "8.5", lot="B7"))
    bench.do(ask.FinishStep(bench.step, sure=True))
    bench.do(ask.Hold("door bell"))
    bench.do(ask.ConfirmSafe())
    bench.do(ask.GoOn())
    bench.now_s += 1.0
    bench.do(ask.NoticeClock("wall clock changed", -3600.0))
    bench.now_s += 1.0
    bench.do(ask.SetAside(bench.step, Guard.SKIN_LIMITS, "not for skin"))
    bench.do(ask.EndBatch("no shea left"))
    made = record(bench.state)
    assert [each.kind for each in made.deviations] == ["weight", "hold", "clock", "guard", "ended"]
    assert "8.50 g where 8.07 g was planned (5.3 % more)." in made.deviations[0].says
    assert made.deviations[2].says == "The clock of the computer was set back by 1 h."
    assert made.lines[0].lots == ("B7",)
    assert made.over_skin_limit
    assert made.ended_because == "no shea left"
    assert made.lines[1].made_g is None
    assert made.lines[1].off_percent is None


def test_additions_and_other_ways_are_deviations_too() -> None:
    bench = Bench.at("spoon")
    bench.do(ask.Add("spoon", "beeswax", 1.5, "1.5", "soft"))
    assert [each.kind for each in record(bench.state).deviations] == ["addition"]
    line = next(each for each in record(bench.state).lines if each.material == "beeswax")
    assert line.made_g == pytest.approx(8.07 + 1.5)
    assert len(line.entries) == 2
    bursts = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bursts.do(ask.ChangeHeat(bursts.step, Heat.WATER_BATH, "no power"))
    assert "replaced" in [each.kind for each in record(bursts.state).deviations]


def test_a_correction_strikes_the_original_through_and_keeps_it() -> None:
    bench = Bench.at("cool")
    bench.read(60.0)
    reading = bench.state.readings[-1]
    bench.do(ask.Correct(reading.seq, 61.0, "61", "misread", "A"))
    bench.do(ask.Correct(reading.seq, 62.0, "62", "misread again"))
    made = record(bench.state)
    original, shown = made.readings[-1]
    assert original.raw_c == 60.0
    assert shown.value == 62.0
    assert shown.originals == (60.0, 61.0)
    assert [each.by for each in shown.corrections] == ["A", "M"]
    assert [each.seq for each in made.corrections] == sorted(each.seq for each in made.corrections)
    assert made.highest_c == 62.0


def test_notes_and_the_sink_hole_are_in_the_record() -> None:
    bench = Bench.at("inspect")
    bench.do(ask.Answer("inspect", "depth", 2.5, "2.5"))
    bench.do(ask.WriteNote("grainy at the rim"))
    made = record(bench.state)
    assert made.sink_depth_mm == 2.5
    assert made.notes[-1][0].value == "grainy at the rim"


def test_the_summary_is_the_record_in_small() -> None:
    state = finished()
    row, made = summary(state), record(state)
    assert row.recipe_name == "Evening ember"
    assert row.phase == "finished"
    assert row.took_s == state.at_s
    assert row.made_g == made.yields.made_g
    assert row.yield_percent == made.yields.percent
    assert row.tins == 3
    assert row.readings == len(made.readings)
    assert row.deviations == 0
    assert row.highest_c == made.highest_c
    assert not row.rehearsal


def test_a_batch_that_has_barely_begun_can_be_read_too() -> None:
    made = record(started(sample_plan()).state)
    assert made.yields.made_g == 0
    assert made.yields.percent is None
    assert made.highest_c is None
    assert made.sink_depth_mm is None
    assert record(EMPTY).lines == ()
    assert record(EMPTY).yields.of_expected_percent is None


def test_a_program_that_was_away_is_told_in_words_of_the_maker() -> None:
    conductor, clock, journal = begin()
    Maker(conductor, clock).go_to("weigh:jojoba")
    clock.advance(90.0)
    again = Conductor("batch-1", journal, clock, sample_rules(), state=fold(journal.events))
    again.take_up()
    told = [each.says for each in record(again.state).deviations if each.kind == "clock"]
    assert len(told) == 1
    assert told[0].startswith("The program was away for 1 min 3")
