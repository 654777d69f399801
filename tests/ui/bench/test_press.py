"""When a press of the primary action counts."""

from __future__ import annotations

from workbench.ui.bench.press import Press, PressGate


def pressed(gate: PressGate, at_s: float, held_s: float = 0.08) -> Press:
    gate.down(at_s)
    return gate.up(at_s + held_s)


def test_a_single_fresh_press_counts() -> None:
    gate = PressGate()
    gate.something_happened(10.0)
    assert pressed(gate, 11.5) is Press.COUNTS


def test_a_press_within_a_second_of_a_record_does_not() -> None:
    gate = PressGate()
    gate.something_happened(10.0)
    assert pressed(gate, 10.9) is Press.TOO_SOON
    assert pressed(gate, 11.1) is Press.COUNTS


def test_a_double_press_counts_once() -> None:
    gate = PressGate()
    assert pressed(gate, 20.0) is Press.COUNTS
    assert pressed(gate, 20.3) is Press.TOO_SOON


def test_an_elbow_presses_several_keys_and_none_counts() -> None:
    gate = PressGate()
    gate.other_key(9.95)
    assert pressed(gate, 10.0) is Press.NOT_ALONE  # another key just before
    gate.down(12.0)
    gate.other_key(12.02)
    assert gate.up(12.1) is Press.NOT_ALONE  # another key while it was down
    assert pressed(gate, 14.0) is Press.COUNTS


def test_a_key_that_repeats_itself_is_still_its_first_press() -> None:
    gate = PressGate()
    gate.down(10.0)
    for tick in range(1, 20):
        gate.down(10.0 + tick * 0.03, repeats=True)
    gate.something_happened(10.4)  # something came up while the key was held
    assert gate.up(12.0) is Press.NOT_FRESH


def test_letting_go_without_a_press_is_nothing() -> None:
    assert PressGate().up(5.0) is Press.NOT_FRESH


def test_assistive_technology_can_press_without_a_key() -> None:
    gate = PressGate()
    assert gate.click(3.0) is Press.COUNTS
    assert gate.click(3.5) is Press.TOO_SOON
