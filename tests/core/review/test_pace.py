"""The wearer's pace: judged by wearers whose pace is known, by scipy's own fit, and by its law of marks."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from tests.core.review.worn import balm, marked, notes_of, run_of, wearings
from workbench.core.review.pace import (
    LEAST_MARKS,
    Prior,
    Worn,
    cut_moments,
    pace,
    pace_sentence,
    trust_sentence,
)
from workbench.core.review.wear import Mark, WearTest
from workbench.core.review.wear_course import COMPUTED_PER_POINT, TIMES_S, _deviates, with_tables_off
from workbench.core.scent.strength import strength
from workbench.core.scent.volatility import Array


def test_nothing_is_learned_from_nothing() -> None:
    made = pace([])
    assert not made.learned
    assert (made.factor, made.scale) == (1.0, 1.0)
    # four of five of a normal law lie within 1.2816 standard deviations (any table of it)
    assert made.factor_high == pytest.approx(2.0**1.2816, rel=1e-4)
    assert (made.factor_from_marks, made.scale_from_marks) == (0.0, 0.0)
    assert trust_sentence(made) is None
    assert str(LEAST_MARKS) in pace_sentence(made)


@pytest.mark.parametrize(("balms", "tables_off"), [(2, True), (1, False)])
def test_wearers_of_a_known_pace_are_found_as_often_as_is_said(balms: int, tables_off: bool) -> None:
    """Each wearer's own world has its tables off within their uncertainty; the interval says four in five.

    Of 24 wearers a binomial law puts 14 to 23 inside, 99 times of 100, where it is right; where the
    program is only too careful, more may be.
    """
    draw = np.random.default_rng(20260314)
    inside = np.zeros(2)
    off = []
    for _ in range(24):
        ln_f, ln_s = draw.normal(0.0, math.log(2.0)), draw.normal(0.0, 0.35)
        made = pace(wearings(math.exp(ln_f), math.exp(ln_s), draw, balms=balms, tables_off=tables_off))
        inside += [
            made.factor_low <= math.exp(ln_f) <= made.factor_high,
            made.scale_low <= math.exp(ln_s) <= made.scale_high,
        ]
        off.append((math.log(made.factor) - ln_f, math.log(made.scale) - ln_s))
    assert inside.min() >= stats.binom.ppf(0.005, 24, 0.8)
    # and the answers are worth having: nearer the truth than no answer at all
    error = np.sqrt(np.mean(np.square(off), axis=0))
    assert error[0] < 0.5 * math.log(2.0)
    assert error[1] < 0.35


def test_a_flat_prior_and_no_doubt_of_the_tables_is_plain_least_squares() -> None:
    """scipy.optimize.least_squares on the same marks, far from where anything is cut off, gives the same pair."""
    predicted = balm(1)
    moments = (0, 5, 10, 15, 20, 30, 40)
    test = marked(predicted.points, 1.3, 1.1, np.random.default_rng(7), moments_min=moments, noise=0.4)
    middle = tuple(Mark(after_min=mark.after_min, middle=mark.middle) for mark in test.marks)
    plain = test.model_copy(update={"marks": middle})
    flat = Prior(ln_factor_sd=50.0, ln_scale_sd=50.0, noise=0.4, noise_marks=1e9, tables=False)
    made = pace([Worn(plain, predicted, "a")], flat)
    seconds = 60.0 * np.array(moments, dtype=np.float64)
    given = np.array([float(mark.middle or 0) for mark in middle])
    assert given.min() >= 3  # where the noise is whole

    def residuals(theta: Array) -> Array:
        difference: Array = given - predicted.at(1, seconds, math.exp(theta[0]), math.exp(theta[1]))
        return difference

    judge = optimize.least_squares(residuals, np.zeros(2), x_scale=0.1)
    assert math.log(made.factor) == pytest.approx(judge.x[0], abs=0.01)
    assert math.log(made.scale) == pytest.approx(judge.x[1], abs=0.01)
    slopes = np.asarray(judge.jac)
    covariance = np.linalg.inv(slopes.T @ slopes) * (0.4**2 + 1 / 12)
    assert made.covariance[0] == pytest.approx(covariance[0, 0], rel=0.1)
    assert made.covariance[2] == pytest.approx(covariance[1, 1], rel=0.1)


@pytest.mark.parametrize(("mean", "sd"), [(0.3, 0.7), (5.0, 1.2), (9.6, 1.5), (14.0, 1.0)])
def test_moments_of_a_cut_off_mark(mean: float, sd: float) -> None:
    """Against the integral of scipy's normal density, with both ends heaped at 0 and 10."""
    made = cut_moments(np.array([mean]), np.array([sd]))
    law = stats.norm(mean, sd)
    ends = (law.cdf(0.0), law.sf(10.0))
    first = integrate.quad(lambda y: y * law.pdf(y), 0, 10, points=[min(mean, 10.0)])[0] + 10 * ends[1]
    second = integrate.quad(lambda y: y * y * law.pdf(y), 0, 10, points=[min(mean, 10.0)])[0] + 100 * ends[1]
    assert made[0][0] == pytest.approx(first, abs=1e-8)
    assert made[1][0] == pytest.approx(1 - sum(ends), abs=1e-12)
    assert made[2][0] == pytest.approx(second - first**2, abs=1e-7)


