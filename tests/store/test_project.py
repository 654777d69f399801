"""A project as the window and the terminal use it, on a real disk."""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.builders import Calendar, at, batch, new_project, reading, recipe, started, whole_batch
from workbench.core.batch.events import AnswerGiven, Noted
from workbench.core.catalogue.shelf import Shelf, Vessel, VesselMaterial
from workbench.store import files, sessions, troubles
from workbench.store.project import Project
from workbench.store.schema import APPLICATION_ID
from workbench.store.troubles import Kind, StoreTrouble


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with new_project(tmp_path / "Küche am Fenster.balmbook") as project:
        yield project


def again(project: Project) -> Project:
    project.close()
    return Project.open(project.path, now=Calendar())


def test_the_file_says_whose_it_is_and_how_it_is_kept(project: Project) -> None:
    """Offsets of the header: SQLite file format, section 1.3 (sqlite.org/fileformat.html)."""
    head = project.path.read_bytes()[:100]
    assert head[:16] == b"SQLite format 3\x00"
    assert struct.unpack_from(">I", head, 68)[0] == APPLICATION_ID
    assert struct.unpack_from(">I", head, 60)[0] == 1
    assert (head[18], head[19]) == (1, 1)  # rollback journal, not write-ahead log
    with project.reading() as connection:
        assert connection.execute("PRAGMA synchronous").fetchone()[0] == 3  # EXTRA
        assert connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
        assert connection.execute("PRAGMA foreign_keys").fetchone()[0] == 1
        assert connection.execute("PRAGMA secure_delete").fetchone()[0] == 1
        assert connection.execute("PRAGMA trusted_schema").fetchone()[0] == 0


def test_recipes_keep_their_revisions(project: Project) -> None:
    first = recipe()
    second = recipe(load_percent=6.0)
    assert project.save_recipe(first) == 1
    assert project.save_recipe(first) == 1  # nothing changed, nothing written
    assert project.save_recipe(second) == 2
    assert project.save_recipe(first) == 3
    with again(project) as opened:
        assert [entry.recipe for entry in opened.revisions(first.name)] == [first, second, first]
        (newest,) = opened.recipes()
        assert (newest.name, newest.revision, newest.recipe) == (first.name, 3, first)


def test_a_renamed_recipe_takes_its_revisions_along(project: Project) -> None:
    project.save_recipe(recipe("Before"))
    project.save_recipe(recipe("Other"))
    assert project.save_recipe(recipe("After"), was="Before") == 2
    assert [entry.name for entry in project.recipes()] == ["After", "Other"]
    assert len(project.revisions("After")) == 2
    with pytest.raises(StoreTrouble, match="recipe called Other already"):
        project.save_recipe(recipe("Other"), was="After")


def test_a_recipe_put_away_is_still_there(project: Project) -> None:
    project.save_recipe(recipe())
    project.put_away(recipe().name)
    assert project.recipes()[0].put_away
    project.save_recipe(recipe())  # worked on again
    assert not project.recipes()[0].put_away


def test_the_shelf_is_kept(project: Project) -> None:
    assert project.shelf() == Shelf()
    shelf = Shelf(vessels=(Vessel(key="jug", name="Jug", material=VesselMaterial.STEEL, holds_ml=500.0),))
    for _ in range(120):
        project.save_shelf(shelf)
    with project.reading() as connection:
        assert connection.execute("SELECT count(*) FROM shelf").fetchone()[0] == 100
    with again(project) as opened:
        assert opened.shelf() == shelf


def test_a_draft_survives_until_it_is_dropped(project: Project) -> None:
    project.save_draft("Wind over Thyme", '{"half": "typed')
    project.save_draft("Wind over Thyme", '{"half": "typed on')
    with again(project) as opened:
        (draft,) = opened.drafts()
        assert draft.text == '{"half": "typed on'
        opened.drop_draft("Wind over Thyme")
        assert opened.drafts() == ()


def test_documents_keep_their_revisions(project: Project) -> None:
    body = {"wearer": "AB", "marks": [{"after_h": 1, "words": "herbs are gone"}], "liking": 4}
    assert project.save_document("wear notes", "n1", body) == 1
    assert project.save_document("wear notes", "n1", {**body, "liking": 5}) == 2
    assert project.save_document("wear notes", "n2", {}) == 1
    assert [document.body.get("liking") for document in project.documents("wear notes")] == [5, None]
    assert [document.body for document in project.documents("wear notes", "n1")] == [
        body,
        {**body, "liking": 5},
    ]
    assert project.document_kinds() == ("wear notes",)


