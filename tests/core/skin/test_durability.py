"""Months after a day, and the mark at 30 months."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.core.skin.durability import (
    DurabilityKind,
    add_months,
    durability,
    keeps_over_30_months,
    last_of_month,
    shortest,
)
from workbench.core.skin.label_rules import LabelPlace

DAYS = st.dates(min_value=date(2000, 1, 1), max_value=date(2090, 12, 31))


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),  # 2028 is a leap year
        (date(2026, 8, 31), 30, date(2029, 2, 28)),
        (date(2025, 8, 31), 30, date(2028, 2, 29)),
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 12, 15), 1, date(2027, 1, 15)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 5, 31), 30, date(2028, 11, 30)),
    ],
)
def test_months_end_where_the_calendar_does(day: date, months: int, then: date) -> None:
    assert add_months(day, months) == then


@given(DAYS, st.integers(min_value=0, max_value=240))
def test_the_month_is_that_of_numpy(day: date, months: int) -> None:
    """An independent calendar: numpy's datetime64 counts months."""
    then = add_months(day, months)
    assert np.datetime64(then, "M") == np.datetime64(day, "M") + np.timedelta64(months, "M")
    assert then.day == min(day.day, last_of_month(then).day)


@given(DAYS)
def test_the_last_of_a_month_is_followed_by_a_first(day: date) -> None:
    last = np.datetime64(last_of_month(day), "D")
    assert (last + np.timedelta64(1, "D")).astype(object).day == 1
    assert last_of_month(day).month == day.month


@pytest.mark.parametrize("place", [LabelPlace.EU, LabelPlace.UK])
def test_exactly_30_months_still_ask_for_the_date(place: LabelPlace) -> None:
    """Art. 19(1)(c): the date is not mandatory for products that keep for *more than* 30 months.

    Copies that say "at least 30 months" are wrong.
    """
    made = date(2026, 8, 31)
    at = date(2029, 2, 28)  # 30 months, at the end of a shorter month
    assert durability(place, made, at).kind is DurabilityKind.DATE
    over = durability(place, made, date(2029, 3, 1))
    assert over.kind is DurabilityKind.OPEN_JAR
    assert over.months_open == 12


def test_the_published_example() -> None:
    """certifiedcosmetics.com: made 1/1/2022, 24 months: the date; 36 months with PAO 12: the open jar "12M"."""
    made = date(2022, 1, 1)
    assert durability(LabelPlace.EU, made, add_months(made, 24)).kind is DurabilityKind.DATE
    jar = durability(LabelPlace.EU, made, add_months(made, 36), months_open=12)
    assert (jar.kind, jar.months_open) == (DurabilityKind.OPEN_JAR, 12)


@pytest.mark.parametrize("place", [LabelPlace.US, LabelPlace.PRESENT])
def test_elsewhere_the_date_stands_however_far_it_is(place: LabelPlace) -> None:
    made = durability(place, date(2026, 1, 1), date(2035, 1, 1))
    assert made.kind is DurabilityKind.DATE
    assert keeps_over_30_months(date(2026, 1, 1), date(2035, 1, 1))


def test_the_shortest_lived_lot_decides() -> None:
    lots = [("wax", date(2029, 1, 31)), ("seed oil", date(2027, 4, 30)), ("butter", date(2027, 10, 31))]
    assert shortest(lots) == ("seed oil", date(2027, 4, 30))
    assert shortest([]) is None


def test_nothing_known_is_said_and_not_guessed() -> None:
    assert durability(LabelPlace.EU, date(2026, 1, 1), None).kind is DurabilityKind.UNKNOWN


def test_month_and_year_are_enough_only_at_the_end_of_a_month() -> None:
    made = date(2026, 1, 1)
    assert durability(LabelPlace.EU, made, date(2027, 9, 30)).end_of_month
    assert not durability(LabelPlace.EU, made, date(2027, 9, 29)).end_of_month
    assert durability(LabelPlace.EU, made, date(2028, 2, 29)).end_of_month
    assert not durability(LabelPlace.EU, made, date(2028, 2, 28)).end_of_month
