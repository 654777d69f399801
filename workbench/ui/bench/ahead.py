"""What is about to happen: the end of a timer, the opening of the window; told once each."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from workbench.core.batch.state import Phase, SessionState
from workbench.core.wording import Duration, say
from workbench.devices import sound as tones
from workbench.devices.sound import Sound
from workbench.devices.speech import Speech
from workbench.ui.bench import now as look
from workbench.ui.bench.alarm_bar import announce
from workbench.ui.bench.curve_data import Fan
from workbench.ui.bench.facts import BenchFacts, Outlook


class LookAhead(QObject):
    """Remembers only what it has told already."""

    def __init__(self, facts: BenchFacts, sound: Sound, speech: Speech, parent: QWidget) -> None:
        super().__init__(parent)
        self._facts, self._sound, self._speech, self._widget = facts, sound, speech, parent
        self._rang = ""  # what the timer tone was played for
        self._said_soon = ""
        self.fan: Fan | None = None

    def ring(self, state: SessionState, now_s: float) -> None:
        """One plain tone at the end of a timer."""
        timer = look.timer_shown(state, now_s)
        over = timer.kind is look.Clockwork.OVER or (
            timer.kind in (look.Clockwork.BURST, look.Clockwork.STIR) and timer.seconds <= 0
        )
        if not over or state.phase is not Phase.RUNNING:
            return
        what = f"{state.step_id} {timer.kind.value} {state.burst.count}"
        if what != self._rang:
            self._rang = what
            self._sound.play(tones.TIMER)
            announce(self._widget, self.tr("The time is over."), False)

    def look(self, state: SessionState, now_s: float) -> Outlook | None:
        """The forecast for the card, from the core where it has one, else from the cooling seen.

        None on hold: what the pot does off the heat is not what was reckoned, and it is to be made safe first.
        """
        if look.on_hold(state):
            self.fan = None
            return None
        outlook = self._facts.outlook(state, now_s) if self._facts.outlook is not None else None
        opens_s = look.opens_in_s(state, now_s)
        if outlook is None and opens_s is not None:
            outlook = _opens(opens_s)
        if outlook is not None and outlook.opens_in_s is not None:
            opens_s = outlook.opens_in_s
        self.fan = outlook.fan if outlook is not None else None
        if opens_s is not None and 0 < opens_s <= look.SOON_S and self._said_soon != state.step_id:
            self._said_soon = state.step_id
            words = self.tr("The fragrance window opens in about two minutes.")
            self._speech.speak(words)
            self._sound.play(tones.OPENS)
            announce(self._widget, words, False)
        return outlook


def _opens(opens_s: float) -> Outlook:
    if opens_s <= 0:
        return Outlook(
            say("Cool enough by the last reading."),
            say("Stir and read again just before the fragrance goes in."),
        )
    return Outlook(
        say("The window opens in about {time}.", time=Duration(max(15.0, 15.0 * round(opens_s / 15.0)))),
        say("By how fast it has been cooling. Only a stirred reading lets the fragrance in."),
    )
