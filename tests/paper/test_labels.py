"""What is printed where, for each place."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.paper.balms import TODAY
from tests.paper.conftest import Contents
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.skin.label_rules import LabelPlace
from workbench.core.trouble import Trouble
from workbench.paper.labels import BackOn, LabelOrder, LabelSet, TinLabels, make_labels
from workbench.paper.phrases import Language
from workbench.paper.press import Press, label_record, margin_note, record_says, standing
from workbench.paper.scene import Text
from workbench.paper.sizes import PaperSize, SheetGrid, places


def words_of(labels: TinLabels, piece: int | None = None) -> str:
    pieces = labels.pieces if piece is None else (labels.pieces[piece],)
    said = " ".join(mark.text for each in pieces for mark in each.marks if isinstance(mark, Text))
    return " ".join(said.split())


@pytest.fixture
def made(contents: Contents, press: Press, catalogue: Catalogue):  # type: ignore[no-untyped-def]
    def make(
        place: LabelPlace,
        order: LabelOrder | None = None,
        language: Language = Language.ENGLISH,
        **wanted: object,
    ) -> LabelSet:
        return make_labels(
            contents(place, **wanted), order or LabelOrder(), press.phrases[language], catalogue
        )

    return make


def test_the_front_says_what_who_and_how_much(made) -> None:  # type: ignore[no-untyped-def]
    front = words_of(made(LabelPlace.EU).tins[0], 0)
    for said in ("SOLID PERFUME", "Evening", "ember", "lavender", "cedarwood", "13.4 g"):
        assert said in front


def test_each_place_prints_its_own_list(made) -> None:  # type: ignore[no-untyped-def]
    eu = words_of(made(LabelPlace.EU, tin="large").tins[0])
    assert "Ingredients:" in eu
    assert "Parfum" in eu
    assert "Linalyl Acetate" in eu  # entry 337, on the longer list only
    uk = words_of(made(LabelPlace.UK, tin="large").tins[0])
    assert "Linalool" in uk
    assert "Linalyl Acetate" not in uk
    us = words_of(made(LabelPlace.US, tin="large").tins[0])
    assert "Fragrance" in us
    assert "Linalool" not in us
    assert "Net Wt 0.47 oz" in us
    present = words_of(made(LabelPlace.PRESENT, tin="large").tins[0])
    assert "Contains: jojoba oil" in present
    assert "13.4 g" not in present


def test_a_small_tin_points_to_its_tag_and_keeps_what_has_to_stand_on_it(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU).tins[0]
    assert labels.tag is not None
    under = words_of(labels, 1)
    assert "All else on the tag" in under
    assert "Quay Kitchen" in under
    assert "Batch 260314-1" in under
    assert "09/2027" in under
    assert "Ingredients" not in under
    hung = words_of(labels, 2)
    assert "Ingredients:" in hung
    assert "Keep out of reach" in hung
    assert any("goes on a tag" in said for said in made(LabelPlace.EU).says)


def test_a_large_tin_needs_no_tag(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU, tin="large").tins[0]
    assert labels.tag is None
    assert len(labels.pieces) == 2


def test_a_wrap_carries_the_back(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU, LabelOrder(back_on=BackOn.SIDE), tin="large").tins[0]
    assert labels.tag is None
    assert "Ingredients:" in words_of(labels, 1)
    assert labels.pieces[1].w_mm > 200


def test_a_draft_says_so_across_every_piece(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU, maker="").tins[0]
    for piece in range(len(labels.pieces)):
        assert "DRAFT" in words_of(labels, piece)
        assert "NOT FOR USE" in words_of(labels, piece)
    assert "Maker ____" in words_of(labels)  # a blank to fill in by hand


def test_over_a_limit_says_so_in_the_readers_language(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU, language=Language.GERMAN, over=True).tins[0]
    assert "ÜBER DEM GRENZWERT" in words_of(labels, 0)
    assert "Über dem Grenzwert" in words_of(labels, 1).replace("  ", " ")


def test_a_final_label_carries_no_mark(made) -> None:  # type: ignore[no-untyped-def]
    for place in LabelPlace:
        labels = made(place).tins[0]
        assert labels.final
        assert "DRAFT" not in words_of(labels)


def test_what_has_to_stand_on_the_tin_and_does_not_fit_makes_a_draft(made) -> None:  # type: ignore[no-untyped-def]
    whole = made(LabelPlace.EU, tin="tiny")
    assert not whole.final
    assert whole.content.final
    assert "maker" in whole.tins[0].lacks
    assert any("Take a larger label" in said for said in whole.says)
    assert made(LabelPlace.PRESENT, tin="tiny").final


def test_the_open_jar_is_drawn_and_not_written_twice(made) -> None:  # type: ignore[no-untyped-def]
    labels = made(LabelPlace.EU, best_before=date(2029, 12, 31)).tins[0]
    under = words_of(labels, 1)
    assert "12M" in under
    assert "after opening" not in under


def test_one_label_per_tin_unless_more_are_wanted(made) -> None:  # type: ignore[no-untyped-def]
    assert made(LabelPlace.EU).tins[0].pieces[0].copies == 3
    assert made(LabelPlace.EU, LabelOrder(copies=7)).tins[0].pieces[0].copies == 7


def test_a_grid_that_runs_over_the_page_is_refused_with_its_size() -> None:
    with pytest.raises(Trouble, match=r"212\.0 mm"):
        places(SheetGrid(columns=5, gap_x_mm=3.0), 40.0, 40.0)
    with pytest.raises(Trouble, match="only 20 places"):
        places(SheetGrid(columns=4, rows=5, start=21), 40.0, 40.0)


def test_the_usual_grid_takes_as_many_as_fit() -> None:
    """By hand: on A4 with 10 mm of margin and 4 mm between, 44 mm labels stand 4 across and 5 down."""
    spots = places(SheetGrid(), 44.0, 44.0)
    assert (spots.columns, spots.rows) == (4, 5)
    assert spots.left_mm == pytest.approx((210 - (4 * 44 + 3 * 4)) / 2)
    letter = places(SheetGrid(paper=PaperSize.LETTER), 44.0, 44.0)
    assert (letter.columns, letter.rows) == (4, 5)


def test_the_record_names_the_footing(contents: Contents, press: Press, catalogue: Catalogue) -> None:
    from workbench.core.batch.label_final import Footing
    from workbench.core.wording import say

    content = contents(LabelPlace.EU)
    papers = (Footing("x", "Bought mist", "51st Amendment", "4", "C-117", say("rests on it")),)
    content = replace(content, footing=papers)
    whole = make_labels(content, LabelOrder(), press.phrases[Language.ENGLISH], catalogue)
    body = label_record(whole, "s1", Language.ENGLISH, TODAY)
    assert body["final"] is True
    assert body["footing"][0]["paper"] == "C-117"
    assert body["footing"][0]["edition"] == "51st Amendment"
    assert "C-117" in record_says(body)
    assert "C-117" in standing(content, True)
    assert "C-117" in margin_note(content, Language.ENGLISH, TODAY)


def test_the_record_of_a_draft_says_why(made) -> None:  # type: ignore[no-untyped-def]
    body = label_record(made(LabelPlace.EU, maker=""), "s1", Language.GERMAN, TODAY)
    assert body["final"] is False
    assert any("address" in why for why in body["why_not_final"])
    assert "drafts" in record_says(body)
