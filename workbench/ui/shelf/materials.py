"""Materials: ours with their sources, corrected from the supplier's papers, and the user's own.

A corrected material is a copy on the shelf; what was typed is marked as the
user's and wins over ours.  Nothing of ours is lost: the copy can be taken back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QListWidget, QListWidgetItem, QToolButton, QWidget

from workbench.core.catalogue.model import (
    Confidence,
    Content,
    Figure,
    Material,
    MaterialKind,
    Note,
    Span,
    Wording,
)
from workbench.core.recipe.change import make
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.editor.intent import TextField
from workbench.ui.editor.model import sentence_of
from workbench.ui.editor.panel import Strut
from workbench.ui.shelf.fields import FieldEditor, FieldKind, FieldSpec
from workbench.ui.shelf.forms import KeepRows
from workbench.ui.shelf.kinds import slug
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Panel, Words, button, clear, column, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.marks import mark, role
from workbench.ui.widgets.number import NumberField, Typed


@dataclass(frozen=True, slots=True)
class Part:
    """One value of a material that carries a source: how to get it and how to put it back."""

    spec: FieldSpec
    get: Callable[[Material], Any]  # the plain value or None
    trust: Callable[[Material], tuple[str, Confidence] | None]
    put: Callable[[Material, Any, str], dict[str, Any]]  # fields to change


def _figure(key: str, spec: FieldSpec) -> Part:
    def get(m: Material) -> Any:
        held = getattr(m, key)
        return None if held is None else held.value

    def trust(m: Material) -> tuple[str, Confidence] | None:
        held = getattr(m, key)
        return None if held is None else (held.source, held.confidence)

    def put(_m: Material, value: Any, source: str) -> dict[str, Any]:
        made = None if value is None else Figure(value=value, source=source, confidence=Confidence.SUPPLIER)
        return {key: made}

    return Part(spec, get, trust, put)


def _wording(key: str, spec: FieldSpec) -> Part:
    def get(m: Material) -> Any:
        held = getattr(m, key)
        return None if held is None else held.text

    def trust(m: Material) -> tuple[str, Confidence] | None:
        held = getattr(m, key)
        return None if held is None else (held.source, held.confidence)

    def put(_m: Material, value: Any, source: str) -> dict[str, Any]:
        made = Wording(text=value, source=source, confidence=Confidence.SUPPLIER) if value else None
        return {key: made}

    return Part(spec, get, trust, put)


def _melting(end: str, spec: FieldSpec) -> Part:
    def get(m: Material) -> Any:
        return None if m.melting_c is None else getattr(m.melting_c, end)

    def trust(m: Material) -> tuple[str, Confidence] | None:
        return None if m.melting_c is None else (m.melting_c.source, m.melting_c.confidence)

    def put(m: Material, value: Any, source: str) -> dict[str, Any]:
        if value is None:
            return {"melting_c": None}
        low, high = (m.melting_c.low, m.melting_c.high) if m.melting_c is not None else (value, value)
        low, high = (value, max(high, value)) if end == "low" else (min(low, value), value)
        return {"melting_c": Span(low=low, high=high, source=source, confidence=Confidence.SUPPLIER)}

    return Part(spec, get, trust, put)


class MaterialsPage(Panel):
    """A list to search, and the values of the chosen material with where each comes from."""

    def __init__(self, context: Context, keep: KeepRows, parent: QWidget | None = None) -> None:
        super().__init__("", "", parent)
        self.rename(self.tr("Materials"), self.tr("what you type here is marked as yours and wins over ours"))
        self._context, self._keep = context, keep
        self.search = TextField(self.tr("Search"))
        self.search.setPlaceholderText(self.tr("Search by name"))
        self.search.textChanged.connect(self._filter)
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Materials"))
        self.list.currentItemChanged.connect(self._chosen)
        self.list.setFixedHeight(theme_now().em() * 13)
        self.add = button(self.tr("Add a material"), self._begin)
        self.name = TextField(self.tr("Name"))
        self.name.editingFinished.connect(self._named)
        self.kind = ChooseBox(self.tr("Kind"), self, 16)
        self.kind.offer(
            [
                (kind.value, self._kind_name(kind))
                for kind in MaterialKind
                if kind is not MaterialKind.LEFTOVER
            ]
        )
        self.kind.chosen.connect(self._kinded)
        self.note = ChooseBox(self.tr("Note"), self, 16)
        self.note.offer([("", self.tr("none")), *((note.value, self._note_name(note)) for note in Note)])
        self.note.chosen.connect(self._noted)
        self.paper = TextField(self.tr("From which paper"))
        self.paper.setPlaceholderText(self.tr("data sheet, with its date"))
        values = QGridLayout()
        values.setHorizontalSpacing(3 * GRID_PX)
        values.setVerticalSpacing(GRID_PX)
        values.setColumnStretch(2, 1)
        values.addWidget(Strut(8), 0, 0)
        top: tuple[tuple[str, QWidget], ...] = (
            (self.tr("Name"), self.name),
            (self.tr("Kind"), self.kind),
            (self.tr("Note"), self.note),
            (self.tr("Typed from"), self.paper),
        )
        for at, (name, field) in enumerate(top):
            label = Words(name)
            label.setBuddy(field)
            values.addWidget(label, at, 0)
            if isinstance(field, ChooseBox):
                values.addLayout(row(field, 1), at, 1, 1, 2)
            else:
                values.addWidget(field, at, 1, 1, 2)
        self._parts: list[tuple[Part, FieldEditor, Words]] = []
        for index, part in enumerate(self._all_parts()):
            editor = FieldEditor(part.spec, lambda: context.writer, self)
            editor.setProperty("index", index)
            editor.settled.connect(self._settled)
            source = Words("", "muted")
            label = Words(part.spec.name)
            label.setBuddy(editor.focus)
            at = 2 * index + len(top)
            values.addWidget(label, at, 0)
            if part.spec.kind is FieldKind.WORDS:
                values.addWidget(editor.widget, at, 1, 1, 2)
            else:
                values.addWidget(editor.widget, at, 1)
            values.addWidget(source, at + 1, 1, 1, 2)
            self._parts.append((part, editor, source))
        self.composition = CompositionEditor(context, self._composed)
        self.own_words = Words("", "small")
        self.back = button(self.tr("Back to the values of the program"), self._back, "quiet")
        self.fault = Words("", "error")
        self.fault.hide()
        self.holder = QWidget()
        self.holder.setLayout(
            column(self.own_words, values, self.composition, self.fault, row(self.back, 1), gap=3)
        )
        self.body.addWidget(self.search)
        self.body.addWidget(self.list)
        self.body.addLayout(row(self.add, 1))
        self.body.addWidget(self.holder)
        self.body.addStretch(1)
        self._key = ""
        self.show_rows()

    def _all_parts(self) -> tuple[Part, ...]:
        k = FieldKind
        return (
            _wording("inci", FieldSpec("inci", self.tr("Name on the label (INCI)"))),
            _wording("cas", FieldSpec("cas", self.tr("CAS number"))),
            _figure("density_g_ml", FieldSpec("density", self.tr("Density at 20 °C"), k.NUMBER, "g/mL")),
            _melting("low", FieldSpec("melts_from", self.tr("Melts from"), k.HEAT)),
            _melting("high", FieldSpec("melts_to", self.tr("Melted at"), k.HEAT)),
            _figure("holding_limit_c", FieldSpec("holding", self.tr("May stand at most at"), k.HEAT)),
            _figure("flash_point_c", FieldSpec("flash", self.tr("Flash point, closed cup"), k.HEAT)),
            _figure("peroxide_limit_mmol_l", FieldSpec("peroxide", self.tr("Peroxides at most"), k.NUMBER, "mmol/L")),
        )  # fmt: skip

    def _kind_name(self, kind: MaterialKind) -> str:
        return {
            MaterialKind.WAX: self.tr("wax"),
            MaterialKind.BUTTER: self.tr("butter"),
            MaterialKind.CARRIER: self.tr("carrier oil"),
            MaterialKind.OIL: self.tr("perfumery oil"),
            MaterialKind.RESIN: self.tr("resin or absolute"),
            MaterialKind.BLEND: self.tr("bought blend"),
            MaterialKind.LEFTOVER: self.tr("leftover balm"),
            MaterialKind.ADDITIVE: self.tr("additive"),
        }[kind]

    def _note_name(self, note: Note) -> str:
        return {Note.TOP: self.tr("top"), Note.MIDDLE: self.tr("middle"), Note.BASE: self.tr("base")}[note]

    # showing

    def show_rows(self) -> None:
        own = {material.key for material in self._context.shelf.materials}
        materials = sorted(self._context.catalogue.materials.values(), key=lambda m: m.name.casefold())
        self.list.blockSignals(True)
        self.list.clear()
        for material in materials:
            text = material.name
            if material.key in own:
                text = (
                    self.tr("{name} (corrected by you)")
                    if material.key in self._context.tables.materials
                    else self.tr("{name} (yours)")
                ).format(name=material.name)
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, material.key)
            self.list.addItem(item)
            if material.key == self._key:
                self.list.setCurrentItem(item)
        self.list.blockSignals(False)
        self._filter()
        if self.list.currentItem() is None and self.list.count():
            self.list.setCurrentRow(0)
        self._show_material()

    def _filter(self) -> None:
        wanted = self.search.text().casefold().strip()
        for at in range(self.list.count()):
            item = self.list.item(at)
            item.setHidden(bool(wanted) and wanted not in item.text().casefold())

    def _chosen(self) -> None:
        item = self.list.currentItem()
        self._key = str(item.data(Qt.ItemDataRole.UserRole)) if item is not None else ""
        self.fault.say_or_hide("")
        self._show_material()

    def _material(self) -> Material | None:
        return self._context.catalogue.materials.get(self._key)

    def _show_material(self) -> None:
        material = self._material()
        self.holder.setVisible(material is not None)
        if material is None:
            return
        tables = self._context.tables.materials
        own = any(one.key == self._key for one in self._context.shelf.materials)
        self.own_words.say_or_hide(
            ""
            if not own
            else self.tr("Yours: values that you typed win over those of the program.")
            if self._key in tables
            else self.tr("A material of your own.")
        )
        self.back.setVisible(own)
        self.back.setText(
            self.tr("Back to the values of the program")
            if self._key in tables
            else self.tr("Take off the shelf")
        )
        self.name.show_text(material.name)
        self.kind.show_key(material.kind.value)
        self.note.show_key(material.note.value if material.note is not None else "")
        for part, editor, source in self._parts:
            editor.show_value(part.get(material))
            trust = part.trust(material)
            if trust is None:
                source.say(self.tr("not known"), "muted")
            else:
                said = mark(trust[1])
                source.say(f"{trust[0]} ({said})" if said else trust[0], role(trust[1]))
        self.composition.setVisible(material.kind.is_scent)
        self.composition.show_material(material)

    # editing

    def _take(self, **fields: Any) -> bool:
        material = self._material()
        if material is None:
            return False
        try:
            changed = make(Material, **{**dict(material), **fields})
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.sentence(sentence_of(trouble)))
            return False
        if changed != material:
            others = tuple(one for one in self._context.shelf.materials if one.key != self._key)
            self.fault.say_or_hide(self._keep("materials", (*others, changed)))
            self.show_rows()
        return True

    def _source(self) -> str:
        return self.paper.text().strip() or self.tr("typed in from the supplier's papers")

    def _settled(self, value: object) -> None:
        editor, material = self.sender(), self._material()
        if material is None or not isinstance(editor, FieldEditor):
            return
        part = self._parts[int(editor.property("index"))][0]
        plain = None if value in ("", None) else value
        if plain == part.get(material):
            return
        try:
            fields = part.put(material, plain, self._source())
        except ValueError:
            editor.refuse(self.tr("This value does not fit. Look at it again."))
            return
        self._take(**fields)

    def _named(self) -> None:
        if self.name.text().strip():
            self._take(name=self.name.text().strip())

    def _kinded(self, key: str) -> None:
        self._take(kind=MaterialKind(key))

    def _noted(self, key: str) -> None:
        self._take(note=Note(key) if key else None)

    def _composed(self, composition: tuple[Content, ...]) -> None:
        self._take(composition=composition)

    def _begin(self) -> None:
        name = self.tr("New oil")
        key = slug(name, self._context.catalogue.materials)
        made = Material(key=key, name=name, kind=MaterialKind.OIL)
        self._key = key
        self.search.setText("")
        self.fault.say_or_hide(self._keep("materials", (*self._context.shelf.materials, made)))
        self.show_rows()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        self.name.selectAll()

    def _back(self) -> None:
        others = tuple(one for one in self._context.shelf.materials if one.key != self._key)
        self.fault.say_or_hide(self._keep("materials", others))
        self.show_rows()


class CompositionEditor(QWidget):
    """What an oil is made of: constituent, typical share and the most that is to be expected."""

    def __init__(self, context: Context, composed: Callable[[tuple[Content, ...]], object]) -> None:
        super().__init__()
        self._context, self._composed = context, composed
        self._material: Material | None = None
        self.head = Words("", "strong")
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(2 * GRID_PX)
        self.grid.setVerticalSpacing(GRID_PX)
        self.grid.setColumnStretch(3, 1)
        self.adder = ChooseBox(self.tr("Add a constituent"), self, 18)
        self.adder.setPlaceholderText(self.tr("Add a constituent"))
        self.adder.chosen.connect(self._add)
        self.setLayout(column(self.head, self.grid, row(self.adder, 1), gap=2))

    def show_material(self, material: Material) -> None:
        self._material = material
        clear(self.grid)
        total = sum(part.percent for part in material.composition)
        w = self._context.writer
        self.head.say(
            self.tr("Composition, {share} of it known").format(share=f"{w.short(total, 1)} %")
            if material.composition
            else self.tr("Composition: not known, so its effect on skin cannot be judged")
        )
        for index, part in enumerate(material.composition):
            constituent = self._context.catalogue.constituents.get(part.constituent)
            name = Words(constituent.name if constituent is not None else part.constituent)
            typical = NumberField(
                self.tr("Typical share of {name}").format(name=name.text()), w.read_plain, "%", 6
            )
            typical.show_text(w.short(part.percent, 3))
            most = NumberField(self.tr("At most, of {name}").format(name=name.text()), w.read_plain, "%", 6)
            most.edit.setPlaceholderText(self.tr("at most"))
            most.show_text("" if part.percent_max is None else w.short(part.percent_max, 3))
            said = mark(part.confidence)
            source = Words(f"{part.source} ({said})" if said else part.source, role(part.confidence))
            out = QToolButton()
            out.setText(self.tr("Leave out"))
            as_role(out, "quiet")
            out.setAccessibleName(self.tr("Leave out {name}").format(name=name.text()))
            for column_number, widget in enumerate((name, typical, most, source, out)):
                self.grid.addWidget(widget, index, column_number)
            for widget in (typical, most, out):
                widget.setProperty("index", index)
            typical.recorded.connect(self._typical)
            most.recorded.connect(self._most)
            most.left_empty.connect(self._no_most)
            out.clicked.connect(self._leave_out)
        held = {part.constituent for part in material.composition}
        self.adder.offer(
            sorted(
                ((c.key, c.name) for c in self._context.catalogue.constituents.values() if c.key not in held),
                key=lambda entry: entry[1].casefold(),
            )
        )
        self.adder.setCurrentIndex(-1)

    def _index(self) -> int:
        return int(self.sender().property("index"))

    def _put(self, index: int, **fields: Any) -> None:
        assert self._material is not None
        parts = list(self._material.composition)
        source = self.tr("typed in from the supplier's papers")
        parts[index] = Content.model_validate(
            {**dict(parts[index]), "source": source, "confidence": Confidence.SUPPLIER, **fields}
        )
        self._composed(tuple(parts))

    def _typical(self, typed: Typed) -> None:
        if typed.value > 100:
            return
        self._put(self._index(), percent=float(typed.value))

    def _most(self, typed: Typed) -> None:
        if typed.value > 100:
            return
        self._put(self._index(), percent_max=float(typed.value))

    def _no_most(self) -> None:
        self._put(self._index(), percent_max=None)

    def _leave_out(self) -> None:
        assert self._material is not None
        parts = list(self._material.composition)
        del parts[self._index()]
        self._composed(tuple(parts))

    def _add(self, key: str) -> None:
        assert self._material is not None
        made = Content(
            constituent=key,
            percent=0,
            source=self.tr("typed in from the supplier's papers"),
            confidence=Confidence.SUPPLIER,
        )
        self._composed((*self._material.composition, made))
