"""Personal words: kept apart from the record, so that they can be erased.

A wearer may ask that what was noted about them be erased.  The record itself
never changes, so personal words never stand in it: each is replaced by
`{"words": <digest>}` and kept in the table `words` with a random salt.
Erasing takes the text and the salt; the digest stays, and without the salt it
tells nothing (short words could otherwise be found by trying).  What was
erased reads as an empty brief or as a sentence that says so.

Which words are personal: a recipe's brief (for whom, allergies, ...), notes
in a session, the remarks at its end and what corrects them in words, and every text under the keys
"words" and "wearer" in a document (wear notes).
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

Give = Callable[[str], str | None]  # digest -> text, None when it was erased; LookupError when it is lost


@dataclass(slots=True)
class Taken:
    """Texts taken out of documents, by digest: where it stands, its salt, the text (None: erased)."""

    place: str = ""
    erased: bool = False  # what is taken was erased before (in a project that is being imported)
    texts: dict[str, tuple[str, str | None, str | None]] = field(default_factory=dict)

    def take(self, text: str) -> str:
        salt = secrets.token_hex(16)
        digest = hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()
        gone = self.erased or text == ERASED
        self.texts[digest] = (self.place, None, None) if gone else (self.place, salt, text)
        return digest


def right_digest(digest: str, salt: str, text: str) -> bool:
    """Whether a text is the one that the record refers to."""
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest() == digest


def take_from_recipe(recipe: dict[str, Any], taken: Taken) -> dict[str, Any]:
    """A recipe as JSON, its brief replaced by a reference; an empty brief needs none."""
    brief = recipe.get("brief")
    if not isinstance(brief, dict) or _REFERENCE in brief or not (brief or taken.erased):
        return recipe
    return {**recipe, "brief": {_REFERENCE: taken.take(to_text(brief))}}


def give_to_recipe(recipe: Any, give: Give) -> tuple[dict[str, Any], bool]:
    """The recipe with its brief again; True when the brief was erased.  ValueError when it is none."""
    if not isinstance(recipe, dict):
        raise ValueError("it is not a recipe")
    brief = recipe.get("brief")
    if not isinstance(brief, dict) or _REFERENCE not in brief:
        return recipe, False
    text = give(str(brief[_REFERENCE]))
    if text is None:
        return {**recipe, "brief": {}}, True
    return {**recipe, "brief": json.loads(text)}, False


KINDS_WITH_WORDS = ("noted", "corrected", "session started", "answer given")
_NEEDS_OF_WORDS = ("remarks",)  # answers in free words; every other answer is a choice, a tick or a number


def take_from_event(event: dict[str, Any], taken: Taken) -> dict[str, Any]:
    """An event as JSON without personal words: notes, remarks, corrections in words, the brief in a frozen plan."""
    made = dict(event)
    for key in _fields_with_words(event):
        if isinstance(event[key], str) and event[key]:
            made[key] = {_REFERENCE: taken.take(event[key])}
    recipe = _recipe_in_plan(event)
    if recipe is not None:
        made["plan"] = {**event["plan"], "recipe": take_from_recipe(recipe, taken)}
    return made


def give_to_event(event: Any, give: Give) -> tuple[dict[str, Any], bool]:
    """The event with its words again; True when they were erased.  ValueError when it is none."""
    if not isinstance(event, dict):
        raise ValueError("it is not an entry")
    made, erased = dict(event), False
    for key in _fields_with_words(event):
        if isinstance(event[key], dict) and _REFERENCE in event[key]:
            text = give(str(event[key][_REFERENCE]))
            made[key] = ERASED if text is None else text
            erased = erased or text is None
    recipe = _recipe_in_plan(event)
    if recipe is not None:
        whole, gone = give_to_recipe(recipe, give)
        made["plan"] = {**event["plan"], "recipe": whole}
        erased = erased or gone
    return made, erased


def _fields_with_words(event: dict[str, Any]) -> list[str]:
    if event.get("kind") == "noted":
        return ["words"] if "words" in event else []
    if event.get("kind") == "answer given" and event.get("need") in _NEEDS_OF_WORDS:
        return [key for key in ("value", "typed") if key in event]
    if event.get("kind") == "corrected" and isinstance(event.get("value"), (str, dict)):
        return [key for key in ("value", "typed") if key in event]
    return []


def _recipe_in_plan(event: dict[str, Any]) -> dict[str, Any] | None:
    plan = event.get("plan")
    recipe = plan.get("recipe") if isinstance(plan, dict) else None
    return recipe if isinstance(recipe, dict) else None


_KEYS_IN_DOCUMENTS = ("words", "wearer")


def take_from_document(body: Any, taken: Taken) -> Any:
    """A document without the texts under its personal keys, at any depth."""
    if isinstance(body, list):
        return [take_from_document(item, taken) for item in body]
    if not isinstance(body, dict):
        return body
    return {
        key: {_REFERENCE: taken.take(value)}
        if key in _KEYS_IN_DOCUMENTS and isinstance(value, str) and value
        else take_from_document(value, taken)
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
        if key in _KEYS_IN_DOCUMENTS and isinstance(value, dict) and set(value) == {_REFERENCE}:
            text = give(str(value[_REFERENCE]))
            made[key] = ERASED if text is None else text
        else:
            made[key] = give_to_document(value, give)
    return made


def to_text(value: object) -> str:
    """JSON in one spelling: short, no NaN, letters as they are."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
