"""The wearer's own pace, learned from marks: one factor on evaporation, one on strength.

On a wearer whose skin is warmer or freer to the air everything goes faster by
one factor f, so the course at time t is that of a usual wearer at f t.  How
high somebody marks is one factor s.  A mark is

    y(t) = s C(f t) + what the tables do not know + noise,   cut off at 0 and 10,

with C the reckoned course in points.  What the tables do not know is shared
by all marks of one balm: a threshold that is off lifts or lowers a whole
curve, a vapour pressure that is off stretches it.  The bundle of courses
that were reckoned with tables that are off gives the covariance of it, so
that twenty marks of one balm do not count as twenty opinions about a wearer.
The noise is small where there is nothing to smell, and what is cut off is
taken into account by mean and variance of the normal law cut off there.

ln f and ln s have a weak normal prior.  The most probable pair is found by
damped Gauss-Newton steps from the best point of a coarse grid; the noise is
learned with it (one step of expectation and maximisation a round), and the
uncertainty is that of the quadratic around the best pair (Laplace).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from workbench.core.review.wear import WearTest, smelled_s
from workbench.core.review.wear_course import BUNDLE, MOST, NOTES, Predicted
from workbench.core.scent.course import HABIT_FACTOR
from workbench.core.scent.volatility import Array, Indices
from workbench.core.wording import Count, Number, Said, Share, say

LEAST_MARKS = 6  # fewer say nothing about two factors (judged)
FOUR_IN_FIVE = 1.2816  # standard deviations on either side that hold four of five
_ROUNDS, _STEPS = 12, 20
_AT_NOTHING, _FULL_NOISE = (
    0.3,
    3.0,
)  # share of the noise at 0 points, and points from which it is whole (judged)
_ROUNDING = 1.0 / 12.0  # variance of rounding to whole points
_OWN = 0.15  # share of what is not known that counts as a mark’s own: the bundle is finite (judged)
_WIDER = 1.7  # on that variance: courses change leaders and are not normal; from synthetic wearers


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed before any mark: standard deviations of ln f and ln s, and the noise of a mark.

    A factor of two either way for the pace (habits of wearers, as the course
    has it) and for the scale (judged); a nose repeats itself within about one
    and a half points of ten (judged), which weighs as much as `noise_marks`
    marks.  `tables` False leaves out what the tables do not know.
    """

    ln_factor_sd: float = math.log(HABIT_FACTOR)
    ln_scale_sd: float = math.log(2.0)
    noise: float = 1.5
    noise_marks: float = 8.0
    tables: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Worn:
    """One wearing with the course that was reckoned for its balm; `balm` tells balms apart."""

    test: WearTest
    predicted: Predicted
    balm: str


@dataclass(frozen=True, slots=True)
class Pace:
    """What the marks of one wearer say; lows and highs hold four times out of five.

    `*_from_marks` is the share 0..1 of what was not known before that the
    marks have settled: 0 is all prior, 1 all data.
    """

    marks: int
    wearings: int
    balms: int
    factor: float = 1.0
    factor_low: float = 1.0
    factor_high: float = 1.0
    scale: float = 1.0
    scale_low: float = 1.0
    scale_high: float = 1.0
    factor_from_marks: float = 0.0
    scale_from_marks: float = 0.0
    noise: float = 0.0
    covariance: tuple[float, float, float] = field(default=(0.0, 0.0, 0.0))  # of ln f, ln f with ln s, ln s

    @property
    def learned(self) -> bool:
        return self.marks >= LEAST_MARKS


@dataclass(frozen=True, slots=True, eq=False)
class _Balm:
    """All marks of one balm, whichever batch of it was worn: s after dabbing and the points given.

    `courses` are the rows of predictions that the marks are held against, `at`
    which marks belong to each.
    """

    courses: tuple[tuple[Predicted, int], ...]
    at: tuple[Indices, ...]
    seconds: Array
    points: Array


