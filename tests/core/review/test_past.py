"""Finding and sorting past batches, against SQL over the same rows and accents as people type them."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from datetime import date, timedelta

import pytest

from tests.core.review.batches import FIRST, row
from workbench.core.review.past import (
    Outcome,
    PastRow,
    Sort,
    Wanted,
    choices,
    find,
    folded,
    value_of,
)


def ids(rows: tuple[PastRow, ...]) -> list[str]:
    return [each.id for each in rows]


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("schon", "schön"),
        ("SCHÖN", "schön"),
        ("strasse", "Straße"),
        ("cafe", "Café"),
        ("cafe\u0301", "café"),  # typed with a separate accent
        ("smor", "smør"),
        ("lodz", "Łódź"),
        ("oeuvre", "œuvre"),
        ("fig", "ﬁg"),  # a ligature from a pasted text
        ("istanbul", "İstanbul"),
    ],
)
def test_words_are_found_whatever_their_case_and_accents(typed: str, written: str) -> None:
    rows = [row(1, words=f"smells of {written}"), row(2, words="nothing")]
    assert ids(find(rows, Wanted(words=typed))) == ["s1"]


def test_every_word_must_occur_in_any_order_and_in_any_place() -> None:
    rows = [
        row(1, words="grainy at the rim\nsoft"),
        row(2, words="soft in the middle"),
        row(3, recipe="Soft dawn", words="a grain of wax", code="D-7"),
    ]
    assert ids(find(rows, Wanted(words="soft grain"))) == ["s3", "s1"]
    assert ids(find(rows, Wanted(words="d-7"))) == ["s3"]
    assert ids(find(rows, Wanted(words="soft nowhere"))) == []


def test_each_filter_and_all_together() -> None:
    rows = [
        row(1, lots=("b7",), tin_counts=(("square_10", 2),), vessel="jug_500"),
        row(2, end="ended early", materials=("candelilla",)),
        row(3, end=""),
        row(4, over_skin_limit=True, deviations=2),
        row(5, faults=("grain", "sweat"), flagged=True),
        row(6, rehearsal=True, recipe="Noon"),
    ]
    by = {
        "s1": [Wanted(lot="b7"), Wanted(tin="square_10"), Wanted(vessel="jug_500")],
        "s2": [Wanted(material="candelilla"), Wanted(outcomes=frozenset({Outcome.ENDED_EARLY}))],
        "s3": [Wanted(outcomes=frozenset({Outcome.OPEN}))],
        "s4": [
            Wanted(outcomes=frozenset({Outcome.OVER_LIMIT})),
            Wanted(outcomes=frozenset({Outcome.OFF_PLAN})),
        ],
        "s5": [
            Wanted(fault="sweat"),
            Wanted(outcomes=frozenset({Outcome.FAULTS})),
            Wanted(outcomes=frozenset({Outcome.FLAGGED})),
        ],
        "s6": [Wanted(recipe="Noon"), Wanted(rehearsals=True)],
    }
    for wanted_id, several in by.items():
        for wanted in several:
            assert ids(find(rows, wanted)) == [wanted_id], wanted
            assert wanted.narrows
    assert len(find(rows, Wanted(rehearsals=False))) == 5
    either = frozenset({Outcome.FLAGGED, Outcome.OVER_LIMIT})
    assert ids(find(rows, Wanted(outcomes=either))) == ["s5", "s4"]
    assert ids(find(rows, Wanted(outcomes=either, fault="grain"))) == ["s5"]
    assert find(rows, Wanted(material="beeswax", lot="b7", vessel="elsewhere")) == ()
    assert not Wanted(sort=Sort.LOSS, descending=False).narrows


def test_days_are_those_of_the_kitchen_and_both_ends_count() -> None:
    rows = [row(n, day=n) for n in range(1, 6)]
    since, until = (FIRST + timedelta(days=2)).date(), (FIRST + timedelta(days=4)).date()
    assert ids(find(rows, Wanted(since=since, until=until))) == ["s4", "s3", "s2"]
    late = row(9, day=1)
    assert late.day == date(2026, 1, 6)


def test_what_has_no_value_stands_last_either_way() -> None:
    rows = [row(1, sink_depth_mm=2.0), row(2, end=""), row(3, sink_depth_mm=None), row(4, sink_depth_mm=0.5)]
    assert ids(find(rows, Wanted(sort=Sort.SINK, descending=False))) == ["s4", "s1", "s3", "s2"]
    assert ids(find(rows, Wanted(sort=Sort.SINK, descending=True))) == ["s1", "s4", "s3", "s2"]


def test_equals_stand_newest_first_and_names_by_their_letters() -> None:
    rows = [row(1, recipe="élan"), row(2, recipe="Zest"), row(3, recipe="Evening"), row(4, recipe="Elan")]
    assert ids(find(rows, Wanted(sort=Sort.RECIPE, descending=False))) == ["s4", "s1", "s3", "s2"]
    assert ids(find([row(1), row(2), row(3)], Wanted(sort=Sort.MELT))) == ["s3", "s2", "s1"]


@pytest.mark.parametrize("by", Sort)
def test_every_column_can_be_sorted_by(by: Sort) -> None:
    rows = [row(n, took_s=100.0 * n, melt_s=10.0 * n, loss_g=float(n)) for n in range(1, 5)]
    assert all(value_of(each, by) is not None for each in rows)
    found = find(rows, Wanted(sort=by, descending=False))
    assert [value_of(each, by) for each in found] == sorted(value_of(each, by) for each in rows)  # type: ignore[type-var]


def test_choices_count_what_occurs() -> None:
    rows = [
        row(1, faults=("grain",)),
        row(2, recipe="Noon", lots=("b1", "c2"), vessel=""),
        row(3, end="", recipe="Noon"),
    ]
    found = choices(rows)
    assert found.recipes == (("Noon", 2), ("Evening ember", 1))
    assert found.lots == (("b1", 2), ("c2", 1))
    assert found.vessels == (("beaker_250", 1),)
    assert found.faults == (("grain", 1),)
    assert dict(found.outcomes) == {Outcome.FINISHED: 2, Outcome.OPEN: 1, Outcome.FAULTS: 1}


def many(count: int) -> list[PastRow]:
    pick = random.Random(11)
    return [
        row(
            n,
            recipe=pick.choice(("Dawn", "Noon", "Dusk")),
            day=pick.randrange(400),
            vessel=pick.choice(("a", "b")),
            deviations=pick.randrange(4),
            loss_g=round(pick.uniform(0, 5), 1),
            melt_s=pick.choice((None, 600.0, 900.0, 1200.0)),
            words=pick.choice(("soft rim", "grain", "")),
        )
        for n in range(1, count + 1)
    ]


def test_over_many_rows_it_agrees_with_sql() -> None:
    """The same question asked of SQLite over the same rows."""
    rows = many(600)
    since, until = FIRST.date() + timedelta(days=40), FIRST.date() + timedelta(days=300)
    with closing(sqlite3.connect(":memory:")) as file:
        file.execute("CREATE TABLE s (id, number, recipe, day, vessel, off, loss, melt, words)")
        file.executemany(
            "INSERT INTO s VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [
                (
                    each.id,
                    each.number,
                    each.recipe_name,
                    each.day.isoformat(),
                    each.summary.vessel,
                    each.summary.deviations,
                    each.summary.loss_g,
                    each.summary.melt_s,
                    each.summary.words,
                )
                for each in rows
                if each.summary is not None
            ],
        )
        judged = [
            str(found[0])
            for found in file.execute(
                "SELECT id FROM s WHERE recipe = 'Noon' AND vessel = 'a' AND off > 0 AND words LIKE '%SOFT%' "
                "AND day BETWEEN ? AND ? ORDER BY melt DESC NULLS LAST, number DESC",
                (since.isoformat(), until.isoformat()),
            )
        ]
    wanted = Wanted(
        words="SOFT",
        recipe="Noon",
        vessel="a",
        since=since,
        until=until,
        outcomes=frozenset({Outcome.OFF_PLAN}),
        sort=Sort.MELT,
    )
    assert len(judged) > 10
    assert ids(find(rows, wanted)) == judged


def test_folding_leaves_plain_text_alone() -> None:
    assert folded("Beeswax 7") == "beeswax 7"
