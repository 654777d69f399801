"""The forms of the card: what each asks, and the command it becomes."""

from __future__ import annotations

from PySide6.QtCore import QObject

from workbench.core.batch.commands import (
    Add,
    ChangeHeat,
    Command,
    Correct,
    EndBatch,
    GoBackToBath,
    GrowBatch,
    LeaveOut,
    Refused,
    SeeSetPoint,
    SetAside,
    WriteNote,
)
from workbench.core.batch.decide_entries import correctable
from workbench.core.batch.deviations import name_of
from workbench.core.batch.guards import NO_SPARK
from workbench.core.batch.record import struck
from workbench.core.batch.state import Entry, Reading, SessionState
from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.bench.facts import BenchFacts, Suggested
from workbench.ui.bench.form import Answers, Form
from workbench.ui.bench.measures import Measures

MASSES = ("mass weighed", "tin poured", "added", "leftover kept")


class BenchForms(QObject):
    """Makes forms for the state at hand; a `QObject` only for its translations."""

    def __init__(self, facts: BenchFacts, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._facts = facts

    def note(self) -> Form:
        def make(answers: Answers) -> Command:
            return WriteNote(answers.reason)

        return Form(
            heading=self.tr("A note for the record"),
            text="",
            accept=self.tr("Write it down"),
            make=make,
            reason_label=self.tr("What you noticed"),
            need_reason=self.tr("Type the note first."),
        )

    def set_aside(self, state: SessionState, refusal: Refused, measures: Measures) -> Form:
        """A guard stands in the way and may be set aside: with a reason, and what must be stated."""
        guard = refusal.guard or Guard.FRESH_READING
        step = state.step_id
        words = {
            "flame is out": self.tr("The flame is out."),
            "hotplate off and away": self.tr("The hotplate is off and out of reach of the jug."),
            "no spark near": self.tr("Nothing near can spark: no switch, no phone on charge, no candle."),
        }
        statements = NO_SPARK if guard is Guard.FLASH_SAFE else ()

        def make(answers: Answers) -> Command:
            return SetAside(step, guard, answers.reason, answers.ticked)

        return Form(
            heading=self.tr("Go past this guard?"),
            text=measures.say(refusal.says),
            accept=self.tr("Set it aside"),
            make=make,
            reason_label=self.tr("Why"),
            statements=tuple((key, words[key]) for key in statements),
            need_reason=self.tr("A guard is only set aside with a reason. Type it in a few words."),
            need_all=self.tr("All of these must be so. See to each and tick it."),
        )

    def leave_out(self, state: SessionState, measures: Measures) -> Form:
        step = state.step_id
        title = "" if state.step is None else measures.step_says(state.step, "title")

        def make(answers: Answers) -> Command:
            return LeaveOut(step, answers.reason)

        return Form(
            heading=self.tr("Leave out “{title}”?").format(title=title),
            text=self.tr("The record will say that it was left out, and why."),
            accept=self.tr("Leave it out"),
            make=make,
            reason_label=self.tr("Why"),
            need_reason=self.tr("Type the reason in a few words."),
        )

    def change_heat(self, state: SessionState, measures: Measures) -> Form:
        step = state.step_id
        other = Heat.MICROWAVE if state.heat is Heat.WATER_BATH else Heat.WATER_BATH
        refused = "" if state.plan is None else state.plan.heat_refused.get(other.value, "")

        def make(answers: Answers) -> Command:
            if refused:
                raise Trouble(measures.say(refused))
            return ChangeHeat(step, other, answers.reason)

        heading = (
            self.tr("Go on in the microwave?")
            if other is Heat.MICROWAVE
            else self.tr("Go on in the water bath?")
        )
        return Form(
            heading=heading,
            text=measures.say(refused)
            if refused
            else self.tr("Steps, guards and cautions follow the new way, and the record keeps the change."),
            accept=self.tr("Change the heat"),
            make=make,
            reason_label=self.tr("Why"),
            need_reason=self.tr("Type the reason in a few words."),
        )

    def back_to_bath(self, state: SessionState) -> Form:
        step = state.step_id

        def make(answers: Answers) -> Command:
            return GoBackToBath(step, answers.reason)

        return Form(
            heading=self.tr("Set too early: back into the bath?"),
            text=self.tr(
                "Water bath only, with the flame out, and never above the scented ceiling. Some of the top notes will be lost."
            ),
            accept=self.tr("Back into the bath"),
            make=make,
            reason_label=self.tr("What you saw"),
            need_reason=self.tr("Type what you saw in a few words."),
        )

    def add_more(
        self, state: SessionState, measures: Measures, suggested: Suggested | None = None
    ) -> Form | None:
        """More of one line, or what the cold spoon asks for; None where there is nothing to add."""
        plan, step, facts = state.plan, state.step_id, self._facts
        if plan is None or not plan.lines:
            return None
        names = {line.material: line.name for line in plan.lines}
        if suggested is not None and suggested.material:
            names = {suggested.material: suggested.name, **names}

        def beside(material: str) -> str:
            if suggested is not None and material == suggested.material:
                return " ".join(measures.say(words) for words in (suggested.says, *suggested.also))
            return measures.say(facts.headroom(state, material)) if facts.headroom is not None else ""

        def make(answers: Answers) -> Command:
            mass_g = measures.read_mass(answers.number)
            if mass_g <= 0:
                raise Trouble(say("Nothing was added. Type the grams that went in."))
            return Add(step, answers.chosen, mass_g, answers.number, answers.reason)

        return Form(
            heading=self.tr("Add more of one thing"),
            text="",
            accept=self.tr("It went in"),
            make=make,
            choice_label=self.tr("Of what"),
            choices=tuple(names.items()),
            number_label=self.tr("How much went in"),
            number_unit=measures.mass_unit,
            reason_label=self.tr("Why"),
            beside=beside,
            need_reason=self.tr("Type the reason in a few words."),
        )

    def grow(self, state: SessionState, measures: Measures) -> Form:
        step = state.step_id
        says = self._facts.growth(state) if self._facts.growth is not None else ""

        def make(answers: Answers) -> Command:
            return GrowBatch(step, answers.reason)

        return Form(
            heading=self.tr("Grow the batch to fit?"),
            text=measures.say(says)
            or self.tr(
                "Every other line gets a new target, so that the proportions stay as they were planned."
            ),
            accept=self.tr("Grow the batch"),
            make=make,
            reason_label=self.tr("What happened"),
            need_reason=self.tr("Type what happened in a few words."),
        )

    def set_point(self, state: SessionState, measures: Measures) -> Form:
        step = state.step_id

        def make(answers: Answers) -> Command:
            return SeeSetPoint(step, measures.read_temperature(answers.number), answers.number)

        return Form(
            heading=self.tr("The first skin or cloud"),
            text=self.tr(
                "Your own observation counts more than any computation. It is asked for once per recipe."
            ),
            accept=self.tr("I saw it there"),
            make=make,
            number_label=self.tr("At what temperature"),
            number_unit=measures.temperature_unit,
        )

    def correct(self, state: SessionState, seq: int, measures: Measures) -> Form | None:
        """An earlier entry was wrong: the original stays, struck through."""
        entry = state.entry(seq)
        if entry is None:
            return None
        is_reading = isinstance(entry, Reading) or entry.kind == "set point seen"
        numeric = is_reading or (isinstance(entry, Entry) and not isinstance(entry.value, (str, bool)))
        mass = isinstance(entry, Entry) and entry.kind in MASSES

        def make(answers: Answers) -> Command:
            text = answers.number
            if not numeric:
                if not text:
                    raise Trouble(say("Type what it should have been."))
                return Correct(seq, text, text, answers.reason)
            if is_reading:
                value = measures.read_temperature(text)
            elif mass:
                value = measures.read_mass(text)
            else:
                value = measures.read_number(text)
            return Correct(seq, value, text, answers.reason)

        unit = measures.temperature_unit if is_reading else measures.mass_unit if mass else ""
        return Form(
            heading=self.tr("Correct an entry"),
            text=self.tr("Recorded as “{typed}”. It stays in the record, struck through.").format(
                typed=entry.typed or measures.say(str(getattr(entry, "value", "")))
            ),
            accept=self.tr("Correct it"),
            make=make,
            number_label=self.tr("What it should have been"),
            number_unit=unit,
            reason_label=self.tr("Why"),
            need_reason=self.tr("A correction needs a reason. Type it in a few words."),
        )

    def correct_earlier(self, state: SessionState, measures: Measures) -> Form | None:
        """Any entry of this batch, also of a step that is done; None where nothing was recorded."""
        found = {str(each.seq): each for each in correctable(state)}
        if not found:
            return None
        forms = {key: self.correct(state, each.seq, measures) for key, each in found.items()}

        def beside(key: str) -> str:
            form = forms.get(key)
            if form is None:
                return ""
            unit = self.tr("Type it in {unit}.").format(unit=form.number_unit) if form.number_unit else ""
            return f"{form.text} {unit}".strip()

        def make(answers: Answers) -> Command:
            form = forms.get(answers.chosen)
            if form is None:
                raise Trouble(say("There is no value to correct there."))
            return form.make(answers)

        return Form(
            heading=self.tr("Correct an earlier entry"),
            text="",
            accept=self.tr("Correct it"),
            make=make,
            choice_label=self.tr("Which"),
            choices=tuple((key, self._entry_words(state, each, measures)) for key, each in found.items()),
            number_label=self.tr("What it should have been"),
            reason_label=self.tr("Why"),
            beside=beside,
            need_reason=self.tr("A correction needs a reason. Type it in a few words."),
        )

    def _entry_words(self, state: SessionState, entry: Entry | Reading, measures: Measures) -> str:
        """What was recorded, as it counts now, and when."""
        value = struck(state, entry).value
        if isinstance(entry, Reading):
            what, shown = self.tr("Temperature"), measures.temperature(float(value))
        elif entry.kind == "set point seen":
            what, shown = self.tr("Where it set"), measures.temperature(float(value))
        elif isinstance(value, str):
            what, shown = self.tr("Note"), value if len(value) <= 40 else f"{value[:39]}…"
        elif entry.kind in MASSES:
            named = name_of(state, entry.material) if entry.material else ""
            what = named or self.tr("Tin {number}").format(number=entry.reason)
            shown = measures.mass(float(value), 0.01)
        else:
            asked = next(
                (
                    need.label
                    for each in state.steps
                    if each.step.id == entry.step
                    for need in each.step.needs
                    if need.key == entry.need
                ),
                entry.need,
            )
            what, shown = (
                measures.say(asked),
                measures.number(float(value), 0 if float(value).is_integer() else 1),
            )
        return self.tr("{what}: {value}, {time}").format(
            what=what, value=shown, time=entry.wall.strftime("%H:%M")
        )

    def end_batch(self, state: SessionState) -> Form:
        def make(answers: Answers) -> Command:
            return EndBatch(answers.reason, safe=True)

        return Form(
            heading=self.tr("End this batch here?"),
            text=self.tr("It cannot be taken up again. Everything recorded so far is kept."),
            accept=self.tr("End the batch"),
            make=make,
            reason_label=self.tr("Why"),
            statements=(("safe", self.tr("The heat is off and nothing hot is left standing unwatched.")),)
            if state.hot
            else (),
            need_reason=self.tr("Type the reason in a few words."),
            need_all=self.tr("Make it safe first, then tick it."),
        )
