"""Proposals from the wearing: more or less of a note, more or less fragrance altogether.

Marks run from 0, nothing, to 10, as strong as a scent can be.  A note is
judged while it should be heard: top within the first quarter of an hour,
middle about the first hour, base from two hours on (common practice, no
source).  Of several wearers the median counts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import median

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.edits import with_load
from workbench.core.design.more_of import with_share
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Recipe
from workbench.core.recipe.weighed import Where
from workbench.core.review.faults import FaultKind
from workbench.core.review.revising import Change, Ground
from workbench.core.review.wear import WearTest
from workbench.core.scent.telling import note_words
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import SkinVerdict
from workbench.core.trouble import Trouble
from workbench.core.wording import Number, Said, Share, say

MORE, LESS = "more", "less"
MORE_LOAD, LESS_LOAD = "more fragrance", "less fragrance"
WEAK, STRONG = 3.0, 9.0  # marks at or beyond these ask for a change (judged)
STEP_UP, STEP_DOWN = 1.25, 0.8  # one step; nobody smells less of a difference for sure (judged)
JUDGED_MIN: Mapping[Note, tuple[float, float]] = {  # minutes after dabbing in which a note should be heard
    Note.TOP: (0.0, 15.0),
    Note.MIDDLE: (20.0, 70.0),
    Note.BASE: (110.0, 300.0),
}
WHOLE_MIN = (5.0, 70.0)


def notes(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """One step more of a note that was hardly smelled, one step less of one that drowned the others."""
    tests = () if ground.wear is None else ground.wear.tests
    changes: list[Change] = []
    kept: list[Said] = []
    weak = {note: mark for note in Note if (mark := _mark(tests, note)) is not None and mark[0] <= WEAK}
    strong = {note: mark for note in Note if (mark := _mark(tests, note)) is not None and mark[0] >= STRONG}
    if len(weak) == len(Note):
        return (), ()  # all of it is weak: that is the load's business
    for note, (points, count) in {**weak, **strong}.items():
        line = _largest(ground, note)
        if line is None:
            kept.append(
                say(
                    "Marks for {note}: {points} of 10, and the recipe has no oil of it. Add one by your nose.",
                    note=note_words(note),
                    points=Number(points, 1),
                )
            )
            continue
        material, name = line
        if len(ground.recipe.scent) < 2:
            kept.append(say("{name} is the only oil of the scent, so there is nothing to shift.", name=name))
            continue
        factor = STEP_UP if note in weak else STEP_DOWN
        if note in weak and ground.reacted:
            continue  # said once for all of it
        if note in weak and material in _unjudged(ground):
            kept.append(
                say(
                    "{name} was hardly smelled, but it cannot be judged on skin, so more of it is not proposed. "
                    "Enter its supplier’s paper first.",
                    name=name,
                )
            )
            continue
        changes.append(_step(material, name, note, points, count, factor))
    return changes, kept


def _unjudged(ground: Ground) -> set[str]:
    """Materials that the tables cannot judge on skin."""
    return {each.material for each in _verdict(ground).unknown}


def _verdict(ground: Ground) -> SkinVerdict:
    return assess(ground.weighed.composition, ground.catalogue, ground.recipe.uses, ground.recipe.place)


def _step(material: str, name: str, note: Note, points: float, count: int, factor: float) -> Change:
    more = factor > 1.0
    words = {"name": name, "share": Share(100.0 * abs(factor - 1.0), 0)}
    reason = {"note": note_words(note), "points": Number(points, 1), "count": Number(count, 0)}
    return Change(
        f"{MORE if more else LESS} {note.value}",
        say("{share} more of {name} within the scent.", **words)
        if more
        else say("{share} less of {name} within the scent.", **words),
        say(
            "Marks for {note} while it should be heard: {points} of 10 (marks: {count}). It is hardly there.",
            **reason,
        )
        if more
        else say(
            "Marks for {note} while it should be heard: {points} of 10 (marks: {count}). It drowns the rest.",
            **reason,
        ),
        lambda recipe, catalogue: _times_share(recipe, catalogue, material, factor),
        ("top_notes",) if more and note is not Note.TOP else (),
    )


def _times_share(recipe: Recipe, catalogue: Catalogue, material: str, factor: float) -> Recipe:
    index = next((at for at, line in enumerate(recipe.scent) if line.material == material), None)
    if index is None:
        raise Trouble(say("{name} is no longer in the scent.", name=catalogue.material(material).name))
    weighed = work_out(recipe, catalogue)
    own = next(line for line in weighed.lines if line.where is Where.SCENT and line.index == index)
    return with_share(recipe, weighed, index, factor * own.exact_g / weighed.scent_g)


def _largest(ground: Ground, note: Note) -> tuple[str, str] | None:
    """Key and name of the oil there is most of among those of one note."""
    lines = [
        line
        for line in ground.weighed.lines
        if line.where is Where.SCENT and ground.recipe.scent[line.index].note is note
    ]
    most = max(lines, key=lambda line: line.exact_g, default=None)
    return None if most is None or most.exact_g <= 0 else (most.material, most.name)


def _mark(tests: Sequence[WearTest], note: Note | None) -> tuple[float, int] | None:
    """Median of the marks given while a note (None: the whole) should be heard, and how many they are."""
    low, high = WHOLE_MIN if note is None else JUDGED_MIN[note]
    points = [
        float(given)
        for test in tests
        for mark in test.marks
        if low <= mark.after_min <= high
        and (given := mark.overall if note is None else mark.of_note(note)) is not None
    ]
    return (median(points), len(points)) if points else None


def load(ground: Ground) -> tuple[Sequence[Change], Sequence[Said]]:
    """More fragrance where all of it was weak, as far as the limits on skin allow; less where it was too much."""
    tests = () if ground.wear is None else ground.wear.tests
    whole = _whole(tests)
    has = ground.weighed.load_percent
    if has <= 0:
        return (), ()
    if ground.seen(FaultKind.WEAK_SCENT) or (whole is not None and whole[0] <= WEAK):
        return _more_load(ground, has, whole)
    if whole is not None and whole[0] >= STRONG:
        wanted = round(has * STEP_DOWN, 2)
        return (
            Change(
                LESS_LOAD,
                say("A fragrance load of {wanted}.", wanted=Share(wanted, 2)),
                say(
                    "The whole was marked {points} of 10 in the first hour (marks: {count}), with a load of {has}.",
                    points=Number(whole[0], 1),
                    count=Number(whole[1], 0),
                    has=Share(has, 2),
                ),
                lambda recipe, catalogue: _times_load(recipe, catalogue, STEP_DOWN),
                ("load_high",),
            ),
        ), ()
    return (), ()


def _whole(tests: Sequence[WearTest]) -> tuple[float, int] | None:
    """The overall marks; without any, all three notes when each of them was weak."""
    overall = _mark(tests, None)
    if overall is not None:
        return overall
    each = [_mark(tests, note) for note in Note]
    known = [mark for mark in each if mark is not None]
    if len(known) == len(Note) and all(points <= WEAK for points, _ in known):
        return max(known)
    return None


def _more_load(
    ground: Ground, has: float, whole: tuple[float, int] | None
) -> tuple[Sequence[Change], Sequence[Said]]:
    if ground.reacted:
        return (), ()  # said once for all of it
    most = _verdict(ground).largest_load_percent
    if most is None:
        return (), (
            say(
                "The scent was weak, but not all of it can be judged on skin, so more of it is not proposed. "
                "Enter the suppliers’ papers first."
            ),
        )
    factor = min(STEP_UP, most / has)
    if factor < 1.05:
        return (), (
            say(
                "The scent was weak, but the limits on skin allow no more than {most} of this blend; it has {has}. "
                "Other oils would be needed.",
                most=Share(most, 2),
                has=Share(has, 2),
            ),
        )
    reason = (
        say("The scent was found weak, with a load of {has}.", has=Share(has, 2))
        if whole is None
        else say(
            "The whole was marked {points} of 10 in the first hour (marks: {count}), with a load of {has}.",
            points=Number(whole[0], 1),
            count=Number(whole[1], 0),
            has=Share(has, 2),
        )
    )
    return (
        Change(
            MORE_LOAD,
            say("A fragrance load of {wanted}.", wanted=Share(has * factor, 2)),
            reason,
            lambda recipe, catalogue: _times_load(recipe, catalogue, factor),
            ("load_low",),
        ),
    ), ()


def _times_load(recipe: Recipe, catalogue: Catalogue, factor: float) -> Recipe:
    weighed = work_out(recipe, catalogue)
    wanted = weighed.load_percent * factor
    return with_load(recipe, weighed, int(wanted * 1000.0) / 1000.0)  # down: never over a limit by rounding
