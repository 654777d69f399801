"""What follows from the recipe: skin, stove, steps, label and cost; each card answers at a glance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from workbench.core.batch.plan import Plan
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import Evaluation
from workbench.core.design.remedies import WITHOUT_IGNITION, Remedy, remedies
from workbench.core.design.skin_remedies import SkinRemedy, skin_remedies
from workbench.core.recipe import change
from workbench.core.skin.verdict import Verdict
from workbench.core.trouble import Trouble
from workbench.ui.editor.label_page import LabelPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.skin_page import SkinPage, verdict_words
from workbench.ui.editor.steps_page import StepsPage
from workbench.ui.editor.stove_page import StovePage, window_words
from workbench.ui.scent.glance import Glance, glance_words, scent_at_a_glance
from workbench.ui.scent.kept import Left, Revisions, Trials, TrialsInMind, as_counted, no_revisions
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row, rule
from workbench.ui.widgets.cards import AnswerCards
from workbench.ui.widgets.stack import PageStack

if TYPE_CHECKING:
    from workbench.ui.scent.page import ScentPage

LOW_EM = 26  # below this height the cards show their titles only


def find_remedies(evaluation: Evaluation, catalogue: Catalogue) -> tuple[Remedy, ...]:
    """What opens an empty window; nothing to look for where it is open or unknown."""
    if evaluation.temperatures.open is not False:
        return ()
    return remedies(evaluation.recipe, catalogue)


class AnswersPage(QWidget):
    """make_asked(practice)  the batch (or a practice run of it) shall begin
    trial_promoted()      a trial on paper is the scent of the recipe now
    smell_now(words)      a paper strip is to be smelled
    test_asked(oven, beside)   a microwave shall be tested with water, with a cup beside it or without
    """

    make_asked = Signal(bool)
    trial_promoted = Signal()
    smell_now = Signal(str)
    test_asked = Signal(str, bool)

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = model
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.cards = AnswerCards(self.tr("What follows from the recipe"))
        self.cards.add("stove", self.tr("At the stove"))
        self.cards.add("skin", self.tr("On skin"))
        self.cards.add("scent", self.tr("Scent"))
        self.cards.add("steps", self.tr("Steps"))
        self.cards.add("label", self.tr("Label and cost"))
        self.cards.chosen.connect(self._choose)
        self.stove = StovePage(model)
        self.stove.remedy_chosen.connect(self._take_remedy)
        self.skin = SkinPage(model)
        self.skin.remedy_chosen.connect(self._take_skin_remedy)
        self.steps = StepsPage()
        self.steps.furnish(model.context)
        self.steps.test_asked.connect(self.test_asked)
        self.label = LabelPage(model)
        self.stack = PageStack()
        self._pages: dict[str, QWidget] = {"stove": self.stove}
        self.stack.addWidget(self.stove)
        for key, inside in (
            ("skin", self.skin), ("steps", self.steps), ("label", self.label),
        ):  # fmt: skip
            holder = column(inside)
            scroller = Scroller(page(holder, margin=6))
            self._pages[key] = scroller
            self.stack.addWidget(scroller)
        self.scent: ScentPage | None = None  # built when it is first wanted: it brings the solvers
        self._trials: Trials = TrialsInMind()
        self._revisions: Revisions = no_revisions
        self._left: Left = as_counted
        self.caution = Words("", "attention")
        self.caution.hide()
        self.why_not = Words("", "attention")
        self.practise = button(self.tr("Practice run"), self._practise)
        self.make = button(self.tr("Make this batch"), self._make, "primary")
        foot = column(self.caution, self.why_not, row(1, self.practise, self.make, gap=3))
        foot.setContentsMargins(6 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 2 * GRID_PX)
        head = row(self.cards)
        head.setContentsMargins(6 * GRID_PX, 5 * GRID_PX, 6 * GRID_PX, 0)
        whole = column(head, self.stack, rule(), foot, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._remedies: tuple[Remedy, ...] = ()
        self._skin_remedies: tuple[SkinRemedy, ...] = ()
        self.plan: Plan | None = None
        model.later("remedies", find_remedies)
        model.later("skin", skin_remedies)
        model.later("scent", scent_at_a_glance)
        model.changed.connect(self.show_recipe)
        model.arrived.connect(self._arrived)
        model.context.preferences_changed.connect(self.show_recipe)
        self.cards.choose("stove")
        self.show_recipe()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.cards.set_low(self.height() < LOW_EM * theme_now().em())

    def minimumSizeHint(self) -> QSize:
        """Of the cards when they are low: the height decides whether they are."""
        wide, em = super().minimumSizeHint().width(), theme_now().em()
        return QSize(wide, self.stack.minimumSizeHint().height() + 9 * em)

    def show_recipe(self) -> None:
        model, w = self.model, self.model.context.writer
        evaluation = model.evaluation
        self.stove.show_recipe()
        self.skin.show_recipe()
        if self.stack.currentWidget() is self._pages["label"]:
            self.label.show_recipe()
        if self.scent is not None and self.stack.currentWidget() is self.scent:
            self.scent.show_recipe()
        cards = self.cards.cards
        if evaluation is None:
            for card in cards.values():
                card.answer_with(self.tr("Nothing yet"))
            self.show_plan(None, w.trouble(model.trouble))
            return
        t, skin = evaluation.temperatures, evaluation.skin
        cards["stove"].answer_with(window_words(self, t, w), t.open is False)
        tightest = skin.tightest
        text = verdict_words(self, skin)
        if skin.verdict is Verdict.WITHIN and tightest is not None and tightest.used_percent is not None:
            used = f"{w.number(tightest.used_percent, 0)} %" if tightest.used_percent >= 1 else "< 1 %"
            text = self.tr("{used} of the tightest limit").format(used=used)
        cards["skin"].answer_with(text, skin.verdict is not Verdict.WITHIN)
        count = len(evaluation.allergens)
        cost = evaluation.weighed.cost
        allergens = self.tr("%n allergens to print", "", count)
        cards["label"].answer_with(
            allergens
            if cost.amount is None
            else self.tr("{cost}, {allergens}").format(
                cost=w.money(cost.amount, cost.currency), allergens=allergens
            )
        )
        if t.open is False:
            if "remedies" in model.results:
                self._show_remedies()
            else:
                self.stove.show_remedies((), True)
        if skin.over:
            if "skin" in model.results:
                self._show_skin_remedies()
            else:
                self.skin.show_remedies((), True)

    def show_caution(self, says: str) -> None:
        """What somebody who wore this recipe, or one of its lots, has told; "" where nothing was."""
        self.caution.say_or_hide(says)

    def show_plan(self, plan: Plan | None, why_not: str = "", startable: bool = True) -> None:
        """The steps as they would be, or why there are none; `why_not` also says why it may not start."""
        self.plan = plan
        w = self.model.context.writer
        if plan is None:
            self.steps.show_why_not(why_not)
            self.cards.cards["steps"].answer_with(self.tr("None yet"))
            self.why_not.say_or_hide(why_not)
            self.make.setEnabled(False)
            self.practise.setEnabled(False)
            return
        self.cards.cards["steps"].answer_with(self.tr("%n steps to the finished tins", "", len(plan.steps)))
        if self.stack.currentWidget() is self._pages["steps"]:
            self.steps.show_plan(plan, w)
        self.why_not.say_or_hide(why_not)
        self.make.setEnabled(startable)
        self.practise.setEnabled(startable)

    def furnish_scent(self, trials: Trials, revisions: Revisions, left: Left = as_counted) -> None:
        """Another project is open: where its trials, earlier revisions of a recipe and what is left are."""
        self._trials, self._revisions, self._left = trials, revisions, left
        if self.scent is not None:
            self.scent.furnish(trials, revisions, left)

    def _build_scent(self) -> None:
        from workbench.ui.scent.page import ScentPage

        self.scent = ScentPage(self.model)
        self.scent.furnish(self._trials, self._revisions, self._left)
        self.scent.promoted.connect(self.trial_promoted)
        self.scent.trials.smell_now.connect(self.smell_now)
        self._pages["scent"] = self.scent
        self.stack.addWidget(self.scent)

    def _choose(self, key: str) -> None:
        if key == "scent" and self.scent is None:
            self._build_scent()
        self.stack.setCurrentWidget(self._pages[key])
        if key == "label":
            self.label.show_recipe()
        elif key == "steps" and self.plan is not None:
            self.steps.show_plan(self.plan, self.model.context.writer)
        elif key == "scent" and self.scent is not None:
            self.scent.show_recipe()

    def _arrived(self, what: str) -> None:
        if what == "scent":
            held = self.model.results["scent"]
            if isinstance(held, Glance):
                self.cards.cards["scent"].answer_with(glance_words(self, held))
            return
        if what == "remedies":
            self._show_remedies()
        elif what == "skin":
            self._show_skin_remedies()

    def _show_remedies(self) -> None:
        held = self.model.results["remedies"]
        self._remedies = held if isinstance(held, tuple) else ()
        w = self.model.context.writer
        if isinstance(held, Trouble):
            self.stove.show_remedies(((w.trouble(held), "", False),), False)
            return
        self.stove.show_remedies(
            tuple((w.sentence(r.says), self._effect(r), self._suffices(r)) for r in self._remedies), False
        )

    def _suffices(self, remedy: Remedy) -> bool:
        """A batch may start after it; other remedies are steps on the way, to be followed by another."""
        return remedy.opens or remedy.kind == WITHOUT_IGNITION

    def _effect(self, remedy: Remedy) -> str:
        w, t = self.model.context.writer, remedy.temperatures
        return "\n".join((window_words(self, t, w), w.sentence(remedy.costs)))

    def _take_remedy(self, index: int) -> None:
        if index < len(self._remedies):
            remedy = self._remedies[index]
            after = remedy.recipe
            if not self._suffices(remedy):
                after = change.accept_remedy(after, "")  # a step on the way opens nothing by itself
            self.model.edit(self.tr("remedy"), lambda _recipe: after)

    def _show_skin_remedies(self) -> None:
        held, w = self.model.results["skin"], self.model.context.writer
        self._skin_remedies = held if isinstance(held, tuple) else ()
        self.skin.show_remedies(
            tuple((w.sentence(each.says), w.sentence(each.costs)) for each in self._skin_remedies), False
        )

    def _take_skin_remedy(self, index: int) -> None:
        if index < len(self._skin_remedies):
            after = self._skin_remedies[index].recipe
            self.model.edit(self.tr("within the limits on skin"), lambda _recipe: after)
            self.cards.cards["skin"].setFocus(Qt.FocusReason.OtherFocusReason)  # its button is gone

    def _make(self) -> None:
        self.make_asked.emit(False)

    def _practise(self) -> None:
        self.make_asked.emit(True)
