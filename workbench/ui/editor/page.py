"""The recipe page: title, for whom, base, scent, strength and use, how much, heat."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.core.recipe import change
from workbench.ui.editor.intent import BriefPanel, TextField, UsePanel
from workbench.ui.editor.lines import BasePanel, ScentPanel
from workbench.ui.editor.making import HeatPanel, SizePanel
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.panel import RecipePanel
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row, rule
from workbench.ui.widgets.number import commit_all


class EditorPage(QWidget):
    """save_asked()  the user wants this as a revision"""

    save_asked = Signal()

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = model
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.title = TextField(self.tr("Name of the recipe"))
        as_role(self.title, "title")
        self.title.editingFinished.connect(self._rename)
        self.title_fault = Words("", "error")
        self.title_fault.hide()
        self.brief = BriefPanel(model)
        self.base = BasePanel(model)
        self.scent = ScentPanel(model)
        self.use = UsePanel(model)
        self.size_panel = SizePanel(model)
        self.heat = HeatPanel(model)
        self.panels: tuple[RecipePanel, ...] = (
            self.brief, self.base, self.scent, self.use, self.size_panel, self.heat,
        )  # fmt: skip
        content = column(gap=4)
        content.addWidget(self.title)
        content.addWidget(self.title_fault)
        for index, panel in enumerate(self.panels):
            if index:
                content.addWidget(rule())
            content.addWidget(panel)
        content.addStretch(1)
        self.scroller = Scroller(page(content, margin=6))
        self.saved = Words("", "muted")
        self.saved.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.save = button(self.tr("Save revision"), self.save_asked.emit)
        self.undo = button(self.tr("Undo"), model.stack.undo, "quiet")
        self.redo = button(self.tr("Redo"), model.stack.redo, "quiet")
        model.stack.canUndoChanged.connect(self.undo.setEnabled)
        model.stack.canRedoChanged.connect(self.redo.setEnabled)
        self.undo.setEnabled(model.stack.canUndo())
        self.redo.setEnabled(model.stack.canRedo())
        foot = row(self.undo, self.redo, self.saved, self.save, gap=2)
        foot.setStretch(2, 1)
        foot.setContentsMargins(5 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 2 * GRID_PX)
        whole = column(self.scroller, rule(), foot, gap=0)
        self.setLayout(whole)
        model.changed.connect(self.show_recipe)
        model.opened.connect(lambda: self.scroller.verticalScrollBar().setValue(0))
        model.context.shelf_changed.connect(self._shelf_changed)
        model.context.preferences_changed.connect(self.show_recipe)
        self.show_recipe()

    def show_recipe(self) -> None:
        self.title.show_text(self.model.recipe.name)
        for panel in self.panels:
            panel.show_recipe()

    def commit(self) -> bool:
        """Settle every open field; False (with the focus on it) when one cannot be read."""
        self._rename()
        self.brief.commit()
        return commit_all(self) and not self.title_fault.text()

    def say_saved(self, text: str) -> None:
        self.saved.say(text)

    def _rename(self) -> None:
        name = self.title.text().strip()
        if name == self.model.recipe.name:
            self.title_fault.say_or_hide("")
            return
        says = self.model.edit(self.tr("name"), lambda recipe: change.set_name(recipe, name))
        self.title_fault.say_or_hide(self.model.context.writer.sentence(says))

    def _shelf_changed(self) -> None:
        self.base.offer_materials()
        self.scent.offer_materials()
