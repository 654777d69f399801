"""Word from the wearer: what the person who got a tin says weeks later, kept with its batch.

What a reaction of the skin flags is found in `reactions`.  That one was
reported stays with the batch; who it was and what they said can be erased.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Annotated

from pydantic import Field

from workbench.core.catalogue.model import Row, Text
from workbench.core.review.keeping import Initials, SaidWords, read_kept

CANNOT_BE_READ = "(cannot be read)"  # in the place of words that say nothing to this program


class WordFromWearer(Row):
    """What one person said; `rating` 0..10, None where none was given."""

    number: Annotated[int, Field(ge=1)]
    told: date | None = None
    wearer: Initials = ""
    rating: Annotated[int, Field(ge=0, le=10)] | None = None
    reaction: bool = False
    words: SaidWords = ""


class WordsFromWearers(Row):
    """All that was said of one batch."""

    session: Text
    batch_code: str = ""
    recipe_name: str = ""
    said: tuple[WordFromWearer, ...] = ()

    @property
    def reaction(self) -> bool:
        return any(each.reaction for each in self.said)

    def next_number(self) -> int:
        return max((each.number for each in self.said), default=0) + 1

    def put(self, word: WordFromWearer) -> WordsFromWearers:
        """The same with one word added, or in the place of the one of its number."""
        others = [each for each in self.said if each.number != word.number]
        said = tuple(sorted([*others, word], key=lambda each: each.number))
        return self.model_copy(update={"said": said})

    def without(self, number: int) -> WordsFromWearers:
        return self.model_copy(update={"said": tuple(each for each in self.said if each.number != number)})


def key_of(session: str, batch_code: str) -> str:
    """Under which key the words about a batch are kept: its code, as it stands on the tin."""
    return batch_code.strip() or session


def words_of_batch(
    read: Callable[[str], object | None], session: str, batch_code: str
) -> WordsFromWearers | None:
    """What was said of one batch; `read` gives the newest body under a key.

    Two batches may have one code on their tins: then the later one's words
    stand under its session.  What is there and cannot be read comes as one word
    that says so: it may have been a reaction.
    """
    garbled = False
    for key in dict.fromkeys((key_of(session, batch_code), session)):
        body = read(key)
        held = read_kept(WordsFromWearers, body)
        if held is not None and held.session == session:
            return held
        garbled = garbled or (body is not None and held is None)
    if not garbled:
        return None
    said = (WordFromWearer(number=1, words=CANNOT_BE_READ),)
    return WordsFromWearers(session=session, batch_code=batch_code, said=said)


def batch_of(code: str, codes: Mapping[str, str]) -> tuple[str, ...]:
    """Sessions whose batch code is the one on a tin, newest first; `codes` is session -> code, newest first.

    Read from a worn label it may lack a hyphen or differ in case.
    """
    wanted = _plain(code)
    if not wanted:
        return ()
    exact = tuple(session for session, held in codes.items() if _plain(held) == wanted)
    return exact or tuple(session for session in codes if _plain(session) == wanted)


def _plain(code: str) -> str:
    return "".join(letter for letter in code.casefold() if letter.isalnum())