def test_a_session_is_in_the_list_and_can_be_gone_on_with(project: Project) -> None:
    session, other = project.new_session(), project.new_session()
    assert (session, other) == ("s1", "s2")
    events = whole_batch()
    assert project.append(session, 1, events[:4]) == 4
    with again(project) as opened:
        assert opened.open_session() == session
        assert opened.events(session) == events[:4]
        assert opened.sessions()[0].summary is None
        opened.append(session, 5, events[4:])
        assert opened.open_session() is None
        (entry,) = opened.sessions()
        assert entry.summary is not None
        assert (entry.recipe_name, entry.end, entry.summary.tins) == (
            "Evening ember",
            "finished",
            3,
        )
        assert opened.new_session() == "s2"


def test_a_practice_run_is_not_gone_on_with(project: Project) -> None:
    project.append(project.new_session(), 1, [started(rehearsal=True)])
    assert project.open_session() is None
    assert project.sessions()[0].rehearsal


def test_who_looks_for_an_unfinished_batch_does_not_go_through_those_that_ended(tmp_path: Path) -> None:
    """On a slow stick every entry of two years would be read at each opening; steps of SQLite's machine tell."""

    def steps(entries: int) -> int:
        path = tmp_path / f"{entries}.balmbook"
        with new_project(path) as project:
            for _ in range(6):
                project.append(project.new_session(), 1, batch(entries))
            project.append(project.new_session(), 1, batch(3, ended=False))
            counted = 0

            def count() -> int:
                nonlocal counted
                counted += 1
                return 0

            with project.reading() as connection:
                connection.set_progress_handler(count, 1)
                (found,) = sessions.unfinished(connection)
            assert found.number == 7
        return counted

    assert steps(40) < 1.2 * steps(3)


def test_a_lost_summary_is_no_unfinished_batch(project: Project) -> None:
    project.append(project.new_session(), 1, batch())
    with project.writing() as connection:
        connection.execute("DELETE FROM summaries")
    assert project.open_session() is None
    assert project.rebuild_summaries() == 1
    assert project.sessions()[0].ended


def test_a_gap_is_explained(project: Project) -> None:
    session = project.new_session()
    project.append(session, 1, [started()])
    with pytest.raises(StoreTrouble, match="entry 5 does not follow on") as caught:
        project.append(session, 5, [reading(1)])
    assert caught.value.kind is Kind.OUT_OF_ORDER


def test_a_new_project_takes_no_place_that_is_taken(project: Project) -> None:
    before = project.path.read_bytes()
    with pytest.raises(StoreTrouble, match="is there already"):
        Project.create(project.path)
    assert project.path.read_bytes() == before


def test_a_new_project_needs_its_folder(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="cannot be reached"):
        Project.create(tmp_path / "nowhere" / "a.balmbook")
    assert list(tmp_path.iterdir()) == []


def test_a_closed_project_is_a_mistake_of_ours(project: Project) -> None:
    project.close()
    project.close()
    with pytest.raises(RuntimeError):
        project.recipes()


@pytest.mark.parametrize(
    "name",
    ["with space.balmbook", "Süßholz & Öl.balmbook", "100% ?#.balmbook", "香り.balmbook", "a'b\"c.balmbook"],
)
def test_names_of_files_as_people_give_them(tmp_path: Path, name: str) -> None:
    with new_project(tmp_path / name) as made:
        made.append(made.new_session(), 1, batch())
    with Project.open(tmp_path / name) as opened:
        assert opened.events("s1") == batch()
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_through_a_link_the_file_behind_it_is_meant(tmp_path: Path) -> None:
    """Journal and lock must lie beside the real file, or two links would open it twice."""
    (tmp_path / "real").mkdir()
    with new_project(tmp_path / "real" / "a.balmbook"):
        pass
    link = tmp_path / "link.balmbook"
    link.symlink_to(tmp_path / "real" / "a.balmbook")
    with Project.open(link) as first, Project.open(tmp_path / "real" / "a.balmbook") as second:
        assert not first.read_only
        assert second.read_only
        first.append(first.new_session(), 1, [started()])
        assert second.events("s1") == (started(),)
    assert link.is_symlink()


