"""Tables of the scent: activity in each family of base materials, and what others say about notes.

A file may hold `[scent_activity.<family>]`, `[note_lists.<id>]` and
`[tenacity.<id>]`; `resources/scent.toml` says what their numbers mean.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated

from pydantic import Field

from workbench.core.catalogue.model import Confidence, Constituent, Key, Material, Row, Text
from workbench.core.wording import Said, say


class FamilyActivity(Row):
    """One family of base materials as a solvent.

    `ln_gamma`: ln of the activity coefficient at infinite dilution at 32 °C,
    mole fraction scale, by constituent.  `molar_mass_g_mol` is that of the
    molecule that stands for the family.
    """

    molar_mass_g_mol: Annotated[float, Field(gt=50, lt=2000)]
    ln_gamma: dict[Key, Annotated[float, Field(ge=-5, le=15)]]
    source: Text
    confidence: Confidence


class NoteList(Row):
    """A published list of notes: 1 top, 2 middle, 3 base, halves between two; by material."""

    name: Text
    places: dict[Key, Annotated[float, Field(ge=1, le=3)]]
    source: Text
    confidence: Confidence


class Tenacity(Row):
    """A published scale of how long materials last, 1 to 100, by material or constituent."""

    name: Text
    coefficients: dict[Key, Annotated[float, Field(ge=1, le=100)]]
    reacts: dict[Key, Text] = Field(
        default_factory=dict
    )  # lasts as something else: no vapour pressure says so
    source: Text
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class ScentTables:
    activity: Mapping[str, FamilyActivity] = field(default_factory=dict)  # by carrier family
    note_lists: Mapping[str, NoteList] = field(default_factory=dict)
    tenacity: Mapping[str, Tenacity] = field(default_factory=dict)


TABLES: Mapping[str, type[FamilyActivity] | type[NoteList] | type[Tenacity]] = {
    "scent_activity": FamilyActivity,
    "note_lists": NoteList,
    "tenacity": Tenacity,
}


def strangers(
    scent: ScentTables,
    materials: Mapping[str, Material],
    constituents: Mapping[str, Constituent],
    families: Mapping[str, object],
) -> Iterator[tuple[str, str, Said]]:
    """Keys of the scent tables that no other table knows, as (table, key of the row, sentence)."""
    named = [
        *(
            ("scent_activity", at, key, constituents)
            for at, row in scent.activity.items()
            for key in row.ln_gamma
        ),
        *(("note_lists", at, key, materials) for at, row in scent.note_lists.items() for key in row.places),
    ]
    for table, at, key, known in named:
        if key not in known:
            yield table, at, say("“{key}” stands in no other table; correct it or take it out.", key=key)
    for at, row in scent.tenacity.items():
        for key in (*row.coefficients, *row.reacts):
            if key not in materials and key not in constituents:
                yield (
                    "tenacity",
                    at,
                    say("“{key}” stands in no other table; correct it or take it out.", key=key),
                )
    for family in scent.activity:
        if family not in families:
            yield (
                "scent_activity",
                family,
                say("There is no family of base materials “{key}”; correct it or add it.", key=family),
            )
