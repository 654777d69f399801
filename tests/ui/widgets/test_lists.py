"""Open lists show whole rows, and enough of them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QSize
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from workbench.ui import theme
from workbench.ui.widgets.choose import LEAST_ROWS, ChooseBox


def seen(box: ChooseBox) -> tuple[int, int]:
    """(rows in sight as a whole, rows of which a part is in sight)"""
    view, model = box.view(), box.model()
    tall, whole, part = view.viewport().height(), 0, 0
    for at in range(box.count()):
        place = view.visualRect(model.index(at, 0))
        if place.top() >= 0 and place.bottom() < tall:
            whole += 1
        elif place.bottom() >= 0 and place.top() < tall:
            part += 1
    return whole, part


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("y", [0, 350, 700])
@pytest.mark.parametrize("many", [4, 11, 60])
def test_an_open_list_shows_whole_rows(
    qtbot: QtBot, qapp: QApplication, many: int, y: int, percent: int
) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, percent))
    window = QWidget()
    qtbot.addWidget(window)
    screen = window.screen().availableGeometry()
    assert screen.size() == QSize(800, 800)  # what comes with no screen at all
    window.resize(400, 60)
    window.move(QPoint(100, y))
    box = ChooseBox("Choice", window)
    box.resize(box.sizeHint())
    box.offer([(str(at), f"entry {at}") for at in range(many)])
    box.show_key(str(many - 1))
    window.show()
    qtbot.waitExposed(window)
    box.showPopup()
    QApplication.processEvents()
    try:
        whole, part = seen(box)
        assert part == 0
        assert whole >= min(LEAST_ROWS, many)
        frame = box.view().parentWidget()
        assert frame is not None
        assert screen.contains(frame.geometry())
        place = box.view().visualRect(box.model().index(many - 1, 0))  # what is chosen is in sight
        assert 0 <= place.top() < box.view().viewport().height()
    finally:
        box.hidePopup()
        QApplication.processEvents()
