"""No sentence of the look ahead may contradict a reading that is younger than the jug needs to prove it wrong.

What a sentence claims of the temperature now is written down here once for
every template; then all of them are held against a grid of forecasts and
readings.  Judge: a jug off the heat only cools, and no faster than its fastest
plausible cooling; a jug in its bath warms by 8 K a minute at most.
"""

from __future__ import annotations

from itertools import product

import pytest

from tests.core.batch.bench import Bench
from tests.core.batch.test_outlook import TABLES, cooling
from workbench.core.batch import commands as ask
from workbench.core.batch.guards import FIRST_RATE_K_S
from workbench.core.batch.outlook import Ahead, answer, newest_of, question_of
from workbench.core.batch.outlook_fresh import settled, window_of
from workbench.core.batch.outlook_words import cooling_says, melting_says
from workbench.core.catalogue.shelf import Learned
from workbench.core.heat.bath import MeltAhead
from workbench.core.heat.fitting import Reading
from workbench.core.heat.forecast import Crossing, Fan, Forecast
from workbench.core.wording import Degrees, Duration, Number, Said, say

NOW_S = 1000.0
OPENS_C, FLOOR_C, AIM_C = 64.0, 58.0, 68.0
FASTEST_K_MIN = 3.0
NOTHING = Learned(what="nothing", value=0.0, sd=0.1, batches=0)

# What a head claims of the jug now: warmer than where it opens, cool enough, still over the floor, under it.
WARMER, OPEN, LEVELS, SET = "warmer", "open", "levels", "set"
CLAIMS: dict[str, set[str]] = {
    "It will not cool that far in this room.": {WARMER},
    "The last reading was {celsius}: cool enough in {time} at the earliest. Stir and read.": {WARMER},
    "Cool enough in about {time}, or much later.": {WARMER},
    "Cool enough in {median} ({low} to {high}).": {WARMER},
    "Cool enough in {median} ({low} to {high}), then for {stays}.": {WARMER},
    "Cool enough in {median} min ({low} to {high}), then for {stays}.": {WARMER},
    "Reaches its limit in {median} ({low} to {high}); by then it no longer levels: no window is left.": {WARMER},
    "Should be cool enough now. Stir, read, go on.": {OPEN},
    "Should be cool enough now, for about {time} more.": {OPEN, LEVELS},
    "Should be cool enough now, for {median} min more ({low} to {high}).": {OPEN, LEVELS},
    "By the last reading, {celsius}, the window is not over for {time} at least. Stir and read.": {OPEN, LEVELS},
    "It should be too cool by now and sets soon. Read it now.": {OPEN, SET},
    "It has begun to set near {celsius}, warmer than was reckoned: the window should be over. Look for haze.": set(),
    "It does not set, so it can be poured at any time.": set(),
    "It stays pourable for hours in this room.": {LEVELS},
    "By the last reading, {celsius}, it no longer levels in a tin.": {SET},
    "By reckoning it no longer levels in a tin. Read it.": {SET},
    "By the last reading, {celsius}, it pours for {time} at least. Read it again.": {LEVELS},
    "Pour within about {time}.": {LEVELS},
    "It pours well for {median} min ({low} to {high}).": {LEVELS},
}  # fmt: skip
MELTED, MELTING = "melted", "melting"
MELT_CLAIMS: dict[str, str] = {
    "It will not melt out in a bath like this.": MELTING,
    "It should be melted now.": MELTED,
    "The last reading was {celsius}: melted in {time} at the earliest.": MELTING,
    "Melted in about {time}, or much later.": MELTING,
    "Melted in about {median} min ({low} to {high}).": MELTING,
}


def crossing(at_c: float, in_s: float | None, spread_s: float | None) -> Crossing:
    """Reckoned to come `in_s` from now; `spread_s` None: its range has no end."""
    if in_s is None:
        return Crossing(at_c, None, None, None)
    median_s = NOW_S + in_s
    if spread_s is None:
        return Crossing(at_c, median_s, median_s - 60.0, None)
    return Crossing(at_c, median_s, median_s - spread_s, median_s + spread_s)


