"""One hue per oil: light notes in citrus and leaf, middle in flower, base in wood and resin.

Areas lie side by side, so no pair has to be told apart by hue alone: every
area carries its name or is named in the list, and paper shows between them.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QColor

from workbench.core.catalogue.model import Note
from workbench.ui.palettes import SCENT_PAINTS, contrast
from workbench.ui.theme import Scheme, Theme

_ON_DARK = 4.8  # contrast that words keep on a paint that is mixed into a dark page


def paint(theme: Theme, note: Note, place: int) -> QColor:
    """The colour of the area of the `place`-th oil of a note."""
    paints = SCENT_PAINTS[note.value]
    colour = QColor(paints[place % len(paints)])
    if place >= len(paints):  # a second round is a shade deeper
        colour = colour.darker(108)
    if theme.scheme in (Scheme.DARK, Scheme.HIGH_CONTRAST):
        colour = _deep(colour, theme)
    return colour


def _deep(colour: QColor, theme: Theme) -> QColor:
    """As much of a stronger paint in the dark page as leaves the words readable."""
    strong = QColor.fromHsv(colour.hue(), min(255, 2 * colour.saturation()), colour.value())
    page, ink = theme.colour("page"), theme.colours.ink
    share = 0.6
    while share > 0.1 and contrast(mixed(strong, page, share).name(), ink) < _ON_DARK:
        share -= 0.02
    return mixed(strong, page, share)


def paints_of(theme: Theme, notes: Sequence[Note]) -> list[QColor]:
    """Colours for oils in order, each in the family of its note."""
    seen: dict[Note, int] = {}
    colours = []
    for note in notes:
        colours.append(paint(theme, note, seen.get(note, 0)))
        seen[note] = seen.get(note, 0) + 1
    return colours


def mixed(one: QColor, other: QColor, share: float) -> QColor:
    """`share` of one colour in another."""
    return QColor(
        round(one.red() * share + other.red() * (1 - share)),
        round(one.green() * share + other.green() * (1 - share)),
        round(one.blue() * share + other.blue() * (1 - share)),
    )
