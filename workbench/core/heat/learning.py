"""What past batches taught of a vessel or an oven, kept as plain numbers on it."""

from __future__ import annotations

import math
from collections.abc import Iterable

from workbench.core.catalogue.shelf import Learned, Microwave, Vessel

BATCH_SD = 0.12  # another draught, another place on the counter: what differs from batch to batch


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
    """The oven with a water test or the share a melt took up (`bursts.taught`)."""
    return oven.model_copy(update={"learned": _with(oven.learned, lessons)})
