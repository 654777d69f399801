"""The language of the window: translations are read from .ts files, the exchange format of Qt's own tools.

A translation whose placeholders differ from those of the sentence is left out,
so that a slip of a translator shows English and never stops the program.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QTranslator

ENDING = ".ts"
_MOST_BYTES = 5_000_000
_PLACE = re.compile(r"\{[^{}]*\}|%n|%L?\d")
Rule = Callable[[int], int]


def _one_or_many(n: int) -> int:
    return 0 if n == 1 else 1


def _up_to_one_or_many(n: int) -> int:
    return 0 if n < 2 else 1


def _slavic_three(n: int) -> int:
    """One, few, many: as Polish counts whole things."""
    if n == 1:
        return 0
    return 1 if 2 <= n % 10 <= 4 and not 12 <= n % 100 <= 14 else 2


# which form a count takes; Unicode CLDR, plural rules of whole numbers
_RULES: dict[str, tuple[int, Rule]] = {
    "fr": (2, _up_to_one_or_many),
    "pt": (2, _up_to_one_or_many),
    "pl": (3, _slavic_three),
    "ja": (1, lambda _n: 0),
    "zh": (1, lambda _n: 0),
    "ko": (1, lambda _n: 0),
}
_USUAL: tuple[int, Rule] = (2, _one_or_many)


def forms_of(language: str) -> int:
    """How many plural forms a language has."""
    return _RULES.get(language[:2], _USUAL)[0]


def form_of(language: str, n: int) -> int:
    """Which of them the count `n` takes, from 0."""
    return _RULES.get(language[:2], _USUAL)[1](n)


def placeholders(text: str) -> tuple[str, ...]:
    """What is filled into a sentence, in one order whatever the order of words."""
    return tuple(sorted(_PLACE.findall(text)))


@dataclass(frozen=True, slots=True)
class Message:
    """One text of the program and what a translator made of it; several forms where it counts something."""

    context: str
    source: str
    counts: bool = False
    forms: tuple[str, ...] = ()
    comment: str = ""

    @property
    def sound(self) -> bool:
        """Whether every form can be filled in; a form for one may leave the number out."""
        wanted = placeholders(self.source)
        without = tuple(one for one in wanted if one != "%n")
        return all(
            placeholders(form) in ((wanted, without) if self.counts else (wanted,)) for form in self.forms
        )


@dataclass(frozen=True, slots=True)
class Texts:
    """Everything in one .ts file."""

    language: str
    messages: tuple[Message, ...]


def read_texts(path: Path) -> Texts:
    """Read a .ts file.  Raises `ValueError` with a reason, `OSError` where it is not there."""
    if path.stat().st_size > _MOST_BYTES:
        raise ValueError("larger than any translation of this program")
    try:
        root = ElementTree.fromstring(path.read_bytes())
    except ElementTree.ParseError as error:
        raise ValueError(str(error)) from error
    found = []
    for context in root.iter("context"):
        name = context.findtext("name", "")
        for message in context.iter("message"):
            translation = message.find("translation")
            counts = message.get("numerus") == "yes"
            forms: tuple[str, ...] = ()
            if translation is not None and translation.get("type") not in ("obsolete", "vanished"):
                texts = [one.text or "" for one in translation.iter("numerusform")] if counts else [
                    translation.text or ""
                ]  # fmt: skip
                forms = tuple(texts) if all(texts) and texts else ()
            found.append(
                Message(name, message.findtext("source", ""), counts, forms, message.findtext("comment", ""))
            )
    return Texts(root.get("language", ""), tuple(found))


class Book(QTranslator):
    """Languages in order of preference; the first that has a text says it, else the program's own English.

    One translator for all of them: an empty answer of a Python translator is
    an empty text to Qt, and the next translator would never be asked.  A text
    counts wherever it is asked for: the same words mean the same everywhere.
    """

    def __init__(self, *languages: Texts) -> None:
        super().__init__()
        self.codes = tuple(texts.language for texts in languages)
        self._said: dict[tuple[str, str], tuple[str, Message]] = {}
        self._anywhere: dict[str, tuple[str, Message]] = {}
        for texts in languages:
            for message in texts.messages:
                if message.forms and message.sound:
                    held = (texts.language, message)
                    self._said.setdefault((message.context, message.source), held)
                    self._anywhere.setdefault(message.source, held)

    def isEmpty(self) -> bool:
        return not self._said

    def translate(self, context: str, source: str, disambiguation: str | None = None, n: int = -1) -> str:
        held = self._said.get((context, source)) or self._anywhere.get(source)
        if held is None:
            return source
        code, message = held
        at = form_of(code, n) if message.counts and n >= 0 else 0
        return message.forms[min(at, len(message.forms) - 1)]


def languages_in(folder: Path) -> list[tuple[str, str]]:
    """(code, name in its own language) of what there is, English first."""
    from PySide6.QtCore import QLocale

    codes = sorted(path.stem for path in folder.glob(f"*{ENDING}")) if folder.is_dir() else []
    found = [("en", "English")]
    for code in codes:
        if code != "en":
            name = QLocale(code).nativeLanguageName()
            found.append((code, name[:1].upper() + name[1:]))
    return found


def book_for(wanted: str, folder: Path) -> tuple[Book, str]:
    """The translator to install, and what was wrong with a file, or "".

    English comes last in it: it knows what one of a thing is called.  `wanted`
    is a code such as "de" or "de_AT"; "" follows the system.
    """
    from PySide6.QtCore import QLocale

    code = wanted or QLocale.system().name()
    languages, wrong = [], ""
    for name in dict.fromkeys((code, code[:2], "en")):
        path = folder / f"{name}{ENDING}"
        if not path.is_file():
            continue
        try:
            languages.append(read_texts(path))
        except (OSError, ValueError) as error:
            wrong = f"{path.name}: {error}"
    return Book(*languages), wrong
