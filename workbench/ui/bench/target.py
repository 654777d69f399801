"""What the scale should show, in few characters: it stands as large as a time or a temperature."""

from __future__ import annotations

from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import NeedKind
from workbench.ui.bench import now as look
from workbench.ui.bench.need_panel import NeedPanel


def target_now(needs: NeedPanel, state: SessionState) -> tuple[str, str]:
    """How much or how many drops, and from where to where is good; nothing where nothing is weighed."""
    need = needs.need
    if need is None or need.kind not in (NeedKind.MASS, NeedKind.DROPS) or look.on_hold(state):
        return "", ""
    if need.target is None:
        return "", ""
    if need.kind is NeedKind.DROPS:
        return needs.target_words(need), ""
    if need.low is None or need.high is None:
        return needs.value_of(need, need.target), needs.tr("to be weighed")
    good = needs.tr("good from {low} to {high}").format(
        low=needs.value_of(need, need.low), high=needs.value_of(need, need.high)
    )
    return needs.value_of(need, need.target), good
