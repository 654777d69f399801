"""The card of the step in hand: what to do, how long, how warm, what must be recorded.

Its head stands above what scrolls (`near`).  It shows and asks; it decides nothing.  Commands leave by `asked`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from workbench.core.batch.bursts import CUP, no_burst, reached_aim
from workbench.core.batch.commands import Command, Refused, StartBurst
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import BurstPhase, Phase, SessionState
from workbench.core.batch.steps import NeedKind, StepKind
from workbench.core.catalogue.model import Caution
from workbench.ui.bench import now as look
from workbench.ui.bench.card_head import CardHead
from workbench.ui.bench.cautions import CautionBlock, in_order
from workbench.ui.bench.facts import BenchFacts, Outlook, Suggested
from workbench.ui.bench.form import Form, FormPanel
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.bench.need_panel import NeedPanel
from workbench.ui.bench.slip_panel import SlipPanel, slip_of
from workbench.ui.bench.target import target_now
from workbench.ui.bench.words import elapsed_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button

BURST_KEY = "F5"
ASIDE_KEY = "F11"


class StepCard(QWidget):
    """asked(Command), set_aside(Refused): the maker wants past a guard, key_seen: for the press gate."""

    asked = Signal(object)
    set_aside = Signal(object)
    correct = Signal(int)
    grow = Signal()
    form_closed = Signal()
    leave_out = Signal()
    add = Signal(object)  # Suggested: what the cold spoon asks for

    def __init__(
        self,
        measures: Measures,
        rules: Rules,
        cautions: Mapping[str, Caution],
        facts: BenchFacts,
        hand_s: Callable[[], float],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.bursting = False  # a burst runs: its time is what counts
        self._measures, self._rules, self._cautions, self._facts = measures, rules, cautions, facts
        self._state = SessionState()
        self._refusal: Refused | None = None
        self.told_above = ""  # what a bar over the card says already

        head = self.head = CardHead(self)
        self.place, self.total, self.headline, self.danger = (
            head.place,
            head.total,
            head.headline,
            head.danger,
        )
        self.timer, self.temperature, self.burst, self.burst_says = (
            head.timer, head.temperature, head.burst, head.burst_says
        )  # fmt: skip
        self.burst.clicked.connect(self._burst_pressed)
        self.optional = QFrame(self)
        as_role(self.optional, "panel")
        self.optional_says = Words("", "strong", self.optional)
        self.leave_out_button = button("", self.leave_out.emit, "", self.optional)
        optional = QHBoxLayout(self.optional)
        optional.addWidget(self.optional_says, 1)
        optional.addWidget(self.leave_out_button)
        self.instruction = Words("", "lead")
        self.reason = Words("", "muted_body")
        self.outlook = Words("", "lead")
        self.outlook_remark = Words("", "muted_body")
        self.cautions = CautionBlock(self)
        self.needs = NeedPanel(measures, hand_s, self)
        self.needs.set_lots(facts.lots)
        self.slip = SlipPanel(measures, self)
        self.advice = QFrame(self)
        as_role(self.advice, "panel")
        self.advice_says = Words("", "body", self.advice)
        self.advice_add = button("", self._advice_pressed, "", self.advice)
        advice = QVBoxLayout(self.advice)
        advice.addWidget(self.advice_says)
        advice.addWidget(self.advice_add, alignment=Qt.AlignmentFlag.AlignLeft)
        self._suggested: Suggested | None = None
        self.form = FormPanel(self)
        self.done_when = Words("", "muted_body")
        self.then = Words("", "muted_body")
        self.says_frame = QFrame(self)
        as_role(self.says_frame, "says")
        self.says = Words("", "strong")
        self.aside = button("", self._aside_pressed, "", self.says_frame)
        says = QHBoxLayout(self.says_frame)
        says.addWidget(self.says, 1)
        says.addWidget(self.aside)

        box = QVBoxLayout(self)
        margin = theme_now().space(6)
        box.setContentsMargins(margin, theme_now().space(2), margin, theme_now().space(4))
        box.setSpacing(theme_now().space(3))
        box.addWidget(self.optional)
        box.addWidget(self.instruction)
        box.addWidget(self.outlook)
        box.addWidget(self.says_frame)
        box.addWidget(self.needs)
        box.addWidget(self.slip)
        box.addWidget(self.advice)
        box.addWidget(self.form)
        box.addWidget(self.outlook_remark)
        box.addWidget(self.cautions)
        box.addStretch(1)
        box.addWidget(self.reason)
        box.addWidget(self.done_when)
        box.addWidget(self.then)
        self._box = box
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)

        self.needs.asked.connect(self._need_asked)
        self.needs.said.connect(self.tell)
        self.needs.correct.connect(self.correct)
        self.form.accepted.connect(self.asked)
        self.form.closed.connect(self._form_closed)
        self.slip.asked.connect(self.asked)
        self.slip.grow.connect(self.grow)
        self.slip.again.connect(self.needs.focus_entry)
        self.tell("")
        self._say()

    # -- what it shows

    def show_state(self, state: SessionState, now_s: float, measures: Measures) -> None:
        stepped = state.step_id != self._state.step_id or state.phase is not self._state.phase
        self._state, self._measures = state, measures
        if stepped:
            self.tell("")
            if self.form.form is not None:
                self.form.leave()
        self._show_words(state)
        optional = state.step is not None and state.step.optional and state.phase is Phase.RUNNING
        self.optional.setVisible(optional)  # said before its cautions are read for nothing
        self._make_room(state)
        self.needs.show_state(state, measures)
        self._show_cautions(state)
        self.slip.show_slip(slip_of(state), state, measures)
        self._show_advice(state)
        self.show_time(now_s)
        if stepped and self.isVisible():
            self.take_focus()

    def _make_room(self, state: SessionState) -> None:
        """Once a hot step is under way its long wording goes below, so that the field stays in sight."""
        read = bool(state.readings) and state.readings[-1].step == state.step_id
        began = state.burst.count > 0 or state.burst.phase is not BurstPhase.READY
        # on hold it is short, and says why and what to do next
        under_way = state.hold is None and (read or (look.has_bursts(state.step) and began))
        below = self._box.indexOf(self.instruction) > self._box.indexOf(self.needs)
        if under_way != below:
            self._box.removeWidget(self.instruction)
            beside = self._box.indexOf(self.reason if under_way else self.outlook)
            self._box.insertWidget(beside, self.instruction)

    def show_time(self, now_s: float) -> None:
        """Only what changes with time."""
        state = self._state
        hold = state.hold
        step = state.step
        shown = look.timer_shown(state, now_s)
        unread = bool(look.cautions_unread(state)) and hold is None
        goes_on = shown.kind is look.Clockwork.UP and hold is None and state.hot and not unread
        self.total.say(
            self.tr("{time} in this step").format(time=elapsed_words(shown.seconds))
            if goes_on
            else self.tr("batch time {time}").format(time=elapsed_words(now_s))
        )
        self.timer.show_timer(shown, step, self._measures, target_now(self.needs, state))
        self.needs.target_stands_above(self.timer.weighs)
        self.head.show_hot(state.hot if hold is not None else step is not None and step.hot)
        if hold is not None or unread:
            self.timer.setVisible(False)
        wants = (not unread and look.can_read_temperature(step)) or (
            hold is not None and state.last_c is not None
        )
        self.temperature.setVisible(wants)
        if wants:
            self.temperature.show_temperature(look.temperature_shown(state, now_s), self._measures)
        self._show_burst(state)

    def show_outlook(self, outlook: Outlook | None) -> None:
        self.outlook.say_or_hide("" if outlook is None else self._measures.say(outlook.says))
        remarks = () if outlook is None else tuple(part for part in (outlook.remark, *outlook.more) if part)
        said = [self._measures.say(part) for part in remarks]
        # one line keeps the field in sight; the rest is read aloud and stands in the tip
        self.outlook_remark.say_or_hide(said[0] if said else "")
        self.outlook_remark.setToolTip(" ".join(said))
        self.outlook_remark.setAccessibleDescription(" ".join(said))

    def tell(self, says: str, refusal: Refused | None = None) -> None:
        """A sentence above the buttons: why something was not taken."""
        self._refusal = refusal
        self.says.say(says)
        self.says_frame.setVisible(bool(says))
        self.aside.setVisible(refusal is not None and refusal.can_set_aside)

    def refused(self, refusal: Refused, command: Command) -> None:
        words = " ".join(
            part
            for part in (self._measures.say(refusal.says), self._measures.say(refusal.what_to_do))
            if part
        )
        if self.form.form is not None:
            self.form.refuse(words)
            return
        if self.needs.refuse(refusal, command):
            words = self.tr("{says} Press Enter once more to record it all the same.").format(says=words)
        self.tell(words, refusal)

    @property
    def held(self) -> bool:
        return self._state.hold is not None

    def open_form(self, form: Form | None) -> None:
        if form is None:
            return
        self.needs.setVisible(False)
        self.slip.setVisible(False)
        self.advice.setVisible(False)
        self.tell("")
        self.form.open(form)

    def take_focus(self) -> None:
        """To the field; where there is none, to the card itself, where no key does harm."""
        if self.needs.isVisibleTo(self):
            self.needs.focus_entry()
        elif self.form.form is None:
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def dress(self, ruler: Ruler) -> None:
        """What the style sheet cannot say: figures that stand on the line, and what an oily finger needs."""
        self.head.dress()
        tall = round(ruler.px(self, TARGET_MM))
        self.burst.setMinimumHeight(tall)
        self.leave_out_button.setMinimumHeight(tall)
        self.needs.dress(tall)

    def minimumSizeHint(self) -> QSize:
        """The height is what its width asks for; the scroller around it finds that out."""
        return QSize(super().minimumSizeHint().width(), 0)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    # -- inside

    def _say(self) -> None:
        self.setAccessibleName(self.tr("The step in hand"))
        self.aside.setText(self.tr("Set this aside… ({key})").format(key=ASIDE_KEY))
        self.advice_add.setText(self.tr("I added it…"))
        self.optional_says.say(self.tr("This step can be left out."))
        self.leave_out_button.setText(self.tr("Leave it out…"))

    def _show_words(self, state: SessionState) -> None:
        step, hold = state.step, state.hold
        which, many = look.place_in_steps(state)
        if hold is not None:
            self.place.say(self.tr("On hold"), "on_hold")
            self.then.say_or_hide("")
            self.headline.say(self._measures.say(hold.safe_action) or self.tr("Make everything safe."))
            reason = self._measures.say(hold.reason)
            if state.phase is Phase.HELD:
                reason = (
                    self.tr("It is safe. To go on, stir, take the temperature and type it in.")
                    if state.hot
                    else self.tr("It is safe. Go on when you are ready.")
                )
            self.instruction.say_or_hide("" if reason == self.told_above else reason)
            self.reason.say_or_hide("")
            self.done_when.say_or_hide("")
            return
        if step is None:
            self.place.say("")
            self.then.say_or_hide("")
            self.headline.say(self._over_words(state))
            self.instruction.say_or_hide("")
            self.reason.say_or_hide("")
            self.done_when.say_or_hide("")
            return
        self.place.say(
            self.tr("Step {which} of {many}: {title}").format(
                which=which, many=many, title=self._measures.step_says(step, "title")
            ),
            "muted_body",
        )
        after = look.next_step(state)
        self.then.say_or_hide(
            ""
            if after is None
            else self.tr("Then: {title}").format(title=self._measures.step_says(after, "title"))
        )
        self.headline.say(self._measures.step_says(step, "bench"))
        self.instruction.say_or_hide(self._measures.step_says(step, "instruction"))
        self.reason.say_or_hide(
            self.tr("Why: {words}").format(words=self._measures.step_says(step, "reason"))
        )
        self.done_when.say_or_hide(
            self.tr("Done when: {words}").format(words=self._measures.step_says(step, "done_when"))
        )

    def _over_words(self, state: SessionState) -> str:
        if state.phase is Phase.FINISHED:
            return self.tr("This batch is finished.")
        if state.phase is Phase.ENDED_EARLY:
            return self.tr("This batch was ended early.")
        return self.tr("No batch runs.")

    def _show_cautions(self, state: SessionState) -> None:
        step = state.step
        keys = () if step is None else step.cautions
        held = look.on_hold(state)
        # a hold asks for them again, but only once the step goes on: first comes the pot
        unread = bool(look.cautions_unread(state)) and not held
        cautions = in_order(keys, self._cautions)
        self.danger.show_cautions(() if unread else cautions[:1], False)
        self.cautions.show_cautions(cautions if unread else cautions[1:], unread)
        need, form_open = self.needs.need, self.form.form is not None
        asks = need is not None and not form_open
        if held:
            asks = asks and state.hot and need is not None and need.kind is NeedKind.TEMPERATURE
        # the cautions come first: what they are about is not offered before they were read
        self.needs.setVisible(asks and not unread)
        for words in (self.reason, self.done_when, self.then):
            words.setVisible(bool(words.text()) and not unread and not form_open)
        self.instruction.setVisible(bool(self.instruction.text()) and not unread)

    def _show_advice(self, state: SessionState) -> None:
        """What the cold spoon's answer asks for, in grams."""
        step = state.step
        found: Suggested | None = None
        if step is not None and step.kind is StepKind.COLD_SPOON and state.phase is Phase.RUNNING:
            answers = (state.recorded(need.key) for need in step.needs if need.kind is NeedKind.CHOICE)
            answer = next((each for each in answers if each is not None), None)
            if answer is not None and self._facts.firmness is not None:
                found = self._facts.firmness(state, str(answer.value))
        self._suggested = found
        self.advice.setVisible(found is not None)
        if found is not None:
            self.advice_says.say(" ".join(self._measures.say(each) for each in (found.says, *found.also)))
            self.advice_add.setVisible(bool(found.material))

    def _advice_pressed(self) -> None:
        if self._suggested is not None:
            self.add.emit(self._suggested)

    def _show_burst(self, state: SessionState) -> None:
        has = look.has_bursts(state.step) and state.phase is Phase.RUNNING
        unread = bool(look.cautions_unread(state))
        phase = state.burst.phase
        self.bursting = has and phase is BurstPhase.RUNNING
        shown = has and not unread and phase is not BurstPhase.READING_DUE
        # at its stop the melt wants no burst but a stir: what is to be done then is not to start another
        there = shown and phase is BurstPhase.READY and reached_aim(state)
        self.burst.setVisible(shown and not there)
        self.burst_says.setVisible(shown and bool(self.burst_says.text()))
        if not has:
            return
        if phase is BurstPhase.READY:
            seconds = self._rules.next_burst_s(state)
            self.burst.setText(
                self.tr("Start a burst of {seconds} s ({key})").format(seconds=round(seconds), key=BURST_KEY)
                if seconds > 0
                else self.tr("No burst now")
            )
            self.burst.setEnabled(seconds > 0)
            self.burst_says.say_or_hide(self._how_to_start(state) if seconds > 0 else self._no_burst(state))
        elif phase is BurstPhase.RUNNING:
            self.burst.setText(self.tr("Stopped ({key})").format(key=BURST_KEY))
            self.burst.setEnabled(True)
            self.burst_says.say_or_hide(self.tr("Press it when the microwave has stopped."))
        else:
            self.burst.setText(self.tr("Stirred ({key})").format(key=BURST_KEY))
            self.burst.setEnabled(True)
            self.burst_says.say_or_hide("")

    def _how_to_start(self, state: SessionState) -> str:
        if state.recorded(CUP) is not None:
            return self.tr("See that the cup stands beside the jug; press it together with the start.")
        return self.tr("Press it together with the start of the microwave.")

    def _no_burst(self, state: SessionState) -> str:
        if self._rules.burst_refused(state):  # why stands above, with the look ahead
            if state.need(CUP) is not None and state.recorded(CUP) is None:
                return self.tr(
                    "No bursts without a cup of water beside the jug: say that it stands there, or change the heat to the water bath."
                )
            return self.tr("No bursts for this batch: change the heat to the water bath.")
        stop = no_burst(state)
        if stop is not None and reached_aim(state):
            # the look ahead, where there is one, says already that it is enough
            says = () if self._facts.outlook is not None else (stop.says,)
            return " ".join(self._measures.say(each) for each in (*says, stop.what_to_do))
        return self.tr("No burst now: stir and wait, it is close enough to its ceiling.")

    def next_burst(self) -> StartBurst | None:
        seconds = self._rules.next_burst_s(self._state)
        return StartBurst(self._state.step_id, float(round(seconds))) if seconds > 0 else None

    def _burst_pressed(self) -> None:
        from workbench.core.batch.commands import EndBurst, Stir

        step, phase = self._state.step_id, self._state.burst.phase
        if phase is BurstPhase.READY:
            start = self.next_burst()
            if start is not None:
                self.asked.emit(start)
        elif phase is BurstPhase.RUNNING:
            self.asked.emit(EndBurst(step))
        elif phase is BurstPhase.STIR_DUE:
            self.asked.emit(Stir(step))

    def press_burst(self) -> bool:
        """By key; False where there is nothing to start or stop."""
        if self.burst.isHidden() or not self.burst.isEnabled():
            return False
        self._burst_pressed()
        return True

    def _need_asked(self, command: Command) -> None:
        self.asked.emit(command)

    def press_aside(self) -> None:
        """By key."""
        if self.aside.isVisibleTo(self):
            self._aside_pressed()

    def _aside_pressed(self) -> None:
        if self._refusal is not None:
            self.set_aside.emit(self._refusal)

    def _form_closed(self) -> None:
        self.needs.setVisible(True)
        self._show_cautions(self._state)
        self.slip.show_slip(slip_of(self._state), self._state, self._measures)
        self._show_advice(self._state)
        self.take_focus()
        self.form_closed.emit()


KINDS_WITH_MORE = (
    StepKind.MELT_BATH,
    StepKind.MELT_BURSTS,
    StepKind.COLD_SPOON,
    StepKind.COOL,
    StepKind.ADD_FRAGRANCE,
    StepKind.STIR,
    StepKind.POUR,
)
