"""From the bytes of the table files to one `Catalogue`, or to all that is wrong with them.

A file is TOML.  It may hold any of these tables, and several files may add to
the same one: `[sources.<id>]`, `[[material]]`, `[[constituent]]`, `[[limit]]`,
`[[allergen]]`, `[[caution]]`, `[categories]`, `[unifac]`, `[carriers.<family>]`,
`[heat]`, `edition`, and those of `scent_rows.py`.  `rows.py` says how a row is written short and
`crosscheck.py` what the tables must agree on.

Nothing is mended in silence and nothing stops at the first fault: every fault
of every file is told at once, in sentences, with its place.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, TypeVar

from pydantic import Field, ValidationError

from workbench.core.catalogue.catalogue import Catalogue, UnifacTable
from workbench.core.catalogue.crosscheck import contradictions
from workbench.core.catalogue.model import (
    Allergen,
    Caution,
    Confidence,
    Constituent,
    Figure,
    Limit,
    Material,
    Row,
    Text,
    Use,
    Wording,
)
from workbench.core.catalogue.rows import Writer, sentences
from workbench.core.catalogue.scent_rows import (
    TABLES as SCENT_TABLES,
)
from workbench.core.catalogue.scent_rows import FamilyActivity, NoteList, ScentTables, Tenacity
from workbench.core.catalogue.shelf import Shelf
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say

_Row = TypeVar("_Row", bound=Row)

ROWS: Mapping[str, tuple[type[Row], str]] = {  # table -> (model, field that names a row)
    "material": (Material, "key"),
    "constituent": (Constituent, "key"),
    "limit": (Limit, "key"),
    "allergen": (Allergen, "label_name"),
    "caution": (Caution, "key"),
}
SINGLE = ("sources", "categories", "unifac", "carriers", "heat", "edition")


@dataclass(slots=True)
class _Tables:
    rows: dict[str, dict[str, Row]] = field(default_factory=lambda: {name: {} for name in ROWS})
    places: dict[tuple[str, str], str] = field(default_factory=dict)  # (table, key) -> file, key
    categories: dict[Use, str] = field(default_factory=dict)
    unifac: UnifacTable = field(default_factory=UnifacTable)
    carriers: dict[str, dict[str, int]] = field(default_factory=dict)
    heat: dict[str, Figure] = field(default_factory=dict)
    scent: dict[str, dict[str, Row]] = field(default_factory=lambda: {name: {} for name in SCENT_TABLES})
    edition: str = ""
    faults: list[Fault] = field(default_factory=list)

    def only_once(self, table: str, key: str, place: str) -> bool:
        first = self.places.setdefault((table, key), place)
        if first == place:
            return True
        self.faults.append(
            Fault(
                place, say("“{key}” is already there in {first}; keep one of the two.", key=key, first=first)
            )
        )
        return False


def parse_catalogue(files: Mapping[str, bytes]) -> Catalogue:
    """The catalogue in `files` (name -> bytes of a TOML file), its shelf empty.

    Raises `Trouble` with every fault of every file.
    """
    tables = _Tables()
    for name in sorted(files):
        document = _document(name, files[name], tables.faults)
        writer = Writer(name, _sources(name, document, tables.faults))
        _read(document, writer, tables)
        tables.faults.extend(writer.faults)
    catalogue = Catalogue(
        materials=_typed(tables, "material", Material),
        constituents=_typed(tables, "constituent", Constituent),
        limits=tuple(_typed(tables, "limit", Limit).values()),
        allergens=tuple(_typed(tables, "allergen", Allergen).values()),
        cautions=_typed(tables, "caution", Caution),
        categories=tables.categories,
        unifac=tables.unifac,
        carriers=tables.carriers,
        heat=tables.heat,
        scent=_scent(tables),
        edition=tables.edition,
    )
    for table, key, says in contradictions(catalogue):
        tables.faults.append(Fault(tables.places.get((table, key), f"{table}, {key}"), says))
    _raise(tables.faults)
    return catalogue


def parse_shelf(name: str, content: bytes) -> Shelf:
    """A shelf from the bytes of one TOML file; raises `Trouble` with all its faults."""
    faults: list[Fault] = []
    document = _document(name, content, faults)
    writer = Writer(name, _sources(name, document, faults))
    shelf = _made(
        writer.row({k: v for k, v in document.items() if k != "sources"}, Shelf, ""), Shelf, "", writer
    )
    _raise([*faults, *writer.faults])
    assert shelf is not None  # without a shelf there was a fault
    return shelf


def _raise(faults: list[Fault]) -> None:
    if faults:
        raise Trouble(
            say("The tables cannot be used as they are. Correct what is listed and start again."),
            tuple(faults),
        )


def _document(name: str, content: bytes, faults: list[Fault]) -> dict[str, object]:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except UnicodeDecodeError:
        faults.append(Fault(name, say("This file is not written in UTF-8; save it as UTF-8 text.")))
    except tomllib.TOMLDecodeError as error:
        faults.append(
            Fault(name, say("This file is not valid TOML: {why}. Correct that line.", why=str(error)))
        )
    return {}


def _sources(name: str, document: Mapping[str, object], faults: list[Fault]) -> dict[str, dict[str, str]]:
    register: dict[str, dict[str, str]] = {}
    for key, entry in _entries(document.get("sources", {})):
        text = entry.get("text") if isinstance(entry, dict) else None
        confidence = entry.get("confidence") if isinstance(entry, dict) else None
        if (
            isinstance(text, str)
            and text.strip()
            and isinstance(confidence, str)
            and confidence in set(Confidence)
        ):
            register[key] = {"source": text, "confidence": str(confidence)}
        else:
            faults.append(
                Fault(
                    f"{name}, sources, {key}",
                    say(
                        "A source needs a text and a confidence out of {words}; add them.",
                        words=", ".join(Confidence),
                    ),
                )
            )
            register[key] = {"source": "?", "confidence": Confidence.MEMORY}  # one fault, not one per use
    return register


def _entries(table: object) -> Iterator[tuple[str, object]]:
    if isinstance(table, dict):
        yield from table.items()


def _read(document: Mapping[str, object], writer: Writer, tables: _Tables) -> None:
    for table, content in document.items():
        if table in ROWS:
            _read_rows(table, content, writer, tables)
        elif table == "categories":
            _read_categories(content, writer, tables)
        elif table == "unifac":
            _read_unifac(content, writer, tables)
        elif table == "carriers":
            _read_carriers(content, writer, tables)
        elif table == "heat":
            _read_heat(content, writer, tables)
        elif table in SCENT_TABLES:
            _read_scent(table, content, writer, tables)
        elif table == "edition":
            tables.edition = str(content)
        elif table not in SINGLE:
            writer.note(table, say("There is no such table; check the spelling or take it out."))


def _read_rows(table: str, content: object, writer: Writer, tables: _Tables) -> None:
    model, name_of_row = ROWS[table]
    if not isinstance(content, list):
        writer.note(table, say("Rows are written as [[{table}]]; put double brackets.", table=table))
        return
    for number, raw in enumerate(content, start=1):
        key = str(raw.get(name_of_row, "")) if isinstance(raw, dict) else ""
        place = key or f"{table} {number}"
        if not isinstance(raw, dict):
            writer.note(place, say("Rows are written as [[{table}]]; put double brackets.", table=table))
            continue
        made = _made(writer.row(raw, model, place), model, place, writer)
        here = (
            f"{writer.file}, {place}"
            if (table, key) not in tables.places
            else f"{writer.file}, {place} ({number})"
        )
        if made is not None and tables.only_once(table, key, here):
            tables.rows[table][key] = made


def _made(row: Mapping[str, object], model: type[_Row], place: str, writer: Writer) -> _Row | None:
    try:
        return model.model_validate(row)
    except ValidationError as error:
        for name, says in sentences(error):
            writer.note(", ".join(part for part in (place, name) if part), says)
    return None


def _read_categories(content: object, writer: Writer, tables: _Tables) -> None:
    for use, entry in _entries(content):
        place = f"categories, {use}"
        known = use in set(Use)
        written = writer.row({"category": entry}, _CategoryRow, place)
        row = _made(written, _CategoryRow, place, writer)
        if not known:
            writer.note(place, say("There is no such use; the uses are {uses}.", uses=", ".join(Use)))
        elif row is not None and tables.only_once("categories", use, f"{writer.file}, {place}"):
            tables.categories[Use(use)] = row.category.text


class _CategoryRow(Row):
    category: Wording


def _read_heat(content: object, writer: Writer, tables: _Tables) -> None:
    for name, entry in _entries(content):
        place = f"heat, {name}"
        row = _made(writer.row({"figure": entry}, _HeatRow, place), _HeatRow, place, writer)
        if row is not None and tables.only_once("heat", name, f"{writer.file}, {place}"):
            tables.heat[name] = row.figure


class _HeatRow(Row):
    figure: Figure


class _UnifacFile(Row):
    source: Text
    subgroups: dict[str, tuple[int, float, float]]
    interaction: dict[int, dict[int, float]]


def _read_unifac(content: object, writer: Writer, tables: _Tables) -> None:
    row = _made(content if isinstance(content, dict) else {}, _UnifacFile, "unifac", writer)
    if row is not None and tables.only_once("unifac", "unifac", f"{writer.file}, unifac"):
        tables.unifac = UnifacTable(
            subgroups=row.subgroups,
            interaction={(m, n): a for m, line in row.interaction.items() for n, a in line.items()},
            source=row.source,
        )


class _CarrierRow(Row):
    groups: dict[str, Annotated[int, Field(gt=0)]]
    source: Text


def _read_carriers(content: object, writer: Writer, tables: _Tables) -> None:
    for family, entry in _entries(content):
        place = f"carriers, {family}"
        row = _made(entry if isinstance(entry, dict) else {}, _CarrierRow, place, writer)
        if row is not None and tables.only_once("carriers", family, f"{writer.file}, {place}"):
            tables.carriers[family] = row.groups


def _read_scent(table: str, content: object, writer: Writer, tables: _Tables) -> None:
    model = SCENT_TABLES[table]
    for name, entry in _entries(content):
        place = f"{table}, {name}"
        raw = writer.row(entry, model, place) if isinstance(entry, dict) else {}
        row = _made(raw, model, place, writer)
        if row is not None and tables.only_once(table, name, f"{writer.file}, {place}"):
            tables.scent[table][name] = row


def _scent(tables: _Tables) -> ScentTables:
    rows = tables.scent
    return ScentTables(
        activity={k: row for k, row in rows["scent_activity"].items() if isinstance(row, FamilyActivity)},
        note_lists={k: row for k, row in rows["note_lists"].items() if isinstance(row, NoteList)},
        tenacity={k: row for k, row in rows["tenacity"].items() if isinstance(row, Tenacity)},
    )


def _typed(tables: _Tables, table: str, model: type[_Row]) -> dict[str, _Row]:
    return {key: row for key, row in tables.rows[table].items() if isinstance(row, model)}
