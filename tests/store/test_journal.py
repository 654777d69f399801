"""The journal alone, on a database in memory: in order, once, chained, unchangeable."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.store.builders import START, at, batch, reading, started, whole_batch
from workbench.core.batch import record
from workbench.core.batch.events import AlarmRaised, Corrected, EndedEarly, Noted, StepBegun, TinPoured
from workbench.core.batch.session import fold
from workbench.store import journal, meaning, opening
from workbench.store.connection import transaction
from workbench.store.journal import OutOfOrder, Unreadable

PROJECT = "0123456789abcdef0123456789abcdef"


@pytest.fixture
def file() -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        opening.write_new(connection, START, PROJECT)
        yield connection


def write(file: sqlite3.Connection, session: int, first: int, *events: object) -> int:
    with transaction(file):
        return journal.append(file, PROJECT, session, first, events)  # type: ignore[arg-type]


def summary(file: sqlite3.Connection, session: int) -> record.SessionSummary | None:
    row = file.execute("SELECT body FROM summaries WHERE session = ?", (session,)).fetchone()
    return meaning.from_json(row[0])


def ended(file: sqlite3.Connection, session: int) -> str | None:
    row = file.execute("SELECT ended FROM summaries WHERE session = ?", (session,)).fetchone()
    return str(row[0]) if row else None


def test_events_come_back_as_they_were_written(file: sqlite3.Connection) -> None:
    events = batch()
    assert write(file, 1, 1, *events[:2]) == 2
    assert write(file, 1, 3, *events[2:]) == len(events)
    stored = list(journal.read(file, 1))
    assert tuple(each.event for each in stored) == events
    assert [each.seq for each in stored] == list(range(1, len(events) + 1))
    assert not any(each.erased for each in stored)


def test_a_session_begins_with_its_start(file: sqlite3.Connection) -> None:
    with pytest.raises(OutOfOrder):
        write(file, 1, 1, reading(1))
    assert journal.head(file, 1) == (0, None)


@pytest.mark.parametrize("first", [0, -1, 4, 99])
def test_a_gap_is_refused(file: sqlite3.Connection, first: int) -> None:
    write(file, 1, 1, started(), reading(1))
    with pytest.raises(OutOfOrder, match="2 stored"):
        write(file, 1, first, reading(2))
    assert journal.head(file, 1)[0] == 2


def test_the_same_events_again_are_not_doubled(file: sqlite3.Connection) -> None:
    """The disk may have kept what it reported as failed; a retry then brings the same again."""
    note = Noted(**at(3), step="melt", words="smells of warm hay")
    write(file, 1, 1, started(), reading(1))
    write(file, 1, 2, reading(1), note)
    before = journal.head(file, 1)
    assert write(file, 1, 2, reading(1), note) == 3
    assert write(file, 1, 3, note) == 3
    assert journal.head(file, 1) == before


def test_other_events_in_a_taken_place_are_refused(file: sqlite3.Connection) -> None:
    write(file, 1, 1, started(), reading(1, 70.0))
    with pytest.raises(OutOfOrder):
        write(file, 1, 2, reading(1, 71.0))
    assert [each.event for each in journal.read(file, 1, 2)] == [reading(1, 70.0)]


def test_nothing_to_write_is_nothing_written(file: sqlite3.Connection) -> None:
    write(file, 1, 1, started())
    assert write(file, 1, 2) == 1


def test_a_number_that_is_none_is_never_acknowledged(file: sqlite3.Connection) -> None:
    """JSON knows no NaN: it would come back as nothing."""
    write(file, 1, 1, started())
    with pytest.raises(ValueError, match="entry 2 would not read the same"):
        write(file, 1, 2, AlarmRaised(**at(1), step="melt", alarm="hot", value=float("nan")))
    assert journal.head(file, 1)[0] == 1


def test_the_chain_is_the_published_hash_over_what_is_stored(file: sqlite3.Connection) -> None:
    """SHA-256 (FIPS 180-4, here from hashlib) over the digest before, the place and the text."""
    write(file, 1, 1, *batch())
    before = hashlib.sha256(f"balmbook\n{PROJECT}".encode()).digest()
    for stored in journal.read(file, 1):
        before = hashlib.sha256(before + f"1\n{stored.seq}\n{stored.body}".encode()).digest()
        assert stored.digest == before


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE events SET body = '{}' WHERE seq = 2",
        "DELETE FROM events WHERE seq = 2",
        "DELETE FROM events",
        "INSERT OR REPLACE INTO events SELECT session, seq, at_s, wall, kind, '{}', digest FROM events WHERE seq = 2",
        "INSERT INTO events SELECT session, seq + 5, at_s, wall, kind, body, digest FROM events WHERE seq = 2",
        "UPDATE OR REPLACE events SET seq = 1 WHERE seq = 2",
        "UPDATE sessions SET recipe_name = 'x'",
        "DELETE FROM sessions",
        "INSERT OR REPLACE INTO sessions SELECT * FROM sessions",
        "DELETE FROM words",
        "UPDATE words SET text = 'x'",
        "UPDATE words SET text = NULL",
        "INSERT OR REPLACE INTO words SELECT digest, place, 'x', 'y' FROM words LIMIT 1",
    ],
)
def test_the_file_itself_refuses_changes(file: sqlite3.Connection, change: str) -> None:
    """Also to other programs: with SQLite's default settings, not ours."""
    write(file, 1, 1, *batch())
    before = list(file.iterdump())
    with pytest.raises(sqlite3.IntegrityError):
        file.execute(change)
    assert list(file.iterdump()) == before


