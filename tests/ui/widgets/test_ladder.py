"""The ladder says at a glance, and in words, whether there is a window."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from workbench.core.units import TemperatureUnit, Units
from workbench.ui.theme import theme_now
from workbench.ui.widgets.ladder import LadderContent, LadderView, Rung, spread
from workbench.ui.writing import Writer


def ladder(qtbot: QtBot, floor_c: float, top_c: float, units: Units | None = None) -> LadderView:
    made = LadderView(Writer(units or Units()))
    qtbot.addWidget(made)
    rungs = (
        Rung(95, "never above", "limit"),
        Rung(top_c, "to add", "limit"),
        Rung(floor_c, "pour floor", "floor"),
        Rung(21, "room"),
    )
    made.show_content(LadderContent(tuple(sorted(rungs, key=lambda rung: -rung.celsius)), floor_c, top_c))
    made.resize(280, 520)
    made.show()
    return made


def drawn(made: LadderView) -> QImage:
    return made.grab().toImage()


def count_of(image: QImage, colour: str) -> int:
    return sum(
        image.pixelColor(x, y).name() == colour
        for x in range(0, image.width(), 2)
        for y in range(image.height())
    )


def test_an_open_window_is_filled_and_said(qtbot: QtBot) -> None:
    made = ladder(qtbot, 54, 62)
    assert "open from 54 °C to 62 °C" in made.accessibleDescription()
    fill = theme_now().colours.window_fill
    assert count_of(drawn(made), fill) > 100


def test_an_empty_window_is_hatched_and_said(qtbot: QtBot) -> None:
    made = ladder(qtbot, 58, 46)
    assert "There is no window" in made.accessibleDescription()
    colours = theme_now().colours
    assert count_of(drawn(made), colours.window_fill) == 0


def test_it_speaks_fahrenheit_where_that_is_wished(qtbot: QtBot) -> None:
    made = ladder(qtbot, 50, 60, Units(temperature=TemperatureUnit.FAHRENHEIT))
    # 50 °C = 122 °F and 60 °C = 140 °F by definition of the scale
    assert "122 °F to 140 °F" in made.accessibleDescription()


@given(
    st.lists(st.floats(0, 400), min_size=1, max_size=9).map(sorted),
    st.floats(1, 40),
)
def test_labels_keep_their_order_and_their_distance(wanted: list[float], gap: float) -> None:
    places = spread(wanted, gap, 0, 400)
    assert places == sorted(places)
    assert all(-1e-6 <= place <= 400 + 1e-6 for place in places)
    if (len(wanted) - 1) * gap <= 400:
        for one, other in pairwise(places):
            assert other - one >= gap - 1e-6


def test_labels_that_do_not_crowd_stay_where_they_belong() -> None:
    assert spread([10, 100, 300], 20, 0, 400) == pytest.approx([10, 100, 300])
