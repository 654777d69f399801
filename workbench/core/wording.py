"""Sentences that can be said again in another language or in other units.

`say("Weigh {mass} of {name}.", mass=Grams(2.5), name="Beeswax")` is an
ordinary string in plain English and metric units.  It also keeps its template
and its values, so that the window can translate the template and write the
values the user's way.  No sentence is built of pieces: one template, one
sentence.
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


class Said(str):
    """A string that remembers its template and values."""

    template: str
    values: Mapping[str, object]

    def __new__(cls, template: str, values: Mapping[str, object]) -> Said:
        made = super().__new__(cls, template.format(**{key: str(value) for key, value in values.items()}))
        made.template = template
        made.values = dict(values)
        return made


def say(template: str, **values: object) -> Said:
    """One sentence from one template; every placeholder needs a value."""
    return Said(template, values)


def say_again(text: str, translate: Callable[[str], str], write: Callable[[object], str]) -> str:
    """The same sentence with a translated template and values written by `write`.

    A plain string is translated as it stands; nested sentences are said again
    too.  Nothing is lost when a template has no translation.
    """
    if not isinstance(text, Said):
        return translate(text)
    written = {
        key: say_again(value, translate, write) if isinstance(value, Said) else write(value)
        for key, value in text.values.items()
    }
    return translate(text.template).format(**written)
