"""Personal words: kept apart from the record, so that they can be erased.

A wearer may ask that what was noted about them be erased.  The record itself
never changes, so personal words never stand in it: each is replaced by
`{"words": <digest>}` and kept in the table `words` with a random salt.
Erasing takes the text and the salt; the digest stays, and without the salt it
tells nothing (short words could otherwise be found by trying).  What was
erased reads as an empty brief or as a sentence that says so.

Which words are personal: a recipe's brief (for whom, allergies, ...), notes
in a session, and every text under the key "words" in a document (wear notes).
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

ERASED = "(erased on request)"
_REFERENCE = "words"

Take = Callable[[str], str]  # text -> digest
Give = Callable[[str], str | None]  # digest -> text, None when it was erased


@dataclass(frozen=True, slots=True)
class PersonalWords:
    """One piece of personal text and where it stands."""

    digest: str
    where: str  # "session 4, entry 17", "recipe Kitchen Garden, revision 2"
    wearer: str  # initials, where they are known
    text: str


@dataclass(slots=True)
class Taken:
    """Texts taken out of one document, by digest, each with its salt."""

    texts: dict[str, tuple[str, str]] = field(default_factory=dict)  # digest -> (salt, text)

    def take(self, text: str) -> str:
        salt = secrets.token_hex(16)
        digest = hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()
        self.texts[digest] = (salt, text)
        return digest


def right_digest(digest: str, salt: str, text: str) -> bool:
    """Whether a text is the one that the record refers to."""
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest() == digest


def take_from_recipe(recipe: dict[str, Any], take: Take) -> dict[str, Any]:
    """A recipe as JSON, its brief replaced by a reference; an empty brief stays away."""
    brief = recipe.get("brief")
    if not isinstance(brief, dict) or not brief or _REFERENCE in brief:
        return recipe
    return {**recipe, "brief": {_REFERENCE: take(to_text(brief))}}


def give_to_recipe(recipe: dict[str, Any], give: Give) -> tuple[dict[str, Any], bool]:
    """The recipe with its brief again; True when the brief was erased."""
    brief = recipe.get("brief")
    if not isinstance(brief, dict) or _REFERENCE not in brief:
        return recipe, False
    text = give(str(brief[_REFERENCE]))
    if text is None:
        return {**recipe, "brief": {}}, True
    return {**recipe, "brief": json.loads(text)}, False


def take_from_event(event: dict[str, Any], take: Take) -> dict[str, Any]:
    """An event as JSON without personal words: notes, and the brief in a frozen plan."""
    if event.get("kind") == "noted" and isinstance(event.get("words"), str):
        return {**event, "words": {_REFERENCE: take(event["words"])}}
    recipe = _recipe_in_plan(event)
    if recipe is not None:
        return {**event, "plan": {**event["plan"], "recipe": take_from_recipe(recipe, take)}}
    return event


def give_to_event(event: dict[str, Any], give: Give) -> tuple[dict[str, Any], bool]:
    """The event with its words again; True when they were erased."""
    words = event.get("words")
    if event.get("kind") == "noted" and isinstance(words, dict) and _REFERENCE in words:
        text = give(str(words[_REFERENCE]))
        return {**event, "words": ERASED if text is None else text}, text is None
    recipe = _recipe_in_plan(event)
    if recipe is not None:
        whole, erased = give_to_recipe(recipe, give)
        if whole is not recipe:
            return {**event, "plan": {**event["plan"], "recipe": whole}}, erased
    return event, False


def _recipe_in_plan(event: dict[str, Any]) -> dict[str, Any] | None:
    plan = event.get("plan")
    recipe = plan.get("recipe") if isinstance(plan, dict) else None
    return recipe if isinstance(recipe, dict) else None


def take_from_document(body: Any, take: Take) -> Any:
    """A document without the texts under its "words" keys, at any depth."""
    if isinstance(body, list):
        return [take_from_document(item, take) for item in body]
    if not isinstance(body, dict):
        return body
    return {
        key: {_REFERENCE: take(value)}
        if key == _REFERENCE and isinstance(value, str) and value
        else take_from_document(value, take)
        for key, value in body.items()
    }


def give_to_document(body: Any, give: Give) -> Any:
    """The document with its words again; erased ones read as `ERASED`."""
    if isinstance(body, list):
        return [give_to_document(item, give) for item in body]
    if not isinstance(body, dict):
        return body
    made: dict[str, Any] = {}
    for key, value in body.items():
        if key == _REFERENCE and isinstance(value, dict) and set(value) == {_REFERENCE}:
            text = give(str(value[_REFERENCE]))
            made[key] = ERASED if text is None else text
        else:
            made[key] = give_to_document(value, give)
    return made


def to_text(value: object) -> str:
    """JSON in one spelling: short, no NaN, letters as they are."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
