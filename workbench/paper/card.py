"""The gift card: A6, flat or folded, in three layouts of our own.

`still`    everything on one axis, the drawing small between name and words
`margin`   text hangs from a line at the left, what belongs to the scent stands in the margin
`horizon`  the drawing as a landscape across the foot of the card
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from workbench.core.batch.label_content import LabelContent
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.skin import notices
from workbench.core.skin.label_rules import LabelPlace
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, say
from workbench.paper.card_parts import A6, Panel, caps, centred_name, left_name
from workbench.paper.hills import FILLS, ORDER, Hills, draw_hills, hills_of
from workbench.paper.label_back import watermark
from workbench.paper.phrases import Phrases
from workbench.paper.scene import Align, Box, Document, Face, Ink, Line, Mark, Sheet, Text, moved
from workbench.paper.setting import BoxRegion, Para, Run, set_evenly, set_paras
from workbench.paper.type import proportions, size_for_small, width_mm

WORDS_MOST_MM, WORDS_LEAST_MM = 1.75, 1.45  # small letters of the maker's own words
BODY_MM = 1.4
SMALL_MM = 1.3


class CardLayout(StrEnum):
    STILL = "still"
    MARGIN = "margin"
    HORIZON = "horizon"


@dataclass(frozen=True, slots=True)
class CardWish:
    layout: CardLayout = CardLayout.STILL
    folded: bool = False
    for_whom: str = ""
    words: str = ""  # the maker's own; an empty line begins a new paragraph
    signed: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """All that the panels need."""

    content: LabelContent
    wish: CardWish
    phrases: Phrases
    scent: Mapping[Note, str]
    hills: Hills | None
    care: tuple[str, str]


def make_card(content: LabelContent, wish: CardWish, phrases: Phrases, catalogue: Catalogue) -> Document:
    """The card as pages: front and back of a flat one, outside and inside of a folded one.

    Raises `Trouble` where the maker's own words are too long for the card.
    """
    catalogue = content.known(catalogue)
    notes = {material: note for note, material in content.scent}
    grouped: dict[Note, list[str]] = {}
    for note, material in content.scent:
        grouped.setdefault(note, []).append(phrases.material(catalogue.material(material)))
    sunny = notices.SUN in content.precautions
    words = phrases.card
    card = Card(
        content,
        wish,
        phrases,
        {note: ", ".join(dict.fromkeys(names)) for note, names in grouped.items()},
        hills_of(content.subject.composition, catalogue, notes),
        (words.care_one, words.care_two_sun if sunny else words.care_two),
    )
    mark = "" if content.final else phrases.label.over if content.over else phrases.label.draft
    front, inside, scent, foot = _panels(card)
    if wish.folded:
        sheets = (
            _spread(foot, front, mark),
            _spread(inside, scent, mark),
        )
    else:
        sheets = (_page(_flat_front(card), mark), _page(scent, mark))
    return Document(content.subject.recipe.name, sheets)


def _page(panel: Sequence[Mark], mark: str) -> Sheet:
    return Sheet(*A6, (*watermark(mark, *A6), *panel))


def _spread(left: Sequence[Mark], right: Sequence[Mark], mark: str) -> Sheet:
    """Two panels side by side, with short marks where to fold."""
    w, h = A6
    folds = [Line(w, y, w, y + 3.0, 0.1, Ink.PALE, (0.6, 0.6)) for y in (0.0, h - 3.0)]
    pale = watermark(mark, w, h)
    return Sheet(2 * w, h, (*pale, *moved(pale, w, 0), *left, *moved(right, w, 0), *folds))


def _panels(card: Card) -> tuple[list[Mark], list[Mark], list[Mark], list[Mark]]:
    """Cover, the maker's words, the scent, and the back of a folded card."""
    return _cover(card), _inside(card), _scent_panel(card), _back_cover(card)


# --- covers ---


