"""Word from the wearer: found by the code on the tin, kept, and what a reaction flags."""

from __future__ import annotations

from datetime import date

import pytest
from pydantic import ValidationError

from workbench.core.review.keeping import body_of, read_kept
from workbench.core.review.wearer import (
    CANNOT_BE_READ,
    WordFromWearer,
    WordsFromWearers,
    batch_of,
    key_of,
    words_of_batch,
)

SORE = WordFromWearer(number=1, told=date(2026, 4, 2), reaction=True, words="red and warm for a day")
FINE = WordFromWearer(number=2, rating=8, words="lovely")


def test_found_by_the_code_as_it_can_be_read_on_a_worn_tin() -> None:
    codes = {"s3": "HE-0312", "s2": "", "s1": "HE-0311"}
    assert batch_of("he 0312", codes) == ("s3",)
    assert batch_of("HE-0311", codes) == ("s1",)
    assert batch_of("s2", codes) == ("s2",)
    assert batch_of(" ", codes) == ()
    assert batch_of("XX", codes) == ()
    assert key_of("s2", " ") == "s2"
    assert key_of("s3", "HE-0312") == "HE-0312"


def test_kept_and_read_again() -> None:
    whole = WordsFromWearers(session="s1", batch_code="E-1").put(FINE).put(SORE)
    assert whole.said == (SORE, FINE)
    assert read_kept(WordsFromWearers, body_of(whole)) == whole
    assert whole.reaction
    assert not whole.without(1).reaction
    assert whole.next_number() == 3
    with pytest.raises(ValidationError):
        WordFromWearer(number=1, rating=11)


def test_words_on_paper_come_by_code_or_session_and_what_cannot_be_read_says_so() -> None:
    held = {"E-1": body_of(WordsFromWearers(session="s1", batch_code="E-1", said=(SORE,)))}
    found = words_of_batch(held.get, "s1", "E-1")
    assert found is not None
    assert found.said == (SORE,)
    assert words_of_batch(held.get, "s2", "E-1") is None  # another batch with the same code
    garbled = {"E-2": {"said": "lovely"}}
    unread = words_of_batch(garbled.get, "s2", "E-2")
    assert unread is not None
    assert [word.words for word in unread.said] == [CANNOT_BE_READ]
