"""Evidence from times and temperatures: how hot, how long, how fast it cooled, how it was poured.

The bounds between which a score rises are judged (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from workbench.core.batch import figures
from workbench.core.batch.in_jug import USUAL_ROOM_C
from workbench.core.batch.record import sink_depth_mm
from workbench.core.batch.state import StepMark, StepProgress
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.catalogue.model import MaterialKind
from workbench.core.heat.blend import Blend
from workbench.core.heat.setting import sinking
from workbench.core.review.case import Case, Evidence, Finding, rising
from workbench.core.wording import Degrees, Duration, Kelvins, Millimetres, say

BUTTER_WARM_C = 60.0  # above this every butter of the tables is clear liquid
LONGEST_GAP_S = 1200.0  # two readings further apart than this say nothing about what lay between
LEAST_COOLING_K, LEAST_COOLING_S = 3.0, 120.0  # less than this gives no rate


def butter_hot_long(case: Case) -> Finding:
    """A butter stood in a hot jug: it may lose the fine crystals that keep it smooth."""
    name = case.names(MaterialKind.BUTTER)
    if not name:
        return Finding(0.0, say("There is no butter in it."))
    hot_s = _above_s(case, BUTTER_WARM_C)
    if hot_s is None:
        return Finding()
    return Finding(
        rising(hot_s, 600.0, 1800.0),
        say(
            "{name}: held above {limit} for {time}.",
            name=name,
            limit=Degrees(BUTTER_WARM_C, 0),
            time=Duration(60.0 * round(hot_s / 60.0)),
        ),
    )


def not_melted_out(case: Case) -> Finding:
    """The hottest reading against melt-out: what is not melted seeds coarse crystals."""
    melt_out_c = case.state.temperatures.melt_out_c
    if melt_out_c is None or not case.readings:
        return Finding()
    highest_c = max(c for _, c in case.readings)
    return Finding(
        rising(highest_c, melt_out_c + 1.0, melt_out_c - 4.0),
        say(
            "The hottest reading was {highest}; everything is surely melted from {aim} on.",
            highest=Degrees(highest_c),
            aim=Degrees(melt_out_c),
        ),
    )


def cooled_slowly(case: Case) -> Finding:
    return _cooling(case, 1.2, 0.4)


def cooled_fast(case: Case) -> Finding:
    return _cooling(case, 2.0, 4.0)


def _cooling(case: Case, none_at: float, all_at: float) -> Finding:
    """By the mean rate in the jug, K a minute; what happened in the tins nobody measured."""
    curve = case.cooling
    if len(curve) < 2:
        return Finding()
    (from_s, from_c), (to_s, to_c) = curve[0], curve[-1]
    if from_c - to_c < LEAST_COOLING_K or to_s - from_s < LEAST_COOLING_S:
        return Finding()
    rate = 60.0 * (from_c - to_c) / (to_s - from_s)
    return Finding(
        rising(rate, none_at, all_at),
        say(
            "In the jug it cooled from {high} to {low} in {time}: {rate} a minute. The tins were not measured.",
            high=Degrees(from_c),
            low=Degrees(to_c),
            time=Duration(to_s - from_s),
            rate=Kelvins(rate),
        ),
    )


def poured_cold(case: Case) -> Finding:
    return _poured(case, 4.0, 0.5)


def poured_hot(case: Case) -> Finding:
    return _poured(case, 10.0, 22.0)


def _poured(case: Case, none_at: float, all_at: float) -> Finding:
    pour_c, set_c = figures.pour_c(case.state), case.set_point_c
    if pour_c is None or set_c is None:
        return Finding()
    apart = pour_c - set_c
    score = rising(apart, none_at, all_at)
    values = {"pour": Degrees(pour_c), "apart": Kelvins(abs(apart)), "set": Degrees(set_c)}
    if apart < 0:
        return Finding(score, say("It was poured at {pour}, {apart} below its set point of {set}.", **values))
    return Finding(score, say("It was poured at {pour}, {apart} above its set point of {set}.", **values))


def warmed_again(case: Case) -> Finding:
    """Back into the bath, or mended with warm air: part of it melted and set a second time."""
    again = [
        each
        for each in case.state.steps
        if each.begun_at_s is not None
        and each.mark is not StepMark.LEFT_OUT
        and (each.step.id == figures.REWARM or each.step.kind is StepKind.MEND)
    ]
    if not again:
        return Finding(0.0, say("It was not warmed a second time."))
    return Finding(0.9, say("It was warmed again: “{step}”.", step=again[-1].step.title))


def moved_early(case: Case) -> Finding:
    """The tins' rest against the time the plan gave it."""
    step = _done(case, StepKind.SET)
    if step is None or step.step.timer_s is None or step.begun_at_s is None or step.ended_at_s is None:
        return Finding()
    took_s, wanted_s = step.ended_at_s - step.begun_at_s, step.step.timer_s
    return Finding(
        rising(took_s / wanted_s, 0.9, 0.4),
        say(
            "The tins were left to set for {took}; {wanted} were planned.",
            took=Duration(took_s),
            wanted=Duration(wanted_s),
        ),
    )


