"""Sizes measured from the PDF by a reader that is not ours."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from tests.paper.conftest import Contents
from tests.paper.measure import letters, page_mm, paths, reader, texts, whole_text
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.skin.label_rules import LabelPlace
from workbench.paper.card import CardLayout, CardWish, make_card
from workbench.paper.labels import BackOn, LabelOrder, make_labels
from workbench.paper.paint import by_size, pdf_bytes, print_on
from workbench.paper.phrases import Language
from workbench.paper.press import Press
from workbench.paper.ruler_page import make_ruler_page
from workbench.paper.sizes import PaperSize, SheetGrid
from workbench.store.resources import resources_folder

# paper is cut and drawn in to a tenth of a millimetre at best
TENTH = 0.1


def pdf_of(
    contents: Contents,
    press: Press,
    catalogue: Catalogue,
    place: LabelPlace = LabelPlace.EU,
    order: LabelOrder | None = None,
    language: Language = Language.ENGLISH,
    **wanted: object,
) -> bytes:
    made = make_labels(
        contents(place, **wanted), order or LabelOrder(), press.phrases[language], catalogue, "note"
    )
    return pdf_bytes(made.document)


def test_a_round_label_is_as_wide_in_the_file_as_on_the_tin(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    pdf = pdf_of(contents, press, catalogue)
    rings = [each for each in paths(pdf) if each.curved and each.w_mm > 20]
    # lid and underside for each of three tins of 48 mm, less 2 mm of rim on each side
    assert len(rings) == 6
    for ring in rings:
        assert ring.w_mm == pytest.approx(44.0, abs=0.02)
        assert ring.h_mm == pytest.approx(44.0, abs=0.02)
    apart = sorted({round(ring.x_mm, 2) for ring in rings})
    assert apart[1] - apart[0] == pytest.approx(48.0, abs=0.02)  # 44 mm and a gap of 4 mm


def test_a_slide_tin_and_its_wrap_are_true_to_size(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    pdf = pdf_of(contents, press, catalogue, order=LabelOrder(back_on=BackOn.SIDE), tin="slide_20")
    lid = max((each for each in paths(pdf) if each.curved), key=lambda each: each.w_mm)
    assert [lid.w_mm, lid.h_mm] == pytest.approx([58.0, 31.0], abs=0.02)
    wrap = max(paths(pdf, 1), key=lambda each: each.w_mm)
    # once around 62 by 35 mm, and 5 mm to glue
    assert wrap.w_mm == pytest.approx(2 * (62 + 35) + 5, abs=0.05)


def test_a_wrap_that_is_longer_than_the_page_is_wide_lies_along_it(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    pdf = pdf_of(contents, press, catalogue, order=LabelOrder(back_on=BackOn.SIDE), tin="large")
    wide, high = page_mm(pdf, 1)
    assert wide > high
    assert max(each.w_mm for each in paths(pdf, 1)) > 210


@pytest.mark.parametrize(
    ("paper", "size"), [(PaperSize.A4, (210.0, 297.0)), (PaperSize.LETTER, (215.9, 279.4))]
)
def test_pages_have_their_standard_size(
    paper: PaperSize, size: tuple[float, float], contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """ISO 216 for A4; ANSI/ASME Y14.1 for Letter, 8.5 by 11 in."""
    pdf = pdf_of(contents, press, catalogue, order=LabelOrder(grid=SheetGrid(paper=paper)))
    assert list(page_mm(pdf)) == pytest.approx(list(size), abs=0.2)


def test_the_grid_stands_where_the_maker_put_it(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    grid = SheetGrid(columns=3, rows=4, left_mm=13.0, top_mm=21.5, gap_x_mm=7.0, gap_y_mm=5.0, start=5)
    pdf = pdf_of(contents, press, catalogue, order=LabelOrder(grid=grid))
    rings = [each for each in paths(pdf) if each.curved and each.w_mm > 20]
    # the fifth place is the second of the second row; the page's height is cut to whole points
    assert rings[0].x_mm == pytest.approx(13.0 + 44.0 + 7.0, abs=TENTH)
    assert rings[0].y_mm == pytest.approx(21.5 + 44.0 + 5.0, abs=TENTH)


def test_crop_marks_stand_clear_of_every_label(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    pdf = pdf_of(contents, press, catalogue)
    found = paths(pdf)
    rings = [each for each in found if each.curved and each.w_mm > 20]
    marks = [
        each
        for each in found
        if not each.curved and max(each.w_mm, each.h_mm) == pytest.approx(3.0, abs=0.02)
    ]
    assert len(marks) >= 8
    top = min(ring.y_mm for ring in rings)
    left = min(ring.x_mm for ring in rings)
    for mark in marks:
        upright = mark.h_mm > mark.w_mm
        if upright:
            assert mark.y_mm + mark.h_mm <= top - 0.9 or mark.y_mm > top + 44
        else:
            assert mark.x_mm + mark.w_mm <= left - 0.9 or mark.x_mm > left + 44


@pytest.mark.parametrize("place", list(LabelPlace))
def test_no_letter_is_lower_than_our_floor_or_the_law(
    place: LabelPlace, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """Small letters by the em in the file times sxHeight of the font file."""
    small = letters(resources_folder() / "fonts" / "Lato-Regular.ttf").small
    for tin in ("round_15", "slide_20", "tiny", "large"):
        pdf = pdf_of(contents, press, catalogue, place, tin=tin)
        for page in range(len(reader(pdf).pages)):
            for said in texts(pdf, page):
                if said.text == "note" or said.text.isupper():
                    continue
                assert small * said.em_mm >= 1.2 - 0.005, (tin, said)


def test_the_spaced_capitals_are_no_lower_than_the_floor(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    capital = letters(resources_folder() / "fonts" / "Lato-Regular.ttf").capital
    pdf = pdf_of(contents, press, catalogue)
    head = next(said for said in texts(pdf) if said.text.replace(" ", "") == "SOLIDPERFUME")
    assert capital * head.em_mm >= 1.2


def test_figures_of_the_net_weight_in_the_eu_are_2_mm_up_to_50_g(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """Directive 76/211/EEC, Annex I 3.1 (recalled): 2 mm up to 50 g, 3 mm up to 200 g."""
    capital = letters(resources_folder() / "fonts" / "Lato-Regular.ttf").capital
    net = next(each for each in texts(pdf_of(contents, press, catalogue)) if each.text == "13.4 g")
    assert capital * net.em_mm == pytest.approx(2.0, abs=0.02)
    pdf = pdf_of(contents, press, catalogue, tin="large", content_g=50.1)
    net = next(each for each in texts(pdf) if each.text == "50.1 g")
    assert capital * net.em_mm == pytest.approx(3.0, abs=0.02)


def test_the_us_weight_is_a_sixteenth_of_an_inch_on_a_small_front_and_an_eighth_on_a_larger(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """21 CFR 701.13 (recalled): 1/16 in up to 5 square inches, 1/8 in up to 25; of the small letter o."""
    small = letters(resources_folder() / "fonts" / "Lato-Regular.ttf").small
    pdf = pdf_of(contents, press, catalogue, LabelPlace.US)
    net = next(each for each in texts(pdf) if each.text.startswith("Net Wt"))
    assert small * net.em_mm == pytest.approx(25.4 / 16, abs=0.02)
    pdf = pdf_of(contents, press, catalogue, LabelPlace.US, tin="large", content_g=60.0)
    net = next(each for each in texts(pdf) if each.text.startswith("Net Wt"))
    assert small * net.em_mm == pytest.approx(25.4 / 8, abs=0.02)


def test_fonts_are_embedded_and_text_is_text(contents: Contents, press: Press, catalogue: Catalogue) -> None:
    pdf = pdf_of(contents, press, catalogue)
    for page in reader(pdf).pages:
        fonts = page["/Resources"]["/Font"]
        assert fonts
        for font in fonts.values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert "/FontFile2" in inner["/FontDescriptor"].get_object()
        assert not page.images
    said = whole_text(pdf)
    for words in ("Evening ember", "Butyrospermum Parkii Butter", "13.4 g", "Linalool"):
        assert words in said


def test_the_ruler_page_is_true(press: Press) -> None:
    pdf = pdf_bytes(make_ruler_page(PaperSize.A4))
    found = paths(pdf)
    box = next(each for each in found if each.h_mm == pytest.approx(50.0, abs=0.05) and each.w_mm > 60)
    assert box.w_mm == pytest.approx(100.0, abs=0.05)
    ticks = sorted(
        each.x_mm
        for each in found
        if each.w_mm < 0.01 and each.h_mm == pytest.approx(5.0, abs=0.02) and each.y_mm < 20
    )
    assert [b - a for a, b in pairwise(ticks)] == pytest.approx([10.0] * (len(ticks) - 1), abs=0.02)
    inches = sorted(
        each.x_mm
        for each in found
        if each.w_mm < 0.01 and each.h_mm == pytest.approx(5.0, abs=0.02) and each.y_mm > 200
    )
    assert inches[1] - inches[0] == pytest.approx(25.4, abs=0.02)


@pytest.mark.parametrize("layout", list(CardLayout))
def test_a_card_is_a6_flat_and_a5_unfolded(
    layout: CardLayout, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """ISO 216: A6 is 105 by 148 mm; two of them side by side are A5 across."""
    content = contents(LabelPlace.PRESENT)
    flat = pdf_bytes(make_card(content, CardWish(layout), press.phrases[Language.ENGLISH], catalogue))
    assert list(page_mm(flat)) == pytest.approx([105, 148], abs=0.2)
    folded = pdf_bytes(
        make_card(content, CardWish(layout, folded=True), press.phrases[Language.ENGLISH], catalogue)
    )
    assert list(page_mm(folded)) == pytest.approx([210, 148], abs=0.2)
    # the hills are curves in the file, not a picture
    assert sum(each.w_mm > 25 and each.h_mm > 4 for each in paths(flat) + paths(flat, 1)) >= 2


def test_a_printer_gets_the_same_sizes(press: Press, tmp_path: Path) -> None:
    """Qt's printer, writing to a file: what a printer driver is handed."""
    from PySide6.QtPrintSupport import QPrinter

    document = make_ruler_page(PaperSize.A4)
    twice = replace(document, sheets=document.sheets * 2)
    assert [len(part.sheets) for part in by_size(twice)] == [2]
    letter = make_ruler_page(PaperSize.LETTER)
    mixed = replace(document, sheets=(*document.sheets, *letter.sheets, *document.sheets))
    assert [len(part.sheets) for part in by_size(mixed)] == [1, 1, 1]
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setFullPage(True)
    print_on(printer, twice, printer.resolution())
    pdf = (tmp_path / "printed.pdf").read_bytes()
    assert len(reader(pdf).pages) == 2
    for page in (0, 1):
        assert list(page_mm(pdf, page)) == pytest.approx([210, 297], abs=0.2)
        box = next(
            each for each in paths(pdf, page) if each.h_mm == pytest.approx(50.0, abs=0.05) and each.w_mm > 60
        )
        assert box.w_mm == pytest.approx(100.0, abs=0.05)
