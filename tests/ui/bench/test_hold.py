"""Hold: the safe action, the maker's word that it is done, a fresh reading, and on."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt

from tests.ui.bench.conftest import Bench
from workbench.core.batch.state import Phase
from workbench.ui.bench import now as look
from workbench.ui.bench.facts import BenchFacts, Outlook


def test_hold_and_on_again_in_a_hot_step(bench: Bench) -> None:
    bench.go_to("melt:bath")
    bench.maker.read_cautions()
    bench.maker.read(40.0)
    bench.settle()
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert bench.view.card.headline.text() == bench.state.hold.safe_action  # type: ignore[union-attr]
    assert "safe" in bench.view.primary.text()
    bench.key(Qt.Key.Key_F8, after_s=0.2)  # the same hand, too soon
    assert bench.phase() is Phase.HOLDING
    bench.done()
    assert bench.phase() is Phase.HELD
    assert "stir and read" in bench.view.far.instruction.text()  # from two steps away, too
    bench.done()  # without a fresh reading
    assert bench.phase() is Phase.HELD
    assert "fresh temperature" in bench.says
    bench.key(Qt.Key.Key_F6)
    bench.enter("41")
    bench.done()
    assert bench.phase() is Phase.RUNNING
    assert look.cautions_unread(bench.state)  # to be read again after a hold
    assert not bench.view.card.needs.isVisibleTo(bench.view)


def test_the_timer_stands_away_and_the_steps_stay(bench: Bench) -> None:
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert not bench.view.card.timer.isVisibleTo(bench.view)
    bench.done()
    bench.done()
    assert bench.phase() is Phase.RUNNING


def test_hold_cannot_be_pressed_twice(bench: Bench) -> None:
    bench.key(Qt.Key.Key_F9)
    events = len(bench.journal.events)
    bench.key(Qt.Key.Key_F9)
    assert len(bench.journal.events) == events
    assert not bench.view.hold.isEnabled()


def test_what_the_pot_was_about_to_do_is_not_said_on_hold(make_bench: Callable[..., Bench]) -> None:
    facts = BenchFacts(outlook=lambda state, now_s: Outlook("Melted soon.", "Stir now and then."))
    bench = make_bench(facts=facts)
    bench.go_to("melt:bath")
    card = bench.view.card
    assert card.outlook.isVisibleTo(bench.view)
    bench.key(Qt.Key.Key_F9)
    assert bench.phase() is Phase.HOLDING
    assert not card.outlook.isVisibleTo(bench.view)
    assert not card.outlook_remark.isVisibleTo(bench.view)
    assert bench.view.far.outlook.text() == ""
