"""A list of rows and the form of the one that is chosen; every settled field is kept at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from workbench.core.catalogue.model import Row
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.change import make
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.editor.model import sentence_of
from workbench.ui.editor.panel import Form
from workbench.ui.shelf.fields import FieldEditor, FieldKind
from workbench.ui.shelf.kinds import ShelfKind, kinds
from workbench.ui.shelf.measuring import Measuring
from workbench.ui.widgets.basic import Panel, Words, button, column, row

KeepRows = Callable[[str, tuple[Row, ...]], str]  # attribute, rows -> "" or why not


class RowsPage(Panel):
    """One kind of thing on the shelf."""

    def __init__(
        self,
        context: Context,
        attribute: str,
        keep: KeepRows,
        keep_shelf: Callable[[Shelf], str] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        self._context, self._attribute, self._keep = context, attribute, keep
        kind = self._kind()
        super().__init__(kind.title, kind.remark, parent)
        self.list = QListWidget()
        self.list.setAccessibleName(kind.title)
        self.list.setMinimumHeight(120)
        self.list.currentRowChanged.connect(self._chosen)
        self.add = button(kind.add, self._begin)
        self.remove = button(self.tr("Take off the shelf"), self._remove, "quiet")
        self.empty = Words(self.tr("Nothing here yet."), "muted")
        self.form = Form()
        self._editors: list[FieldEditor] = []
        self._labels: list[QWidget] = []
        for spec in kind.fields:
            editor = FieldEditor(spec, lambda: context.writer, self)
            editor.setProperty("key", spec.key)
            editor.settled.connect(self._settled)
            editor.refused.connect(self._refused)
            self._editors.append(editor)
            if spec.kind is FieldKind.TICK:
                self.form.add_wide(editor.widget)
                self._labels.append(editor.widget)
            else:
                holder = row(editor.widget, 1) if editor.widget is not editor.focus else editor.widget
                self._labels.append(self.form.add(spec.name, holder, editor.focus))
        self.fault = Words("", "error")
        self.fault.hide()
        self.measuring = Measuring(context, attribute, keep_shelf) if keep_shelf is not None else None
        self.form_holder = QWidget()
        inside = column(self.form, self.fault, gap=3)
        if self.measuring is not None:
            inside.addWidget(self.measuring)
        inside.addLayout(row(self.remove, 1))
        self.form_holder.setLayout(inside)
        self.body.addWidget(self.list)
        self.body.addWidget(self.empty)
        self.body.addLayout(row(self.add, 1))
        self.body.addWidget(self.form_holder)
        self.body.addStretch(1)
        self._filling = False
        self.show_rows()

    def _kind(self) -> ShelfKind:
        return next(kind for kind in kinds(self._context) if kind.attribute == self._attribute)

    def _rows(self) -> tuple[Any, ...]:
        return tuple(getattr(self._context.shelf, self._attribute))

    def show_rows(self, choose: int | None = None) -> None:
        kind, rows = self._kind(), self._rows()
        at = self.list.currentRow() if choose is None else choose
        self._filling = True
        self.list.clear()
        for one in rows:
            self.list.addItem(QListWidgetItem(kind.name_of(one)))
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
        rows, at = self._rows(), self.list.currentRow()
        self.form_holder.setVisible(0 <= at < len(rows))
        if not 0 <= at < len(rows):
            return
        one = rows[at]
        if self.measuring is not None:
            self.measuring.show_row(one)
        for editor, label in zip(self._editors, self._labels, strict=True):
            editor.show_value(getattr(one, editor.spec.key))
            shown = editor.spec.only_if is None or editor.spec.only_if(one)
            label.setVisible(shown)
            editor.widget.setVisible(shown)

    def _settled(self, value: object) -> None:
        editor = self.sender()
        assert isinstance(editor, FieldEditor)
        rows, at = self._rows(), self.list.currentRow()
        if not 0 <= at < len(rows):
            return
        one, key = rows[at], editor.spec.key
        if value is None or value == "":
            field = type(one).model_fields[key]
            value = field.get_default() if not field.is_required() else value
        try:
            changed = make(type(one), **{**dict(one), key: value})
        except Trouble as trouble:
            editor.refuse(self._context.writer.sentence(sentence_of(trouble)))
            return
        if changed == one:
            self.fault.say_or_hide("")
            return
        self._store((*rows[:at], changed, *rows[at + 1 :]), at)

    def _refused(self, says: str) -> None:
        self.fault.say_or_hide(self._context.writer.sentence(says))

    def _store(self, rows: tuple[Row, ...], at: int) -> None:
        says = self._keep(self._attribute, rows)
        self.show_rows(at)
        self.fault.say_or_hide(says)

    def _begin(self) -> None:
        rows = self._rows()
        self._store((*rows, self._kind().begin(self._context)), len(rows))
        self._editors[0].focus.setFocus(Qt.FocusReason.OtherFocusReason)

    def _remove(self) -> None:
        rows, at = self._rows(), self.list.currentRow()
        if 0 <= at < len(rows):
            self._store((*rows[:at], *rows[at + 1 :]), at)
