"""Reading a TOML table of the batch room: every fault at once, with its place."""

from __future__ import annotations

import tomllib
from typing import TypeVar

from pydantic import ValidationError

from workbench.core.catalogue.model import Row
from workbench.core.catalogue.rows import sentences
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say

Table = TypeVar("Table", bound=Row)


def parse_rows(name: str, content: bytes, model: type[Table]) -> Table:
    """`content` as one `model`; raises `Trouble` with every fault that was found."""
    try:
        raw = tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise Trouble(
            say(
                "The file “{name}” is not readable ({why}). Put the original back.", name=name, why=str(error)
            )
        ) from error
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        faults = tuple(Fault(f"{name}, {where}", says) for where, says in sentences(error))
        raise Trouble(say("The file “{name}” cannot be used as it stands.", name=name), faults) from error
