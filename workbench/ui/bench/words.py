"""How times are written at the bench: digits that keep their places."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QDate, QDateTime, QLocale, QTime


def elapsed_words(seconds: float) -> str:
    """0:45, 12:04 or 1:02:33; below zero with a leading minus."""
    sign = "-" if seconds < 0 else ""
    whole = int(abs(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    if hours:
        return f"{sign}{hours}:{minutes:02d}:{left:02d}"
    return f"{sign}{minutes}:{left:02d}"


def countdown_words(seconds: float) -> str:
    """A countdown shows the second that is running: 0:01 until it is over."""
    return elapsed_words(-int(-seconds // 1)) if seconds > 0 else elapsed_words(0)


def when_words(moment: datetime, long: bool = False) -> str:
    """Date and time the way this locale writes them; wall time as it was then, wherever it is read."""
    at = QDateTime(
        QDate(moment.year, moment.month, moment.day), QTime(moment.hour, moment.minute, moment.second)
    )
    if long:
        date = QLocale().toString(at.date(), QLocale.FormatType.LongFormat)
        return f"{date}, {QLocale().toString(at.time(), QLocale.FormatType.ShortFormat)}"
    return QLocale().toString(at, QLocale.FormatType.ShortFormat)
