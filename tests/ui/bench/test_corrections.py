"""What was typed wrong is put right, also when its step is done: in the maker's units, and everything follows."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt

from tests.ui.bench.conftest import Bench
from workbench.core.batch.commands import SeeSetPoint
from workbench.core.batch.made import composition_made
from workbench.core.batch.state import Phase
from workbench.core.units import MassUnit, TemperatureUnit, Units
from workbench.ui.writing import Writer

AMERICAN = Units(mass=MassUnit.OUNCE, temperature=TemperatureUnit.FAHRENHEIT)


def choose(bench: Bench, words: str) -> None:
    bench.view.menu.earlier()
    bench.settle()
    choice = bench.view.card.form.choice
    assert choice is not None
    texts = [choice.itemText(at) for at in range(choice.count())]
    choice.setCurrentIndex(next(at for at, text in enumerate(texts) if words in text))


def put_right(bench: Bench, value: str) -> None:
    form = bench.view.card.form
    assert form.number is not None
    assert form.reason is not None
    form.number.setText(value)
    form.reason.setText("misread")
    form.accept()
    bench.settle()


def test_a_weight_of_a_step_that_is_done(bench: Bench) -> None:
    bench.go_to("weigh:jojoba")
    choose(bench, "Beeswax: 8.07 g")
    assert "struck through" in bench.view.card.form._beside.text()
    put_right(bench, "8,70")
    assert composition_made(bench.state).as_dict()["beeswax"] == pytest.approx(8.70)
    assert bench.view.card.form.form is None
    correction = next(iter(bench.state.corrections.values()))[0]
    assert (correction.reason, correction.by, correction.typed) == ("misread", "M", "8,70")
    choose(bench, "Beeswax: 8.70 g")  # as it counts now


def test_a_temperature_is_judged_anew_and_danger_comes_at_once(bench: Bench) -> None:
    bench.work_on("melt:bath")
    bench.enter("59.0")
    choose(bench, "Temperature: 59.0 °C")
    put_right(bench, "95.0")
    assert bench.phase() is Phase.HOLDING
    assert bench.sound.repeating == "danger"


def test_ounces_and_fahrenheit_are_what_is_typed(make_bench: Callable[..., Bench]) -> None:
    bench = make_bench(writer=Writer(AMERICAN))
    bench.work_on("cool")
    choose(bench, "Beeswax")
    assert "oz" in bench.view.card.form._beside.text()
    put_right(bench, "0.3")
    # 1 oz avoirdupois is 28.349523125 g (international yard and pound agreement, 1959)
    assert composition_made(bench.state).as_dict()["beeswax"] == pytest.approx(0.3 * 28.349523125)
    bench.wait(10.0)
    bench.enter("150")
    choose(bench, "Temperature: 150.0 °F")
    put_right(bench, "140")
    assert bench.state.last_c == pytest.approx(60.0)  # 140 °F are 60 °C by definition of the scales
    bench.runner.send(SeeSetPoint("cool", 52.0, "125.6"))
    choose(bench, "Where it set: 125.6 °F")
    put_right(bench, "122")
    assert bench.state.set_point_seen_c == pytest.approx(50.0)


def test_what_does_not_fit_is_said_in_the_form(bench: Bench) -> None:
    bench.work_on("cool")
    bench.runner.send(SeeSetPoint("cool", 52.0, "52"))
    choose(bench, "Where it set")
    put_right(bench, "125")
    assert "set point lies" in bench.view.card.form.says.text()
    assert bench.state.set_point_seen_c == 52.0
    bench.key(Qt.Key.Key_Escape)


def test_nothing_recorded_has_nothing_to_correct(bench: Bench) -> None:
    bench.view.menu.earlier()
    bench.settle()
    assert bench.view.card.form.form is None
