"""The look round: the way on is in sight at every size of letters, and words are those of the record."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import sample_catalogue, sample_plan
from workbench.ui import theme
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.preflight import PreFlight


def look_round(qtbot: QtBot, size: tuple[int, int]) -> PreFlight:
    made = PreFlight(
        sample_plan(), sample_catalogue(), Measures(), SilentSound(), SilentSpeech(), date(2026, 8, 15)
    )
    qtbot.addWidget(made)
    made.resize(*size)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_the_start_is_in_sight_at_the_largest_letters(qtbot: QtBot, qapp: QApplication) -> None:
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 200))
    made = look_round(qtbot, (1024, 560))  # what a window of 1024x700 leaves
    for press in (made.begin, made.back):
        place = QRect(press.mapTo(made, press.rect().topLeft()), press.size())
        assert press.visibleRegion().boundingRect().size() == press.size()
        assert made.rect().contains(place)
        assert min(place.width(), place.height()) >= Ruler().px(made, 12.0) - 1


def test_a_batch_code_is_called_the_same_before_and_after(qtbot: QtBot) -> None:
    """The record says “Batch code”."""
    assert look_round(qtbot, (1280, 700)).code_label.text() == "Batch code"
