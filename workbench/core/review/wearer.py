"""Word from the wearer: what the person who got a tin says weeks later, and what follows from it.

A reaction of the skin marks the batch, its recipe and the lots in it, so that
whoever uses them again is told.  That a reaction was reported stays with the
batch; who it was and what they said can be erased.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated

from pydantic import Field

from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.model import Row, Text
from workbench.core.review.keeping import Initials, SaidWords, read_kept
from workbench.core.wording import Said, say


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
    stand under its session.
    """
    for key in dict.fromkeys((key_of(session, batch_code), session)):
        held = read_kept(WordsFromWearers, read(key))
        if held is not None and held.session == session:
            return held
    return None


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


# --- what a reaction flags ---

SKIN_REACTION = "skin_reaction"  # the fault of that name, as it is kept


def seen_reaction(body: object) -> WordsFromWearers | None:
    """A reaction that was recorded as a fault of its batch, as if a wearer had told it; None where there is none.

    Read without the table of faults, which brings much that a shelf does not need.
    """
    if not isinstance(body, dict):
        return None
    kinds = [each.get("kind") for each in body.get("faults") or () if isinstance(each, dict)]
    if SKIN_REACTION not in kinds:
        return None
    kept = {key: str(body.get(key, "")) for key in ("session", "batch_code", "recipe_name")}
    said = (WordFromWearer(number=1, reaction=True),)
    return WordsFromWearers(**kept, said=said) if kept["session"] else None


def reactions(words: Iterable[object], faults: Iterable[object]) -> tuple[WordsFromWearers, ...]:
    """Every batch of which a reaction is known: told by a wearer, or seen by the maker; bodies as they are kept."""
    read = (read_kept(WordsFromWearers, body) for body in words)
    told = [each for each in read if each is not None and each.reaction]
    known = {each.session for each in told}
    seen = (seen_reaction(body) for body in faults)
    return (*told, *(each for each in seen if each is not None and each.session not in known))


@dataclass(frozen=True, slots=True)
class Flag:
    """A reaction that was reported of one batch."""

    session: str
    batch_code: str
    recipe_name: str
    revision: int
    told: date | None
    lots: tuple[str, ...]

    @property
    def batch(self) -> str:
        return self.batch_code or self.session


@dataclass(frozen=True, slots=True)
class Flags:
    """Reactions by session, by recipe and by lot, newest batch first in each."""

    sessions: Mapping[str, Flag] = field(default_factory=dict)
    recipes: Mapping[str, tuple[Flag, ...]] = field(default_factory=dict)
    lots: Mapping[str, tuple[Flag, ...]] = field(default_factory=dict)


NO_FLAGS = Flags()
CAUTION = say(
    "Find out what it was before it is used again: ask what else was used, stop wearing it, and leave a "
    "reaction that does not go away to a doctor. The record cannot tell which material it was."
)


def flags(words: Iterable[WordsFromWearers], summaries: Mapping[str, SessionSummary]) -> Flags:
    """What is to be used with caution.  `summaries` by session, newest first.

    A batch without a summary (it was never ended) flags itself and its recipe,
    but its lots are not known.
    """
    reported = {each.session: each for each in words if each.reaction}
    order = {session: at for at, session in enumerate(summaries)}
    sessions: dict[str, Flag] = {}
    recipes: dict[str, list[Flag]] = {}
    lots: dict[str, list[Flag]] = {}
    for session in sorted(reported, key=lambda each: order.get(each, len(order))):
        word, summary = reported[session], summaries.get(session)
        told = max((each.told for each in word.said if each.reaction and each.told), default=None)
        flag = Flag(
            session,
            word.batch_code or ("" if summary is None else summary.batch_code),
            word.recipe_name if summary is None else summary.recipe_name,
            0 if summary is None else summary.revision,
            told,
            () if summary is None else summary.lots,
        )
        sessions[session] = flag
        if flag.recipe_name:
            recipes.setdefault(flag.recipe_name, []).append(flag)
        for lot in flag.lots:
            lots.setdefault(lot, []).append(flag)
    return Flags(
        sessions,
        {name: tuple(found) for name, found in recipes.items()},
        {lot: tuple(found) for lot, found in lots.items()},
    )


def recipe_caution(made: Flags, recipe_name: str) -> Said | None:
    """One sentence for wherever the recipe is used; None where nothing was reported."""
    found = made.recipes.get(recipe_name, ())
    if not found:
        return None
    return say("A skin reaction was reported of this recipe, batch {batch}.", batch=_batches(found))


def lot_caution(made: Flags, lot: str) -> Said | None:
    """One sentence for wherever the lot is used; None where nothing was reported."""
    found = made.lots.get(lot, ())
    if not found:
        return None
    return say(
        "A skin reaction was reported of a balm with this lot in it, batch {batch}.", batch=_batches(found)
    )


def uses_caution(made: Flags, recipe_name: str, lots: Iterable[str]) -> Said | None:
    """The most telling caution for a recipe and the lots it would take; None where nothing was reported."""
    own = recipe_caution(made, recipe_name)
    if own is not None:
        return own
    return next((caution for lot in lots if (caution := lot_caution(made, lot)) is not None), None)


def _batches(found: Iterable[Flag]) -> str:
    return ", ".join(each.batch for each in found)
