"""What is done with recipes as a whole: open, begin, copy, save as a revision, put away, leave."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from shiboken6 import isValid

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe
from workbench.core.trouble import Trouble
from workbench.store.shelving import RecipeEntry
from workbench.ui.context import Context
from workbench.ui.editor.model import RecipeModel
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.ask import Choice, Question

BEGINNING = ("beeswax", "shea_butter", "sweet_almond")  # equal parts give a firm, light balm


class RecipeWorks(QObject):
    """listed()     another recipe is open, or the list is different
    saved(str)   what to say about it beside the save button
    """

    listed = Signal()
    said = Signal(str)

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        model: RecipeModel,
        settled: Callable[[], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._desk, self._model, self._settled = context, desk, model, settled
        self.name: str | None = None  # as it is saved; None: not saved yet
        self.revision = 0
        model.stack.indexChanged.connect(
            self._changed
        )  # after the edit, when the stack knows it is not clean
        desk.listed.connect(self.listed)
        model.opened.connect(self.listed)

    # opening

    def open_first(self) -> None:
        shown = self._desk.visible()
        if shown:
            self.open(shown[0].name)
        else:
            self.begin()

    def open(self, name: str) -> None:
        entry = self._desk.recipe(name)
        if entry is not None:
            self._show(entry.recipe, entry.name, entry.revision)

    def begin(self) -> None:
        """A new recipe to work on; it is in the project once it is saved."""
        name = self._free_name(self.tr("A new balm"))
        self._show(blank_recipe(name, self._context.catalogue), None, 0)

    def _show(self, recipe: Recipe, name: str | None, revision: int) -> None:
        self.name, self.revision = name, revision
        self._model.open(recipe)
        self.say()

    def _free_name(self, wanted: str) -> str:
        taken, number, name = {entry.name for entry in self._desk.entries}, 2, wanted
        while name in taken:
            name, number = f"{wanted} {number}", number + 1
        return name

    # asked for by the user

    def choose(self, name: str) -> None:
        if name != (self.name or ""):
            self.leave(lambda: self.open(name))
        self.listed.emit()

    def new(self) -> None:
        self.leave(self.begin)

    def copy(self) -> None:
        def take_copy() -> None:
            recipe = self._model.recipe
            self._show(recipe.model_copy(update={"name": self._free_name(recipe.name)}), None, 0)

        self.leave(take_copy)

    def put_away(self) -> None:
        if self.name is not None:
            self._desk.put_away(self.name)
            self.open_first()

    def save(self) -> bool:
        """Settle what is typed and keep it; True when it is on disk."""
        if self._desk.project is None or not self._settled():
            return False
        if self._model.locked:
            self._desk.troubled.emit(Trouble(self._model.locked))
            return False
        if self.name is not None and self._model.stack.isClean():
            return True
        number = self._desk.save(self._model.recipe, self.name)
        if number is None:
            return False
        self.name, self.revision = self._model.recipe.name, number
        self._model.stack.setClean()
        self.listed.emit()
        self.say()
        return True

    def leave(self, then: Callable[[], object]) -> None:
        """Ask about unsaved changes, then go on."""
        if not self._settled():
            return
        if self._model.stack.isClean():
            then()
            return
        question = Question(
            "leave recipe",
            self.tr("Save “{name}” first?").format(name=self._model.recipe.name),
            self.tr("It was changed since it was last saved."),
            (
                Choice("stay", self.tr("Stay here")),
                Choice("drop", self.tr("Leave without saving")),
                Choice("save", self.tr("Save and go on"), True),
            ),
        )

        def answered(key: str) -> None:
            if key == "drop":
                self._desk.forget_draft()
                then()
            elif key == "save" and self.save():
                then()

        self._context.ask.ask(question, answered)

    def earlier(self) -> tuple[RecipeEntry, ...]:
        """Saved revisions of this recipe, newest first."""
        project = self._desk.project
        if project is None or self.name is None:
            return ()
        try:
            return tuple(reversed(project.revisions(self.name)))
        except Trouble as trouble:
            self._desk.troubled.emit(trouble)
            return ()

    def take_earlier(self, revision: int) -> None:
        """An earlier revision as one undoable edit; it becomes a new revision when it is saved."""
        found = next((entry for entry in self.earlier() if entry.revision == revision), None)
        if found is not None:
            held = found.recipe.model_copy(update={"name": self._model.recipe.name})
            self._model.edit(self.tr("revision {number} again").format(number=revision), lambda _recipe: held)

    def revise(self, proposed: Recipe, words: str, then: Callable[[], object]) -> None:
        """Open the recipe of that name with what is proposed as one undoable edit, then go on.

        For whom it is, where it is worn and whose law holds stay as they are now, and of margin and flash
        point on paper the more careful: what is proposed stands on a batch that may be older than they.
        """

        def for_whom(recipe: Recipe) -> Recipe:
            if self._desk.recipe(proposed.name) is None:
                return proposed
            papers = (recipe.blend_flash_on_paper_c, proposed.blend_flash_on_paper_c)
            now = {
                "brief": recipe.brief,
                "uses": recipe.uses,
                "place": recipe.place,
                "flash_margin_k": max(recipe.flash_margin_k, proposed.flash_margin_k),
                "blend_flash_on_paper_c": min((each for each in papers if each is not None), default=None),
            }
            return proposed.model_copy(update=now)

        def change() -> None:
            if self._desk.recipe(proposed.name) is None:
                self.begin()
            elif self.name != proposed.name or not self._model.stack.isClean():
                self.open(proposed.name)
            refused = self._model.edit(words, for_whom)
            if refused:
                self._desk.troubled.emit(Trouble(refused))
            then()

        self.leave(change)

    # unsaved work of last time

    def draft(self) -> Recipe | None:
        held = self._desk.draft()
        return held if held is not None and held != self._model.recipe else None

    def take_draft(self, draft: Recipe) -> None:
        """The unsaved work as one undoable edit on the recipe it was made from."""
        if self._desk.recipe(draft.name) is not None:
            self.open(draft.name)
        else:
            self.begin()
        self._model.edit(self.tr("unsaved changes"), lambda _recipe: draft)

    # what to say

    def entries(self) -> list[tuple[str, str]]:
        """(key, text) of every recipe, with the one that is not saved yet at the end."""
        found = [(entry.name, entry.name) for entry in self._desk.visible()]
        if self.name is None and self._desk.project is not None:
            name = self._model.recipe.name
            found.append(("", self.tr("{name}, not saved yet").format(name=name)))
        return found

    def _changed(self) -> None:
        if not isValid(self._model.stack):
            return  # a stack that is destroyed with commands in it tells of them once more
        if not self._model.stack.isClean() and self._desk.project is not None:
            self._desk.keep_draft(self._model.recipe)
        if self.name is None:
            self.listed.emit()  # what is not saved yet stands in the list under the name it has now
        self.say()

    def say(self) -> None:
        if self._desk.project is None:
            text = ""
        elif self.name is None:
            text = self.tr("Not saved yet")
        elif self._model.stack.isClean():
            text = self.tr("Revision {number}").format(number=self.revision)
        else:
            text = self.tr("Changed since revision {number}").format(number=self.revision)
        self.said.emit(text)


def blank_recipe(name: str, catalogue: Catalogue) -> Recipe:
    """The least that can be worked on: equal parts of wax, butter and oil, where the tables have them."""
    parts = Amount(value=1, measure=Measure.PARTS)
    lines = tuple(BaseLine(material=key, amount=parts) for key in BEGINNING if key in catalogue.materials)
    return Recipe(name=name, base=lines, place=catalogue.shelf.home)
