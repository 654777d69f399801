"""What past batches taught of a vessel, an oven, a stove or a bottle, kept as plain numbers on it.

A batch leaves a `Lesson`: what its readings alone say, with the prior of its
fit taken out again, so that ten batches do not count the same prior ten times.
`combined` weighs the lessons of one thing against each other: each batch has
its own draught and its own place on the counter, so even a perfect fit of one
batch says the vessel's own value only to within what batches differ by.  One
odd batch counts for little (weights of a Student likelihood, never above 1),
an old one for less.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from workbench.core.catalogue.shelf import Learned, Lesson, Microwave, Vessel, WaterTest
from workbench.core.heat.bath import CONTACT, STOVE
from workbench.core.heat.bursts import SHARE_TAKEN
from workbench.core.heat.cooling import BASE, LOSS
from workbench.core.heat.oven_power import WATTS, OvenPower, agree, by_tests, like_load, power_of

BATCH_SD = 0.12  # another draught, another place on the counter: what differs from batch to batch
HALF_AFTER_DAYS = 730.0  # a lesson of two years ago counts half; judged
TOLD_NOTHING = 0.05  # a fit that narrowed its prior by less than this share of precision taught nothing
STUDENT = 4.0
ROUNDS = 25
WORTH = 4.0  # lessons that the usual scatter between batches counts for
LEAST_DIFFERS, MOST_DIFFERS = 0.5, 2.0  # of the usual
LEAST_SD = 0.15  # of the usual scatter: no number of batches makes a thing known for certain
MOST_LESSONS = 30  # of one thing and quantity; older ones weigh next to nothing


@dataclass(frozen=True, slots=True)
class Quantity:
    """How one quantity is learned.

    `mean`, `sd`: what is believed of the thing's own value before any batch.  `fit_mean`, `fit_sd`: what
    the fit of one batch starts from.  `differs`: sd from batch to batch before batches tell.  `allowed`:
    how much of that the reader of the belief adds by itself.
    """

    mean: float
    sd: float
    fit_mean: float
    fit_sd: float
    differs: float
    allowed: float


# The fits' own priors stand beside their models; what of them is the vessel's own is judged.
QUANTITIES = {
    LOSS: Quantity(0.0, 0.18, 0.0, 0.22, BATCH_SD, BATCH_SD),
    CONTACT: Quantity(0.0, 0.27, 0.0, 0.30, BATCH_SD, BATCH_SD),
    STOVE: Quantity(0.0, 0.23, 0.0, 0.25, 0.10, 0.10),
    SHARE_TAKEN: Quantity(-0.9486, 0.53, -0.9486, 0.5477, 0.15, 0.0),
}
# A cooling cannot tell what leaves through the counter from what leaves into the air: the counter is held near
# its usual, and the whole loss is learned as one.
COUNTER = Learned(what=BASE, value=0.0, sd=0.25, batches=0)


def to_be_asked(vessel: Vessel) -> Vessel:
    """The vessel as if nothing had been learned of it, for the fit of one batch by itself."""
    return vessel.model_copy(update={"learned": (COUNTER,)})


def observed(posterior: Learned) -> tuple[float, float] | None:
    """(value, sd) that one batch shows by itself: its fit with the prior taken out; None if it shows nothing."""
    known = QUANTITIES[posterior.what]
    before, after = known.fit_sd**-2, max(posterior.sd, 1e-3) ** -2
    gained = after - before
    if gained <= TOLD_NOTHING * before:
        return None
    return (posterior.value * after - known.fit_mean * before) / gained, gained**-0.5


def age_weight(day: date, today: date) -> float:
    """1 for a lesson of today, half for one two years old; never more than 1."""
    return float(0.5 ** (max((today - day).days, 0) / HALF_AFTER_DAYS))


def combined(lessons: Sequence[Lesson], today: date) -> Learned | None:
    """One belief from the lessons of one quantity; None without any.

    The mean of a normal prior and Student observations by reweighting.  How much batches differ is learned
    with it: a jug that stands elsewhere each time stays uncertain.  `sd`: of the thing's own value, and of
    whatever the next batch may differ by over what its reader allows for.
    """
    if not lessons:
        return None
    what = lessons[0].what
    values = [each.value for each in lessons]
    known = QUANTITIES.get(what) or _of_drops(values)
    prior = known.sd**-2
    weights = [each.weight * age_weight(each.day, today) for each in lessons]
    at, differs, total = _middle([known.mean, *values]), known.differs, prior
    for _ in range(ROUNDS):
        spread = [math.hypot(each.sd, differs) for each in lessons]
        trust = [
            weight * min(1.0, (STUDENT + 1) / (STUDENT + ((value - at) / sd) ** 2))
            for weight, value, sd in zip(weights, values, spread, strict=True)
        ]
        total = prior + sum(t / sd**2 for t, sd in zip(trust, spread, strict=True))
        pulled = sum(t * value / sd**2 for t, value, sd in zip(trust, values, spread, strict=True))
        at = (prior * known.mean + pulled) / total
        differs = _differing(known.differs, values, lessons, trust, at)
    over = max(1 / total + differs**2 - known.allowed**2, (LEAST_SD * known.differs) ** 2)
    loads = [each.mass_g for each in lessons if each.mass_g is not None]
    low_g, high_g = (min(loads), max(loads)) if loads else (None, None)
    return Learned(what=what, value=at, sd=math.sqrt(over), batches=len(lessons), low_g=low_g, high_g=high_g)


def _differing(
    usual: float, values: Sequence[float], lessons: Sequence[Lesson], trust: Sequence[float], at: float
) -> float:
    """What batches of this thing differ by, from the usual and from how the lessons scatter beyond their sd."""
    beyond = sum(
        t * ((value - at) ** 2 - each.sd**2) for t, value, each in zip(trust, values, lessons, strict=True)
    )
    # one degree of freedom went into the mean
    told = max(sum(trust) - 1.0, 0.0)
    variance = (WORTH * usual**2 + max(beyond, 0.0)) / (WORTH + told)
    return min(max(math.sqrt(variance), LEAST_DIFFERS * usual), MOST_DIFFERS * usual)


def _of_drops(values: Sequence[float]) -> Quantity:
    """Nothing is believed of a drop before it was weighed; two counts of one bottle differ by a twentieth."""
    middle = _middle(values)
    return Quantity(middle, 100 * middle, middle, 100 * middle, 0.05 * middle, 0.05 * middle)


def _middle(values: Sequence[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def believed(lessons: Iterable[Lesson], about: str, today: date) -> tuple[Learned, ...]:
    """Every quantity that is known of one thing."""
    by_what: dict[str, list[Lesson]] = {}
    for each in lessons:
        if each.about == about:
            by_what.setdefault(each.what, []).append(each)
    found = [combined(rows[-MOST_LESSONS:], today) for rows in by_what.values()]
    rows = [row for row in found if row is not None]
    return (*rows, COUNTER) if LOSS in by_what else tuple(rows)


# --- one batch at a time, without keeping its lesson ---


def merged(old: Learned | None, new: Learned) -> Learned:
    """Both lessons as one, each weighted by how sure it is and by how much batches differ."""
    if old is None:
        return new
    weight_old = old.batches / (old.batches * old.sd**2 + BATCH_SD**2)
    weight_new = 1 / (new.sd**2 + BATCH_SD**2)
    total = weight_old + weight_new
    value = (weight_old * old.value + weight_new * new.value) / total
    return Learned(what=new.what, value=value, sd=1 / math.sqrt(total), batches=old.batches + new.batches)


def _with(rows: tuple[Learned, ...], lessons: Iterable[Learned]) -> tuple[Learned, ...]:
    known = {row.what: row for row in rows}
    for lesson in lessons:
        known[lesson.what] = merged(known.get(lesson.what), lesson)
    return tuple(known.values())


def teach_vessel(vessel: Vessel, lessons: Iterable[Learned]) -> Vessel:
    """The vessel with the lessons of one more batch (`Forecast.loss`, `.base`, `MeltAhead.contact`)."""
    return vessel.model_copy(update={"learned": _with(vessel.learned, lessons)})


def teach_oven(oven: Microwave, lessons: Iterable[Learned]) -> Microwave:
    """The oven with the share a melt took up (`bursts.taught`)."""
    return oven.model_copy(update={"learned": _with(oven.learned, lessons)})


# --- a water test ---

MOST_TESTS = 30  # of one oven; older ones say nothing any more


def oven_after_test(oven: Microwave, test: WaterTest) -> tuple[Microwave, bool]:
    """(the oven with one more water test, whether it agrees with the earlier ones of a load like it).

    A result that was kept without its readings goes: it was reckoned by an older formula.  Raises Trouble for
    a test that tells nothing.
    """
    power = power_of(test)
    old = by_tests(oven, test.water_g, with_cup=test.cup_g > 0)
    alike = old is not None and not old.early and any(_alike(each, test) for each in oven.tests)
    fits = not alike or old is None or agree(OvenPower(old.watts, old.sd_w), power)
    kept = tuple(row for row in oven.learned if row.what != WATTS)
    tests = (*oven.tests, test)[-MOST_TESTS:]
    return oven.model_copy(update={"learned": kept, "tests": tests}), fits


def _alike(one: WaterTest, other: WaterTest) -> bool:
    return like_load(one.water_g, other.water_g) and (one.cup_g > 0) is (other.cup_g > 0)
