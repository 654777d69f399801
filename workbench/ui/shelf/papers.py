"""Supplier's certificates: they replace the industry standard for one material, never a law."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QWidget

from workbench.core.catalogue.shelf import Certificate
from workbench.core.recipe.change import make
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.context import Context
from workbench.ui.editor.model import sentence_of
from workbench.ui.editor.panel import Form
from workbench.ui.shelf.fields import FieldEditor, FieldKind, FieldSpec
from workbench.ui.shelf.forms import KeepRows
from workbench.ui.widgets.basic import Panel, Words, button, column, row


class PapersPage(Panel):
    def __init__(self, context: Context, keep: KeepRows, parent: QWidget | None = None) -> None:
        super().__init__("", "", parent)
        self.rename(
            self.tr("Certificates"),
            self.tr("replace the industry standard for one material and use; they never replace a law"),
        )
        self._context, self._keep = context, keep
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Certificates"))
        self.list.currentRowChanged.connect(self._chosen)
        self.add = button(self.tr("Add a certificate"), self._begin)
        self.empty = Words(self.tr("Nothing here yet."), "muted")
        form = Form()
        self._editors: list[FieldEditor] = []
        for spec in (
            FieldSpec("material", self.tr("Material"), FieldKind.CHOICE, entries=self._scents),
            FieldSpec("category", self.tr("Category of use"), FieldKind.CHOICE, entries=self._categories),
            FieldSpec("max_percent", self.tr("Allowed in the balm"), FieldKind.NUMBER, "%"),
            FieldSpec("edition", self.tr("Edition it refers to")),
            FieldSpec("paper", self.tr("Number or date of the paper")),
            FieldSpec("allergens", self.tr("Allergens in it"), hint=self.tr("Linalool 32, Limonene 0.5")),
        ):
            editor = FieldEditor(spec, lambda: context.writer, self)
            editor.settled.connect(self._settled)
            self._editors.append(editor)
            holder = row(editor.widget, 1) if editor.widget is not editor.focus else editor.widget
            form.add(spec.name, holder, editor.focus)
        self.fault = Words("", "error")
        self.fault.hide()
        self.remove = button(self.tr("Take off the shelf"), self._remove, "quiet")
        self.holder = QWidget()
        self.holder.setLayout(column(form, self.fault, row(self.remove, 1), gap=3))
        self.body.addWidget(self.list)
        self.body.addWidget(self.empty)
        self.body.addLayout(row(self.add, 1))
        self.body.addWidget(self.holder)
        self.body.addStretch(1)
        self._filling = False
        self.show_rows()

    def _scents(self) -> list[tuple[str, str]]:
        return sorted(
            ((m.key, m.name) for m in self._context.catalogue.materials.values() if m.kind.is_scent),
            key=lambda entry: entry[1].casefold(),
        )

    def _categories(self) -> list[tuple[str, str]]:
        found: dict[str, list[str]] = {}
        for use, category in self._context.catalogue.categories.items():
            found.setdefault(category, []).append(use.value)
        return [
            (category, self.tr("{category}: {uses}").format(category=category, uses=", ".join(uses)))
            for category, uses in sorted(found.items())
        ]

    def show_rows(self, choose: int | None = None) -> None:
        rows = self._context.shelf.certificates
        at = self.list.currentRow() if choose is None else choose
        self._filling = True
        self.list.clear()
        for one in rows:
            material = self._context.catalogue.materials.get(one.material)
            name = material.name if material is not None else one.material
            self.list.addItem(
                self.tr("{material}, category {category}").format(material=name, category=one.category)
            )
        self._filling = False
        self.list.setVisible(bool(rows))
        self.empty.setVisible(not rows)
        height = self.list.sizeHintForRow(0) if rows else 20
        self.list.setFixedHeight(min(max(len(rows), 2), 7) * height + 8)
        self.list.setCurrentRow(min(max(at, 0), len(rows) - 1))
        self._show_form()

    def _chosen(self, _at: int) -> None:
        if not self._filling:
            self.fault.say_or_hide("")
            self._show_form()

    def _show_form(self) -> None:
        rows, at = self._context.shelf.certificates, self.list.currentRow()
        self.holder.setVisible(0 <= at < len(rows))
        if not 0 <= at < len(rows):
            return
        w = self._context.writer
        for editor in self._editors:
            value: Any = getattr(rows[at], editor.spec.key)
            if editor.spec.key == "allergens":
                value = ", ".join(f"{name} {w.short(share, 4)}" for name, share in value.items())
            editor.show_value(value)

    def _settled(self, value: object) -> None:
        editor = self.sender()
        rows, at = self._context.shelf.certificates, self.list.currentRow()
        if not isinstance(editor, FieldEditor) or not 0 <= at < len(rows):
            return
        try:
            plain = self._allergens(str(value or "")) if editor.spec.key == "allergens" else value
            changed = make(Certificate, **{**dict(rows[at]), editor.spec.key: plain})
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.sentence(sentence_of(trouble)))
            return
        self.fault.say_or_hide("")
        if changed != rows[at]:
            self._store((*rows[:at], changed, *rows[at + 1 :]), at)

    def _allergens(self, text: str) -> dict[str, float]:
        """ "Linalool 32, Limonene 0.5" with names as the law prints them."""
        known = {one.label_name.casefold(): one.label_name for one in self._context.catalogue.allergens}
        found: dict[str, float] = {}
        for part in text.replace(";", ",").split(", "):
            if not part.strip():
                continue
            name, _, number = part.strip().removesuffix("%").strip().rpartition(" ")
            label = known.get(name.strip().casefold())
            if label is None:
                raise Trouble(
                    say(
                        "“{name}” is not the name of an allergen on the list. Write it as the label does.",
                        name=name or part,
                    )
                )
            found[label] = self._context.writer.read_plain(number)
        return found

    def _store(self, rows: tuple[Certificate, ...], at: int) -> None:
        says = self._keep("certificates", rows)
        self.show_rows(at)
        self.fault.say_or_hide(says)

    def _begin(self) -> None:
        rows = self._context.shelf.certificates
        scents, categories = self._scents(), self._categories()
        if not scents or not categories:
            return
        made = Certificate(
            material=scents[0][0],
            category=categories[0][0],
            max_percent=1.0,
            edition=self.tr("as printed on the paper"),
            paper=self.tr("not stated"),
        )
        self._store((*rows, made), len(rows))
        self._editors[0].focus.setFocus(Qt.FocusReason.OtherFocusReason)

    def _remove(self) -> None:
        rows, at = self._context.shelf.certificates, self.list.currentRow()
        if 0 <= at < len(rows):
            self._store((*rows[:at], *rows[at + 1 :]), at)
