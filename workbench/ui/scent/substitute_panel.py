"""An oil that is not at hand: the nearest others, with what would be different."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QWidget

from workbench.core.design.substitution import Substitute, substitutes, with_substitute
from workbench.core.trouble import Trouble
from workbench.ui.editor.model import RecipeModel, sentence_of
from workbench.ui.scent.course_data import short_name
from workbench.ui.scent.later import Later
from workbench.ui.widgets.basic import Words, button, column, row
from workbench.ui.widgets.choose import ChooseBox

SHOWN = 3


class SubstitutePanel(QWidget):
    """Quiet until an oil is named; taking one is one edit."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self._missing, self._meant_g = "", 0.0
        self.found: tuple[Substitute, ...] = ()
        self._later = Later(self)
        self._later.came.connect(self._came)
        self.which = ChooseBox(self.tr("An oil that is not at hand"), self, 14)
        self.which.chosen.connect(self._asked)
        self.says = Words("", "muted")
        self.says.hide()
        self.fault = Words("", "error")
        self.fault.hide()
        self._rows: list[tuple[QWidget, Words, Words]] = []
        whole = column(row(self.which, 1), self.says, self.fault, gap=2)
        for at in range(SHOWN):
            name, text = Words("", "strong"), Words("", "small")
            take = button(self.tr("Take it"), partial(self.take, at))
            made = QWidget()
            line = row(name, take)
            line.setStretch(0, 1)
            made.setLayout(column(line, text, gap=1))
            made.hide()
            whole.addWidget(made)
            self._rows.append((made, name, text))
        self.setLayout(whole)

    def show_recipe(self) -> None:
        """The oils that can be replaced; what was found belongs to the recipe as it was."""
        catalogue = self._model.context.catalogue
        oils = [line.material for line in self._model.recipe.scent if line.material in catalogue.materials]
        self.which.offer(
            [
                ("", self.tr("an oil is not at hand …")),
                *((oil, short_name(catalogue.material(oil).name)) for oil in oils),
            ]
        )
        self.which.setVisible(bool(oils))
        self.which.show_key("")
        self._show(())

    def _asked(self, oil: str) -> None:
        evaluation, recipe = self._model.evaluation, self._model.recipe
        self.fault.say_or_hide("")
        if not oil or evaluation is None:
            self._show(())
            return
        whole = evaluation.weighed.composition
        self._missing, self._meant_g = oil, whole.as_dict().get(oil, 0.0)
        self._later.start(
            partial(
                substitutes,
                oil,
                whole,
                self._model.context.catalogue,
                recipe.uses,
                recipe.place,
                today=self._model.context.today(),
            )
        )

    def _came(self, result: object) -> None:
        if isinstance(result, Trouble):
            self._show(())
            self.fault.say_or_hide(self._model.context.writer.sentence(sentence_of(result)))
        elif isinstance(result, tuple):
            self._show(result)
            self.says.say_or_hide(
                self.tr("Nearest in how they leave the skin, how strong they are, and the limits:")
                if result
                else self.tr("Nothing near it is known among the oils to choose from.")
            )

    def _show(self, found: tuple[Substitute, ...]) -> None:
        w, catalogue = self._model.context.writer, self._model.context.catalogue
        self.found = found
        self.says.say_or_hide("")
        for at, (made, name, text) in enumerate(self._rows):
            made.setVisible(at < len(found))
            if at < len(found):
                name.say(catalogue.material(found[at].oil).name)
                text.say(" ".join(w.sentence(one) for one in found[at].says))
                made.setAccessibleName(name.text())
                made.setAccessibleDescription(text.text())

    def take(self, at: int, _checked: bool = False) -> None:
        if at >= len(self.found):
            return
        found, missing, meant_g = self.found[at], self._missing, self._meant_g
        catalogue = self._model.context.catalogue
        says = self._model.edit(
            self.tr("an oil in place of another"),
            lambda recipe: with_substitute(recipe, missing, found, meant_g, catalogue),
        )
        self.fault.say_or_hide(self._model.context.writer.sentence(says))
