"""The one table: what it allows, what it refuses, and that the drawing of it is current."""

from __future__ import annotations

import typing

import pytest

from tests import draw_transitions
from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.state import AlarmStatus, BurstPhase, Phase, StepMark
from workbench.core.batch.steps import StepKind
from workbench.core.batch.transitions import (
    ALARMS,
    BURSTS,
    COMMANDS,
    SESSION,
    STEP_COMMANDS,
    STEPS,
    STIRRED_READING,
    alarm_after,
    burst_after,
    by_phase,
    by_step,
    diagrams,
    session_after,
    step_after,
)
from workbench.core.trouble import Trouble

EVERY_COMMAND: tuple[type[Command], ...] = typing.get_args(Command)
EVENT_UNION = typing.get_args(AnyEvent)[0]
EVERY_KIND = tuple(event.model_fields["kind"].default for event in typing.get_args(EVENT_UNION))
ABOUT_STEPS = ("step begun", "step done", "step left out", "heat changed", "back to the bath")


@pytest.mark.parametrize("phase", list(Phase))
@pytest.mark.parametrize("command", EVERY_COMMAND, ids=lambda each: each.__name__)
def test_every_pair_of_phase_and_command_is_taken_or_refused_in_words(
    phase: Phase, command: type[Command]
) -> None:
    refused = by_phase(phase, command)
    if (phase, command) in COMMANDS:
        assert refused is None
        assert COMMANDS[phase, command]
    else:
        assert isinstance(refused, Refused)
        assert refused.says.endswith(".")


def test_every_command_is_taken_somewhere_and_every_event_can_happen() -> None:
    assert {command for _, command in COMMANDS} == set(EVERY_COMMAND)
    assert {kind for _, kind in SESSION} == set(EVERY_KIND)
    assert set(STEP_COMMANDS) <= set(EVERY_COMMAND)


@pytest.mark.parametrize("phase", list(Phase))
@pytest.mark.parametrize("kind", EVERY_KIND)
def test_every_pair_of_phase_and_event_leads_somewhere_or_is_trouble(phase: Phase, kind: str) -> None:
    if (phase, kind) in SESSION:
        assert session_after(phase, kind) is SESSION[phase, kind]
    else:
        with pytest.raises(Trouble, match="not sound"):
            session_after(phase, kind)


@pytest.mark.parametrize("over", [Phase.FINISHED, Phase.ENDED_EARLY])
def test_there_is_no_way_out_of_the_end(over: Phase) -> None:
    assert {after for (phase, _), after in SESSION.items() if phase is over} == {over}
    assert {after for (phase, _), afters in COMMANDS.items() if phase is over for after in afters} == {over}


def test_from_holding_one_comes_to_running_only_over_held() -> None:
    """ISA-88: holding acts, held waits; a restart begins from held."""
    assert {after for (phase, _), after in SESSION.items() if phase is Phase.HOLDING} == {
        Phase.HOLDING,
        Phase.HELD,
        Phase.ENDED_EARLY,
    }
    assert (Phase.HOLDING, ask.GoOn) not in COMMANDS
    assert (Phase.RUNNING, ask.ConfirmSafe) not in COMMANDS


def test_every_phase_can_be_reached() -> None:
    reached, new = {Phase.NOT_STARTED}, {Phase.NOT_STARTED}
    while new:
        new = {after for (phase, _), after in SESSION.items() if phase in new} - reached
        reached |= new
    assert reached == set(Phase)


def test_a_step_goes_one_way() -> None:
    for mark in StepMark:
        for kind in ABOUT_STEPS:
            if (mark, kind) in STEPS:
                assert step_after(mark, kind) is STEPS[mark, kind]
            else:
                with pytest.raises(Trouble, match=mark.value):
                    step_after(mark, kind)
    assert {mark for mark, _ in STEPS} == {StepMark.WAITING, StepMark.CURRENT}


def test_bursts_go_round() -> None:
    """Burst, stir, reading, next: common practice, no source."""
    phase = BurstPhase.READY
    seen = [phase]
    for kind in ("burst started", "burst ended", "stirred", "temperature read"):
        phase = burst_after(phase, kind)
        seen.append(phase)
    assert seen == [*BurstPhase, BurstPhase.READY]
    assert burst_after(BurstPhase.STIR_DUE, STIRRED_READING) is BurstPhase.READY
    assert burst_after(BurstPhase.READING_DUE, STIRRED_READING) is BurstPhase.READY


def test_what_does_not_concern_the_bursts_leaves_them() -> None:
    assert burst_after(BurstPhase.STIR_DUE, "temperature read") is BurstPhase.STIR_DUE
    assert burst_after(BurstPhase.RUNNING, "noted") is BurstPhase.RUNNING
    for phase in BurstPhase:
        for kind in ("burst started", "burst ended"):
            if (phase, kind) not in BURSTS:
                with pytest.raises(Trouble):
                    burst_after(phase, kind)


def test_alarms_follow_isa_18_2() -> None:
    """ISA-18.2 / IEC 62682: normal, unacknowledged, acknowledged, returned unacknowledged."""
    kinds = ("alarm raised", "alarm acknowledged", "alarm returned")
    for status in (None, *AlarmStatus):
        for kind in kinds:
            if (status, kind) in ALARMS:
                assert alarm_after(status, kind) is ALARMS[status, kind]
            else:
                with pytest.raises(Trouble):
                    alarm_after(status, kind)
    # acknowledging is not mending: the alarm stays until it returns
    seen = alarm_after(AlarmStatus.UNACKNOWLEDGED, "alarm acknowledged")
    assert seen is AlarmStatus.ACKNOWLEDGED
    assert alarm_after(seen, "alarm returned") is None
    # what returned unseen stays until it is seen
    unseen = alarm_after(AlarmStatus.UNACKNOWLEDGED, "alarm returned")
    assert unseen is AlarmStatus.RETURNED
    assert not unseen.active
    assert alarm_after(unseen, "alarm acknowledged") is None


@pytest.mark.parametrize("kind", list(StepKind))
@pytest.mark.parametrize("command", EVERY_COMMAND, ids=lambda each: each.__name__)
def test_a_command_belongs_to_a_step_or_is_refused(kind: StepKind, command: type[Command]) -> None:
    refused = by_step(kind, command)
    if kind in STEP_COMMANDS.get(command, StepKind):
        assert refused is None
    else:
        assert refused is not None
        assert "step in hand" in refused.says


def test_bursts_never_start_where_fragrance_is_in() -> None:
    """Scented balm that must be warmed again: water bath only."""
    scented = {StepKind.ADD_FRAGRANCE, StepKind.STIR, StepKind.POUR, StepKind.MEND}
    assert not scented & STEP_COMMANDS[ask.StartBurst]
    assert scented - {StepKind.MEND} == STEP_COMMANDS[ask.GoBackToBath]


def test_the_drawing_shows_every_move() -> None:
    drawn = diagrams()
    assert drawn.count("```mermaid") == 4
    for (before, kind), after in SESSION.items():
        if before is not after:
            assert f"{before.value.replace(' ', '_')} --> {after.value.replace(' ', '_')}" in drawn
            assert kind in drawn
    assert "normal --> unacknowledged: alarm raised" in drawn
    assert "finished --> [*]" in drawn


def test_the_drawing_in_the_handbook_is_current() -> None:
    text = draw_transitions.DOCUMENT.read_text(encoding="utf-8")
    assert draw_transitions.between(text) == draw_transitions.drawn(), "run: python -m tests.draw_transitions"
