"""What memory keeps of the batch in hand: every event, in order, however many and however often told."""

from __future__ import annotations

import pytest

from tests.store.builders import reading, started
from workbench.core.batch.events import AnyEvent, Noted
from workbench.store.kept import Kept, PackedEvents

EVENTS: list[AnyEvent] = [started(), *(reading(float(n), 40.0 + n % 50) for n in range(1, 700))]


@pytest.mark.parametrize("at_once", [1, 3, 127, 128, 129, 700])
def test_all_events_come_back_as_they_were(at_once: int) -> None:
    kept = Kept("s1")
    for start in range(0, len(EVENTS), at_once):
        kept.add(start + 1, EVENTS[start : start + at_once])
    assert list(kept.events) == EVENTS


@pytest.mark.parametrize("again_from", [1, 100, 128, 129, 500, 700])
def test_what_is_told_again_is_not_doubled(again_from: int) -> None:
    kept = Kept("s1")
    kept.add(1, EVENTS)
    kept.add(again_from, EVENTS[again_from - 1 :])
    assert list(kept.events) == EVENTS


def test_words_with_line_ends_stay_one_event() -> None:
    words = "first line\nsecond line\r\n\\n third"
    noted = Noted(at_s=1.0, wall=EVENTS[0].wall, step="melt", words=words)
    kept = Kept("s1")
    kept.add(1, [*EVENTS[:100], noted, *EVENTS[101:400]])
    assert kept.events[100] == noted
    assert len(kept.events) == 400


def test_a_reading_takes_little_room() -> None:
    kept = Kept("s1")
    kept.add(1, EVENTS)
    packed = kept._events._packed
    assert sum(map(len, packed)) / 128 / len(packed) < 60


def test_they_can_be_gone_through_again_and_need_not_be_there_at_once() -> None:
    packed = PackedEvents(event for event in EVENTS)
    assert list(packed) == EVENTS
    assert list(packed) == EVENTS
