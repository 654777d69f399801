"""Leads a session for the window: commands in, signals out.

All rules live in the core; this object owns the timer that only says "look
again", and turns what the conductor reports into signals.  A danger is
emitted the moment it is known, before anything is stored.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from workbench.core.batch.commands import Command, Hold, Refused
from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.ports import Clock, Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.session import CAUTIOUS, EMPTY
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.model import Caution
from workbench.core.trouble import Trouble
from workbench.core.wording import say

LOOKS_PER_S = 4


class SessionRunner(QObject):
    """One running session.

    changed(state, kinds)  stored events were folded in; `kinds` are theirs
    danger(Danger)         show and sound it now; it may not be stored yet
    refused(Refused, command)
    troubled(Trouble|None) the journal would not take something, or takes it again
    ticked(now_s)          time has passed; nothing else
    """

    changed = Signal(object, object)
    danger = Signal(object)
    refused = Signal(object, object)
    troubled = Signal(object)
    ticked = Signal(float)

    def __init__(
        self,
        session_id: str,
        journal: Journal,
        clock: Clock,
        rules: Rules = CAUTIOUS,
        cautions: Mapping[str, Caution] | None = None,
        *,
        state: SessionState = EMPTY,
        hands: Clock | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.session_id = session_id
        self.rules = rules
        self.cautions: Mapping[str, Caution] = cautions or {}
        self._held: SessionState | None = None  # what is stored, under a hold that is not
        self._clock = clock
        self._hands = hands or clock  # a practice may run fast, fingers never do
        self.conductor = Conductor(
            session_id,
            journal,
            clock,
            rules,
            state=state,
            on_change=self._on_change,
            on_danger=self._on_danger,
            on_trouble=self._on_trouble,
        )
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(1000 // LOOKS_PER_S)
        self._timer.timeout.connect(self.look)

    # -- time

    def start_looking(self) -> None:
        self._timer.start()

    def stop_looking(self) -> None:
        self._timer.stop()

    def look(self) -> None:
        """Time has passed.  Called by the timer, or by a test that owns the clock."""
        self.conductor.look()
        self.ticked.emit(self.now_s())

    def now_s(self) -> float:
        """Seconds since the session began, through sleep."""
        return self.conductor.now_s()

    def hand_s(self) -> float:
        """Seconds on the awake clock, for presses of keys: only differences mean anything."""
        return self._hands.read().awake_s

    # -- what stands

    @property
    def state(self) -> SessionState:
        """What is stored; but a hold is shown at once, whether it could be stored or not.

        Of what was decided before it only the hold is shown: a step that the record may never get is not.
        """
        stored, ahead = self.conductor.state, self.conductor.ahead
        if ahead.hold is None or stored.hold is not None:
            self._held = None
            return stored
        held = replace(stored, phase=ahead.phase, hold=ahead.hold)
        if self._held != held:  # the same one as long as nothing changed: others ask by identity
            self._held = held
        return self._held

    # -- asking

    def send(self, command: Command) -> Refused | None:
        """Hand a command on; a refusal is returned and also emitted."""
        refusal = self.conductor.send(command)
        if refusal is not None:
            self.refused.emit(refusal, command)
        return refusal

    def retry(self) -> None:
        self.conductor.retry()

    def let_go(self, lacking: Callable[[Trouble], object]) -> None:
        """The bench is put away: what is not stored yet goes to the journal now; `lacking` if it will not take it."""
        self.stop_looking()
        self.conductor.let_go(lacking)

    def hold_after_fault(self) -> None:
        """A fault of our own: leave normal work now, and say so."""
        if self.state.phase.live:
            self.conductor.send(
                Hold(say("The program met a fault of its own. Make the pot safe, then read what it says."))
            )

    # -- what the conductor reports

    def _on_change(self, state: SessionState, events: tuple[AnyEvent, ...]) -> None:
        self.changed.emit(state, frozenset(event.kind for event in events))

    def _on_danger(self, danger: Danger) -> None:
        self.danger.emit(danger)

    def _on_trouble(self, trouble: Trouble | None) -> None:
        self.troubled.emit(trouble)
