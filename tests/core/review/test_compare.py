"""Batches side by side: what differs is what the scales could show, by sums made by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.core.batch.bench import Bench
from tests.core.review.batches import FIRST, led
from workbench.core.batch.record import record
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.model import Note
from workbench.core.review.compare import Comparison, Side, Unit, compare
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.trouble import Trouble


def side(name: str, state: SessionState, wear: WearTests | None = None) -> Side:
    return Side(name, name, state, record(state), wear)


def pair(state: SessionState, other: SessionState) -> Comparison:
    return compare([side("s1", state), side("s2", other)])


def test_two_alike_differ_in_nothing_that_was_weighed() -> None:
    found = pair(led(), led())
    assert found.same_composition
    assert not any(each.marked for each in found.amounts)
    assert not any(each.marked for each in (*found.times, *found.results))
    assert str(found.says[0]) == "By the scales, all of them were made of the same, in the same shares."
    assert len(found.says) == 1


def test_a_difference_counts_from_one_digit_of_the_scale_on() -> None:
    """Sample scales show 0.01 g: 8.08 g for 8.07 g lies within what a digit can be, 8.09 g does not.

    A reading of 0.01 g stands for anything within half a digit either way (OIML R 76, rounding error),
    so two readings one digit apart may be the same mass.
    """
    plain = led()
    line = next(each for each in record(plain).lines if each.material == "beeswax")
    assert line.made_g == pytest.approx(8.07)
    for mass_g, marked in ((8.08, False), (8.09, True)):
        row = next(
            each
            for each in pair(plain, led(weigh=(("beeswax", mass_g),))).amounts
            if each.material == "beeswax"
        ).made
        assert row.cells[1].marked is marked, mass_g
    differs = row.cells[1].differs
    assert differs is not None
    assert differs.absolute == pytest.approx(0.02)
    assert differs.percent == pytest.approx(100 * 0.02 / 8.07)
    assert row.cells[0].differs is None


def test_shares_are_of_what_was_made_and_the_greatest_difference_is_said() -> None:
    more = led(add=("beeswax", 2.0))
    found = pair(led(), more)
    grams = {line.material: line.made_g or 0.0 for line in record(more).lines}
    for each in found.amounts:
        assert each.share.cells[1].value == pytest.approx(100 * grams[each.material] / sum(grams.values()))
        assert each.planned.cells[0].value == each.planned.cells[1].value
    assert not found.same_composition
    assert str(found.says[0]).startswith("Beeswax differs most: ")


def test_what_was_never_weighed_is_not_called_the_same() -> None:
    given_up = Bench.at("weigh:shea_butter").state
    found = pair(Bench.at("weigh:jojoba").state, given_up)
    assert not found.same_composition
    row = next(each for each in found.amounts if each.material == "shea_butter")
    assert row.made.cells[1].value is None
    assert row.made.cells[1].differs is None


def test_a_material_that_only_one_has_is_none_of_the_other() -> None:
    found = pair(led(scented=False), led())
    row = next(each for each in found.amounts if each.material == "lavender")
    assert row.made.cells[0].value == 0.0
    assert row.made.cells[1].marked
    differs = row.made.cells[1].differs
    assert differs is not None
    assert differs.percent is None  # nothing to be a per cent of


def test_curves_lie_on_each_other_at_the_start_of_a_step() -> None:
    slow = led(cooling_k_s=0.5 / 60)
    found = pair(led(), slow)
    poured = found.alignment("pour")
    assert poured is not None
    for curve, offset_s, state in zip(found.curves, poured.offsets_s, (led(), slow), strict=True):
        begun = next(each.begun_at_s for each in state.steps if each.step.kind is StepKind.POUR)
        assert offset_s == begun
        shifted = dict(curve.shifted(begun or 0.0))
        first = next(each for each in state.readings if each.step == "pour:1")
        assert shifted[first.at_s - (begun or 0.0)] == first.celsius
    assert len(curve.points) == len(slow.readings)
    start = found.alignment("")
    assert start is not None
    assert start.offsets_s == (0.0, 0.0)
    assert found.alignment("mend") is None  # neither came to it
    kinds = [each.kind for each in found.alignments]
    assert kinds.index("weigh") < kinds.index("melt in the water bath") < kinds.index("pour")


def test_a_step_that_one_never_came_to_has_no_place() -> None:
    found = compare([side("s1", led()), side("s2", led(scented=False)), side("s3", led())])
    added = found.alignment("add fragrance")
    assert added is not None
    assert added.offsets_s[1] is None
    assert added.offsets_s[0] is not None


def test_times_temperatures_and_what_is_said_of_them() -> None:
    cold = led(cool_to_c=53.0, cooling_k_s=0.8 / 60)
    found = pair(led(), cold)
    cool = next(each for each in found.times if each.key == StepKind.ADD_FRAGRANCE.value)
    assert cool.unit is Unit.SECONDS
    assert cool.cells[1].marked
    by_key = {each.key: each for each in found.results}
    assert by_key["addition"].cells[1].marked
    apart = (by_key["pour"].cells[0].value or 0.0) - (by_key["pour"].cells[1].value or 0.0)
    assert apart > 3
    assert any(each.startswith("“s2” was poured ") and "cooler" in each for each in found.says)
    assert by_key["yield"].cells[0].value == pytest.approx(record(led()).yields.percent)
    assert by_key["sink"].cells[0].value == 0.5
    assert by_key["sink"].unit is Unit.MILLIMETRES


def wear(*marks: Mark) -> WearTests:
    return WearTests(session="s1", tests=(WearTest(number=1, dabbed=FIRST + timedelta(days=9), marks=marks),))


def test_marks_stand_beside_each_other_where_there_are_any() -> None:
    first = side("s1", led(), wear(Mark(after_min=0, top=8), Mark(after_min=60, overall=4)))
    second = side("s2", led(), wear(Mark(after_min=0, top=5)))
    found = compare([first, second, side("s3", led())])
    top, overall = found.marks
    assert (top.note, top.after_min) == (Note.TOP, 0)
    assert [cell.value for cell in top.cells] == [8.0, 5.0, None]
    assert top.cells[1].marked
    assert top.wearers == (1, 1, 0)
    assert overall.note is None


@pytest.mark.parametrize("count", [0, 1, 7])
def test_fewer_than_two_and_more_than_six_are_refused(count: int) -> None:
    with pytest.raises(Trouble, match="Choose 2 to 6 batches"):
        compare([side(f"s{n}", led()) for n in range(count)])


def test_the_same_batch_twice_is_refused() -> None:
    with pytest.raises(Trouble, match="held against itself"):
        compare([side("s1", led()), side("s1", led())])
