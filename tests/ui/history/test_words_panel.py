"""Words from wearers: kept with the batch, found by the code on a tin, and what a reaction does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from tests.ui.history.test_wear_page import finished
from workbench.core.batch.record import record
from workbench.core.review.keeping import ERASED, WORD_FROM_WEARER, body_of, read_kept
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.core.trouble import Trouble
from workbench.ui import theme
from workbench.ui.context import Context
from workbench.ui.history.port import ShelvedInMind
from workbench.ui.history.words_panel import WordsPanel
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.widgets.basic import Scroller, column, page
from workbench.ui.widgets.callout import Callout


@pytest.fixture
def shelved() -> ShelvedInMind:
    return ShelvedInMind()


@pytest.fixture
def panel(qtbot: QtBot, context: Context, shelved: ShelvedInMind) -> Iterator[WordsPanel]:
    made = WordsPanel(context, shelved, codes=lambda: {"s2": "E-2", "s1": "E-1"})
    qtbot.addWidget(made)
    made.show()
    look_at(made)
    yield made
    made.close()


def look_at(panel: WordsPanel, session: str = "s1", code: str = "E-1") -> None:
    panel.show_session(session, finished(), replace(record(finished()), batch_code=code))


def kept(shelved: ShelvedInMind, key: str = "E-1") -> WordsFromWearers:
    made = read_kept(WordsFromWearers, shelved.read(WORD_FROM_WEARER, key))
    assert made is not None
    return made


def test_a_word_is_kept_under_the_code_of_the_batch(
    panel: WordsPanel, shelved: ShelvedInMind, qtbot: QtBot
) -> None:
    panel.told.setText("1.5.2026")
    panel.wearer.setText("qx")
    panel.rating.pick(8)
    panel.words.setPlainText("lovely, a little hard")
    with qtbot.waitSignal(panel.changed, timeout=1000):
        panel.keep.click()
    assert kept(shelved).said == (
        WordFromWearer(number=1, told=date(2026, 5, 1), wearer="qx", rating=8, words="lovely, a little hard"),
    )
    assert panel.words.toPlainText() == ""  # ready for the next one
    assert panel.told.text() == "2026-08-15"
    assert not panel.findChildren(Callout)


def test_a_reaction_puts_a_caution_on_the_batch_and_is_taken_back_by_a_change(
    panel: WordsPanel, shelved: ShelvedInMind
) -> None:
    panel.reaction.setChecked(True)
    panel.keep.click()
    assert kept(shelved).reaction
    (shown,) = panel.findChildren(Callout)
    assert "reaction" in shown.heading.text()
    panel.edit(1)
    assert panel.reaction.isChecked()
    panel.reaction.setChecked(False)
    panel.words.setPlainText("it was a new soap")
    panel.keep.click()
    assert [word.reaction for word in kept(shelved).said] == [False]


@pytest.mark.parametrize(
    ("told", "wearer", "words"),
    [("soon", "", "x"), ("", "A1", "x"), ("", "", ""), ("", "", "x" * 401)],
)
def test_what_cannot_be_kept_is_said(
    panel: WordsPanel, shelved: ShelvedInMind, told: str, wearer: str, words: str
) -> None:
    panel.told.setText(told)
    panel.wearer.setText(wearer)
    panel.words.setPlainText(words)
    panel.keep.click()
    assert panel.fault.isVisible()
    assert shelved.keys(WORD_FROM_WEARER) == ()
    assert panel.words.toPlainText() == words  # nothing that was typed is lost


def test_a_disk_that_refuses_keeps_what_was_typed(
    panel: WordsPanel, shelved: ShelvedInMind, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelved, "write", lambda *_: False)
    panel.words.setPlainText("lovely")
    panel.keep.click()
    assert panel.fault.isVisible()
    assert panel.words.toPlainText() == "lovely"
    assert panel.kept.said == ()


def test_the_batch_of_a_tin_is_found(panel: WordsPanel, qtbot: QtBot) -> None:
    panel.code.setText("e2")
    with qtbot.waitSignal(panel.opened, timeout=1000) as found:
        panel.find_batch.click()
    assert list(found.args or ()) == ["s2"]
    panel.code.setText("E-9")
    with qtbot.assertNotEmitted(panel.opened):
        panel.find_batch.click()
    assert "E-9" in panel.found.text()


def test_two_batches_with_one_code_keep_their_words_apart(panel: WordsPanel, shelved: ShelvedInMind) -> None:
    panel.words.setPlainText("of the first")
    panel.keep.click()
    look_at(panel, "s2")
    assert not any(word.words for word in panel.kept.said)
    panel.words.setPlainText("of the second")
    panel.keep.click()
    assert kept(shelved).said[0].words == "of the first"
    assert kept(shelved, "s2").said[0].words == "of the second"
    look_at(panel, "s2")
    assert panel.kept.said[0].words == "of the second"


def test_what_is_typed_waits_for_its_batch(panel: WordsPanel, shelved: ShelvedInMind) -> None:
    panel.words.setPlainText("half a sentence")
    panel.rating.pick(6)
    look_at(panel, "s2", "E-2")
    assert panel.words.toPlainText() == ""
    assert panel.rating.accessibleName().endswith("not marked")
    look_at(panel)
    assert (panel.words.toPlainText(), panel.rating.points) == ("half a sentence", 6)
    panel.keep.click()
    assert kept(shelved).said[0].words == "half a sentence"
    look_at(panel)
    assert panel.words.toPlainText() == ""
    panel.words.setPlainText("of the other project")
    panel.forget()
    look_at(panel)
    assert panel.words.toPlainText() == ""


def test_erased_initials_stay_erased(panel: WordsPanel, shelved: ShelvedInMind) -> None:
    said = (WordFromWearer(number=1, wearer=ERASED, words=ERASED, rating=5),)
    shelved.write(WORD_FROM_WEARER, "E-1", body_of(WordsFromWearers(session="s1", said=said)))
    look_at(panel)
    panel.edit(1)
    assert panel.wearer.text() == ""
    panel.rating.pick(6)
    panel.keep.click()
    assert (kept(shelved).said[0].wearer, kept(shelved).said[0].rating) == (ERASED, 6)


def test_taken_away_when_asked(panel: WordsPanel, shelved: ShelvedInMind, ask: ScriptedAsk) -> None:
    panel.words.setPlainText("lovely")
    panel.keep.click()
    ask.answers["remove word"] = "remove"
    panel.ask_remove(1)
    assert kept(shelved).said == ()


def test_what_could_not_be_read_is_said_and_not_written_over(
    panel: WordsPanel, shelved: ShelvedInMind, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reaction that was told before must not be lost to a project that was busy for a moment."""
    panel.reaction.setChecked(True)
    panel.keep.click()

    def busy(_kind: str, _key: str) -> object:
        raise Trouble("The project does not answer.")

    with monkeypatch.context() as patch:
        patch.setattr(shelved, "read", busy)
        look_at(panel)
    assert "does not answer" in panel.fault.text()
    panel.words.setPlainText("lovely")
    panel.keep.click()
    assert "nothing is written over it" in panel.fault.text()
    assert panel.words.toPlainText() == "lovely"
    assert [word.reaction for word in kept(shelved).said] == [True]


