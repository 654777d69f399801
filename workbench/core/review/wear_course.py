"""The course that was reckoned for a balm, on the scale on which a wearer marks it.

The computed strength runs from 0 to 100 and a wearer marks from 0 to 10.
Until marks teach another, 60 computed counts as 10 marked, so a scent that is
computed as clear (20) counts as 3 and a loud one (40) as 7.  That first guess
is judged, not measured, and a wearer's own scale soon replaces it.

What the tables do not know for certain (odour thresholds, vapour pressures,
activities) is carried along as a bundle of courses, each reckoned with tables
that are off by as much as they may be.  The course that is drawn is the mean
of the bundle.  It lies above the course of the likeliest values late on:
whichever constituent turns out stronger or slower than thought leads then.
The bundle is the same every time, a Weyl sequence turned into normal
deviates, each with its mirror image.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from workbench.core.batch.made import composition_made
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition, expand
from workbench.core.review.wear import WearTests
from workbench.core.scent.course import DAY_S, Course, course
from workbench.core.scent.notes import notes_for
from workbench.core.scent.strength import strength
from workbench.core.scent.volatility import Array
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say

COMPUTED_PER_POINT = 6.0
MOST = 10.0
NOTES = (Note.TOP, Note.MIDDLE, Note.BASE)
BUNDLE = 64  # courses; even, because each has a mirror image

MAPPING_NOTE = say(
    "The curve is reckoned on a scale of 100; 60 on it is drawn as 10 here, until enough marks have taught "
    "how you mark. Its shape can be trusted more than its height."
)

# far enough for the fastest skin: the course of a fast wearer is that of a usual one, run further
TIMES_S: Array = np.concatenate([[0.0], np.geomspace(60.0, 6 * DAY_S, 63)])
TIMES_S.setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False)
class Predicted:
    """Points over time for a usual wearer; rows top, middle, base, and the whole last.

    Not cut off at 10: a wearer who marks low may have all of it.  `points` is
    the mean of `bundle` (courses by rows by times).  `there` says which of the
    four rows are in the balm.
    """

    times_s: Array
    points: Array
    bundle: Array
    there: tuple[bool, bool, bool, bool]

    def at(self, row: int, seconds: Array, factor: float = 1.0, scale: float = 1.0) -> Array:
        """Points of one row for a wearer on whose skin everything goes `factor` times as fast."""
        made: Array = scale * np.interp(factor * seconds, self.times_s, self.points[row])
        return made

    def off(self, row: int, seconds: Array, factor: float = 1.0, scale: float = 1.0) -> Array:
        """How far each course of the bundle is from the mean there: times by courses."""
        at = np.clip(factor * seconds, self.times_s[0], self.times_s[-1])
        above = np.clip(np.searchsorted(self.times_s, at), 1, len(self.times_s) - 1)
        share = (at - self.times_s[above - 1]) / (self.times_s[above] - self.times_s[above - 1])
        off = self.bundle[:, row] - self.points[row]
        made: Array = scale * ((1.0 - share) * off[:, above - 1] + share * off[:, above]).T
        return made

    def curve(
        self, row: int, seconds: Array, factor: float = 1.0, scale: float = 1.0
    ) -> tuple[Array, Array, Array]:
        """(points, low, high) as they are drawn, within 0 to 10; four of five courses lie between."""
        low, high = np.quantile(self.bundle[:, row], (0.1, 0.9), axis=0)
        mid, bottom, top = (
            np.clip(scale * np.interp(factor * seconds, self.times_s, each), 0.0, MOST)
            for each in (self.points[row], low, high)
        )
        return mid, bottom, top


def predicted(composition: Composition, notes: Mapping[str, Note], catalogue: Catalogue) -> Predicted:
    """For a balm as made; `notes` as its recipe says.  Raises `Trouble` for a material nobody knows."""
    run = course(composition, catalogue, times_s=TIMES_S)
    return of_course(run, notes_for(run.oils, catalogue, dict(notes)))


def predicted_of(kept: WearTests, catalogue: Catalogue) -> Predicted | None:
    """For the balm that was worn; None where what went into it was not kept or is not known any more."""
    if not kept.made_g:
        return None
    try:
        return predicted(Composition.of(kept.made_g), kept.notes, catalogue)
    except Trouble:
        return None


def as_made(state: SessionState, catalogue: Catalogue) -> tuple[dict[str, float], dict[str, Note]]:
    """(grams, notes) of a batch as its wear tests keep them."""
    rows = {**catalogue.materials, **({} if state.plan is None else state.plan.materials)}
    made = expand(composition_made(state), rows)
    recipe = None if state.plan is None else state.plan.recipe
    notes = {} if recipe is None else {line.material: line.note for line in recipe.scent}
    return {each.material: each.mass_g for each in made.portions if each.mass_g > 0}, notes


def of_course(run: Course, notes: Mapping[str, Note]) -> Predicted:
    """The same from a course that was reckoned already."""
    ranks = {NOTES.index(notes.get(oil, Note.MIDDLE)) for oil in run.oils}
    threshold, psat, gamma = _deviates(len(run.volatility.keys))
    bundle = np.stack(
        [_points(with_tables_off(run, *each), notes) for each in zip(threshold, psat, gamma, strict=True)]
    )
    return Predicted(
        run.times_s, bundle.mean(axis=0), bundle, (0 in ranks, 1 in ranks, 2 in ranks, bool(ranks))
    )


def _points(run: Course, notes: Mapping[str, Note]) -> Array:
    made = strength(run, notes)
    points: Array = np.vstack([made.notes, made.whole]) / COMPUTED_PER_POINT
    return points


def with_tables_off(run: Course, threshold: Array, psat: Array, gamma: Array) -> Course:
    """The course if the tables were off by so many standard deviations, one number per constituent.

    An activity that is off acts on what is in the air as a vapour pressure
    does, so both are put on the vapour pressure.
    """
    v = run.volatility
    faster = np.exp(np.log(v.psat_factor) * psat + np.log(v.gamma_factor) * gamma)
    off = replace(v, psat_pa=v.psat_pa * faster, odour_log_half=v.odour_log_half + v.odour_spread * threshold)
    rates = run.rates_per_s * faster[run.constituents]
    left = np.exp(np.maximum(-np.outer(rates, run.times_s), -60.0))
    return replace(run, volatility=off, rates_per_s=rates, constituent_left=left)


@cache
def _deviates(count: int) -> tuple[Array, Array, Array]:
    """Standard normal deviates for `count` constituents, three sets of `BUNDLE` rows."""
    half = BUNDLE // 2
    steps = np.arange(1, half + 1)[:, None]
    weyl = (steps * np.sqrt(_primes(3 * count))[None, :]) % 1.0
    from scipy.special import ndtri  # slow to load, and only a drawn band asks for it

    normal = ndtri(np.clip(weyl, 1e-6, 1 - 1e-6))
    both = np.concatenate([normal, -normal])
    both.setflags(write=False)
    first, second, third = both[:, :count], both[:, count : 2 * count], both[:, 2 * count :]
    return first, second, third


def _primes(count: int) -> Array:
    """The first `count` primes: their square roots are independent of one another."""
    most = max(20, int(count * (np.log(count + 2) + np.log(np.log(count + 3)) + 1)))
    sieve = np.ones(most, dtype=bool)
    sieve[:2] = False
    for at in range(2, int(most**0.5) + 1):
        if sieve[at]:
            sieve[at * at :: at] = False
    made: Array = np.flatnonzero(sieve)[:count].astype(np.float64)
    return made


def row_words(row: int) -> Said:
    """The rows of a prediction by name."""
    return (say("top"), say("middle"), say("base"), say("overall"))[row]
