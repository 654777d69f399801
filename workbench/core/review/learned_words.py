"""What the bench has learned, said plainly: one sentence for each quantity, with its range and from how many batches."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.catalogue.shelf import Learned, Lesson, Lot, Microwave, Shelf, StoveKind, Vessel
from workbench.core.heat.bath import AIR_W_K, CONTACT, STOVE, STOVE_W, WATER_J_G_K
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import SHARE_TAKEN
from workbench.core.heat.cooling import LOSS, Guesses, describe, paths
from workbench.core.heat.learning import BATCH_SD
from workbench.core.heat.oven_power import Tested, by_tests
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import DROP
from workbench.core.review.learned import STOVE_ABOUT, about_lot, about_oven, about_vessel
from workbench.core.wording import Count, Degrees, Duration, Grams, Kelvins, Number, Share, say

Z80 = 1.2816  # the range holds the next batch four times out of five
FALL_FROM_C, FALL_TO_C, FALL_ROOM_C = 70.0, 60.0, 21.0
LITRE_G = 1000.0
WARM_FROM_C, WARM_TO_C = 20.0, 70.0


def falls_in_s(vessel: Vessel, catalogue: Catalogue) -> tuple[float, float, float] | None:
    """(median, low, high) in s in which the half full jug falls from 70 to 60 °C in a room at 21 °C.

    With any carrier oil; the range is that of the next batch.  None where the tables hold no carrier.
    """
    carrier = next(
        (one.key for one in catalogue.materials.values() if one.kind is MaterialKind.CARRIER), None
    )
    if carrier is None:
        return None
    blend = Blend.of(Composition.of({carrier: 1.0}), catalogue)
    mass_g = 0.5 * vessel.holds_ml / blend.volume_ml_g(65.0)
    thing = describe(blend, vessel, mass_g)
    known = _row(vessel.learned, LOSS)
    sd = thing.ln_loss_sd if known is None else math.hypot(BATCH_SD, known.sd)
    off = sd * np.array([0.0, Z80, -Z80])
    flat = np.zeros(3)
    guesses = Guesses(
        start_c=flat + FALL_FROM_C,
        ln_loss=thing.ln_loss + off,
        room_c=flat + FALL_ROOM_C,
        set_c=flat + thing.set_point_c,
        ln_latent=flat,
        ln_base=flat,
        wet=flat,
        draught=np.zeros((2, 3)),
    )
    times = np.arange(0.0, 7200.0, 10.0)
    path = paths(thing, guesses, times, np.array([0.0, 7200.0]))
    at = [float(np.interp(-FALL_TO_C, -path[:, column], times)) for column in range(3)]
    return at[0], at[1], at[2]


def vessel_says(vessel: Vessel, catalogue: Catalogue) -> tuple[str, ...]:
    """What past batches taught of a jug; empty where nothing is known."""
    lines: list[str] = []
    loss, contact = _row(vessel.learned, LOSS), _row(vessel.learned, CONTACT)
    found = falls_in_s(vessel, catalogue) if loss is not None else None
    if loss is not None and found is not None:
        median, low, high = (_rounded(each) for each in found)
        lines.append(
            say(
                "“{name}” loses {fall} in about {median} ({low} to {high}), from {count} batches. Meant half full, from {warm} on, in a room at {room}.",
                "“{name}” loses {fall} in about {median} ({low} to {high}), from one batch. Meant half full, from {warm} on, in a room at {room}.",
                name=vessel.name,
                median=median,
                low=low,
                high=high,
                count=Count(loss.batches),
                fall=Kelvins(FALL_FROM_C - FALL_TO_C, 0),
                warm=Degrees(FALL_FROM_C, 0),
                room=Degrees(FALL_ROOM_C, 0),
            )
        )
    if contact is not None:
        lines.append(_contact_says(contact))
    return tuple(lines)


def _contact_says(row: Learned) -> str:
    faster = math.exp(row.value) - 1
    low, high = (math.exp(row.value + z * row.sd) - 1 for z in (-Z80, Z80))
    if low < 0 < high:
        return say("In the water bath it warms as a jug of its size usually does.")
    ends = sorted((abs(low), abs(high)))
    return say(
        "In the water bath it takes up heat {share} faster than a jug of its size usually does ({low} to {high})."
        if faster > 0
        else "In the water bath it takes up heat {share} slower than a jug of its size usually does ({low} to {high}).",
        share=Share(100 * abs(faster), 0),
        low=Share(100 * ends[0], 0),
        high=Share(100 * ends[1], 0),
    )


def oven_says(oven: Microwave) -> tuple[str, ...]:
    """What water tests and melts taught of a microwave."""
    lines: list[str] = []
    share, found = _row(oven.learned, SHARE_TAKEN), by_tests(oven, None)
    if found is not None:
        ends = [max(found.watts + z * found.sd_w, 0.0) for z in (-Z80, Z80)]
        lines.append(
            say(
                "“{name}” gives about {watts} W to water ({low} to {high} W), by {count} water tests.",
                "“{name}” gives about {watts} W to water ({low} to {high} W), by one water test.",
                name=oven.name,
                watts=Number(_tens(found.watts), 0),
                low=Number(_tens(ends[0]), 0),
                high=Number(_tens(ends[1]), 0),
                count=Count(found.count),
            )
        )
        lines.append(_load_says(found))
    beside = by_tests(oven, None, with_cup=True)
    if beside is not None and beside.high_g is not None:
        lines.append(
            say(
                "With a cup of water beside it, {water} got about {watts} W.",
                water=Grams(beside.high_g, 0),
                watts=Number(round(beside.watts), 0),
            )
        )
    if share is not None:
        low, high = (min(math.exp(share.value + z * share.sd), 1.0) for z in (-Z80, Z80))
        lines.append(
            say(
                "Your blends take up about {share} of what water would ({low} to {high}), from {count} batches.",
                "Your blends take up about {share} of what water would ({low} to {high}), from one batch.",
                share=Share(100 * math.exp(share.value), 0),
                low=Share(100 * low, 0),
                high=Share(100 * high, 0),
                count=Count(share.batches),
            )
        )
    return tuple(lines)


def _load_says(found: Tested) -> str:
    """What a test speaks for; of an early one why it is to be repeated."""
    if found.early or found.low_g is None or found.high_g is None:
        return say(
            "Repeat this test once: only its result was kept, by a formula that still counted the seconds in which an "
            "oven only starts. It is 2 to 10 % low, so bursts come out a little long, and nobody knows for which load."
        )
    if str(Grams(found.low_g, 0)) == str(Grams(found.high_g, 0)):
        return say(
            "Tested with {high}: for much more the plate counts, for less there is more doubt.",
            high=Grams(found.high_g, 0),
        )
    return say(
        "Tested with {low} to {high}: for much more the plate counts, for less there is more doubt.",
        low=Grams(found.low_g, 0),
        high=Grams(found.high_g, 0),
    )


def stove_says(kind: StoveKind | None, learned: Iterable[Learned]) -> tuple[str, ...]:
    """How fast the stove warms a litre of water."""
    row = _row(tuple(learned), STOVE)
    if row is None or kind is None:
        return ()
    usual = STOVE_W[kind.value]

    def seconds(ln_factor: float) -> float:
        lost = AIR_W_K * ((WARM_FROM_C + WARM_TO_C) / 2 - WARM_FROM_C)
        return (
            LITRE_G * WATER_J_G_K * (WARM_TO_C - WARM_FROM_C) / max(usual * math.exp(ln_factor) - lost, 50.0)
        )

    return (
        say(
            "Your stove warms a litre of water from {cold} to {hot} in about {median} ({low} to {high}), from {count} batches.",
            "Your stove warms a litre of water from {cold} to {hot} in about {median} ({low} to {high}), from one batch.",
            cold=Degrees(WARM_FROM_C, 0),
            hot=Degrees(WARM_TO_C, 0),
            median=_rounded(seconds(row.value)),
            low=_rounded(seconds(row.value + Z80 * row.sd)),
            high=_rounded(seconds(row.value - Z80 * row.sd)),
            count=Count(row.batches),
        ),
    )


def lot_says(lot: Lot) -> tuple[str, ...]:
    """How heavy one drop from this bottle is."""
    row = _row(lot.learned, DROP)
    if row is None or row.value <= 0:
        return ()
    return (
        say(
            "One drop from this bottle weighs about {drop} ({low} to {high}): {count} drops to a gram.",
            "One drop from this bottle weighs about {drop} ({low} to {high}): {count} drop to a gram.",
            drop=Grams(row.value, 3),
            low=Grams(max(row.value - Z80 * row.sd, 0.0), 3),
            high=Grams(row.value + Z80 * row.sd, 3),
            count=Count(round(1 / row.value)),
        ),
        say("Weighed {count} times.", "Weighed once.", count=Count(row.batches)),
    )


def odd_says(lessons: Iterable[Lesson], about: str) -> tuple[str, ...]:
    """Which batches counted for less, and why; the same reason once."""
    batches: dict[str, str] = {each.batch: each.odd for each in lessons if each.about == about and each.odd}
    counted: dict[str, int] = {}
    for odd in batches.values():
        counted[odd] = counted.get(odd, 0) + 1
    return tuple(
        say(
            "{count} batches count for less: {why}.",
            "One batch counts for less: {why}.",
            count=Count(count),
            why=why,
        )
        for why, count in counted.items()
    )


def all_says(shelf: Shelf, about: str, catalogue: Catalogue) -> tuple[str, ...]:
    """Everything there is to say of one thing on the shelf."""
    lines: tuple[str, ...] = ()
    if about == STOVE_ABOUT:
        lines = stove_says(shelf.stove, shelf.stove_learned)
    for vessel in shelf.vessels:
        if about_vessel(vessel.key) == about:
            lines = vessel_says(vessel, catalogue)
    for oven in shelf.microwaves:
        if about_oven(oven.key) == about:
            lines = oven_says(oven)
    for lot in shelf.lots:
        if about_lot(lot.key) == about:
            lines = lot_says(lot)
    return (*lines, *odd_says(shelf.lessons, about)) if lines else ()


def _row(rows: Iterable[Learned], what: str) -> Learned | None:
    return next((row for row in rows if row.what == what), None)


def _tens(watts: float) -> float:
    return 10.0 * round(watts / 10)


def _rounded(seconds: float) -> Duration:
    step = 15.0 if seconds < 180 else 30.0 if seconds < 600 else 60.0
    return Duration(max(step * round(seconds / step), step))
