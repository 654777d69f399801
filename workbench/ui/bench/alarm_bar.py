"""Alarms: on screen first, whatever the store does.

The bar shows the alarm that came first on top.  It stays until the cause is
gone *and* the maker has said “I saw it”; saying so silences the tone, never
the cause.  Only an unacknowledged danger pulses, slowly, and its words are
readable in both halves of the pulse.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from workbench.core.batch.alarms import AlarmDefinition, Priority
from workbench.core.batch.state import AlarmState, AlarmStatus
from workbench.devices import sound as tones
from workbench.devices.sound import SilentSound, Sound
from workbench.devices.speech import SilentSpeech, Speech
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button
from workbench.ui.widgets.signs import SignView

SEEN_KEY = "F7"
PULSE_MS = 500  # one full turn a second: well under three flashes a second (WCAG 2.3.1)
TONE_OF = {Priority.HIGH: tones.DANGER, Priority.MEDIUM: tones.WARNING, Priority.LOW: tones.NOTICE}
WEIGHT = {Priority.HIGH: 0, Priority.MEDIUM: 1, Priority.LOW: 2}


@dataclass(frozen=True, slots=True)
class AlarmShown:
    key: str
    priority: Priority
    title: str
    what_to_do: str
    bench: str
    consequence: str = ""
    seen: bool = False
    returned: bool = False


def announce(widget: QWidget, words: str, assertive: bool) -> None:
    """Tell a screen reader, where one listens."""
    event = QAccessibleAnnouncementEvent(widget, words)
    event.setPoliteness(
        QAccessible.AnnouncementPoliteness.Assertive
        if assertive
        else QAccessible.AnnouncementPoliteness.Polite
    )
    QAccessible.updateAccessibility(event)


def shown_of(
    key: str, definition: AlarmDefinition | None, measures: Measures, alarm: AlarmState
) -> AlarmShown:
    """An alarm without a row of its own is still shown, as a danger."""
    seen = alarm.status is AlarmStatus.ACKNOWLEDGED
    returned = alarm.status is AlarmStatus.RETURNED
    if definition is None:
        return AlarmShown(key, Priority.HIGH, key, "", key[:60], seen=seen, returned=returned)
    return AlarmShown(
        key,
        definition.priority,
        measures.say(definition.title),
        measures.say(definition.what_to_do),
        measures.say(definition.bench),
        measures.say(definition.consequence),
        seen,
        returned,
    )


class AlarmRow(QFrame):
    """One alarm with what to do and the button that says “I saw it”."""

    seen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = ""
        self.sign = SignView("warning", 2.6, self)
        self.title = Words("", "lead", self)
        self.does = Words("", "strong", self)
        self.state = Words("", "body", self)
        self.ack = button("", self._pressed, "", self)
        words = QVBoxLayout()
        words.setSpacing(theme_now().space(1))
        words.addWidget(self.title)
        words.addWidget(self.does)
        words.addWidget(self.state)
        box = QHBoxLayout(self)
        margin = theme_now().space(3)
        box.setContentsMargins(margin, margin, margin, margin)
        box.setSpacing(theme_now().space(3))
        box.addWidget(self.sign, alignment=Qt.AlignmentFlag.AlignTop)
        box.addLayout(words, 1)
        box.addWidget(self.ack)
        self.ack.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)

    def show_alarm(self, shown: AlarmShown, ruler: Ruler, low: bool = False, more: int = 0) -> None:
        """`low`: room for what must be done only; what it would lead to is in the tip and read aloud.

        `more`: alarms of less weight that have to wait for their room until this one was seen.
        """
        self.key = shown.key
        self.title.say(shown.title)
        self.does.say(shown.what_to_do)
        quiet = shown.seen or shown.returned  # what was answered takes less room
        self.does.setVisible(not shown.returned)
        if shown.returned:
            state = self.tr("It is back to normal. Say that you saw it.")
        elif shown.seen:
            state = ""
        else:
            state = shown.consequence
        if shown.seen:
            self.title.say(self.tr("{title} (seen, not over yet)").format(title=shown.title))
        if more:
            words = self.tr("{title}, and %n more", "", more)
            self.title.say(words.replace("{title}", self.title.text()))
        as_role(self.title, "strong" if quiet else "lead")
        self.sign.setVisible(not quiet)
        self.ack.setMinimumHeight(round(ruler.px(self, TARGET_MM)))
        spared = low and bool(state) and not shown.returned
        self.state.say_or_hide("" if spared else state)
        self.setToolTip(state if spared else "")
        self.ack.setText(self.tr("I saw it ({key})").format(key=SEEN_KEY))
        self.ack.setVisible(not shown.seen)
        as_role(self, "alarm_seen" if shown.seen or shown.returned else f"alarm_{shown.priority.value}")
        self.setAccessibleName(self.tr("Alarm: {title}").format(title=shown.title))
        self.setAccessibleDescription(f"{shown.what_to_do} {state}" if spared else shown.what_to_do)

    def _pressed(self) -> None:
        self.seen.emit(self.key)


class AlarmBar(QWidget):
    """seen(key): the maker acknowledged an alarm; pulsed(bool): the colours of a danger turn."""

    seen = Signal(str)
    pulsed = Signal(bool)

    def __init__(
        self,
        measures: Measures,
        sound: Sound | None = None,
        parent: QWidget | None = None,
        *,
        speech: Speech | None = None,
    ) -> None:
        super().__init__(parent)
        self._measures = measures
        self._sound: Sound = sound or SilentSound()
        self._speech: Speech = speech or SilentSpeech()
        self._shown: tuple[AlarmShown, ...] = ()
        self._away, self._ruler, self._low = False, Ruler(), False
        self._rows: list[AlarmRow] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(1)
        self._pulse = QTimer(self)
        self._pulse.setInterval(PULSE_MS)
        self._pulse.timeout.connect(self._turn)
        self._lit = False
        self.hide()

    @property
    def shown(self) -> tuple[AlarmShown, ...]:
        return self._shown

    def set_away(self, away: bool, ruler: Ruler) -> None:
        """The bench view shows them in its own letters; tone, pulse and announcements go on from here."""
        self._away, self._ruler = away, ruler
        self._refill()

    def set_low(self, low: bool) -> None:
        """Whether there is room only for what must be done."""
        if low != self._low:
            self._low = low
            self._refill()

    def show_alarms(
        self,
        alarms: Mapping[str, AlarmState],
        definitions: Mapping[str, AlarmDefinition],
        measures: Measures,
    ) -> None:
        """The alarms in force, whether they could be stored or not; the first raised comes first."""
        self._measures = measures
        before = {shown.key for shown in self._shown if not shown.seen and not shown.returned}
        together = [shown_of(key, definitions.get(key), measures, alarm) for key, alarm in alarms.items()]
        # first out stays on top; what was seen goes below what was not, and what is over below what is not:
        # from two steps away only the first is read
        together.sort(key=lambda shown: (shown.seen, shown.returned, WEIGHT[shown.priority]))
        if tuple(together) == self._shown:
            return
        self._shown = tuple(together)
        self._refill()
        new = [each for each in self._shown if not each.seen and not each.returned and each.key not in before]
        for shown in new:
            announce(self, f"{shown.title}. {shown.what_to_do}", True)
        self._sound_and_pulse()
        if new:  # the gravest of them: what is said next would cut it short
            self._speech.speak(min(new, key=lambda each: WEIGHT[each.priority]).title)

    def acknowledge_first(self) -> bool:
        """By key: the first alarm nobody has seen yet."""
        for shown in self._shown:
            if not shown.seen:
                self._acknowledged(shown.key)
                return True
        return False

    def hush(self) -> None:
        self._sound.hush()
        self._pulse.stop()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._refill()
        super().changeEvent(event)

    # -- inside

    def _acknowledged(self, key: str) -> None:
        self.seen.emit(key)

    def _sound_and_pulse(self) -> None:
        loud = [shown for shown in self._shown if not shown.seen and not shown.returned]
        if loud:
            self._sound.repeat(TONE_OF[min((each.priority for each in loud), key=WEIGHT.__getitem__)])
        else:
            self._sound.hush()
        if any(each.priority is Priority.HIGH for each in loud):
            if not self._pulse.isActive():
                self._pulse.start()
        else:
            self._pulse.stop()
            self._lit = False
            self.pulsed.emit(False)

    def _refill(self) -> None:
        while len(self._rows) < len(self._shown):
            row = AlarmRow(self)
            row.seen.connect(self._acknowledged)
            self._box.addWidget(row)
            self._rows.append(row)
        rows = min(1, len(self._shown)) if self._low else len(self._shown)
        for at, row in enumerate(self._rows):
            row.setVisible(at < rows)
            if at < rows:
                row.show_alarm(self._shown[at], self._ruler, self._low, len(self._shown) - rows)
        self.setVisible(bool(self._shown) and not self._away)
        self.setAccessibleName(self.tr("Alarms"))

    def _turn(self) -> None:
        self._lit = not self._lit
        for shown, row in zip(self._shown, self._rows, strict=False):
            if shown.priority is Priority.HIGH and not shown.seen and not shown.returned:
                as_role(row, "alarm_pulse" if self._lit else "alarm_high")
        self.pulsed.emit(self._lit)


class TroubleBar(QFrame):
    """The record cannot be written: what is the matter, and ways on."""

    def __init__(
        self, retry: Callable[[], object], copy: Callable[[], object], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        as_role(self, "WARNING")
        self.says = Words("", "strong", self)
        self.says.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.retry = button(self.tr("Try again"), retry, "", self)
        self.copy = button(self.tr("Save a copy elsewhere …"), copy, "", self)
        self._ways = QWidget(self)
        ways = QHBoxLayout(self._ways)
        ways.setContentsMargins(0, 0, 0, 0)
        ways.addStretch(1)
        ways.addWidget(self.retry)
        ways.addWidget(self.copy)
        self._box = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        margin = theme_now().space(3)
        self._box.setContentsMargins(margin, margin // 2, margin, margin // 2)
        self._box.addWidget(self.says, 1)
        self._box.addWidget(self._ways)
        self._told = self._away = False
        self.hide()

    def tell(self, says: str) -> None:
        self.says.say(says)
        self.retry.setText(self.tr("Try again"))
        self.copy.setText(self.tr("Save a copy elsewhere …"))
        tall = round(Ruler().px(self, TARGET_MM))
        for each in (self.retry, self.copy):
            each.setMinimumHeight(tall)
        self._told = bool(says)
        self._arrange()
        self.setVisible(self._told and not self._away)

    def set_away(self, away: bool) -> None:
        """The bench view says it in its own letters."""
        self._away = away
        self.setVisible(self._told and not away)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """The ways on beside the words, or below where they would take more than half of the line."""
        beside = self._ways.sizeHint().width() < self.width() // 2 - theme_now().em()
        self._box.setDirection(
            QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        )