def test_words_that_say_nothing_to_this_program_are_said_and_give_way_to_new_ones(
    panel: WordsPanel, shelved: ShelvedInMind
) -> None:
    shelved.write(WORD_FROM_WEARER, "E-1", {"said": "lovely"})
    look_at(panel)
    assert "cannot be read" in panel.none.text()
    assert "counts as one that skin reacted to" in panel.none.text()
    panel.words.setPlainText("lovely")
    panel.keep.click()
    assert kept(shelved).said[0].words == "lovely"
    assert panel.none.isHidden()


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("width", [700, 1240, 1900])
def test_nothing_lies_on_the_field_for_words(
    context: Context, shelved: ShelvedInMind, qapp: QApplication, qtbot: QtBot, width: int, percent: int
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, percent))
    panel = WordsPanel(context, shelved)
    look_at(panel)
    scroller = Scroller(page(column(panel)))
    qtbot.addWidget(scroller)
    scroller.resize(width * percent // 100, 600)
    scroller.show()
    for said in ("Warm and dry, gone by noon.", "red for a day"):
        panel.words.setPlainText(said)
        panel.reaction.setChecked(True)
        panel.keep.click()
    for _ in range(4):
        QApplication.processEvents()

    def place(widget: QWidget) -> QRect:
        return QRect(widget.mapTo(panel, QPoint(0, 0)), widget.size())

    parts = (panel.told, panel.wearer, panel.rating, panel.words, panel.reaction, panel.keep)
    for above, below in pairwise(parts):
        assert place(above).bottom() < place(below).top(), (above, below)
