"""From what is kept of wear tests to what the page shows of them; no Qt in here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.review.keeping import ERASED, WEAR_TEST, read_kept
from workbench.core.review.pace import Pace, Worn, pace
from workbench.core.review.wear import Mark, WearTest, WearTests, smelled_s, together
from workbench.core.review.wear_course import NOTES, Predicted, predicted_of
from workbench.ui.history.port import Shelved
from workbench.ui.history.wear_chart import LAST_S, WearLine, WearMark

MOST_BALMS = 12  # a pace is learned from the balms worn last; older ones say little more and cost time
TIMES_S = np.concatenate([[0.0], np.geomspace(60.0, LAST_S, 90)])


@dataclass(frozen=True, slots=True, eq=False)
class Reckoned:
    """What was reckoned for one batch and one wearer."""

    predicted: Predicted | None
    pace: Pace


def all_kept(shelved: Shelved) -> dict[str, WearTests]:
    """Every wear test of the project by session.  May raise `Trouble`."""
    kept = {key: read_kept(WearTests, body) for key, body in shelved.all(WEAR_TEST).items()}
    return {key: each for key, each in kept.items() if each is not None}


class Courses:
    """Courses that were reckoned already: a mark changes none of them, and each takes a while."""

    def __init__(self) -> None:
        self._held: dict[object, Predicted | None] = {}
        self._catalogue: Catalogue | None = None

    def of(self, kept: WearTests, catalogue: Catalogue) -> Predicted | None:
        if catalogue is not self._catalogue:
            self._held, self._catalogue = {}, catalogue
        key = (frozenset(kept.made_g.items()), frozenset(kept.notes.items()))
        if key not in self._held:
            self._held[key] = predicted_of(kept, catalogue)
        return self._held[key]


def reckon(
    own: WearTests,
    wearer: str,
    kept: Mapping[str, WearTests],
    catalogue: Catalogue,
    courses: Courses | None = None,
) -> Reckoned:
    """The course of one batch, and the pace of one wearer from all the balms they wore."""
    courses = courses or Courses()
    mine = courses.of(own, catalogue)
    worn: list[Worn] = []
    if wearer != ERASED:
        others = [each for key, each in kept.items() if key != own.session]
        newest = sorted(others, key=_last_worn, reverse=True)
        with_marks = [each for each in newest if any(_counts(test, wearer) for test in each.tests)]
        for each in (own, *with_marks[: MOST_BALMS - 1]):
            tests = [test for test in each.tests if _counts(test, wearer)]
            course = courses.of(each, catalogue)
            if tests and course is not None:
                balm = each.recipe_name or each.session
                worn += [Worn(test, course, balm) for test in tests]
    return Reckoned(mine, pace(worn))


def _counts(test: WearTest, wearer: str) -> bool:
    return test.wearer.casefold() == wearer.casefold() and bool(test.marks)


def _last_worn(each: WearTests) -> float:
    return max((test.dabbed.timestamp() for test in each.tests if test.dabbed is not None), default=0.0)


def lines_of(made: Reckoned, own: bool = True) -> tuple[WearLine, ...]:
    """The notes that are in the balm at the wearer's `own` pace; at the usual one before it is learned."""
    if made.predicted is None:
        return ()
    factor, scale = (made.pace.factor, made.pace.scale) if own and made.pace.learned else (1.0, 1.0)
    rows = [row for row in range(3) if made.predicted.there[row]]
    return tuple(WearLine(row, TIMES_S, *made.predicted.curve(row, TIMES_S, factor, scale)) for row in rows)


def marks_of(test: WearTest | None, all_tests: Sequence[WearTest], others: bool) -> tuple[WearMark, ...]:
    """The marks of one wearing; with `others` those of all together, each where it was smelled."""
    found: list[WearMark] = []
    if others:
        for each in together(all_tests):
            row = 3 if each.note is None else NOTES.index(each.note)
            spread = (each.low, each.high) if each.count > 1 else (None, None)
            found.append(WearMark(row, 60.0 * each.after_min, each.median, *spread))
        found += [mark for each in all_tests for mark in _single(each, True)]
    elif test is not None:
        found += _single(test, False)
    return tuple(found)


def _single(test: WearTest, faint: bool) -> Iterable[WearMark]:
    for mark in test.marks:
        at_s = min(smelled_s(test, mark), LAST_S)
        for row, points in enumerate((mark.top, mark.middle, mark.base, mark.overall)):
            if points is not None:
                yield WearMark(row, at_s, float(points), faint=faint)


def with_points(mark: Mark, row: int, points: int | None) -> Mark:
    field = ("top", "middle", "base", "overall")[row]
    return mark.model_copy(update={field: points})
