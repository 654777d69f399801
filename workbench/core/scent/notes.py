"""Top, middle or base: what the model proposes for an oil, and what the usual lists say.

The model goes by the time in which 90 % of the volatile mass has left a usual
film.  The limits between the classes, one and twenty hours, were chosen with
published lists at hand; only the order is a computation.  Lists are made by
noses and by habit (they mean the resin where they say frankincense), so both
are shown where they disagree, and the maker decides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.scent.volatility import TRIGLYCERIDE, Carrier, Film, Volatility, volatility_of
from workbench.core.wording import Said, say

TOP_UNTIL_S, BASE_FROM_S = 3600.0, 20 * 3600.0


@dataclass(frozen=True, slots=True)
class Listed:
    """What one published list says of an oil; 1 top, 2 middle, 3 base, halves between."""

    name: str
    place: float
    source: str


@dataclass(frozen=True, slots=True)
class NoteView:
    """Where an oil belongs, by the model and by lists.

    `proposed` is None where nothing is known of what it is made of;
    `lasting_s` orders oils by how long they stay and is no promise of hours.
    """

    oil: str
    proposed: Note | None
    lasting_s: float | None
    listed: tuple[Listed, ...]
    agree: bool | None  # None: nothing to compare
    says: Said


def volatile_90_s(oil: str, volatility: Volatility, carrier: Carrier, film: Film) -> float | None:
    """Time in s until 90 % of what can leave of an oil has left; None where nothing is known of it."""
    if oil not in volatility.contents:
        return None
    places, shares = volatility.contents[oil]
    rates = volatility.rates_per_s(carrier, film)[places]
    moves = rates > 0
    if not moves.any():
        return float("inf")
    shares, rates = shares[moves] / shares[moves].sum(), rates[moves]
    low, high = 0.0, 1.0
    while float(np.sum(shares * np.exp(-rates * high))) > 0.1:
        low, high = high, 2 * high
    for _ in range(60):
        middle = 0.5 * (low + high)
        if float(np.sum(shares * np.exp(-rates * middle))) > 0.1:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def class_of(lasting_s: float) -> Note:
    if lasting_s < TOP_UNTIL_S:
        return Note.TOP
    return Note.BASE if lasting_s >= BASE_FROM_S else Note.MIDDLE


def note_of(oil: str, catalogue: Catalogue) -> NoteView:
    """The note of one oil in a usual film on vegetable oil, beside the published lists."""
    volatility = volatility_of(catalogue)
    lasting = volatile_90_s(oil, volatility, Carrier({TRIGLYCERIDE: 1.0}), Film())
    proposed = None if lasting is None else class_of(lasting)
    listed = tuple(
        Listed(row.name, row.places[oil], row.source)
        for row in catalogue.scent.note_lists.values()
        if oil in row.places
    )
    agree = None
    if proposed is not None and listed:
        agree = abs(_mean(listed) - _rank(proposed)) <= 0.5
    return NoteView(oil, proposed, lasting, listed, agree, _say(oil, catalogue, proposed, listed, agree))


def _rank(note: Note) -> int:
    return (Note.TOP, Note.MIDDLE, Note.BASE).index(note) + 1


def _mean(listed: tuple[Listed, ...]) -> float:
    return sum(one.place for one in listed) / len(listed)


def place_words(place: float) -> Said:
    """1 top, 1.5 between top and middle, ..."""
    if place < 1.25:
        return say("top")
    if place < 1.75:
        return say("between top and middle")
    if place < 2.25:
        return say("middle")
    return say("between middle and base") if place < 2.75 else say("base")


def _say(
    oil: str, catalogue: Catalogue, proposed: Note | None, listed: tuple[Listed, ...], agree: bool | None
) -> Said:
    name = catalogue.material(oil).name
    if proposed is None and listed:
        return say(
            "Nothing is known of what {name} is made of; the usual lists put it at {note}.",
            name=name,
            note=place_words(_mean(listed)),
        )
    if proposed is None:
        return say("Nothing is known of what {name} is made of; choose its note yourself.", name=name)
    computed = place_words(float(_rank(proposed)))
    if not listed:
        return say("By its vapour pressures {name} is a {note} note.", name=name, note=computed)
    if agree:
        return say(
            "By its vapour pressures {name} is a {note} note; the usual lists agree.",
            name=name,
            note=computed,
        )
    return say(
        "By its vapour pressures {name} is a {note} note, but the usual lists put it at {listed}. "
        "Choose by your nose.",
        name=name,
        note=computed,
        listed=place_words(_mean(listed)),
    )


def notes_for(
    oils: tuple[str, ...], catalogue: Catalogue, overruled: dict[str, Note] | None = None
) -> dict[str, Note]:
    """The note each oil counts to: the maker's, else that of the material's row, else the model's."""
    chosen = dict(overruled or {})
    for oil in oils:
        if oil not in chosen:
            row = catalogue.material(oil).note
            chosen[oil] = row or note_of(oil, catalogue).proposed or Note.MIDDLE
    return chosen
