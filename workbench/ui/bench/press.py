"""When a press of the primary action counts, so that a slip cannot skip a step.

Pure logic, told the time.  A press counts when it is released and
  * it was one press, not a key that repeats itself,
  * no other key went down shortly before it or while it was down (an elbow
    or a dropped spoon presses several),
  * at least `SETTLE_S` have passed since something was recorded, a step
    began or the press before it counted: the hand that just typed a weight
    and hit a key once more does not end the step.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

SETTLE_S = 1.0
ALONE_S = 0.15


class Press(Enum):
    COUNTS = "counts"
    TOO_SOON = "too soon"
    NOT_ALONE = "not alone"
    NOT_FRESH = "not fresh"


@dataclass(slots=True)
class PressGate:
    """All times are seconds of one clock that only goes forward."""

    _settled_from_s: float = float("-inf")
    _other_key_s: float = float("-inf")
    _down_s: float | None = None
    _spoilt: Press | None = field(default=None)

    def something_happened(self, now_s: float) -> None:
        """Something was recorded, or a new step stands on the screen."""
        self._settled_from_s = now_s

    def other_key(self, now_s: float) -> None:
        """Any key but the primary one went down."""
        self._other_key_s = now_s
        if self._down_s is not None:
            self._spoilt = Press.NOT_ALONE

    def down(self, now_s: float, repeats: bool = False) -> None:
        if repeats:
            return  # the first press of the key is still the one that counts
        self._down_s = now_s
        self._spoilt = None
        if now_s - self._other_key_s < ALONE_S:
            self._spoilt = Press.NOT_ALONE
        elif now_s - self._settled_from_s < SETTLE_S:
            self._spoilt = Press.TOO_SOON

    def up(self, now_s: float) -> Press:
        """The primary key or button was let go: does the press count?"""
        if self._down_s is None:
            return Press.NOT_FRESH
        began_s, spoilt = self._down_s, self._spoilt
        self._down_s, self._spoilt = None, None
        if spoilt is not None:
            return spoilt
        if began_s < self._settled_from_s:
            return Press.NOT_FRESH  # it was already down when the thing happened
        self._settled_from_s = now_s
        return Press.COUNTS

    def click(self, now_s: float) -> Press:
        """A press that came without key or mouse events (assistive technology)."""
        self.down(now_s)
        return self.up(now_s)
