"""What is due to be smelled is said once, while the window is open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta

import pytest
from PySide6.QtWidgets import QApplication

from tests.core.review.worn import DABBED
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.trouble import Trouble
from workbench.ui.wear_watch import WearWatch
from workbench.ui.writing import Writer


@dataclass
class World:
    minutes: float = 0.0
    tests: dict[str, WearTests] = field(default_factory=dict)
    said: list[tuple[str, str]] = field(default_factory=list)
    free: bool = True
    broken: bool = False

    def kept(self) -> dict[str, WearTests]:
        if self.broken:
            raise Trouble("The file is gone.")
        return self.tests

    def tell(self, words: str, session: str) -> bool:
        if self.free:
            self.said.append((words, session))
        return self.free

    def wear(self, *marks: Mark) -> None:
        test = WearTest(number=1, dabbed=DABBED, marks=marks)
        self.tests = {"s1": WearTests(session="s1", recipe_name="Evening ember", tests=(test,))}


@pytest.fixture
def world() -> World:
    return World()


@pytest.fixture
def watch(qapp: QApplication, world: World) -> Iterator[WearWatch]:
    made = WearWatch(world.kept, Writer, lambda: DABBED + timedelta(minutes=world.minutes), world.tell)
    yield made
    made.stop()
    made.deleteLater()


def test_nothing_to_watch_needs_no_timer(watch: WearWatch, world: World) -> None:
    watch.look_again()
    assert not watch.looking
    world.broken = True
    watch.look_again()
    assert not watch.looking
    assert world.said == []


def test_each_moment_is_said_once(watch: WearWatch, world: World) -> None:
    world.wear(Mark(after_min=0, overall=5))
    world.minutes = 9.0
    watch.look_again()
    assert watch.looking
    assert world.said == []
    world.minutes = 10.1
    watch.look()
    watch.look()
    assert [session for _, session in world.said] == ["s1"]
    assert "Evening ember" in world.said[0][0]
    assert "after 10 min" in world.said[0][0]
    world.minutes = 31.0
    watch.look()
    assert len(world.said) == 2


def test_a_wearing_begun_anew_is_called_anew(watch: WearWatch, world: World) -> None:
    """Washed off and dabbed on again, or the time of the dab put right."""
    world.wear(Mark(after_min=0, overall=5))
    world.minutes = 10.1
    watch.look_again()
    again = DABBED + timedelta(minutes=20)
    test = WearTest(number=1, dabbed=again, marks=(Mark(after_min=0, overall=5),))
    world.tests = {"s1": WearTests(session="s1", tests=(test,))}
    world.minutes = 21.0
    watch.look_again()
    assert len(world.said) == 1
    world.minutes = 30.1
    watch.look()
    assert len(world.said) == 2


def test_on_opening_it_says_how_long_it_has_been_due(watch: WearWatch, world: World) -> None:
    world.wear(Mark(after_min=0, overall=5))
    world.minutes = 55.0  # the program was closed at 10 and at 30 minutes: said once, the newest
    watch.look_again()
    assert len(world.said) == 1
    assert "after 30 min" in world.said[0][0]
    assert "25 min" in world.said[0][0]


def test_what_could_not_be_said_is_said_later(watch: WearWatch, world: World) -> None:
    world.wear()
    world.free, world.minutes = False, 300.0
    watch.look_again()
    assert watch.looking  # although nothing is still to come
    world.free = True
    watch.look()
    assert len(world.said) == 1
    assert not watch.looking


def test_yesterday_s_test_is_over(watch: WearWatch, world: World) -> None:
    world.wear()
    world.minutes = 13 * 60.0
    watch.look_again()
    assert world.said == []
    assert not watch.looking
