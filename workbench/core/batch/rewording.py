"""The words of steps that wait, once a slip at the scale has changed their amounts.

A step is worded when the batch is planned.  Its target moves when the batch
grows, and the largest words on the screen must not ask for the old grams.
"""

from __future__ import annotations

from dataclasses import replace

from workbench.core.batch.made import fragrance_g
from workbench.core.batch.state import SessionState, StepMark
from workbench.core.batch.steps import NeedKind, SavedWords, Step, StepKind
from workbench.core.batch.words import said_again

_AMOUNTS = ("mass", "count")  # what a sentence about a weighing calls it
BENCH_LENGTH = 60


def reworded(state: SessionState) -> SessionState:
    """The state with the amounts of its waiting steps said as they are now."""
    scent_g = fragrance_g(state)
    return replace(
        state,
        steps=tuple(
            each
            if each.mark is not StepMark.WAITING
            else replace(each, step=_with_amount(each.step, _amount(state, each.step, scent_g)))
            for each in state.steps
        ),
    )


def _amount(state: SessionState, step: Step, scent_g: float) -> float | None:
    """Grams, or drops, that the words of a step name; None where they name none that can move."""
    if step.kind is StepKind.ADD_FRAGRANCE:
        return scent_g or None
    own = [need for need in step.needs if need.kind in (NeedKind.MASS, NeedKind.DROPS) and need.material]
    return state.with_target(own[0]).target if len(own) == 1 else None


def _with_amount(step: Step, amount: float | None) -> Step:
    if amount is None:
        return step
    said = {field: _moved(words, amount) for field, words in step.said.items()}
    if said == step.said:
        return step
    texts = {field: str(said_again(words)) for field, words in said.items()}
    texts["bench"] = texts.get("bench", step.bench)[:BENCH_LENGTH]
    return step.model_copy(update={**texts, "said": said})


def _moved(words: SavedWords, amount: float) -> SavedWords:
    values = {
        name: value.model_copy(update={"amount": amount}) if name in _AMOUNTS and value.kind else value
        for name, value in words.values.items()
    }
    return words.model_copy(update={"values": values})
