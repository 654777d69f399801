"""The order of the tab key, as the page is laid out and not as its parts were made."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLayout, QScrollArea, QSplitter, QStackedWidget, QWidget


def in_layout_order(widget: QWidget) -> Iterator[QWidget]:
    """Everything below that the tab key reaches, from top to bottom and left to right as laid out."""
    if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
        yield widget
    inside = widget.layout()
    if isinstance(widget, QScrollArea):
        held = widget.widget()
        if held is not None:
            yield from in_layout_order(held)
    elif isinstance(widget, QSplitter | QStackedWidget):
        for index in range(widget.count()):
            below = widget.widget(index)
            if below is not None:
                yield from in_layout_order(below)
    elif inside is not None:
        yield from _of_layout(inside)


def _of_layout(layout: QLayout) -> Iterator[QWidget]:
    indexes = list(range(layout.count()))
    if isinstance(layout, QGridLayout):
        indexes.sort(key=lambda index: tuple(layout.getItemPosition(index))[:2])  # type: ignore[arg-type]
    for index in indexes:
        item = layout.itemAt(index)
        if item is None:
            continue
        below, inner = item.widget(), item.layout()
        if below is not None:
            yield from in_layout_order(below)
        elif inner is not None:
            yield from _of_layout(inner)


def set_tab_order(root: QWidget) -> None:
    """Let the tab key go down the page."""
    for one, after in pairwise(in_layout_order(root)):
        QWidget.setTabOrder(one, after)
