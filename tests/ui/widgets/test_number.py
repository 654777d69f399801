"""The field for numbers: the tenfold slip of a stock spin box cannot happen here."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QLocale, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from workbench.core.units import MassUnit, TemperatureUnit, Units
from workbench.ui.widgets.number import NumberField, Typed, commit_all
from workbench.ui.writing import Writer


def field_of(qtbot: QtBot, units: Units | None = None) -> tuple[NumberField, list[Typed]]:
    writer = Writer(units or Units())
    made = NumberField("Mass", writer.read_mass, writer.mass_unit)
    qtbot.addWidget(made)
    made.show()
    got: list[Typed] = []
    made.recorded.connect(got.append)
    return made, got


@pytest.mark.parametrize("locale", ["en_GB", "de_DE", "fr_CH", "en_IN"])
@pytest.mark.parametrize("typed", ["1,3", "1.3"])
def test_comma_and_point_are_one_mark_in_every_locale(qtbot: QtBot, locale: str, typed: str) -> None:
    QLocale.setDefault(QLocale(locale))
    made, got = field_of(qtbot)
    QTest.keyClicks(made.edit, typed)
    QTest.keyClick(made.edit, Qt.Key.Key_Return)
    assert [one.value for one in got] == [pytest.approx(1.3)]
    assert got[0].text == typed


@pytest.mark.parametrize("typed", ["1.3.4", "1,300,5", "1 300", "12x", "-", "1e3", "٣"])
def test_what_cannot_be_read_is_said_and_stays(qtbot: QtBot, typed: str) -> None:
    made, got = field_of(qtbot)
    made.edit.setText(typed)  # QTest types ASCII only
    QTest.keyClick(made.edit, Qt.Key.Key_Return)
    assert not got
    assert made.fault
    assert made.edit.text() == typed
    assert made.says.text() == made.fault
    assert made.edit.accessibleDescription() == made.fault


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(alphabet="0123456789.,", min_size=1, max_size=8))
def test_no_text_is_ever_ten_times_another_reading_of_it(qtbot: QtBot, typed: str) -> None:
    """Whatever is taken is what the digits say with the one mark read as the decimal mark."""
    made, got = field_of(qtbot)
    made.edit.setText(typed)
    made.commit()
    if got:
        assert typed.count(".") + typed.count(",") <= 1
        assert got[0].value == pytest.approx(float(typed.replace(",", ".")))
    made.close()
    made.deleteLater()


def test_enter_records_only_while_there_is_text(qtbot: QtBot) -> None:
    made, got = field_of(qtbot)
    QTest.keyClick(made.edit, Qt.Key.Key_Return)
    assert not got
    QTest.keyClicks(made.edit, "7")
    QTest.keyClick(made.edit, Qt.Key.Key_Return)
    QTest.keyClick(made.edit, Qt.Key.Key_Return)
    assert [one.value for one in got] == [7]  # the second Enter has nothing new to record


def test_the_wheel_changes_nothing(qtbot: QtBot, qapp: QApplication) -> None:
    made, got = field_of(qtbot)
    made.show_text("5")
    turn = QWheelEvent(
        QPointF(5, 5), QPointF(5, 5), QPoint(0, 0), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    qapp.sendEvent(made.edit, turn)
    assert made.edit.text() == "5"
    assert not got


def test_escape_brings_the_settled_text_back(qtbot: QtBot) -> None:
    made, got = field_of(qtbot)
    made.show_text("5")
    made.edit.selectAll()
    QTest.keyClicks(made.edit, "66")
    QTest.keyClick(made.edit, Qt.Key.Key_Escape)
    assert made.edit.text() == "5"
    assert not got


def test_what_is_being_typed_is_not_overwritten(qtbot: QtBot) -> None:
    made, _got = field_of(qtbot)
    made.show_text("5")
    made.edit.setFocus()
    qtbot.waitUntil(made.edit.hasFocus)
    made.edit.selectAll()
    QTest.keyClicks(made.edit, "6")
    made.show_text("5.1")
    assert made.edit.text() == "6"


def test_units_of_the_window_and_typed_units(qtbot: QtBot) -> None:
    made, got = field_of(qtbot, Units(mass=MassUnit.OUNCE))
    made.edit.setText("2")
    made.commit()
    made.edit.setText("10 g")
    made.commit()
    # International avoirdupois ounce, 28.349523125 g exactly (NIST Handbook 44, appendix C)
    assert [one.value for one in got] == [pytest.approx(2 * 28.349523125), pytest.approx(10)]


def test_140_fahrenheit_is_60_celsius() -> None:
    # Definition of the Fahrenheit scale: (140 - 32) / 1.8 = 60
    writer = Writer(Units(temperature=TemperatureUnit.CELSIUS))
    assert writer.read_degrees("140 °F") == pytest.approx(60)
    assert Writer(Units(temperature=TemperatureUnit.FAHRENHEIT)).read_degrees("140") == pytest.approx(60)


def test_committing_a_page_settles_every_field_and_stops_at_the_unreadable(qtbot: QtBot) -> None:
    page = QWidget()
    box = QVBoxLayout(page)
    writer = Writer()
    one, other = NumberField("one", writer.read_plain), NumberField("other", writer.read_plain)
    box.addWidget(one)
    box.addWidget(other)
    qtbot.addWidget(page)
    page.show()
    got: list[Typed] = []
    one.recorded.connect(got.append)
    one.edit.setText("4,5")
    other.edit.setText("4..5")
    assert not commit_all(page)
    assert [typed.value for typed in got] == [4.5]
    qtbot.waitUntil(other.edit.hasFocus)
    other.edit.setText("4")
    assert commit_all(page)


def test_a_sentence_under_a_field_is_never_cut(qtbot: QtBot) -> None:
    """A field is as wide as its number; the second, longer sentence got the room of the first."""
    field = NumberField("Flash point", Writer().read_degrees, "°C", 8)
    qtbot.addWidget(field)
    field.show()
    for typed in ("60x", "1e9", "60 degrees of some other scale"):
        field.edit.setText(typed)
        assert not field.commit()
        field.adjustSize()
        says = field.says
        assert says.isVisible()
        assert says.height() >= says.heightForWidth(says.width())
        assert says.width() > field.edit.width()
