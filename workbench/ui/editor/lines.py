"""Base and scent: the lines of the recipe, each in grams as it is typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtGui import QStandardItemModel
from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.model import Material, MaterialKind, Note
from workbench.core.recipe import change
from workbench.core.recipe.amounts import Line, Where
from workbench.core.recipe.model import Amount, BaseLine, Measure, ScentLine
from workbench.ui.editor.model import Change, RecipeModel
from workbench.ui.editor.panel import RecipePanel
from workbench.ui.editor.rows import LineRow, LineText
from workbench.ui.widgets.basic import Words, column, row
from workbench.ui.widgets.choose import ChooseBox, grouped_model
from workbench.ui.widgets.number import Typed

BASE_KINDS = (
    MaterialKind.WAX,
    MaterialKind.BUTTER,
    MaterialKind.CARRIER,
    MaterialKind.ADDITIVE,
    MaterialKind.LEFTOVER,
)
SCENT_KINDS = (MaterialKind.OIL, MaterialKind.RESIN, MaterialKind.BLEND)


class LinesPanel(RecipePanel):
    """Rows over the lines of one part of the recipe; the last box adds a line."""

    where = Where.BASE

    def __init__(self, model: RecipeModel, heading: str, remark: str, parent: QWidget | None = None) -> None:
        super().__init__(model, heading, remark, parent)
        self._rows: list[LineRow] = []
        self._materials = QStandardItemModel()
        self._list = column(gap=3)
        self.adder = ChooseBox(self.add_words(), self, 12)
        self.adder.setPlaceholderText(self.add_words())
        self.adder.chosen.connect(self._add)
        self.body.addLayout(self._list)
        elsewhere = Words(self.tr("Not in the list? Add it under Shelf, Materials."), "muted", self)
        self.body.addLayout(column(row(self.adder, 1), elsewhere, gap=1))
        self.body.addWidget(self.fault)
        self.offer_materials()

    # what base and scent do differently

    def add_words(self) -> str:
        raise NotImplementedError

    def kinds(self) -> tuple[MaterialKind, ...]:
        raise NotImplementedError

    def measures(self) -> list[tuple[str, str]]:
        raise NotImplementedError

    def recipe_lines(self) -> tuple[BaseLine, ...] | tuple[ScentLine, ...]:
        raise NotImplementedError

    def headroom(self, line: Line) -> str:
        """How much more of it there may be; only oils have that."""
        return ""

    # showing

    def offer_materials(self) -> None:
        """Fill the list of materials anew, when the shelf changed."""
        catalogue = self.model.context.catalogue
        names = self.kind_names()
        self._materials = grouped_model(
            (
                names[kind],
                sorted(
                    ((m.key, m.name) for m in catalogue.materials.values() if m.kind is kind),
                    key=lambda entry: entry[1].casefold(),
                ),
            )
            for kind in self.kinds()
        )
        self._materials.setParent(self)
        for made in self._rows:
            kept = made.material.key()
            made.material.setModel(self._materials)  # which goes to the first entry
            made.material.show_key(kept)
        self.adder.setModel(self._materials)
        self.adder.setCurrentIndex(-1)

    def kind_names(self) -> Mapping[MaterialKind, str]:
        return {
            MaterialKind.WAX: self.tr("Waxes"),
            MaterialKind.BUTTER: self.tr("Butters"),
            MaterialKind.CARRIER: self.tr("Carrier oils"),
            MaterialKind.ADDITIVE: self.tr("Additives"),
            MaterialKind.LEFTOVER: self.tr("Leftovers of earlier batches"),
            MaterialKind.OIL: self.tr("Oils"),
            MaterialKind.RESIN: self.tr("Resins and absolutes"),
            MaterialKind.BLEND: self.tr("Bought blends"),
        }

    def show_recipe(self) -> None:
        lines: list[BaseLine | ScentLine] = [*self.recipe_lines()]
        while len(self._rows) > len(lines):
            gone = self._rows.pop()
            self._list.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        while len(self._rows) < len(lines):
            self._rows.append(self._new_row(len(self._rows)))
        worked = {line.index: line for line in self._worked_out()}
        measures = self.measures()
        for index, (line, made) in enumerate(zip(lines, self._rows, strict=True)):
            made.measure.offer(measures)  # grams are ounces where the window writes ounces
            made.show_line(self._text(line, worked.get(index)))
            made.offer_in_menu(self._scales(), self._lots(line.material))
        self.adder.setCurrentIndex(-1)

    def show_headroom(self) -> None:
        self.show_recipe()

    def _worked_out(self) -> tuple[Line, ...]:
        evaluation = self.model.evaluation
        if evaluation is None:
            return ()
        return tuple(line for line in evaluation.weighed.lines if line.where is self.where)

    def _text(self, line: BaseLine | ScentLine, worked: Line | None) -> LineText:
        w, amount = self.writer, line.amount
        typed = amount.typed if amount.measure in (Measure.GRAMS, Measure.MILLILITRES) else ""
        if not any(letter.isalpha() for letter in typed):
            grams = amount.measure is Measure.GRAMS
            typed = w.mass_text(amount.value) if grams else w.short(amount.value)
        note = line.note if isinstance(line, ScentLine) else None
        if worked is None:
            return LineText(line.material, typed, amount.measure, "", "", note=note)
        digits = _digits(worked.readability_g)
        details = [self.tr("{share} of the balm").format(share=w.share(worked.share_percent))]
        if worked.held_back_g > 0:
            details.append(
                self.tr("{mass} held back for the premix").format(mass=w.grams(worked.held_back_g))
            )
        if worked.error_percent is not None and worked.readability_g is not None and worked.weighable:
            details.append(
                self.tr("a {digit} scale may be off by {share}").format(
                    digit=w.grams(worked.readability_g, digits), share=w.share(worked.error_percent, 1)
                )
            )
        if worked.cost is not None:
            currency = self.model.context.shelf.currency
            details.append(w.money(worked.cost, currency))
        attention = ""
        if not worked.weighable:
            ways = [w.sentence(way.says) for way in worked.ways_out]
            mass = w.grams(worked.exact_g, 3 if worked.exact_g < 1 else None)
            first = self.tr("No scale here weighs {mass} to 5 %.").format(mass=mass)
            attention = "\n".join([first, *(f"– {way}" for way in ways)])
        return LineText(
            material=line.material,
            amount=typed,
            measure=amount.measure,
            weigh=w.grams(worked.weigh_g, digits),
            details=" · ".join(details),
            attention=attention,
            headroom=self.headroom(worked),
            note=note,
            scale=worked.scale or "",
            lot=line.lot or "",
        )

    def _scales(self) -> list[tuple[str, str]]:
        return [(scale.key, scale.name) for scale in self.model.context.shelf.scales]

    def _lots(self, material: str) -> list[tuple[str, str]]:
        return [
            (lot.key, lot.supplier_lot or lot.key) for lot in self.model.context.catalogue.lots_of(material)
        ]

    # editing

    def _new_row(self, index: int) -> LineRow:
        made = LineRow(
            self._materials,
            self._reader(index),
            self.where is Where.SCENT,
            self.measures(),
            self,
        )
        made.setProperty("index", index)
        made.material_chosen.connect(self._material_chosen)
        made.amount_typed.connect(self._amount_typed)
        made.measure_chosen.connect(self._measure_chosen)
        made.note_chosen.connect(self._note_chosen)
        made.asked.connect(self._asked)
        self._list.addWidget(made)
        return made

    def _reader(self, index: int) -> Callable[[str], object]:
        def read(text: str) -> object:
            line = self.recipe_lines()[index]
            material = self._material(line.material)
            density = material.density_g_ml.value if material is not None and material.density_g_ml else None
            bare = line.amount.measure
            if bare is Measure.GRAMS and not any(letter.isalpha() for letter in text):
                text = f"{text} {self.writer.mass_unit}"
            return self.writer.read_amount(text, bare, density)

        return read

    def _material(self, key: str) -> Material | None:
        return self.model.context.catalogue.materials.get(key)

    def _of_sender(self) -> tuple[int, LineRow]:
        made = self.sender()
        assert isinstance(made, LineRow)
        return int(made.property("index")), made

    def _edit_line(self, made: LineRow, text: str, change_of: Change) -> None:
        says = self.model.edit(text, change_of)
        made.say(self.writer.sentence(says))

    def _amount_typed(self, typed: Typed) -> None:
        index, made = self._of_sender()
        read = typed.value
        keeps_words = any(letter.isalpha() for letter in typed.text) or "/" in typed.text
        shown_as_grams = read.measure is Measure.GRAMS and not keeps_words
        amount = Amount(
            value=read.value,
            measure=read.measure,
            typed=typed.text if keeps_words and not shown_as_grams else "",
        )
        self.set_amount(index, amount, made)

    def set_amount(self, index: int, amount: Amount, made: LineRow) -> None:
        name = made.material.currentText()
        says = self.model.edit(
            self.tr("amount of {material}").format(material=name),
            lambda recipe: change.set_amount(recipe, self.where, index, amount),
        )
        if says:
            made.amount.refuse(self.writer.sentence(says))
        else:
            made.say("")

    def _measure_chosen(self, key: str) -> None:
        index, made = self._of_sender()
        amount = self.recipe_lines()[index].amount
        self.set_amount(index, Amount(value=amount.value, measure=Measure(key)), made)
        made.measure.show_key(self.recipe_lines()[index].amount.measure.value)

    def _material_chosen(self, key: str) -> None:
        index, made = self._of_sender()
        self._edit_line(
            made,
            self.tr("material of a line"),
            lambda recipe: change.set_material(recipe, self.where, index, key),
        )
        made.material.show_key(self.recipe_lines()[index].material)

    def _note_chosen(self, key: str) -> None:
        index, made = self._of_sender()
        self._edit_line(
            made, self.tr("note of a line"), lambda recipe: change.set_note(recipe, index, Note(key))
        )

    def _asked(self, what: str) -> None:
        index, made = self._of_sender()
        where = self.where
        if what == "remove":
            self.edit(self.tr("take a line out"), lambda recipe: change.remove_line(recipe, where, index))
        elif what in ("up", "down"):
            to = index + (-1 if what == "up" else 1)
            if 0 <= to < len(self._rows):
                self.edit(self.tr("move a line"), lambda recipe: change.move_line(recipe, where, index, to))
        elif what.startswith("scale:"):
            key = what.partition(":")[2]
            self._edit_line(
                made, self.tr("scale of a line"), lambda recipe: change.set_scale(recipe, where, index, key)
            )
        elif what.startswith("lot:"):
            key = what.partition(":")[2]
            self._edit_line(
                made, self.tr("lot of a line"), lambda recipe: change.set_lot(recipe, where, index, key)
            )

    def _add(self, key: str) -> None:
        raise NotImplementedError


class BasePanel(LinesPanel):
    where = Where.BASE

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("Base"), self.tr("wax, butter and carrier oil"))
        self.explain("wax", "butter", "carrier oil", "parts")

    def add_words(self) -> str:
        return self.tr("Add wax, butter or oil")

    def kinds(self) -> tuple[MaterialKind, ...]:
        return BASE_KINDS

    def measures(self) -> list[tuple[str, str]]:
        return [
            (Measure.PARTS.value, self.tr("parts")),
            (Measure.PERCENT.value, self.tr("%")),
            (Measure.GRAMS.value, self.writer.mass_unit),
            (Measure.MILLILITRES.value, self.tr("mL")),
        ]

    def recipe_lines(self) -> tuple[BaseLine, ...]:
        return self.model.recipe.base

    def _add(self, key: str) -> None:
        amount = Amount(value=1, measure=self._usual(Measure.PARTS))
        self.edit(self.tr("add to the base"), lambda recipe: change.add_base_line(recipe, key, amount))
        self.adder.setCurrentIndex(-1)

    def _usual(self, otherwise: Measure) -> Measure:
        return self.recipe_lines()[-1].amount.measure if self.recipe_lines() else otherwise


class ScentPanel(LinesPanel):
    where = Where.SCENT

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("Scent"))
        self.explain("notes", "parts", "drops", "limit")

    def add_words(self) -> str:
        return self.tr("Add an oil or resin")

    def kinds(self) -> tuple[MaterialKind, ...]:
        return SCENT_KINDS

    def measures(self) -> list[tuple[str, str]]:
        return [
            (Measure.PARTS.value, self.tr("parts")),
            (Measure.DROPS.value, self.tr("drops")),
            (Measure.PERCENT.value, self.tr("%")),
            (Measure.GRAMS.value, self.writer.mass_unit),
            (Measure.MILLILITRES.value, self.tr("mL")),
        ]

    def recipe_lines(self) -> tuple[ScentLine, ...]:
        return self.model.recipe.scent

    def show_recipe(self) -> None:
        super().show_recipe()
        self.rename(self.tr("Scent"), self._balance())

    def headroom(self, line: Line) -> str:
        room, w = self.model.headroom.get(line.material), self.writer
        if room is None:
            return ""
        if room.grams is None:
            return w.sentence(room.why)
        if room.unlimited:
            return self.tr("No limit on skin for this one.")
        if room.grams <= 0:
            return self.tr("Nothing more until {limit} is within its limit.").format(
                limit=w.sentence(room.limit_name)
            )
        if self.model.evaluation is not None and room.grams > self.model.evaluation.weighed.batch_g:
            return self.tr("No limit is anywhere near for this one.")
        mass = w.grams(room.grams, 2 if room.grams >= 0.1 else 3)
        if room.drops_sure:
            text = self.tr(
                "Room for {mass} more, %n drops to be sure, up to the limit: {limit}.", "", room.drops_sure
            )
        else:
            text = self.tr("Room for {mass} more, less than a drop, up to the limit: {limit}.")
        return text.format(mass=mass, limit=w.sentence(room.limit_name))

    def _balance(self) -> str:
        """How top, middle and base share the scent."""
        worked = self._worked_out()
        total = sum(line.exact_g for line in worked)
        if not total:
            return self.tr("top, middle and base notes")
        shares = dict.fromkeys(Note, 0.0)
        for line in worked:
            shares[self.model.recipe.scent[line.index].note] += 100 * line.exact_g / total
        w = self.writer
        return self.tr("top {top}, middle {middle}, base {base}").format(
            top=f"{w.number(shares[Note.TOP], 0)} %",
            middle=f"{w.number(shares[Note.MIDDLE], 0)} %",
            base=f"{w.number(shares[Note.BASE], 0)} %",
        )

    def _add(self, key: str) -> None:
        material = self._material(key)
        note = material.note if material is not None and material.note is not None else Note.MIDDLE
        measure = self.recipe_lines()[-1].amount.measure if self.recipe_lines() else Measure.PARTS
        amount = Amount(value=1, measure=measure)
        self.edit(
            self.tr("add to the scent"), lambda recipe: change.add_scent_line(recipe, key, note, amount)
        )
        self.adder.setCurrentIndex(-1)


def _digits(readability_g: float | None) -> int:
    """Decimals of a scale with this last digit."""
    if readability_g is None:
        return 2
    return 0 if readability_g >= 1 else 1 if readability_g >= 0.1 else 2 if readability_g >= 0.01 else 3