def test_personal_words_stand_beside_the_record(file: sqlite3.Connection) -> None:
    write(file, 1, 1, started(), Noted(**at(1), step="melt", words="a rash on AB's wrist"))
    bodies = " ".join(row[0] for row in file.execute("SELECT body FROM events"))
    assert "rash" not in bodies
    assert "linalool" not in bodies  # from the wearer's brief in the frozen plan
    assert file.execute("SELECT count(*) FROM words").fetchone()[0] == 2


def test_erased_words_read_as_erased_and_the_chain_holds(file: sqlite3.Connection) -> None:
    note = Noted(**at(1), step="melt", words="a rash")
    mend = Corrected(**at(2), step="melt", of=2, value="no rash", typed="no rash", reason="asked again")
    number = Corrected(**at(3), step="melt", of=2, value=3.0, typed="3", reason="x")
    write(file, 1, 1, started(), note, mend, number)
    before = [each.digest for each in journal.read(file, 1)]
    file.execute("UPDATE words SET salt = NULL, text = NULL")
    stored = list(journal.read(file, 1))
    assert [each.digest for each in stored] == before
    assert [each.erased for each in stored] == [True, True, True, False]
    assert isinstance(stored[1].event, Noted)
    assert stored[1].event.words == "(erased on request)"
    assert stored[3].event == number


def test_an_erased_entry_can_be_written_as_erased(file: sqlite3.Connection) -> None:
    """From an exported project: the words are gone, the entry stays marked."""
    with transaction(file):
        journal.append(file, PROJECT, 1, 1, [started()], erased=True)
    assert [each.erased for each in journal.read(file, 1)] == [True]


def test_the_summary_is_written_on_finish_and_after_a_later_correction(file: sqlite3.Connection) -> None:
    events = whole_batch()
    write(file, 1, 1, *events[:-1])
    assert ended(file, 1) is None
    write(file, 1, len(events), events[-1])
    assert ended(file, 1) == "finished"
    first = summary(file, 1)
    assert first is not None
    assert first == record.summary(fold(events))
    assert (first.recipe_name, first.tins, first.corrections) == ("Evening ember", 3, 0)
    seq, tin = next((n, event) for n, event in enumerate(events, start=1) if isinstance(event, TinPoured))
    mend = Corrected(
        at_s=events[-1].at_s,
        wall=events[-1].wall,
        step=tin.step,
        of=seq,
        value=tin.mass_g + 1,
        typed="",
        reason="misread",
    )
    write(file, 1, len(events) + 1, mend)
    second = summary(file, 1)
    assert second is not None
    assert second.corrections == 1


