"""Faults are picked, judged by the record and kept; what follows for the recipe is offered with its reasons."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QThreadPool
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from tests.ui.history.past import Shelf, many
from tests.ui.history.test_history import column_of
from workbench.core.batch.record import record
from workbench.core.recipe.model import Recipe
from workbench.core.review.faults import FaultKind, FaultsSeen
from workbench.core.review.keeping import FAULT_SEEN, WORD_FROM_WEARER, body_of, read_kept
from workbench.core.review.past import Outcome
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.core.trouble import Trouble
from workbench.store.review_tables import load_faults
from workbench.testing import BEGIN
from workbench.ui.context import Context
from workbench.ui.history import HistoryPage, PastPorts, next_page
from workbench.ui.history.faults_page import CauseCard
from workbench.ui.history.port import ShelvedInMind

OFF = "s23"  # led with a fifth more lavender than planned

Open = Callable[..., HistoryPage]


@pytest.fixture
def opened(qtbot: QtBot, context: Context, tmp_path: Path) -> Open:
    def make(session: str = OFF, newest: int | None = 1) -> HistoryPage:
        ports = PastPorts(
            Shelf().load,
            load_faults(),
            ShelvedInMind(),
            lambda: tmp_path,
            now=lambda: BEGIN,
            newest_revision=lambda _name: newest,
        )
        page = HistoryPage(context, ports)
        qtbot.addWidget(page)
        page.show_entries(many(24))
        page.resize(1280, 740)
        page.show()
        page.open(session)
        return page

    return make


def said(page: HistoryPage, key: str) -> list[str]:
    return [label.text() for label in page.reader.panels[key].findChildren(QLabel)]


def test_a_fault_is_picked_judged_and_kept_by_keyboard(opened: Open) -> None:
    page = opened()
    page.reader.go_to("faults")
    assert not page.faults.record.isVisibleTo(page)
    made = page.faults.kinds[FaultKind.GRAIN]
    made.setFocus()
    QTest.keyClick(made, Qt.Key.Key_Space)
    shown = page.faults.findChildren(CauseCard)
    assert len(shown) == len(load_faults().of(FaultKind.GRAIN).cause)
    assert any("change one thing at a time" in text for text in said(page, "faults"))
    shown[1].chosen.setFocus()
    QTest.keyClick(shown[1].chosen, Qt.Key.Key_Space)
    page.faults.words.setFocus()
    QTest.keyClicks(page.faults.words, "two tins of three")
    QTest.keyClick(page.faults.words, Qt.Key.Key_Tab)  # a field for words lets one out
    assert not page.faults.words.hasFocus()
    page.faults.record.click()
    (seen,) = page.faults.kept.faults
    assert (seen.kind, seen.cause, seen.words) == (FaultKind.GRAIN, shown[1].key, "two tins of three")
    assert "recorded" in made.text()
    page.reader.back.click()  # the list knows it
    assert next(row for row in page.list.model.rows if row.id == OFF).faults == ("grain",)
    page.open(OFF)
    page.reader.go_to("faults")
    page.faults.take_back.click()
    assert page.faults.kept.faults == ()


def test_a_fault_that_cannot_be_kept_is_not_shown_as_kept(
    opened: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened()
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.SWEAT)
    monkeypatch.setattr(page._ports.shelved, "write", lambda *_: False)
    page.faults.record.click()
    assert page.faults.kept.faults == ()
    assert "recorded" not in page.faults.kinds[FaultKind.SWEAT].text()


def test_faults_that_could_not_be_read_are_said_and_not_written_over(
    opened: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened()
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.SKIN_REACTION)
    page.faults.record.click()
    shelved = page._ports.shelved

    def busy(_kind: str, _key: str) -> object:
        raise Trouble("The project does not answer.")

    with monkeypatch.context() as patch:
        patch.setattr(shelved, "read", busy)
        page.faults.show_session(OFF, page.reader.state, record(page.reader.state))
    assert "does not answer" in page.faults.fault.text()
    page.faults.choose(FaultKind.GRAIN)
    page.faults.record.click()
    assert "nothing is written over it" in page.faults.said.text()
    kept = read_kept(FaultsSeen, shelved.read(FAULT_SEEN, OFF))
    assert kept is not None
    assert kept.kinds == ("skin_reaction",)


def test_a_skin_reaction_is_no_diagnosis(opened: Open) -> None:
    page = opened()
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.SKIN_REACTION)
    assert any("no diagnosis" in text for text in said(page, "faults"))


def test_a_reaction_that_was_told_flags_the_batch(opened: Open) -> None:
    page = opened("s6")
    assert not page.reader.flag.isVisibleTo(page)
    said_of_it = WordFromWearer(number=1, reaction=True)
    words = WordsFromWearers(session="s6", batch_code="B0006", said=(said_of_it,))
    page._ports.shelved.write(WORD_FROM_WEARER, "B0006", body_of(words))
    page.words.changed.emit()
    assert page.reader.flag.isVisibleTo(page)  # at once
    page.reader.back.click()
    page.open("s6")
    assert "reaction" in page.reader.flag.text()
    assert page.reader.flag.isVisibleTo(page)
    page.list.filters.choose("outcome", Outcome.FLAGGED.value)
    assert [row.id for row in page.list.model.rows] == ["s6"]


def test_a_reaction_that_was_seen_flags_the_batch_and_holds_fragrance_back(opened: Open) -> None:
    page = opened("s6")
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.SKIN_REACTION)
    page.faults.record.click()
    assert page.reader.flag.isVisibleTo(page)
    page.reader.go_to("next")
    assert any("nothing that adds fragrance" in text for text in said(page, "next"))
    page.reader.back.click()
    page.list.filters.choose("outcome", Outcome.FLAGGED.value)
    assert [row.id for row in page.list.model.rows] == ["s6"]


def test_a_reaction_to_another_batch_of_the_recipe_counts(opened: Open) -> None:
    page = opened("s6")
    recipe = page.reader.state.recipe_name
    word = WordFromWearer(number=1, reaction=True)
    for key, name in (("B0009", "Another"), ("B0005", recipe)):
        page._ports.shelved.write(
            WORD_FROM_WEARER, key, body_of(WordsFromWearers(session=key, recipe_name=name, said=(word,)))
        )
        page.words.changed.emit()
        page.reader.go_to("next")
        page.next.show_session("s6", page.reader.state, record(page.reader.state))
        held_back = any("nothing that adds fragrance" in text for text in said(page, "next"))
        assert held_back == (name == recipe)
    assert not page.reader.flag.isVisibleTo(page)  # of this batch nothing was told


def test_notes_that_cannot_be_read_are_no_permission(opened: Open) -> None:
    """In the list, at the batch and where more fragrance would be proposed."""
    page = opened("s6")
    page._ports.shelved.write(WORD_FROM_WEARER, "B0006", {"said": "lovely"})
    page.words.changed.emit()
    assert "not known whether skin reacted" in page.reader.flag.text()
    page.reader.go_to("next")
    assert any("cannot be read" in text for text in said(page, "next"))
    assert any("nothing that adds fragrance" in text for text in said(page, "next"))
    page.reader.back.click()
    page.list.filters.choose("outcome", Outcome.UNREAD.value)
    assert [row.id for row in page.list.model.rows] == ["s6"]
    assert column_of(page, "what")[0].startswith("!  ")  # its sign stays where the window is narrow
    page.list.filters.clear()
    assert sum(text.startswith("!") for text in column_of(page, "what")) == 1
    page._ports.shelved.write(FAULT_SEEN, "s6", {"faults": 3})
    page.open("s6")
    page.reader.go_to("faults")
    assert "cannot be read" in page.faults.fault.text()


def test_a_copy_under_another_name_is_held_back_as_well(opened: Open) -> None:
    """The same fragrance materials, another name: the reaction follows the materials."""
    page = opened("s6")
    entries = many(24)
    other = next(each for each in entries if each.recipe_name != page.reader.state.recipe_name)
    assert other.summary is not None
    told = WordsFromWearers(
        session=other.id, batch_code=other.batch_code, said=(WordFromWearer(number=1, reaction=True),)
    )
    page._ports.shelved.write(WORD_FROM_WEARER, other.batch_code, body_of(told))
    page.next.show_session("s6", page.reader.state, record(page.reader.state))
    assert any("whole fragrance is in this recipe too" in text for text in said(page, "next"))


def test_another_batch_has_its_own_faults(opened: Open) -> None:
    page = opened()
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.CRACKS)
    page.faults.record.click()
    page.open("s6")
    assert page.reader.in_front == "faults"
    assert not page.faults.kept.faults
    assert not any(made.isChecked() for made in page.faults.kinds.values())
    assert page._ports.shelved.keys(FAULT_SEEN) == (OFF,)


def test_the_next_revision_is_offered_change_by_change(opened: Open, qtbot: QtBot) -> None:
    page = opened()
    page.reader.go_to("faults")
    page.faults.choose(FaultKind.WEAK_SCENT)
    page.faults.record.click()
    page.reader.go_to("next")
    cards = page.next.cards
    assert len(cards) >= 2
    assert all(card.reason.text() for card in cards)
    made = next(card for card in cards if "as they were made" in card.says.text())
    load = next(card for card in cards if "load" in card.says.text())
    assert not page.next.revise.isEnabled()  # it is worked out off the window's thread
    qtbot.waitUntil(page.next.revise.isEnabled)
    assert "Lavender" in page.next.says.text()
    made.tick.setFocus()
    QTest.keyClick(made.tick, Qt.Key.Key_Space)
    assert not page.next.revise.isEnabled()  # what is shown is not what would open
    qtbot.waitUntil(page.next.revise.isEnabled)
    assert "Lavender" not in page.next.says.text()
    QTest.keyClick(load.tick, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: page.next.says.text() == "The same as it was.")
    assert not page.next.revise.isEnabled()  # nothing is left to change
    QTest.keyClick(made.tick, Qt.Key.Key_Space)
    qtbot.waitUntil(page.next.revise.isEnabled)
    with qtbot.waitSignal(page.revise_asked) as asked:
        page.next.revise.click()
    recipe, words = asked.args
    assert isinstance(recipe, Recipe)
    assert "2026-04-06" in words  # the day of the batch
    lines = {line.material: line.amount.value for line in recipe.scent}
    assert lines["lavender"] / lines["cedarwood_virginia"] == pytest.approx(1.2 * 2 / 3, rel=0.01)


def test_what_was_asked_before_another_batch_was_opened_is_not_shown(opened: Open, qtbot: QtBot) -> None:
    page = opened()
    page.reader.go_to("next")
    assert page.next.cards
    page.open("s6")
    page.reader.go_to("next")
    QThreadPool.globalInstance().waitForDone(5000)
    qtbot.wait(0)
    assert not page.next.says.isVisibleTo(page)
    page.next.revise.click()  # nothing to open, and nothing happens
    assert not page.next.revise.isEnabled()


def test_a_recipe_that_cannot_be_worked_out_any_more_is_said(
    opened: Open, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened()

    def broken(*_given: object) -> object:
        raise Trouble("The table of limits is gone.")

    monkeypatch.setattr(next_page, "check", broken)
    page.reader.go_to("next")
    qtbot.waitUntil(lambda: "limits is gone" in page.next.refused.text())
    assert not page.next.revise.isEnabled()


def test_a_recipe_that_has_gone_on_is_said(opened: Open) -> None:
    page = opened(newest=5)
    page.reader.go_to("next")
    assert "revision 5" in page.next.moved_on.text()
    page = opened(newest=1)
    page.reader.go_to("next")
    assert not page.next.moved_on.isVisibleTo(page)


def test_a_batch_that_went_well_asks_for_nothing(opened: Open) -> None:
    page = opened("s6")
    page.reader.go_to("next")
    assert not [card for card in page.next.cards if "as they were made" in card.says.text()]