def _cover(card: Card) -> list[Mark]:
    layout, name = card.wish.layout, card.content.subject.recipe.name
    what = card.phrases.use.of(card.content.uses[0])
    w, h = A6
    panel = Panel(w, h)
    if layout is CardLayout.MARGIN:
        marks = left_name(name, panel, 0.3 * h)
        marks.append(Line(panel.left, 0.3 * h - 22, panel.left, h - panel.margin, 0.15, Ink.PALE))
        marks.append(caps(what, panel.left + 5, h - panel.margin, Align.LEFT))
        if card.hills is not None:
            marks += draw_hills(card.hills, panel.left + 5, h - 34, 48, 14, filled=False)
        return marks
    if layout is CardLayout.HORIZON:
        marks = centred_name(name, panel, 0.33 * h)
        marks.append(caps(what, w / 2, 0.33 * h + 12 + 8, Align.CENTRE))
        if card.hills is not None:
            marks += draw_hills(card.hills, 0.0, h - 16, w, 40)
        return marks
    marks = centred_name(name, panel, 0.42 * h)
    marks.append(caps(what, w / 2, panel.margin + 6, Align.CENTRE))
    if card.hills is not None:
        marks += draw_hills(card.hills, w / 2 - 22, h - panel.margin - 6, 44, 13)
    return marks


def _flat_front(card: Card) -> list[Mark]:
    """Name and the maker's words on one side."""
    layout, name = card.wish.layout, card.content.subject.recipe.name
    what = card.phrases.use.of(card.content.uses[0])
    w, h = A6
    panel = Panel(w, h)
    if layout is CardLayout.MARGIN:
        marks = left_name(name, panel, 34.0, 16.0)
        marks.append(Line(panel.left, 14, panel.left, h - panel.margin, 0.15, Ink.PALE))
        marks.append(caps(what, panel.left + 5, 17.0, Align.LEFT))
        return [
            *marks,
            *_words(
                card,
                BoxRegion(panel.left + 5, 52, w - panel.left - 5 - panel.margin, h - 52 - panel.margin),
                Align.LEFT,
            ),
        ]
    if layout is CardLayout.HORIZON:
        marks = centred_name(name, panel, 28.0, 15.0)
        marks.append(caps(what, w / 2, 15.5, Align.CENTRE))
        if card.hills is not None:
            marks += draw_hills(card.hills, 0.0, h - 9, w, 24)
        return [
            *marks,
            *_words(
                card, BoxRegion(panel.margin + 4, 46, w - 2 * panel.margin - 8, h - 46 - 38), Align.CENTRE
            ),
        ]
    marks = centred_name(name, panel, 32.0, 16.0)
    marks.append(caps(what, w / 2, 16.0, Align.CENTRE))
    if card.hills is not None:
        marks += draw_hills(card.hills, w / 2 - 15, 57.0, 30, 8)
    return [
        *marks,
        *_words(
            card,
            BoxRegion(panel.margin + 4, 64, w - 2 * panel.margin - 8, h - 64 - panel.margin),
            Align.CENTRE,
        ),
    ]


def _inside(card: Card) -> list[Mark]:
    w, h = A6
    panel = Panel(w, h)
    left = card.wish.layout is CardLayout.MARGIN
    region = (
        BoxRegion(panel.left + 5, 22, w - panel.left - 5 - panel.margin, h - 22 - 18)
        if left
        else BoxRegion(panel.margin + 4, 18, w - 2 * panel.margin - 8, h - 36)
    )
    marks: list[Mark] = _words(card, region, Align.LEFT if left else Align.CENTRE)
    if left:
        marks.append(Line(panel.left, 14, panel.left, h - panel.margin, 0.15, Ink.PALE))
    return marks


def _back_cover(card: Card) -> list[Mark]:
    w, h = A6
    words, made_on = card.phrases.card, card.content.subject.made_on
    lines = []
    if card.wish.signed.strip():
        lines.append(words.made_by.format(maker=card.wish.signed.strip()))
    if made_on is not None:
        lines.append(words.made_on.format(date=card.phrases.date(made_on, LabelPlace.PRESENT)))
    if card.content.subject.batch_code:
        lines.append(card.phrases.label.batch.format(code=card.content.subject.batch_code))
    size = size_for_small(SMALL_MM)
    at = h - 14 - 1.35 * size * (len(lines) - 1)
    return [
        Text(w / 2, at + 1.35 * size * number, line, size, ink=Ink.SOFT, align=Align.CENTRE)
        for number, line in enumerate(lines)
    ]


