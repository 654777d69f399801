"""A slip at the scale: keep it, grow the batch, or weigh again."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from workbench.core.batch.made import Grown, grown_targets
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import Need, NeedKind, StepKind
from workbench.ui.bench.measures import Measures
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button


@dataclass(frozen=True, slots=True)
class Slip:
    need: Need
    weighed_g: float
    over: bool  # more than the tolerance; else less


def slip_of(state: SessionState) -> Slip | None:
    """The weighing of this step that lies outside of its tolerance, or None."""
    current = state.current
    if current is None or state.phase is not Phase.RUNNING or current.step.kind is not StepKind.WEIGH:
        return None
    for planned in current.step.needs:
        need, held = state.with_target(planned), current.recorded.get(planned.key)
        if need.kind is not NeedKind.MASS or held is None:
            continue
        mass_g = float(held.value)
        if need.high is not None and mass_g > need.high:
            return Slip(need, mass_g, True)
        if need.low is not None and mass_g < need.low:
            return Slip(need, mass_g, False)
    return None


class SlipPanel(QFrame):
    """grow: asks for new targets; again: weigh once more; keeping it is the primary action itself."""

    asked = Signal(object)
    grow = Signal()
    again = Signal()

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "panel")
        self._measures = measures
        self.says = Words("", "strong", self)
        self.ways = Words("", "body", self)
        self.grow_button = button("", self.grow.emit, "", self)
        self.again_button = button("", self.again.emit, "", self)
        line = QHBoxLayout()
        line.addWidget(self.again_button)
        line.addWidget(self.grow_button)
        line.addStretch(1)
        box = QVBoxLayout(self)
        margin = theme_now().space(3)
        box.setContentsMargins(margin, margin, margin, margin)
        box.setSpacing(theme_now().space(2))
        box.addWidget(self.says)
        box.addWidget(self.ways)
        box.addLayout(line)
        self.hide()

    def show_slip(self, slip: Slip | None, state: SessionState, measures: Measures) -> None:
        self._measures = measures
        self.setVisible(slip is not None)
        if slip is None:
            return
        readability_g = next(
            (
                line.readability_g
                for line in (state.plan.lines if state.plan else ())
                if line.material == slip.need.material
            ),
            None,
        )
        off = measures.mass(abs(slip.weighed_g - (slip.need.target or 0.0)), readability_g)
        grows = slip.over and isinstance(grown_targets(state), Grown)
        if slip.over:
            self.says.say(self.tr("{off} too much.").format(off=off))
            if grows:
                ways = self.tr(
                    "Take some out and weigh again, grow the batch so that the proportions hold, or keep it as it is: then go on."
                )
            elif state.targets_g:
                ways = self.tr(
                    "The batch has grown to it: go on. The steps that follow say what they need now."
                )
            else:
                ways = self.tr(
                    "In all, the proportions hold as near as the scale shows: go on, or weigh again."
                )
            self.ways.say(ways)
        else:
            self.says.say(self.tr("{off} too little.").format(off=off))
            self.ways.say(self.tr("Add what is missing and weigh again, or keep it as it is: then go on."))
        self.grow_button.setText(self.tr("Grow the batch…"))
        self.grow_button.setVisible(grows)
        self.again_button.setText(self.tr("Weigh again"))
