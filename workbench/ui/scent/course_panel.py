"""How the scent unfolds: areas over time, a slider per oil, two sentences, and an earlier revision dashed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QStackedWidget, QWidget

from workbench.core.catalogue.model import Note
from workbench.core.design.more_of import with_share
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Recipe
from workbench.core.recipe.weighed import Where
from workbench.core.scent.course import DAY_S
from workbench.core.scent.notes import note_of
from workbench.core.scent.telling import BAND_NOTE, missing_sentence, summary
from workbench.core.skin.assess import assess
from workbench.core.trouble import Trouble
from workbench.ui.editor.model import RecipeModel, sentence_of
from workbench.ui.scent.chart import CourseChart
from workbench.ui.scent.course_data import Unfolding, lines_of, picture_of, short_name, unfold, unfold_recipe
from workbench.ui.scent.share_row import InkSlider, Swatch
from workbench.ui.scent.strength_chart import StrengthChart
from workbench.ui.scent.substitute_panel import SubstitutePanel
from workbench.ui.scent.time_chart import Axis
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Words, button, column, figure, row
from workbench.ui.widgets.choose import ChooseBox

STEPS = 1000  # of a slider: a tenth of a per cent


@dataclass(frozen=True, slots=True)
class Earlier:
    """A revision to compare with."""

    key: str
    text: str
    recipe: Recipe


class ShareRow:
    """Widgets of one oil in the grid under the chart."""

    def __init__(self, parent: QWidget) -> None:
        self.key, self.index = "", -1
        self.swatch = Swatch(parent)
        self.name = Words("", "body", parent)
        self.name.setWordWrap(False)
        self.slider = InkSlider("", 1, STEPS - 1, parent)
        self.share = figure("", "body", parent)
        self.hint = Words("", "muted", parent)

    def widgets(self) -> tuple[QWidget, ...]:
        return self.swatch, self.name, self.slider, self.share, self.hint


class CoursePanel(QWidget):
    """Reads the model; a slider or an area let go is one edit."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._now: Unfolding | None = None
        self._model = model
        self._earlier: tuple[Earlier, ...] = ()
        self._rows: list[ShareRow] = []
        self.says = Words("", "lead")
        self.then = Words("")
        self.missing = Words("", "attention")
        self.to_left = button(self.tr("Share left"), self._show_left, "place")
        self.to_strength = button(self.tr("Relative strength"), self._show_strength, "place")
        self._ways = QButtonGroup(self)
        for made in (self.to_left, self.to_strength):
            made.setCheckable(True)
            self._ways.addButton(made)
        self.to_left.setChecked(True)
        self.compare = ChooseBox(self.tr("Compare with"), self, 10)
        self.compare.chosen.connect(self._compare)
        note_words = {
            Note.TOP: self.tr("top"), Note.MIDDLE: self.tr("middle"), Note.BASE: self.tr("base"),
        }  # fmt: skip
        self.chart = CourseChart(self.tr("Share of the scent left over time"), self._axis(), note_words)
        self.chart.moving.connect(self._moving)
        self.chart.moved.connect(self._moved)
        self.chart.pointed.connect(self._pointed)
        self.strength = StrengthChart(
            self.tr("Relative strength of the notes over time"),
            self._axis(),
            {
                **{str(note): word for note, word in note_words.items()},
                "faint": self.tr("faint"),
                "clear": self.tr("clear"),
                "loud": self.tr("loud"),
            },
        )
        self.strength.pointed.connect(self._pointed)
        self.charts = QStackedWidget()
        self.charts.addWidget(self.chart)
        self.charts.addWidget(self.strength)
        self.readout = Words("", "small")
        self.fault = Words("", "error")
        self.note = Words("", "muted")
        self.missing_oil = SubstitutePanel(model)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(2 * GRID_PX)
        self._grid.setVerticalSpacing(GRID_PX)
        self._grid.setColumnStretch(2, 1)
        whole = column(
            self.says, self.then, self.missing,
            row(self.to_left, self.to_strength, 1, self.compare, gap=1),
            self.charts, self.readout, self._grid, self.fault, self.missing_oil, self.note, 1, gap=3,
        )  # fmt: skip
        self.setLayout(whole)
        self.fault.hide()
        self.set_earlier(())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and self._now is not None:
            self._fill_rows([made.key for made in self._rows])  # the colours of the areas are others now

    def _axis(self) -> Axis:
        return Axis(
            DAY_S,
            (
                (0.0, self.tr("just on")),
                (300.0, self.tr("5 min")),
                (900.0, self.tr("15 min")),
                (1800.0, self.tr("30 min")),
                (3600.0, self.tr("1 h")),
                (7200.0, self.tr("2 h")),
                (14400.0, self.tr("4 h")),
                (28800.0, self.tr("8 h")),
                (DAY_S, self.tr("1 day")),
            ),
        )

    # what it shows

    def set_earlier(self, revisions: Sequence[Earlier]) -> None:
        """Revisions that can be compared with; none hides the box."""
        self._earlier = tuple(revisions)
        self.compare.offer([("", self.tr("compare with …")), *((one.key, one.text) for one in self._earlier)])
        self.compare.setVisible(bool(self._earlier))
        self._compare(self.compare.key())

    def show_recipe(self) -> None:
        evaluation, w = self._model.evaluation, self._model.context.writer
        self.note.say(w.sentence(BAND_NOTE))
        self.missing_oil.show_recipe()
        if evaluation is None:
            self._show_nothing(w.trouble(self._model.trouble))
            return
        try:
            now = unfold(evaluation.weighed.composition, self._model.recipe, self._model.context.catalogue)
        except Trouble as trouble:
            self._show_nothing(w.sentence(sentence_of(trouble)))
            return
        self._show(now)

    def _show_nothing(self, why: str) -> None:
        self._now = None
        self.says.say(why or self.tr("Nothing to show yet"))
        for words in (self.then, self.missing, self.readout):
            words.say_or_hide("")
        self.chart.show_picture(None)
        self.charts.hide()
        self._fill_rows([])

    def _show(self, now: Unfolding) -> None:
        w = self._model.context.writer
        self._now = now
        first, second = summary(now.strength)
        self.says.say(w.sentence(first))
        self.then.say_or_hide(w.sentence(second))
        missing = missing_sentence(now.course)
        self.missing.say_or_hide(w.sentence(missing) if missing is not None else "")
        self.charts.setVisible(bool(now.course.oils))
        self._draw(now)
        lines = self._model.recipe.scent
        self._fill_rows([line.material for line in lines])
        self._describe(f"{self.says.text()} {self.then.text()}")

    def _draw(self, now: Unfolding) -> None:
        """The charts alone, which is all that is needed while an oil is being drawn."""
        self.chart.show_picture(picture_of(now, self._old()))
        self.strength.show_lines(now.course.times_s, lines_of(now))
        self._pointed(-1.0 if self.chart.cursor_s is None else self.chart.cursor_s)

    def _old(self) -> Unfolding | None:
        chosen = next((one for one in self._earlier if one.key == self.compare.key()), None)
        if chosen is None:
            return None
        try:
            return unfold_recipe(chosen.recipe, self._model.context.catalogue)
        except Trouble as trouble:
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(trouble)))
            return None

    def _compare(self, _key: str) -> None:
        self.fault.say_or_hide("")
        if self._now is not None:
            self._draw(self._now)

    def _describe(self, words: str) -> None:
        for chart in (self.chart, self.strength):
            if chart.accessibleDescription() != words:
                chart.setAccessibleDescription(words)
                QAccessible.updateAccessibility(QAccessibleEvent(chart, QAccessible.Event.DescriptionChanged))

    # the rows

    def _fill_rows(self, oils: list[str]) -> None:
        while len(self._rows) > len(oils):
            for widget in self._rows.pop().widgets():
                self._grid.removeWidget(widget)
                widget.hide()
                widget.deleteLater()
        while len(self._rows) < len(oils):
            self._new_row()
        evaluation = self._model.evaluation
        if evaluation is None:
            return
        catalogue, w, colours = (
            self._model.context.catalogue,
            self._model.context.writer,
            self.chart.colours(),
        )
        lines = {line.index: line for line in evaluation.weighed.lines if line.where is Where.SCENT}
        total = sum(line.exact_g for line in lines.values()) or 1.0
        for index, (made, oil) in enumerate(zip(self._rows, oils, strict=True)):
            name = catalogue.material(oil).name
            share = lines[index].exact_g / total if index in lines else 0.0
            made.key, made.index = oil, index
            made.swatch.show_colour(colours.get(oil))
            made.slider.fill = colours.get(oil)
            made.name.say(short_name(name))
            made.name.setToolTip(name)
            made.slider.setAccessibleName(self.tr("Share of {name} in the scent").format(name=name))
            made.slider.setEnabled(len(oils) > 1 and share > 0)
            made.slider.show_value(round(STEPS * share))
            made.share.say(w.share(100 * share, 0 if share >= 0.1 else 1))
            made.slider.setAccessibleDescription(made.share.text())
            view = note_of(oil, catalogue)
            made.hint.say_or_hide(w.sentence(view.says) if view.agree is False else "")
            made.slider.update()

    def _new_row(self) -> None:
        made, at = ShareRow(self), 2 * len(self._rows)
        made.slider.wished.connect(lambda value: self._moving(made.key, value / STEPS))
        made.slider.settled.connect(lambda value: self._moved(made.key, value / STEPS))
        self._grid.addWidget(made.swatch, at, 0)
        self._grid.addWidget(made.name, at, 1)
        self._grid.addWidget(made.slider, at, 2)
        self._grid.addWidget(made.share, at, 3)
        self._grid.addWidget(made.hint, at + 1, 1, 1, 3)
        self._rows.append(made)

    # drawing an oil larger or smaller

    def _at_share(self, key: str, share: float, recipe: Recipe) -> Recipe:
        evaluation = self._model.evaluation
        index = next((at for at, line in enumerate(recipe.scent) if line.material == key), None)
        if evaluation is None or index is None:
            return recipe
        return with_share(recipe, evaluation.weighed, index, share)

    def _moving(self, key: str, share: float) -> None:
        """Show it at this share, and what that does to the limits; nothing is changed yet."""
        catalogue, recipe = self._model.context.catalogue, self._model.recipe
        try:
            wished = self._at_share(key, share, recipe)
            whole = work_out(wished, catalogue).composition
            now = unfold(whole, wished, catalogue)
            skin = assess(whole, catalogue, recipe.uses, recipe.place)
        except Trouble as trouble:
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(trouble)))
            return
        self.fault.say_or_hide("")
        self._draw(now)
        w = self._model.context.writer
        for made in self._rows:
            if made.key == key:
                made.share.say(w.share(100 * share, 0 if share >= 0.1 else 1))
        tightest = skin.tightest
        if tightest is not None and tightest.used_percent is not None:
            self.readout.say(
                self.tr("{name} at {share}: {used} of the limit on skin for {limit}").format(
                    name=short_name(catalogue.material(key).name),
                    share=w.share(100 * share, 0 if share >= 0.1 else 1),
                    used=f"{w.number(tightest.used_percent, 0)} %",
                    limit=w.sentence(tightest.name),
                ),
                "danger" if skin.over else "small",
            )

    def _moved(self, key: str, share: float) -> None:
        says = self._model.edit(self.tr("share of an oil"), lambda recipe: self._at_share(key, share, recipe))
        self.fault.say_or_hide(self._model.context.writer.sentence(says))
        if self._now is not None:
            self.show_recipe()  # whole drops may have come to the same again

    # looking

    def _show_left(self) -> None:
        self.charts.setCurrentWidget(self.chart)

    def _show_strength(self) -> None:
        self.charts.setCurrentWidget(self.strength)

    def _pointed(self, seconds: float) -> None:
        """What is left, in words, where the cursor stands."""
        now, w = self._now, self._model.context.writer
        for chart in (self.chart, self.strength):
            if chart is not self.sender():
                chart.blockSignals(True)
                chart.point_at(None if seconds < 0 else seconds)
                chart.blockSignals(False)
        if now is None or seconds < 0 or not now.course.oils:
            self.readout.say(
                self.tr("Point at a time, or use the arrow keys, to read what is left then."), "small"
            )
            return
        run = now.course
        left = {oil: float(np.interp(seconds, run.times_s, run.left[at])) for at, oil in enumerate(run.oils)}
        whole = float(sum(left[oil] * mass for oil, mass in zip(run.oils, run.masses_g, strict=True)))
        parts = [
            self.tr("{name} {share}").format(
                name=short_name(run.volatility.catalogue.material(oil).name), share=w.share(100 * value, 0)
            )
            for oil, value in sorted(left.items(), key=lambda pair: -pair[1])
        ]
        words = self.tr("After {time}: {share} of the scent left. {parts}").format(
            time=time_words(self, seconds),
            share=w.share(100 * whole / float(run.masses_g.sum()), 0),
            parts=", ".join(parts),
        )
        self.readout.say(words, "small")
        self._describe(words)


def time_words(widget: QWidget, seconds: float) -> str:
    """A time on the axis, as coarse as it can be read."""
    minutes = seconds / 60
    if minutes < 90:
        return widget.tr("{count} min").format(count=round(minutes))
    return widget.tr("{count} h").format(count=round(minutes / 60))