def pace(worn: Sequence[Worn], prior: Prior | None = None) -> Pace:
    """The pace of one wearer from all their wearings; the prior alone where marks are too few."""
    prior = prior or Prior()
    marked = _by_balm(worn)
    marks = sum(len(balm.points) for balm in marked)
    balms = len({each.balm for each in worn if each.test.marks})
    wearings = sum(bool(each.test.marks) for each in worn)
    if marks < LEAST_MARKS:
        return _spread(Pace(marks, wearings, balms), np.zeros(2), _prior_cov(prior), prior, prior.noise)
    theta, covariance, noise = _most_probable(marked, prior)
    return _spread(Pace(marks, wearings, balms), theta, covariance, prior, noise)


def _spread(bare: Pace, theta: Array, covariance: Array, prior: Prior, noise: float) -> Pace:
    sd = np.sqrt(np.diag(covariance))
    low, mid, high = (np.exp(theta + side * FOUR_IN_FIVE * sd) for side in (-1, 0, 1))
    settled = 1.0 - np.diag(covariance) / np.diag(_prior_cov(prior))
    return Pace(
        bare.marks, bare.wearings, bare.balms,
        float(mid[0]), float(low[0]), float(high[0]),
        float(mid[1]), float(low[1]), float(high[1]),
        float(np.clip(settled[0], 0.0, 1.0)), float(np.clip(settled[1], 0.0, 1.0)),
        noise, (float(covariance[0, 0]), float(covariance[0, 1]), float(covariance[1, 1])),
    )  # fmt: skip


def _prior_cov(prior: Prior) -> Array:
    return np.diag([prior.ln_factor_sd**2, prior.ln_scale_sd**2])


def _by_balm(worn: Sequence[Worn]) -> list[_Balm]:
    """Marks by balm; overall counts where no note was marked, it is no second opinion."""
    found: dict[str, list[tuple[Predicted, int, float, float]]] = {}
    for each in worn:
        for mark in each.test.marks:
            seconds = smelled_s(each.test, mark)
            given = [(row, mark.of_note(note)) for row, note in enumerate(NOTES)]
            if all(points is None for _, points in given):
                given = [(3, mark.overall)]
            for row, points in given:
                if points is not None and each.predicted.there[row]:
                    found.setdefault(each.balm, []).append((each.predicted, row, seconds, float(points)))
    made = []
    for _, marks in sorted(found.items()):
        courses = {(id(course), row): (course, row) for course, row, _, _ in marks}
        place = [list(courses).index((id(course), row)) for course, row, _, _ in marks]
        made.append(
            _Balm(
                tuple(courses.values()),
                tuple(np.flatnonzero(np.array(place) == at) for at in range(len(courses))),
                np.array([seconds for _, _, seconds, _ in marks]),
                np.array([points for _, _, _, points in marks]),
            )
        )
    return made


def _inverse(matrix: Array) -> Array:
    made: Array = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    return made


def _before_cut(balm: _Balm, theta: Array) -> Array:
    """Points as they are before they are cut off at 0 and 10."""
    factor, scale = math.exp(theta[0]), math.exp(theta[1])
    made = np.zeros(len(balm.points))
    for (course, row), at in zip(balm.courses, balm.at, strict=True):
        made[at] = course.at(row, balm.seconds[at], factor, scale)
    return made


def cut_moments(mean: Array, sd: Array) -> tuple[Array, Array, Array]:
    """(mean, slope of it, variance) of a normal quantity that is cut off at 0 and 10."""
    from scipy.special import ndtr  # slow to load, and only a fit asks for it

    low, high = -mean / sd, (MOST - mean) / sd
    inside = ndtr(high) - ndtr(low)
    d_low, d_high = (np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi) for z in (low, high))
    first = mean * inside + sd * (d_low - d_high) + MOST * ndtr(-high)
    second = (
        (mean**2 + sd**2) * inside
        + 2 * mean * sd * (d_low - d_high)
        + sd**2 * (low * d_low - high * d_high)
        + MOST**2 * ndtr(-high)
    )
    return first, inside, np.maximum(second - first**2, 0.0)


