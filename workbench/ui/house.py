"""Everything that works in the window: project, recipes, batches, shelf and preferences, joined up here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QApplication

from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.ui import theme
from workbench.ui.batch_kit import BatchKit
from workbench.ui.batch_works import BatchWorks
from workbench.ui.context import Context
from workbench.ui.editor.model import RecipeModel
from workbench.ui.keeping.room import KeepingRoom
from workbench.ui.paper.room import PaperRoom
from workbench.ui.past_room import PastRoom
from workbench.ui.preferences import TEXT_SIZES, Preferences
from workbench.ui.project_desk import ENDING, ProjectDesk
from workbench.ui.recipe_works import RecipeWorks, blank_recipe
from workbench.ui.scent.kept import TrialsOfProject, left_of
from workbench.ui.widgets.ask import FileWish, QtAsk, SilentAsk
from workbench.ui.widgets.glossary import explain_near
from workbench.ui.window import MainWindow, sample_name
from workbench.ui.workplace import Workplace

if TYPE_CHECKING:
    from workbench.ui.batch_room import BatchRoom
    from workbench.ui.batch_works import Planner
    from workbench.ui.history import HistoryPage
    from workbench.ui.shelf.page import ShelfPage


class House(QObject):
    """Built with everything it needs; it looks nothing up by itself."""

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        starter: Shelf,
        planner: Planner,
        kit: BatchKit,
        keep_preferences: Callable[[Preferences], object] = lambda _preferences: None,
    ) -> None:
        super().__init__()
        self.context, self.desk, self._starter, self._keep = context, desk, starter, keep_preferences
        self._kit = kit
        context.setParent(self)
        desk.setParent(self)
        self.model = RecipeModel(context, blank_recipe(self.tr("A new balm"), context.catalogue), self)
        self.workplace = Workplace(self.model)
        self.recipes = RecipeWorks(context, desk, self.model, self.settled, self)
        self.batches = BatchWorks(
            context, desk, self.model, self.recipes, self.workplace.answers, planner, kit, self
        )
        self.prints = PaperRoom(context, desk, lambda: self.workplace.answers.plan, self)
        self.past = PastRoom(context, desk, self)
        self.keeping = KeepingRoom(
            context, desk, lambda: self.batches.running, self.batches.pending, self.settled, self
        )
        self.shelf: ShelfPage | None = None  # built when it is first wanted
        self.window: MainWindow

    def move_in(self, window: MainWindow) -> None:
        self.window = window
        self.setParent(window)
        if isinstance(self.context.ask, SilentAsk):
            self.context.ask = QtAsk(window)
        window.add_page("recipe", self.workplace)
        self._connect()
        self._fill_strip()
        self._fill_menus()
        window.first.offer(Path(self.context.preferences.last_project))

    def _connect(self) -> None:
        window, editor = self.window, self.workplace.editor
        window.first.new_asked.connect(self.new_project)
        window.first.open_asked.connect(self.open_project)
        window.first.sample_asked.connect(self._open_sample)
        window.first.last_asked.connect(self.open_path)
        window.first.practise_asked.connect(self._practise_first)
        editor.save_asked.connect(self.recipes.save)
        self.recipes.said.connect(editor.say_saved)
        self.recipes.listed.connect(self._show_list)
        self.batches.opened.connect(self._show_batch)
        self.batches.closed.connect(self._drop_batch)
        self.batches.look_at.connect(self.to_history)
        self.batches.print_asked.connect(self.prints.of_session)
        self.batches.copy_asked.connect(self.keeping.save_copy)
        self.desk.opened.connect(self._opened)
        self.desk.troubled.connect(window.tell_trouble)
        self.past.move_in(window)
        self.past.print_asked.connect(self.prints.of_session)
        self.past.revise_asked.connect(
            lambda recipe, words: self.recipes.revise(recipe, words, self.to_recipe)
        )
        self.past.practise_asked.connect(self._practise)
        self.past.make_asked.connect(self._make)
        self.workplace.answers.trial_promoted.connect(self.recipes.save)
        self.workplace.answers.smell_now.connect(self._smell_now)
        self.workplace.answers.test_asked.connect(self.test_oven)
        self.context.preferences_changed.connect(self._preferences_changed)
        theme.when_system_changes(self.follow_system)

    def _fill_strip(self) -> None:
        strip = self.window.strip
        strip.recipes.chosen.connect(self.recipes.choose)
        strip.add.clicked.connect(self.recipes.new)
        for key, text, slot in (
            ("batch", self.tr("Batch"), self.to_batch),
            ("recipe", self.tr("Recipe"), self.to_recipe),
            ("history", self.tr("Past batches"), self.to_history),
            ("shelf", self.tr("Shelf"), self.to_shelf),
            ("settings", self.tr("Preferences"), self.to_settings),
        ):
            strip.add_way(key, text).clicked.connect(slot)
        strip.ways["batch"].hide()

    def _fill_menus(self) -> None:
        window, keys = self.window, QKeySequence.StandardKey
        act, menu = window.act, window.project_menu
        act(menu, self.tr("New project …"), self.new_project, "Ctrl+Shift+N")
        act(menu, self.tr("Open project …"), self.open_project, keys.Open)
        samples = menu.addMenu(self.tr("Samples"))
        for path in window.places.samples:
            act(samples, sample_name(path), self._sample_action).setData(str(path))
        samples.setEnabled(bool(window.places.samples))
        menu.addSeparator()
        act(menu, self.tr("Export as JSON …"), self.keeping.export, "Ctrl+Shift+E")
        act(menu, self.tr("Import from JSON …"), self.import_project)
        menu.addSeparator()
        self.keeping.move_in(window)
        menu.addSeparator()
        act(menu, self.tr("Leave"), window.close, keys.Quit)
        menu = window.recipe_menu
        act(menu, self.tr("New recipe"), self.recipes.new, keys.New)
        act(menu, self.tr("A copy of this one"), self.recipes.copy, "Ctrl+D")
        act(menu, self.tr("Save revision"), self.recipes.save, keys.Save)
        menu.addSeparator()
        for action, key in (
            (self.model.stack.createUndoAction(window, self.tr("Undo")), keys.Undo),
            (self.model.stack.createRedoAction(window, self.tr("Redo")), keys.Redo),
        ):
            action.setShortcuts(key)
            menu.addAction(action)
        menu.addSeparator()
        self.earlier = menu.addMenu(self.tr("Earlier revisions"))
        self.earlier.aboutToShow.connect(self._list_earlier)
        act(menu, self.tr("Put this recipe away"), self.recipes.put_away)
        menu = window.batch_menu
        self._starts = (
            act(menu, self.tr("Make this batch"), self._make, "Ctrl+Return"),
            act(menu, self.tr("Practice run"), self._practise, "Ctrl+Shift+Return"),
        )
        self.prints.move_in(window)
        menu = window.view_menu
        act(menu, self.tr("Recipe"), self.to_recipe, "Ctrl+1")
        act(menu, self.tr("Shelf"), self.to_shelf, "Ctrl+2")
        act(menu, self.tr("Batch"), self.to_batch, "Ctrl+3")
        act(menu, self.tr("Past batches"), self.to_history, "Ctrl+4")
        act(menu, self.tr("Preferences"), self.to_settings, "Ctrl+,")
        act(menu, self.tr("What these words mean"), self._explain, "F1")
        menu.addSeparator()
        act(menu, self.tr("Larger text"), self._larger, keys.ZoomIn)
        act(menu, self.tr("Smaller text"), self._smaller, keys.ZoomOut)

    # places in the window

    def to_recipe(self) -> None:
        self.batches.look_again()
        self.window.show_page("recipe" if self.desk.project is not None else "")

    def to_batch(self) -> None:
        if self.batches.room is not None:
            self.window.show_page("batch")

    def to_shelf(self) -> None:
        if self.desk.project is None:
            return
        if self.shelf is None:
            from workbench.ui.shelf.page import ShelfPage
            from workbench.ui.shelf.past import PastOfDesk
            from workbench.ui.shelf.stock_data import ports_of

            ports = ports_of(self.desk, self.model)
            self.shelf = ShelfPage(self.context, self._keep_shelf, PastOfDesk(self.desk), stock=ports)
            self.window.add_page("shelf", self.shelf)
        self.window.show_page("shelf")

    def test_oven(self, oven: str, beside: bool = False) -> None:
        """A microwave shall be tested with water: where it stands on the shelf."""
        self.to_shelf()
        if self.shelf is not None:
            self.shelf.test_oven(oven, beside)

    @property
    def history(self) -> HistoryPage | None:
        """Built when it is first wanted."""
        return self.past.page

    def to_history(self, session: str | bool = "") -> None:
        """The list of past batches, or one of them to be read through."""
        self.past.show(session if isinstance(session, str) else "")

    def to_settings(self) -> None:
        if not self.window.has_page("settings"):
            from workbench.store.resources import resources_folder
            from workbench.ui.language import languages_in
            from workbench.ui.settings_page import SettingsPage

            page = SettingsPage(self.context, languages_in(resources_folder() / "i18n"))
            page.changed.connect(self.set_preferences)
            self.window.add_page("settings", page)
        self.window.show_page("settings")

    def _show_batch(self, room: BatchRoom) -> None:
        if not self.window.has_page("batch"):
            self.window.add_page("batch", room)
            room.bare.connect(self.window.set_bare)
            room.page.urgent.connect(self.window.urgent.tell)
            self.window.strip.ways["batch"].show()
        self.window.show_page("batch")

    def _drop_batch(self, _room: BatchRoom) -> None:
        self.window.set_bare(False)
        self.window.urgent.tell("", False)
        self.window.drop_page("batch")
        self.window.strip.ways["batch"].hide()
        self.to_recipe()

    def _show_list(self) -> None:
        box = self.window.strip.recipes
        box.offer(self.recipes.entries())
        box.show_key(self.recipes.name or "")

    def _list_earlier(self) -> None:
        """Every saved revision of this recipe; choosing one is an edit that can be undone."""
        self.earlier.clear()
        for entry in self.recipes.earlier():
            text = self.tr("Revision {number}, {day}").format(number=entry.revision, day=entry.saved_at[:16])
            action = self.window.act(self.earlier, text.replace("T", " "), self._take_earlier)
            action.setData(entry.revision)
        if self.earlier.isEmpty():
            self.earlier.addAction(self.tr("None yet")).setEnabled(False)

    def _take_earlier(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.recipes.take_earlier(int(action.data()))

    # project

    def open_path(self, path: Path) -> bool:
        """Open a project, or a copy of an exported file in the projects folder."""
        if not self.settled() or self._batch_runs():
            return False
        if path.suffix == ".json":
            return self.desk.copy_of(path, self.window.places.projects / f"{path.stem}{ENDING}")
        return self.desk.open(path)

    def _batch_runs(self) -> bool:
        if self.batches.running:
            self.window.banner.tell(self.tr("A batch is running. Finish or end it first."))
            return True
        return False

    def new_project(self) -> None:
        name = f"{self.tr('My balms')}{ENDING}"
        wish = FileWish(
            "new project", self.tr("Where shall the project be kept?"), self._filter(), True,
            self.window.places.projects / name,
        )  # fmt: skip
        self.context.ask.ask_file(wish, self._new_project_at)

    def _new_project_at(self, path: Path | None) -> None:
        if path is not None and self.settled() and not self._batch_runs():
            self.desk.create(path, self._starter)

    def open_project(self) -> None:
        wish = FileWish(
            "open project", self.tr("Open a project"), self._filter(), False, self.window.places.projects
        )
        self.context.ask.ask_file(wish, self._open_project_at)

    def _open_project_at(self, path: Path | None) -> None:
        if path is not None:
            self.open_path(path)

    def import_project(self) -> None:
        wish = FileWish("import", self.tr("Import a project"), self._json_filter())
        self.context.ask.ask_file(wish, self._open_project_at)

    def _filter(self) -> str:
        return self.tr("Balmbook project (*.balmbook)")

    def _json_filter(self) -> str:
        return self.tr("Exported project (*.json)")

    def _open_sample(self, path: str) -> None:
        self.open_path(Path(path))

    def _sample_action(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.open_path(Path(str(action.data())))

    def _practise_first(self) -> None:
        """The short way round first, for who has not been through a practice run."""
        if self.context.preferences.practised:
            self._practise_sample()
            return
        if not self.window.has_page("steps"):
            from workbench.ui.first_steps import FirstSteps

            made = FirstSteps(self.context)
            made.changed.connect(self.set_preferences)
            made.practise_asked.connect(self._practise_sample)
            made.left.connect(self.to_recipe)
            self.window.add_page("steps", made)
            self._first_steps = made
        self._first_steps.begin()
        self.window.show_page("steps")
        self._first_steps.next.setFocus()

    def _practise_sample(self) -> None:
        samples = self.window.places.samples
        if samples and self.open_path(samples[0]):
            QTimer.singleShot(0, self, self._practise)

    def _opened(self) -> None:
        """Another project is open: its shelf, its first recipe, and whatever was left unfinished."""
        project = self.desk.project
        if project is None:
            return
        self.window.banner.hide()
        self.past.forget()
        self.window.strip.name.say(sample_name(project.path))
        self.window.setWindowTitle(self.tr("{project} – Balmbook").format(project=project.name))
        # before anything is shown anew: the trials that are in front belong to the project that was closed
        self.workplace.answers.furnish_scent(TrialsOfProject(project), self.recipes.earlier, left_of(project))
        try:
            self.context.take_shelf(project.shelf())
        except Trouble as trouble:
            self.window.tell_trouble(trouble)
        self.set_preferences({"last_project": str(project.path.absolute())})  # found again after a crash
        self._lock_or_free()
        self.recipes.open_first()
        self.batches.plan()
        self.window.show_page("recipe")
        if not project.read_only and not self._offer_to_go_on():
            self._offer_draft(self.recipes.draft())
        self.keeping.say_whose()

    def _lock_or_free(self) -> None:
        """A project that can only be read: nothing can be edited or begun; looking and printing go on."""
        editor, project = self.workplace.editor, self.desk.project
        self.model.locked = "" if project is None else self.keeping.why_not()
        free = not self.model.locked
        if not free and project is not None:
            self.window.setWindowTitle(
                self.tr("{project} (reading only) – Balmbook").format(project=project.name)
            )
        for part in (editor.title, *editor.panels, editor.save, self.window.strip.add):
            part.setEnabled(free)
        self.window.recipe_menu.menuAction().setEnabled(free)
        for action in self._starts:
            action.setEnabled(free)

    def _offer_draft(self, draft: Recipe | None) -> None:
        if draft is not None:
            self.window.banner.tell(
                self.tr("“{name}” was changed last time and not saved.").format(name=draft.name),
                (self.tr("Take the changes up again"), lambda: self.recipes.take_draft(draft)),
                (self.tr("Leave them"), self.desk.forget_draft),
                trouble=False,
            )

    def _offer_to_go_on(self) -> bool:
        """A batch that was not ended waits to be taken up; True when there is one."""
        found = self.batches.interrupted()
        if found is None:
            return False
        session, name = found
        self.window.banner.tell(
            self.tr(
                "A batch of “{name}” was not ended. If anything is still on the heat, take it off first. Then it can go on where it was."
            ).format(name=name),
            (self.tr("Go on with it"), lambda: self.batches.take_up(session)),
            trouble=False,
        )
        return True

    # shelf and preferences

    def _keep_shelf(self, shelf: Shelf) -> str:
        """Save it, then show what follows from it; a disk that refuses is said where it was typed."""
        project = self.desk.project
        if project is None:
            return ""
        try:
            project.save_shelf(shelf)
        except Trouble as trouble:
            return self.context.writer.sentence(trouble.says)
        self.context.take_shelf(shelf)
        return ""

    def follow_system(self) -> None:
        """The desktop went dark or light; whoever follows it does so at once."""
        if self.context.preferences.scheme is theme.Scheme.SYSTEM:
            self._dress()

    def set_preferences(self, fields: dict[str, object]) -> None:
        held = self.context.preferences.model_dump()
        self.context.take_preferences(Preferences.model_validate({**held, **fields}))

    def _preferences_changed(self) -> None:
        """In use at once, then kept; a disk that refuses is said, and they are in use all the same."""
        wanted = self.context.preferences
        self._dress()
        self.past.rewrite()
        try:
            self._keep(wanted)
        except Trouble as trouble:
            self.window.tell_trouble(trouble)

    def _dress(self) -> None:
        wanted = self.context.preferences
        app, look = QApplication.instance(), theme.of_scheme(wanted.scheme, wanted.text_percent)
        if isinstance(app, QApplication) and look != theme.theme_now():
            theme.apply(app, look)

    def _explain(self) -> None:
        explain_near(QApplication.focusWidget() or self.window.stack.currentWidget())

    def _larger(self) -> None:
        self._text_size(1)

    def _smaller(self) -> None:
        self._text_size(-1)

    def _text_size(self, step: int) -> None:
        now = self.context.preferences.text_percent
        at = min(range(len(TEXT_SIZES)), key=lambda i: abs(TEXT_SIZES[i] - now)) + step
        if 0 <= at < len(TEXT_SIZES):
            self.set_preferences({"text_percent": TEXT_SIZES[at]})

    # batch

    def _make(self) -> None:
        self.batches.make(False)

    def _practise(self) -> None:
        self.batches.make(True)

    def hold_after_fault(self) -> bool:
        """A fault of ours: leave normal work in a running batch; True when there was one."""
        room = self.batches.room
        if room is None or not room.running or room.page.runner is None:
            return False
        room.page.runner.hold_after_fault()
        return True

    def _smell_now(self, words: str) -> None:
        """A strip on the bench is due: said wherever the window is, with a tone and a sign to the desktop."""
        self.window.banner.tell(words, trouble=False)
        self._kit.sound().play("timer")
        QApplication.alert(self.window)

    # leaving

    def settled(self) -> bool:
        """Whatever is open in an editor is read; False (with the focus there) when it cannot be."""
        if not self.workplace.editor.commit():
            self.to_recipe()
            return False
        if self.shelf is None or self.shelf.commit():
            return True
        self.to_shelf()
        self.window.banner.tell(self.tr("A field on the shelf cannot be read. Mend it, or press Esc in it."))
        return self.shelf.commit()  # once more: now the keyboard can go there

    def leave(self) -> bool:
        """The window closes: settle, keep unsaved work as a draft, let go of the file."""
        if not (self.settled() and self.keeping.may_leave(self.batches.lacking())):
            return False
        self.batches.put_away()
        self.past.wear.stop()
        if self.workplace.answers.scent is not None:
            self.workplace.answers.scent.trials.stop()
        self.model.rest()
        self.desk.leave()
        self.model.stack.clear()  # a stack that still holds commands tells of them while it is destroyed
        return True
