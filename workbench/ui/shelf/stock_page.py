"""What is left on the shelf: counted, used, running out; what the recipe in hand takes; what to buy."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.review.reaction_words import lot_caution, lot_doubt
from workbench.core.review.reactions import NO_FLAGS, Flags
from workbench.core.review.stock import (
    LotLeft,
    Stock,
    ToBuy,
    Use,
    counted_again,
    needs,
    remark,
    shopping,
    some_of,
    stock,
    tin_costs,
    unnamed_words,
)
from workbench.core.trouble import Trouble
from workbench.store.tables import write_rows
from workbench.ui.context import Context
from workbench.ui.editor.model import sentence_of
from workbench.ui.shelf.stock_data import (
    SHOPPING_COLUMNS,
    STOCK_COLUMNS,
    StockPorts,
    in_short,
    name_of,
    shopping_rows,
    stock_rows,
)
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.ask import FileWish
from workbench.ui.widgets.basic import Panel, Words, button, clear, column, figure, row
from workbench.ui.widgets.number import NumberField, Typed
from workbench.ui.writing import Writer

TOP_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
TOP_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop


class LotRow:
    """One lot: what it is and what wants doing about it, what is left, and a field for weighing it again."""

    def __init__(self, lot: str, writer: Callable[[], Writer], parent: QWidget) -> None:
        self.name = Words("", "body", parent)
        self.name.setAlignment(TOP_LEFT)
        self.sore = Words("", "danger", parent)
        self.says = Words("", "attention", parent)
        self.loose = Words("", "muted", parent)
        self.doubt = Words("", "attention", parent)
        for each in (self.sore, self.doubt, self.says, self.loose):
            each.hide()  # a new label in a window that is open is shown by its layout otherwise
        self.left = _cell("", "strong", True)
        self.used = _cell("", "body", True)
        self.words = column(self.sore, self.doubt, self.says, self.loose, gap=1)
        self.words.setContentsMargins(0, 0, 0, 4 * GRID_PX)
        # read in the unit of the moment: it may be changed while the field stands there
        self.field = NumberField("", lambda text: writer().read_mass(text), writer().mass_unit, 6, parent)
        self.field.setProperty("lot", lot)

    def show_lot(self, name: str, each: LotLeft, flagged: Flags, w: Writer) -> None:
        sore, says, loose = lot_caution(flagged, each.lot.key), remark(each), unnamed_words(each)
        doubt = None if sore is not None else lot_doubt(flagged, each.lot.material, each.lot.opened)
        urgent = each.old or each.over_g > 0 or each.left_g == 0
        self.name.say(name)
        self.sore.say_or_hide("" if sore is None else w.sentence(sore))
        self.says.say_or_hide("" if says is None else w.sentence(says), "error" if urgent else "attention")
        self.doubt.say_or_hide("" if doubt is None else w.sentence(doubt))
        self.loose.say_or_hide("" if loose is None else w.sentence(loose))
        self.left.say("–" if each.left_g is None else w.grams(each.left_g))
        self.used.say(w.grams(each.used_g) if each.used_g else "–")
        again = QCoreApplication.translate("StockPage", "Weighed again: {name}").format(name=name)
        self.field.edit.setAccessibleName(again)
        self.field.show_unit(w.mass_unit)
        self.field.show_text("")


class StockPage(Panel):
    """`keep` saves a shelf and answers with "" or why not."""

    def __init__(
        self,
        context: Context,
        keep: Callable[[Shelf], str],
        ports: StockPorts | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__("", "", parent)
        self.rename(self.tr("What is left"), self.tr("as counted, less what real batches took since"))
        self._context, self._keep, self._ports = context, keep, ports or StockPorts()
        self._rows: dict[str, LotRow] = {}
        self.stock = Stock((), ())
        self.bought: tuple[ToBuy, ...] = ()
        self.fault = Words("", "error")
        self.fault.hide()
        self.good = Words("", "good")
        self.good.hide()
        self.empty = Words("", "muted")
        self.lots = _table()
        self.unbooked = Words("", "muted")
        self.table = button(self.tr("Save as a table …"), self._take_stock)
        self.plan_head = Words(self.tr("For the recipe in the editor"), "head")
        self.plan_name = Words("", "body")
        self.plan = _table()
        self.costs = Words("", "body")
        self.buy_head = Words(self.tr("To buy"), "head")
        self.buy = _table()
        self.nothing = Words("", "muted")
        self.copy = button(self.tr("Copy the list"), self._copy)
        self.take = button(self.tr("Save the list as a table …"), self._take_list)
        for part in (self.fault, self.good, self.empty, self.lots, self.unbooked, row(self.table, 1)):
            self._put(part)
        self.body.addSpacing(4 * GRID_PX)
        for part in (self.buy_head, self.nothing, self.buy, row(self.copy, self.take, 1)):
            self._put(part)
        self.body.addSpacing(4 * GRID_PX)
        for part in (self.plan_head, self.plan_name, self.plan, self.costs):
            self._put(part)
        self.body.addStretch(1)

    def _put(self, part: object) -> None:
        if isinstance(part, QWidget):
            self.body.addWidget(part)
        else:
            self.body.addLayout(part)  # type: ignore[arg-type]

    def show_rows(self, _choose: int | None = None) -> None:
        """The shelf is another: reckon anew, now or when it is looked at."""
        if self.isVisible():
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not event.spontaneous():
            self._rows = {}  # what wants doing comes first again
            self.refresh()  # batches may have been made, and the recipe changed

    def refresh(self) -> None:
        self.good.say_or_hide("")
        flagged = NO_FLAGS
        try:
            summaries = self._ports.summaries()
            flagged = self._ports.flagged()
            self.fault.say_or_hide("")
        except Trouble as trouble:
            # what is not known is not permission
            unknown = self.tr("It is not known whether skin reacted to a balm from any of these.")
            self.fault.say_or_hide(f"{self._context.writer.trouble(trouble)}\n{unknown}")
            summaries = {}
        self.stock = stock(self._context.shelf, summaries, self._context.today())
        self._show_lots(flagged)
        self._show_plan()

    # what is left

    def _show_lots(self, flagged: Flags) -> None:
        w, lots = self._context.writer, self.stock.lots
        self.empty.say_or_hide(
            ""
            if lots
            else self.tr(
                "No bottle or bag stands on the shelf yet. Add what you have under “Bottles and bags”, weigh it once, and every real batch is taken off by itself."
            )
        )
        self.table.setVisible(bool(lots))
        if set(self._rows) != {each.lot.key for each in lots}:
            self._lay_out(sorted(lots, key=lambda each: self._well(each, flagged)))
        for each in lots:
            self._rows[each.lot.key].show_lot(self._name(each.lot), each, flagged, w)
        self.unbooked.say_or_hide("\n".join(self._unbooked()))

    def _unbooked(self) -> list[str]:
        """What was weighed without naming a bottle and can have come from more than one, or from none that is here."""
        w, catalogue = self._context.writer, self._context.catalogue
        taken: dict[str, list[Use]] = {}
        for use in self.stock.unbooked:
            taken.setdefault(use.material, []).append(use)
        if not taken:
            return []
        lines = [
            self.tr(
                "Weighed without naming a bottle or bag that stands here, so it is taken off none, and its lot is not known:"
            )
        ]
        for material, found in taken.items():
            # a batch without a code is known by its day and hour; a key of ours says nothing
            batches = tuple(
                dict.fromkeys(
                    f"{use.at:%Y-%m-%d %H:%M}" if use.batch == use.session else use.batch
                    for use in reversed(found)
                )
            )
            lines.append(
                self.tr("{mass} of {name}, in batch {batches}").format(
                    mass=w.grams(sum(use.mass_g for use in found)), name=name_of(material, catalogue),
                    batches=w.sentence(some_of(batches)),
                )
            )  # fmt: skip
        return lines

    @staticmethod
    def _well(each: LotLeft, flagged: Flags) -> bool:
        """Nothing has to be done about it; what wants doing stands first."""
        doubt = lot_doubt(flagged, each.lot.material, each.lot.opened)
        return remark(each) is None and lot_caution(flagged, each.lot.key) is None and doubt is None

    def _lay_out(self, lots: Sequence[LotLeft]) -> None:
        clear(self.lots)
        self.lots.setVerticalSpacing(0)  # what is said of a lot belongs to its line
        self.lots.setRowMinimumHeight(1, 2 * GRID_PX)
        self._rows = {}
        heads = (self.tr("Bottle or bag"), self.tr("Left"), self.tr("Used since"), self.tr("Weighed again"))
        for at, text in enumerate(heads if lots else ()):
            self.lots.addWidget(_cell(text, "muted", at in (1, 2)), 0, at)
        for line, each in enumerate(lots, 1):
            made = LotRow(each.lot.key, lambda: self._context.writer, self)
            made.field.recorded.connect(self._counted)
            self._rows[each.lot.key] = made
            self.lots.addWidget(made.name, 2 * line, 0)
            self.lots.addWidget(made.left, 2 * line, 1)
            self.lots.addWidget(made.used, 2 * line, 2)
            self.lots.addWidget(made.field, 2 * line, 3, TOP_LEFT)
            self.lots.addLayout(made.words, 2 * line + 1, 0, 1, -1)  # sentences want the whole width

    def _name(self, lot: Lot) -> str:
        name = name_of(lot.material, self._context.catalogue)
        if not lot.supplier_lot:
            return name
        return self.tr("{material}, lot {lot}").format(material=name, lot=lot.supplier_lot)

    def _counted(self, typed: Typed) -> None:
        """One lot was weighed again: that is what is left of it now."""
        field = self.sender()
        if isinstance(field, NumberField):
            self.count(str(field.property("lot")), float(typed.value), field)

    def count(self, lot: str, left_g: float, field: NumberField | None = None) -> None:
        try:
            changed = counted_again(self._context.shelf, lot, left_g, self._ports.now())
        except Trouble as trouble:
            if field is not None:
                field.refuse(self._context.writer.sentence(sentence_of(trouble)))
            return
        says = self._keep(changed)
        if says:
            self.fault.say_or_hide(says)
        else:
            self.refresh()

    # the recipe in the editor, and what to buy

    def _show_plan(self) -> None:
        w, catalogue = self._context.writer, self._context.catalogue
        planned = self._ports.planned()
        wanted = () if planned is None else needs(planned.lines, self.stock)
        clear(self.plan)
        for part in (self.plan_head, self.plan_name):
            part.setVisible(planned is not None)
        costs: list[str] = []
        if planned is not None:
            self.plan_name.say(planned.name)
            for at, text in enumerate(
                (self.tr("Material"), self.tr("It takes"), self.tr("Left"), self.tr("Missing"))
            ):
                self.plan.addWidget(_cell(text, "muted", at > 0), 0, at)
            for line, need in enumerate(in_short(wanted), 1):
                missing = need.missing_g > 0
                cells = (
                    name_of(need.material, catalogue), w.grams(need.need_g),
                    self.tr("not weighed") if need.have_g is None else w.grams(need.have_g),
                    w.grams(need.missing_g) if missing else "–",
                )  # fmt: skip
                for at, text in enumerate(cells):
                    role = "danger" if missing and at == 3 else "body"
                    self.plan.addWidget(_cell(text, role, at > 0), line, at)
            currency = self._context.shelf.currency
            costs = [
                self.tr("{tin}: materials for {money} each").format(
                    tin=tin.tin, money=w.money(tin.each, currency)
                )
                for tin in tin_costs(planned.amount, planned.tins)
            ] or [w.sentence(planned.why_no_amount)]
        self.costs.say_or_hide("\n".join(costs))
        kinds = {key: material.kind for key, material in catalogue.materials.items()}
        self.bought = shopping(self.stock, wanted, kinds)
        clear(self.buy)
        self.nothing.say_or_hide(
            "" if self.bought else self.tr("Nothing has run out, as far as it was weighed.")
        )
        for each in (self.copy, self.take):
            each.setVisible(bool(self.bought))
        for line, item in enumerate(self.bought):
            self.buy.addWidget(_cell(name_of(item.material, catalogue)), line, 0)
            amount = self.tr("some") if item.amount_g is None else w.grams(item.amount_g)
            self.buy.addWidget(_cell(amount, "strong", True), line, 1)
            why = Words(" ".join(w.sentence(one) for one in item.why), "muted")
            why.setAlignment(TOP_LEFT)
            self.buy.addWidget(why, line, 2)
        self.buy.setColumnStretch(0, 2)
        self.buy.setColumnStretch(2, 3)

    # taking it along

    def list_words(self) -> str:
        """The shopping list as plain text."""
        w, catalogue = self._context.writer, self._context.catalogue
        lines = []
        for each in self.bought:
            name = name_of(each.material, catalogue)
            amount = self.tr("some") if each.amount_g is None else w.grams(each.amount_g)
            lines.append(
                self.tr("{name}: {amount}. {why}").format(
                    name=name, amount=amount, why=" ".join(w.sentence(one) for one in each.why)
                )
            )
        return "\n".join(lines)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self.list_words())
        self.good.say_or_hide(self.tr("The list is copied; paste it where you want it."))

    def _take_stock(self) -> None:
        self._save(self.tr("stock"), STOCK_COLUMNS, stock_rows(self.stock, self._context.catalogue))

    def _take_list(self) -> None:
        self._save(self.tr("to buy"), SHOPPING_COLUMNS, shopping_rows(self.bought, self._context.catalogue))

    def _save(self, name: str, columns: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
        def chosen(path: Path | None) -> None:
            if path is None:
                return
            try:
                write_rows(path, columns, rows)
            except Trouble as trouble:
                self.fault.say_or_hide(self._context.writer.trouble(trouble))
                return
            self.good.say_or_hide(self.tr("Saved as {name}.").format(name=path.name))

        wish = FileWish(
            "stock table", self.tr("Save as a table"), self.tr("Table (*.csv)"), True,
            self._ports.folder() / f"{name}.csv",
        )  # fmt: skip
        self._context.ask.ask_file(wish, chosen)


def _table() -> QGridLayout:
    made = QGridLayout()
    made.setContentsMargins(0, 0, 0, 0)
    made.setHorizontalSpacing(5 * GRID_PX)
    made.setVerticalSpacing(3 * GRID_PX)
    made.setColumnStretch(0, 1)
    return made


def _cell(text: str, role: str = "body", right: bool = False) -> Words:
    made = figure(text, role) if right else Words(text, role)
    made.setAlignment(TOP_RIGHT if right else TOP_LEFT)
    return made
