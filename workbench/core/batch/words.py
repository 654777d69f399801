"""Sentences of a plan kept as data: template and values survive as JSON."""

from __future__ import annotations

from workbench.core.batch.steps import SavedValue, SavedWords, Step
from workbench.core.wording import (
    COUNT,
    Count,
    Degrees,
    Duration,
    Grams,
    Kelvins,
    Millimetres,
    Number,
    Said,
    Share,
    Value,
    say,
)

_KINDS: dict[str, type[Value]] = {
    kind.__name__: kind for kind in (Grams, Degrees, Kelvins, Millimetres, Share, Number)
}


def saved(sentence: Said) -> SavedWords:
    """The sentence as plain data."""
    return SavedWords(
        template=sentence.template,
        one=sentence.one,
        values={name: _saved_value(value) for name, value in sentence.values.items()},
    )


def said_again(words: SavedWords) -> Said:
    """The sentence back from plain data, with its values as values."""
    return say(
        words.template, words.one, **{name: _live_value(name, value) for name, value in words.values.items()}
    )


def sentence_of(step: Step, field: str) -> str:
    """One text of a step ("title", "instruction", "bench", ...) for `wording.say_again`.

    A `Said` where the text holds values, else the plain text.
    """
    kept = step.said.get(field)
    return said_again(kept) if kept is not None else str(getattr(step, field))


def _saved_value(value: object) -> SavedValue:
    if isinstance(value, Count):
        # as a count has been written since before it chose the form of a sentence
        return SavedValue(kind=Number.__name__, amount=value.amount, digits=0)
    if isinstance(value, Value):
        return SavedValue(kind=type(value).__name__, amount=value.amount, digits=value.digits)
    if isinstance(value, Duration):
        return SavedValue(kind="Duration", amount=value.seconds)
    if isinstance(value, Said):
        return SavedValue(words=saved(value), text=str(value))
    return SavedValue(text=str(value))


def _live_value(name: str, value: SavedValue) -> object:
    if value.words is not None:
        return said_again(value.words)
    if value.kind == "Duration":
        return Duration(value.amount)
    whole = value.amount.is_integer() and 0 <= value.amount < 1e6
    if name == COUNT and value.kind == Number.__name__ and value.digits == 0 and whole:
        return Count(value.amount)
    kind = _KINDS.get(value.kind)
    return value.text if kind is None else kind(value.amount, value.digits)
