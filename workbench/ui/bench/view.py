"""The bench: one running batch in the window.

It puts the pieces together and owns the keys.  Nothing is decided here: a
press becomes a command, the runner says what came of it.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent, QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QLayout, QVBoxLayout, QWidget

from workbench.core.batch.commands import (
    Acknowledge,
    Command,
    FinishStep,
    Hold,
    Refused,
)
from workbench.core.batch.conductor import Danger
from workbench.core.batch.state import Phase, SessionState
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.devices.power import Awake, NoAwake
from workbench.devices.sound import SilentSound, Sound
from workbench.devices.speech import SilentSpeech, Speech
from workbench.ui.bench import now as look
from workbench.ui.bench.ahead import LookAhead
from workbench.ui.bench.alarm_bar import AlarmBar, TroubleBar, announce
from workbench.ui.bench.curve import CurvePane, band_names
from workbench.ui.bench.facts import BenchFacts
from workbench.ui.bench.far_view import FarView
from workbench.ui.bench.finished import FinishedPage
from workbench.ui.bench.foot import Foot
from workbench.ui.bench.form import Form
from workbench.ui.bench.going_in import GoingIn
from workbench.ui.bench.keys import DONE_KEY, BenchKeys
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.menu import BenchMenu
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.near import NearPage
from workbench.ui.bench.primary import PrimaryAction
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.sheet import bench_sheet
from workbench.ui.bench.sparing import Soon, Sparing
from workbench.ui.bench.step_card import StepCard
from workbench.ui.bench.step_list import StepList
from workbench.ui.theme import theme_now
from workbench.ui.widgets.basic import Scroller
from workbench.ui.widgets.enter import want_enter
from workbench.ui.widgets.stack import PageStack
from workbench.ui.writing import Writer

LOW_EMS = 28  # a bench lower than this has no room for what an alarm would lead to
CURVE_LOOKS = 4  # the curve is redrawn at every fourth look: once a second

_DRESSED = (QEvent.Type.PaletteChange, QEvent.Type.FontChange, QEvent.Type.StyleChange)
_ONLY_READ = {"temperature read"}  # a thermometer may be read faster than anybody looks
_QUIET = {"alarm raised", "alarm returned", "alarm acknowledged", "clock noticed"}


class BenchView(QWidget):
    """Everything of a running batch.

    over()            the batch is finished or ended, and the maker closed it
    copy_asked()      the record cannot be written: a copy is wanted elsewhere
    far_changed(bool) the bench view was switched on or off
    sized(int, object) bench letters in %, px per mm or None: for the preferences
    """

    over = Signal()
    copy_asked = Signal()
    far_changed = Signal(bool)
    sized = Signal(int, object)

    def __init__(
        self,
        runner: SessionRunner,
        writer: Writer | None = None,
        facts: BenchFacts | None = None,
        *,
        sound: Sound | None = None,
        speech: Speech | None = None,
        awake: Awake | None = None,
        ruler: Ruler | None = None,
        bench_percent: int = 100,
        learned: Callable[[Callable[[str], object]], object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.runner = runner
        self.facts = facts or BenchFacts()
        self._measures = Measures(writer or Writer())
        self._sound: Sound = sound or SilentSound()
        self._speech: Speech = speech or SilentSpeech()
        self._awake: Awake = awake or NoAwake()
        self._ruler = ruler or Ruler()
        self.action = PrimaryAction(self)
        self._looks = 0
        self._arranged: tuple[object, ...] = ()  # for what the card was laid out last
        self._theme, self._dress_soon = theme_now(), Soon(self._dress, self)
        self.alarms = AlarmBar(self._measures, self._sound, self, speech=self._speech)
        self.trouble = TroubleBar(runner.retry, self.copy_asked.emit, self)

        self.card = StepCard(self._measures, runner.rules, runner.cautions, self.facts, runner.hand_s, self)
        self.steps = StepList(self._measures, self)
        self.curve = CurvePane(self._measures, self)
        self.recipe_strip = GoingIn(self._measures)
        self.near = NearPage(self.card, self.steps, self.curve, self.recipe_strip, self)
        self.far = FarView(
            self._measures, runner.cautions, self.card, runner.retry, self.copy_asked.emit, self
        )
        self.stack = PageStack(self)
        self.stack.addWidget(self.near)
        self.stack.addWidget(self.far)
        self.finished = FinishedPage(runner.rules.alarms, learned)
        self._finished = Scroller(self.finished)
        self.stack.addWidget(self._finished)
        want_enter(self, False)
        want_enter(self._finished, True)

        self.foot = Foot(self)
        self.near.scrolled.connect(self._scrolled)
        self.near.arranged.connect(self._show_place)
        self.hold, self.primary = self.foot.hold, self.foot.primary
        self.menu = BenchMenu(runner, self.facts, self._measures_now, self)
        self.foot.more.setMenu(self.menu.menu)
        box = QVBoxLayout(self)
        box.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)  # see minimumSizeHint
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(0)
        box.addWidget(self.alarms)
        box.addWidget(self.trouble)
        box.addWidget(self.stack, 1)
        box.addWidget(self.foot)

        self.keys = BenchKeys(
            runner.hand_s,
            self.action.came,
            self._digit,
            {
                Qt.Key.Key_F2: self.take_reading,
                Qt.Key.Key_F3: self.far.turn_page,
                Qt.Key.Key_F4: self.toggle_far,
                Qt.Key.Key_F5: self.card.press_burst,
                Qt.Key.Key_F6: self.card.needs.toggle_stirred,
                Qt.Key.Key_F7: self.alarms.acknowledge_first,
                Qt.Key.Key_F9: self.press_hold,
                Qt.Key.Key_F10: self.toggle_rest,
                Qt.Key.Key_F11: self.card.press_aside,
                Qt.Key.Key_F12: self.foot.open_menu,
            },
            {
                Qt.Key.Key_H: self.press_hold,
                Qt.Key.Key_S: self.card.needs.toggle_stirred,
                Qt.Key.Key_B: self.toggle_far,
                Qt.Key.Key_N: self.menu.note,
            },
            self,
        )
        self.hold.clicked.connect(self.press_hold)
        self.primary.pressed.connect(self.keys.down)
        self.primary.clicked.connect(self.keys.up)
        self.foot.far.clicked.connect(self.toggle_far)
        self.foot.rest.clicked.connect(self.toggle_rest)
        self.menu.form.connect(self._open)
        self.menu.far.connect(self.toggle_far)
        self.menu.letters.connect(self._letters)
        self.card.asked.connect(self.send)
        self.card.set_aside.connect(self.menu.set_aside)
        self.card.correct.connect(self.menu.correction)
        self.card.grow.connect(self.menu.grow)
        self.card.leave_out.connect(self.menu.leave_out)
        self.card.add.connect(self.menu.suggested)
        self.card.needs.entry.key_seen.connect(self.keys.other)
        self.far.entry.key_seen.connect(self.keys.other)
        self.far.sized.connect(self.sized)
        self.alarms.seen.connect(self._seen)
        self.alarms.pulsed.connect(self.far.alarm.pulse)
        self.far.alarm.seen.connect(self._seen)
        self.far.paged.connect(self._paged)
        self.foot.turn.clicked.connect(self.far.turn_page)
        runner.changed.connect(self._changed)
        runner.danger.connect(self._danger)
        runner.refused.connect(self._refused)
        runner.troubled.connect(self._troubled)
        runner.ticked.connect(self._ticked)

        self.ahead = LookAhead(self.facts, self._sound, self._speech, self)
        self._sparing, self._answers = Sparing(self.show_state, self), Sparing(self.show_ahead, self, 0.5)
        self.far.set_size(bench_percent, self._ruler.px_per_mm)
        self._dress()
        self._say()
        self.show_state()

    # -- outside

    def set_writer(self, writer: Writer) -> None:
        """Other units: everywhere, at once."""
        self._measures = Measures(writer)
        self.curve.set_measures(self._measures)
        self.show_state()

    def show_state(self) -> None:
        state, now_s = self.runner.state, self.runner.now_s()
        if state.phase.over:
            self._show_finished(state)
        self.card.show_state(state, now_s, self._measures)
        self.far.show_state(state, now_s, self._measures)
        self.steps.show_state(state, self._measures)
        self.recipe_strip.show_state(state, self._measures)
        self._show_alarms()
        self._show_outlook(state, now_s)
        self._show_curve(state, now_s)
        self.show_buttons(state)
        arranged = (state.step_id, state.phase, look.cautions_unread(state), state.burst.phase)
        if arranged == self._arranged or self.stack.currentWidget() is not self.near:
            self.near.fit_head()
        else:  # parts come and go; a reading only changes what they say
            self.near.lay_out()
        self._arranged = arranged
        if state.phase.live:
            self._awake.keep(self.tr("A batch is running"))
        else:
            self._awake.release()

    def _show_finished(self, state: SessionState) -> None:
        """Nothing is hot any more: what came of it is read from near, and nothing else is asked."""
        self.show_far(False)
        self.finished.show_state(state, self._measures)
        if self.stack.currentWidget() is not self._finished:
            self.stack.setCurrentWidget(self._finished)
            self.finished.read_button.setFocus(Qt.FocusReason.OtherFocusReason)
            announce(self, self.finished.heading.text(), False)

    def _show_alarms(self) -> None:
        """As decided, not as stored: no disk stands between a danger and the maker."""
        self.alarms.show_alarms(
            self.runner.conductor.ahead.alarms,
            {each.key: each for each in self.runner.rules.alarms},
            self._measures,
        )
        self.far.show_alarms(self.alarms.shown)
        self.card.head.alarm_above = bool(self.alarms.shown)

    @property
    def is_far(self) -> bool:
        return self.stack.currentWidget() is self.far

    def toggle_far(self) -> None:
        self.show_far(not self.is_far)

    def show_far(self, on: bool) -> None:
        if on == self.is_far:
            return
        self.stack.setCurrentIndex(1 if on else 0)
        self.alarms.set_away(on, self.far.ruler)
        self.trouble.set_away(on)
        self._say()
        self._show_place()
        self.show_state()
        self._take_focus()
        self.far_changed.emit(on)

    def offer_readings(self, read: Callable[[bool], float]) -> None:
        """A practice run: the field can be filled from the simulated thermometer."""
        self.card.needs.offer_readings(read)

    def take_reading(self) -> None:
        """A practice run: what its thermometer shows, in the field that is in sight."""
        self.card.needs.take_reading()
        if self.is_far and self.card.needs.can_probe:
            self.far.take_reading(self.card.needs.entry.text())

    def send(self, command: Command) -> None:
        if self.runner.send(command) is None:
            if self.card.form.form is not None:
                self.card.form.leave()
            if not isinstance(command, FinishStep):
                self.action.finish_asked = ""

    def press_hold(self) -> None:
        if self.runner.state.phase is Phase.RUNNING:
            self.send(Hold(say("The maker asked for it.")))

    # -- keys

    def _digit(self, character: str) -> None:
        self.keys.other()
        self._show_card()
        if self.card.form.form is not None or not self.runner.state.phase.live:
            return
        (self.far if self.is_far else self.card.needs).take_key(character)

    def _show_card(self) -> None:
        if self.near.on_rest:
            self.toggle_rest()

    @property
    def more_to_read(self) -> bool:
        """Cautions go on below what is shown: they are not read before they were seen."""
        return not self.far.on_last_page if self.is_far else self.near.more_to_read

    def _scrolled(self) -> None:
        self.show_buttons(self.runner.state)

    # -- what the runner says

    def _changed(self, state: SessionState, kinds: frozenset[str]) -> None:
        self.keys.something_happened()
        if kinds & {"step begun", "hold asked", "held", "went on"} or kinds - _QUIET:
            self.action.finish_asked = ""
            self.tell("")
        if kinds <= _ONLY_READ:
            self._sparing.ask()
        else:
            self._sparing.stop()
            self.show_state()
        step = state.step
        if "step begun" in kinds:
            self.near.to_top()
        self.near.field_soon.start()  # once the new step is laid out
        if "step begun" in kinds and step is not None:
            announce(self, self._measures.step_says(step, "instruction"), False)
        if "hold asked" in kinds and state.hold is not None:
            announce(self, self._measures.say(state.hold.safe_action), True)

    def _danger(self, danger: Danger) -> None:
        self._show_alarms()  # first of all; everything else can wait a millisecond
        QApplication.alert(self.window())
        self.show_state()  # the hold that comes with it, stored or not

    def _refused(self, refusal: Refused, command: Command) -> None:
        if isinstance(command, FinishStep) and refusal.ask_sure:
            self.action.finish_asked = command.step
            words = self.tr("{says} Press {key} once more to go on all the same.").format(
                says=self._measures.say(refusal.says), key=DONE_KEY
            )
            self.tell(words, refusal)
            self.keys.something_happened()
            return
        self.card.refused(refusal, command)
        self.far.tell(self.card.says.text())
        announce(self, self._measures.say(refusal.says), False)

    def _troubled(self, trouble: Trouble | None) -> None:
        says = "" if trouble is None else self._measures.say(trouble.says)
        self.trouble.tell(says)
        self.far.show_trouble(trouble, says)
        self.card.told_above = says
        self.show_state()
        if says:
            announce(self, says, True)

    def _ticked(self, now_s: float) -> None:
        state = self.runner.state
        self.card.show_time(now_s)
        if self.is_far:
            self.far.show_time(now_s)
        self.ahead.ring(state, now_s)
        self._looks += 1
        if self._looks % CURVE_LOOKS == 0:
            self.show_ahead()

    def answer_came(self) -> None:
        self._answers.ask()

    def show_ahead(self) -> None:
        """The look ahead and the curve, as they stand now."""
        state, now_s = self.runner.state, self.runner.now_s()
        self._show_outlook(state, now_s)
        if not self.is_far:
            self._show_curve(state, now_s)

    def _show_outlook(self, state: SessionState, now_s: float) -> None:
        self.card.show_outlook(self.ahead.look(state, now_s))
        self.far.show_outlook(self.card.outlook.text())

    def _show_curve(self, state: SessionState, now_s: float) -> None:
        names = band_names(self)
        self.near.curve_page.setVisible(bool(state.readings) or state.hot)  # the steps have the room before
        spoken = self.card.temperature.words()
        self.curve.show_data(look.curve_of(state, now_s, names, spoken, self.ahead.fan))

    # -- words and forms

    def _say(self) -> None:
        self.setAccessibleName(self.tr("The running batch"))

    def show_buttons(self, state: SessionState) -> None:
        self.foot.show_state(state, self.more_to_read)
        self.menu.show_state(state)

    def _paged(self, page: int, pages: int) -> None:
        self.foot.show_pages(page, pages, self.is_far)
        if look.cautions_unread(self.runner.state):
            self.foot.show_state(self.runner.state, self.more_to_read)

    def _letters(self) -> None:
        self.show_far(True)
        self.far.toggle_size()

    def _measures_now(self) -> Measures:
        return self._measures

    def tell(self, says: str, refusal: Refused | None = None) -> None:
        self.card.tell(says, refusal)
        self.far.tell(says)

    def _open(self, form: Form | None) -> None:
        if form is not None:
            self.show_far(False)
            self._show_card()
            self.card.open_form(form)
            self.near.field_soon.start()  # once it is laid out

    def _seen(self, key: str) -> None:
        self.runner.send(Acknowledge(key))
        self._show_alarms()

    # -- window

    def _dress(self) -> None:
        self._theme = theme_now()
        self.setStyleSheet(bench_sheet(self._theme))
        self.card.dress(self._ruler)
        self.foot.dress(self._ruler)
        self.finished.dress(self._ruler)
        self._spare_room()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self.menu.fill()
            self._say()
            self._show_place()
            self.show_state()
        if event.type() in _DRESSED and theme_now() != self._theme:
            self._theme = theme_now()
            self._dress_soon.start()  # not in the middle of the change itself
        super().changeEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.keys.watch(self.window())
        self._take_focus()

    def _take_focus(self) -> None:
        if self.is_far:
            self.far.focus_entry()
        elif self.near.on_rest:
            self.foot.rest.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.card.take_focus()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.keys.watch(None)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._spare_room()

    def _spare_room(self) -> None:
        """Where the window is low for its letters, the bars say only what must be done."""
        self.alarms.set_low(self.height() < LOW_EMS * theme_now().em())

    def minimumSizeHint(self) -> QSize:
        """What is in front and its buttons; bars of trouble take of that room, and ask for none."""
        front, foot = self.stack.minimumSizeHint(), self.foot.minimumSizeHint()
        return QSize(front.width(), front.height() + foot.height())

    def _show_place(self) -> None:
        near = self.near
        self.foot.show_place(self.is_far, near.on_rest, near.fits_side, near.fits_strip)

    def toggle_rest(self) -> None:
        """Where it is narrow: steps, curve and recipe instead of the card, and back."""
        if not self.foot.rest.isVisibleTo(self):
            return
        self.near.swap()
        self._take_focus()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.put_away()
        super().closeEvent(event)

    def put_away(self) -> None:
        """Hush, let the computer sleep, stop looking.  The batch itself goes on in the record."""
        self.alarms.hush()
        self._speech.hush()
        self._awake.release()
        self.runner.stop_looking()
        self._sparing.stop()
        self._answers.stop()
        self.keys.watch(None)
