"""What is left on the shelf: against SQL over the same rows, and against sums made by hand."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone

import numpy as np
import pytest

from tests.core.review.batches import entry
from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.model import MaterialKind
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.review.stock import (
    as_left,
    counted_again,
    needs,
    remark,
    shopping,
    some_of,
    stock,
    tin_costs,
    unnamed_words,
    uses,
    with_count_dates,
)
from workbench.core.trouble import Trouble

TODAY = date(2026, 8, 15)
NOON = datetime(2026, 8, 15, 12, 0, tzinfo=timezone(timedelta(hours=2)))
WAX = Lot(key="b1", material="beeswax", left_g=100.0, price_per_kg=20.0)


def batch(day: int, *used: tuple[str, str, float], rehearsal: bool = False) -> SessionSummary:
    summary = entry(1, day=day, used=used).summary
    assert summary is not None
    return replace(summary, rehearsal=rehearsal)


def test_real_batches_are_taken_off_and_practice_is_not() -> None:
    rows = {
        "s1": batch(1, ("beeswax", "b1", 8.0)),
        "s2": batch(2, ("beeswax", "b1", 9.5)),
        "s3": batch(3, ("beeswax", "b1", 50.0), rehearsal=True),
    }
    (left,) = stock(Shelf(lots=(WAX,)), rows, TODAY).lots
    assert (left.used_g, left.left_g, left.batches) == (17.5, 82.5, 2)
    assert left.batches_left == pytest.approx(82.5 / 8.75)
    assert remark(left) is None


def test_batches_before_the_count_are_in_the_count() -> None:
    first, second = batch(1, ("beeswax", "b1", 8.0)), batch(2, ("beeswax", "b1", 9.0))
    assert second.started is not None
    counted = WAX.model_copy(update={"counted": second.started - timedelta(hours=3)})
    (left,) = stock(Shelf(lots=(counted,)), {"s1": first, "s2": second}, TODAY).lots
    assert (left.used_g, left.left_g) == (9.0, 91.0)
    again = counted_again(Shelf(lots=(counted,)), "b1", 77.0, NOON)
    (left,) = stock(again, {"s1": first, "s2": second}, TODAY).lots
    assert (left.used_g, left.left_g, left.last_used) == (0.0, 77.0, second.started.date())
    with pytest.raises(Trouble):
        counted_again(again, "b1", -1.0, NOON)


def test_an_amount_that_is_typed_in_is_a_count() -> None:
    before = Shelf(lots=(WAX, Lot(key="b2", material="beeswax", left_g=5.0)))
    typed = (WAX.model_copy(update={"left_g": 90.0}), before.lots[1].model_copy(update={"remark": "old"}))
    one, other = with_count_dates(before, typed, NOON)
    assert (one.counted, other.counted) == (NOON, None)
    (gone,) = with_count_dates(before, (one.model_copy(update={"left_g": None}),), NOON)
    assert gone.counted is None


def test_use_without_a_lot_goes_to_the_only_lot_there_is() -> None:
    rows = {"s1": batch(1, ("beeswax", "", 8.0), ("jojoba", "", 20.0), ("lavender", "gone", 1.0))}
    two = Shelf(lots=(WAX, Lot(key="j1", material="jojoba", left_g=500.0), Lot(key="j2", material="jojoba")))
    made = stock(two, rows, TODAY)
    assert [each.left_g for each in made.lots] == [92.0, 500.0, None]
    assert [(each.material, each.mass_g) for each in made.unbooked] == [("jojoba", 20.0), ("lavender", 1.0)]


def test_a_lot_that_was_not_named_is_said_with_its_batches() -> None:
    """Traceability wants each lot by name in the record (21 CFR 211.188(b)(3)); what is only supposed is said so."""
    rows = {
        "s1": replace(batch(1, ("beeswax", "", 5.0), ("rose", "", 1.0)), batch_code="E-1"),
        "s2": replace(batch(2, ("beeswax", "b1", 5.0)), batch_code="E-2"),
        "s3": replace(batch(3, ("beeswax", "", 5.0)), batch_code=""),
    }
    whole = stock(Shelf(lots=(WAX,)), rows, TODAY)
    (left,) = whole.lots
    assert (left.used_g, left.unnamed) == (15.0, ("s3", "E-1"))
    assert "In batch s3, E-1." in str(unnamed_words(left))
    assert [(use.material, use.batch, use.named) for use in whole.unbooked] == [("rose", "E-1", False)]
    named = stock(Shelf(lots=(WAX,)), {"s2": rows["s2"]}, TODAY).lots[0]
    assert unnamed_words(named) is None


def test_a_bottle_opened_after_the_batch_was_not_in_it() -> None:
    row = batch(1, ("beeswax", "", 5.0))
    assert row.started is not None
    later = WAX.model_copy(update={"opened": row.started.date() + timedelta(days=1)})
    whole = stock(Shelf(lots=(later,)), {"s1": row}, TODAY)
    assert (whole.lots[0].used_g, len(whole.unbooked)) == (0.0, 1)
    same_day = WAX.model_copy(update={"opened": row.started.date()})
    assert stock(Shelf(lots=(same_day,)), {"s1": row}, TODAY).lots[0].used_g == 5.0


def test_a_sentence_names_a_few_batches_and_counts_the_rest() -> None:
    assert some_of(("a", "b")) == "a, b"
    assert some_of(tuple("abcdefgh")) == "a, b, c, d, e, f and 2 more"


def test_sums_against_sql_over_two_thousand_batches() -> None:
    draw = np.random.default_rng(11)
    lots = tuple(Lot(key=f"l{n}", material=f"m{n % 7}", left_g=3000.0) for n in range(20))
    rows = {}
    with closing(sqlite3.connect(":memory:")) as book:
        book.execute("CREATE TABLE used (lot TEXT, grams REAL, practice INT)")
        for number in range(2000):
            lot = lots[int(draw.integers(20))]
            grams, practice = round(float(draw.uniform(0.1, 90.0)), 2), bool(draw.integers(3) == 0)
            rows[f"s{number}"] = batch(number % 300, (lot.material, lot.key, grams), rehearsal=practice)
            book.execute("INSERT INTO used VALUES (?, ?, ?)", (lot.key, grams, practice))
        judged = dict(
            book.execute("SELECT lot, max(0, 3000 - sum(grams)) FROM used WHERE NOT practice GROUP BY lot")
        )
    made = stock(Shelf(lots=lots), rows, TODAY)
    assert {each.lot.key: each.left_g for each in made.lots} == pytest.approx(judged)
    assert sum(each.over_g > 0 for each in made.lots) > 0


def test_what_is_said_of_a_lot() -> None:
    rows = {"s1": batch(1, ("beeswax", "b1", 60.0))}

    def said(**changes: object) -> str:
        lot = WAX.model_copy(update=changes)
        (left,) = stock(Shelf(lots=(lot,)), rows, TODAY).lots
        return str(remark(left))

    assert said(left_g=50.0) == "Batches took 10.0 g more than was counted. Weigh it again."
    assert said(left_g=60.0) == "Used up."
    assert said(left_g=100.0) == "Not enough for another batch like the last ones."
    assert said(left_g=170.0) == "Enough for one batch like the last ones."
    assert said(left_g=500.0) == "None"
    assert said(left_g=None).startswith("Never weighed.")
    assert said(left_g=500.0, best_before=date(2026, 8, 14)).startswith(
        "Past its best-before date, 2026-08-14"
    )
    assert said(left_g=500.0, best_before=TODAY).startswith("Best before 2026-08-15: use it first.")
    assert said(left_g=500.0, opened=date(2025, 8, 14)).startswith("Open since 2025-08-14.")
    assert said(left_g=500.0, opened=date(2025, 8, 15)) == "None"


def test_needs_of_a_planned_batch() -> None:
    shelf = Shelf(
        lots=(
            WAX,
            Lot(key="j1", material="jojoba", left_g=20.0),
            Lot(key="j2", material="jojoba", left_g=15.0),
            Lot(key="j3", material="jojoba", left_g=90.0, best_before=date(2026, 1, 1)),
            Lot(key="v1", material="lavender"),
        )
    )
    made = stock(shelf, {}, TODAY)
    wax, oil, scent, none = needs(
        [("beeswax", "b1", 120.0), ("jojoba", None, 40.0), ("lavender", None, 2.0), ("rose", None, 1.0)], made
    )
    assert (wax.have_g, wax.missing_g) == (100.0, 20.0)
    assert (oil.have_g, oil.missing_g) == (35.0, 5.0)
    assert (scent.have_g, scent.missing_g) == (None, 0.0)
    assert (none.have_g, none.missing_g) == (0.0, 1.0)
    bought = {each.material: each for each in shopping(made, (wax, oil, scent, none))}
    assert set(bought) == {"beeswax", "jojoba", "rose"}
    assert bought["jojoba"].amount_g == pytest.approx(5.0)
    assert "40.0 g" in bought["jojoba"].why[0]


def test_what_runs_out_is_bought_for_two_batches() -> None:
    rows = {"s1": batch(1, ("beeswax", "b1", 60.0)), "s2": batch(2, ("beeswax", "b1", 30.0))}
    made = stock(Shelf(lots=(WAX.model_copy(update={"left_g": 120.0}),)), rows, TODAY)
    (wax,) = shopping(made)
    assert wax.amount_g == pytest.approx(2 * 45.0)  # twice the median of 60 and 30
    old = stock(
        Shelf(lots=(Lot(key="r", material="rest", left_g=9.0, best_before=date(2026, 1, 1)),)), {}, TODAY
    )
    assert len(shopping(old)) == 1
    assert shopping(old, kinds={"rest": MaterialKind.LEFTOVER}) == ()


def test_whoever_plans_sees_what_is_left_now() -> None:
    shelf = Shelf(lots=(WAX,))
    made = stock(shelf, {"s1": batch(1, ("beeswax", "b1", 8.0))}, TODAY)
    assert as_left(shelf, made).lots[0].left_g == 92.0
    assert uses({}, shelf) == ()


def test_a_tin_costs_its_share() -> None:
    """By hand: 12.00 over 3 tins of 15 g and 1 of 30 g is 12 / 75 a gram: 2.40 and 4.80."""
    small, large = tin_costs(12.0, [("small", 3, 15.0), ("large", 1, 30.0), ("none", 0, 9.0)])
    assert [small.each, large.each] == pytest.approx([2.4, 4.8])
    assert tin_costs(None, [("small", 3, 15.0)]) == ()


def test_that_a_lot_is_too_old_for_skin_comes_before_everything_else_about_it() -> None:
    stale = WAX.model_copy(update={"left_g": 5.0, "best_before": TODAY - timedelta(days=1)})
    (left,) = stock(Shelf(lots=(stale,)), {"s1": batch(1, ("beeswax", "b1", 8.0))}, TODAY).lots
    assert left.over_g == 3.0
    assert "do not use it on skin" in str(remark(left))