def test_two_threads_take_turns(project: Project) -> None:
    import threading

    session = project.new_session()
    project.append(session, 1, [started()])
    seen: list[int] = []

    def look() -> None:
        for _ in range(50):
            seen.append(len(project.events(session)))
            project.recipes()

    watcher = threading.Thread(target=look)
    watcher.start()
    for n in range(30):
        project.append(session, 2 + n, [reading(float(n))])
    watcher.join()
    assert seen == sorted(seen)
    assert len(project.events(session)) == 31


def test_erased_words_are_gone_from_the_file_and_the_fact_stays(project: Project) -> None:
    project.save_recipe(recipe())
    session = project.new_session()
    project.append(session, 1, batch())
    project.save_document("wear notes", "n1", {"wearer": "AB", "words": "itches a little"})
    project.save_draft("x", '{"brief": {"for_whom": "AB"}}')
    project.save_draft("y", '{"brief": {"for_whom": "CD"}}')
    project.save_draft("z", "half typed")
    pieces = project.personal_words()
    assert {piece.place for piece in pieces} == {
        "recipe Wind over Thyme, revision 1",
        "session s1, entry 1",
        "session s1, entry 8",
        "wear notes n1, revision 1",
    }
    assert {piece.wearer for piece in pieces if piece.place.startswith("session")} == {"AB"}
    before = [stored.digest for stored in project.stored_events(session)]
    assert project.erase(pieces, "asked by the wearer") == 5
    assert project.erase(pieces, "asked by the wearer") == 0
    assert [stored.digest for stored in project.stored_events(session)] == before
    (entry,) = project.recipes()
    assert entry.brief_erased
    assert entry.recipe.brief.for_whom == ""
    assert entry.recipe.base == recipe().base
    assert project.documents("wear notes")[0].body == {
        "wearer": "(erased on request)",
        "words": "(erased on request)",
    }
    assert [draft.key for draft in project.drafts()] == ["y", "z"]
    (erasure,) = project.erasures()
    assert (erasure.pieces, erasure.reason) == (5, "asked by the wearer")
    project.close()
    data = project.path.read_bytes()
    for word in ("itches", "linalool", "sharp", "gestern"):
        assert word.encode() not in data  # not in free pages either


def test_remarks_at_the_end_of_a_batch_can_be_erased(project: Project) -> None:
    """What is typed at the last step is as personal as a note; choices, ticks and numbers are not."""
    session = project.new_session()
    events = batch()
    remark = AnswerGiven(
        at_s=events[-1].at_s,
        wall=events[-1].wall,
        step="finish",
        need="remarks",
        value="for the neighbour with hay fever",
        typed="for the neighbour with hay fever",
    )
    choice = remark.model_copy(update={"need": "away", "value": "hotplate off", "typed": "hotplate off"})
    project.append(session, 1, [events[0], remark, choice])
    assert project.events(session)[1:] == (remark, choice)
    pieces = [piece for piece in project.personal_words() if "hay fever" in piece.text]
    assert {piece.place for piece in pieces} == {f"session {session}, entry 2"}
    project.erase(pieces, "asked by the wearer")
    gone, kept = project.events(session)[1:]
    assert isinstance(gone, AnswerGiven)
    assert (gone.value, gone.typed, kept) == ("(erased on request)", "(erased on request)", choice)
    project.close()
    assert b"hay fever" not in project.path.read_bytes()


def test_a_note_written_after_erasing_is_kept(project: Project) -> None:
    session = project.new_session()
    project.append(session, 1, [started()])
    project.erase(project.personal_words(), "asked")
    note = Noted(**at(2), step="melt", words="new")
    project.append(session, 2, [note])
    assert project.events(session)[1] == note
    assert project.save_recipe(recipe()) == 1


# -- files that are not what they should be


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="nothing at") as caught:
        Project.open(tmp_path / "a.balmbook")
    assert caught.value.kind is Kind.MISSING
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"hello", b"SQLite format 3\x00", b"\x00" * 200])
def test_another_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.balmbook"
    path.write_bytes(content)
    with pytest.raises(StoreTrouble, match="not a Balmbook project") as caught:
        Project.open(path)
    assert caught.value.kind is Kind.NOT_OURS
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="a folder or a device"):
        Project.open(tmp_path)


