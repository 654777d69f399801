"""Causes of faults by what the record shows: the table, its evidence one by one, and their order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.core.batch.bench import Bench
from tests.core.review.batches import FIRST, led
from workbench.core.batch.state import Aside, SessionState
from workbench.core.batch.steps import Guard
from workbench.core.catalogue.model import Confidence
from workbench.core.catalogue.shelf import Lot
from workbench.core.review.evidence import EVIDENCE, Case, Finding
from workbench.core.review.faults import (
    FaultKind,
    FaultSeen,
    FaultsSeen,
    Standing,
    changes_asked_for,
    judge,
    parse_faults,
)
from workbench.core.review.keeping import body_of, read_kept
from workbench.core.review.wear import WearTest, WearTests
from workbench.core.trouble import Trouble
from workbench.store.resources import resource_bytes
from workbench.store.review_tables import load_faults
from workbench.testing import sample_catalogue


def case(state: SessionState) -> Case:
    return Case(state, sample_catalogue())


def shown(name: str, state: SessionState) -> Finding:
    return EVIDENCE[name](case(state))


# --- the table ---


def test_the_table_has_every_fault_and_every_row_its_source() -> None:
    table = load_faults()
    assert {each.key for each in table.fault} == set(FaultKind)
    for each in table.fault:
        assert each.source
        for cause in each.cause:
            assert cause.source
            if "no source" in cause.source:
                assert cause.confidence is Confidence.MEMORY, (each.key, cause.key)
    used = {cause.evidence for each in table.fault for cause in each.cause} - {""}
    assert used == set(EVIDENCE)  # no evidence that nobody asks for


def test_a_reaction_of_the_skin_says_what_dermatologists_say() -> None:
    """Stop, wash, a doctor when it is severe, an ambulance for face and breath (patients' pages of allergists:
    neaai.com, bestdermatologistnear.me); tell the others, keep a tin.  And it is called no diagnosis."""
    row = load_faults().of(FaultKind.SKIN_REACTION)
    for words in ("Stop using", "wash", "medical advice", "breathing", "Tell everybody", "Keep one tin"):
        assert words in row.now
    assert "no diagnosis" in judge(FaultKind.SKIN_REACTION, case(led()), load_faults()).caution


def test_what_is_wrong_with_the_table_is_said_all_at_once() -> None:
    good = resource_bytes("faults.toml").decode()
    first = good.index("[[fault]]")
    second = good.index("[[fault]]", first + 5)
    doubled = good + good[first:second].replace('evidence = "poured_cold"', 'evidence = "poured_green"')
    with pytest.raises(Trouble) as caught:
        parse_faults("faults.toml", doubled.encode())
    said = str(caught.value)
    assert "This fault stands twice" in said
    assert "“poured_green” is no evidence" in said
    with pytest.raises(Trouble, match="This fault is missing"):
        parse_faults("faults.toml", good[: good.index('[[fault]]\nkey = "skin_reaction"')].encode())
    twice = good.replace('key = "cooled_slowly"', 'key = "butter_hot_long"', 1)
    with pytest.raises(Trouble, match="This cause stands twice"):
        parse_faults("faults.toml", twice.encode())


# --- the record speaks ---


def readings(state: SessionState, *pairs: tuple[float, float]) -> SessionState:
    """The same session with another curve, its first reading's time being pair 0's."""
    log = type(state.readings)(
        replace(state.readings[0], seq=10_000 + n, at_s=at_s, raw_c=celsius, celsius=celsius)
        for n, (at_s, celsius) in enumerate(pairs)
    )
    return replace(state, readings=log)


def test_butter_held_hot_is_counted_straight_between_readings() -> None:
    """25 min above 60 °C by hand: 5 min up from 60, 15 at 70, 5 down to 60."""
    curve = ((0, 50.0), (300, 60.0), (600, 70.0), (1500, 70.0), (1800, 60.0), (2100, 50.0))
    found = shown("butter_hot_long", readings(led(), *curve))
    assert str(found.shows) == "Shea butter: held above 60 °C for 25 min."
    assert found.score is not None
    assert found.score == pytest.approx((1500 - 600) / 1200)
    crossing = shown("butter_hot_long", readings(led(), (0, 50.0), (600, 70.0)))
    assert "for 5 min" in str(crossing.shows)


def test_readings_far_apart_say_nothing_of_what_lay_between() -> None:
    found = shown("butter_hot_long", readings(led(), (0, 70.0), (4000, 70.0)))
    assert found == Finding()
    assert str(found.shows) == "The record says nothing about it."


def test_poured_cold_makes_frosting_and_grain_its_likeliest_cause() -> None:
    """Set point of 20/20/60 beeswax, shea and jojoba: about 49 °C; poured just above it."""
    state = led(cool_to_c=50.5, cooling_k_s=0.9 / 60)
    found = shown("poured_cold", state)
    assert found.score is not None
    assert found.score > 0.6
    assert "above its set point of" in str(found.shows)
    judged = judge(FaultKind.GRAIN, case(state), load_faults())
    assert judged.causes[0].standing is Standing.SPEAKS_FOR
    assert "poured_cold" in [each.cause.key for each in judged.causes[:2]]
    assert shown("poured_hot", state).score == 0.0


def test_below_the_set_point_is_said_so() -> None:
    state = replace(led(), set_point_seen_c=70.0)
    assert "below its set point" in str(shown("poured_cold", state).shows)


def test_how_fast_the_jug_cooled() -> None:
    slow, fast = led(cooling_k_s=0.4 / 60, cool_to_c=54.0), led(cooling_k_s=4.5 / 60, cool_to_c=54.0)
    assert (shown("cooled_slowly", slow).score or 0) > 0.6
    assert shown("cooled_fast", slow).score == 0.0
    assert shown("cooled_slowly", fast).score == 0.0
    assert judge(FaultKind.GRAIN, case(slow), load_faults()).causes[0].cause.key == "cooled_slowly"
    assert judge(FaultKind.CRACKS, case(led()), load_faults()).likeliest is None


def test_wax_by_what_was_weighed() -> None:
    soft, hard = led(weigh=(("beeswax", 4.0),)), led(weigh=(("beeswax", 30.0),))
    for name in ("wax_low", "less_wax_than_planned"):
        assert (shown(name, soft).score or 0) > 0.4, name
        assert shown(name, hard).score == 0.0
    for name in ("wax_high", "more_wax_than_planned"):
        assert (shown(name, hard).score or 0) > 0.6, name
        assert shown(name, soft).score == 0.0
    assert judge(FaultKind.TOO_SOFT, case(soft), load_faults()).causes[0].cause.key in (
        "wax_low",
        "less_wax_than_planned",
    )
    assert judge(FaultKind.TOO_HARD, case(hard), load_faults()).likeliest is not None


def test_the_spoon_is_believed() -> None:
    assert shown("spoon_soft", led(spoon="soft")).score == 1.0
    mended = shown("spoon_soft", led(spoon="soft", add=("beeswax", 2.0)))
    assert mended.score == 0.3
    assert str(mended.shows) == "The cold spoon was “soft” at first and “firm” in the end."
    assert shown("spoon_soft", led()).score == 0.0
    assert shown("spoon_hard", led(spoon="hard")).score == 1.0


def test_fragrance_by_its_load_and_beside_the_plan() -> None:
    little = led(weigh=(("cedarwood_virginia", 0.4), ("lavender", 0.3)))
    assert (shown("load_low", little).score or 0) > 0.9
    assert shown("less_scent_than_planned", little).score == 1.0
    assert judge(FaultKind.WEAK_SCENT, case(little), load_faults()).causes[0].cause.key == "load_low"
    much = led(weigh=(("cedarwood_virginia", 6.0), ("lavender", 4.0)))
    assert (shown("load_high", much).score or 0) > 0.9
    assert shown("more_scent_than_planned", much).score == 1.0
    assert shown("top_notes", led()).score == 0.0
    assert shown("top_notes", led(scented=False)) == Finding()


def test_added_hot_against_the_top_of_the_window() -> None:
    state = led()
    limits = state.temperatures.model_copy(update={"add_below_c": 55.0})
    hot = shown("added_hot", replace(state, temperatures=limits))
    assert (hot.score or 0) > 0.5
    assert "above the top of its window" in str(hot.shows)
    aside = Aside(1, Guard.FLASH_SAFE, "add", "no flame", (), 0.0, FIRST)
    assert shown("added_hot", replace(state, asides=(aside,))).score == 0.7
    assert shown("added_hot", state).score == 0.0
    assert shown("added_hot", led(scented=False)) == Finding()


def test_standing_scented_takes_time() -> None:
    assert (shown("stood_scented", led()).score or 0) < 0.1
    state = led()
    assert state.scented_at_s is not None
    late = replace(state, scented_at_s=state.scented_at_s - 3000.0)
    assert shown("stood_scented", late).score == 1.0


def test_what_did_not_happen_speaks_against() -> None:
    state = led()
    for name in ("not_melted_out", "warmed_again", "moved_early", "unknown_contents"):
        assert shown(name, state).score == pytest.approx(0.0, abs=0.01), name
    assert shown("butter_hot_long", readings(state, (0, 20.0), (60, 30.0))).score == 0.0


def test_a_dip_as_large_as_it_must_be_is_the_blends_own_doing() -> None:
    found = shown("shrinks_so_much", led())
    assert found.score == 1.0
    assert "must be expected" in str(found.shows)
    assert shown("shrinks_so_much", led(scented=False)).score is not None
    away = Case(
        led(), replace(sample_catalogue(), shelf=sample_catalogue().shelf.model_copy(update={"tins": ()}))
    )
    assert EVIDENCE["shrinks_so_much"](away) == Finding()


def test_worn_too_soon() -> None:
    state = led()
    assert state.ended_wall is not None
    for hours, score in ((2, 1.0), (30, pytest.approx(0.5)), (72, 0.0)):
        test = WearTest(number=1, dabbed=state.ended_wall + timedelta(hours=hours))
        worn = Case(state, sample_catalogue(), WearTests(session="s1", tests=(test,)))
        assert EVIDENCE["worn_at_once"](worn).score == score
    assert shown("worn_at_once", state) == Finding()


def test_old_bottles_and_bottles_past_their_date() -> None:
    state = led()
    oil = next(each for each in state.entries if each.material == "lavender")
    used = replace(state, entries=type(state.entries)([replace(oil, lot="l1")]))
    assert state.started_wall is not None
    day = state.started_wall.date()

    def at(**dates: date) -> Finding:
        shelf = sample_catalogue().shelf.model_copy(
            update={"lots": (Lot(key="l1", material="lavender", **dates),)}
        )
        return EVIDENCE["old_oil"](Case(used, replace(sample_catalogue(), shelf=shelf)))

    assert at(opened=day - timedelta(days=30)).score == 0.0
    assert (at(opened=day - timedelta(days=600)).score or 0) > 0.7
    stale = at(best_before=day - timedelta(days=3))
    assert stale.score == 0.9
    assert "after its date" in str(stale.shows)
    assert at(best_before=day).score == 0.0
    assert at() == Finding()


def test_allergens_are_named_as_the_law_names_them() -> None:
    """Lavender oil holds linalool (ISO 3515: 25 to 38 %), which Annex III wants named."""
    found = shown("known_allergens", led())
    assert found.score == 0.7
    assert "Linalool" in str(found.shows)
    assert shown("known_allergens", led(scented=False)).score == 0.0
    assert shown("over_a_limit", led()).score == 0.0


def test_what_cannot_be_judged_is_not_taken_for_within_its_limits() -> None:
    tables = sample_catalogue()
    bare = tables.materials["lavender"].model_copy(update={"composition": ()})
    unknown = Case(led(), replace(tables, materials={**tables.materials, "lavender": bare}))
    found = EVIDENCE["over_a_limit"](unknown)
    assert found.score is None  # neither for nor against
    assert "not all of it can be judged" in found.shows


def test_a_material_that_has_left_the_shelf_does_not_stop_it() -> None:
    tables = sample_catalogue()
    fewer = {key: each for key, each in tables.materials.items() if key != "shea_butter"}
    gone = Case(led(), replace(tables, materials=fewer))
    for name, evidence in EVIDENCE.items():
        assert evidence(gone).shows, name


def test_a_batch_given_up_at_once_makes_every_evidence_silent_or_against() -> None:
    state = Bench.at("weigh:beeswax").state
    for name, evidence in EVIDENCE.items():
        found = evidence(case(state))
        assert found.score is None or found.score <= 0.3, name


# --- order, and what is kept ---


def test_what_the_record_speaks_for_comes_first_and_against_last() -> None:
    for kind in FaultKind:
        judged = judge(kind, case(led(cooling_k_s=0.4 / 60, cool_to_c=54.0)), load_faults())
        ranks = [
            {Standing.SPEAKS_FOR: 0, Standing.SPEAKS_AGAINST: 2}.get(each.standing, 1)
            for each in judged.causes
        ]
        assert ranks == sorted(ranks)
        assert len(judged.causes) == len(judged.definition.cause)
        assert all(str(each.shows).endswith(".") for each in judged.causes)


def test_changes_of_several_faults_the_weightiest_first() -> None:
    here = case(led(weigh=(("beeswax", 4.0),), spoon="soft"))
    asked = changes_asked_for(
        [judge(kind, here, load_faults()) for kind in (FaultKind.SWEAT, FaultKind.TOO_SOFT)]
    )
    assert {each.cause.key for each in asked} >= {"spoon_soft", "less_wax_than_planned"}
    assert asked[0].standing is Standing.SPEAKS_FOR


def test_faults_are_kept_beside_the_batch_and_found_again() -> None:
    seen = FaultsSeen(session="s1", batch_code="E-1").put(
        FaultSeen(kind=FaultKind.GRAIN, noted=FIRST, words="like sand")
    )
    seen = seen.put(FaultSeen(kind=FaultKind.SWEAT, noted=FIRST))
    seen = seen.put(FaultSeen(kind=FaultKind.GRAIN, noted=FIRST, cause="poured_cold"))
    assert seen.kinds == ("sweat", "grain")
    assert seen.without(FaultKind.SWEAT).kinds == ("grain",)
    again = read_kept(FaultsSeen, body_of(seen))
    assert again == seen
    assert body_of(seen)["faults"] == [
        {"kind": "sweat", "noted": "2026-01-05T09:00:00+01:00", "cause": "", "words": ""},
        {"kind": "grain", "noted": "2026-01-05T09:00:00+01:00", "cause": "poured_cold", "words": ""},
    ]
