"""Word from the wearer: found by the code on the tin, kept, and what a reaction flags."""

from __future__ import annotations

from datetime import date

import pytest
from pydantic import ValidationError

from tests.core.review.batches import entry
from tests.core.review.worn import DABBED
from workbench.core.batch.record import SessionSummary
from workbench.core.review.faults import FaultKind, FaultSeen, FaultsSeen
from workbench.core.review.keeping import body_of, read_kept
from workbench.core.review.wearer import (
    NO_FLAGS,
    SKIN_REACTION,
    WordFromWearer,
    WordsFromWearers,
    batch_of,
    flags,
    key_of,
    lot_caution,
    recipe_caution,
    seen_reaction,
    uses_caution,
)

SORE = WordFromWearer(number=1, told=date(2026, 4, 2), reaction=True, words="red and warm for a day")
FINE = WordFromWearer(number=2, rating=8, words="lovely")


def summaries() -> dict[str, SessionSummary]:
    """Newest first: two batches of one recipe from one bag of wax, and another recipe from another bag."""
    made = [
        entry(3, code="E-3", lots=("b1", "l2")),
        entry(2, recipe="Harbour", code="H-2", lots=("b2",)),
        entry(1, code="E-1", lots=("b1", "l1")),
    ]
    return {each.id: each.summary for each in made if each.summary is not None}


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


def test_a_reaction_flags_the_batch_its_recipe_and_the_lots_in_it() -> None:
    rows = summaries()
    session = next(key for key, row in rows.items() if row.batch_code == "E-1")
    made = flags(
        [
            WordsFromWearers(session=session, batch_code="E-1", said=(SORE,)),
            WordsFromWearers(session=next(iter(rows)), said=(FINE,)),
        ],
        rows,
    )
    assert set(made.sessions) == {session}
    assert made.sessions[session].told == date(2026, 4, 2)
    assert set(made.recipes) == {"Evening ember"}
    assert set(made.lots) == {"b1", "l1"}
    assert recipe_caution(made, "Harbour") is None
    assert "E-1" in (recipe_caution(made, "Evening ember") or "")
    assert "E-1" in (lot_caution(made, "b1") or "")
    assert lot_caution(made, "b2") is None
    assert uses_caution(made, "Harbour", ["b2", "b1"]) == lot_caution(made, "b1")
    assert uses_caution(made, "Harbour", ["b2"]) is None
    assert uses_caution(made, "Evening ember", []) == recipe_caution(made, "Evening ember")


def test_a_batch_without_a_summary_flags_itself_and_its_recipe() -> None:
    made = flags([WordsFromWearers(session="s9", recipe_name="Harbour", said=(SORE,))], summaries())
    assert made.sessions["s9"].lots == ()
    assert "s9" in (recipe_caution(made, "Harbour") or "")


def test_taken_back_it_flags_nothing() -> None:
    word = SORE.model_copy(update={"reaction": False})
    assert flags([WordsFromWearers(session="s1", said=(word,))], summaries()) == NO_FLAGS


def test_a_reaction_that_was_recorded_as_a_fault_counts_as_one() -> None:
    seen = FaultsSeen(session="s1", batch_code="E-1", recipe_name="Evening ember")
    seen = seen.put(FaultSeen(kind=FaultKind.GRAIN, noted=DABBED))
    assert seen_reaction(body_of(seen)) is None
    told = seen_reaction(body_of(seen.put(FaultSeen(kind=FaultKind.SKIN_REACTION, noted=DABBED))))
    assert told is not None
    assert told.reaction
    assert (told.session, told.batch_code, told.recipe_name) == ("s1", "E-1", "Evening ember")
    others: tuple[object, ...] = (None, [], {"faults": None}, {"faults": [{"kind": SKIN_REACTION}]})
    for other in others:
        assert seen_reaction(other) is None
