"""What the bench view says that the card says differently: shorter, and one thing at a time."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from workbench.core.batch.bursts import CLEAR, reached_aim
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import NeedKind
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.need_panel import NeedPanel
from workbench.ui.bench.now import Clockwork, TimerShown, has_bursts, needs_shown
from workbench.ui.bench.slip_panel import slip_of
from workbench.ui.bench.temperature_face import TemperatureShown, Trend, trend_of
from workbench.ui.bench.timer_face import is_over


def instruction_now(widget: QWidget, state: SessionState, timer: TimerShown, measures: Measures) -> str:
    """What the hands do now; a burst goes through four things in turn."""
    if state.phase is Phase.HELD:  # the safe action was done
        if state.hot:
            return widget.tr("It is safe. To go on, stir and read.")
        return widget.tr("It is safe. Go on when you are ready.")
    if state.hold is not None:
        return measures.say(state.hold.safe_action)
    if state.step is None:
        return widget.tr("No batch runs.")
    if timer.kind is Clockwork.BURST and is_over(timer):
        return widget.tr("STOP the microwave.")
    if timer.kind is Clockwork.STIR:
        return widget.tr("Stir to the bottom.")
    if timer.kind is Clockwork.READ:
        return widget.tr("Take the temperature.")
    if has_bursts(state.step) and reached_aim(state):
        if state.recorded(CLEAR) is None:
            return widget.tr("Hot enough. Stir until all is clear.")
        return widget.tr("Hot enough, and clear.")
    return measures.step_says(state.step, "bench")


def temperature_words(widget: QWidget, shown: TemperatureShown, measures: Measures) -> str:
    """The last reading with its arrow, where it is moving."""
    if shown.celsius is None:
        return widget.tr("– {unit}").format(unit=measures.temperature_unit)
    words, trend = measures.temperature(shown.celsius), trend_of(shown.rate_k_min)
    return words if trend is None or trend is Trend.STEADY else f"{words} {trend.value}"


def taken_words(widget: QWidget, needs: NeedPanel, state: SessionState, measures: Measures) -> str:
    """That what the field stands for is recorded, and as what; "" while it waits, and for what is read again."""
    need = needs.need
    each = next((each for each in needs_shown(state) if need is not None and each.need.key == need.key), None)
    if each is None or each.open or each.need.kind is NeedKind.TEMPERATURE:
        return ""
    if each.need.kind in (NeedKind.TICK, NeedKind.CHOICE):
        return widget.tr("All of it is recorded.")
    label, value, slip = measures.say(each.need.label), needs.value_words(each), slip_of(state)
    if slip is None or slip.need.key != each.need.key:
        return widget.tr("{label}: {value} is recorded.").format(label=label, value=value)
    off = needs.value_of(each.need, abs(slip.weighed_g - (slip.need.target or 0.0)))
    if slip.over:
        said = widget.tr("{label}: {value} is recorded, {off} too much.")
    else:
        said = widget.tr("{label}: {value} is recorded, {off} too little.")
    return said.format(label=label, value=value, off=off)
