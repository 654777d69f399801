"""The brief, the intended use and place, and the fragrance load."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLineEdit, QWidget

from workbench.core.catalogue.model import Place, Use
from workbench.core.recipe import change
from workbench.core.recipe.model import Brief
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.panel import Form, RecipePanel
from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.basic import Words, button, column, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed

MOST_LOAD = 40.0  # per cent; a recipe cannot ask for more


class TextField(QLineEdit):
    """One line of words, settled when the field is left or Enter is pressed."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)

    def show_text(self, text: str) -> None:
        if self.text() != text and not (self.hasFocus() and self.isModified()):
            self.setText(text)
            self.setCursorPosition(0)


class BriefPanel(RecipePanel):
    """For whom and what.  Folded to one sentence until it is wanted."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("For whom"))
        self.toggle = button(self.tr("Change"), self._toggle, "quiet", name=self.tr("Change for whom"))
        self.toggle.setCheckable(True)
        self.tools.addWidget(self.toggle)
        self.summary = Words("", "body")
        self.form_holder = QWidget()
        form = Form()
        self.for_whom = TextField(self.tr("Initials"))
        self.for_whom.setMaxLength(8)
        self.occasion = TextField(self.tr("Occasion"))
        self.liked = TextField(self.tr("Liked"))
        self.disliked = TextField(self.tr("Disliked"))
        self.allergies = TextField(self.tr("Allergies"))
        self.allergies.setPlaceholderText(self.tr("one after the other, with commas"))
        self.worn_where = TextField(self.tr("Worn where"))
        for name, field in (
            (self.tr("&Initials only"), self.for_whom),
            (self.tr("Occasion"), self.occasion),
            (self.tr("Liked"), self.liked),
            (self.tr("Disliked"), self.disliked),
            (self.tr("Allergies"), self.allergies),
            (self.tr("Worn where"), self.worn_where),
        ):
            form.add(name, field)
            field.editingFinished.connect(self._settle)
        ticks = QGridLayout()
        ticks.setHorizontalSpacing(4 * GRID_PX)
        self.ticks: dict[str, QCheckBox] = {}
        for index, (key, name) in enumerate(
            (
                ("worn_in_sun", self.tr("Worn in the sun")),
                ("pregnant", self.tr("Pregnant or nursing")),
                ("child", self.tr("A child")),
                ("asthma", self.tr("Asthma")),
                ("broken_skin", self.tr("Broken skin")),
                ("pets", self.tr("Pets at home")),
                ("selling", self.tr("Made to be sold")),
            )
        ):
            tick = QCheckBox(name)
            tick.toggled.connect(self._settle)
            self.ticks[key] = tick
            ticks.addWidget(tick, index // 2, index % 2)
        form.add_wide(ticks)
        self.form_holder.setLayout(form)
        self.form_holder.hide()
        self.body.addWidget(self.summary)
        self.body.addWidget(self.form_holder)
        self.body.addWidget(self.fault)
        self._showing = False

    def _toggle(self) -> None:
        shown = self.toggle.isChecked()
        self.form_holder.setVisible(shown)
        self.summary.setVisible(not shown)
        self.toggle.setText(self.tr("Done") if shown else self.tr("Change"))
        self.toggle.setAccessibleName(self.tr("Done with for whom") if shown else self.tr("Change for whom"))
        if shown:
            self.for_whom.setFocus(Qt.FocusReason.OtherFocusReason)

    def commit(self) -> None:
        self._settle()

    def _settle(self) -> None:
        if self._showing:
            return
        words = [word.strip() for word in self.allergies.text().split(",")]
        brief = Brief(
            for_whom=self.for_whom.text().strip(),
            occasion=self.occasion.text().strip(),
            liked=self.liked.text().strip(),
            disliked=self.disliked.text().strip(),
            allergies=tuple(word for word in words if word),
            worn_where=self.worn_where.text().strip(),
            **{key: tick.isChecked() for key, tick in self.ticks.items()},
        )
        if brief != self.model.recipe.brief:
            self.edit(self.tr("for whom"), lambda recipe: change.set_brief(recipe, **dict(brief)))

    def show_recipe(self) -> None:
        brief = self.model.recipe.brief
        self._showing = True
        for field, text in (
            (self.for_whom, brief.for_whom),
            (self.occasion, brief.occasion),
            (self.liked, brief.liked),
            (self.disliked, brief.disliked),
            (self.allergies, ", ".join(brief.allergies)),
            (self.worn_where, brief.worn_where),
        ):
            field.show_text(text)
        for key, tick in self.ticks.items():
            tick.setChecked(bool(getattr(brief, key)))
        self._showing = False
        said = [
            brief.for_whom,
            brief.occasion,
            self.tr("likes {what}").format(what=brief.liked) if brief.liked else "",
            self.tr("not {what}").format(what=brief.disliked) if brief.disliked else "",
            self.tr("allergic to {what}").format(what=", ".join(brief.allergies)) if brief.allergies else "",
            *(tick.text() for key, tick in self.ticks.items() if tick.isChecked() and key != "worn_in_sun"),
        ]
        facts = " · ".join(part for part in said if part)
        self.summary.say(
            facts
            or self.tr("Nobody in particular yet. Allergies, pregnancy or asthma change what is said below."),
            "body" if facts else "muted",
        )


class UsePanel(RecipePanel):
    """How much scent, on which skin, under whose rules."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("Strength and use"))
        self.load = NumberField(self.tr("Scent in the balm"), model.context.read_plain, "%", 6)
        self.load.recorded.connect(self._load)
        self.from_scent = QCheckBox(self.tr("The scent's own grams and drops decide"))
        self.from_scent.toggled.connect(self._from_scent)
        self.most = Words("", "muted")
        form = Form()
        form.add(self.tr("&Scent in the balm"), row(self.load, self.most, gap=3), self.load.edit)
        form.add_wide(self.from_scent)
        self.uses: dict[Use, QCheckBox] = {}
        box = QGridLayout()
        box.setHorizontalSpacing(4 * GRID_PX)
        names = {
            Use.PERFUME: self.tr("solid perfume"),
            Use.LIPS: self.tr("lips"),
            Use.HANDS: self.tr("hands"),
            Use.BODY: self.tr("body"),
            Use.FACE: self.tr("face"),
        }
        for index, use in enumerate(Use):
            tick = QCheckBox(names[use])
            tick.setAccessibleName(self.tr("Meant for {use}").format(use=names[use]))
            tick.toggled.connect(self._used)
            self.uses[use] = tick
            box.addWidget(tick, index // 3, index % 3)
        form.add(self.tr("Meant for"), box)
        self.place = ChooseBox(self.tr("Rules of"), self, 18)
        self.place.offer(
            [
                (Place.EU.value, self.tr("European Union")),
                (Place.UK.value, self.tr("United Kingdom")),
                (Place.US.value, self.tr("United States")),
            ]
        )
        self.place.chosen.connect(self._placed)
        form.add(self.tr("R&ules of"), row(self.place, 1), self.place)
        self.body.addLayout(form)
        self.body.addWidget(self.fault)
        self.explain("fragrance load", "leave-on", "category", "limit")
        self._showing = False

    def show_recipe(self) -> None:
        recipe, evaluation = self.model.recipe, self.model.evaluation
        self._showing = True
        w = self.writer
        own = recipe.load_from_scent
        load = recipe.load_percent
        if own and evaluation is not None:
            load = evaluation.weighed.load_percent
        self.load.show_text(w.short(load, 2))
        self.load.setEnabled(not own)
        self.from_scent.setChecked(own)
        for use, tick in self.uses.items():
            tick.setChecked(use in recipe.uses)
        self.place.show_key(recipe.place.value)
        most = evaluation.skin.largest_load_percent if evaluation is not None else None
        self.most.say_or_hide(
            ""
            if most is None or most >= MOST_LOAD
            else self.tr("at most {share} with this scent").format(share=w.share(most)),
            "attention" if most is not None and load > most else "muted",
        )
        self._showing = False

    def _load(self, typed: Typed) -> None:
        says = self.model.edit(
            self.tr("strength"), lambda recipe: change.set_load(recipe, float(typed.value))
        )
        if says:
            self.load.refuse(self.writer.sentence(says))

    def _from_scent(self, on: bool) -> None:
        if not self._showing:
            self.edit(
                self.tr("what decides the strength"), lambda recipe: change.let_scent_set_load(recipe, on)
            )

    def _used(self) -> None:
        if self._showing:
            return
        uses = tuple(use for use, tick in self.uses.items() if tick.isChecked())
        self.edit(self.tr("intended use"), lambda recipe: change.set_uses(recipe, uses))
        self.show_recipe()

    def _placed(self, key: str) -> None:
        self.edit(self.tr("rules"), lambda recipe: change.set_place(recipe, Place(key)))


def em_width(ems: float) -> int:
    return round(theme_now().em() * ems)


__all__ = ["BriefPanel", "TextField", "UsePanel", "column", "em_width"]
