"""Small changes of a state that several kinds of event make."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from workbench.core.batch.state import (
    Entry,
    Recorded,
    SessionState,
    StepProgress,
)
from workbench.core.batch.steps import Step

POUR_FLOOR_OVER_SET_K = 3.0


def set_step(state: SessionState, index: int, **changes: Any) -> SessionState:
    steps = list(state.steps)
    steps[index] = replace(steps[index], **changes)
    return replace(state, steps=tuple(steps))


def record_need(state: SessionState, need: str, recorded: Recorded) -> SessionState:
    """Put a value where the current step keeps what its need holds; unknown needs are kept too."""
    if not need or not 0 <= state.index < len(state.steps):
        return state
    known = state.steps[state.index].recorded
    return set_step(state, state.index, recorded={**known, need: recorded})


def keep(state: SessionState, entry: Entry) -> SessionState:
    kept = replace(state, entries=state.entries.plus(entry))
    return record_need(kept, entry.need, Recorded(entry.seq, entry.value, entry.at_s, entry.typed))


def step_rows(steps: tuple[dict[str, Any], ...]) -> tuple[StepProgress, ...]:
    return tuple(StepProgress(Step.model_validate(step)) for step in steps)


def with_seen(state: SessionState) -> SessionState:
    """What the maker saw wins over what was computed."""
    seen_c = state.set_point_seen_c
    if seen_c is None:
        return state
    floor_c = seen_c + POUR_FLOOR_OVER_SET_K
    add_c = state.temperatures.add_below_c
    return replace(
        state,
        temperatures=state.temperatures.model_copy(
            update={
                "set_point_c": seen_c,
                "set_point_sd_k": 1.0,
                "pour_floor_c": floor_c,
                "window_open": state.temperatures.window_open if add_c is None else floor_c < add_c,
                "how": {**state.temperatures.how, "set_point": "seen in this batch"},
            }
        ),
    )
