"""What a session is judged by: the alarm table and the computations behind its guards.

Everything here is a pure function or plain data, passed in once.  The
guards themselves are not here: they hold whatever is passed in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from workbench.core.batch.alarms import AlarmDefinition
from workbench.core.batch.bursts import cautious_burst_s
from workbench.core.batch.plan import Plan, PlannedSkin, PlannedTemperatures
from workbench.core.batch.state import SessionState
from workbench.core.recipe.composition import Composition


def _not_refused(state: SessionState) -> str:
    return ""


@dataclass(frozen=True, slots=True)
class Rules:
    """`next_burst_s` is 0 where no burst may be made now; `burst_refused` says why, where waiting will not
    change it, and is empty otherwise.

    `reckon` gives the limits of what is really in the jug, `judge_skin` its skin verdict.

    `own_flash_c` gives the closed-cup flash point in °C of one material poured
    in by itself: infinite where too little of it evaporates, None where
    nothing is known.  All may be None: then the planned values stay in force.
    """

    alarms: tuple[AlarmDefinition, ...] = ()
    next_burst_s: Callable[[SessionState], float] = cautious_burst_s
    reckon: Callable[[Plan, Composition], PlannedTemperatures] | None = None
    judge_skin: Callable[[Plan, Composition], PlannedSkin] | None = None
    own_flash_c: Callable[[str], float | None] | None = None
    burst_refused: Callable[[SessionState], str] = _not_refused

    def alarm(self, key: str) -> AlarmDefinition | None:
        return next((each for each in self.alarms if each.key == key), None)
