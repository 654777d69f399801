"""A wish of the scent: who leads when, which oils are wanted, and three answers side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFrame,
    QGridLayout,
    QRadioButton,
    QScrollArea,
    QWidget,
)

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.design.composer import compose, with_answer
from workbench.core.design.wish import MOMENTS_S, Aim, Answer, Composed, Leaning, Wish
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.ui.editor.model import RecipeModel, sentence_of
from workbench.ui.scent.answer_card import AnswerCard
from workbench.ui.scent.course_data import short_name
from workbench.ui.scent.kept import Left, as_counted
from workbench.ui.scent.later import Later
from workbench.ui.scent.share_row import InkSlider
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, column, figure, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed
from workbench.ui.widgets.order import set_tab_order

BEGINNING = ((Note.TOP, 25), (Note.MIDDLE, 15), (Note.BASE, 6))
LEAST, MOST = 5, 45
SIDE_BY_SIDE_EM = 34
SLIDER_EM = 12  # a shorter slider is hard to set; it goes into a line of its own


@dataclass(slots=True)
class AimRow:
    at_s: float
    moment: Words
    note: ChooseBox
    slider: InkSlider
    words: Words


class Unmet(QFrame):
    """What of the wish cannot be had.  No safety colour: nothing is wrong with the balm."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "hint")
        self.heading, self.text = Words("", "strong"), Words("")
        whole = column(self.heading, self.text, gap=1)
        whole.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 3 * GRID_PX, 2 * GRID_PX)
        self.setLayout(whole)
        self.hide()

    def say(self, heading: str, text: str) -> None:
        self.heading.say(heading)
        self.text.say(text)
        self.setAccessibleName(heading)
        self.setAccessibleDescription(text)
        self.setVisible(bool(heading))


def _composed(wish: Wish, recipe: Recipe, catalogue: Catalogue, left: Left, today: date) -> Composed:
    """Blends from what is left now, not from what was counted once."""
    return compose(wish, recipe, replace(catalogue, shelf=left(catalogue.shelf, today)), today)


