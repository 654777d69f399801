"""Choose a batch, look at its labels, card and sheet, save and print them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest

from tests.paper.measure import reader, whole_text
from tests.ui.paper.conftest import Desk
from workbench.core.skin.label_rules import LabelPlace
from workbench.core.units import TemperatureUnit
from workbench.paper.scene import Text
from workbench.ui.context import Context
from workbench.ui.paper.wishes import PaperWishes, wishes_from
from workbench.ui.paper.works import What
from workbench.ui.widgets.ask import ScriptedAsk


def words(desk: Desk) -> str:
    assert desk.page.printed is not None
    return " ".join(
        mark.text.replace("\u00a0", " ")
        for sheet in desk.page.printed.document.sheets
        for mark in sheet.marks
        if isinstance(mark, Text)
    )


def choose(desk: Desk, key: str, value: object) -> None:
    desk.page.forms.widget(desk.page.forms.currentIndex())
    desk.page._changed(key, value)
    desk.settle()


def test_the_newest_finished_batch_is_shown_first(desk: Desk) -> None:
    assert desk.page.batch.key() == "s1"
    texts = [desk.page.batch.itemText(row) for row in range(desk.page.batch.count())]
    assert any("practice" in text for text in texts)
    assert any("as it stands" in text for text in texts)
    assert "Evening" in words(desk)


def test_what_is_missing_is_said_and_the_label_is_a_draft(desk: Desk) -> None:
    assert "draft" in desk.page.finding.heading.text()
    assert "name and address" in desk.page.finding.text.text()
    assert "DRAFT" in words(desk)


def test_typing_the_makers_line_and_a_date_makes_it_final(desk: Desk) -> None:
    field = desk.page.label_form.rules._texts["maker_line"]
    field.setFocus()
    QTest.keyClicks(field, "Quay Kitchen, 3 Rope Walk")
    QTest.keyClick(field, Qt.Key.Key_Return)
    day = desk.page.label_form.rules._days["best_before"][0]
    day.setFocus()
    QTest.keyClicks(day, "2027-09-30")
    QTest.keyClick(day, Qt.Key.Key_Return)
    desk.settle()
    assert desk.page.standing.text() == "Final."
    assert desk.page.finding.isHidden()
    assert "DRAFT" not in words(desk)


def test_a_day_that_is_none_is_said_at_its_field(desk: Desk) -> None:
    field, says = desk.page.label_form.rules._days["best_before"]
    field.setFocus()
    QTest.keyClicks(field, "3/4/2027")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "is not a day" in says.text()


def test_place_and_language_are_apart(desk: Desk) -> None:
    choose(desk, "language", "de")
    choose(desk, "place", "US")
    said = words(desk)
    assert "Net Wt" in said
    assert "Fragrance" in said
    assert "Nur für die Haut" in said
    assert not desk.page.label_form.untested.isHidden()
    assert "ounces and grams" in desk.page.label_form.asks.text()


def test_a_present_says_what_it_leaves_out(desk: Desk) -> None:
    choose(desk, "place", "a present")
    assert "nobody weighs a present" in desk.page.label_form.asks.text()
    assert desk.page.standing.text() == "Final."


def test_a_practice_run_is_a_draft_and_the_recipe_too(desk: Desk) -> None:
    for session, why in (("s2", "practice"), ("", "plan")):
        desk.page.batch.show_key(session)
        desk.page._chosen(session)
        assert "draft" in desk.page.finding.heading.text().lower()
        assert why in desk.page.finding.text.text()
    assert not desk.page.ways[What.SHEET].isEnabled()


def test_a_grid_over_the_page_is_explained_and_nothing_can_be_saved(desk: Desk) -> None:
    choose(desk, "columns", 9)
    assert "only 210.0 mm wide" in desk.page.finding.text.text()
    assert not desk.page.save.isEnabled()
    choose(desk, "columns", None)
    assert desk.page.save.isEnabled()


def test_a_number_that_cannot_be_is_refused_at_its_field(desk: Desk) -> None:
    desk.page._changed("months_open", 0)
    assert desk.page.label_form.rules._numbers["months_open"].fault
    assert desk.page._wishes.months_open == 12


def test_a_label_measured_by_the_maker_is_used(desk: Desk) -> None:
    field = desk.page.label_form._fields[("round_15", "lid_w")]
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "40,5")
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    desk.settle()
    assert desk.page.printed is not None
    assert desk.page._wishes.sizes["round_15"].lid.w_mm == pytest.approx(40.5)
    assert desk.page._wishes.sizes["round_15"].underside.w_mm == pytest.approx(40.5)


def test_saving_writes_the_pdf_and_the_project_remembers(
    desk: Desk, ask: ScriptedAsk, tmp_path: Path
) -> None:
    choose(desk, "maker_line", "Quay Kitchen")
    choose(desk, "best_before", date(2027, 9, 30))
    ask.answers["save pdf"] = tmp_path / "labels.pdf"
    desk.page.save_pdf()
    pdf = (tmp_path / "labels.pdf").read_bytes()
    assert len(reader(pdf).pages) >= 1
    assert "Evening ember" in whole_text(pdf)
    assert ("Saved as labels.pdf.", False) in desk.told
    session, record = desk.store.kept[-1]
    assert session == "s1"
    assert record["final"] is True
    assert desk.store.held.maker_line == "Quay Kitchen"
    # the sheet of that batch names the labels
    desk.page.go_to(What.SHEET)
    assert "final, rules of EU" in words(desk)


def test_what_was_seen_is_what_is_saved(desk: Desk, ask: ScriptedAsk, tmp_path: Path) -> None:
    """The preview paints the same marks; the words on it are those in the file, in the same order."""
    ask.answers["save pdf"] = tmp_path / "a.pdf"
    desk.page.save_pdf()
    told = desk.page.preview.view.accessibleDescription()
    for word in ("Evening", "ember", "Ingredients:", "Parfum,"):
        assert word in told
        assert word.strip(":,") in whole_text((tmp_path / "a.pdf").read_bytes())


def test_a_disk_that_refuses_is_said(desk: Desk, ask: ScriptedAsk, tmp_path: Path) -> None:
    ask.answers["save pdf"] = tmp_path / "not there" / "labels.pdf"
    desk.page.save_pdf()
    assert desk.told[-1][1]
    desk.store.broken = True
    ask.answers["save pdf"] = tmp_path / "labels.pdf"
    desk.page.save_pdf()
    assert ("The disk is full.", True) in desk.told


def test_printing_goes_through_its_port(desk: Desk) -> None:
    desk.page.print_out()
    assert len(desk.printer.printed) == 1
    assert desk.store.kept
    desk.printer.works = False
    desk.page.print_out()
    assert desk.told[-1] == ("There is no printing here. Save the PDF.", True)


def test_the_test_page_carries_the_grid_of_the_labels(desk: Desk, ask: ScriptedAsk, tmp_path: Path) -> None:
    ask.answers["save ruler"] = tmp_path / "test.pdf"
    desk.page.save_ruler()
    assert "100.0 × 50.0 mm" in whole_text((tmp_path / "test.pdf").read_bytes())


def test_the_card_takes_the_makers_words(desk: Desk) -> None:
    QTest.mouseClick(desk.page.ways[What.CARD], Qt.MouseButton.LeftButton)
    area = desk.page.card_form.choices._areas["words"]
    area.setFocus()
    QTest.keyClicks(area, "For the long walk.")
    desk.settle()
    assert "For the long walk." in words(desk)
    assert "With care" in words(desk)
    choose(desk, "folded", True)
    assert desk.page.printed is not None
    assert desk.page.printed.document.sheets[0].w_mm == 210
    choose(desk, "words", "too long " * 300)
    assert "letters too long" in desk.page.finding.text.text()


def test_the_sheet_is_in_the_units_of_the_window(desk: Desk, context: Context) -> None:
    desk.page.go_to(What.SHEET)
    assert "°C" in words(desk)
    assert "record abababababababab" in words(desk)
    context.take_preferences(
        context.preferences.model_copy(update={"temperature": TemperatureUnit.FAHRENHEIT})
    )
    desk.settle()
    assert "°F" in words(desk)
    assert "°C" not in words(desk)


def test_what_belongs_to_one_batch_does_not_go_over_to_the_next(desk: Desk) -> None:
    choose(desk, "best_before", date(2027, 1, 31))
    choose(desk, "maker_line", "Quay Kitchen")
    desk.page._chosen("s2")
    assert desk.page._wishes.best_before is None
    assert desk.page._wishes.maker_line == "Quay Kitchen"


def test_wishes_survive_the_project_and_personal_words_can_be_erased() -> None:
    wishes = PaperWishes(maker_line="Quay Kitchen", place=LabelPlace.UK, columns=3, signed="A.")
    body = wishes.as_body()
    assert body["maker_line"] == {"words": "Quay Kitchen"}
    assert wishes_from(body) == wishes
    assert wishes_from({**body, "columns": "many"}).maker_line == "Quay Kitchen"
    assert wishes_from(None) == PaperWishes()


def test_the_pages_are_white_and_sharp_at_every_zoom(desk: Desk) -> None:
    view = desk.page.preview.view
    for zoom in ("0", "1", "2"):
        desk.page.zoom.show_key(zoom)
        view.set_zoom(float(zoom))
        image = QImage(view.size(), QImage.Format.Format_RGB32)
        view.render(image)
        assert view.scale > 0
        middle = image.pixelColor(view.width() // 2, 30)
        assert middle.name() == "#ffffff"