def foretold(opens: Crossing | None, floor: Crossing | None, found: bool = False) -> Forecast:
    bends = say("The curve bends near {celsius}: it has begun to set.", celsius=Degrees(FLOOR_C - 3))
    return Forecast(
        () if opens is None else (opens,), None, floor, NOW_S - 60, 62.0, 61.0, 63.0, -2.0,
        None if floor is None else floor.below_c - 3, 2.0, found, NOW_S + 30, (), Fan((), (), (), ()),
        NOTHING, NOTHING, True, (*((bends,) if found else ()), "and so on"), FASTEST_K_MIN, bends if found else "",
    )  # fmt: skip


WHEN = (None, -400.0, -20.0, 20.0, 90.0, 500.0)
READ = [
    (celsius, age) for celsius in (75.0, 66.0, 64.0, 61.0, 58.2, 57.0) for age in (0.0, 20.0, 90.0, 400.0)
]


def seconds_of(value: object) -> float:
    if isinstance(value, Duration):
        return value.seconds
    assert isinstance(value, Number)
    return 60.0 * value.amount


def held_against(head: str, celsius: float, age_s: float) -> None:
    assert isinstance(head, Said)
    claims = CLAIMS[head.template]
    coldest_c = celsius - age_s * FASTEST_K_MIN / 60
    about = f"{head} beside {celsius} °C, {age_s} s old"
    if WARMER in claims:
        assert celsius > OPENS_C, about
    if OPEN in claims:
        assert coldest_c <= OPENS_C + 1e-6, about
    if LEVELS in claims:
        assert celsius > FLOOR_C, about
    if SET in claims:
        assert coldest_c <= FLOOR_C + 1e-6, about
    if WARMER in claims and "median" in head.values:
        earliest_s = (coldest_c - OPENS_C) / FASTEST_K_MIN * 60
        minute = 60.0 if isinstance(head.values["median"], Number) else 30.0
        assert seconds_of(head.values["median"]) >= earliest_s - minute / 2 - 1e-6, about
        assert seconds_of(head.values["low"]) >= earliest_s - minute / 2 - 1e-6, about
        assert seconds_of(head.values["low"]) <= seconds_of(head.values["high"]), about


def test_no_sentence_of_the_cooling_contradicts_the_newest_reading() -> None:
    said: set[str] = set()
    for opens_in, floor_in, spread, (celsius, age), plain in product(
        WHEN, (*WHEN, 900.0, "no floor"), (15.0, 200.0, None), READ, (False, True)
    ):
        opens = crossing(OPENS_C, opens_in, spread)
        floor = None if isinstance(floor_in, str) else crossing(FLOOR_C, floor_in, spread)
        newest = Reading(NOW_S - age, celsius)
        for opening in (opens, None):
            found = foretold(opening, floor)
            window = window_of(found, opening, newest, FLOOR_C)
            head, remarks = cooling_says(found, window, NOW_S, plain=plain)
            held_against(head, celsius, age)
            assert remarks
            assert isinstance(head, Said)
            said.add(head.template)
    assert said == {template for template, claims in CLAIMS.items() if "begun to set" not in template}


def test_no_sentence_of_the_melt_contradicts_the_newest_reading() -> None:
    said: set[str] = set()
    for melts_in, spread, celsius, age in product(
        WHEN, (15.0, 200.0, None), (22.0, 60.0, 67.5, 68.0, 71.0), (0.0, 20.0, 90.0, 400.0)
    ):
        found = MeltAhead(
            crossing(AIM_C, melts_in, spread), 60.0, 2.0, 5.0, 900.0, (), NOTHING, NOTHING
        )  # fmt: skip
        newest = Reading(NOW_S - age, celsius)
        held = settled(found.molten, AIM_C, newest, FIRST_RATE_K_S, warming=True)
        head, _ = melting_says(found, NOW_S, held)
        assert isinstance(head, Said)
        said.add(head.template)
        hottest_c = celsius + age * 8.0 / 60
        if MELT_CLAIMS[head.template] == MELTED:
            assert hottest_c >= AIM_C - 1e-6, f"{head} beside {celsius} °C, {age} s old"
        else:
            assert celsius < AIM_C, f"{head} beside {celsius} °C"
    assert said == set(MELT_CLAIMS)


