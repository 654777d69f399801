"""How it wore, on the sheet of a batch."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

from workbench.core.review.keeping import ERASED
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.review.wearer import CANNOT_BE_READ, WordFromWearer, WordsFromWearers
from workbench.paper.batch_sheet import WearNote
from workbench.paper.voice import Voice
from workbench.paper.wear_notes import wear_notes

DABBED = datetime(2026, 3, 20, 8, 0, tzinfo=timezone(timedelta(hours=1)))


def test_marks_and_words_become_lines() -> None:
    marks = (Mark(after_min=0, top=7, overall=8, words="lemon"), Mark(after_min=120, base=3))
    worn = WearTests(session="s1", tests=(WearTest(number=1, wearer="AB", dabbed=DABBED, marks=marks),))
    said = WordsFromWearers(
        session="s1",
        said=(
            WordFromWearer(
                number=1, told=date(2026, 5, 1), wearer=ERASED, rating=9, reaction=True, words=ERASED
            ),
        ),
    )
    assert wear_notes(worn, said, Voice()) == (
        WearNote(date(2026, 3, 20), "AB", "just on", "top 7, overall 8, lemon"),
        WearNote(date(2026, 3, 20), "AB", "after 2 h", "base 3"),
        WearNote(date(2026, 5, 1), "", "later", f"liked 9 of 10, a reaction of the skin, {ERASED}"),
    )
    assert wear_notes(None, None, Voice()) == ()
    unread = WordsFromWearers(session="s1", said=(WordFromWearer(number=1, words=CANNOT_BE_READ),))
    (line,) = wear_notes(None, unread, Voice())
    assert "not known whether skin reacted" in line.words
