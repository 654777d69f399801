from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import FINE_SCALE, kitchen, scent, simple
from workbench.core.recipe.amounts import Weighed, work_out
from workbench.core.recipe.corrections import accept, as_made, grow, weigh_again
from workbench.core.recipe.model import BatchSize, TinCount
from workbench.core.trouble import Trouble

# 19 g each of beeswax, shea and jojoba, 2.25 g lavender, 0.75 g lemon, to 0.01 g
PLAN = work_out(simple(), kitchen())


def test_as_made_takes_what_was_weighed_and_the_plan_for_the_rest() -> None:
    made = as_made(PLAN, {"beeswax": 20.9, "lemon": 0.0, "almond": 2.0})
    assert made.as_dict() == pytest.approx(
        {"beeswax": 20.9, "shea": 19.0, "jojoba": 19.0, "lavender": 2.25, "almond": 2.0}
    )


def test_growing_keeps_the_proportions() -> None:
    # a tenth too much wax: everything else a tenth up, 60 g become 66 g
    growth = grow(PLAN, {"beeswax": 20.9, "shea": 19.0})
    assert growth.factor == pytest.approx(1.1)
    assert growth.batch_g == pytest.approx(66.0)
    assert growth.leading == "Beeswax"
    assert growth.masses_g == pytest.approx(
        {"beeswax": 20.9, "shea": 20.9, "jojoba": 20.9, "lavender": 2.48, "lemon": 0.83}, abs=0.006
    )
    assert [line.says for line in growth.lines] == [
        "Beeswax stays as it is.",
        "Add 1.90 g more of Shea.",
        "Weigh 20.90 g of Jojoba.",
        "Weigh 2.48 g of Lavender.",
        "Weigh 0.83 g of Lemon.",
    ]
    assert (growth.surplus_g, growth.fits) == (0.0, True)  # a plain mass has no tins to overflow
    assert growth.says == "With Beeswax as weighed, the batch grows to 66.0 g."


def test_the_worst_slip_leads() -> None:
    growth = grow(PLAN, {"beeswax": 20.9, "lemon": 0.9})
    assert growth.leading == "Lemon"
    assert growth.factor == pytest.approx(1.2)
    beeswax = growth.lines[0]
    assert (beeswax.now_g, beeswax.target_g, beeswax.change_g) == pytest.approx((20.9, 22.8, 1.9))


def test_what_the_scale_cannot_tell_is_no_slip() -> None:
    growth = grow(PLAN, {"beeswax": 19.005, "lavender": 2.2})
    assert growth.factor == 1.0
    assert growth.leading == ""
    assert "stays at 60.0 g" in growth.says
    lavender = growth.lines[3]
    assert lavender.says == "Add 0.05 g more of Lavender."


@pytest.mark.parametrize(
    ("beeswax", "fits", "words"),
    [(1.005, True, "the tins still hold it"), (1.1, False, "have a spare tin ready")],
)
def test_whether_the_tins_still_hold_it(beeswax: float, fits: bool, words: str) -> None:
    planned = work_out(simple(size=BatchSize(tins=(TinCount(tin="jar", count=4),))), kitchen())
    growth = grow(planned, {"beeswax": planned.lines[0].exact_g * beeswax})
    assert growth.fits is fits
    assert words in growth.says
    held = 4 * planned.tins[0].fill_g
    assert growth.surplus_g == pytest.approx(planned.batch_g * (beeswax - 1))
    assert growth.batch_g - growth.surplus_g - planned.jug_allowance_g == pytest.approx(held)


def test_a_line_that_should_not_be_there_cannot_lead() -> None:
    planned = work_out(simple(scent=(scent("lavender", 1), scent("lemon", 0))), kitchen())
    with pytest.raises(Trouble, match="Lemon is not in this recipe"):
        grow(planned, {"lemon": 1.0})


def test_weights_that_cannot_be_are_refused() -> None:
    for ask in (as_made, grow, accept, weigh_again):
        with pytest.raises(Trouble, match="cannot be right") as trouble:
            ask(PLAN, {"beeswax": -1.0, "shea": float("nan"), "almond": 1.0})
        assert [fault.place for fault in trouble.value.faults] == ["Beeswax", "Shea"]


def test_accepting_tells_what_it_did() -> None:
    taken = accept(PLAN, {"beeswax": 20.9, "lavender": 1.8, "shea": 19.0})
    assert taken.batch_g == pytest.approx(61.45)
    assert taken.load_percent == pytest.approx(100 * 2.55 / 61.45)
    assert taken.says == (
        "Beeswax is 10.0 % over its plan; it now makes up 34.01 % of the balm.",
        "Lavender is 20.0 % under its plan; it now makes up 2.93 % of the balm.",
    )
    with pytest.raises(Trouble, match="no batch to accept"):
        accept(PLAN, {line.material: 0.0 for line in PLAN.lines})


def test_weighing_again() -> None:
    assert [line.says for line in weigh_again(PLAN, {"beeswax": 20.9, "shea": 18.0, "jojoba": 19.0})] == [
        "Take out 1.90 g of Beeswax.",
        "Add 1.00 g more of Shea.",
    ]


def test_without_a_scale_the_hundredth_counts() -> None:
    planned = work_out(simple(), kitchen(scales=()))
    growth = grow(planned, {"beeswax": 20.9})
    assert growth.lines[1].says == "Weigh 20.90 g of Shea."
    assert weigh_again(planned, {"beeswax": 19.5})[0].says == "Take out 0.50 g of Beeswax."
    assert weigh_again(planned, {"beeswax": 19.004}) == ()


_SLIPS = st.dictionaries(
    st.sampled_from([line.material for line in PLAN.lines]), st.floats(0.3, 3.0), min_size=1
)


@given(_SLIPS, st.booleans())
def test_growing_always_comes_back_to_the_recipe(slips: dict[str, float], fine: bool) -> None:
    planned: Weighed = work_out(simple(), kitchen(scales=(FINE_SCALE,)) if fine else kitchen())
    actual = {
        line.material: line.exact_g * slips[line.material] for line in planned.lines if line.material in slips
    }
    growth = grow(planned, actual)
    assert growth.factor >= 1.0
    for line, corrected in zip(planned.lines, growth.lines, strict=True):
        assert line.readability_g is not None
        # nothing ever has to come out of the jug
        assert corrected.change_g >= 0
        assert corrected.now_g + corrected.change_g == pytest.approx(corrected.target_g)
        assert corrected.target_g == pytest.approx(
            line.exact_g * growth.factor, abs=line.readability_g + 1e-6
        )
    assert growth.batch_g == pytest.approx(planned.batch_g * growth.factor)
