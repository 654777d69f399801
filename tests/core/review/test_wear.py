"""Wear tests: when a mark is due, what is kept, several wearers together."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tests.core.review.worn import DABBED
from workbench.core.catalogue.model import Note
from workbench.core.review.keeping import ERASED, body_of, read_kept
from workbench.core.review.wear import (
    Mark,
    WearTest,
    WearTests,
    coming,
    due,
    due_sentence,
    moment_words,
    smelled_s,
    together,
    with_mark,
)
from workbench.store import words as store_words

TEST = WearTest(number=1, dabbed=DABBED)


def at(minutes: float) -> datetime:
    return DABBED + timedelta(minutes=minutes)


def test_the_initials_that_were_erased_are_read_in_the_store_s_words() -> None:
    assert ERASED == store_words.ERASED
    assert WearTest(number=1, wearer=ERASED).wearer == ERASED


@pytest.mark.parametrize("wearer", ["Anna", "A.", "A1", "12"])
def test_a_wearer_is_three_letters_at_most(wearer: str) -> None:
    with pytest.raises(ValidationError):
        WearTest(number=1, wearer=wearer)
    assert WearTest(number=1, wearer=" äß ").wearer == "äß"


def test_due_by_the_clock_that_is_given() -> None:
    assert due(WearTest(number=1), at(100)) == ()
    assert [each.after_min for each in due(TEST, at(0))] == [0]
    assert [each.after_min for each in due(TEST, at(31))] == [0, 10, 30]
    ahead = coming(TEST, at(31))
    assert ahead is not None
    assert (ahead.after_min, ahead.by_s) == (60, -29 * 60.0)
    marked = with_mark(with_mark(TEST, Mark(after_min=0, top=5)), Mark(after_min=10, top=4))
    assert [each.after_min for each in due(marked, at(31))] == [30]
    assert coming(marked, at(300)) is None


def test_what_is_said() -> None:
    assert due_sentence(WearTest(number=1), at(0)) is None
    assert due_sentence(TEST, at(0.2)) == "Smell now: just on."
    done = with_mark(TEST, Mark(after_min=0, top=5))
    assert due_sentence(done, at(3.5)) == "Next to smell: after 10 min, in 7 min."
    assert due_sentence(done, at(14.9)) == "Smell now: after 10 min. It has been due for 4 min."
    assert due_sentence(done, at(200)) == "Smell now: after 2 h. It has been due for 1 h 20 min."
    full = done
    for moment in TEST.moments_min:
        full = with_mark(full, Mark(after_min=moment, overall=1))
    assert due_sentence(full, at(500)) is None
    assert moment_words(240) == "after 4 h"


def test_a_mark_counts_when_it_was_smelled() -> None:
    assert smelled_s(TEST, Mark(after_min=10, noted=at(14))) == 14 * 60
    assert smelled_s(TEST, Mark(after_min=10, noted=at(9))) == 9 * 60
    assert smelled_s(TEST, Mark(after_min=10, noted=at(30))) == 600  # copied from a slip, later
    assert smelled_s(TEST, Mark(after_min=10)) == 600
    assert smelled_s(TEST, Mark(after_min=240, noted=at(300))) == 300 * 60
    assert smelled_s(TEST, Mark(after_min=240, noted=at(500))) == 240 * 60
    assert smelled_s(WearTest(number=1), Mark(after_min=10, noted=at(14))) == 600


def test_an_empty_mark_takes_away_what_stood_there() -> None:
    marked = with_mark(TEST, Mark(after_min=10, top=4))
    assert with_mark(marked, Mark(after_min=10)) == TEST
    assert with_mark(marked, Mark(after_min=10, words="gone")).marks[0].top is None


def test_kept_and_read_again() -> None:
    whole = WearTests(session="s4", batch_code="HE-3").put(
        with_mark(TEST, Mark(after_min=0, top=5, words="lemon"))
    )
    body = json.loads(json.dumps(body_of(whole)))
    assert read_kept(WearTests, body) == whole
    assert read_kept(WearTests, {"session": "s4", "later": 1}) is None
    assert read_kept(WearTests, None) is None
    assert whole.next_number() == 2
    assert whole.put(TEST).tests == (TEST,)
    assert whole.without(1).tests == ()


@given(st.lists(st.integers(0, 10), min_size=1, max_size=9))
def test_together_against_numpy(points: list[int]) -> None:
    """Median and quartiles as numpy's linear rule has them; the range for fewer than four."""
    tests = [
        with_mark(WearTest(number=n + 1), Mark(after_min=30, middle=each)) for n, each in enumerate(points)
    ]
    (found,) = together(tests)
    assert (found.after_min, found.note, found.count) == (30, Note.MIDDLE, len(points))
    assert found.median == pytest.approx(float(np.median(points)))
    low, high = (min(points), max(points)) if len(points) < 4 else tuple(np.quantile(points, (0.25, 0.75)))
    assert (found.low, found.high) == pytest.approx((low, high))


def test_moments_stand_in_order() -> None:
    with pytest.raises(ValidationError):
        WearTest(number=1, marks=(Mark(after_min=10, top=1), Mark(after_min=10, top=2)))
    with pytest.raises(ValidationError):
        WearTest(number=1, moments_min=(10, 0))
