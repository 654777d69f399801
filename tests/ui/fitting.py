"""Whether text has the room it needs, and whether anything lies on anything else."""

from __future__ import annotations

import re
from itertools import combinations

from PySide6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QLabel,
    QLineEdit,
    QStyle,
    QStyleOptionComboBox,
    QWidget,
)


def cut(widget: QWidget, long_is_fine: int = 200) -> str:
    """What of a label, a button, a box or the hint in a field does not fit, or "".

    Of boxes and hints, texts with more letters than `long_is_fine` may be cut:
    the list of a box shows them whole, and a hint says what the name says too.
    """
    if isinstance(widget, QLabel) and widget.text():
        text = re.sub("<[a-z/]+>", "", widget.text())  # struck through is written with a tag
        words = text.split("\n") if not widget.wordWrap() else text.split()
        wide = max(map(widget.fontMetrics().horizontalAdvance, words), default=0)
        needs = widget.heightForWidth(widget.width()) if widget.wordWrap() else widget.sizeHint().height()
        if wide > widget.width() + 1 or needs > widget.height() + 2:
            return f"{widget.text()[:50]!r} has {widget.width()}x{widget.height()}, needs {wide}x{needs}"
    elif isinstance(widget, QAbstractButton) and widget.text():
        if widget.width() < widget.minimumSizeHint().width() - 2:
            return f"button {widget.text()!r} is {widget.width()} wide"
    elif isinstance(widget, QComboBox) and widget.currentText():
        option = QStyleOptionComboBox()
        widget.initStyleOption(option)
        room = widget.style().subControlRect(
            QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, widget
        )
        wide = widget.fontMetrics().horizontalAdvance(widget.currentText())
        if wide > room.width() and len(widget.currentText()) <= long_is_fine:
            return f"box {widget.currentText()!r} has {room.width()}, needs {wide}"
    elif isinstance(widget, QLineEdit) and not widget.text() and widget.placeholderText():
        wide = widget.fontMetrics().horizontalAdvance(widget.placeholderText())
        if wide > widget.width() - 8 and len(widget.placeholderText()) <= long_is_fine:
            return f"hint {widget.placeholderText()!r} has {widget.width() - 8}, needs {wide}"
    return _past_its_page(widget)


def _past_its_page(widget: QWidget) -> str:
    """What runs out of the page that scrolls, sideways: pages scroll down only."""
    if not isinstance(widget, QLabel | QAbstractButton | QLineEdit):
        return ""
    above = widget.parentWidget()
    while above is not None and above.objectName() != "qt_scrollarea_viewport":
        above = above.parentWidget()
    if above is not None and widget.mapTo(above, widget.rect().topRight()).x() > above.width() + 1:
        return f"{type(widget).__name__} {widget.text()[:40]!r} runs out of its page"
    return ""


def over_one_another(root: QWidget) -> list[str]:
    """Neighbours with text or to be pressed whose rectangles share more than an edge."""
    kinds = QLabel | QAbstractButton | QLineEdit | QComboBox
    by_parent: dict[QWidget, list[QWidget]] = {}
    for widget in root.findChildren(QWidget):
        above = widget.parentWidget()
        if isinstance(widget, kinds) and widget.isVisible() and above is not None:
            by_parent.setdefault(above, []).append(widget)
    return [
        f"{type(one).__name__} on {type(other).__name__} in {type(above).__name__}"
        for above, children in by_parent.items()
        for one, other in combinations(children, 2)
        if one.geometry().adjusted(1, 1, -1, -1).intersects(other.geometry().adjusted(1, 1, -1, -1))
    ]
