"""Two parts stand beside one another where there is room, else one under the other."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from workbench.ui.theme import theme_now
from workbench.ui.widgets.beside import WIDE_EM, Beside


@pytest.mark.parametrize("even", [True, False])
def test_where_it_is_narrow_the_right_one_goes_below(
    qtbot: QtBot, settle: Callable[[], None], even: bool
) -> None:
    left, right = QLabel("left"), QLabel("right")
    made = Beside(left, right, even=even)
    qtbot.addWidget(made)
    made.show()
    wide = WIDE_EM * theme_now().em()
    for width, beside in ((wide, True), (wide - 1, False), (wide + 40, True)):
        made.resize(width, 200)
        settle()
        assert (left.geometry().right() < right.geometry().left()) == beside
        assert (left.geometry().bottom() < right.geometry().top()) != beside


def test_even_parts_share_the_room_and_an_uneven_one_takes_what_it_needs(
    qtbot: QtBot, settle: Callable[[], None]
) -> None:
    for even in (True, False):
        left, right = QLabel("left"), QLabel("right")
        made = Beside(left, right, even=even)
        qtbot.addWidget(made)
        made.show()
        for width in (WIDE_EM * theme_now().em() + 10, 300):
            made.resize(width, 200)
            settle()
            if even:
                assert abs(left.width() - right.width()) <= 1
            else:
                assert right.width() <= right.sizeHint().width() + 1