class WishPanel(QWidget):
    """Asks the composer off this thread; taking an answer is one edit."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self._leanings: dict[str, Leaning] = {}
        self.composed: Composed | None = None
        self._later = Later(self)
        self._later.came.connect(self._came)
        self._later.failed.connect(self._failed)
        self._left: Left = as_counted
        self.aims: list[AimRow] = []
        self._aims_narrow: bool | None = None
        self._aim_grid = grid = QGridLayout()
        grid.setHorizontalSpacing(3 * GRID_PX)
        grid.setVerticalSpacing(GRID_PX)
        notes = [
            ("", self.tr("no matter")),
            (Note.TOP.value, self.tr("top leads")),
            (Note.MIDDLE.value, self.tr("middle leads")),
            (Note.BASE.value, self.tr("base leads")),
        ]
        moments = (self.tr("Just on"), self.tr("After one hour"), self.tr("After four hours"))
        for seconds, words, (note, strength) in zip(MOMENTS_S, moments, BEGINNING, strict=True):
            made = AimRow(
                seconds,
                Words(words),
                ChooseBox(self.tr("{moment}: which note leads").format(moment=words), self, 8),
                InkSlider(self.tr("{moment}: how strong").format(moment=words), LEAST, MOST, self),
                Words("", "small"),
            )
            made.note.offer(notes)
            made.note.show_key(note.value)
            made.slider.show_value(strength)
            made.slider.valueChanged.connect(self._say_strengths)
            made.note.chosen.connect(self._say_strengths)
            made.moment.setWordWrap(False)
            made.words.setWordWrap(False)
            self.aims.append(made)
        w = model.context.writer
        self.load = NumberField(self.tr("Scent in the balm, at most"), w.read_plain, "%", 5)
        self.load.show_text("6")
        self.load.recorded.connect(self._load)
        self.drops = QRadioButton(self.tr("whole drops"))
        self.grams = QRadioButton(self.tr("grams of the scale"))
        self._how = QButtonGroup(self)
        for choice in (self.drops, self.grams):
            self._how.addButton(choice)
        self.drops.setChecked(True)
        self.shelf_only = QCheckBox(self.tr("only oils with a lot on the shelf"))
        self.adder = ChooseBox(self.tr("An oil you want in, more of, less of, or not"), self, 14)
        self.adder.chosen.connect(self._add_leaning)
        self._leaning_grid = QGridLayout()
        self._leaning_grid.setHorizontalSpacing(2 * GRID_PX)
        self._leaning_grid.setVerticalSpacing(GRID_PX)
        self._leaning_grid.setColumnStretch(3, 1)
        self._leaning_rows: dict[str, tuple[QWidget, ...]] = {}
        self.ask = button("", self.compose_now, "primary")
        self._asking = False
        self.fault = Words("", "error")
        self.fault.hide()
        self.unmet = Unmet()
        self.left_out = Words("", "muted")
        self.left_out.hide()
        self.dated = Words("", "attention")
        self.dated.hide()
        self.cards = [AnswerCard(self) for _ in range(3)]
        for number, card in enumerate(self.cards):
            card.setProperty("index", number)
            card.taken.connect(self._take)
            card.hide()
        self._card_grid = QGridLayout()
        self._card_grid.setSpacing(2 * GRID_PX)
        self._columns = 0
        self.taken = Words("", "good")
        self.taken.hide()
        self.modest = Words(
            self.tr(
                "Volatility, strength and limits are reckoned, and the base stays as it is. Whether it is beautiful your nose decides: try it on paper first."
            ),
            "muted",
        )
        self.setLayout(
            column(
                grid,
                row(figure(self.tr("Scent at most")), self.load, 1, gap=3),
                row(self.drops, self.grams, 1, gap=4),
                self.shelf_only,
                row(self.adder, 1), self._leaning_grid,
                row(self.ask, 1), self.fault, self.taken, self.unmet, self._card_grid, self.dated, self.left_out,
                self.modest, 1, gap=3,
            )
        )  # fmt: skip
        self._say_ask(False)
        self._say_strengths()
        self._arrange()
        set_tab_order(self)  # its parts were made in another order: the answers come after the question

    # the wish

    def wish(self) -> Wish:
        """What is asked.  Raises `Trouble` where nothing is."""
        aims = [
            Aim(at_s=made.at_s, note=Note(made.note.key()), strength=float(made.slider.value()))
            for made in self.aims
            if made.note.key()
        ]
        if not aims:
            raise Trouble(self.tr("Say for at least one moment which note leads."))
        scales = self._model.context.shelf.scales
        step = min((scale.readability_g for scale in scales), default=0.01)
        return Wish(
            aims=tuple(aims),
            leanings=dict(self._leanings),
            load_percent=min(20.0, max(0.1, self._model.context.writer.read_plain(self.load.edit.text()))),
            in_drops=self.drops.isChecked(),
            step_g=step,
            smallest_g=10 * step,  # ten digits: half of one is 5 %
            oils=() if self.shelf_only.isChecked() else self._every_oil(),
        )

    def _every_oil(self) -> tuple[str, ...]:
        catalogue = self._model.context.catalogue
        return tuple(m.key for m in catalogue.materials.values() if m.kind.is_scent and m.composition)

    def _load(self, typed: Typed) -> None:
        if not 0 < float(typed.value) <= 20:
            self.load.refuse(self.tr("Type more than 0 and at most 20 %."))

    def _say_strengths(self, _value: object = None) -> None:
        for made in self.aims:
            value = made.slider.value()
            words = (
                self.tr("just perceived") if value < 10
                else self.tr("gentle") if value < 17
                else self.tr("clear") if value < 27
                else self.tr("strong") if value < 37
                else self.tr("loud")
            )  # fmt: skip
            wanted = bool(made.note.key())
            made.slider.setEnabled(wanted)
            made.words.say(
                self.tr("{words}, {value} of 100").format(words=words, value=value) if wanted else ""
            )
            made.words.setMinimumWidth(max(8 * theme_now().em(), made.words.sizeHint().width()))
            made.slider.setAccessibleDescription(made.words.text())

    # leanings

    def show_recipe(self) -> None:
        catalogue = self._model.context.catalogue
        lots = {lot.material for lot in catalogue.shelf.lots}
        self.shelf_only.setVisible(bool(lots))
        offered = sorted(
            (
                (m.key, m.name)
                for m in catalogue.materials.values()
                if m.kind in (MaterialKind.OIL, MaterialKind.RESIN) and m.key not in self._leanings
            ),
            key=lambda entry: entry[1].casefold(),
        )
        self.adder.offer([("", self.tr("an oil wanted or not …")), *offered])
        self.adder.show_key("")

    def _add_leaning(self, key: str) -> None:
        if key and key not in self._leanings:
            self.set_leaning(key, Leaning.MUST)

    def set_leaning(self, key: str, leaning: Leaning) -> None:
        """Want an oil more or less; shown in a row of its own."""
        self._leanings[key] = leaning
        if key not in self._leaning_rows:
            name = self._model.context.catalogue.material(key).name
            choice = ChooseBox(self.tr("How much {name} is wanted").format(name=name), self, 9)
            choice.offer(
                [
                    (Leaning.MUST.value, self.tr("must be in")),
                    (Leaning.MORE.value, self.tr("rather more")),
                    (Leaning.LESS.value, self.tr("rather less")),
                    (Leaning.NOT.value, self.tr("not at all")),
                ]
            )
            choice.chosen.connect(lambda value: self.set_leaning(key, Leaning(value)))
            off = button(
                self.tr("No matter"), lambda: self._drop_leaning(key), "quiet",
                name=self.tr("No matter about {name}").format(name=name),
            )  # fmt: skip
            widgets: tuple[QWidget, ...] = (Words(short_name(name)), choice, off)
            at = self._leaning_grid.rowCount()
            for place, widget in enumerate(widgets):
                self._leaning_grid.addWidget(widget, at, place)
            self._leaning_rows[key] = widgets
            set_tab_order(self)
        box = self._leaning_rows[key][1]
        assert isinstance(box, ChooseBox)
        box.show_key(leaning.value)
        self.show_recipe()

    def _drop_leaning(self, key: str) -> None:
        self._leanings.pop(key, None)
        for widget in self._leaning_rows.pop(key, ()):
            self._leaning_grid.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self.show_recipe()

    # asking and showing

    def set_left(self, left: Left) -> None:
        """What is left on the shelf is asked of another project."""
        self._left = left

    def compose_now(self) -> None:
        if self._asking or not self.load.commit():
            return
        try:
            wish = self.wish()
        except Trouble as trouble:
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(trouble)))
            return
        self.fault.say_or_hide("")
        self.taken.say_or_hide("")
        self._say_ask(True)
        context = self._model.context
        self._later.start(
            partial(_composed, wish, self._model.recipe, context.catalogue, self._left, context.today())
        )

    def _say_ask(self, asking: bool) -> None:
        """A button that is switched off would lose the focus to whatever comes next."""
        self._asking = asking
        self.ask.setText(self.tr("Looking for blends …") if asking else self.tr("Find three blends"))

    def _failed(self) -> None:
        self._say_ask(False)

    def _came(self, result: object) -> None:
        self._say_ask(False)
        w = self._model.context.writer
        if isinstance(result, Trouble):
            self.fault.say_or_hide(w.sentence(sentence_of(result)))
            return
        if isinstance(result, Composed):
            self.show_answers(result)

    def show_answers(self, composed: Composed) -> None:
        self.composed = composed
        w, catalogue = self._model.context.writer, self._model.context.catalogue
        for at, card in enumerate(self.cards):
            there = at < len(composed.answers)
            card.setVisible(there)
            if there:
                card.show_answer(composed.answers[at], composed, catalogue, w)
        self.unmet.say(
            self.tr("Not all of the wish can be had") if composed.unmet else "",
            "\n".join(w.sentence(one.says) for one in composed.unmet),
        )
        names = [short_name(catalogue.material(oil).name) for oil, _why in composed.left_out]
        self.left_out.say_or_hide(
            self.tr("Not considered: {names}.").format(names=", ".join(names)) if names else ""
        )
        self.left_out.setToolTip("\n".join(w.sentence(why) for _oil, why in composed.left_out))
        self.dated.say_or_hide("\n".join(w.sentence(one) for one in composed.dated))
        self._columns = 0
        self._arrange()
        QTimer.singleShot(0, self, self._into_sight)  # once they are laid out

    def _into_sight(self) -> None:
        """The answers are seen; the focus stays where it was, so that no second press takes one."""
        above = self.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        if above is not None and not self.cards[0].isHidden():
            above.ensureWidgetVisible(self.cards[0], 0, 2 * GRID_PX)
            above.ensureWidgetVisible(self.ask, 0, 2 * GRID_PX)

    def _take(self) -> None:
        card = self.sender()
        composed = self.composed
        if composed is None or card is None:
            return
        answer = composed.answers[int(card.property("index"))]
        self.take(answer)

    def take(self, answer: Answer) -> None:
        """The answer as the scent of the recipe: one edit, which can be undone."""
        composed, catalogue = self.composed, self._model.context.catalogue
        if composed is None:
            return
        says = self._model.edit(
            self.tr("a blend for a wish"), lambda recipe: with_answer(recipe, answer, composed, catalogue)
        )
        self.fault.say_or_hide(self._model.context.writer.sentence(says))
        if not says:
            self.taken.say_or_hide(self.tr("It is in the recipe now. Undo takes it back."))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        wide = max(
            made.moment.sizeHint().width() + made.note.sizeHint().width() + made.words.minimumWidth()
            for made in self.aims
        )
        self._arrange_aims(self.width() < wide + SLIDER_EM * theme_now().em())
        columns = 3 if self.width() >= SIDE_BY_SIDE_EM * theme_now().em() else 1
        if columns == self._columns:
            return
        self._columns = columns
        for card in self.cards:
            self._card_grid.removeWidget(card)
        for at, card in enumerate(self.cards):
            self._card_grid.addWidget(card, at // columns, at % columns)
        for at in range(3):
            self._card_grid.setColumnStretch(at, 1 if at < columns else 0)

    def _arrange_aims(self, narrow: bool) -> None:
        """Each moment in one line, or its slider in a second one below."""
        if narrow == self._aims_narrow:
            return
        self._aims_narrow, grid = narrow, self._aim_grid
        for made in self.aims:
            for widget in (made.moment, made.note, made.slider, made.words):
                grid.removeWidget(widget)
        for at, made in enumerate(self.aims):
            top = 2 * at
            grid.addWidget(made.moment, top, 0)
            grid.addWidget(made.note, top, 1, 1, 2 if narrow else 1)
            grid.addWidget(made.slider, top + narrow, 1 if narrow else 2)
            grid.addWidget(made.words, top + narrow, 2 if narrow else 3)
        grid.setColumnMinimumWidth(1, 9 * theme_now().em() if narrow else 0)
        for at in range(4):
            grid.setColumnStretch(at, 1 if at == (1 if narrow else 2) else 0)
