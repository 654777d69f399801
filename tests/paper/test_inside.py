"""No text outside its label: painted, and looked at pixel by pixel."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage, QPainter

from tests.paper.balms import LONG_NAME, NO_SPACES
from tests.paper.conftest import Contents
from workbench.core.batch.label_content import LabelContent
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.skin.label_rules import LabelPlace, Part
from workbench.core.trouble import Trouble
from workbench.paper.card import CardLayout, CardWish, make_card
from workbench.paper.labels import BackOn, LabelOrder, Piece, make_labels
from workbench.paper.paint import paint_sheet
from workbench.paper.phrases import Language
from workbench.paper.press import Press
from workbench.paper.scene import Ink, Sheet, Text, moved
from workbench.paper.sizes import LabelShape

PX_PER_MM = 6
AROUND_MM = 12


def ink_outside(piece: Piece) -> int:
    """How many pixels of text lie outside the cut of a label."""
    w, h = piece.w_mm + 2 * AROUND_MM, piece.h_mm + 2 * AROUND_MM
    marks = [replace(mark, ink=Ink.BLACK) for mark in piece.marks if isinstance(mark, Text)]
    assert marks
    image = QImage(round(w * PX_PER_MM), round(h * PX_PER_MM), QImage.Format.Format_Grayscale8)
    image.fill(QColor("white"))
    painter = QPainter(image)
    paint_sheet(painter, Sheet(w, h, tuple(moved(marks, AROUND_MM, AROUND_MM))), PX_PER_MM)
    painter.end()
    pixels = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.bytesPerLine())
    dark = pixels[:, : image.width()] < 200
    assert dark.any()
    ys, xs = np.mgrid[0 : image.height(), 0 : image.width()] / PX_PER_MM - AROUND_MM
    if piece.shape is LabelShape.ROUND:
        radius = piece.w_mm / 2
        inside = (xs - radius) ** 2 + (ys - radius) ** 2 <= radius**2
    else:
        inside = (xs >= 0) & (xs <= piece.w_mm) & (ys >= 0) & (ys <= piece.h_mm)
    return int((dark & ~inside).sum())


def crowded(content: LabelContent, catalogue: Catalogue) -> LabelContent:
    """The same with twenty-five allergens in its list."""
    names = [each.label_name for each in catalogue.allergens][:25]
    declared = tuple(
        replace(content.ingredients.allergens.declared[0], label_name=name) for name in names
    ) if content.ingredients.allergens.declared else ()  # fmt: skip
    allergens = replace(content.ingredients.allergens, declared=declared)
    listed = replace(content.ingredients, names=(*content.ingredients.names[:4], *names), allergens=allergens)
    return replace(content, ingredients=listed)


@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("place", list(LabelPlace))
@pytest.mark.parametrize("tin", ["tiny", "round_15", "slide_20", "large"])
def test_nothing_runs_over_at_the_longest_names_and_25_allergens(
    tin: str, place: LabelPlace, language: Language, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    assert len(LONG_NAME) == 60
    content = crowded(contents(place, tin=tin, name=LONG_NAME), catalogue)
    for back_on in BackOn:
        made = make_labels(content, LabelOrder(back_on=back_on), press.phrases[language], catalogue)
        for labels in made.tins:
            for piece in labels.pieces:
                if any(isinstance(mark, Text) for mark in piece.marks):
                    assert ink_outside(piece) == 0, (tin, place, language, piece.w_mm)


@pytest.mark.parametrize("tin", ["tiny", "round_15", "slide_20", "large"])
def test_a_name_of_one_word_is_cut_and_not_lost(
    tin: str, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    assert len(NO_SPACES) == 60
    content = contents(LabelPlace.PRESENT, tin=tin, name=NO_SPACES)
    made = make_labels(content, LabelOrder(), press.phrases[Language.ENGLISH], catalogue)
    lid = made.tins[0].pieces[0]
    assert ink_outside(lid) == 0
    texts = [mark.text for mark in lid.marks if isinstance(mark, Text)]
    if tin == "tiny":  # sixty letters have no room on 25 mm, and that is said
        assert Part.NAME in made.tins[0].front.left_out
        assert any("no room for the name" in sentence for sentence in made.says)
        hung = made.tins[0].tag
        assert hung is not None
        texts = [mark.text for mark in hung.front.marks if isinstance(mark, Text)]
    assert NO_SPACES in "".join(texts).replace(" ", "")


@pytest.mark.parametrize("over", [False, True])
def test_the_mark_across_a_draft_stays_inside_too(
    over: bool, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    for language in Language:
        for tin in ("tiny", "round_15", "slide_20", "large"):
            content = contents(LabelPlace.EU, tin=tin, best_before=None, over=over)
            assert not content.final
            made = make_labels(content, LabelOrder(), press.phrases[language], catalogue)
            for piece in made.tins[0].pieces:
                assert ink_outside(piece) == 0


def test_the_open_jar_and_its_months_stay_inside(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    for tin in ("tiny", "round_15", "slide_20", "large"):
        content = contents(LabelPlace.EU, tin=tin, best_before=date(2030, 1, 31))
        for back_on in BackOn:
            made = make_labels(
                content, LabelOrder(back_on=back_on), press.phrases[Language.FRENCH], catalogue
            )
            assert made.tins[0].text.jar_months == "12M"
            for piece in made.tins[0].pieces:
                assert ink_outside(piece) == 0


@pytest.mark.parametrize("folded", [False, True])
@pytest.mark.parametrize("layout", list(CardLayout))
def test_cards_keep_their_margins(
    layout: CardLayout, folded: bool, contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    """At least 7 mm of white to every edge and fold, in every language, at the longest name."""
    words = "Something short enough to fit.\n\nAnd a second thought after it."
    for language in Language:
        content = contents(LabelPlace.PRESENT, name=LONG_NAME)
        wish = CardWish(layout, folded, "M. R.", words, "A.")
        document = make_card(content, wish, press.phrases[language], catalogue)
        for sheet in document.sheets:
            panels = 2 if folded else 1
            for panel in range(panels):
                left = panel * 105.0
                inner = [
                    mark
                    for mark in sheet.marks
                    if isinstance(mark, Text) and left <= mark.x_mm < left + 105 and mark.ink is not Ink.MIST
                ]
                if inner:
                    piece = Piece(91, 134, LabelShape.RECTANGULAR, 0, tuple(moved(inner, -left - 7, -7)), 1)
                    assert ink_outside(piece) == 0, (layout, folded, language)


def test_many_oils_are_refused_rather_than_set_into_each_other(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    content = contents(LabelPlace.PRESENT)
    oils = [key for key, material in catalogue.materials.items() if material.kind.is_scent]
    many = replace(content, scent=tuple((note, key) for note in Note for key in oils))
    with pytest.raises(Trouble, match="too many names"):
        make_card(many, CardWish(), press.phrases[Language.ENGLISH], catalogue)


def test_words_too_long_for_a_card_are_refused_with_their_number(
    contents: Contents, press: Press, catalogue: Catalogue
) -> None:
    content = contents(LabelPlace.PRESENT)
    with pytest.raises(Trouble, match="letters too long"):
        make_card(content, CardWish(words="long words " * 200), press.phrases[Language.ENGLISH], catalogue)
