"""The sheets of keeping: words a person can read, room for them, and a check that nothing has to wait for unknowingly."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.editor.kitchen import OPEN
from tests.ui.whole import Bench
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Brief
from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER
from workbench.store import check
from workbench.store.backup import Backup
from workbench.store.erasing import PersonalWords
from workbench.store.sessions import SessionEntry
from workbench.store.untold import Untold
from workbench.ui.keeping.at_work import AtWork
from workbench.ui.keeping.sheets import EraseSheet, FoundSheet, RestoreSheet
from workbench.ui.widgets.banner import Banner


@pytest.fixture
def bench(tables: Catalogue, starter: Shelf, tmp_path: Path, qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(tables, starter, tmp_path)
    made.house.desk.create(tmp_path / "Kitchen.balmbook", starter)
    made.house.model.open(OPEN)
    assert made.house.recipes.save()
    yield made
    made.house.model.stack.setClean()
    made.window.close()
    made.window.deleteLater()


@pytest.fixture
def parent(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    return made


def erase_sheet(parent: QWidget, *texts: str) -> EraseSheet:
    words = tuple(PersonalWords(f"{at}", f"place {at}", "M.", text) for at, text in enumerate(texts))
    return EraseSheet(words, lambda _pieces, _reason: None, parent)


def test_copies_that_still_hold_the_words_are_named(parent: QWidget, tmp_path: Path) -> None:
    rescued, own = (
        tmp_path / "rescued",
        AtWork(lambda: NOW, Untold(tmp_path / "untold"), tmp_path / "rescued"),
    )
    assert own.rescued("Kitchen") == ()  # there is no such folder yet
    rescued.mkdir()
    for name in ("Kitchen 2026-03-14 101500", "Kitchenware 2026-03-14 101500"):
        (rescued / f"{name}.balmbook").touch()
    copies = own.rescued("Kitchen")
    assert copies == (rescued / "Kitchen 2026-03-14 101500.balmbook",)
    words = (PersonalWords("1", "place", "", "a note"),)
    sheet = EraseSheet(words, lambda _pieces, _reason: None, parent, rescued=copies)
    sheet.show()
    assert str(copies[0]) in sheet.copies.text()
    assert sheet.copies.isVisible()
    sheet.list.item(0).setCheckState(Qt.CheckState.Checked)
    assert sheet.marked() == words
    other = EraseSheet(words, lambda _pieces, _reason: None, parent)
    other.show()
    assert not other.copies.isVisible()


def test_a_place_in_a_batch_is_said_by_its_recipe_and_day(parent: QWidget) -> None:
    batch = SessionEntry("s12", 12, datetime(2026, 3, 14, 10, 0, tzinfo=UTC), "Still Water", 1, False, "K-1")
    places = ("session s12, entry 7", "session s1, entry 7", "recipe Still Water, revision 2",
              f"{WEAR_TEST} s12, revision 1", f"{WORD_FROM_WEARER} s12, revision 3",
              f"{WORD_FROM_WEARER} K-1, revision 3")  # fmt: skip
    words = tuple(PersonalWords(place, place, "", "a note") for place in places)
    sheet = EraseSheet(words, lambda _pieces, _reason: None, parent, [batch])
    shown = [sheet.list.item(at).text() for at in range(sheet.list.count())]
    assert shown == [
        "no initials, batch of “Still Water” of 2026-03-14, entry 7: a note",
        "no initials, session s1, entry 7: a note",  # nothing is known of it
        "no initials, recipe Still Water, revision 2: a note",
        "no initials, wear test of “Still Water” of 2026-03-14, revision 1: a note",
        "no initials, words about “Still Water” of 2026-03-14, revision 3: a note",
        "no initials, word from a wearer K-1, revision 3: a note",  # the code stands on the tin
    ]


def test_what_is_known_of_a_wearer_is_said_in_words(parent: QWidget) -> None:
    brief = Brief(for_whom="M.", liked="tea", allergies=("coumarin", "citral"), asthma=True, worn_in_sun=True)
    sheet = erase_sheet(
        parent, brief.model_dump_json(), "{not json", "a plain note", Brief(for_whom="M.").model_dump_json()
    )
    shown = [sheet.list.item(at).text() for at in range(sheet.list.count())]
    assert shown[0] == "M., place 0: likes: tea; allergies: coumarin, citral; asthma"
    assert shown[1].endswith("{not json")
    assert shown[2].endswith("a plain note")
    assert shown[3].endswith("initials only")


def test_every_field_of_a_wearer_is_shown_before_it_is_erased(parent: QWidget) -> None:
    """Whoever erases must see what goes, whatever is added to a brief later on."""
    said_elsewhere = {
        "for_whom",
        "worn_in_sun",
        "selling",
    }  # initials stand before; the others say nothing of a person
    empty = json.loads(Brief().model_dump_json())
    for key, value in empty.items():
        if key in said_elsewhere:
            continue
        told = True if isinstance(value, bool) else ["kumquat"] if isinstance(value, list) else "kumquat"
        sheet = erase_sheet(parent, json.dumps({**empty, key: told}))
        assert "initials only" not in sheet.list.item(0).text(), key


def test_long_lines_are_broken_never_cut(parent: QWidget, qtbot: QtBot) -> None:
    line = "session s3, entry 17: it was changed after it was written, or one before it was: " * 3
    sheet = FoundSheet("Faults found: 1.", "Nothing was changed.", [line], parent)
    sheet.show()
    qtbot.waitExposed(sheet)
    height = sheet.list.visualItemRect(sheet.list.item(0)).height()
    room = sheet.list.viewport().width() - 2 * sheet.list.spacing()
    letters = sheet.list.fontMetrics()
    wrapped = letters.boundingRect(0, 0, room, 9999, Qt.TextFlag.TextWordWrap, line)
    lines = wrapped.height() / letters.lineSpacing()
    assert lines > 1
    assert height / letters.height() >= lines
    assert not sheet.list.horizontalScrollBar().isVisible()
    sheet.close()


def test_names_for_those_who_hear_the_window(parent: QWidget) -> None:
    backups = (Backup(Path("a"), datetime(2026, 3, 14, 8, 0), 72_000),)  # noqa: DTZ001 - a local name
    restore = RestoreSheet("Kitchen", backups, lambda _one: None, parent)
    assert restore.list.accessibleName() == restore.windowTitle() == "Restore a backup"
    assert "70 kB" in restore.list.item(0).text()
    sheet = erase_sheet(parent, "a note")
    assert sheet.reason.accessibleName() == "Why"
    assert not sheet.erase.isEnabled()


# a check


def test_while_the_project_is_looked_through_no_batch_begins(
    bench: Bench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on, real = threading.Event(), check.check_project

    def slow(path: Path, progress: check.Progress) -> check.Report:
        assert go_on.wait(20)
        return real(path, progress)

    monkeypatch.setattr(check, "check_project", slow)
    bench.house.keeping.check()
    said = bench.window.banner.words
    assert "Looking through" in said.text()
    bench.house.keeping.check()  # asked twice: once is enough
    bench.house.batches.make(False)
    assert bench.house.batches.room is None
    assert "just being looked through" in said.text()
    go_on.set()
    qtbot.waitUntil(lambda: "is sound" in said.text())
    bench.house.batches.make(False)
    assert bench.house.batches.room is not None


# the strip that says it


def test_answers_go_below_where_the_words_would_get_a_narrow_column(qtbot: QtBot) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    banner.tell(
        "The project is not sound. Faults found: 12.", ("See them all", int), ("Restore a backup …", int)
    )
    for width, direction in (
        (2400, QBoxLayout.Direction.LeftToRight),
        (420, QBoxLayout.Direction.TopToBottom),
    ):
        banner.resize(QSize(width, 200))
        assert banner._whole.direction() is direction