def _words(card: Card, region: BoxRegion, align: Align) -> list[Mark]:
    """For whom, the maker's words, and who signs, as large as they fit."""
    wish, words = card.wish, card.phrases.card
    paras: list[Para] = []
    if wish.for_whom.strip():
        whom = words.for_whom.format(name=wish.for_whom.strip())
        paras.append(Para((Run(whom, Face.DISPLAY),), 0.0, "for whom"))
    for block in (part for part in wish.words.split("\n\n") if part.strip()):
        text = " ".join(block.split())
        paras.append(Para((Run(text, Face.DISPLAY),), 0.0, "words", space_before=1.1))
    if wish.signed.strip() and not wish.folded:
        paras.append(Para((Run(wish.signed.strip(), Face.DISPLAY),), 0.0, "signed", Ink.SOFT, 1.2))
    if not paras:
        return []
    small = WORDS_MOST_MM
    while small >= WORDS_LEAST_MM - 1e-9:
        if align is Align.CENTRE:
            made = set_evenly(paras, region, small, leading=1.42)
        else:
            made = set_paras(paras, region, small, align=align, leading=1.42)
        if made.fits:
            # few words stand a third of the way down, where the eye looks for them
            spare = region.bottom_mm - made.bottom_mm if align is Align.CENTRE else 0.0
            return moved(made.marks, 0.0, 0.33 * spare)
        small -= 0.05
    left_over = sum(len(run.text) for para in made.rest for run in para.runs)
    raise Trouble(
        say(
            "Your words are about {count} letters too long for this card. Shorten them, or fold the card.",
            "Your words are about {count} letter too long for this card. Shorten them, or fold the card.",
            count=Count(left_over),
        )
    )


# --- the scent ---


def _scent_panel(card: Card) -> list[Mark]:
    """The drawing, top, middle and base, how to use it, and two lines of care."""
    w, h = A6
    panel = Panel(w, h)
    words, layout = card.phrases.card, card.wish.layout
    if layout is CardLayout.MARGIN:
        return _scent_in_margin(card, panel)
    align = Align.CENTRE
    x, wide = panel.margin + 2, w - 2 * panel.margin - 4
    marks: list[Mark] = []
    y = panel.margin + 3.5
    if card.scent:
        marks.append(_head(words.scent_head, w / 2, y, align))
        y += 5
        if card.hills is not None:
            if layout is CardLayout.HORIZON:
                marks += draw_hills(card.hills, 0.0, y + 25, w, 23)
            else:
                marks += draw_hills(card.hills, x + 4, y + 22, wide - 8, 20)
            y += 29 if layout is CardLayout.HORIZON else 27
        y = _columns(card, marks, x, y, wide) + 1.5
        if card.hills is not None:
            note = set_evenly([Para.of(words.drawing, SMALL_MM)], BoxRegion(x + 2, y, wide - 4, h), SMALL_MM)
            marks += _tinted(note.marks, Ink.PALE)
            y = note.bottom_mm + 6.5
    y = _section(marks, words.use_head, [words.use], panel, y, align)
    _care(marks, card, panel, y, align)
    return marks


def _scent_in_margin(card: Card, panel: Panel) -> list[Mark]:
    w, h = A6
    words = card.phrases.card
    x = panel.left + 5
    wide = w - x - panel.margin
    marks: list[Mark] = [Line(panel.left, 14, panel.left, h - panel.margin, 0.15, Ink.PALE)]
    y = panel.margin + 5.5
    if card.scent:
        marks.append(_head(words.scent_head, x, y, Align.LEFT))
        y += 4
        if card.hills is not None:
            marks += draw_hills(card.hills, x, y + 19, wide, 18, filled=False)
            y += 24
        for note in ORDER:
            if note not in card.scent:
                continue
            title, when = _note_words(card, note)
            size = size_for_small(BODY_MM)
            marks.append(Text(panel.left - 2.5, y + 3, title, size, Face.DISPLAY, align=Align.RIGHT))
            made = set_paras(
                [Para.of(card.scent[note], BODY_MM), Para((Run(when),), SMALL_MM, ink=Ink.PALE, space_before=0.2)],
                BoxRegion(x, y + 3 - proportions(Face.TEXT).capital * size * 1.04, wide, h), BODY_MM,
            )  # fmt: skip
            marks += made.marks
            y = made.bottom_mm + 1.6
        if card.hills is not None:
            y += 0.8
            note_text = set_paras([Para.of(words.drawing, SMALL_MM)], BoxRegion(x, y, wide, h), SMALL_MM)
            marks += _tinted(note_text.marks, Ink.PALE)
            y = note_text.bottom_mm + 6.0
    inner = Panel(w, h, left=x, right=panel.margin)
    y = _section(marks, words.use_head, [words.use], inner, y, Align.LEFT)
    _care(marks, card, inner, y, Align.LEFT)
    return marks