def test_another_programs_database(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE x (y)")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="not a Balmbook project"):
        Project.open(path)
    assert path.read_bytes() == before


def tampered(path: Path, statement: str) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA writable_schema=ON")
    connection.execute(statement)
    connection.close()


@pytest.mark.parametrize(
    "statement",
    [
        "DROP TABLE summaries",
        "DROP TRIGGER events_never_changed",
        "CREATE TRIGGER sly AFTER INSERT ON shelf BEGIN DELETE FROM drafts; END",
        "CREATE VIEW v AS SELECT 1",
        "CREATE TABLE more (x)",
        "DELETE FROM meta",
    ],
)
def test_another_structure(tmp_path: Path, statement: str) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    tampered(path, statement)
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="is damaged and was left as it is") as caught:
        Project.open(path)
    assert caught.value.faults
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_newer_version_is_shown_for_reading(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as made:
        made.save_recipe(recipe())
    tampered(path, "PRAGMA user_version=7")
    tampered(path, "CREATE TABLE tomorrow (x)")
    before = path.read_bytes()
    with Project.open(path) as opened:
        assert opened.read_only
        assert "newer version of Balmbook" in str(opened.read_only_because)
        assert opened.recipes()[0].recipe == recipe()
        with pytest.raises(StoreTrouble, match="newer version"):
            opened.save_recipe(recipe("x"))
    assert path.read_bytes() == before
    tampered(path, "DROP TABLE events")
    with pytest.raises(StoreTrouble, match="damaged"):
        Project.open(path)


def test_a_half_done_write_is_undone_even_where_nothing_can_be_written(tmp_path: Path) -> None:
    """A crash in mid-write on a stick that is write-protected afterwards: looked at in a copy."""
    path = tmp_path / "a.balmbook"
    with new_project(path) as made:
        made.append(made.new_session(), 1, batch(ended=False))
    journal = files.journal_of(path)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA cache_size=1")
    connection.execute("BEGIN IMMEDIATE")
    for n in range(300):
        connection.execute("INSERT INTO drafts VALUES (?, '', ?)", (f"half {n}", "x" * 3000))
    half, undo = path.read_bytes(), journal.read_bytes()
    connection.execute("ROLLBACK")
    connection.close()
    path.write_bytes(half)
    journal.write_bytes(undo)
    with Project.open(path, read_only=True) as opened:
        assert opened.drafts() == ()
        assert opened.events("s1") == batch(ended=False)
    assert (path.read_bytes(), journal.read_bytes()) == (half, undo)
    with Project.open(path) as opened:  # and where it can be written it is undone in place
        assert opened.drafts() == ()
    assert not journal.exists()


def test_what_cannot_be_read_in_a_sound_database_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as made:
        with made.writing() as connection:
            connection.execute("INSERT INTO shelf VALUES (1, '', '{\"stove\": \"campfire\"}')")
            connection.execute("INSERT INTO recipes VALUES (1, 'x', 0)")
            connection.execute("INSERT INTO revisions VALUES (1, 1, '', '[]')")
            connection.execute(
                "INSERT INTO documents VALUES ('k', 'a', 1, '', '{\"words\":{\"words\":\"lost\"}}')"
            )
            connection.execute("INSERT INTO sessions VALUES (1, 'yesterday', 'x', 1, 0, '')")
        for read, place in (
            (made.shelf, "shelf"),
            (made.recipes, "recipe x, revision 1"),
            (lambda: made.documents("k"), "k a, revision 1"),
            (made.sessions, "s1"),
        ):
            with pytest.raises(StoreTrouble, match="damaged") as caught:
                read()
            assert [fault.place for fault in caught.value.faults] == [place]


def test_reading_without_end_is_stopped(project: Project) -> None:
    with (
        pytest.raises(StoreTrouble, match="more than this program takes in") as caught,
        project.reading() as file,
    ):
        file.execute(
            "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT max(x) FROM n"
        ).fetchone()
    assert caught.value.kind is troubles.Kind.TOO_LARGE
    assert project.recipes() == ()


def test_a_mistake_of_ours_is_not_told_as_trouble(project: Project) -> None:
    with pytest.raises(sqlite3.IntegrityError), project.writing() as connection:
        connection.execute("INSERT INTO recipes VALUES (1, 'x', 0), (1, 'y', 0)")
    assert project.recipes() == ()
