"""The words that stand on paper, in the reader's language.

A file per language holds the same keys with the same placeholders; all faults
of a file are told at once.  "~" in a file is a space at which no line ends.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from string import Formatter

from pydantic import ValidationError, model_validator

from workbench.core.batch.label_content import PRECAUTIONS
from workbench.core.catalogue.model import Material, Row, Text, Use
from workbench.core.skin.durability import Durability, DurabilityKind
from workbench.core.skin.label_rules import LabelPlace
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say

HARD_SPACE = "\u00a0"


class Language(StrEnum):
    ENGLISH = "en"
    GERMAN = "de"
    FRENCH = "fr"
    SPANISH = "es"

    @property
    def file(self) -> str:
        return f"phrases/{self.value}.toml"


class LabelWords(Row):
    contains: Text
    scented_with: Text
    allergens: Text
    net: Text
    batch: Text
    made: Text
    best_before: Text
    best_before_end: Text
    after_opening: Text
    jar: Text
    best_before_blank: Text
    maker_blank: Text
    see_tag: Text
    in_tin: Text
    draft: Text
    over: Text
    untested: Text


class UseWords(Row):
    solid_perfume: Text
    lips: Text
    hands: Text
    body: Text
    face: Text

    def of(self, use: Use) -> str:
        return str(getattr(self, use.value.replace(" ", "_")))


class CardWords(Row):
    for_whom: Text
    top: Text
    middle: Text
    base: Text
    top_when: Text
    middle_when: Text
    base_when: Text
    scent_head: Text
    drawing: Text
    use_head: Text
    use: Text
    care_head: Text
    care_one: Text
    care_two: Text
    care_two_sun: Text
    made_by: Text
    made_on: Text


# phrases with something to fill in; every other phrase holds nothing of the kind
PLACEHOLDERS: dict[tuple[str, str], set[str]] = {
    ("label", "net"): {"mass"},
    ("label", "batch"): {"code"},
    ("label", "made"): {"date"},
    ("label", "best_before"): {"date"},
    ("label", "best_before_end"): {"date"},
    ("label", "after_opening"): {"months"},
    ("label", "jar"): {"months"},
    ("label", "in_tin"): {"name", "numbers"},
    ("card", "for_whom"): {"name"},
    ("card", "made_by"): {"maker"},
    ("card", "made_on"): {"date"},
}


class Phrases(Row):
    """All words of one language."""

    name: Text
    decimal_comma: bool
    day: Text
    day_us: Text
    month: Text
    months: tuple[Text, ...]
    label: LabelWords
    use: UseWords
    precautions: Mapping[str, Text]
    card: CardWords
    materials: Mapping[str, Text]

    @model_validator(mode="after")
    def _complete(self) -> Phrases:
        wrong = []
        if len(self.months) != 12:
            wrong.append("twelve months are needed")
        missing = [key for key in PRECAUTIONS if key not in self.precautions]
        if missing:
            wrong.append(f"no wording for {', '.join(missing)}")
        for group, words in (("label", self.label), ("card", self.card), ("use", self.use)):
            for key, text in words:
                found = {field for _, field, _, _ in Formatter().parse(str(text)) if field}
                if found != PLACEHOLDERS.get((group, key), set()):
                    wrong.append(f"{group}.{key} has other placeholders than it should")
        if wrong:
            raise ValueError("; ".join(wrong))
        return self

    def material(self, material: Material) -> str:
        """The everyday name of a material; its own name where there is no other."""
        return self.materials.get(material.key, material.name)

    def date(self, day: date, place: LabelPlace) -> str:
        """A whole date; in the US with the name of the month, so that day and month cannot be mistaken."""
        template = self.day_us if place is LabelPlace.US else self.day
        return template.format(
            day=f"{day.day:02d}" if place is not LabelPlace.US else day.day,
            month=f"{day.month:02d}",
            year=day.year,
            name=self.months[day.month - 1],
        )

    def lasts(self, lasting: Durability, place: LabelPlace) -> str:
        """The line about how long it keeps; "" where that is not known.

        Month and year stand only for the last day of a month: "before the end
        of" that month must not be later than the date itself.
        """
        if lasting.kind is DurabilityKind.UNKNOWN:
            return ""
        if lasting.kind is DurabilityKind.OPEN_JAR:
            return self.label.after_opening.format(months=lasting.months_open)
        best = lasting.best_before
        assert best is not None
        if lasting.end_of_month and place is not LabelPlace.US:
            month = self.month.format(month=f"{best.month:02d}", year=best.year)
            return self.label.best_before_end.format(date=month)
        return self.label.best_before.format(date=self.date(best, place))


def parse_phrases(name: str, content: bytes) -> Phrases:
    """One language from the bytes of its file.  Raises `Trouble` with every fault."""
    try:
        raw = tomllib.loads(content.decode("utf-8").replace("~", HARD_SPACE))
        return Phrases.model_validate(raw)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise Trouble(
            say(
                "The file “{name}” is not readable ({why}). Put the original back.", name=name, why=str(error)
            )
        ) from error
    except ValidationError as error:
        faults = tuple(
            Fault(f"{name}, {'.'.join(map(str, each['loc']))}", str(each["msg"])) for each in error.errors()
        )
        raise Trouble(say("The file “{name}” cannot be used as it stands.", name=name), faults) from error
