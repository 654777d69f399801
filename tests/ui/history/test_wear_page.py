"""The wear page: marks by keys, what is due, what is kept, several wearers, the pace."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from tests.core.review.worn import DABBED
from workbench.core.batch.record import record
from workbench.core.batch.state import SessionState
from workbench.core.review.keeping import ERASED, WEAR_TEST, body_of, read_kept
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.trouble import Trouble
from workbench.testing import Maker, begin
from workbench.ui.context import Context
from workbench.ui.history.points_scale import PointsScale
from workbench.ui.history.port import ShelvedInMind
from workbench.ui.history.wear_entry import at_home, read_time
from workbench.ui.history.wear_page import WearPage
from workbench.ui.widgets.ask import ScriptedAsk


@lru_cache(maxsize=1)
def finished() -> SessionState:
    conductor, clock, _ = begin()
    Maker(conductor, clock).go_to_end()
    return conductor.state


class Wall:
    """A wall clock that moves when told."""

    def __init__(self) -> None:
        self.now = DABBED

    def __call__(self) -> datetime:
        return self.now

    def go_to(self, minutes: float) -> None:
        self.now = DABBED + timedelta(minutes=minutes)


@pytest.fixture
def wall() -> Wall:
    return Wall()


@pytest.fixture
def shelved() -> ShelvedInMind:
    return ShelvedInMind()


@pytest.fixture
def page(qtbot: QtBot, context: Context, shelved: ShelvedInMind, wall: Wall) -> Iterator[WearPage]:
    made = WearPage(context, shelved, now=wall)
    qtbot.addWidget(made)
    made.resize(1200, 800)
    made.show()
    yield made
    made.close()


def look_at(page: WearPage, session: str = "s1") -> None:
    page.show_session(session, finished(), record(finished()))


def kept(shelved: ShelvedInMind, session: str = "s1") -> WearTests:
    made = read_kept(WearTests, shelved.read(WEAR_TEST, session))
    assert made is not None
    return made


def keys(scale: PointsScale, text: str) -> None:
    scale.setFocus()
    QTest.keyClicks(scale, text)


def test_a_test_from_the_first_dab_to_the_last_mark(
    page: WearPage, shelved: ShelvedInMind, wall: Wall, settle: Callable[[], None]
) -> None:
    look_at(page)
    assert not page.entry.isVisible()
    assert page.begin.isVisible()
    page.begin.click()
    assert page.entry.isVisible()
    assert not page.entry.marks.isVisible()  # nothing to mark before it is on the skin
    page.entry.wearer.setText("qx")
    page.entry.wearer.editingFinished.emit()
    page.entry.now_button.click()
    assert kept(shelved).tests[0].wearer == "qx"
    assert kept(shelved).tests[0].dabbed == DABBED
    assert "just on" in page.entry.due.text()
    top, middle, base, overall = page.entry.scales
    assert not top.isVisible()  # cedarwood and lavender: a middle and a base note
    keys(middle, "7")
    keys(base, "1")
    keys(overall, "10")
    page.entry.words.setText("dry pencils")
    page.entry.words.editingFinished.emit()
    assert kept(shelved).tests[0].marks == (
        Mark(after_min=0, noted=DABBED, middle=7, base=1, overall=10, words="dry pencils"),
    )
    wall.go_to(12)
    page.look_again()
    assert "after 10 min" in page.entry.due.text()
    assert "2 min" in page.entry.due.text()
    page.entry.go_to(10)
    assert middle.points is None
    keys(middle, "6")
    assert kept(shelved).tests[0].marks[1] == Mark(
        after_min=10, noted=DABBED + timedelta(minutes=12), middle=6
    )
    assert kept(shelved).made_g["jojoba"] > 0
    settle()
    lines, marks = page.chart.shown
    assert [line.row for line in lines] == [1, 2]
    assert len(marks) == 4
    assert "7" in page.chart.accessibleDescription()


def test_keys_go_from_row_to_row_and_take_a_mark_away(page: WearPage, shelved: ShelvedInMind) -> None:
    look_at(page)
    page.begin.click()
    page.entry.now_button.click()
    _, middle, base, overall = page.entry.scales
    keys(middle, "1")
    seen = [middle.points]
    QTest.keyClicks(middle, "0")
    seen.append(middle.points)
    QTest.keyClick(middle, Qt.Key.Key_Left)
    seen.append(middle.points)
    QTest.keyClicks(middle, "0")  # no ten without a one before it
    seen.append(middle.points)
    QTest.keyClick(middle, Qt.Key.Key_Delete)
    assert [*seen, middle.points] == [1, 10, 9, 0, None]
    assert kept(shelved).tests[0].marks == ()
    QTest.keyClick(middle, Qt.Key.Key_Down)
    assert base.hasFocus()
    QTest.keyClick(base, Qt.Key.Key_Return)
    assert overall.hasFocus()
    QTest.keyClick(overall, Qt.Key.Key_Up)
    assert base.hasFocus()
    QTest.keyClick(overall, Qt.Key.Key_Return)
    at = base.field(4).center()
    QTest.mouseClick(base, Qt.MouseButton.LeftButton, pos=QPoint(round(at.x()), round(at.y())))
    assert base.points == 4
    assert base.field(4).height() >= 36  # large enough for a finger


def test_the_timer_runs_only_while_something_is_still_to_come(page: WearPage, wall: Wall) -> None:
    look_at(page)
    assert not page._look.isActive()
    page.begin.click()
    page.entry.now_button.click()
    assert page._look.isActive()
    page.hide()
    assert not page._look.isActive()
    page.show()
    assert page._look.isActive()


def test_several_wearers_together(
    page: WearPage, shelved: ShelvedInMind, ask: ScriptedAsk, settle: Callable[[], None]
) -> None:
    tests = tuple(
        WearTest(number=n, wearer=who, dabbed=DABBED, marks=(Mark(after_min=30, middle=points),))
        for n, (who, points) in enumerate((("a", 2), ("b", 4), ("c", 9)), 1)
    )
    shelved.write(WEAR_TEST, "s1", body_of(WearTests(session="s1", tests=tests)))
    look_at(page)
    settle()
    assert page.which.count() == 3
    page.all_together.setChecked(True)
    _, marks = page.chart.shown
    (median,) = [mark for mark in marks if not mark.faint]
    assert (median.points, median.low, median.high) == (4, 2, 9)
    assert "4 (2 to 9)" in page.chart.accessibleDescription()
    page._choose("3")
    ask.answers["remove wearing"] = "keep"
    page.remove.click()
    assert len(kept(shelved).tests) == 3


def test_a_wearing_is_taken_away_when_asked(page: WearPage, shelved: ShelvedInMind, ask: ScriptedAsk) -> None:
    test = WearTest(number=1, dabbed=DABBED, marks=(Mark(after_min=0, overall=3),))
    shelved.write(WEAR_TEST, "s1", body_of(WearTests(session="s1", tests=(test,))))
    look_at(page)
    ask.answers["remove wearing"] = "remove"
    page.remove.click()
    assert kept(shelved).tests == ()
    assert page.begin.isVisible()


def test_what_cannot_be_kept_is_said_and_not_shown(
    page: WearPage, shelved: ShelvedInMind, monkeypatch: pytest.MonkeyPatch
) -> None:
    look_at(page)
    page.begin.click()
    page.entry.now_button.click()
    monkeypatch.setattr(shelved, "write", lambda *_: False)
    middle = page.entry.scales[1]
    keys(middle, "7")
    assert page.fault.isVisible()
    assert middle.points is None
    assert page.test is not None
    assert page.test.marks == ()


def test_initials_only(page: WearPage, shelved: ShelvedInMind) -> None:
    look_at(page)
    page.begin.click()
    page.entry.wearer.setText("A1")
    page.entry.wearer.editingFinished.emit()
    assert page.entry.fault.isVisible()
    assert kept(shelved).tests[0].wearer == ""


def test_times_are_chosen_and_one_is_left(page: WearPage, shelved: ShelvedInMind) -> None:
    look_at(page)
    page.begin.click()
    for moment in (0, 10, 30, 60, 120):
        page.entry._ticks[moment].setChecked(False)
    assert kept(shelved).tests[0].moments_min == (240,)
    page.entry._ticks[240].setChecked(False)
    assert page.entry._ticks[240].isChecked()
    assert page.entry.fault.isVisible()
    assert kept(shelved).tests[0].moments_min == (240,)


def test_erased_initials_stay_erased(page: WearPage, shelved: ShelvedInMind) -> None:
    test = WearTest(number=1, wearer=ERASED, dabbed=DABBED)
    shelved.write(WEAR_TEST, "s1", body_of(WearTests(session="s1", tests=(test,))))
    look_at(page)
    assert page.entry.wearer.text() == ""
    page.entry.wearer.editingFinished.emit()
    keys(page.entry.scales[1], "5")
    assert kept(shelved).tests[0].wearer == ERASED
    assert ERASED not in page.which.currentText()


def test_a_practice_run_is_not_worn(page: WearPage) -> None:
    page.show_session("s1", finished(), replace(record(finished()), rehearsal=True))
    assert not page.begin.isVisible()
    assert "practice" in page.empty.text()


def test_a_time_is_read() -> None:
    now = DABBED + timedelta(hours=2)  # 10:00
    assert read_time("08:15", now) == DABBED + timedelta(minutes=15)
    assert read_time("23.30", now) == DABBED.replace(hour=23, minute=30) - timedelta(days=1)
    assert read_time("2026-03-19 08:00", now) == DABBED - timedelta(days=1)
    for wrong in ("soon", "25:00", "2026-03-20 12:00", "1 2 3:4", ""):
        with pytest.raises(Trouble):
            read_time(wrong, now)


def test_a_time_has_the_offset_of_its_own_day() -> None:
    """Rules of Berlin after the IANA time zone database: forward on 29 March 2026, back on 25 October 2026."""
    berlin = ZoneInfo("Europe/Berlin")

    def zone(naive: datetime) -> datetime:
        made = naive.replace(tzinfo=berlin).astimezone(UTC).astimezone(berlin)
        return made.replace(tzinfo=timezone(made.utcoffset() or timedelta()))

    def read(text: str, now: str) -> str:
        return read_time(text, datetime.fromisoformat(now), zone).isoformat()

    spring = "2026-03-29T09:00+02:00"
    assert read("2026-03-20 08:15", spring) == "2026-03-20T08:15:00+01:00"
    assert read("23:30", spring) == "2026-03-28T23:30:00+01:00"  # last night was still winter time
    assert read("08:15", spring) == "2026-03-29T08:15:00+02:00"
    with pytest.raises(Trouble, match="put forward"):
        read("02:30", spring)
    autumn = "2026-10-25T09:00+01:00"
    assert read("2026-10-24 20:00", autumn) == "2026-10-24T20:00:00+02:00"
    assert read("02:30", autumn) == "2026-10-25T02:30:00+01:00"  # of two the newest
    assert read("02:30", "2026-10-25T02:10+01:00") == "2026-10-25T02:30:00+02:00"
    assert at_home(datetime.fromisoformat("2026-07-01T08:00")).utcoffset() == timedelta(
        hours=2
    )  # tests run in this zone


def test_the_moment_of_the_dab_is_asked_of_the_clock_when_it_is_pressed_or_typed(
    page: WearPage, shelved: ShelvedInMind, wall: Wall
) -> None:
    """However long the page stood open before, with nothing due and nobody looking at the clock."""
    look_at(page)
    page.begin.click()
    wall.go_to(25)
    page.entry.now_button.click()
    assert kept(shelved).tests[0].dabbed == DABBED + timedelta(minutes=25)
    page.another.click()
    wall.go_to(50)
    page.entry.dabbed.setText(f"{DABBED + timedelta(minutes=40):%H:%M}")
    page.entry.dabbed.editingFinished.emit()
    assert kept(shelved).tests[1].dabbed == DABBED + timedelta(minutes=40)  # today, not the day before


def test_what_could_not_be_read_is_not_written_over(
    page: WearPage, shelved: ShelvedInMind, wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    look_at(page)
    page.begin.click()
    page.entry.now_button.click()
    before = kept(shelved)

    def busy(_kind: str, _key: str) -> object:
        raise Trouble("The project does not answer.")

    with monkeypatch.context() as patch:
        patch.setattr(shelved, "read", busy)
        look_at(page)
    assert "does not answer" in page.fault.text()
    page.begin.click()
    assert "nothing is written over it" in page.fault.text()
    assert kept(shelved) == before
    look_at(page)
    page.another.click()
    assert len(kept(shelved).tests) == 2


def test_the_chart_names_its_scale(page: WearPage) -> None:
    assert any("from 0 to 10" in label.text() for label in page.findChildren(QLabel))
