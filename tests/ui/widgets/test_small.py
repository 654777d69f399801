"""Questions, cards, banner, choices, signs and small settings of text."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, SignalWord
from workbench.ui.theme import theme_now
from workbench.ui.widgets.ask import (
    AskDialog,
    Choice,
    FileWish,
    QtAsk,
    Question,
    ScriptedAsk,
    SilentAsk,
)
from workbench.ui.widgets.banner import Banner
from workbench.ui.widgets.bar import LimitBar
from workbench.ui.widgets.basic import Words, held_together
from workbench.ui.widgets.callout import Callout, callout_of
from workbench.ui.widgets.cards import AnswerCards
from workbench.ui.widgets.choose import ChooseBox, grouped_model
from workbench.ui.widgets.marks import mark, meaning, role
from workbench.ui.widgets.signs import SIGNS, Shape, paint_sign
from workbench.ui.writing import Writer

ASKED = Question(
    "leave", "Save first?", "It was changed.", (Choice("stay", "Stay"), Choice("save", "Save", True))
)


def test_the_silent_answerer_is_cautious() -> None:
    got: list[object] = []
    SilentAsk().ask(ASKED, got.append)
    SilentAsk().ask_file(FileWish("open", "Open", "*.json"), got.append)
    SilentAsk().tell("Done", "All is well.")
    assert got == ["stay", None]


def test_the_scripted_answerer_knows_only_what_was_foreseen() -> None:
    ask = ScriptedAsk({"leave": "save", "open": Path("a.json")})
    got: list[object] = []
    ask.ask(ASKED, got.append)
    ask.ask_file(FileWish("open", "Open", "*.json"), got.append)
    assert got == ["save", Path("a.json")]
    ask.answers["leave"] = "perhaps"
    with pytest.raises(KeyError):
        ask.ask(ASKED, got.append)


def test_a_question_on_paper_answers_once_and_escape_is_cautious(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    got: list[str] = []
    dialog = AskDialog(ASKED, got.append, window)
    dialog.open()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert got == ["stay"]
    again = AskDialog(ASKED, got.append, window)
    again.open()
    buttons = {one.property("answer"): one for one in again.findChildren(QWidget) if one.property("answer")}
    buttons["save"].click()  # type: ignore[attr-defined]
    assert got == ["stay", "save"]


def test_telling_needs_no_answer(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    QtAsk(window).tell("Exported", "The file is there.")
    dialog = window.findChild(AskDialog)
    assert dialog is not None
    QTest.keyClick(dialog, Qt.Key.Key_Escape)


def test_cards_stand_in_as_many_columns_as_fit(qtbot: QtBot) -> None:
    cards = AnswerCards("Answers")
    for key in ("one", "two", "three", "four"):
        cards.add(key, key.title()).answer_with(f"{key} 62 °C")
    qtbot.addWidget(cards)
    em = theme_now().em()
    cards.resize(em * 40, em * 6)
    cards.show()
    tops = {card.y() for card in cards.cards.values()}
    assert len(tops) == 1
    heights = {card.height() for card in cards.cards.values()}
    assert len(heights) == 1
    cards.resize(em * 20, em * 12)
    QTest.qWait(0)
    assert len({card.y() for card in cards.cards.values()}) == 2
    chosen: list[str] = []
    cards.chosen.connect(chosen.append)
    cards.cards["two"].click()
    assert chosen == ["two"]


def test_what_must_be_found_is_not_told_by_colour_alone(qtbot: QtBot) -> None:
    cards = AnswerCards("Answers")
    card = cards.add("skin", "On skin")
    qtbot.addWidget(cards)
    card.answer_with("Over a limit", True)
    assert card.answer.text().startswith("!")
    assert card.accessibleName() == "On skin: Over a limit"


def test_a_bar_over_its_limit_is_hatched_as_well_as_red(qtbot: QtBot) -> None:
    bar = LimitBar()
    qtbot.addWidget(bar)
    bar.resize(250, 12)
    bar.show()

    def colours(used: float) -> set[str]:
        bar.show_used(used, f"{used} % of the limit")
        image = bar.grab().toImage()
        return {image.pixelColor(x, 6).name() for x in range(4, 190)}

    theme = theme_now().colours
    within, over = colours(80), colours(130)
    assert theme.bar_fill in within
    assert theme.bar_over not in within
    assert theme.bar_over in over
    assert len(over) > 1  # the hatching


def test_what_an_answer_on_the_banner_tells_stays_on_it(qtbot: QtBot) -> None:
    """Look again: the file is still held, or a batch in it waits to be gone on with."""
    banner = Banner()
    qtbot.addWidget(banner)
    banner.tell("Held by another window.", ("Look again", lambda: banner.tell("A batch waits.")))
    banner._actions[0].click()  # type: ignore[attr-defined]
    assert banner.isVisible()
    assert banner.words.text() == "A batch waits."


def test_a_banner_tells_and_its_actions_close_it(qtbot: QtBot) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    done: list[str] = []
    banner.tell("A batch was not ended.", ("Go on with it", lambda: done.append("on")))
    assert banner.isVisible()
    banner._actions[0].click()  # type: ignore[attr-defined]
    assert done == ["on"]
    assert not banner.isVisible()
    banner.tell("Exported.", trouble=False)
    assert banner._actions == []
    banner.close_button.click()
    assert not banner.isVisible()


def test_a_choice_tells_only_what_was_chosen_by_hand(qtbot: QtBot) -> None:
    box = ChooseBox("Tin")
    qtbot.addWidget(box)
    got: list[str] = []
    box.chosen.connect(got.append)
    box.offer([("a", "Round"), ("b", "Oblong")])
    box.show_key("b")
    assert box.key() == "b"
    assert got == []
    box.offer([("b", "Oblong"), ("c", "Glass")])
    assert box.key() == "b"  # kept when the list changes
    box.show_key("gone")
    assert box.currentIndex() == -1
    box.setFocus()
    box.setCurrentIndex(1)
    box.activated.emit(1)
    assert got == ["c"]


def test_headings_in_a_list_cannot_be_chosen() -> None:
    model = grouped_model([("Waxes", [("beeswax", "Beeswax")]), ("Butters", [])])
    assert model.rowCount() == 2  # an empty group has no heading
    assert not model.item(0).flags() & Qt.ItemFlag.ItemIsSelectable
    assert model.item(1).data(Qt.ItemDataRole.UserRole) == "beeswax"


@pytest.mark.parametrize("sign", SIGNS)
def test_signs_keep_to_the_shapes_of_iso_3864(sign: str) -> None:
    """ISO 3864-1: warning is a yellow triangle with a black edge, prohibition a white disc with a red
    ring and bar, mandatory action a blue disc, safe condition a green and fire equipment a red square."""
    image = QImage(200, 200, QImage.Format.Format_RGB32)
    image.fill(theme_now().colour("page"))
    painter = QPainter(image)
    paint_sign(painter, QRectF(0, 0, 200, 200), sign, theme_now())
    painter.end()
    colours = theme_now().colours
    page = colours.page

    def at(x: int, y: int) -> str:
        return image.pixelColor(x, y).name()

    shape = SIGNS[sign][0]
    if shape is Shape.WARNING:
        assert at(100, 60) in (colours.sign_yellow, colours.sign_black)
        assert at(20, 30) == page  # beside the tip of the triangle
        assert at(180, 30) == page
        assert at(100, 176) == colours.sign_black
    elif shape is Shape.PROHIBITION:
        assert at(100, 16) == colours.sign_red
        assert at(62, 62) == colours.sign_red  # the bar, from upper left
        assert at(140, 140) == colours.sign_red
        assert at(8, 8) == page
    elif shape is Shape.MANDATORY:
        assert at(100, 12) == colours.sign_blue
        assert at(8, 8) == page
    else:
        wanted = colours.sign_green if shape is Shape.SAFE else colours.sign_red
        assert {at(16, 16), at(184, 16), at(16, 184), at(184, 184)} == {wanted}


def test_every_caution_of_the_tables_has_its_callout(qtbot: QtBot, tables: Catalogue) -> None:
    for caution in tables.cautions.values():
        made = callout_of(caution)
        qtbot.addWidget(made)
        assert made.word.text() == caution.word.value
        assert caution.hazard in made.heading.text()
        assert not caution.sign or caution.sign in SIGNS, caution.sign


def test_notice_carries_no_alert_symbol(qtbot: QtBot) -> None:
    # ANSI Z535: the safety alert symbol is not used with NOTICE
    from workbench.ui.widgets.signs import SignView

    quiet, loud = Callout(SignalWord.NOTICE, "Grainy"), Callout(SignalWord.CAUTION, "Hot")
    for made in (quiet, loud):
        qtbot.addWidget(made)
    assert not quiet.findChildren(SignView)
    assert loud.findChildren(SignView)


def test_a_recalled_value_never_looks_like_a_read_one() -> None:
    assert mark(Confidence.SEEN) == ""
    assert role(Confidence.MEMORY) != role(Confidence.SEEN)
    said = [mark(one) for one in Confidence]
    assert len(set(said)) == len(said)
    assert all(meaning(one).endswith(".") for one in Confidence)


def test_no_line_ends_between_a_number_and_its_unit(qtbot: QtBot) -> None:
    assert held_together("pour above 52 °C, 3 g, 7 %") == "pour above 52\u00a0°C, 3\u00a0g, 7\u00a0%"
    assert held_together("12 gifts") == "12 gifts"
    words = Words("above 52 °C")
    qtbot.addWidget(words)
    assert words.text() == "above 52 °C"


@pytest.mark.parametrize(
    ("percent", "text"),
    [
        (0, "0 %"),
        (100, "100 %"),
        (41.26, "41.3 %"),
        (3.456, "3.46 %"),
        (0.0284, "0.028 %"),
        (0.00001, "< 0.0001 %"),
    ],
)
def test_shares_keep_the_figures_that_count(percent: float, text: str) -> None:
    assert Writer().share(percent) == text


def test_a_folder_that_is_not_there_yet_leads_to_the_nearest_one_and_not_to_where_it_was_started(
    tmp_path: Path, qtbot: QtBot
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    missing = tmp_path / "Documents" / "Balmbook"
    got: list[Path | None] = []
    for write, suggested in ((True, missing / "My balms.balmbook"), (False, missing)):
        QtAsk(window).ask_file(FileWish("f", "Where?", "Balmbook (*.balmbook)", write, suggested), got.append)
        (dialog,) = window.findChildren(QFileDialog)
        assert Path(dialog.directory().absolutePath()) == tmp_path
        dialog.reject()
        QApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
    assert got == [None, None]
    assert list(tmp_path.iterdir()) == []  # asking makes nothing


def test_the_signal_word_stands_at_the_first_line(qtbot: QtBot) -> None:
    made = Callout(SignalWord.CAUTION, "A reaction was reported. " * 8, "Find out what it was.")
    qtbot.addWidget(made)
    made.resize(500, 300)
    made.show()
    qtbot.waitExposed(made)
    assert made.heading.height() > 3 * made.word.height()
    assert made.word.y() == made.heading.y()


@pytest.mark.parametrize(("trouble", "stressed"), [(False, True), (True, False)])
def test_what_waits_to_be_gone_on_with_is_the_button_to_find(
    qtbot: QtBot, trouble: bool, stressed: bool
) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    banner.tell("A batch was not ended.", ("Go on with it", lambda: None), trouble=trouble)
    assert (banner._actions[0].property("role") == "primary") is stressed
    assert banner.close_button.property("role") != "primary"
