"""The shelf: everything that stands in the kitchen, kept with the project."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QListWidget, QWidget

from workbench.core.catalogue.model import Confidence, Figure, Place
from workbench.core.catalogue.shelf import Shelf, StoveKind
from workbench.core.recipe.change import make
from workbench.core.review.learned import STOVE_ABOUT
from workbench.core.review.stock import with_count_dates
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.editor.model import sentence_of
from workbench.ui.editor.panel import Form
from workbench.ui.shelf.fields import FieldEditor, FieldKind, FieldSpec
from workbench.ui.shelf.forms import RowsPage
from workbench.ui.shelf.kinds import kinds
from workbench.ui.shelf.learned_box import LearnedBox
from workbench.ui.shelf.materials import MaterialsPage
from workbench.ui.shelf.papers import PapersPage
from workbench.ui.shelf.past import LessonsBar, Past
from workbench.ui.shelf.stock_data import StockPorts
from workbench.ui.shelf.stock_page import StockPage
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Panel, Scroller, Words, column, page, row
from workbench.ui.widgets.number import commit_all
from workbench.ui.widgets.stack import PageStack


class KitchenPage(Panel):
    """Stove, room and money: single values of the shelf."""

    def __init__(self, context: Context, keep: Callable[[Shelf], str], parent: QWidget | None = None) -> None:
        super().__init__("", "", parent)
        self.rename(self.tr("Kitchen"))
        self._context, self._keep = context, keep
        self.fault = Words("", "error")
        self.fault.hide()
        form = Form()
        self._editors: list[FieldEditor] = []
        for spec, why in (
            (
                FieldSpec("stove", self.tr("Stove"), FieldKind.CHOICE, entries=self._stoves),
                self.tr(
                    "What the water bath stands on. It decides what a step says of flame and hot plate, and how soon the bath is reckoned to be warm."
                ),
            ),
            (
                FieldSpec("room_c", self.tr("Room"), FieldKind.HEAT),
                self.tr("How warm it usually is where you work. How fast jug and tins cool follows from it."),
            ),
            (
                FieldSpec("home", self.tr("Rules for new recipes"), FieldKind.CHOICE, entries=self._homes),
                self.tr(
                    "Whose law a new recipe is judged by, beside the industry standard. Each recipe can be given another."
                ),
            ),
            (
                FieldSpec("currency", self.tr("Currency"), hint="EUR"),
                self.tr("What prices on this shelf are in, and what a batch costs."),
            ),
        ):
            editor = FieldEditor(spec, lambda: context.writer, self)
            editor.settled.connect(self._settled)
            self._editors.append(editor)
            holder = row(editor.widget, 1)
            form.add(spec.name, holder, editor.focus)
            form.add("", Words(why, "muted"))
        self.learned = LearnedBox(context, keep)
        self.body.addLayout(form)
        self.body.addWidget(self.fault)
        self.body.addWidget(self.learned)
        self.body.addStretch(1)
        self.show_rows()

    def _stoves(self) -> list[tuple[str, str]]:
        return [
            ("", self.tr("not said")),
            (StoveKind.GAS.value, self.tr("gas: an open flame")),
            (StoveKind.ELECTRIC.value, self.tr("electric hotplate")),
            (StoveKind.INDUCTION.value, self.tr("induction")),
        ]

    def _homes(self) -> list[tuple[str, str]]:
        return [
            (Place.EU.value, self.tr("European Union")),
            (Place.UK.value, self.tr("United Kingdom")),
            (Place.US.value, self.tr("United States")),
        ]

    def show_rows(self) -> None:
        shelf = self._context.shelf
        for editor in self._editors:
            value: Any = getattr(shelf, editor.spec.key)
            editor.show_value(value.value if isinstance(value, Figure | StoveKind | Place) else value)
        self.learned.show_about(STOVE_ABOUT)

    def _settled(self, value: object) -> None:
        editor = self.sender()
        if not isinstance(editor, FieldEditor):
            return
        key, plain = editor.spec.key, value
        if key == "room_c" and isinstance(value, float):
            plain = Figure(value=value, source=self.tr("typed in"), confidence=Confidence.SUPPLIER)
        elif key == "stove":
            plain = value or None
        try:
            changed = make(Shelf, **{**dict(self._context.shelf), key: plain})
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.sentence(sentence_of(trouble)))
            return
        self.fault.say_or_hide(self._keep(changed))


class ShelfPage(QWidget):
    """`keep` saves a shelf and answers with "" or why not; `past` are the batches there is to learn from."""

    def __init__(
        self,
        context: Context,
        keep: Callable[[Shelf], str],
        past: Past | None = None,
        parent: QWidget | None = None,
        stock: StockPorts | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._keep, self._stock = context, keep, stock or StockPorts()
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.sections = QListWidget()
        self.sections.setAccessibleName(self.tr("Parts of the shelf"))
        as_role(self.sections, "sections")
        self.sections.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.stack = PageStack()
        self.pages: dict[str, Any] = {}
        self._add("materials", MaterialsPage(context, self._keep_rows))
        for kind in kinds(context):
            self._add(kind.attribute, RowsPage(context, kind.attribute, self._keep_rows, self._keep_shelf))
            if kind.attribute == "lots":
                self._add("stock", StockPage(context, self._keep_shelf, self._stock))
        self._add("certificates", PapersPage(context, self._keep_rows))
        self._add("kitchen", KitchenPage(context, self._keep_shelf))
        self.sections.currentRowChanged.connect(self._choose)
        self.sections.setCurrentRow(0)
        title = Words(self.tr("Shelf"), "title")
        left = column(title, self.sections, gap=4)
        left.setContentsMargins(6 * GRID_PX, 6 * GRID_PX, 0, 6 * GRID_PX)
        self._left = QWidget()
        self._left.setLayout(left)
        self.lessons = LessonsBar(context, past, self._keep_shelf)
        right = column(self.lessons, self.stack, gap=0)
        right.setStretch(1, 1)
        whole = row(self._left, right, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._measure()
        context.shelf_changed.connect(self.show_shelf)
        context.preferences_changed.connect(self.show_shelf)

    def _add(self, key: str, panel: Any) -> None:
        self.pages[key] = panel
        self.sections.addItem(panel.heading.text())
        holder = page(column(panel), margin=6)
        holder.setMaximumWidth(theme_now().em() * 60)
        middle = row(holder, 1, gap=0)
        middle.setStretch(0, 20)
        self.stack.addWidget(Scroller(page(middle, margin=0)))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_left"):
            self._measure()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not event.spontaneous():
            self.lessons.look()

    def choose(self, key: str) -> None:
        self.sections.setCurrentRow(list(self.pages).index(key))

    def test_oven(self, oven: str, beside: bool = False) -> None:
        """Lead through the water test of a microwave, with a cup of water beside the jug or without."""
        self.choose("microwaves")
        panel = self.pages["microwaves"]
        keys = [one.key for one in self._context.shelf.microwaves]
        if oven in keys:
            panel.show_rows(keys.index(oven))
            panel.measuring.measure(beside)

    def show_shelf(self) -> None:
        for panel in self.pages.values():
            panel.show_rows()
        self._measure()

    def commit(self) -> bool:
        """Settle every field; False shows the section of the first that cannot be read, the keyboard in it."""
        for key, panel in self.pages.items():
            if not commit_all(panel):
                self.choose(key)
                return commit_all(panel)
        return True

    def _measure(self) -> None:
        em = theme_now().em()
        names = self.sections.sizeHintForColumn(0) + 4 * GRID_PX  # with the frame of the chosen one
        self._left.setFixedWidth(max(em * 10, names + 6 * GRID_PX))
        for at in range(self.stack.count()):
            scroller = self.stack.widget(at)
            assert isinstance(scroller, Scroller)
            held_page = scroller.widget()
            inner = held_page.layout() if held_page is not None else None
            if (
                inner is not None
                and (item := inner.itemAt(0)) is not None
                and (held := item.widget()) is not None
            ):
                held.setMaximumWidth(em * 60)

    def _choose(self, at: int) -> None:
        self.stack.setCurrentIndex(at)

    def _keep_rows(self, attribute: str, rows: tuple[Any, ...]) -> str:
        try:
            if attribute == "lots":  # an amount that is typed in was weighed now
                rows = with_count_dates(self._context.shelf, rows, self._stock.now())
            return self._keep_shelf(make(Shelf, **{**dict(self._context.shelf), attribute: rows}))
        except Trouble as trouble:
            return self._context.writer.sentence(sentence_of(trouble))

    def _keep_shelf(self, shelf: Shelf) -> str:
        return self._keep(shelf)