def test_a_reading_older_than_the_jug_needs_leaves_the_forecast_alone() -> None:
    opens = crossing(OPENS_C, -30.0, 15.0)
    # 66 °C needs 40 s to 64 °C at 3 K a minute: by hand
    young = settled(opens, OPENS_C, Reading(NOW_S - 39, 66.0), FASTEST_K_MIN / 60)
    assert young.crossing.median_s == pytest.approx(NOW_S + 1)
    assert young.by_reading
    old = settled(opens, OPENS_C, Reading(NOW_S - 400, 66.0), FASTEST_K_MIN / 60)
    assert old.crossing == opens
    assert not old.by_reading


def test_a_knee_that_was_seen_says_why_the_window_is_over_above_the_reckoned_floor() -> None:
    """Set point reckoned at 55, seen at 60: a reading of 59.4 lies over the reckoned floor of 58, and it sets."""
    floor = Crossing(63.0, NOW_S - 200, NOW_S - 260, NOW_S - 150)
    found = foretold(crossing(OPENS_C, -300.0, 15.0), floor, found=True)
    newest = Reading(NOW_S - 5, 59.4)
    head, remarks = cooling_says(
        found, window_of(found, found.crossings[0], newest, FLOOR_C), NOW_S, plain=False
    )
    assert head.startswith("It has begun to set near 60.0 °C, warmer than was reckoned")
    assert found.bends in remarks
    # and a reading well above it takes even that back
    warm = Reading(NOW_S - 5, 70.0)
    head, remarks = cooling_says(
        found, window_of(found, found.crossings[0], warm, FLOOR_C), NOW_S, plain=False
    )
    assert "cool enough in" in head
    assert found.bends not in remarks


def ahead_of(bench: Bench) -> Ahead:
    question = question_of(bench.state, TABLES)
    assert question is not None
    return answer(question, TABLES)


def test_a_reading_the_solver_does_not_know_of_yet_wins() -> None:
    bench = cooling((5, 85.0), (60, 82.6), (60, 80.3), (60, 78.2))
    ahead = ahead_of(bench)
    bench.wait(900)
    assert ahead.says(bench.now_s)[0].startswith("Should be cool enough now")
    bench.do(ask.ReadTemperature("cool", 77.5, "77.5", True, sure=True))  # under a lid all the while
    newest = newest_of(bench.state)
    assert newest is not None
    head, _ = ahead.says(bench.now_s, newest)
    assert head.startswith("The last reading was 77.5 °C: cool enough in")
    opens_s = ahead.opens_in_s(bench.now_s, newest)
    assert opens_s is not None
    assert opens_s > 60
    # and one below the limit is not told to wait, whatever was reckoned
    late = cooling((5, 85.0), (60, 84.9), (60, 84.8))
    ahead = ahead_of(late)
    assert "Cool enough in" in ahead.says(late.now_s)[0]
    late.wait(60)
    late.do(ask.ReadTemperature("cool", 70.0, "70", True, sure=True))
    assert "cool enough" in ahead.says(late.now_s, newest_of(late.state))[0]
    assert not ahead.says(late.now_s, newest_of(late.state))[0].startswith("Cool enough in")
    assert ahead.opens_in_s(late.now_s, newest_of(late.state)) == 0.0


def test_the_fastest_cooling_lies_above_the_expected_one_and_within_what_a_jug_does() -> None:
    bench = cooling((5, 85.0), (60, 82.6), (60, 80.3), (60, 78.2))
    cool = ahead_of(bench).cool
    assert cool is not None
    # 0.75 to 2.7 K a minute at the limit, hotter a little more, were simulated for jugs of 20 to 500 g
    assert -cool.rate_k_min < cool.fastest_k_min < 3 * -cool.rate_k_min


def test_readings_from_before_the_jug_cooled_say_nothing_of_it_now() -> None:
    assert newest_of(Bench.at("melt:bath").state) is None
    bench = Bench.at("cool")
    assert newest_of(bench.state) is None  # what was read was read on the heat
    bench.read(80.0)
    found = newest_of(bench.state)
    assert found is not None
    assert found.celsius == 80.0
    assert newest_of(Bench.at("set").state) is None
