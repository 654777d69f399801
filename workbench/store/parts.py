"""An exported project put together from its parts, each checked for itself.

One part after the other, so that a file with a million faults costs no more
than one with two hundred: that many are collected, then the rest is not looked
at any more.
"""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from workbench.core.trouble import Fault
from workbench.store.documents import (
    DocumentPart,
    DraftPart,
    ErasurePart,
    EventPart,
    ProjectPart,
    RecipePart,
    SessionPart,
)

MOST_FAULTS = 200
_MOST_ERRORS_OF_ONE_PART = 1_000
_LONGEST_PLAN = 100  # fields at its top; a plan has near twenty

_LISTS: dict[str, type[BaseModel]] = {
    "recipes": RecipePart,
    "documents": DocumentPart,
    "drafts": DraftPart,
    "erasures": ErasurePart,
}


def assemble(plain: Any) -> tuple[ProjectPart | None, list[Fault]]:
    """The document in plain JSON, or its faults (one of both)."""
    if not isinstance(plain, dict):
        return None, [Fault("", "It must be one object with the parts of a project.")]
    collected = _Collected()
    made: dict[str, Any] = {key: value for key, value in plain.items() if key not in (*_LISTS, "sessions")}
    collected.check(ProjectPart, made, "")
    for key, model in _LISTS.items():
        made[key] = collected.list_of(model, plain.get(key, []), key)
    made["sessions"] = _sessions(plain.get("sessions", []), collected)
    if collected.faults:
        return None, collected.faults
    return ProjectPart.model_validate(made), []


class _Collected:
    def __init__(self) -> None:
        self.faults: list[Fault] = []

    @property
    def enough(self) -> bool:
        return len(self.faults) >= MOST_FAULTS

    def check(self, model: type[BaseModel], plain: Any, place: str) -> BaseModel | None:
        """One part as a model; None, with its faults noted, when it is none."""
        try:
            return model.model_validate(plain)
        except ValidationError as error:
            if error.error_count() > _MOST_ERRORS_OF_ONE_PART:
                self.add(place, f"It has {error.error_count()} faults.")
                return None
            details = error.errors(include_url=False, include_context=False, include_input=False)
            for detail in _own_faults(details):
                self.add(_place(place, detail["loc"]), str(detail["msg"]))
            return None

    def list_of(self, model: type[BaseModel], plain: Any, place: str) -> list[BaseModel | None]:
        if not isinstance(plain, list):
            self.add(place, "It must be a list.")
            return []
        found: list[BaseModel | None] = []
        for index, item in enumerate(plain):
            if self.enough:
                break
            found.append(self.check(model, item, f"{place}[{index}]"))
        return found

    def add(self, place: str, says: str) -> None:
        if not self.enough:
            self.faults.append(Fault(place[:200], sentence(says)))


def _sessions(plain: Any, collected: _Collected) -> list[Any]:
    if not isinstance(plain, list):
        collected.add("sessions", "It must be a list.")
        return []
    found = []
    for index, item in enumerate(plain):
        if collected.enough:
            break
        place = f"sessions[{index}]"
        if not isinstance(item, dict) or not isinstance(item.get("events"), list) or not item["events"]:
            collected.add(place, "It must be an object with an id and a list of events.")
            continue
        events = item["events"]
        for number, part in enumerate(events):
            _bound_plan(part, f"{place}.events[{number}]", collected)
        parts = [] if collected.enough else collected.list_of(EventPart, events, f"{place}.events")
        # The frame is checked with a first event in it that is known to be right, if there is one.
        right = next((part for part in parts if part is not None), None)
        if right is None:
            continue
        frame = collected.check(SessionPart, {**item, "events": [right]}, place)
        if isinstance(frame, SessionPart) and None not in parts:
            found.append(frame.model_copy(update={"events": tuple(parts)}))
    return found


def _bound_plan(part: Any, place: str, collected: _Collected) -> None:
    """A plan is read twice, here and by the session; one with too many fields is not read at all."""
    event = part.get("event") if isinstance(part, dict) else None
    plan = event.get("plan") if isinstance(event, dict) else None
    if isinstance(plan, dict) and len(plan) > _LONGEST_PLAN:
        plan.clear()
        collected.add(f"{place}.event.plan", "It has more fields than a plan can have.")


def _own_faults(details: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without "too few items" where the items are there and have faults of their own."""
    places = {detail["loc"][:depth] for detail in details for depth in range(len(detail["loc"]))}
    return [detail for detail in details if detail["type"] != "too_short" or detail["loc"] not in places]


def _place(before: str, location: tuple[int | str, ...]) -> str:
    parts = list(location)
    if parts[:1] == ["event"] and len(parts) > 1:
        del parts[1]  # the kind, which the checker puts between
    place = before
    for part in parts:
        place += f"[{part}]" if isinstance(part, int) else f".{part}" if place else str(part)
    return place


def sentence(message: str) -> str:
    """A message of the checker as a sentence, short enough to show."""
    text = re.sub(r"^(Value error|Assertion failed), ", "", message)[:300]
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
