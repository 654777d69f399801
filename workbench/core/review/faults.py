"""Faults and cures: what a fault looks like, its likely causes by what this batch's record shows, what to change.

The causes stand in `resources/faults.toml`.  Each names a piece of evidence
(`evidence.EVIDENCE`), which reads the record and answers with a score and a
sentence with the batch's own numbers, or that the record says nothing about
it.  The order is by what the table takes for likely and by what was found; it
is a list of where to look, and of a reaction of the skin no diagnosis.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from pydantic import AwareDatetime, Field

from workbench.core.batch.tables import parse_rows
from workbench.core.catalogue.model import Confidence, Key, Row, Text
from workbench.core.review.evidence import EVIDENCE, Case, Finding
from workbench.core.review.keeping import SaidWords
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import Said, say

FAULTS_FILE = "faults.toml"
SAYS_NOTHING = 0.35  # the score that a cause is ordered by where the record is silent
SPEAKS_FROM, HINTS_FROM = 0.6, 0.25


class FaultKind(StrEnum):
    GRAIN = "grain"
    SWEAT = "sweat"
    CRACKS = "cracks"
    FROSTING = "frosting"
    TOO_SOFT = "too_soft"
    TOO_HARD = "too_hard"
    WEAK_SCENT = "weak_scent"
    SINK_HOLE = "sink_hole"
    SKIN_REACTION = "skin_reaction"


# --- the table ---


class Cause(Row):
    """One reason for a fault.

    `likely`, 0 to 1: how often it is the reason, before anybody has looked
    (common practice, no source; it only orders what the record does not
    decide).  `evidence` is "" where no record of a batch can tell.
    """

    key: Key
    cause: Text
    evidence: str = ""
    likely: Annotated[float, Field(gt=0, le=1)]
    change: Text
    source: Text
    confidence: Confidence


class FaultDefinition(Row):
    """One fault: how to know it, what to do with the tins now, and its causes."""

    key: FaultKind
    name: Text
    looks_like: Text
    not_to_be_taken_for: str = ""
    now: Text
    source: Text
    confidence: Confidence
    cause: Annotated[tuple[Cause, ...], Field(min_length=1)]


class FaultTable(Row):
    fault: tuple[FaultDefinition, ...]

    def of(self, kind: FaultKind) -> FaultDefinition:
        """The row of one fault; the table has one of each (`parse_faults` sees to it)."""
        return next(each for each in self.fault if each.key is kind)


def parse_faults(name: str, content: bytes) -> FaultTable:
    """The table from TOML bytes; raises `Trouble` with every fault in it and its place."""
    table = parse_rows(name, content, FaultTable)
    have = [each.key for each in table.fault]
    wrong = [
        *(Fault(f"{name}, {kind}", say("This fault is missing.")) for kind in FaultKind if kind not in have),
        *(
            Fault(f"{name}, {kind}", say("This fault stands twice; keep one of them."))
            for kind in sorted({kind for kind in have if have.count(kind) > 1})
        ),
    ]
    for each in table.fault:
        keys = [cause.key for cause in each.cause]
        wrong += [
            Fault(f"{name}, {each.key}, {key}", say("This cause stands twice; keep one of them."))
            for key in sorted({key for key in keys if keys.count(key) > 1})
        ]
        wrong += [
            Fault(
                f"{name}, {each.key}, {cause.key}",
                say(
                    "“{evidence}” is no evidence that a record can give; use one of: {known}.",
                    evidence=cause.evidence,
                    known=", ".join(sorted(EVIDENCE)),
                ),
            )
            for cause in each.cause
            if cause.evidence and cause.evidence not in EVIDENCE
        ]
    if wrong:
        raise Trouble(say("The table of faults cannot be used as it stands."), tuple(wrong))
    return table


# --- judged by the record ---


class Standing(StrEnum):
    """What the record says of a cause."""

    SPEAKS_FOR = "the record speaks for it"
    HINTS = "the record hints at it"
    SPEAKS_AGAINST = "the record speaks against it"
    SILENT = "the record says nothing about it"


@dataclass(frozen=True, slots=True)
class Likely:
    """One cause as this batch's record shows it; `score` 0..1, None where the record is silent."""

    cause: Cause
    score: float | None
    shows: Said

    @property
    def standing(self) -> Standing:
        if self.score is None:
            return Standing.SILENT
        if self.score >= SPEAKS_FROM:
            return Standing.SPEAKS_FOR
        return Standing.HINTS if self.score >= HINTS_FROM else Standing.SPEAKS_AGAINST

    @property
    def weight(self) -> float:
        """What the causes are ordered by."""
        return self.cause.likely * (SAYS_NOTHING if self.score is None else self.score)