def _moments(balm: _Balm, theta: Array, noise: float) -> tuple[Array, Array, Array]:
    """Of the marks at one pace: mean, slope of what is cut off, variance of the noise."""
    points = _before_cut(balm, theta)
    sd = noise * (_AT_NOTHING + (1.0 - _AT_NOTHING) * np.clip(points / _FULL_NOISE, 0.0, 1.0))
    return cut_moments(points, sd)


def _expected(balm: _Balm, theta: Array, noise: float) -> Array:
    return _moments(balm, theta, noise)[0]


def _slopes(balm: _Balm, theta: Array, noise: float, step: float = 0.02) -> Array:
    """Derivatives of the expected marks by ln f and ln s, one column each."""
    columns = []
    for place in range(2):
        up, down = theta.copy(), theta.copy()
        up[place] += step
        down[place] -= step
        columns.append((_expected(balm, up, noise) - _expected(balm, down, noise)) / (2 * step))
    made: Array = np.stack(columns, axis=1)
    return made


@dataclass(frozen=True, slots=True, eq=False)
class _Spread:
    """How far marks of one balm may be off: noise alone by mark, and the inverse of the whole covariance."""

    noise: Array
    inverse: Array


def _spreads(balms: Sequence[_Balm], theta: Array, noise: float, prior: Prior) -> list[_Spread]:
    made = []
    factor, scale = math.exp(theta[0]), math.exp(theta[1])
    for balm in balms:
        _, slope, variance = _moments(balm, theta, noise)
        variance = variance + _ROUNDING
        whole: Array = np.diag(variance)
        if prior.tables:
            off = np.zeros((len(balm.points), BUNDLE))
            for (course, row), at in zip(balm.courses, balm.at, strict=True):
                off[at] = course.off(row, balm.seconds[at], factor, scale)
            off = slope[:, None] * off
            shared = off @ off.T / off.shape[1]
            whole = whole + _WIDER * ((1.0 - _OWN) * shared + _OWN * np.diag(np.diag(shared)))
        made.append(_Spread(variance, _inverse(whole)))
    return made


def _most_probable(balms: Sequence[_Balm], prior: Prior) -> tuple[Array, Array, float]:
    """(ln f, ln s) with covariance, and the noise of a mark."""
    weight, noise = _inverse(_prior_cov(prior)), prior.noise
    theta = np.zeros(2)
    theta = _best_of_grid(balms, _spreads(balms, theta, noise, prior), weight, noise, prior)
    for _ in range(_ROUNDS):
        before = theta
        spreads = _spreads(balms, theta, noise, prior)
        theta = _descend(balms, spreads, weight, noise, theta)
        noise = _noise(balms, spreads, theta, noise, prior)
        if float(np.max(np.abs(theta - before))) < 1e-3:
            break
    _, hessian = _gradient(balms, _spreads(balms, theta, noise, prior), weight, noise, theta)
    return theta, _inverse(hessian), noise


def _cost(
    balms: Sequence[_Balm], spreads: Sequence[_Spread], weight: Array, noise: float, theta: Array
) -> float:
    total = float(theta @ weight @ theta)
    for balm, spread in zip(balms, spreads, strict=True):
        off = balm.points - _expected(balm, theta, noise)
        total += float(off @ spread.inverse @ off)
    return total


def _gradient(
    balms: Sequence[_Balm], spreads: Sequence[_Spread], weight: Array, noise: float, theta: Array
) -> tuple[Array, Array]:
    gradient, hessian = weight @ theta, weight.copy()
    for balm, spread in zip(balms, spreads, strict=True):
        slopes = _slopes(balm, theta, noise)
        gradient = gradient - slopes.T @ spread.inverse @ (balm.points - _expected(balm, theta, noise))
        hessian = hessian + slopes.T @ spread.inverse @ slopes
    return gradient, hessian


def _best_of_grid(
    balms: Sequence[_Balm], spreads: Sequence[_Spread], weight: Array, noise: float, prior: Prior
) -> Array:
    """Where to begin, so that a flat stretch far from the answer does no harm."""
    reach = 2.5 * np.array([min(prior.ln_factor_sd, 1.0), min(prior.ln_scale_sd, 1.0)])
    points = [
        np.array([a, b])
        for a in np.linspace(-reach[0], reach[0], 7)
        for b in np.linspace(-reach[1], reach[1], 5)
    ]
    return min(points, key=lambda theta: _cost(balms, spreads, weight, noise, theta))


