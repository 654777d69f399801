"""The shape of an exported project: documented JSON, one document per project.

`python -m workbench.store.documents` writes the JSON Schema to
`resources/project.schema.json`; a test checks that it is current.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe

FORMAT = "balmbook project"
VERSION = 1

Count = Annotated[int, Field(ge=1, le=1_000_000_000)]
When = Annotated[
    str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)$")
]
Name = Annotated[str, StringConstraints(min_length=1, max_length=200)]


class Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class RevisionPart(Part):
    """One revision of a recipe; revisions count from 1."""

    revision: Count
    saved_at: When
    recipe: Recipe
    brief_erased: bool = Field(default=False, description="the wearer's brief was erased on request")


class RecipePart(Part):
    """A recipe with all its revisions, oldest first.  `name` is its name today."""

    name: Name
    put_away: bool = False
    revisions: Annotated[tuple[RevisionPart, ...], Field(min_length=1)]


class EventPart(Part):
    """One entry of the record; entries count from 1 without a gap."""

    seq: Count
    event: AnyEvent
    erased: bool = Field(default=False, description="personal words in it were erased on request")


class SessionPart(Part):
    """One batch as it happened.  Sessions are numbered s1, s2, ... in the order they began."""

    id: Annotated[str, StringConstraints(pattern=r"^s[1-9][0-9]{0,8}$")]
    events: Annotated[tuple[EventPart, ...], Field(min_length=1)]


class DocumentPart(Part):
    """A document of another kind (a trial, wear notes, ...), one revision."""

    kind: Name
    key: Name
    revision: Count
    saved_at: When
    body: Any = Field(description="any JSON")


class DraftPart(Part):
    """Text of an editor that had not been saved yet."""

    key: Name
    saved_at: When
    text: str


class ErasurePart(Part):
    """That personal words were erased: where they stood, why, and how many pieces."""

    number: Count
    at: When
    what: str
    reason: str
    pieces: Annotated[int, Field(ge=0)]


class ProjectPart(Part):
    """A whole Balmbook project.  Masses are in g, temperatures in °C, times in s."""

    format: Literal["balmbook project"]
    version: Literal[1]
    project: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    created: When
    shelf: Shelf = Shelf()
    recipes: tuple[RecipePart, ...] = ()
    documents: tuple[DocumentPart, ...] = ()
    drafts: tuple[DraftPart, ...] = ()
    erasures: tuple[ErasurePart, ...] = ()
    sessions: tuple[SessionPart, ...] = ()


def schema_text() -> str:
    """The JSON Schema (draft 2020-12) of an exported project."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Balmbook project",
        **{key: value for key, value in ProjectPart.model_json_schema().items() if key != "title"},
    }
    return json.dumps(schema, ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    target = Path(__file__).parents[2] / "resources" / "project.schema.json"
    target.write_text(schema_text(), encoding="utf-8")
