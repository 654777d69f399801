"""Documents in which looking back is kept: their kinds, and how one is read and written.

Words that a person said stand in a field called `words`, initials in one
called `wearer`: by these two names the store finds what can be erased on
request.  What was erased reads as `ERASED`.
"""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import StringConstraints, ValidationError

from workbench.core.catalogue.model import Row

WEAR_TEST = "wear test"  # key: session id
WORD_FROM_WEARER = "word from a wearer"  # key: batch code, or the session id where there is none
FAULT_SEEN = "fault seen"  # key: session id

ERASED = "(erased on request)"

# two or three initials at most: enough to tell wearers apart, too little to be a name
Initials = Annotated[
    str, StringConstraints(strip_whitespace=True, pattern=r"^(?:[^\W\d_]{0,3}|\(erased on request\))$")
]
SaidWords = Annotated[str, StringConstraints(strip_whitespace=True, max_length=400)]

_Kept = TypeVar("_Kept", bound=Row)


def read_kept(model: type[_Kept], body: object) -> _Kept | None:
    """A document's body as its type; None where there is none, or where it cannot be read.

    One that cannot be read was written by a newer program or by hand; it
    stays where it is and is not overwritten unless the maker writes anew.
    """
    if body is None:
        return None
    try:
        return model.model_validate(body)
    except ValidationError:
        return None


def body_of(kept: Row) -> dict[str, object]:
    """The document's body: plain JSON values."""
    return kept.model_dump(mode="json")
