"""The main window: where to go, what is open, and the page that is being worked on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QMainWindow, QMenu, QStackedWidget, QWidget

from workbench.core.batch.plan import Plan
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.core.design.evaluation import Evaluation
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe
from workbench.core.trouble import Trouble
from workbench.ui import theme
from workbench.ui.context import Context
from workbench.ui.editor.model import RecipeModel
from workbench.ui.first_page import FirstPage
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ENDING, ProjectDesk
from workbench.ui.strip import Strip
from workbench.ui.widgets.ask import Choice, FileWish, QtAsk, Question
from workbench.ui.widgets.banner import Banner
from workbench.ui.widgets.basic import column
from workbench.ui.workplace import Workplace

if TYPE_CHECKING:
    from workbench.ui.batch_room import BatchKit, BatchRoom
    from workbench.ui.settings_page import SettingsPage
    from workbench.ui.shelf.page import ShelfPage

Planner = Callable[[Recipe, int, Catalogue, Evaluation], Plan]


@dataclass(frozen=True, slots=True)
class Places:
    """Folders the window works with."""

    projects: Path  # where projects go unless the user says otherwise
    samples: tuple[Path, ...] = ()  # exported files to look at


class MainWindow(QMainWindow):
    """Built with everything it needs; it looks nothing up by itself."""

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        places: Places,
        starter: Shelf,
        planner: Planner | None = None,
        kit: BatchKit | None = None,
        keep_preferences: Callable[[Preferences], object] = lambda _preferences: None,
    ) -> None:
        super().__init__()
        self.context, self.desk, self.places = context, desk, places
        self._starter, self._planner, self._kit, self._keep = starter, planner, kit, keep_preferences
        self.batch: BatchRoom | None = None
        context.ask = QtAsk(self)
        desk.setParent(self)
        context.setParent(self)
        self.model = RecipeModel(context, blank_recipe(self.tr("A new balm")), self)
        self._name: str | None = None  # as it is saved; None: not saved yet
        self._revision = 0
        self._filling = False
        self.banner = Banner()
        self.first = FirstPage([(str(path), sample_name(path)) for path in places.samples])
        self.first.new_asked.connect(self.new_project)
        self.first.open_asked.connect(self.open_project)
        self.first.sample_asked.connect(self._open_sample)
        self.first.practise_asked.connect(self._practise_first)
        self.workplace = Workplace(self.model)
        self.workplace.editor.save_asked.connect(self.save_revision)
        self.workplace.answers.make_asked.connect(self._make)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.first)
        self.stack.addWidget(self.workplace)
        self.shelf: ShelfPage | None = None  # built when it is first wanted
        self.settings: SettingsPage | None = None
        self.strip = self._build_strip()
        body = QWidget()
        whole = column(self.strip, self.banner, self.stack, gap=0)
        whole.setStretch(2, 1)
        body.setLayout(whole)
        self.setCentralWidget(body)
        self._plan_soon = QTimer(self)
        self._plan_soon.setSingleShot(True)
        self._plan_soon.setInterval(150)
        self._plan_soon.timeout.connect(self._make_plan)
        self._build_menus()
        desk.opened.connect(self._opened)
        desk.listed.connect(self._listed)
        desk.troubled.connect(self.tell_trouble)
        self.model.changed.connect(self._changed)
        context.shelf_changed.connect(self._shelf_changed)
        context.preferences_changed.connect(self._preferences_changed)
        self.resize(1280, 800)
        self._show_page(self.first)
        self._changed()

    # building

    def _build_strip(self) -> Strip:
        strip = Strip()
        strip.recipes.chosen.connect(self._choose_recipe)
        strip.add.clicked.connect(self.new_recipe)
        for key, text, slot in (
            ("batch", self.tr("Batch"), self._to_batch),
            ("recipe", self.tr("Recipe"), self._to_work),
            ("shelf", self.tr("Shelf"), self.show_shelf),
            ("settings", self.tr("Preferences"), self.show_settings),
        ):
            strip.add_way(key, text).clicked.connect(slot)
        strip.ways["batch"].hide()
        return strip

    def _build_menus(self) -> None:
        keys = QKeySequence.StandardKey
        bar = self.menuBar()
        project = bar.addMenu(self.tr("&Project"))
        self._act(project, self.tr("New project …"), self.new_project, "Ctrl+Shift+N")
        self._act(project, self.tr("Open project …"), self.open_project, keys.Open)
        samples = project.addMenu(self.tr("Samples"))
        for path in self.places.samples:
            action = self._act(samples, sample_name(path), self._sample_action)
            action.setData(str(path))
        samples.setEnabled(bool(self.places.samples))
        project.addSeparator()
        self.export_action = self._act(
            project, self.tr("Export as JSON …"), self.export_project, "Ctrl+Shift+E"
        )
        self._act(project, self.tr("Import from JSON …"), self.import_project)
        project.addSeparator()
        self._act(project, self.tr("Leave"), self.close, keys.Quit)
        recipe = bar.addMenu(self.tr("&Recipe"))
        self._act(recipe, self.tr("New recipe"), self.new_recipe, keys.New)
        self._act(recipe, self.tr("A copy of this one"), self.copy_recipe, "Ctrl+D")
        self.save_action = self._act(recipe, self.tr("Save revision"), self.save_revision, keys.Save)
        recipe.addSeparator()
        for action, key in (
            (self.model.stack.createUndoAction(self, self.tr("Undo")), keys.Undo),
            (self.model.stack.createRedoAction(self, self.tr("Redo")), keys.Redo),
        ):
            action.setShortcuts(key)
            recipe.addAction(action)
        recipe.addSeparator()
        self._act(recipe, self.tr("Put this recipe away"), self.put_away)
        batch = bar.addMenu(self.tr("&Batch"))
        self._act(batch, self.tr("Make this batch"), self._make_now, "Ctrl+Return")
        self._act(batch, self.tr("Practice run"), self._practise_now, "Ctrl+Shift+Return")
        self.batch_menu = batch
        view = bar.addMenu(self.tr("&View"))
        self._act(view, self.tr("Recipe"), self._to_work, "Ctrl+1")
        self._act(view, self.tr("Shelf"), self.show_shelf, "Ctrl+2")
        self._act(view, self.tr("Preferences"), self.show_settings, keys.Preferences)
        view.addSeparator()
        self._act(view, self.tr("Larger text"), self._larger, keys.ZoomIn)
        self._act(view, self.tr("Smaller text"), self._smaller, keys.ZoomOut)
        self.view_menu = view

    def _act(
        self,
        menu: QMenu,
        text: str,
        slot: Callable[[], object],
        keys: str | QKeySequence.StandardKey | None = None,
    ) -> QAction:
        action = QAction(text, self)
        action.triggered.connect(slot)
        if isinstance(keys, str):
            action.setShortcut(QKeySequence(keys))
        elif keys is not None:
            action.setShortcuts(keys)
        menu.addAction(action)
        return action

    # pages

    def _show_page(self, page: QWidget) -> None:
        self.stack.setCurrentWidget(page)
        self.strip.setVisible(self.desk.project is not None)
        pages = {
            "batch": self.batch,
            "recipe": self.workplace,
            "shelf": self.shelf,
            "settings": self.settings,
        }
        self.strip.mark(next((key for key, held in pages.items() if held is page), ""))

    def _to_work(self) -> None:
        self._show_page(self.workplace if self.desk.project is not None else self.first)

    def show_shelf(self) -> None:
        if self.desk.project is None:
            return
        if self.shelf is None:
            from workbench.ui.shelf.page import ShelfPage

            self.shelf = ShelfPage(self.context, self._keep_shelf)
            self.stack.addWidget(self.shelf)
        self._show_page(self.shelf)

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

    def show_settings(self) -> None:
        if self.settings is None:
            from workbench.ui.settings_page import SettingsPage

            self.settings = SettingsPage(self.context, [("en", "English")])
            self.settings.changed.connect(self._set)
            self.stack.addWidget(self.settings)
        self._show_page(self.settings)

    def _set(self, fields: dict[str, object]) -> None:
        held = self.context.preferences.model_dump()
        self.context.take_preferences(Preferences.model_validate({**held, **fields}))

    def _preferences_changed(self) -> None:
        """In use at once, then kept; a disk that refuses is said, and they are in use all the same."""
        wanted = self.context.preferences
        app, look = QApplication.instance(), theme.of_scheme(wanted.scheme, wanted.text_percent)
        if isinstance(app, QApplication) and look != theme.theme_now():
            theme.apply(app, look)
        try:
            self._keep(wanted)
        except Trouble as trouble:
            self.tell_trouble(trouble)

    def _larger(self) -> None:
        self._text_size(1)

    def _smaller(self) -> None:
        self._text_size(-1)

    def _text_size(self, step: int) -> None:
        from workbench.ui.settings_page import TEXT_SIZES

        sizes, now = TEXT_SIZES, self.context.preferences.text_percent
        at = min(range(len(sizes)), key=lambda i: abs(sizes[i] - now)) + step
        if 0 <= at < len(sizes):
            self._set({"text_percent": sizes[at]})

    def tell_trouble(self, trouble: Trouble) -> None:
        self.banner.tell(self.context.writer.sentence(trouble.says) if not trouble.faults else str(trouble))

    # project

    def open_path(self, path: Path) -> bool:
        """Open a project, or a copy of an exported file in the projects folder."""
        if not self._settled():
            return False
        if path.suffix == ".json":
            return self.desk.copy_of(path, self.places.projects / f"{path.stem}{ENDING}")
        return self.desk.open(path)

    def new_project(self) -> None:
        wish = FileWish(
            "new project", self.tr("Where shall the project be kept?"), self._filter(), True,
            self.places.projects / f"{self.tr('My balms')}{ENDING}",
        )  # fmt: skip
        self.context.ask.ask_file(wish, self._new_project_at)

    def _new_project_at(self, path: Path | None) -> None:
        if path is not None and self._settled():
            self.desk.create(path, self._starter)

    def open_project(self) -> None:
        wish = FileWish(
            "open project", self.tr("Open a project"), self._filter(), False, self.places.projects
        )
        self.context.ask.ask_file(wish, self._open_project_at)

    def _open_project_at(self, path: Path | None) -> None:
        if path is not None:
            self.open_path(path)

    def export_project(self) -> None:
        if self.desk.project is None or not self._settled():
            return
        wish = FileWish(
            "export", self.tr("Export the project"), self.tr("Exported project (*.json)"), True,
            self.places.projects / f"{self.desk.project.name}.json",
        )  # fmt: skip
        self.context.ask.ask_file(wish, self._export_to)

    def _export_to(self, path: Path | None) -> None:
        if path is not None and self.desk.export(path):
            self.banner.tell(self.tr("Exported to {name}.").format(name=path.name), trouble=False)

    def import_project(self) -> None:
        wish = FileWish("import", self.tr("Import a project"), self.tr("Exported project (*.json)"))
        self.context.ask.ask_file(wish, self._open_project_at)

    def _filter(self) -> str:
        return self.tr("Balmbook project (*.balmbook)")

    def _open_sample(self, path: str) -> None:
        self.open_path(Path(path))

    def _sample_action(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.open_path(Path(str(action.data())))

    def _practise_first(self) -> None:
        if self.places.samples and self.open_path(self.places.samples[0]):
            QTimer.singleShot(0, self, self._practise_now)

    def _opened(self) -> None:
        project = self.desk.project
        if project is None:
            return
        self.strip.name.say(project.name)
        self.setWindowTitle(self.tr("{project} – Balmbook").format(project=project.name))
        try:
            self.context.take_shelf(project.shelf())
        except Trouble as trouble:
            self.tell_trouble(trouble)
        self._listed()
        shown = self.desk.visible()
        if shown:
            self._open_recipe(shown[0].name)
        else:
            self._begin_blank()
        self._show_page(self.workplace)
        if self._offer_to_go_on():
            return
        draft = self.desk.draft()
        if draft is not None and draft != self.model.recipe:
            self._offer_draft(draft)

    def _offer_draft(self, draft: Recipe) -> None:
        def take() -> None:
            if self.desk.recipe(draft.name) is not None:
                self._open_recipe(draft.name)
            else:
                self._begin_blank()
            self.model.edit(self.tr("unsaved changes"), lambda _recipe: draft)

        self.banner.tell(
            self.tr("“{name}” was changed last time and not saved.").format(name=draft.name),
            (self.tr("Take the changes up again"), take),
            (self.tr("Leave them"), self.desk.forget_draft),
            trouble=False,
        )

    # recipes

    def _listed(self) -> None:
        entries = [(entry.name, entry.name) for entry in self.desk.visible()]
        if self._name is None and self.desk.project is not None:
            entries.append(("", self.tr("not saved yet")))
        self.strip.recipes.offer(entries)
        self.strip.recipes.show_key(self._name or "")

    def _choose_recipe(self, name: str) -> None:
        if name == (self._name or ""):
            return
        self._leave_recipe(lambda: self._open_recipe(name))
        self.strip.recipes.show_key(self._name or "")

    def _open_recipe(self, name: str) -> None:
        entry = self.desk.recipe(name)
        if entry is None:
            return
        self._name, self._revision = entry.name, entry.revision
        self.model.open(entry.recipe)
        self._listed()

    def _begin_blank(self) -> None:
        self._name, self._revision = None, 0
        self.model.open(blank_recipe(self._free_name(self.tr("A new balm"))))
        self._listed()

    def _free_name(self, wanted: str) -> str:
        taken, number = {entry.name for entry in self.desk.entries}, 2
        name = wanted
        while name in taken:
            name = f"{wanted} {number}"
            number += 1
        return name

    def new_recipe(self) -> None:
        self._leave_recipe(self._begin_blank)

    def copy_recipe(self) -> None:
        def copy() -> None:
            recipe = self.model.recipe
            name = self._free_name(recipe.name)
            self._name, self._revision = None, 0
            self.model.open(recipe.model_copy(update={"name": name}))
            self._listed()

        self._leave_recipe(copy)

    def put_away(self) -> None:
        if self._name is None:
            return
        self.desk.put_away(self._name)
        shown = self.desk.visible()
        if shown:
            self._open_recipe(shown[0].name)
        else:
            self._begin_blank()

    def save_revision(self) -> bool:
        """Settle what is typed and keep it; True when it is on disk."""
        if self.desk.project is None or not self._settled():
            return False
        number = self.desk.save(self.model.recipe, self._name)
        if number is None:
            return False
        self._name, self._revision = self.model.recipe.name, number
        self.model.stack.setClean()
        self._listed()
        self._say_saved()
        return True

    def _leave_recipe(self, then: Callable[[], object]) -> None:
        """Ask about unsaved changes, then go on."""
        if not self._settled():
            return
        if self.model.stack.isClean():
            then()
            return
        question = Question(
            "leave recipe",
            self.tr("Save “{name}” first?").format(name=self.model.recipe.name),
            self.tr("It was changed since it was last saved."),
            (
                Choice("stay", self.tr("Stay here")),
                Choice("drop", self.tr("Leave without saving")),
                Choice("save", self.tr("Save and go on"), True),
            ),
        )

        def answered(key: str) -> None:
            if key == "drop":
                self.desk.forget_draft()
                then()
            elif key == "save" and self.save_revision():
                then()

        self.context.ask.ask(question, answered)

    def _settled(self) -> bool:
        """Whatever is open in an editor is read; False (with the focus there) when it cannot be."""
        if not self.workplace.editor.commit():
            self._to_work()
            return False
        return self.shelf is None or self.shelf.commit()

    def _changed(self) -> None:
        if self._planner is not None:
            self._plan_soon.start()
        else:
            self.workplace.answers.show_plan(None)
        if not self.model.stack.isClean() and self.desk.project is not None:
            self.desk.keep_draft(self.model.recipe)
        self._say_saved()

    def _say_saved(self) -> None:
        if self.desk.project is None:
            text = ""
        elif self._name is None:
            text = self.tr("Not saved yet")
        elif self.model.stack.isClean():
            text = self.tr("Revision {number}").format(number=self._revision)
        else:
            text = self.tr("Changed since revision {number}").format(number=self._revision)
        self.workplace.editor.say_saved(text)

    def _shelf_changed(self) -> None:
        if self.desk.project is not None:
            self._plan_soon.start()

    # the batch

    def _make_plan(self) -> None:
        evaluation, planner = self.model.evaluation, self._planner
        if planner is None:
            return
        if evaluation is None:
            trouble = self.model.trouble
            self.workplace.answers.show_plan(None, trouble.says if trouble else "")
            return
        try:
            plan = planner(self.model.recipe, self._revision, self.context.catalogue, evaluation)
        except Trouble as trouble:
            self.workplace.answers.show_plan(None, self.context.writer.sentence(trouble.says))
            return
        self.workplace.answers.show_plan(plan)

    def _make_now(self) -> None:
        self._make(False)

    def _practise_now(self) -> None:
        self._make(True)

    def _make(self, practice: bool) -> None:
        """Save what is typed, then look round; the session keeps the very revision it used."""
        if self._kit is None or self._planner is None or self.desk.project is None:
            return
        if self.batch is not None:
            self._to_batch()
            return
        if not self.save_revision():
            return
        self._make_plan()
        plan = self.workplace.answers.plan
        if plan is None or (plan.blockers and not practice):
            return
        room = self._new_room(practice)
        room.look_round(plan, practice)
        self._to_batch()

    def _new_room(self, practice: bool = False) -> BatchRoom:
        from workbench.ui.batch_room import BatchRoom  # brings the bench and the simulated kitchen

        assert self._kit is not None
        room = BatchRoom(self.context, self.desk, self._kit, practice)
        room.over.connect(self._batch_over)
        self.batch = room
        self.stack.addWidget(room)
        self.strip.ways["batch"].show()
        return room

    def _to_batch(self) -> None:
        if self.batch is not None:
            self._show_page(self.batch)

    def _batch_over(self) -> None:
        room, self.batch = self.batch, None
        if room is not None:
            room.put_away()
            self.stack.removeWidget(room)
            room.hide()
            room.deleteLater()
        self.strip.ways["batch"].hide()
        self._to_work()

    def _offer_to_go_on(self) -> bool:
        """A batch that was not ended waits to be taken up; True when there is one."""
        project = self.desk.project
        if project is None or self._kit is None or project.read_only:
            return False
        try:
            session = project.open_session()
            entry = next((one for one in project.sessions() if one.id == session), None)
        except Trouble as trouble:
            self.tell_trouble(trouble)
            return False
        if session is None or entry is None:
            return False

        def go_on() -> None:
            room = self._new_room()
            if room.take_up(session):
                self._to_batch()
            else:
                self._batch_over()

        self.banner.tell(
            self.tr("A batch of “{name}” was not ended. It can go on where it was.").format(
                name=entry.recipe_name
            ),
            (self.tr("Go on with it"), go_on),
            trouble=False,
        )
        return True

    # leaving

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self._settled():
            event.ignore()
            return
        if not self.model.stack.isClean() and self.desk.project is not None:
            self.desk.keep_draft(self.model.recipe)
        if self.batch is not None:
            self.batch.put_away()
        self.model.finish_jobs()
        self.desk.close()
        super().closeEvent(event)


def blank_recipe(name: str) -> Recipe:
    """The least that can be worked on: equal parts of wax, butter and oil."""
    parts = Amount(value=1, measure=Measure.PARTS)
    return Recipe(
        name=name,
        base=tuple(
            BaseLine(material=key, amount=parts) for key in ("beeswax", "shea_butter", "sweet_almond")
        ),
    )


def sample_name(path: Path) -> str:
    """A file name as a person reads it: harbour-evening.json is Harbour evening."""
    text = path.stem.replace("-", " ").replace("_", " ")
    return text[:1].upper() + text[1:]


def samples_in(folder: Path) -> Sequence[Path]:
    return tuple(sorted(folder.glob("*.json"))) if folder.is_dir() else ()
