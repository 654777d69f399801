"""The page for everything on paper: which batch, what of it, how, and a look at it before it is printed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pydantic import ValidationError
from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QButtonGroup, QPushButton, QWidget

from workbench.core.batch.label_subject import TinKind
from workbench.core.batch.plan import Plan
from workbench.core.batch.session import fold
from workbench.core.trouble import Trouble
from workbench.paper.paint import pdf_bytes
from workbench.paper.sizes import TinSizes, sizes_for
from workbench.store import files
from workbench.store.sessions import SessionEntry
from workbench.ui.context import Context
from workbench.ui.paper.forms import CardForm, LabelForm, SheetForm
from workbench.ui.paper.kept import PaperStore
from workbench.ui.paper.preview import Preview
from workbench.ui.paper.printing import Printing
from workbench.ui.paper.wishes import PaperWishes
from workbench.ui.paper.works import PaperWorks, Printed, Source, What
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.ask import FileWish
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row
from workbench.ui.widgets.callout import Finding
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.order import set_tab_order
from workbench.ui.widgets.stack import PageStack
from workbench.ui.widgets.two_pages import TwoPages

PLAN = ""  # key of the recipe as it stands


class PaperPage(QWidget):
    """told(str, bool)  something to say above the page, and whether it is trouble"""

    told = Signal(str, bool)

    def __init__(
        self,
        context: Context,
        works: PaperWorks,
        plan: Callable[[], Plan | None],
        printing: Printing,
        folder: Path,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        as_role(self, "desk")
        self._context, self._works, self._plan, self._printing = context, works, plan, printing
        self._folder = folder
        self._store: PaperStore | None = None
        self._wishes = PaperWishes()
        self._kept = PaperWishes()
        self._source = Source("", None, None)
        self._what = What.LABELS
        self.printed: Printed | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(120)
        self._soon.timeout.connect(self.refresh)
        self.heading = Words(self.tr("On paper"), "title")
        self.batch = ChooseBox(self.tr("Of which batch"), self, 24)
        self.batch.chosen.connect(self._chosen)
        self.label_form, self.card_form, self.sheet_form = (
            LabelForm(context), CardForm(context), SheetForm(context)
        )  # fmt: skip
        self.label_form.sized.connect(self._sized)
        self.forms = PageStack()
        for form in (self.label_form, self.card_form, self.sheet_form):
            form.changed.connect(self._changed)
            self.forms.addWidget(Scroller(page(column(form), margin=0)))
        self._group = QButtonGroup(self)
        self.ways: dict[What, QPushButton] = {}
        for what, text in (
            (What.LABELS, self.tr("Labels")),
            (What.CARD, self.tr("Gift card")),
            (What.SHEET, self.tr("Batch sheet")),
        ):
            made = button(text, None, "place")
            made.setCheckable(True)
            made.setProperty("what", what.value)
            self._group.addButton(made)
            self.ways[what] = made
        self._group.buttonClicked.connect(self._clicked)
        self.finding = Finding()
        self.standing = Words("", "strong")
        self.notes = Words("", "muted")
        self.notes_holder = Scroller(page(column(self.notes, 1), margin=0))
        self._measure()
        self.preview = Preview()
        self.zoom = ChooseBox(self.tr("Size on the screen"), self, 14)
        self.zoom.offer([
            ("0", self.tr("as wide as it goes")), ("1", self.tr("true size")),
            ("2", self.tr("twice")), ("4", self.tr("four times")),
        ])  # fmt: skip
        self.zoom.show_key("0")
        self.zoom.chosen.connect(lambda key: self.preview.view.set_zoom(float(key)))
        self.save = button(self.tr("Save as PDF …"), self.save_pdf, "primary")
        self.print = button(self.tr("Print …"), self.print_out)
        self.test = button(self.tr("Test page …"), self.save_ruler, "quiet")
        self._build()
        context.preferences_changed.connect(self._write_again)
        context.shelf_changed.connect(self._look_again)

    def _build(self) -> None:
        ways = row(*self.ways.values(), 1, gap=1)
        left = column(
            self.heading, self.batch, ways, self.forms, row(self.save, self.print, self.test, 1), gap=3
        )
        left.setStretch(3, 1)
        right = column(
            row(self.standing, 1, self.zoom, gap=3), self.finding, self.preview, self.notes_holder, gap=2
        )
        right.setStretch(2, 1)
        self.pages = TwoPages(
            page(left, margin=6), self.tr("What goes on it"), page(right, margin=6), self.tr("Preview"), 48
        )
        self.setLayout(column(self.pages, gap=0))
        self.ways[What.LABELS].setChecked(True)

    # what is printed

    def open(self, store: PaperStore, session: str = PLAN, what: What | None = None) -> None:
        """Show the batches of a project, one of them chosen; without one the newest that was finished."""
        self._store = store
        try:
            self._wishes = self._kept = store.wishes()
            entries = store.sessions()
        except Trouble as trouble:
            self._tell(trouble)
            entries = ()
        self.batch.offer([*((entry.id, self._named(entry)) for entry in entries),
                          (PLAN, self.tr("The recipe as it stands (a draft)"))])  # fmt: skip
        if not session:
            made = [entry.id for entry in entries if entry.end == "finished" and not entry.rehearsal]
            session = made[0] if made else PLAN
        if what is not None:
            self._what = what
        self.batch.show_key(session)
        self._take(session)

    def let_go(self) -> None:
        """The project is about to be closed: nothing more is asked of it."""
        self._soon.stop()
        self._store = None

    def go_to(self, what: What) -> None:
        self._what = what
        self._show_forms()
        self.refresh()

    def _named(self, entry: SessionEntry) -> str:
        said = self.tr("{name}, {day}").format(name=entry.recipe_name, day=f"{entry.started:%Y-%m-%d}")
        if entry.batch_code:
            said = self.tr("{said}, batch {code}").format(said=said, code=entry.batch_code)
        if entry.rehearsal:
            return self.tr("{said} (practice)").format(said=said)
        return said if entry.ended else self.tr("{said} (not ended)").format(said=said)

    def _chosen(self, session: str) -> None:
        self._take(session)

    def _take(self, session: str) -> None:
        state = None
        if session and self._store is not None:
            try:
                state = fold(self._store.events(session))
            except Trouble as trouble:
                self._tell(trouble)
        self._source = Source(session, state, self._plan() if state is None else None)
        self._wishes = self._wishes.afresh()
        self._show_forms()
        self.refresh()

    def _show_forms(self) -> None:
        for what, made in self.ways.items():
            made.setChecked(what is self._what)
        self.ways[What.SHEET].setEnabled(self._source.state is not None)
        if self._what is What.SHEET and self._source.state is None:
            self._what = What.LABELS
            self.ways[What.LABELS].setChecked(True)
        self.forms.setCurrentIndex(list(What).index(self._what))
        place = self._works.place_of(self._source, self._wishes)
        self.label_form.show_wishes(self._wishes, place, self._kinds())
        self.card_form.show_wishes(self._wishes)
        self.sheet_form.show_wishes(self._wishes)
        self.test.setVisible(self._what is What.LABELS)
        set_tab_order(self)  # the fields for the sizes of the tins are made late

    def _kinds(self) -> list[tuple[TinKind, TinSizes]]:
        subject = self._source.subject
        if subject is None:
            return []
        tins = {tin.key: tin for tin in self._context.shelf.tins}
        return [
            (kind, self._wishes.sizes.get(kind.key) or sizes_for(tins.get(kind.key))) for kind in subject.tins
        ]

    def _clicked(self, made: QWidget) -> None:
        self.go_to(What(str(made.property("what"))))

    def _changed(self, key: str, value: object) -> None:
        """One choice; what is not possible is said, and the choice before stays."""
        form = self.forms.currentIndex()
        if value is None and PaperWishes.model_fields[key].default is not None:
            value = PaperWishes.model_fields[key].default
        try:
            self._wishes = PaperWishes.model_validate({**dict(self._wishes), key: value})
        except ValidationError:
            choices = ((self.label_form.rules, self.label_form.paper), (self.card_form.choices,),
                       (self.sheet_form.choices,))[form]  # fmt: skip
            for each in choices:
                each.refuse(key, self.tr("This cannot be. Type a number that makes sense here."))
            return
        if key == "place":
            self._show_forms()
        self._soon.start()

    def _sized(self, tin: str, sizes: TinSizes) -> None:
        self._wishes = self._wishes.model_copy(update={"sizes": {**self._wishes.sizes, tin: sizes}})
        self._soon.start()

    def _write_again(self) -> None:
        """Other units: at once, not after a pause as while somebody types."""
        if self._store is not None and self.isVisible():
            self._show_forms()
            self.refresh()

    def _look_again(self) -> None:
        if self._store is not None and self.isVisible():
            self._show_forms()
            self._soon.start()

    def refresh(self) -> None:
        """Make the pages anew and show them, or say why there are none."""
        self._soon.stop()
        trouble: Trouble | None = None
        self.printed = None
        try:
            self.printed = self._make()
        except Trouble as found:
            trouble = found
        self._show_printed(trouble)

    def _make(self) -> Printed | None:
        if self._what is What.LABELS:
            return self._works.labels(self._source, self._wishes)
        if self._what is What.CARD:
            return self._works.card(self._source, self._wishes)
        store, session = self._store, self._source.session
        labels = tuple(store.labels(session)) if store is not None else ()
        seal = store.seal(session) if store is not None else ""
        state = self._source.state
        worn = (
            store.worn(session, state.batch_code) if store is not None and state is not None else (None, None)
        )
        return self._works.sheet(self._source, self._wishes, labels, seal, worn)

    def _show_printed(self, trouble: Trouble | None) -> None:
        made, w = self.printed, self._context.writer
        self.preview.view.set_px_per_mm(self._context.preferences.ruler_px_per_mm)
        self.preview.view.show_document(None if made is None else made.document)
        for each in (self.save, self.print):
            each.setEnabled(made is not None)
        if trouble is not None:
            self.standing.say("")
            self.finding.say(self.tr("This cannot be printed yet."), w.trouble(trouble))
        elif made is None:
            self.standing.say("")
            self.finding.say(self.tr("There is nothing to print yet."),
                             self.tr("Make a recipe that can be worked out, or choose a batch."))  # fmt: skip
        else:
            self.standing.say(made.standing if made.final else "")
            self.finding.say("" if made.final else made.standing, "\n".join(f"– {why}" for why in made.why))
        said = "" if made is None else "\n".join(made.says)
        self.notes.say(said)
        self.notes_holder.setVisible(bool(said))

    # out of the window

    def save_pdf(self) -> None:
        made = self.printed
        if made is None:
            return
        name = f"{made.document.title.replace('/', '-').replace(':', '')} {self._what.value}.pdf"
        self._ask_file(
            "save pdf", self.tr("Where shall the PDF go?"), name, lambda path: self._write(path, made)
        )

    def save_ruler(self) -> None:
        try:
            document = self._works.ruler(self._source, self._wishes)
        except Trouble as trouble:
            self._tell(trouble)
            return
        made = Printed(document)
        self._ask_file(
            "save ruler", self.tr("Where shall the test page go?"), "test page.pdf",
            lambda path: self._write(path, made),
        )  # fmt: skip

    def _ask_file(self, key: str, heading: str, name: str, then: Callable[[Path], object]) -> None:
        wish = FileWish(key, heading, self.tr("PDF (*.pdf)"), True, self._folder / name)
        self._context.ask.ask_file(wish, lambda path: None if path is None else then(path))

    def _write(self, path: Path, made: Printed) -> None:
        try:
            files.write_bytes(path, pdf_bytes(made.document))
        except Trouble as trouble:
            self._tell(trouble)
            return
        self._folder = path.parent
        self._keep(made)
        self.told.emit(self.tr("Saved as {name}.").format(name=path.name), False)

    def print_out(self) -> None:
        made = self.printed
        if made is None:
            return
        try:
            self._printing.print(made.document, lambda: self._keep(made))
        except Trouble as trouble:
            self._tell(trouble)

    def _keep(self, made: Printed) -> None:
        """The project remembers which labels were printed, and the choices."""
        store = self._store
        if store is None:
            return
        try:
            if made.record is not None:
                store.keep_labels(self._source.session, made.record)
            self._keep_wishes()
        except Trouble as trouble:
            self._tell(trouble)

    def _keep_wishes(self) -> None:
        if self._store is not None and self._wishes.afresh() != self._kept.afresh():
            self._store.keep_wishes(self._wishes)
            self._kept = self._wishes

    def _measure(self) -> None:
        self.notes_holder.setFixedHeight(8 * theme_now().em())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "notes_holder"):
            self._measure()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._soon.stop()

    def _tell(self, trouble: Trouble) -> None:
        self.told.emit(self._context.writer.trouble(trouble), True)
