"""What goes on the label and what it costs."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.model import Confidence
from workbench.core.skin.label import ingredient_list
from workbench.ui.editor.model import RecipeModel
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Words, column, rule
from workbench.ui.widgets.glossary import TradeWords
from workbench.ui.widgets.marks import mark
from workbench.ui.writing import Writer


class LabelPage(QWidget):
    """Ingredients in legal order, allergens with their shares, cost with what has no price."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.allergen_head = Words(self.tr("Allergens to declare"), "head")
        self.allergens = Words("")
        self.rule_words = Words("", "muted")
        self.ingredient_head = Words(self.tr("Ingredients, in order"), "head")
        self.ingredients = Words("")
        self.ingredient_note = Words("", "muted")
        self.cost_head = Words(self.tr("Cost"), "head")
        self.cost = Words("", "figure")
        self.cost_note = Words("", "attention")
        self.trade_words = TradeWords(("allergen", "INCI"))
        whole = column(
            self.allergen_head, self.allergens, self.rule_words, rule(), self.ingredient_head,
            self.ingredients, self.ingredient_note, rule(), self.cost_head, self.cost, self.cost_note, self.trade_words, 1, gap=2,
        )  # fmt: skip
        whole.setContentsMargins(0, 0, 0, GRID_PX)
        self.setLayout(whole)

    def show_recipe(self) -> None:
        model, w = self._model, self._model.context.writer
        evaluation = model.evaluation
        if evaluation is None:
            for words in (
                self.allergens,
                self.rule_words,
                self.ingredients,
                self.ingredient_note,
                self.cost_note,
            ):
                words.say_or_hide("")
            self.cost.say(self.tr("Nothing yet"))
            return
        composition, catalogue = evaluation.weighed.composition, model.context.catalogue
        listed = ingredient_list(composition, catalogue, model.recipe.place, model.context.today())
        rule_says = w.sentence(listed.allergens.rule.says)
        self.allergens.say_or_hide(
            "\n".join(
                " ".join(
                    part
                    for part in (
                        f"{one.label_name}, {w.share(one.concentration_percent)}",
                        f"({mark(one.confidence)})" if one.confidence is Confidence.MEMORY else "",
                    )
                    if part
                )
                for one in listed.allergens.declared
            )
            or self.tr("None that has to be printed here.")
        )
        unknown = [catalogue.material(key).name for key in listed.allergens.unknown]
        if unknown:
            rule_says = "\n".join(
                [
                    rule_says,
                    self.tr("Nobody stated the allergens of: {names}.").format(names=", ".join(unknown)),
                ]
            )
        self.rule_words.say_or_hide(rule_says)
        self.ingredients.say_or_hide(", ".join(listed.names))
        without = [catalogue.material(key).name for key in listed.without_inci]
        self.ingredient_note.say_or_hide(
            self.tr("Named by their trade name, for want of the label name: {names}.").format(
                names=", ".join(without)
            )
            if without
            else ""
        )
        self._show_cost(w)

    def _show_cost(self, w: Writer) -> None:
        assert self._model.evaluation is not None
        cost = self._model.evaluation.weighed.cost
        if cost.amount is None:
            self.cost.say(self.tr("Not known"), "strong")
        else:
            self.cost.say(w.money(cost.amount, cost.currency), "figure")
        self.cost_note.say_or_hide(
            self.tr("No price yet for: {names}. Add a lot with its price to the shelf.").format(
                names=", ".join(cost.missing)
            )
            if cost.missing
            else w.sentence(cost.why)
        )
