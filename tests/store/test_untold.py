"""What nobody was there to be told waits for the next opening, in the words of that window."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.builders import START
from workbench.core.wording import Said, say_again
from workbench.store import troubles
from workbench.store.rescue import SavedCopy
from workbench.store.untold import Untold

PROJECT = "5f" * 16
PATH = Path("/media/blue stick/Kitchen.balmbook")


def test_a_failed_backup_is_told_until_one_is_made(tmp_path: Path) -> None:
    folder = tmp_path / "own" / "untold"
    Untold(folder).no_backup(PROJECT, PATH, troubles.disk_full(PATH).says, START)
    for _ in range(2):  # at every opening, and by another process than the one that met it
        says = Untold(folder).why_no_backup(PROJECT, PATH)
        assert says is not None
        assert says.startswith(
            "The newest state of Kitchen has no backup: making it on 2026-03-14 09:30 failed."
        )
        assert str(PATH) in says  # place, reason and remedy
        assert "is full. Free some space" in says
    assert Untold(folder).why_no_backup("another", PATH) is None
    Untold(folder).backup_made(PROJECT, PATH)
    assert Untold(folder).why_no_backup(PROJECT, PATH) is None
    assert list(folder.iterdir()) == []


def test_it_is_told_in_the_language_of_the_window_that_tells_it(tmp_path: Path) -> None:
    Untold(tmp_path).no_backup(PROJECT, PATH, troubles.not_answering(PATH, 1.0).says, START)
    says = Untold(tmp_path).why_no_backup(PROJECT, PATH)
    assert isinstance(says, Said)
    assert "has not answered for 1 second." in says
    asked: list[str] = []
    say_again(says, lambda text: asked.append(str(text)) or text, str)  # type: ignore[func-returns-value]
    assert any(text.startswith("The disk that holds {place} has not answered for %n") for text in asked)
    assert any(text.startswith("The newest state of {name}") for text in asked)


def test_a_copy_with_the_same_id_does_not_settle_it_for_the_project(tmp_path: Path) -> None:
    path = tmp_path / "Kitchen.balmbook"
    path.write_bytes(b"")
    told = Untold(tmp_path / "own")
    told.no_backup(PROJECT, path, "The disk is full.", START)
    told.backup_made(PROJECT, tmp_path / "Copy.balmbook")
    assert told.why_no_backup(PROJECT, path) is not None
    assert told.why_no_backup(PROJECT, tmp_path / "Copy.balmbook") is None
    elsewhere = tmp_path / "mounted elsewhere.balmbook"  # a stick may be in another place the next time
    path.unlink()
    assert told.why_no_backup(PROJECT, elsewhere) is not None
    told.backup_made(PROJECT, elsewhere)
    assert told.why_no_backup(PROJECT, elsewhere) is None


def test_copies_are_told_of_until_they_were_seen_or_are_gone(tmp_path: Path) -> None:
    told = Untold(tmp_path / "own")
    places = [tmp_path / f"Kitchen {at}.balmbook" for at in range(3)]
    for at, place in enumerate(places):
        place.write_bytes(b"")
        told.rescued(PROJECT, PATH, SavedCopy(place, at == 2, "s1"), START + timedelta(days=at))
    places[1].unlink()
    again = Untold(tmp_path / "own")
    assert [each.path for each in again.copies(PROJECT, PATH)] == [places[2], places[0]]
    assert [each.path for each in again.copies(PROJECT, places[2])] == [places[0]]  # which is open itself
    whole, part = again.copies(PROJECT, PATH)
    assert str(places[2]) in whole.says
    assert "go on with it from there" in whole.says
    assert "go on in the project itself" in part.says  # going on in that copy would lose what came before
    again.seen(PROJECT)
    assert told.copies(PROJECT, PATH) == ()


def test_what_no_disk_took_is_owned_up_to(tmp_path: Path) -> None:
    told = Untold(tmp_path)
    told.lost(PROJECT, PATH, 3, troubles.disk_full(tmp_path).says, START)
    says = Untold(tmp_path).says_lost(PROJECT)
    assert says is not None
    assert "did not take 3 entries any more" in says
    assert "is full" in says
    assert "Look at the end of the last batch" in says
    told.seen(PROJECT)
    assert Untold(tmp_path).says_lost(PROJECT) is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[",
        "[1]",
        '{"backup": 3, "copies": {}}',
        '{"backup": {"place": "/x", "why": {"values": 1}}, "copies": [1], "lost": [2]}',
    ],
)
def test_notes_that_cannot_be_read_are_no_obstacle(tmp_path: Path, text: str) -> None:
    told = Untold(tmp_path)
    told.no_backup(PROJECT, PATH, "full", START)
    (file,) = tmp_path.iterdir()
    file.write_text(text)
    assert told.why_no_backup(PROJECT, PATH) is None
    assert told.copies(PROJECT, PATH) == ()
    assert told.says_lost(PROJECT) is None
    told.no_backup(PROJECT, PATH, "full", START)
    assert told.why_no_backup(PROJECT, PATH) is not None


def test_where_this_computers_disk_refuses_too_it_stays_in_memory(tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("")
    told = Untold(tmp_path / "in the way" / "untold")
    told.no_backup(PROJECT, PATH, "The disk is full.", START)
    assert told.why_no_backup(PROJECT, PATH) is not None
    told.backup_made(PROJECT, PATH)
    assert told.why_no_backup(PROJECT, PATH) is None


def test_an_id_from_a_hostile_file_names_no_path(tmp_path: Path) -> None:
    told = Untold(tmp_path / "own")
    told.no_backup("../../outside", PATH, "full", START)
    (file,) = (tmp_path / "own").iterdir()
    assert file.name.removesuffix(".json").isalnum()
    assert "why" in json.loads(file.read_text())["backup"]
    assert list(tmp_path.iterdir()) == [tmp_path / "own"]
