"""Everything that a window says, for tests that read it."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QLabel,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QTableView,
    QWidget,
)


def said_by(widget: QWidget) -> Iterator[str]:
    """Texts of one widget, as they are seen and as they are read aloud."""
    if isinstance(widget, QLabel | QAbstractButton):
        yield widget.text()
    elif isinstance(widget, QComboBox):
        yield from (widget.itemText(at) for at in range(widget.count()))
        yield widget.placeholderText()
    elif isinstance(widget, QLineEdit | QPlainTextEdit):
        yield widget.placeholderText()
    elif isinstance(widget, QAbstractItemView) and not isinstance(widget.parent(), QComboBox):
        yield from _of_model(widget)
    elif isinstance(widget, QMenu):
        yield from (action.text() for action in widget.actions() if not action.isSeparator())
    yield widget.toolTip()
    yield widget.accessibleName()
    yield widget.accessibleDescription()
    if widget.isWindow():
        yield widget.windowTitle()


def _of_model(view: QAbstractItemView) -> Iterator[str]:
    model = view.model()
    columns = model.columnCount() if isinstance(view, QTableView) else 1
    for column in range(columns):
        if isinstance(view, QTableView):
            yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
        for row in range(min(model.rowCount(), 40)):
            yield str(model.index(row, column).data() or "")


def said(root: QWidget, hidden: bool = False) -> list[tuple[QWidget, str]]:
    """Every text below `root` that is not empty."""
    return [
        (widget, text)
        for widget in (root, *root.findChildren(QWidget))
        if hidden or widget.isVisible()
        for text in said_by(widget)
        if text.strip()
    ]