def test_more_marks_on_more_balms_settle_more() -> None:
    draw = np.random.default_rng(3)
    worn = wearings(1.5, 0.8, draw, balms=4)
    settled = [pace(worn[:count]).factor_from_marks for count in (1, 2, 4)]
    assert settled == sorted(settled)
    assert settled[0] > 0.3
    few, many = pace(worn[:1]), pace(worn)
    assert "this one balm" in (trust_sentence(few) or "")
    assert "balms worn: 4" in (trust_sentence(many) or "")
    assert f"{many.factor:.1f} times" in pace_sentence(many)


def test_twenty_marks_of_one_balm_are_not_twenty_opinions() -> None:
    """Worn four times, one balm cannot tell the wearer from a table that is off: the doubt stays."""
    draw = np.random.default_rng(5)
    same = wearings(1.0, 1.0, draw, balms=1, each=4, noise=0.5)
    blind = pace(same, Prior(tables=False))
    honest = pace(same)
    assert honest.covariance[0] > 2 * blind.covariance[0]


def test_overall_counts_only_where_no_note_was_marked() -> None:
    predicted = balm()
    with_notes = marked(predicted.points, 1.0, 1.0)
    loud = tuple(mark.model_copy(update={"overall": 10}) for mark in with_notes.marks)
    both = with_notes.model_copy(update={"marks": loud})
    assert pace([Worn(both, predicted, "a")]) == pace([Worn(with_notes, predicted, "a")])
    alone = tuple(Mark(after_min=mark.after_min, overall=mark.middle) for mark in with_notes.marks)
    made = pace([Worn(WearTest(number=1, marks=alone), predicted, "a")])
    assert made.marks == 6


def test_the_bundle_is_the_same_every_time_and_centred() -> None:
    """Mirror images: the mean of ln(rate) over the bundle is that of the tables, to rounding."""
    first, second, third = _deviates(40)
    assert np.abs(first.mean(axis=0)).max() < 1e-12
    spread = np.concatenate([first, second, third], axis=1).std()
    assert spread == pytest.approx(1.0, abs=0.05)


def test_a_threshold_that_is_off_by_two_times_shifts_the_dose() -> None:
    """A constituent twice as easily smelled is as strong as twice as much of it (the law of the curve)."""
    run = run_of(0)
    v = run.volatility
    off = with_tables_off(
        run, -math.log10(2.0) / v.odour_spread, np.zeros(len(v.keys)), np.zeros(len(v.keys))
    )
    double = replace(run, balm_g=run.balm_g / 2)
    assert strength(off, notes_of(0)).whole == pytest.approx(strength(double, notes_of(0)).whole)
    assert balm(0).points[:, 0].max() < 100.0 / COMPUTED_PER_POINT
    assert len(TIMES_S) == balm(0).points.shape[1]
