"""Days as they are typed into a filter: 2026-03-14, 2026-03 or 2026."""

from __future__ import annotations

from calendar import monthrange
from datetime import date


def first_day(text: str) -> date:
    """2026-03-14, 2026-03 or 2026: the first day of it.  Raises ValueError."""
    year, month, day = _parts(text)
    return date(year, month or 1, day or 1)


def last_day(text: str) -> date:
    """The last day of a day, a month or a year.  Raises ValueError."""
    year, month, day = _parts(text)
    month = month or 12
    return date(year, month, day or monthrange(year, month)[1])


def _parts(text: str) -> tuple[int, int, int]:
    pieces = text.split("-")
    if not 1 <= len(pieces) <= 3 or not all(piece.isdecimal() for piece in pieces) or len(pieces[0]) != 4:
        raise ValueError(text)
    year, month, day = (*(int(piece) for piece in pieces), 0, 0)[:3]
    if len(pieces) > 1 and not 1 <= month <= 12:
        raise ValueError(text)
    return year, month, day
