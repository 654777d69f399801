"""The look round: the way on is in sight at every size of letters, and words are those of the record."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from workbench.core.batch.plan import PlannedSkin
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import Maker, begin, sample_catalogue, sample_plan
from workbench.ui import theme
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.preflight import PreFlight
from workbench.ui.bench.resume import ResumePanel
from workbench.ui.widgets.basic import Words


def look_round(qtbot: QtBot, size: tuple[int, int], skin: PlannedSkin | None = None) -> PreFlight:
    plan = sample_plan() if skin is None else sample_plan().model_copy(update={"skin": skin})
    made = PreFlight(plan, sample_catalogue(), Measures(), SilentSound(), SilentSpeech(), date(2026, 8, 15))
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


def test_what_cannot_be_judged_on_skin_is_said_once_more_before_it_is_made(qtbot: QtBot) -> None:
    unknown = PlannedSkin(verdict="unknown", unknown=("Nothing is known of what Cade is made of.",))
    made = look_round(qtbot, (1280, 700), unknown)
    shown = [words.text() for words in made.findChildren(Words) if words.isVisibleTo(made)]
    assert "On skin: cannot be judged" in shown
    assert "Nothing is known of what Cade is made of." in shown
    over = PlannedSkin(verdict="over", over=("Bergamot oil is at 0.9 % and may be at most 0.4 %.",))
    told = look_round(qtbot, (1280, 700), over).checks()[0]
    assert (told.heading, told.well) == ("On skin: over a limit", False)
    assert "0.4 %" in told.says
    within = look_round(qtbot, (1280, 700), PlannedSkin(verdict="within"))
    assert not any("skin" in check.heading for check in within.checks())


def test_going_on_with_an_interrupted_batch_is_as_large_as_a_finger(qtbot: QtBot) -> None:
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to("melt:bath")
    made = ResumePanel(maker.state, 900.0, Measures())
    qtbot.addWidget(made)
    made.resize(1280, 700)
    made.show()
    qtbot.waitExposed(made)
    for press in (made.on, made.see, made.end):
        assert min(press.width(), press.height()) >= Ruler().px(made, 12.0) - 1