@dataclass(frozen=True, slots=True)
class Judged:
    """A fault with its causes, the likeliest first; `caution` always goes with them."""

    definition: FaultDefinition
    causes: tuple[Likely, ...]
    caution: Said

    @property
    def likeliest(self) -> Likely | None:
        """The first cause, if the record has anything to say for it."""
        first = self.causes[0]
        return first if first.standing in (Standing.SPEAKS_FOR, Standing.HINTS) else None


def judge(kind: FaultKind, case: Case, table: FaultTable) -> Judged:
    """The causes of one fault, ordered by what this batch's record shows."""
    definition = table.of(kind)
    found = [_likely(cause, case) for cause in definition.cause]
    # what the record speaks for comes first, what it speaks against last; equals keep the table's order
    found.sort(key=lambda each: (_RANK[each.standing], -each.weight))
    return Judged(definition, tuple(found), _caution(kind))


_RANK = {Standing.SPEAKS_FOR: 0, Standing.HINTS: 1, Standing.SILENT: 1, Standing.SPEAKS_AGAINST: 2}


def _likely(cause: Cause, case: Case) -> Likely:
    finding = EVIDENCE[cause.evidence](case) if cause.evidence else Finding()
    return Likely(cause, finding.score, finding.shows)


def _caution(kind: FaultKind) -> Said:
    if kind is FaultKind.SKIN_REACTION:
        return say(
            "This is no diagnosis: only a doctor or a skin test can say what somebody reacts to. "
            "It lists what in this batch is worth telling them."
        )
    return say("The record can only point: change one thing at a time and compare.")


# --- what was seen, kept beside the batch ---


class FaultSeen(Row):
    """One fault seen on the tins of a batch; `cause` is the key of the cause the maker settled on."""

    kind: FaultKind
    noted: AwareDatetime
    cause: str = ""
    words: SaidWords = ""


class FaultsSeen(Row):
    """Every fault seen of one batch, as kept under its session."""

    session: Text
    batch_code: str = ""
    recipe_name: str = ""
    faults: tuple[FaultSeen, ...] = ()

    @property
    def kinds(self) -> tuple[str, ...]:
        """Keys of what was seen, each once; what a list of past batches is found by."""
        return tuple(dict.fromkeys(each.kind.value for each in self.faults))

    def put(self, seen: FaultSeen) -> FaultsSeen:
        """The same with one fault noted, in the place of an earlier note of its kind."""
        others = tuple(each for each in self.faults if each.kind is not seen.kind)
        return self.model_copy(update={"faults": (*others, seen)})

    def without(self, kind: FaultKind) -> FaultsSeen:
        return self.model_copy(
            update={"faults": tuple(each for each in self.faults if each.kind is not kind)}
        )


def changes_asked_for(judged: Iterable[Judged]) -> tuple[Likely, ...]:
    """Of several faults, every cause that the record speaks for or hints at, the weightiest first."""
    found = [
        each
        for one in judged
        for each in one.causes
        if each.standing in (Standing.SPEAKS_FOR, Standing.HINTS)
    ]
    return tuple(sorted(found, key=lambda each: (_RANK[each.standing], -each.weight)))
