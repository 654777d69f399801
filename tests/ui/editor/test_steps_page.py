"""The steps page: how long it takes, worked out beside the window, and the offer of a water test."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from workbench.core.batch import expected
from workbench.core.batch.plan import Plan
from workbench.core.batch.times import Expected, Times, What
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.context import Context
from workbench.ui.editor.steps_page import StepsPage
from workbench.ui.widgets.basic import Words

TIMES = Times(
    (
        Expected(What.MELT, 600.0, 480.0, 780.0, "a litre of water"),
        Expected(What.COOL, 5.0, 0.0, 12.0, "from 61 °C"),
        Expected(What.WINDOW, 480.0, 100.0, 900.0, "until the pour floor"),
        Expected(What.MOVABLE, None, says="Choose tins."),
        Expected(What.TOTAL, None, says="Not known as long as one of these is not."),
    ),
    ("A room at 21 °C.",),
    "microwave_800",
    "So little goes in with a cup beside it.",
    with_cup=True,
)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, str]]:
    """Which plans were asked, and in which thread."""
    seen: list[tuple[int, str]] = []

    def answer(plan: Plan, _catalogue: Catalogue) -> Times:
        seen.append((len(plan.tins), threading.current_thread().name))
        return TIMES

    monkeypatch.setattr(expected, "expected_times", answer)
    return seen


@pytest.fixture
def page(context: Context, qtbot: QtBot) -> StepsPage:
    made = StepsPage()
    made.furnish(context)
    qtbot.addWidget(made)
    made.resize(560, 900)
    made.show()
    return made


def words_on(page: StepsPage) -> str:
    return "\n".join(one.text() for one in page.findChildren(Words) if one.isVisible())


def test_times_come_from_the_pool_while_the_page_stands(
    page: StepsPage, context: Context, asked: list[tuple[int, str]], settle: Callable[[], None]
) -> None:
    page.show_plan(sample_plan(), context.writer)
    assert "Working it out" in words_on(page)  # the steps are there already
    assert page.head.text().endswith("steps")
    settle()
    shown = words_on(page)
    assert "Melting in the water bath" in shown
    assert "10 min" in shown
    assert "(8 to 13 min)" in shown
    assert "at once" in shown
    assert "Choose tins." in shown
    assert "A room at 21 °C." in shown
    assert asked[0][1] != threading.main_thread().name


def test_the_same_plan_is_asked_once_and_another_one_anew(
    page: StepsPage, context: Context, asked: list[tuple[int, str]], settle: Callable[[], None]
) -> None:
    for plan in (sample_plan(), sample_plan(), sample_plan(tins=5)):
        page.show_plan(plan, context.writer)
        settle()
    assert [tins for tins, _ in asked] == [3, 5]
    context.take_shelf(context.shelf.model_copy(update={"currency": "GBP"}))  # another kitchen
    page.show_plan(sample_plan(tins=5), context.writer)
    settle()
    assert len(asked) == 3


def test_an_oven_that_was_never_tested_is_offered_its_test(
    page: StepsPage, context: Context, asked: list[tuple[int, str]], settle: Callable[[], None]
) -> None:
    wanted: list[tuple[str, bool]] = []
    page.test_asked.connect(lambda oven, beside: wanted.append((oven, beside)))
    page.show_plan(sample_plan(heat=Heat.MICROWAVE), context.writer)
    settle()
    assert "Melting in bursts" in words_on(page)
    assert page.times.test.isVisible()
    page.times.test.setFocus()
    QTest.keyClick(page.times.test, Qt.Key.Key_Space)
    assert wanted == [("microwave_800", True)]
    assert "So little goes in with a cup beside it." in words_on(page)
    assert "and a cup" in page.times.test.text()


def test_nothing_is_told_where_there_is_no_plan(
    page: StepsPage, context: Context, asked: list[tuple[int, str]], settle: Callable[[], None]
) -> None:
    page.show_plan(sample_plan(), context.writer)
    page.show_why_not("There is nothing to weigh yet.")
    settle()
    assert "How long it takes" not in words_on(page)
    assert "Melting" not in words_on(page)
    assert page.head.text() == "No steps yet"
