"""Holds, ends, notes and corrections, and a record that is read back."""

from __future__ import annotations

import math

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command
from workbench.core.batch.events import Finished, StepBegun, event_adapter
from workbench.core.batch.made import composition_made
from workbench.core.batch.needs import missing
from workbench.core.batch.session import EMPTY, decide, evolve, fold
from workbench.core.batch.state import Phase
from workbench.core.trouble import Trouble
from workbench.testing import BEGIN

WAX = "mass:beeswax"


# --- holds, ends, notes, corrections ---


def test_hold_shows_what_to_do_and_waits_for_the_maker() -> None:
    bench = Bench.at("melt:bath")
    bench.do(ask.Hold("telephone"))
    hold = bench.state.hold
    assert hold is not None
    assert hold.reason == "telephone"
    assert hold.held_at_s is None
    bench.do(ask.ConfirmSafe())
    assert bench.state.phase is Phase.HELD
    assert not bench.state.heat_on
    assert "on hold" in bench.refused(ask.FinishStep("melt:bath")).says
    assert "on hold" in bench.refused(ask.Answer("melt:bath", "clear", True)).says


def test_nothing_goes_in_on_hold() -> None:
    bench = Bench.at("add")
    bench.do(ask.Hold("cat"))
    bench.do(ask.ConfirmSafe())
    bench.read(55.0)
    assert "on hold" in bench.refused(ask.Answer("add", "in", True)).says


def test_a_batch_ends_early_with_a_reason_and_stays_ended() -> None:
    bench = Bench.at("cool")
    assert "reason" in bench.refused(ask.EndBatch(" ")).says
    bench.do(ask.EndBatch("it caught a hair", safe=False))
    assert bench.state.phase is Phase.ENDED_EARLY
    assert bench.state.ended_safe is False
    assert bench.state.current is None
    assert bench.state.step_id == "cool"
    commands: tuple[Command, ...] = (ask.GoOn(), ask.Hold("x"), ask.FinishStep("cool"), ask.LookAgain())
    for command in commands:
        assert "was ended" in bench.refused(command).says
    bench.do(ask.WriteNote("threw it away"))


def test_a_note_holds_words() -> None:
    bench = Bench.at("cool")
    assert "nothing to note" in bench.refused(ask.WriteNote("  ")).says


def test_a_correction_keeps_the_original_and_needs_a_reason() -> None:
    bench = Bench.at("weigh:shea_butter")
    entry = bench.state.entries[-1]
    assert entry.kind == "mass weighed"
    assert "reason" in bench.refused(ask.Correct(entry.seq, 8.0, "8", "")).says
    assert "needs a number" in bench.refused(ask.Correct(entry.seq, "eight", "eight", "x")).says
    assert "needs a number" in bench.refused(ask.Correct(entry.seq, math.nan, "nan", "x")).says
    bench.do(ask.Correct(entry.seq, 8.0, "8", "misread"))
    bench.do(ask.Correct(entry.seq, 8.1, "8.1", "misread again"))
    assert bench.state.entry(entry.seq) == entry
    chain = bench.state.corrections[entry.seq]
    assert [each.value for each in chain] == [8.0, 8.1]
    assert chain[0].by == "M"
    assert composition_made(bench.state).as_dict() == {"beeswax": 8.1}
    progress = bench.state.progress("weigh:beeswax")
    assert progress is not None
    assert progress.recorded[WAX].corrected


def test_only_values_can_be_corrected() -> None:
    bench = Bench.at("weigh:beeswax")
    tick = next(entry for entry in bench.state.entries if entry.value is True)
    for seq in (tick.seq, 1, 9999):
        assert "no value" in bench.refused(ask.Correct(seq, 1.0, "1", "x")).says
    bench.do(ask.WriteNote("ugly"))
    note = bench.state.entries[-1]
    assert "needs words" in bench.refused(ask.Correct(note.seq, 3.0, "3", "x")).says
    bench.do(ask.Correct(note.seq, "pretty", "pretty", "changed my mind"))


def test_a_choice_is_corrected_only_to_another_choice() -> None:
    bench = Bench.at("melt:bath")
    bench.do(ask.Answer("melt:bath", "bath", "high enough"))
    entry = bench.state.entries[-1]
    assert "Choose one of" in bench.refused(ask.Correct(entry.seq, "boiled away", "", "x")).says
    assert "hold asked" in bench.kinds(ask.Correct(entry.seq, "boiled dry", "", "looked again"))


def test_a_corrected_reading_is_judged_anew() -> None:
    bench = Bench.at("melt:bath")
    bench.read(60.0)
    reading = bench.state.readings[-1]
    assert "between" in bench.refused(ask.Correct(reading.seq, 900.0, "900", "x")).says
    kinds = bench.kinds(ask.Correct(reading.seq, 96.0, "96", "read it upside down"))
    assert kinds == ["corrected", "hold asked", "alarm raised"]
    back = bench.kinds(ask.Correct(reading.seq, 60.0, "60", "no, it was right"))
    assert back == ["corrected", "alarm returned"]


# --- time and records ---


def test_time_never_runs_backwards_in_a_record() -> None:
    bench = Bench.at("cool")
    before = bench.state.at_s
    bench.now_s = before - 500.0
    event = bench.do(ask.WriteNote("late"))[0]
    assert event.at_s == before


def test_a_record_with_a_gap_or_an_illegal_entry_is_trouble() -> None:
    state = Bench.at("cool").state
    times = {"at_s": state.at_s, "wall": BEGIN}
    with pytest.raises(Trouble, match="gap"):
        evolve(state, state.seq + 2, StepBegun(**times, step="stir"))
    with pytest.raises(Trouble, match="older"):
        evolve(state, state.seq + 1, StepBegun(at_s=0.0, wall=BEGIN, step="stir"))
    with pytest.raises(Trouble, match="cannot begin"):
        evolve(state, state.seq + 1, StepBegun(**times, step="stir"))
    with pytest.raises(Trouble, match="not sound"):
        fold([Finished(at_s=0.0, wall=BEGIN)])
    for data, match in (
        ({"kind": "step done", "step": "stir"}, "not in hand"),
        ({"kind": "corrected", "step": "cool", "of": 1, "value": 1, "typed": "", "reason": "x"}, "no value"),
        (
            {"kind": "leftover kept", "step": "cool", "lot": "x", "mass_g": 1, "material": {}},
            "cannot be read",
        ),
        ({"kind": "temperatures reckoned", "step": "cool", "temperatures": {"x": 1}}, "cannot be read"),
    ):
        event = event_adapter.validate_python({**times, **data})
        with pytest.raises(Trouble, match=match):
            evolve(state, state.seq + 1, event)
    start = {
        "kind": "session started",
        "at_s": 0,
        "wall": BEGIN,
        "plan": {},
        "recipe_name": "x",
        "recipe_revision": 1,
    }
    with pytest.raises(Trouble, match="cannot be read"):
        fold([event_adapter.validate_python(start)])


def test_before_the_start_there_is_nothing_to_do() -> None:
    assert EMPTY.current is None
    assert EMPTY.step_id == ""
    assert EMPTY.need("x") is None
    assert EMPTY.age_s(5.0) is None
    assert EMPTY.step_elapsed_s(5.0) == 0.0
    assert missing(EMPTY) == ()
    bench = Bench(EMPTY)
    assert "No batch" in bench.refused(ask.Hold("x")).says
    assert decide(EMPTY, ask.LookAgain(), bench.moment) == bench.refused(ask.LookAgain())
