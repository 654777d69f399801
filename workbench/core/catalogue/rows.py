"""How a row of a table file is written short, and how it is written out.

Three shorthands keep the table files readable; each is only another spelling
of the full row, which is accepted as well:

* a file names its sources once under `[sources.<id>]` (`text`, `confidence`);
  a row says `from = "<id>"` instead of `source` and `confidence`;
* a value with its source is a list: a figure `[0.852, "id"]`, a span
  `[62, 65, "id"]`, words `["Cera Alba", "id"]`;
* one line of a composition is `["limonene", 67, 78, "id", "id of the maximum"]`
  (typical per cent, most per cent), and an intensity curve of a constituent is
  `[largest, log10 of half-way in mg/m3, width, "id"]`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import get_args

from pydantic import BaseModel, ValidationError

from workbench.core.catalogue.model import Figure, Span, Wording
from workbench.core.trouble import Fault
from workbench.core.wording import Said, say

SHORT_FIELDS: Mapping[type[BaseModel], tuple[str, ...]] = {
    Figure: ("value",),
    Span: ("low", "high"),
    Wording: ("text",),
}
CURVE = ("intensity_max", "intensity_log_c_half", "intensity_width")


@dataclass(slots=True)
class Writer:
    """Writes the rows of one file out in full; notes every fault, stops at none."""

    file: str
    sources: Mapping[str, Mapping[str, str]]
    faults: list[Fault] = field(default_factory=list)

    def note(self, place: str, says: Said) -> None:
        self.faults.append(Fault(place=f"{self.file}, {place}" if place else self.file, says=says))

    def row(self, raw: Mapping[str, object], model: type[BaseModel], place: str) -> dict[str, object]:
        """`raw` with every shorthand written out."""
        written: dict[str, object] = {}
        shapes = _shapes(model)
        for name, value in raw.items():
            if not isinstance(value, list | dict) and name != "from":
                written[name] = value  # most fields; nothing to write out
                continue
            here = f"{place}, {name}"
            if name == "from":
                written.update(self._source(value, place))
            elif name == "composition" and isinstance(value, list):
                written[name] = [self._content(line, here) for line in value]
            elif name == "intensity" and isinstance(value, list) and len(value) == len(CURVE) + 1:
                written.update(zip(CURVE, value, strict=False))
                written["intensity_source"] = self._source(value[-1], here).get("source", "")
            else:
                written[name] = self._value(value, shapes.get(name), here)
        return written

    def _value(self, value: object, shape: type[BaseModel] | None, place: str) -> object:
        if isinstance(value, dict):
            if "from" not in value:
                return value
            rest = {key: part for key, part in value.items() if key != "from"}
            return {**rest, **self._source(value["from"], place)}
        if shape is not None and isinstance(value, list):
            names = SHORT_FIELDS[shape]
            if len(value) != len(names) + 1:
                self.note(
                    place,
                    say(
                        "A value is written as {form}; correct the list.",
                        form="[" + ", ".join((*names, "source")) + "]",
                    ),
                )
                return None
            return {**dict(zip(names, value, strict=False)), **self._source(value[-1], place)}
        return value

    def _content(self, line: object, place: str) -> object:
        if not isinstance(line, list):
            return line
        if len(line) != 5:
            self.note(
                place,
                say(
                    "A line of a composition is [constituent, typical %, most %, source, source of the most]; correct {line}.",
                    line=str(line),
                ),
            )
            return {}
        constituent, percent, percent_max, source, max_source = line
        where = f"{place}, {constituent}"
        most = self._source(max_source, where)
        return {
            "constituent": constituent,
            "percent": percent,
            "percent_max": percent_max,
            **self._source(source, where),
            "max_source": most.get("source", ""),
            "max_confidence": most.get("confidence"),
        }

    def _source(self, name: object, place: str) -> Mapping[str, str]:
        found = self.sources.get(name) if isinstance(name, str) else None
        if found is None:
            self.note(
                place,
                say(
                    "The source “{name}” is not listed under [sources] in this file; add it.", name=str(name)
                ),
            )
            return {"source": "?", "confidence": "memory"}  # stands in, so that the row is checked on
        return found


def sentences(error: ValidationError) -> list[tuple[str, Said]]:
    """Every fault that the model found, as (field, sentence)."""
    found = []
    for one in error.errors(include_url=False, include_input=True):
        name = ", ".join(str(part) for part in one["loc"])
        kind = one["type"]
        if kind == "missing" and name.endswith(("source", "confidence")):
            found.append((name, say("This value has no source; every value needs one and its confidence.")))
        elif kind == "missing":
            found.append((name, say("This is missing; fill it in.")))
        elif kind == "extra_forbidden":
            found.append((name, say("There is no such field; check the spelling or take it out.")))
        else:
            found.append(
                (
                    name,
                    say("{says} (found: {given}).", says=_sentence(one["msg"]), given=_short(one["input"])),
                )
            )
    return found


def _sentence(message: str) -> str:
    """The model's own words without their technical beginning."""
    words = message.removeprefix("Value error, ")
    return words[:1].upper() + words[1:]


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


@cache
def _shapes(model: type[BaseModel]) -> Mapping[str, type[BaseModel]]:
    shapes: dict[str, type[BaseModel]] = {}
    for name, info in model.model_fields.items():
        kinds: Sequence[object] = get_args(info.annotation) or (info.annotation,)
        for kind in SHORT_FIELDS:
            if kind in kinds:
                shapes[name] = kind
    return shapes