def test_a_record_that_the_session_cannot_follow_is_kept_without_a_summary(file: sqlite3.Connection) -> None:
    write(file, 1, 1, *batch())
    assert ended(file, 1) == "finished"
    assert summary(file, 1) is None


def test_summaries_can_be_built_again(file: sqlite3.Connection) -> None:
    write(file, 1, 1, *whole_batch())
    write(file, 2, 1, started(), EndedEarly(**at(5), reason="the guests came"))
    write(file, 3, 1, started())
    before = file.execute("SELECT * FROM summaries").fetchall()
    assert [row[3] for row in before] == ["finished", "ended early"]
    file.execute("DELETE FROM summaries")
    assert journal.rebuild_all(file) == 2
    assert file.execute("SELECT * FROM summaries").fetchall() == before


def test_a_session_that_has_not_ended_gets_no_summary(file: sqlite3.Connection) -> None:
    write(file, 1, 1, started())
    journal.rebuild_summary(file, 1)
    assert ended(file, 1) is None


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ('{"kind":"step begun"}', "at_s"),
        ("[1]", "object"),
        ("{", "EOF|Invalid JSON"),
        ('{"kind":"unheard of"}', "unheard of"),
    ],
)
def test_an_entry_that_makes_no_sense_is_named(body: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says) as caught:
        journal.parse(4, 17, "step begun", body, lambda digest: None)
    assert caught.value.fault.place == "session s4, entry 17"


@pytest.mark.parametrize("body", ["[1]", "{", "null", '{"kind":"noted","words":{"words":3}}', "[" * 100_000])
def test_an_entry_with_words_that_makes_no_sense_is_named(body: str) -> None:
    with pytest.raises(Unreadable) as caught:
        journal.parse(4, 17, "noted", body, lambda digest: None)
    assert caught.value.fault.place == "session s4, entry 17"


def test_words_that_are_lost_are_not_taken_for_erased(file: sqlite3.Connection) -> None:
    with pytest.raises(Unreadable, match="missing"):
        journal.parse(1, 2, "noted", '{"kind":"noted","words":{"words":"ab"}}', journal.give_words(file))


def test_a_session_larger_than_any_batch_is_not_read(
    file: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(file, 1, 1, *batch())
    monkeypatch.setattr(journal, "_MOST_BYTES_OF_ONE_SESSION", 100)
    with pytest.raises(Unreadable, match="larger than any batch"):
        list(journal.read(file, 1))


def test_session_names() -> None:
    assert journal.session_id(12) == "s12"
    assert journal.session_number("s12") == 12
    for other in ("12", "s", "sx", "", "s1x", "s٣", "s²", "s" + "9" * 19):
        with pytest.raises(KeyError):
            journal.session_number(other)


def test_columns_that_hold_no_json_are_named() -> None:
    assert journal.load_json("[1]", "here") == [1]
    with pytest.raises(Unreadable, match="here"):
        journal.load_json("[1", "here")


def test_the_first_line_of_an_error_is_enough() -> None:
    assert journal.first_line(ValueError("one\ntwo")) == "one"
    assert journal.first_line(ValueError()) == "ValueError"


def test_one_event_at_a_time_or_all_at_once_give_the_same_file(file: sqlite3.Connection) -> None:
    events = [event for event in batch() if event.kind not in ("noted", "session started")]
    first = StepBegun(**at(0), step="x")
    write(file, 1, 1, started(), first, *events)
    write(file, 2, 1, started())
    for seq, event in enumerate([first, *events], start=2):
        write(file, 2, seq, event)
    bodies = [
        file.execute("SELECT body FROM events WHERE session = ? AND seq > 1", (n,)).fetchall() for n in (1, 2)
    ]
    assert bodies[0] == bodies[1]
