"""Sentences that can be said again in another language or in other units.

`say("Weigh {mass} of {name}.", mass=Grams(2.5), name="Beeswax")` is an
ordinary string in plain English and metric units.  It also keeps its template
and its values, so that the window can translate the template and write the
values the user's way.  No sentence is built of pieces: one template, one
sentence.

A sentence that counts says its number as {count}, and how English says it of
one: `say("{count} drops of {name}.", "{count} drop of {name}.",
count=Count(n), name=...)`.  Languages have up to six forms; which of them a
count takes is the translator's business, who knows the template with %n in the
place of {count}, as Qt's tools have it (`numerus`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Value:
    """A quantity in a sentence; `digits` is the number of decimals."""

    amount: float
    digits: int = 1

    unit = ""

    def __str__(self) -> str:
        number = f"{self.amount:.{self.digits}f}"
        return f"{number} {self.unit}" if self.unit else number


class Grams(Value):
    unit = "g"


class Degrees(Value):
    """A temperature in °C."""

    unit = "°C"


class Kelvins(Value):
    """A temperature difference in K (written °C apart to the maker)."""

    unit = "°C"


class Millimetres(Value):
    unit = "mm"


class Millilitres(Value):
    unit = "mL"


class Share(Value):
    unit = "%"


class Number(Value):
    unit = ""


@dataclass(frozen=True, slots=True)
class Count(Value):
    """How many there are, a whole number; it decides the form of what is counted."""

    digits: int = 0


@dataclass(frozen=True, slots=True)
class Duration:
    """Seconds, written as 45 s, 3 min 20 s or 2 h 5 min."""

    seconds: float

    def __str__(self) -> str:
        whole = round(self.seconds)
        if whole < 60:
            return f"{whole} s"
        minutes, rest = divmod(whole, 60)
        if minutes < 60:
            return f"{minutes} min {rest} s" if rest else f"{minutes} min"
        hours, minutes = divmod(minutes, 60)
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"


COUNT = "count"  # what the number is called in a sentence that counts
PLACE_OF_COUNT = "{" + COUNT + "}"


class Counted(str):
    """A template that counts, as a translator knows it, with the count whose form is wanted."""

    n: int

    def __new__(cls, template: str, n: int) -> Counted:
        made = super().__new__(cls, numerus(template))
        made.n = n
        return made


def numerus(template: str) -> str:
    """A template that counts in the notation of Qt's tools: "%n drops of {name}."."""
    return template.replace(PLACE_OF_COUNT, "%n")


class Said(str):
    """A string that remembers its template and values, and its template for one where it counts."""

    template: str
    one: str
    values: Mapping[str, object]

    def __new__(cls, template: str, values: Mapping[str, object], one: str = "") -> Said:
        chosen = one if one and _count_of(values) == 1 else template
        made = super().__new__(cls, chosen.format(**{key: str(value) for key, value in values.items()}))
        made.template = template
        made.one = one
        made.values = dict(values)
        return made


def say(template: str, one: str = "", /, **values: object) -> Said:
    """One sentence from one template; every placeholder needs a value.

    `one` is the English for a count of one; such a sentence has its number
    under `count`, as a `Count`.
    """
    return Said(template, values, one)


def say_again(text: str, translate: Callable[[str], str], write: Callable[[object], str]) -> str:
    """The same sentence with a translated template and values written by `write`.

    A plain string is translated as it stands; nested sentences are said again
    too.  `translate` is given a `Counted` where a sentence counts.  Nothing is
    lost when a template has no translation.
    """
    if not isinstance(text, Said):
        return translate(text)
    written = {
        key: say_again(value, translate, write) if isinstance(value, Said) else write(value)
        for key, value in text.values.items()
    }
    return _translated(text, translate).format(**written)


def _translated(text: Said, translate: Callable[[str], str]) -> str:
    """The template in the other language; in English, of the right number, where it has none."""
    n = _count_of(text.values)
    if n is None:
        return translate(text.template)
    asked = Counted(text.template, n)
    heard = translate(asked)
    if heard not in (asked, asked.replace("%n", str(n))):
        return heard.replace("%n", PLACE_OF_COUNT)
    return text.one if text.one and n == 1 else translate(text.template)


def _count_of(values: Mapping[str, object]) -> int | None:
    count = values.get(COUNT)
    return round(count.amount) if isinstance(count, Count) else None
