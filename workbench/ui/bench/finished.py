"""After the last step: what came of the batch, what can be done next, and below both how it went.

Where it is narrow the ways on come first: they are what is pressed now, and
what came of the batch is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QVBoxLayout, QWidget

from workbench.core.batch.alarms import AlarmDefinition
from workbench.core.batch.record import BatchRecord, Deviation, record
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import StepKind
from workbench.ui.bench import now as look
from workbench.ui.bench.curve import CurvePane, band_names
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.bench.step_list import StepList
from workbench.ui.bench.words import elapsed_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button, clear, column
from workbench.ui.widgets.flow import FlowLayout

MOST_DEVIATIONS = 4
BESIDE_EMS = 58  # from this width on what comes next stands beside what came of it
COURSE_EMS = 15  # the height of the curve, at least


class FinishedPage(QWidget):
    """read(), printed(), again() what the maker wants next; closing is the primary action at the foot."""

    read = Signal()
    printed = Signal()
    again = Signal()

    def __init__(
        self,
        alarms: Sequence[AlarmDefinition],
        learned: Callable[[Callable[[str], object]], object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._alarms = {each.key: each.title for each in alarms}
        self._learned = learned
        self._shown: tuple[SessionState, Measures] | None = None
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.heading = Words("", "title", self)
        self.remark = Words("", "lead", self)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme_now().space(6))
        self._grid.setVerticalSpacing(theme_now().space(3))
        self._grid.setColumnStretch(1, 1)
        self.otherwise = Words("", "head", self)
        self.deviations = Words("", "body", self)
        self.learned = Words("", "lead", self)
        self.next_head = Words("", "head", self)
        self.read_button = button("", self.read.emit, "primary", self)
        self.print_button = button("", self.printed.emit, "", self)
        self.again_button = button("", self.again.emit, "", self)
        self._buttons = (self.read_button, self.print_button, self.again_button)
        self._why = tuple(Words("", "body", self) for _ in self._buttons)
        self._next = QGridLayout()
        self._next.setHorizontalSpacing(theme_now().space(4))
        self._next.setVerticalSpacing(theme_now().space(4))
        self._next.setColumnStretch(1, 1)
        self._line = FlowLayout()
        self.wear = Words("", "body", self)
        came = column(self._grid, self.otherwise, self.deviations, self.learned, 1, gap=4)
        then = column(self.next_head, self._next, self._line, self.wear, 1, gap=4)
        self._wide: bool | None = None
        self._beside = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._beside.addLayout(came, 1)
        self._beside.addLayout(then, 1)
        self.steps = StepList(Measures(), self)
        self.curve: CurvePane | None = None  # it brings a heavy library, and comes with the end of a batch
        self._course = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._course.addWidget(self.steps, 1)
        box = self._box = QVBoxLayout(self)
        margin = theme_now().space(8)
        box.setContentsMargins(margin, theme_now().space(6), margin, theme_now().space(6))
        box.setSpacing(theme_now().space(6))
        box.addLayout(column(self.heading, self.remark, gap=2))
        box.addLayout(self._beside)
        box.addLayout(self._course, 1)
        self.dress(Ruler())
        self._arrange()

    def dress(self, ruler: Ruler) -> None:
        """As large as a finger needs."""
        for each in self._buttons:
            each.setMinimumHeight(round(ruler.px(self, TARGET_MM)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def show_state(self, state: SessionState, measures: Measures) -> None:
        if (state, measures) != self._shown:
            self._shown = (state, measures)
            self._fill()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._fill()
        super().changeEvent(event)

    # -- inside

    def _arrange(self) -> None:
        """Beside one another, each way on with its words; or the ways on first, in one line where they fit."""
        wide = self.width() >= BESIDE_EMS * theme_now().em()
        if wide is self._wide:
            return
        self._wide = wide
        ways = QBoxLayout.Direction
        self._beside.setDirection(ways.LeftToRight if wide else ways.BottomToTop)
        self._beside.setSpacing(theme_now().space(12 if wide else 4))
        self._course.setDirection(ways.LeftToRight if wide else ways.TopToBottom)
        self._course.setSpacing(theme_now().space(12 if wide else 4))
        for at, (press, words) in enumerate(zip(self._buttons, self._why, strict=True)):
            (self._line if wide else self._next).removeWidget(press)
            if wide:
                self._next.addWidget(press, at, 0)
                self._next.addWidget(words, at, 1, Qt.AlignmentFlag.AlignVCenter)
            else:
                self._next.removeWidget(words)
                self._line.addWidget(press)
        self._show_why()
        self._box.activate()  # at once: it is not shown the other way first

    def _show_why(self) -> None:
        for press, words in zip(self._buttons, self._why, strict=True):
            words.setVisible(bool(self._wide) and not press.isHidden())
            press.setToolTip("" if self._wide else words.text())

    def _show_course(self, state: SessionState, measures: Measures) -> None:
        """How warm it was all along, and how long each step took."""
        tall = COURSE_EMS * theme_now().em()
        self.steps.setMinimumHeight(tall)
        self.steps.show_state(state, measures)
        if not state.readings:
            return
        if self.curve is None:
            self.curve = CurvePane(measures, self)
            self._course.addWidget(self.curve, 2)
        self.curve.setMinimumHeight(tall)
        last_s = state.readings[-1].at_s + 60.0  # the hours of setting would leave the rest no room
        self.curve.set_measures(measures)
        self.curve.show_data(
            look.curve_of(state, last_s, band_names(self), self.tr("The batch is over."), None)
        )

    def _fill(self) -> None:
        if self._shown is None:
            return
        state, measures = self._shown
        made = record(state)
        self.heading.say(self._heading(state))
        self.remark.say_or_hide(self._remark(state, measures))
        clear(self._grid)
        for at, (name, value) in enumerate(self._facts(made, state, measures)):
            self._grid.addWidget(Words(name, "muted_body", self), at, 0, Qt.AlignmentFlag.AlignBaseline)
            self._grid.addWidget(Words(value, "figure" if at == 0 else "lead", self), at, 1)
        said = self._deviations(made.deviations, measures, self._alarms)
        self.otherwise.say_or_hide(self.tr("Otherwise than planned") if said else "")
        self.deviations.say_or_hide("\n".join(said))
        self.learned.say_or_hide("")
        if self._learned is not None:
            self._learned(self.learned.say_or_hide)
        self.read_button.setText(self.tr("Read the record"))
        self.print_button.setText(self.tr("Print labels, card, sheet"))
        self.print_button.setVisible(not state.rehearsal)
        self.again_button.setText(
            self.tr("Practise it again") if state.rehearsal else self.tr("Make it again")
        )
        self.next_head.say(self.tr("What comes next"))
        for words, text in zip(
            self._why,
            (
                self.tr("What was weighed, how warm it was, and what went another way than planned."),
                self.tr("What a tin must say: what is in it, its batch code, and the cautions."),
                self.tr("The same recipe once more, from the look round on."),
            ),
            strict=True,
        ):
            words.say(text)
        self._show_why()
        self.wear.say_or_hide(self._later(state))
        self._show_course(state, measures)
        self.setAccessibleName(self.heading.text())

    def _later(self, state: SessionState) -> str:
        """What is done another time."""
        if state.rehearsal:
            return self.tr(
                "When you want to make it in earnest: close this one, then press “Make this batch” below the recipe."
            )
        if state.phase is Phase.FINISHED:
            return self.tr(
                "Tomorrow, when it has set through: try it on skin, and write down how it wears under Past batches, Wear. The next revision is proposed from that."
            )
        return ""

    def _heading(self, state: SessionState) -> str:
        if state.rehearsal:
            return self.tr("This practice run is over.")
        if state.phase is Phase.FINISHED:
            return self.tr("This batch is finished.")
        return self.tr("This batch was ended early.")

    def _remark(self, state: SessionState, measures: Measures) -> str:
        if state.phase is Phase.ENDED_EARLY:
            return self.tr("Because: {reason}").format(reason=measures.say(state.ended_because))
        if state.rehearsal:
            return self.tr("Nothing was hot and nothing was used up; the record says that it was practice.")
        return state.recipe_name

    def _facts(self, made: BatchRecord, state: SessionState, measures: Measures) -> list[tuple[str, str]]:
        facts: list[tuple[str, str]] = []
        yields = made.yields
        if yields.in_tins_g > 0 and yields.percent is not None:
            facts.append(
                (
                    self.tr("In the tins"),
                    self.tr("{tins} of {made} that went in: {percent} %").format(
                        tins=measures.mass(yields.in_tins_g),
                        made=measures.mass(yields.made_g),
                        percent=measures.number(yields.percent, 0),
                    ),
                )
            )
        elif yields.made_g > 0:
            facts.append((self.tr("Weighed in"), measures.mass(yields.made_g)))
        if state.poured:
            tins = ", ".join(map(measures.mass, _tins_g(state, yields.weighed_tins_g is not None)))
            facts.append((self.tr("%n tins", "", len(state.poured)), tins))
        if yields.leftover_g > 0:
            facts.append((self.tr("Left over"), measures.mass(yields.leftover_g)))
        ends = [each.begun_at_s + (each.took_s or 0.0) for each in made.steps if each.begun_at_s is not None]
        if ends:
            facts.append((self.tr("Time"), elapsed_words(max(ends))))
        if made.highest_c is not None:
            facts.append((self.tr("Hottest reading"), measures.temperature(made.highest_c)))
        if made.sink_depth_mm is not None:
            facts.append(
                (
                    self.tr("Deepest dip"),
                    self.tr("{depth} mm").format(depth=measures.number(made.sink_depth_mm, 1)),
                )
            )
        if made.batch_code:
            facts.append((self.tr("Batch code"), made.batch_code))
        return facts

    def _deviations(
        self, deviations: Sequence[Deviation], measures: Measures, titles: Mapping[str, str]
    ) -> list[str]:
        """The first few, in order of time; alarms by their titles, and those that came more than once only once."""
        said: list[str] = []
        for each in deviations:
            words = measures.say(each.says)
            for key, title in titles.items():
                words = words.replace(f"“{key}”", f"“{measures.say(title)}”")
            if words not in said:
                said.append(words)
        more = len(said) - MOST_DEVIATIONS
        if more > 0:
            said = [*said[:MOST_DEVIATIONS], self.tr("and %n more in the record", "", more)]
        return said


def _tins_g(state: SessionState, weighed: bool) -> list[float]:
    """Grams tin by tin: what they hold by the scale, else what was poured."""
    if not weighed:
        return [state.poured[number].mass_g for number in sorted(state.poured)]
    return [
        float(each.value)
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for each in progress.recorded.values()
    ]
