"""Which temperature limits are in force right now."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import Guard

ABSOLUTE_CEILING_C = 95.0


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A limit from above, in °C, and the guard it belongs to."""

    celsius: float
    guard: Guard


def hard_ceiling(state: SessionState) -> Ceiling:
    """The ceiling nobody can set aside: 95 °C, or the scented ceiling once fragrance is in.

    A leftover brings fragrance into the jug before this batch's own goes in;
    the melt ceiling is reckoned with it and cannot be set aside then.  The
    melt ceiling also stands in where the scented ceiling cannot be known:
    what is not known is not permission.
    """
    scented_c = state.temperatures.scented_ceiling_c if state.scented else None
    if scented_c is None:
        scented_c = state.temperatures.melt_ceiling_c
    if (
        scented_c is not None
        and scented_c < ABSOLUTE_CEILING_C
        and (state.scented or (state.plan is not None and state.plan.brings_fragrance))
    ):
        return Ceiling(scented_c, Guard.SCENTED_CEILING)
    return Ceiling(ABSOLUTE_CEILING_C, Guard.ABSOLUTE_CEILING)


def ceiling(state: SessionState) -> Ceiling:
    """The lowest ceiling in force: the hard one, or a melt ceiling that was not set aside.

    The melt ceiling counts in steps that heat, and in those that name it: at
    the cold spoon a correction is melted in by bursts.  A jug that only cools
    is on its way below it.
    """
    hard = hard_ceiling(state)
    melt_c = state.temperatures.melt_ceiling_c
    step = state.step
    heating = step is not None and (step.heat_on or Guard.MELT_CEILING in step.guards)
    if state.scented or not heating or melt_c is None or melt_c >= hard.celsius:
        return hard
    if is_aside(state, Guard.MELT_CEILING):
        return hard
    return Ceiling(melt_c, Guard.MELT_CEILING)


def ceiling_c(state: SessionState) -> float:
    """°C of the lowest ceiling in force."""
    return ceiling(state).celsius


def is_aside(state: SessionState, guard: Guard) -> bool:
    """Whether a guard stands aside now.

    Skin limits stay aside for the session, the others for the step in which
    the reason was given.  (A fresh reading is put off by `guards`, once.)
    """
    return any(
        aside.guard is guard and (guard is Guard.SKIN_LIMITS or aside.step == state.step_id)
        for aside in state.asides
    )
