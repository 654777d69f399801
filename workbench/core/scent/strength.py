"""How strongly each oil and each note smells over time, and which one leads.

A constituent's strength follows its concentration at the nose along a logistic
dose-response curve, 0 to 100, with constants of one laboratory (Wakayama and
others 2019, doi 10.1021/acs.iecr.9b01225) where they exist.  Of a mixture the
strongest constituent counts: adding strengths is known to be wrong, and the
vector model turns negative for more than a few components.  A constituent that
several oils share counts towards each by mass.

These are relative strengths.  How near the nose is, how the air moves and
whose nose it is shift all of them; adaptation is not reckoned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from workbench.core.catalogue.model import Note
from workbench.core.scent.course import Course
from workbench.core.scent.volatility import BALM_G_M3, Array, Indices, summed

NOSE = 0.03  # concentration at the nose over that at the film, nose at the wrist (judged)
PERCEIVED = 5.0  # strength below which a note is taken as gone (judged)
_LN10 = float(np.log(10.0))
_NOTES = (Note.TOP, Note.MIDDLE, Note.BASE)


@dataclass(frozen=True, slots=True, eq=False)
class Strength:
    """Relative strength 0..100 over the times of a course.

    `oils` rows as in the course; `notes` one row each for top, middle and
    base; `whole` that of the balm, led by `lead` (place of a constituent in
    `Volatility.keys`, −1 where nothing smells).
    """

    course: Course
    oils: Array
    oil_leads: Indices  # by oil and time: the constituent that gives it its strength
    notes: Array
    notes_low: Array
    notes_high: Array
    whole: Array
    lead: Indices

    def of_note(self, note: Note) -> Array:
        made: Array = self.notes[_NOTES.index(note)]
        return made

    def leading(self) -> tuple[Note | None, ...]:
        """The note that leads at each time; None where none is perceived."""
        best = np.argmax(self.notes, axis=0)
        top = self.notes[best, np.arange(self.notes.shape[1])]
        return tuple(
            _NOTES[int(row)] if value >= PERCEIVED else None for row, value in zip(best, top, strict=True)
        )


def strength(course: Course, notes: Mapping[str, Note]) -> Strength:
    """Strength of every oil, note and the whole.

    `notes` says for each oil where it stands; an oil that is not named counts
    as middle.
    """
    volatility, entries = course.volatility, course.entries
    at_nose = air_mg_m3(course)  # per g of constituent in the balm, by place in `constituents`
    place = np.searchsorted(course.constituents, entries.constituent)
    dose = entries.mass_g * at_nose[place]
    oils, oil_leads = _strongest(course, entries.oil, place, dose, len(course.oils))

    rank = np.array([_NOTES.index(notes.get(oil, Note.MIDDLE)) for oil in course.oils], dtype=np.intp)
    width = len(course.constituents)
    merged = np.zeros(3 * width)
    if len(entries.oil):
        np.add.at(merged, rank[entries.oil] * width + place, dose)
    there = np.flatnonzero(merged)
    of_note, of_place = there // max(width, 1), there % max(width, 1)
    by_note, _ = _strongest(course, of_note, of_place, merged[there], 3)
    spread = volatility.odour_spread[course.constituents]
    low, _ = _strongest(course, of_note, of_place, merged[there] * 10.0 ** -spread[of_place], 3)
    high, _ = _strongest(course, of_note, of_place, merged[there] * 10.0 ** spread[of_place], 3)
    total = summed(place, dose, width)
    whole, lead = _strongest(course, np.zeros(width, dtype=np.intp), np.arange(width), total, 1)
    return Strength(course, oils, oil_leads, by_note, low, high, whole[0], lead[0])


def air_mg_m3(course: Course) -> Array:
    """Concentration at the nose at time 0 per gram of each constituent in the balm, mg/m3."""
    partition = course.volatility.partition(course.carrier, course.film.kelvin)[course.constituents]
    made: Array = NOSE * BALM_G_M3 * 1e3 / (max(course.balm_g, 1e-12) * partition)
    return made


def log_dose_for(course: Course, target: float) -> Array:
    """log10 of the concentration in mg/m3 at which each constituent reaches `target` strength.

    Infinite where it never does.  The inverse of the dose-response curve.
    """
    volatility, places = course.volatility, course.constituents
    most = volatility.odour_max[places]
    with np.errstate(divide="ignore", invalid="ignore"):
        made: Array = np.where(
            most > target,
            volatility.odour_log_half[places]
            - volatility.odour_width[places] * np.log(np.maximum(most / target - 1.0, 1e-300)),
            np.inf,
        )
    return made


def _strongest(
    course: Course, group: Indices, place: Indices, dose: Array, groups: int
) -> tuple[Array, Indices]:
    """The strongest constituent of each group over time.

    `dose` is mg/m3 at time 0; `place` points into `course.constituents`.
    The exponential of time is taken inside the exponent of the logistic, so
    each entry costs one exponential per time.
    """
    times = course.times_s
    best = np.zeros((groups, len(times)))
    lead = np.full((groups, len(times)), -1, dtype=np.intp)
    v, places = course.volatility, course.constituents
    smells = v.odour_max[places[place]] > 0
    group, place, dose = group[smells], place[smells], dose[smells]
    if not len(group):
        return best, lead
    constituent = places[place]
    width = v.odour_width[constituent]
    log0 = (np.log10(np.maximum(dose, 1e-300)) - v.odour_log_half[constituent]) / width
    fall = course.rates_per_s[place] / (_LN10 * width)
    exponent = np.clip(fall[:, None] * times - log0[:, None], -60.0, 60.0)
    each = v.odour_max[constituent][:, None] / (1.0 + np.exp(exponent))
    for one in np.unique(group):
        rows = np.flatnonzero(group == one)
        own = each[rows]
        leads = np.argmax(own, axis=0)
        best[one] = own[leads, np.arange(len(times))]
        lead[one] = np.where(best[one] > 1e-6, constituent[rows][leads], -1)
    return best, lead


def leads_of(strength: Strength, at_s: Sequence[float]) -> tuple[Note | None, ...]:
    """The leading note at these times, read from the nearest time of the course."""
    leading = strength.leading()
    times = strength.course.times_s
    return tuple(leading[int(np.argmin(np.abs(times - moment)))] for moment in at_s)
