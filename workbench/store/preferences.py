"""Preferences of one person on one computer: a small JSON file, checked and forgiving.

Keys that this version does not know are kept, so that an older and a newer
program can share the file.  A file that cannot be read is set aside, never
thrown away, and that is said.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say
from workbench.store import files, troubles

Model = TypeVar("Model", bound=BaseModel)

_MOST_BYTES = 100_000


class Preferences(Generic[Model]):
    """One model in one file.  `value` is always valid; `trouble` says what was wrong with the file."""

    def __init__(self, path: Path, model: type[Model], now: datetime) -> None:
        self.path = path
        self.trouble: Trouble | None = None
        self._model = model
        self._unknown: dict[str, Any] = {}
        self.value: Model = model()
        self._load(now)

    def _load(self, now: datetime) -> None:
        try:
            data = files.read_bytes(self.path, _MOST_BYTES)
        except troubles.StoreTrouble as trouble:
            if trouble.kind is not troubles.Kind.MISSING:
                self.trouble = trouble
            if trouble.kind is troubles.Kind.TOO_LARGE:
                self._set_aside(now, (Fault("", trouble.says),))
            return
        try:
            found = json.loads(data)
            if not isinstance(found, dict):
                raise ValueError("it must hold one object")
        except (ValueError, RecursionError) as error:
            self._set_aside(now, (Fault("", str(error)[:200]),))
            return
        known = {key: value for key, value in found.items() if key in self._model.model_fields}
        self._unknown = {key: value for key, value in found.items() if key not in known}
        try:
            self.value = self._model.model_validate(known)
        except ValidationError as error:
            wrong = error.errors(include_url=False, include_context=False, include_input=False)
            faults = tuple(
                Fault(".".join(map(str, each["loc"]))[:100], str(each["msg"])[:200]) for each in wrong
            )
            # The settings that are right stay; only the wrong ones go back to what they were at first.
            right = {
                key: value
                for key, value in known.items()
                if key not in {each["loc"][0] for each in wrong if each["loc"]}
            }
            with suppress(ValidationError):
                self.value = self._model.model_validate(right)
            self._set_aside(now, faults)

    def _set_aside(self, now: datetime, faults: tuple[Fault, ...]) -> None:
        aside = self.path.with_name(f"{self.path.stem} set aside {now:%Y-%m-%d %H%M%S}{self.path.suffix}")
        with suppress(OSError):
            self.path.rename(aside)
        self.trouble = Trouble(
            say(
                "The settings in {place} could not be read. They were set aside as {aside}, "
                "and what could not be read is as it was at first.",
                place=str(self.path),
                aside=aside.name,
            ),
            faults,
        )

    def save(self, value: Model) -> None:
        """Write the settings; StoreTrouble when the disk refuses (they are in use all the same)."""
        self.value = value
        whole: Mapping[str, Any] = {**self._unknown, **value.model_dump(mode="json")}
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise troubles.from_os_error(error, self.path.parent) from error
        files.write_text(self.path, json.dumps(whole, ensure_ascii=False, indent=1) + "\n")