def _descend(
    balms: Sequence[_Balm], spreads: Sequence[_Spread], weight: Array, noise: float, theta: Array
) -> Array:
    """Damped Gauss-Newton steps at a fixed covariance."""
    damping, cost = 1e-3, _cost(balms, spreads, weight, noise, theta)
    for _ in range(_STEPS):
        gradient, hessian = _gradient(balms, spreads, weight, noise, theta)
        step = np.linalg.solve(hessian + damping * np.diag(np.diag(hessian)), -gradient)
        tried = theta + step
        new = _cost(balms, spreads, weight, noise, tried)
        if new <= cost:
            theta, cost, damping = tried, new, damping / 5
            if float(np.max(np.abs(step))) < 1e-4:
                break
        else:
            damping *= 8
            if damping > 1e8:
                break
    return theta


def _noise(
    balms: Sequence[_Balm], spreads: Sequence[_Spread], theta: Array, noise: float, prior: Prior
) -> float:
    """Standard deviation of a mark: what the residuals leave to it, with the prior's own marks."""
    square, count = prior.noise_marks * prior.noise**2, prior.noise_marks
    for balm, spread in zip(balms, spreads, strict=True):
        guessed = spread.noise * (spread.inverse @ (balm.points - _expected(balm, theta, noise)))
        left = spread.noise - spread.noise**2 * np.diag(spread.inverse)
        square += float(np.sum((guessed**2 + left) * noise**2 / spread.noise))
        count += len(balm.points)
    return math.sqrt(square / count)


# --- in words ---


def pace_sentence(made: Pace) -> Said:
    """What was learned, and how far it can be trusted."""
    if not made.learned:
        return say(
            "Marks so far: {count}. From {least} on, the program begins to learn how fast a scent goes on "
            "this skin and how high its wearer marks; until then the usual pace is drawn.",
            count=Number(made.marks, 0),
            least=Number(LEAST_MARKS, 0),
        )
    return say(
        "A scent goes {factor} times as fast here as on a usual wearer ({low} to {high}, four times out of "
        "five), and it is marked {scale} times as high ({scale_low} to {scale_high}).",
        factor=Number(made.factor, 1),
        low=Number(made.factor_low, 1),
        high=Number(made.factor_high, 1),
        scale=Number(made.scale, 1),
        scale_low=Number(made.scale_low, 1),
        scale_high=Number(made.scale_high, 1),
    )


def trust_sentence(made: Pace) -> Said | None:
    """How much of it comes from marks; None before anything was learned."""
    if not made.learned:
        return None
    values = {
        "count": Count(made.marks),
        "balms": Number(made.balms, 0),
        "pace": Share(100 * made.factor_from_marks, 0),
        "scale": Share(100 * made.scale_from_marks, 0),
    }
    if made.balms == 1:
        return say(
            "{count} marks on this one balm have settled {pace} of what was open about the pace and {scale} of "
            "it about the height; the rest is still the program’s first guess. Marks on another balm would "
            "show whether it is the wearer or this scent.",
            "{count} mark on this one balm has settled {pace} of what was open about the pace and {scale} of "
            "it about the height; the rest is still the program’s first guess. Marks on another balm would "
            "show whether it is the wearer or this scent.",
            **values,
        )
    if min(made.factor_from_marks, made.scale_from_marks) < 0.5:
        return say(
            "{count} marks (balms worn: {balms}) have settled {pace} of what was open about the pace and "
            "{scale} of it about the height; the rest is still the program’s first guess.",
            "{count} mark (balms worn: {balms}) has settled {pace} of what was open about the pace and "
            "{scale} of it about the height; the rest is still the program’s first guess.",
            **values,
        )
    return say(
        "{count} marks (balms worn: {balms}) have settled {pace} of what was open about the pace and "
        "{scale} of it about the height.",
        "{count} mark (balms worn: {balms}) has settled {pace} of what was open about the pace and "
        "{scale} of it about the height.",
        **values,
    )
