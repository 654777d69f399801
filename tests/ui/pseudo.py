"""A pseudo-language: longer, accented and in brackets, so that what is not translated or is cut shows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QTranslator
from PySide6.QtWidgets import QApplication

LEFT, RIGHT = "⟦", "⟧"
LONGER = 0.35  # common practice: European languages run about a third longer than short English
_ACCENTS = str.maketrans("aeiouAEIOUnc", "àéîõüÀÉÎÕÜñç")
_KEPT = re.compile(r"(\{[^{}]*\}|%n|&.)")


def pseudo(source: str) -> str:
    """The text as a language of its own; what is filled in, and keys, are kept."""
    if not source:
        return source
    said = "".join(
        part if at % 2 else part.translate(_ACCENTS) for at, part in enumerate(_KEPT.split(source))
    )
    more = max(2, round(LONGER * len(source)))
    padding = " ".join(("ø" * 6,) * (more // 7) + ("ø" * (more % 7),)).strip()
    return f"{LEFT}{said} {padding}{RIGHT}"


class Pseudo(QTranslator):
    """Speaks it, and notes what it was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[tuple[str, str]] = set()

    def isEmpty(self) -> bool:
        return False

    def translate(self, context: str, source: str, disambiguation: str | None = None, n: int = -1) -> str:
        self.asked.add((context, source))
        return pseudo(source)


@contextmanager
def spoken(app: QApplication) -> Iterator[Pseudo]:
    made = Pseudo()
    app.installTranslator(made)
    try:
        yield made
    finally:
        app.removeTranslator(made)
