"""What a reaction of the skin flags: the batch, its recipe, and whatever shares a material or a lot with it.

A reaction follows what was in the tin, not what the recipe is called: a copy
under another name, and a new recipe with the same fragrance materials, carry
the caution too.  Base materials alone do not, save of a balm without
fragrance: a kitchen makes everything of the same wax, and a caution that
stands on every recipe is read on none (judged).  A bag or bottle in common
always counts.

What is not known is not permission: notes that cannot be read count like a
reaction until somebody has looked, and the sentence says that it is so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.model import Material
from workbench.core.review.keeping import ERASED, read_kept
from workbench.core.review.wearer import WordsFromWearers

SKIN_REACTION = "skin_reaction"  # the fault of that name, as it is kept


# --- what is kept, read ---


@dataclass(frozen=True, slots=True)
class Reported:
    """A reaction to one batch, told by a wearer or seen by the maker; or notes about it that cannot be read.

    `key` is that of the document: the batch code or the session.  `session` is
    "" where what cannot be read does not say it.  `wearer` are initials, ""
    where none were given or they, or the words, were erased.
    """

    key: str
    session: str = ""
    batch_code: str = ""
    recipe_name: str = ""
    told: date | None = None
    wearer: str = ""
    seen: bool = False  # by the maker, as a fault of the batch
    unread: bool = False

    def is_about(self, session: str, batch_code: str = "") -> bool:
        """Whether it is about this batch, as far as it can be told."""
        return self.session == session if self.session else self.key in (session, batch_code or session)


def reactions(words: Mapping[str, object], faults: Mapping[str, object]) -> tuple[Reported, ...]:
    """Every batch of which a reaction is known or cannot be ruled out; bodies by key, as they are kept.

    What a wearer told of a batch goes before what the maker saw, and either
    before what cannot be read.
    """
    found = [_told(key, body) for key, body in words.items()]
    found += [_seen(key, body) for key, body in faults.items()]
    known: dict[str, Reported] = {}
    for each in sorted((one for one in found if one is not None), key=lambda one: (one.unread, one.seen)):
        known.setdefault(each.session or f"\0{each.key}", each)
    return tuple(known.values())


def reported_of(words: WordsFromWearers, key: str = "") -> Reported | None:
    """The newest reaction among what was said of a batch; None where there was none."""
    sore = [each for each in words.said if each.reaction]
    if not sore:
        return None
    newest = max(sore, key=lambda each: (each.told or date.min, each.number))
    erased = ERASED in (newest.wearer, newest.words)
    return Reported(
        key or words.batch_code or words.session,
        words.session,
        words.batch_code,
        words.recipe_name,
        newest.told,
        "" if erased else newest.wearer,
    )


def _told(key: str, body: object) -> Reported | None:
    read = read_kept(WordsFromWearers, body)
    if read is not None:
        return reported_of(read, key)
    return None if body is None else _unread(key, body)


def _seen(key: str, body: object) -> Reported | None:
    """Read without the table of faults, which brings much that a shelf does not need."""
    if body is None:
        return None
    faults = body.get("faults", ()) if isinstance(body, dict) else None
    if not isinstance(faults, (list, tuple)) or not all(isinstance(each, dict) for each in faults):
        return _unread(key, body)
    kinds = [each.get("kind") for each in faults]
    if not all(isinstance(each, str) for each in kinds):
        return _unread(key, body)
    if SKIN_REACTION not in kinds:
        return None
    session, batch_code, recipe_name = _said_by(body)
    return Reported(key, session or key, batch_code, recipe_name, seen=True)


def _unread(key: str, body: object) -> Reported:
    return Reported(key, *_said_by(body), unread=True)


def _said_by(body: object) -> tuple[str, str, str]:
    """Session, batch code and recipe of a body, as far as that much of it can be read."""
    held = body if isinstance(body, dict) else {}
    session, batch_code, recipe_name = (
        value if isinstance(value := held.get(name), str) else ""
        for name in ("session", "batch_code", "recipe_name")
    )
    return session, batch_code, recipe_name


# --- what it flags ---


@dataclass(frozen=True, slots=True)
class Flag:
    """A reported reaction beside what was in that batch.

    `materials` and `fragrance` are keys with leftovers and premixes taken
    apart; both are empty where the batch is not known.  `unnamed` are
    materials of which no lot was named.
    """

    reported: Reported
    session: str = ""
    batch: str = ""  # its code, else its session, else the key of what cannot be read
    recipe_name: str = ""
    revision: int = 0
    day: date | None = None  # when it was made
    lots: tuple[str, ...] = ()
    materials: frozenset[str] = frozenset()
    fragrance: frozenset[str] = frozenset()
    unnamed: frozenset[str] = frozenset()

    @property
    def unread(self) -> bool:
        return self.reported.unread

    @property
    def known(self) -> bool:
        """Whether it can be told of which recipe or materials it is."""
        return bool(self.recipe_name or self.materials)


@dataclass(frozen=True, slots=True)
class Flags:
    """All of them, reactions before what cannot be read, and newest batch first.  `unread`: nothing could be read."""

    all: tuple[Flag, ...] = ()
    unread: bool = False

    @property
    def sessions(self) -> frozenset[str]:
        return frozenset(each.session for each in self.all if each.session)


NO_FLAGS = Flags()
UNREAD = Flags(unread=True)


def flags(
    reported: Iterable[Reported],
    summaries: Mapping[str, SessionSummary],
    materials: Mapping[str, Material],
) -> Flags:
    """What is to be used with caution.  `summaries` by session, newest first.

    A batch without a summary flags itself and its recipe by name, but what was
    in it is not known.
    """
    order = {session: at for at, session in enumerate(summaries)}
    by_code: dict[str, str] = {}
    for session, summary in summaries.items():
        by_code.setdefault(summary.batch_code, session)
    found = []
    for each in reported:
        session = each.session or (each.key if each.key in summaries else by_code.get(each.key, ""))
        found.append(_flag(each, session, summaries.get(session), materials))
    found.sort(key=lambda flag: (flag.unread, order.get(flag.session, len(order))))
    return Flags(tuple(found))


def _flag(
    each: Reported, session: str, summary: SessionSummary | None, materials: Mapping[str, Material]
) -> Flag:
    if summary is None:
        return Flag(each, session, each.batch_code or session or each.key, each.recipe_name)
    taken = summary.used or tuple((key, "", 0.0) for key in summary.materials)
    leaves = taken_apart((key for key, _, _ in taken), materials)
    named = {key for key, lot, _ in summary.used if lot}
    return Flag(
        each,
        session,
        each.batch_code or summary.batch_code or session,
        summary.recipe_name,
        summary.revision,
        None if summary.started is None else summary.started.date(),
        summary.lots,
        leaves,
        frozenset(key for key in leaves if _is_scent(key, materials)),
        frozenset(key for key, lot, _ in summary.used if not lot and key not in named),
    )


def taken_apart(keys: Iterable[str], materials: Mapping[str, Material]) -> frozenset[str]:
    """These materials with leftovers and premixes replaced by what they are made of; what is not known stays."""
    found: set[str] = set()
    seen: set[str] = set()
    open_ = list(keys)
    while open_:
        key = open_.pop()
        if key in seen:
            continue
        seen.add(key)
        row = materials.get(key)
        if row is not None and row.made_of:
            open_ += [part.material for part in row.made_of]
        else:
            found.add(key)
    return frozenset(found)


def _is_scent(key: str, materials: Mapping[str, Material]) -> bool:
    """What has left the tables may have been anything, so it counts as fragrance."""
    row = materials.get(key)
    return row is None or row.kind.is_scent