def not_mended(case: Case) -> Finding:
    """A dip was seen and the mending step left out."""
    depth_mm = sink_depth_mm(case.state)
    if depth_mm is None:
        return Finding()
    mended = _done(case, StepKind.MEND) is not None
    if mended:
        return Finding(0.1, say("A dip of {depth} was mended.", depth=Millimetres(depth_mm)))
    return Finding(
        rising(depth_mm, 0.3, 1.5), say("A dip of {depth} was left as it was.", depth=Millimetres(depth_mm))
    )


def shrinks_so_much(case: Case) -> Finding:
    """The dip that was measured against the dip this blend must be expected to make in this tin."""
    state, depth_mm, pour_c = case.state, sink_depth_mm(case.state), figures.pour_c(case.state)
    tins = {tin.key: tin for tin in case.catalogue.shelf.tins}
    poured = [each for each in state.poured.values() if each.tin in tins and each.mass_g > 0]
    if depth_mm is None or pour_c is None or not poured:
        return Finding()
    largest = max(poured, key=lambda each: each.mass_g)
    room = case.catalogue.shelf.room_c
    room_c = USUAL_ROOM_C if room is None else room.value
    blend = Blend.of(case.made, case.tables, state.set_point_seen_c)
    fill_ml = largest.mass_g * blend.volume_ml_g(room_c)
    expected = sinking(blend, tins[largest.tin], fill_ml, pour_c, room_c)
    return Finding(
        rising(depth_mm, 2.0 * expected.funnel_mm + 0.5, expected.funnel_mm + 0.5),
        say(
            "{depth} was measured; by its wax and the tin a dip of {low} to {high} must be expected.",
            depth=Millimetres(depth_mm),
            low=Millimetres(expected.dish_mm),
            high=Millimetres(expected.funnel_mm),
        ),
    )


def added_hot(case: Case) -> Finding:
    """Fragrance against the top of the window; a guard set aside is said with it."""
    added_c, below_c = figures.addition_c(case.state), case.state.temperatures.add_below_c
    if added_c is None or below_c is None:
        return Finding()
    aside = any(each.guard is Guard.FLASH_SAFE for each in case.state.asides)
    over_k = added_c - below_c
    score = max(rising(over_k, -1.0, 5.0), 0.7 if aside else 0.0)
    values = {"added": Degrees(added_c), "apart": Kelvins(abs(over_k)), "below": Degrees(below_c)}
    if over_k > 0:
        return Finding(
            score,
            say("The fragrance went in at {added}, {apart} above the top of its window, {below}.", **values),
        )
    return Finding(
        score,
        say("The fragrance went in at {added}, {apart} under the top of its window, {below}.", **values),
    )


def stood_scented(case: Case) -> Finding:
    """Time in the warm jug from the first drop of fragrance to the last tin."""
    state = case.state
    if state.scented_at_s is None or not state.poured:
        return Finding()
    stood_s = max(each.at_s for each in state.poured.values()) - state.scented_at_s
    warm = [c for s, c in case.readings if s >= state.scented_at_s]
    score = rising(stood_s, 480.0, 1800.0)
    if not warm:
        return Finding(
            score, say("The scented jug stood for {time} until the last tin.", time=Duration(stood_s))
        )
    return Finding(
        score,
        say(
            "The scented jug stood for {time} until the last tin, at up to {high}.",
            time=Duration(stood_s),
            high=Degrees(max(warm)),
        ),
    )


def _above_s(case: Case, limit_c: float) -> float | None:
    """Seconds above a temperature, straight between readings; None without two readings near each other."""
    spans = [
        (a, b) for a, b in zip(case.readings, case.readings[1:], strict=False) if b[0] - a[0] <= LONGEST_GAP_S
    ]
    if not spans:
        return None
    return sum(_part_above(a, b, limit_c) for a, b in spans)


def _part_above(a: tuple[float, float], b: tuple[float, float], limit_c: float) -> float:
    low, high = sorted((a[1], b[1]))
    if low >= limit_c:
        return b[0] - a[0]
    if high <= limit_c:
        return 0.0
    return (b[0] - a[0]) * (high - limit_c) / (high - low)


def _done(case: Case, kind: StepKind) -> StepProgress | None:
    return next(
        (each for each in case.state.steps if each.step.kind is kind and each.mark is StepMark.DONE), None
    )


FOUND: Mapping[str, Evidence] = {
    function.__name__: function
    for function in (
        butter_hot_long,
        not_melted_out,
        cooled_slowly,
        cooled_fast,
        poured_cold,
        poured_hot,
        warmed_again,
        moved_early,
        not_mended,
        shrinks_so_much,
        added_hot,
        stood_scented,
    )
}
