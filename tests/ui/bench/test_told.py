"""Told in more than one way: announced for who listens, sounded, written, and seldom enough to be heeded."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from tests.ui.bench.conftest import Bench, HeardSound
from workbench.core.batch.commands import Hold, ReadTemperature
from workbench.devices.speech import SilentSpeech
from workbench.testing import sample_catalogue, sample_plan
from workbench.ui.bench import alarm_bar
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.preflight import PreFlight
from workbench.ui.widgets.basic import Words


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, bool]]:
    """(words, assertive) of every announcement, as it is handed to the system."""
    heard: list[tuple[str, bool]] = []
    assertive = QAccessible.AnnouncementPoliteness.Assertive

    class Ear:
        @staticmethod
        def updateAccessibility(event: QAccessibleAnnouncementEvent) -> None:
            heard.append((event.message(), event.politeness() is assertive))

        AnnouncementPoliteness = QAccessible.AnnouncementPoliteness

    monkeypatch.setattr(alarm_bar, "QAccessible", Ear)
    return heard


def test_steps_alarms_and_holds_are_announced(bench: Bench, told: list[tuple[str, bool]]) -> None:
    for number in ("1", "2", "3"):
        bench.enter(number)
    bench.done()
    step = bench.state.step
    assert step is not None
    assert step.id == "weigh:beeswax"
    assert (bench.view._measures.step_says(step, "instruction"), False) in told
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.wait(30.0)
    bench.maker.read(50.0)
    bench.maker.wait(30.0)
    told.clear()
    bench.runner.send(ReadTemperature("melt:bath", 97.0, "97", True, sure=True))
    bench.settle()
    loud = [words for words, assertive in told if assertive]
    assert any(words.startswith("Too hot: off the heat.") for words in loud)
    assert any("Take the jug out of the bath" in words for words in loud)
    told.clear()
    bench.wait(8.0)
    assert not told  # once is enough


def test_a_hold_by_hand_is_announced(bench: Bench, told: list[tuple[str, bool]]) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    told.clear()
    assert bench.runner.send(Hold("the door bell")) is None
    assert bench.state.hold is not None
    assert (bench.state.hold.safe_action, True) in told


def test_the_window_that_opens_soon_is_announced_spoken_and_written(
    bench: Bench, told: list[tuple[str, bool]]
) -> None:
    bench.go_to("cool")
    bench.maker.read_cautions()
    below_c = bench.state.temperatures.add_below_c
    assert below_c is not None
    bench.maker.wait(310.0)
    bench.maker.read(below_c + 6.0)
    bench.maker.wait(60.0)
    bench.maker.read(below_c + 2.0)
    bench.wait(8.0)
    words = "The fragrance window opens in about two minutes."
    assert (words, False) in told
    assert words in bench.speech.asked
    assert "opens in about" in bench.view.card.outlook.text()
    bench.view.show_far(True)
    bench.settle()
    assert "opens in about" in bench.view.far.outlook.text()


def test_the_curve_is_described_in_words_that_follow(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.view.show_state()
    first = bench.view.curve.accessibleDescription()
    assert "40.0 °C" in first
    bench.maker.wait(60.0)
    bench.maker.read(46.0)
    bench.view.show_state()
    then = bench.view.curve.accessibleDescription()
    assert "46.0 °C" in then
    assert "rising" in then


def test_a_test_tone_before_each_batch(qtbot: QtBot) -> None:
    sound = HeardSound()
    page = look_round(qtbot, sound)
    assert page.tone.isVisibleTo(page)
    page.tone.click()
    assert sound.played == ["warning"]


def test_no_sound_is_said_before_the_batch(qtbot: QtBot) -> None:
    page = look_round(qtbot, HeardSound(works=False, why="No loudspeaker was found."))
    assert not page.tone.isEnabled()
    words = [label.text() for label in page.findChildren(Words)]
    assert any("No loudspeaker was found." in text for text in words)
    begin = [each for each in page.findChildren(QPushButton) if each.property("role") == "primary"]
    assert begin  # it can be begun all the same: what is seen stands alone


def look_round(qtbot: QtBot, sound: HeardSound) -> PreFlight:
    catalogue = sample_catalogue()
    page = PreFlight(sample_plan(), catalogue, Measures(), sound, SilentSpeech(), date(2026, 8, 15))
    qtbot.addWidget(page)
    page.resize(1280, 800)
    page.show()
    return page
