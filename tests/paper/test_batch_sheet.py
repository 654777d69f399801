"""The sheet for the binder: nothing hidden, nothing invented, and few pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

import pytest

from tests.paper.measure import paths, reader, texts, whole_text
from workbench.core.batch import commands as ask
from workbench.core.batch.guards import NO_SPARK
from workbench.core.batch.session import EMPTY
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import Guard
from workbench.core.trouble import Trouble
from workbench.core.units import MassUnit, TemperatureUnit, Units
from workbench.paper.batch_sheet import SheetWish, WearNote, make_batch_sheet
from workbench.paper.paint import pdf_bytes
from workbench.paper.press import Press
from workbench.paper.scene import Line, Text
from workbench.paper.sizes import PaperSize
from workbench.paper.voice import Voice
from workbench.testing import Maker, begin


@lru_cache(maxsize=1)
def eventful() -> SessionState:
    """A batch with a slip, a note, a hold, an addition, an override and corrections."""
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to("weigh:shea_butter")
    weighed = next(entry.seq for entry in maker.state.entries if entry.kind == "mass weighed")
    first_g = next(entry.mass_g for entry in maker.state.entries if entry.kind == "mass weighed")
    maker.send(ask.WriteNote("the wax smells of honey"))
    maker.send(
        ask.Correct(of=weighed, value=(first_g or 0) + 0.4, typed="x", reason="misread the scale", by="M")
    )
    maker.go_to("melt:bath")
    clock.sleep(480.0)
    conductor.look()
    maker.send(ask.ConfirmSafe())
    maker.read()
    maker.send(ask.GoOn())
    maker.go_to("spoon")
    maker.send(ask.Add("spoon", "beeswax", 1.25, "1.25", "a little too soft on the spoon"))
    maker.go_to("add")
    maker.send(ask.SetAside("add", Guard.FLASH_SAFE, "hob off since morning", NO_SPARK))
    maker.read()
    read = maker.state.readings[-1]
    maker.send(
        ask.Correct(of=read.seq, value=read.raw_c + 1.0, typed="y", reason="a slip of the finger", by="M")
    )
    maker.go_to_end()
    return maker.state


def said(state: SessionState, wish: SheetWish | None = None) -> str:
    return whole_text(pdf_bytes(make_batch_sheet(state, wish or SheetWish())))


def test_everything_that_happened_is_on_it(press: Press) -> None:
    text = said(eventful())
    for words in (
        "Evening ember",
        "Beeswax",
        "misread the scale",
        "a slip of the finger",
        "a little too soft on the spoon",
        "hob off since morning",
        "the wax smells of honey",
        "flash-safe temperature",
        "Corrections",
        "Guards set aside",
        "Deepest dip 0.5 mm",
        "yield",
    ):
        assert words in text, words


def test_a_corrected_value_is_struck_through_and_still_readable(press: Press) -> None:
    state = eventful()
    document = make_batch_sheet(state, SheetWish())
    old = f"{next(e.mass_g for e in state.entries if e.kind == 'mass weighed'):.2f} g"
    marks = [mark for sheet in document.sheets for mark in sheet.marks]
    olds = [mark for mark in marks if isinstance(mark, Text) and mark.text == old]
    assert olds
    struck = [
        mark
        for mark in olds
        if any(
            isinstance(line, Line) and abs(line.x1_mm - mark.x_mm) < 0.01 and 0 < mark.y_mm - line.y1_mm < mark.size_mm
            for line in marks
        )
    ]  # fmt: skip
    assert len(struck) == 2  # in the table of what went in, and among the corrections


@pytest.mark.parametrize("paper", list(PaperSize))
def test_a_usual_batch_takes_at_most_four_pages(paper: PaperSize, press: Press) -> None:
    """Even an eventful one."""
    pdf = pdf_bytes(make_batch_sheet(eventful(), SheetWish(paper=paper)))
    pages = reader(pdf).pages
    assert 1 <= len(pages) <= 4
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in " ".join(page.extract_text().split())


def test_nothing_stands_in_the_margins(press: Press) -> None:
    """15 mm at both sides and 9 mm at the foot, as it is punched for a binder."""
    pdf = pdf_bytes(make_batch_sheet(eventful(), SheetWish()))
    for page in range(len(reader(pdf).pages)):
        for each in texts(pdf, page):
            assert each.x_mm >= 14.9
            assert 14 <= each.y_mm <= 297 - 8.5
        for drawn in paths(pdf, page):
            assert drawn.x_mm >= 14.9
            assert drawn.x_mm + drawn.w_mm <= 210 - 14.9


def test_the_curve_is_a_curve_and_its_readings_are_where_they_were(press: Press) -> None:
    state = eventful()
    pdf = pdf_bytes(make_batch_sheet(state, SheetWish()))
    dots = [each for each in paths(pdf) if each.curved and each.w_mm == pytest.approx(1.1, abs=0.05)]
    assert len(dots) == len(state.readings)
    # equal steps of time are equal steps across, whatever draws them
    times = [each.at_s for each in state.readings]
    scale = (dots[-1].x_mm - dots[0].x_mm) / (times[-1] - times[0])
    for dot, at_s in zip(dots, times, strict=True):
        assert dot.x_mm == pytest.approx(dots[0].x_mm + scale * (at_s - times[0]), abs=0.02)
    celsius = [state.celsius_of(each) for each in state.readings]
    hottest = celsius.index(max(celsius))
    assert dots[hottest].y_mm == pytest.approx(min(dot.y_mm for dot in dots), abs=0.02)


def test_ounces_and_fahrenheit_where_the_maker_likes_them(press: Press) -> None:
    voice = Voice(Units(mass=MassUnit.OUNCE, temperature=TemperatureUnit.FAHRENHEIT))
    text = said(eventful(), SheetWish(voice=voice))
    assert " oz" in text
    assert "°F" in text
    assert "°C" not in text


def test_what_was_not_recorded_is_a_blank(press: Press) -> None:
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to("weigh:jojoba")
    text = said(maker.state)
    assert "Not finished" in text
    assert "No temperature was recorded." in text
    assert "________" in text


@pytest.mark.parametrize(
    ("change", "words"),
    [({"rehearsal": True}, "A practice run"), ({"recipe_name": "x" * 60}, "x" * 30)],
)
def test_what_a_reader_has_to_know_first(change: dict[str, object], words: str, press: Press) -> None:
    assert words in said(replace(eventful(), **change))  # type: ignore[arg-type]


def test_wear_notes_labels_and_seal(press: Press) -> None:
    wish = SheetWish(
        wear=(WearNote(date(2026, 4, 1), "AB", "4 h", "cedar stays"),),
        labels=("2026-03-15: final, rules of EU, in de.",),
        seal="0123456789abcdef0123456789abcdef",
        lot_names={"beeswax_w07": "W07"},
    )
    text = said(eventful(), wish)
    for words in ("cedar stays", "AB", "4 h", "Labels printed", "rules of EU", "record 0123456789abcdef"):
        assert words in text
    assert "0123456789abcdef0" not in text


def test_a_batch_that_never_began_has_no_sheet(press: Press) -> None:
    with pytest.raises(Trouble, match="never began"):
        make_batch_sheet(EMPTY, SheetWish())
