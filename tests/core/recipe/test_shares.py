from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import kitchen, material
from workbench.core.catalogue.model import MaterialKind
from workbench.core.recipe.densities import UNKNOWN_DENSITY_G_ML, density_of, mixed_density_g_ml
from workbench.core.recipe.model import Measure
from workbench.core.recipe.shares import NOTHING, Affine, Row, Rule, explain, share_out
from workbench.core.recipe.weighed import Where
from workbench.core.trouble import Trouble

WHOLE = Affine(0.0, 1.0)


def parts(value: float) -> Row:
    return Row(Measure.PARTS, value, None)


def percent(value: float) -> Row:
    return Row(Measure.PERCENT, value, None)


def fixed(value: float) -> Row:
    return Row(Measure.GRAMS, value, value)


def masses(rows: list[Row], batch_g: float = 100.0, where: Where = Where.BASE) -> list[float]:
    return [mass.at(batch_g) for mass in share_out(rows, WHOLE, where).masses]


@pytest.mark.parametrize(
    ("rows", "expected", "rule"),
    [
        ([parts(3), parts(1)], [75, 25], Rule.RELATIVE),
        ([percent(60), percent(40)], [60, 40], Rule.RELATIVE),
        ([percent(60), parts(3), parts(1)], [60, 30, 10], Rule.RELATIVE),
        ([fixed(10), parts(2), parts(1)], [10, 60, 30], Rule.FIXED_AND_PARTS),
        ([percent(20), fixed(10), parts(7)], [20, 10, 70], Rule.FIXED_AND_PARTS),
        ([fixed(10), fixed(30)], [25, 75], Rule.FIXED_SCALED),
        ([percent(20), fixed(10), fixed(30)], [20, 20, 60], Rule.FIXED_SCALED),
        ([percent(20), fixed(10), parts(0)], [20, 80, 0], Rule.FIXED_SCALED),
        ([percent(100), parts(0), fixed(0)], [100, 0, 0], Rule.RELATIVE),
        ([percent(33.3), percent(33.3), percent(33.3)], [100 / 3] * 3, Rule.RELATIVE),
        ([parts(0), fixed(0)], [0, 0], Rule.EMPTY),
        ([], [], Rule.EMPTY),
    ],
)
def test_how_measures_live_together(rows: list[Row], expected: list[float], rule: Rule) -> None:
    assert masses(rows) == pytest.approx(expected)
    assert share_out(rows, WHOLE, Where.BASE).rule is rule


@pytest.mark.parametrize(("where", "word"), [(Where.BASE, "The base"), (Where.SCENT, "The scent")])
def test_per_cent_that_miss_a_hundred(where: Where, word: str) -> None:
    short = share_out([percent(60), percent(30)], WHOLE, where)
    assert [mass.at(90) for mass in short.masses] == pytest.approx([60, 30])
    assert short.notes == (f"{word} adds up to 90.0 % only; its lines were scaled to 100 %.",)
    # thirds written with one decimal are meant to be a whole
    assert share_out([percent(33.3)] * 3, WHOLE, where).notes == ()
    assert share_out([percent(33.4)] * 2 + [percent(33.3)], WHOLE, where).notes == ()
    with pytest.raises(Trouble, match=rf"{word} adds up to 100\.2 %"):
        share_out([percent(50.1), percent(50.1)], WHOLE, where)


@pytest.mark.parametrize(("where", "word"), [(Where.BASE, "base lines"), (Where.SCENT, "scent lines")])
def test_what_is_said_about_mixed_measures(where: Where, word: str) -> None:
    scaled = share_out([fixed(10)], WHOLE, where)
    (note,) = explain(scaled, 40, where)
    assert f"The {word} in grams" in note
    assert "come to 10.00 g and were scaled to 40.00 g" in note
    assert explain(scaled, 10, where) == ()  # nothing was scaled
    kept = share_out([fixed(10), parts(1)], WHOLE, where)
    assert "the parts share the other 30.00 g" in explain(kept, 40, where)[0]
    with pytest.raises(Trouble, match=r"room for 8\.00 g only"):
        explain(kept, 8, where)


_ROWS = st.lists(
    st.one_of(
        st.floats(0, 50).map(parts),
        st.floats(0, 12).map(percent),
        st.floats(0, 5).map(fixed),
    ),
    min_size=1,
    max_size=8,
)


@given(_ROWS, st.floats(50, 500), st.floats(0.5, 1))
def test_a_group_always_weighs_its_total(rows: list[Row], batch_g: float, share: float) -> None:
    total = Affine(-3.0, share)
    shared = share_out(rows, total, Where.BASE)
    if shared.rule is Rule.EMPTY:
        assert shared.masses == (NOTHING,) * len(rows)
        return
    assert sum(mass.at(batch_g) for mass in shared.masses) == pytest.approx(total.at(batch_g), rel=1e-9)


def test_densities_mix_by_volume() -> None:
    # 96 g of 0.96 and 80 g of 0.8 g/mL are 100 mL each
    assert mixed_density_g_ml([(96, 0.96), (80, 0.8)]) == pytest.approx(0.88)
    assert mixed_density_g_ml([]) == UNKNOWN_DENSITY_G_ML


def test_density_of_what_is_made_of_others() -> None:
    rows = {
        **kitchen().materials,
        "loop": material("loop", MaterialKind.LEFTOVER, None, (("loop", 100.0),)),
    }
    assert density_of("beeswax", rows) == 0.96
    expected = 100 / (30 / 0.96 + 60 / 0.8675 + 10 / 0.883)
    assert density_of("leftover_one", rows) == pytest.approx(expected)
    assert density_of("leftover_two", rows) == pytest.approx(100 / (50 / expected + 50 / 0.93))
    for unknown in ("leftover_odd", "bought_blend", "nowhere", "loop"):
        assert density_of(unknown, rows) is None
