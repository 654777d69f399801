"""Alarms as data: what raises and returns each, delays, deadbands, and coming back when ignored."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.alarms import AlarmDefinition, Priority, Watched, parse_alarms
from workbench.core.batch.state import AlarmStatus
from workbench.core.batch.steps import Guard
from workbench.core.batch.watching import armed
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.store.resources import resource_bytes
from workbench.testing import sample_plan, sample_rules


def table() -> dict[str, AlarmDefinition]:
    return {row.key: row for row in parse_alarms("alarms.toml", resource_bytes("alarms.toml"))}


def alarms(bench: Bench) -> dict[str, AlarmStatus]:
    return {key: alarm.status for key, alarm in bench.state.alarms.items()}


# --- the table ---


def test_every_alarm_says_cause_consequence_and_what_to_do() -> None:
    """ISA-18.2: an alarm needs an answer; its rationalisation is written down."""
    for row in table().values():
        assert row.cause.endswith(".")
        assert row.consequence.endswith(".")
        assert row.what_to_do.endswith(".")
        assert row.armed
        assert row.time_allowed_s
    assert {row.watches for row in table().values()} == set(Watched)


def test_overheating_has_no_delay() -> None:
    for key in ("over_limit", "over_melt_ceiling", "limit_ahead"):
        assert table()[key].on_delay_s == 0


@pytest.mark.parametrize("heat", list(Heat))
def test_at_most_one_alarm_of_high_priority_per_hot_step(heat: Heat) -> None:
    for step in sample_plan(heat=heat).steps:
        if not step.hot:
            continue
        high = [
            row.key for row in table().values() if row.priority is Priority.HIGH and set(row.armed) <= {"hot"}
        ]
        assert len(high) == 1
    assert [row.key for row in table().values() if row.priority is Priority.HIGH] == ["over_limit"]


def test_a_spoilt_table_says_everything_that_is_wrong() -> None:
    good = resource_bytes("alarms.toml").decode()
    spoilt = good.replace('armed = ["pouring"]', 'armed = ["puring"]').replace(
        'key = "burst_over"', 'key = "over_limit"'
    )
    with pytest.raises(Trouble) as raised:
        parse_alarms("alarms.toml", spoilt.encode())
    assert {fault.place for fault in raised.value.faults} == {
        "alarms.toml, under_pour_floor",
        "alarms.toml, over_limit",
    }
    with pytest.raises(Trouble, match="not readable"):
        parse_alarms("alarms.toml", b"[[alarm")


# --- each of them ---


def test_over_the_limit_until_a_degree_below_it() -> None:
    bench = Bench.at("melt:bath").with_temperatures(melt_ceiling_c=95.0)
    bench.read(95.0)
    assert alarms(bench) == {"over_limit": AlarmStatus.UNACKNOWLEDGED}
    alarm = bench.state.alarms["over_limit"]
    assert (alarm.value, alarm.limit) == (95.0, 95.0)
    bench.do(ask.ConfirmSafe())
    bench.read(94.5)  # within the deadband of 1 K
    assert alarms(bench) == {"over_limit": AlarmStatus.UNACKNOWLEDGED}
    bench.read(93.9)
    assert alarms(bench) == {"over_limit": AlarmStatus.RETURNED}
    bench.do(ask.Acknowledge("over_limit"))
    assert alarms(bench) == {}


def test_acknowledging_is_not_mending_and_an_ignored_alarm_comes_back() -> None:
    bench = Bench.at("melt:bath").with_temperatures(melt_ceiling_c=95.0)
    bench.read(96.0)
    bench.do(ask.Acknowledge("over_limit"))
    assert alarms(bench) == {"over_limit": AlarmStatus.ACKNOWLEDGED}
    bench.refused(ask.Acknowledge("over_limit"))
    assert "alarm raised" not in bench.wait(59.0)
    assert "alarm raised" in bench.wait(1.0)
    assert alarms(bench) == {"over_limit": AlarmStatus.UNACKNOWLEDGED}


def test_one_cause_one_alarm() -> None:
    bench = Bench.at("melt:bath")
    bench.read(96.0)
    assert set(alarms(bench)) == {"over_limit"}


def test_over_the_melt_ceiling_and_silent_when_that_is_set_aside() -> None:
    bench = Bench.at("melt:bath")
    bench.read(74.0)
    assert set(alarms(bench)) == {"over_melt_ceiling"}
    assert "alarm returned" in bench.kinds(ask.SetAside("melt:bath", Guard.MELT_CEILING, "needs it"))


def test_warming_fast_warns_ahead() -> None:
    bench = Bench.at("melt:bath")
    bench.read(60.0)
    bench.wait(30.0)
    assert "alarm raised" in bench.read(68.0)  # 16 K/min, 5.8 K to go: 22 s
    alarm = bench.state.alarms["limit_ahead"]
    assert alarm.value == pytest.approx((73.8 - 68.0) / (8.0 / 30.0))
    bench.wait(30.0)
    assert "alarm returned" in bench.read(67.0)


def test_the_limit_comes_nearer_also_while_nobody_reads() -> None:
    bench = Bench.at("melt:bath")
    bench.read(60.0)
    bench.wait(60.0)
    bench.read(68.0)  # 8 K/min, 5.8 K to go: 43.5 s
    assert set(alarms(bench)) == {"limit_ahead"}
    bench = Bench.at("melt:bath")
    bench.read(60.0)
    bench.wait(60.0)
    bench.read(66.0)  # 6 K/min, 7.8 K to go: 78 s, and the next reading is due in 60
    assert bench.wait(17.0) == []
    assert bench.wait(2.0) == ["alarm raised"]
    assert set(alarms(bench)) == {"limit_ahead"}
    bench.do(ask.Hold("out of the bath"))
    bench.do(ask.ConfirmSafe())
    bench.do(ask.Acknowledge("limit_ahead"))
    assert bench.wait(300.0) == []  # off the heat nothing comes nearer


def test_slow_warming_does_not() -> None:
    bench = Bench.at("melt:bath")
    bench.read(60.0)
    bench.wait(60.0)
    assert "alarm raised" not in bench.read(64.0)


def test_an_overdue_reading_is_asked_for_until_it_comes() -> None:
    bench = Bench.at("melt:bath")
    bench.read(70.0)
    bench.wait(60.0)
    assert bench.wait(15.0) == []
    assert bench.wait(1.0) == ["alarm raised"]
    assert set(alarms(bench)) == {"reading_overdue"}
    assert "alarm returned" in bench.read(71.0)


def test_a_burst_that_runs_on() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bench.do(ask.StartBurst(bench.step, 5.0))
    assert bench.wait(7.9) == []
    assert bench.wait(0.2) == ["alarm raised"]
    assert set(alarms(bench)) == {"burst_over"}
    assert "alarm returned" in bench.kinds(ask.EndBurst(bench.step))


def test_under_the_pour_floor() -> None:
    bench = Bench.at("pour:1")
    bench.read(51.7)
    assert set(alarms(bench)) == {"under_pour_floor"}
    assert "alarm returned" in bench.kinds(ask.SetAside("pour:1", Guard.POUR_FLOOR, "last one"))


def test_the_window_closes_before_the_fragrance_is_in() -> None:
    bench = Bench.at("cool")
    bench.read(60.0)
    bench.wait(60.0)
    assert bench.read(58.0) == ["temperature read"]  # 3.1 min to the floor at 2 K/min
    assert bench.wait(60.0) == []
    assert bench.wait(10.0) == ["alarm raised"]
    assert set(alarms(bench)) == {"window_closing"}
    # a jug that warms again, in the bath, has time
    bench.wait(30.0)
    assert "alarm returned" in bench.read(62.0)


def test_a_balm_without_fragrance_is_not_asked_for_any() -> None:
    bench = Bench.at("cool", scented=False)
    floor_c = bench.state.temperatures.pour_floor_c
    assert floor_c is not None
    bench.read(floor_c + 6.0)
    bench.wait(60.0)
    bench.read(floor_c + 3.0)  # 3 K/min: a minute to the floor
    assert set(alarms(bench)) == {"setting_soon"}
    row = table()["setting_soon"]
    assert "fragrance" not in f"{row.bench} {row.cause} {row.what_to_do}"


def test_the_bath_water_is_looked_at_every_twenty_minutes() -> None:
    bench = Bench.at("melt:bath")
    bench.read(40.0)
    bench.do(ask.Answer("melt:bath", "bath", "high enough"))
    for _ in range(11):
        bench.wait(100.0)
        bench.read(40.0)
    assert "bath_unchecked" not in alarms(bench)
    bench.wait(100.0)
    assert "bath_unchecked" in alarms(bench)
    assert "alarm returned" in bench.kinds(ask.Answer("melt:bath", "bath", "topped up"))


def test_what_is_not_armed_any_more_returns() -> None:
    bench = Bench.at("pour:1")
    bench.read(51.0)
    assert set(alarms(bench)) == {"under_pour_floor"}
    bench.do(ask.GoBackToBath("pour:1", "too cool"))
    assert alarms(bench) == {"under_pour_floor": AlarmStatus.RETURNED}


def test_nothing_is_armed_without_a_step() -> None:
    bench = Bench.at("cool")
    bench.do(ask.EndBatch("enough"))
    assert not any(armed(bench.state, row) for row in table().values())
    assert alarms(bench) == {}


# --- delays ---


def test_delays_count_from_the_first_reading_that_agrees() -> None:
    slow = table()["under_pour_floor"].model_copy(update={"on_delay_s": 30.0, "off_delay_s": 20.0})
    bench = Bench.at("pour:1")
    bench.rules = replace(bench.rules, alarms=(slow,))
    assert bench.read(51.0) == ["temperature read"]
    bench.wait(20.0)
    assert bench.read(50.8) == ["temperature read"]
    assert bench.wait(9.0) == []
    assert bench.wait(2.0) == ["alarm raised"]
    assert bench.read(53.0) == ["temperature read"]
    assert bench.wait(19.0) == []
    assert bench.wait(2.0) == ["alarm returned"]


def test_the_rules_find_an_alarm_by_its_key() -> None:
    assert sample_rules().alarm("over_limit") == table()["over_limit"]
    assert sample_rules().alarm("nothing") is None