def _note_words(card: Card, note: Note) -> tuple[str, str]:
    words = card.phrases.card
    return {
        Note.TOP: (words.top, words.top_when),
        Note.MIDDLE: (words.middle, words.middle_when),
        Note.BASE: (words.base, words.base_when),
    }[note]


def _columns(card: Card, marks: list[Mark], x: float, y: float, wide: float) -> float:
    """Top, middle and base side by side, each with the tone of its hill."""
    there = [note for note in ORDER if note in card.scent]
    gap = 4.0
    column = (wide - gap * (len(there) - 1)) / len(there)
    lowest = y
    for number, note in enumerate(there):
        middle = x + number * (column + gap) + column / 2
        title, when = _note_words(card, note)
        size = size_for_small(1.6, Face.DISPLAY)
        half = width_mm(title, size, Face.DISPLAY) / 2
        if card.hills is not None:
            marks.append(Box(middle - half - 4.0, y + 0.2, 2.6, 2.6, 0.0, 0.15, Ink.SOFT, FILLS[note]))
        marks.append(
            Text(middle + (0.6 if card.hills else 0), y + 2.6, title, size, Face.DISPLAY, align=Align.CENTRE)
        )
        made = set_paras(
            [Para.of(card.scent[note], BODY_MM), Para((Run(when),), SMALL_MM, ink=Ink.PALE, space_before=0.3)],
            BoxRegion(middle - column / 2, y + 4.6, column, A6[1]), BODY_MM, align=Align.CENTRE,
        )  # fmt: skip
        marks += made.marks
        lowest = max(lowest, made.bottom_mm)
    return lowest + 2.0


def _section(
    marks: list[Mark], head: str, texts: Sequence[str], panel: Panel, y: float, align: Align
) -> float:
    x = panel.text_left if align is Align.LEFT else panel.w / 2
    marks.append(_head(head, x, y, align))
    region = BoxRegion(panel.text_left, y + 2.2, panel.text_width, panel.h - y)
    paras = [Para.of(text, BODY_MM) for text in texts]
    made = (
        set_evenly(paras, region, BODY_MM, leading=1.32)
        if align is Align.CENTRE
        else set_paras(paras, region, BODY_MM, leading=1.32)
    )
    marks += made.marks
    return made.bottom_mm + 6.5


def _care(marks: list[Mark], card: Card, panel: Panel, y: float, align: Align) -> None:
    """At the foot, in two lines each of which may turn once; never into what is above."""
    paras = [Para.of(card.care[0], SMALL_MM), Para.of(card.care[1], SMALL_MM)]
    region = BoxRegion(panel.text_left, 0.0, panel.text_width, panel.h)
    made = (
        set_evenly(paras, region, SMALL_MM) if align is Align.CENTRE else set_paras(paras, region, SMALL_MM)
    )
    top = panel.h - panel.foot - made.bottom_mm
    if top - 5.6 < y - 3.5:
        raise Trouble(
            say("The scent has too many names for this card. Take another layout, or fewer oils on it.")
        )
    x = panel.text_left if align is Align.LEFT else panel.w / 2
    marks.append(_head(card.phrases.card.care_head, x, top - 2.2, align))
    marks += moved(made.marks, 0.0, top)


def _head(text: str, x: float, y: float, align: Align) -> Text:
    return Text(x, y, text, size_for_small(1.55, Face.DISPLAY), Face.DISPLAY, align=align)


def _tinted(marks: Sequence[Mark], ink: Ink) -> list[Mark]:
    return [replace(mark, ink=ink) if isinstance(mark, Text) else mark for mark in marks]
