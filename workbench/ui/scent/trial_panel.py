"""Trials on paper strips: drops, four moments to smell, a line of words each, the computed course beside."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial

import numpy as np
from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QGridLayout, QLineEdit, QWidget

from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.scent.notes import notes_for
from workbench.core.scent.paper import STRIP_MOMENTS_S, PaperCourse, on_paper
from workbench.core.scent.trial import Trial, composition_of, promoted, trial_of
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.editor.model import RecipeModel, sentence_of
from workbench.ui.scent.chart import CourseChart, Picture
from workbench.ui.scent.course_data import paper_picture, short_name
from workbench.ui.scent.kept import Trials, TrialsInMind
from workbench.ui.scent.later import Later
from workbench.ui.scent.time_chart import Axis
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Words, button, column, row, rule
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed

HOUR_S = 3600.0
PAPER_TIMES_S = np.linspace(0.0, HOUR_S, 61)


def wall_now() -> datetime:
    return datetime.now().astimezone()


class MomentRow:
    """One moment: what it is, whether it is due, and a line of words."""

    def __init__(self, at_s: int, name: str, parent: QWidget) -> None:
        self.at_s = at_s
        self.name = Words(name, "body", parent)
        self.state = Words("", "muted", parent)
        self.state.setWordWrap(False)
        self.words = QLineEdit(parent)
        self.words.setAccessibleName(name)
        self.words.setMaxLength(400)


class TrialPanel(QWidget):
    """promoted()        a trial became the scent of the recipe
    smell_now(str)    a moment has come; the words say which
    """

    promoted = Signal()
    smell_now = Signal(str)

    def __init__(
        self, model: RecipeModel, now: Callable[[], datetime] = wall_now, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._model, self._now = model, now
        self._trials: Trials = TrialsInMind()
        self.trial: Trial | None = None
        self._reminded: set[int] = set()
        self._later = Later(self)
        self._later.came.connect(self._computed)
        self._look = QTimer(self)
        self._look.setInterval(1000)
        self._look.timeout.connect(self.look_again)
        self.which = ChooseBox(self.tr("Trial"), self, 16)
        self.which.chosen.connect(self._choose)
        self.new = button(self.tr("New trial from this scent"), self.begin)
        self.empty = Words(
            self.tr(
                "A few drops on a paper strip cost nothing and are smelled within an hour. Begin with the scent as it stands; several trials can stand beside one another."
            ),
            "muted",
        )
        self.body = QWidget()
        self.drops = QGridLayout()
        self.drops.setHorizontalSpacing(2 * GRID_PX)
        self.drops.setVerticalSpacing(GRID_PX)
        self.drops.setColumnStretch(3, 1)
        self._drop_rows: dict[str, tuple[QWidget, ...]] = {}
        self.adder = ChooseBox(self.tr("Another oil in this trial"), self, 12)
        self.adder.chosen.connect(self._add_oil)
        self.start = button(self.tr("The strip is dipped: start"), self.dip, "primary")
        self.again = button(self.tr("Another like it"), self.another)
        self.reminder = Words("", "attention")
        self._names = (
            self.tr("Just on"),
            self.tr("After 10 minutes"),
            self.tr("After 30 minutes"),
            self.tr("After 60 minutes"),
        )
        moments = QGridLayout()
        moments.setHorizontalSpacing(2 * GRID_PX)
        moments.setVerticalSpacing(GRID_PX)
        moments.setColumnStretch(2, 1)
        self.moments = [
            MomentRow(int(at), name, self) for at, name in zip(STRIP_MOMENTS_S, self._names, strict=True)
        ]
        for at, made in enumerate(self.moments):
            made.words.setPlaceholderText(self.tr("a line of words"))
            made.words.editingFinished.connect(self._write_words)
            for place, widget in enumerate((made.name, made.state, made.words)):
                moments.addWidget(widget, at, place)
        self.chart = CourseChart(
            self.tr("Computed share left on paper over an hour"),
            Axis(
                HOUR_S,
                (
                    (0.0, self.tr("just on")), (600.0, self.tr("10 min")),
                    (1800.0, self.tr("30 min")), (HOUR_S, self.tr("60 min")),
                ),
                knee_s=1e9,
            ),
            {Note.TOP: self.tr("top"), Note.MIDDLE: self.tr("middle"), Note.BASE: self.tr("base")},
        )  # fmt: skip
        self.chart.draggable = False
        self.computed = Words("", "muted")
        self.promote = button(self.tr("Make it the scent of the recipe"), self.take)
        self.fault = Words("", "error")
        self.fault.hide()
        self.good = Words("", "good")
        self.good.hide()
        self.body.setLayout(
            column(
                self.drops, row(self.adder, 1), row(self.start, self.again, 1), self.reminder, moments, rule(),
                Words(self.tr("Computed, neat on paper"), "strong"), self.chart, self.computed,
                row(self.promote, 1), self.good, gap=3,
            )
        )  # fmt: skip
        self.setLayout(
            column(row(self.new, self.which, 1, gap=3), self.empty, self.body, self.fault, 1, gap=3)
        )
        self._show()

    # trials

    def set_trials(self, trials: Trials) -> None:
        """Another project is open; its trials are shown."""
        self._trials = trials
        try:
            held = trials.all()
        except Trouble as trouble:
            held = ()
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(trouble)))
        self._take_up(held[-1] if held else None)

    def show_recipe(self) -> None:
        self._show()

    def _new_key(self) -> str:
        taken, number = {trial.key for trial in self._trials.all()}, 1
        while f"t{number}" in taken:
            number += 1
        return f"t{number}"

    def begin(self) -> None:
        """A new trial with the proportions of the recipe's scent."""
        evaluation, w = self._model.evaluation, self._model.context.writer
        key = self._new_key()
        name = self.tr("Trial {number}, {recipe}").format(
            number=key.removeprefix("t"), recipe=self._model.recipe.name
        )
        try:
            if evaluation is None:
                raise Trouble(say("The recipe cannot be worked out yet, so it has no proportions to try."))
            scent = evaluation.weighed.scent_composition
            made = trial_of(self._model.recipe, scent, self._model.context.catalogue, key, name)
        except Trouble as trouble:
            self.fault.say_or_hide(w.sentence(sentence_of(trouble)))
            return
        self._keep(made)

    def another(self) -> None:
        """The same drops once more, to be changed and smelled beside the first."""
        if self.trial is not None:
            key = self._new_key()
            name = self.tr("Trial {number}, {recipe}").format(
                number=key.removeprefix("t"), recipe=self.trial.recipe
            )
            self._keep(Trial(key=key, name=name, recipe=self.trial.recipe, drops=dict(self.trial.drops)))

    def _choose(self, key: str) -> None:
        self._take_up(next((trial for trial in self._trials.all() if trial.key == key), None))

    def _take_up(self, trial: Trial | None) -> None:
        self.trial = trial
        due = trial.due(self._now()) if trial is not None else ()
        self._reminded = set(due)
        self.good.say_or_hide("")
        self._show()
        self._compute()

    def _keep(self, trial: Trial) -> bool:
        """Keep it first, then show it."""
        try:
            self._trials.keep(trial)
        except Trouble as trouble:
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(trouble)))
            return False
        self.fault.say_or_hide("")
        if self.trial is None or trial.key != self.trial.key:
            self._reminded = set()
        changed = self.trial is None or trial.drops != self.trial.drops
        self.trial = trial
        self._show()
        if changed:
            self._compute()
        return True

    # drops

    def _add_oil(self, key: str) -> None:
        if self.trial is not None and key and key not in self.trial.drops:
            self._keep(self.trial.model_copy(update={"drops": {**self.trial.drops, key: 1}}))

    def set_drops(self, key: str, count: int) -> None:
        if self.trial is not None:
            self._keep(self.trial.model_copy(update={"drops": {**self.trial.drops, key: count}}))

    def _typed_drops(self, key: str, field: NumberField, typed: Typed) -> None:
        value = float(typed.value)
        if value != int(value) or not 1 <= value <= 500:
            field.refuse(self.tr("Count whole drops, 1 to 500."))
            return
        self.set_drops(key, int(value))

    def _remove_oil(self, key: str) -> None:
        if self.trial is not None:
            drops = {oil: count for oil, count in self.trial.drops.items() if oil != key}
            self._keep(self.trial.model_copy(update={"drops": drops}))

    # smelling

    def dip(self) -> None:
        """The strip is dipped now; the reminders count from here."""
        if self.trial is not None and self.trial.drops and self.trial.begun is None:
            self._reminded = set()
            self._keep(self.trial.model_copy(update={"begun": self._now()}))
            self.look_again()
            self.moments[0].words.setFocus()

    def look_again(self) -> None:
        """What is due by the clock; a tick only says to look, so a sleep of the computer does no harm."""
        trial = self.trial
        if trial is None:
            return
        now = self._now()
        for at in trial.due(now):
            if at not in self._reminded:
                self._reminded.add(at)
                self.smell_now.emit(self._smell_words(at))
        self._show_moments()

    def _smell_words(self, at: int) -> str:
        name = self._names[[int(moment) for moment in STRIP_MOMENTS_S].index(at)]
        return self.tr("Smell the strip now: {moment}.").format(moment=name[:1].lower() + name[1:])

    def _write_words(self) -> None:
        trial = self.trial
        made = next((one for one in self.moments if one.words is self.sender()), None)
        if trial is None or made is None:
            return
        text = made.words.text().strip()
        if text == trial.words.get(made.at_s, ""):
            return
        words = {at: line for at, line in trial.words.items() if at != made.at_s}
        if text:
            words[made.at_s] = text
        self._keep(trial.model_copy(update={"words": words}))

    def stop(self) -> None:
        """No more looking at the clock; for leaving the window."""
        self._look.stop()
        self._later.forget()

    # taking it

    def take(self) -> None:
        trial, catalogue = self.trial, self._model.context.catalogue
        if trial is None:
            return
        says = self._model.edit(
            self.tr("a trial as the scent"), lambda recipe: promoted(trial, recipe, catalogue)
        )
        self.fault.say_or_hide(self._model.context.writer.sentence(says))
        if not says:
            self.good.say_or_hide(self.tr("It is the scent of the recipe now, at the load it had."))
            self.promoted.emit()

    # showing

    def _show(self) -> None:
        trial, catalogue = self.trial, self._model.context.catalogue
        held = self._trials.all()
        self.which.offer([(one.key, one.name) for one in held])
        self.which.show_key(trial.key if trial is not None else None)
        self.which.setVisible(bool(held))
        self.empty.setVisible(trial is None)
        self.body.setVisible(trial is not None)
        if trial is None:
            self._look.stop()
            return
        begun = trial.begun is not None
        self._show_drops(trial, begun)
        used = set(trial.drops)
        offered = sorted(
            (
                (m.key, m.name)
                for m in catalogue.materials.values()
                if m.kind is MaterialKind.OIL and m.key not in used
            ),
            key=lambda entry: entry[1].casefold(),
        )
        self.adder.offer([("", self.tr("another oil …")), *offered])
        self.adder.show_key("")
        self.adder.setVisible(not begun)
        self.start.setVisible(not begun)
        self.start.setEnabled(bool(trial.drops))
        self.promote.setEnabled(bool(trial.drops))
        for made in self.moments:
            if not made.words.hasFocus():
                made.words.setText(trial.words.get(made.at_s, ""))
        self._show_moments()

    def _show_drops(self, trial: Trial, begun: bool) -> None:
        for key in [key for key in self._drop_rows if key not in trial.drops]:
            for widget in self._drop_rows.pop(key):
                self.drops.removeWidget(widget)
                widget.hide()
                widget.deleteLater()
        for key, count in trial.drops.items():
            if key not in self._drop_rows:
                self._new_drops(key)
            _name, field, off = self._drop_rows[key]
            assert isinstance(field, NumberField)
            field.show_text(str(count))
            field.setEnabled(not begun)
            off.setVisible(not begun)

    def _new_drops(self, key: str) -> None:
        material = self._model.context.catalogue.materials.get(key)
        name = material.name if material is not None else key
        field = NumberField(
            self.tr("Drops of {name}").format(name=name), self._model.context.writer.read_plain,
            self.tr("drops"), 4,
        )  # fmt: skip
        field.recorded.connect(lambda typed: self._typed_drops(key, field, typed))
        off = button(
            self.tr("Without"), lambda: self._remove_oil(key), "quiet",
            name=self.tr("Without {name}").format(name=name),
        )  # fmt: skip
        widgets: tuple[QWidget, ...] = (Words(short_name(name)), field, off)
        at = self.drops.rowCount()
        for place, widget in enumerate(widgets):
            self.drops.addWidget(widget, at, place)
        self._drop_rows[key] = widgets

    def _show_moments(self) -> None:
        trial, now = self.trial, self._now()
        if trial is None:
            return
        elapsed = trial.elapsed_s(now)
        due = trial.due(now)
        for made in self.moments:
            made.words.setEnabled(elapsed is not None and elapsed >= made.at_s)
            if elapsed is None:
                state, look = "", "muted"
            elif trial.words.get(made.at_s):
                state, look = self.tr("smelled"), "muted"
            elif made.at_s in due:
                state, look = self.tr("now"), "strong"
            else:
                minutes = max(1, round((made.at_s - elapsed) / 60))
                state, look = self.tr("in {count} min").format(count=minutes), "muted"
            made.state.say(state, look)
        self.reminder.say_or_hide(self._smell_words(max(due)) if due else "")
        if trial.next_in_s(now) is None:
            self._look.stop()
        elif not self._look.isActive():
            self._look.start()

    # the computed course

    def _compute(self) -> None:
        trial, catalogue = self.trial, self._model.context.catalogue
        if trial is None or not trial.drops:
            self._later.forget()
            self._show_course(None, self.tr("Nothing to reckon yet."))
            return
        scent = composition_of(trial, catalogue)
        self._later.start(partial(on_paper, scent, catalogue, PAPER_TIMES_S))

    def _computed(self, result: object) -> None:
        w, catalogue = self._model.context.writer, self._model.context.catalogue
        if isinstance(result, Trouble):
            self._show_course(None, w.sentence(sentence_of(result)))
            return
        if not isinstance(result, PaperCourse):
            return
        picture = paper_picture(result, notes_for(result.oils, catalogue), catalogue)
        marked = Picture(picture.times_s, picture.layers, marks_s=STRIP_MOMENTS_S)
        last = {oil: 100 * float(result.left[at, -1]) for at, oil in enumerate(result.oils)}
        parts = [
            self.tr("{name} {share}").format(
                name=short_name(catalogue.material(oil).name), share=w.share(value, 0)
            )
            for oil, value in sorted(last.items(), key=lambda pair: -pair[1])
        ]
        self._show_course(
            marked,
            self.tr("Left after an hour, about: {parts}. A thicker drop stays longer.").format(
                parts=", ".join(parts)
            ),
        )

    def _show_course(self, picture: Picture | None, words: str) -> None:
        self.chart.show_picture(picture)
        self.chart.setVisible(picture is not None)
        self.chart.setAccessibleDescription(words)
        self.computed.say(words)
