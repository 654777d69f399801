"""Labels, buttons, sheets and rows: thin wrappers, so that every window is set on one grid."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QCoreApplication, QEvent, QObject, QSize, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from workbench.ui.theme import GRID_PX, as_role, theme_now

_HOLDS = "\u00a0"  # a space at which no line ends
_UNIT = re.compile(r"(\d) (°C|°F|%|g\b|oz\b|mL\b|min\b|h\b|s\b)")
_LAID_OUT = (QEvent.Type.LayoutRequest, QEvent.Type.Resize, QEvent.Type.Paint)
_Box = TypeVar("_Box", bound=QBoxLayout)


class Words(QLabel):
    """Text that wraps, can be selected with the mouse, and is written only when it changes."""

    def __init__(self, text: str = "", role: str = "body", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setText(text)
        as_role(self, role)
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def setText(self, text: str) -> None:
        super().setText(held_together(text))

    def text(self) -> str:
        """As it was said; what holds a number and its unit together is a matter of setting only."""
        return super().text().replace(_HOLDS, " ")

    def say(self, text: str, role: str | None = None) -> None:
        """Show another text (and look); nothing happens when it is the same."""
        if text != self.text():
            self.setText(text)
        if role is not None:
            as_role(self, role)

    def say_or_hide(self, text: str, role: str | None = None) -> None:
        """Show the text, or take no room where there is none."""
        self.say(text, role)
        if self.isHidden() == bool(text):
            self.setVisible(bool(text))


def figure(text: str = "", role: str = "body", parent: QWidget | None = None) -> Words:
    """A number that stands on one line, to the right of its column."""
    made = Words(text, role, parent)
    made.setWordWrap(False)
    made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    made.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Preferred)
    return made


def button(
    text: str,
    pressed: Callable[[], object] | None = None,
    role: str = "",
    parent: QWidget | None = None,
    name: str = "",
) -> QPushButton:
    """A push button; `name` is its accessible name where the text alone does not say enough."""
    made = QPushButton(text, parent)
    if role:
        as_role(made, role)
    if name:
        made.setAccessibleName(name)
    if pressed is not None:
        made.clicked.connect(pressed)
    made.setAutoDefault(False)
    return made


def held_together(text: str) -> str:
    """The same text in which no line ends between a number and its unit."""
    return _UNIT.sub(rf"\1{_HOLDS}\2", text)


def row(*items: QWidget | QLayout | int, gap: int = 2) -> QHBoxLayout:
    """Side by side; an int is a stretch."""
    return _fill(QHBoxLayout(), items, gap)


def column(*items: QWidget | QLayout | int, gap: int = 2) -> QVBoxLayout:
    """Under one another; an int is a stretch."""
    return _fill(QVBoxLayout(), items, gap)


def _fill(box: _Box, items: tuple[QWidget | QLayout | int, ...], gap: int) -> _Box:
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(gap * GRID_PX)
    for item in items:
        if isinstance(item, int):
            box.addStretch(item)
        elif isinstance(item, QWidget):
            box.addWidget(item)
        else:
            box.addLayout(item)
    return box


def rule(parent: QWidget | None = None) -> QFrame:
    """A hairline between two things."""
    made = QFrame(parent)
    as_role(made, "rule")
    return made


class Panel(QFrame):
    """A part of a page: a heading in the serif, a quiet remark beside it, and its content."""

    def __init__(self, heading: str, remark: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = Words(heading, "head")
        self.heading.setWordWrap(False)
        self.remark = Words(remark, "muted")
        self.remark.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        self.tools = row(gap=1)
        self.body = column(gap=2)
        top = row(self.heading, self.remark, self.tools, gap=3)
        top.setStretch(1, 1)
        whole = column(top, self.body, gap=2)
        self.setLayout(whole)
        self.setAccessibleName(heading)
        self._level()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "remark"):
            self._level()

    def _level(self) -> None:
        """Heading and remark stand on one line, although their letters reach down differently."""
        theme = theme_now()
        deep, shallow = QFontMetrics(theme.font("head")), QFontMetrics(theme.font("small"))
        self.remark.setContentsMargins(0, 0, 0, max(0, deep.descent() - shallow.descent()))

    def rename(self, heading: str, remark: str = "") -> None:
        self.heading.say(heading)
        self.remark.say(remark)
        self.setAccessibleName(heading)


class Page(QWidget):
    """Paper ground.  Its least height is none: text that wraps asks for the height it needs at its width."""

    def __init__(self, role: str = "page") -> None:
        super().__init__()
        as_role(self, role)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)

    def minimumSizeHint(self) -> QSize:
        return QSize(super().minimumSizeHint().width(), 0)


class Scroller(QScrollArea):
    """A page that scrolls down and never sideways, and keeps the focused field in view."""

    def __init__(self, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        if not isinstance(content, Page):
            holder = Page()
            holder.setLayout(column(content, gap=0))
            content = holder
        self.setWidget(content)

    def minimumSizeHint(self) -> QSize:
        inner = self.widget()
        width = inner.minimumSizeHint().width() if inner is not None else 0
        return QSize(width + self.verticalScrollBar().sizeHint().width(), 20 * GRID_PX)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kind = event.type()
        if kind is QEvent.Type.LayoutRequest:
            self.updateGeometry()  # the page inside may be narrower now, or wider
        if kind in _LAID_OUT and self.too_low():
            # what was put on it while it was laid out made it higher, and Qt does not ask again by itself;
            # asked before the next frame is painted, nobody sees it squeezed
            QCoreApplication.postEvent(self, QEvent(QEvent.Type.LayoutRequest))
        return super().eventFilter(watched, event)

    def too_low(self) -> bool:
        """The page has less height than its words need at its width."""
        inner = self.widget()
        return (
            inner is not None
            and inner.hasHeightForWidth()
            and inner.height() < inner.heightForWidth(inner.width())
        )


def page(content: QLayout, margin: int = 6, role: str = "page") -> QWidget:
    """A page with one margin all round."""
    made = Page(role)
    content.setContentsMargins(margin * GRID_PX, margin * GRID_PX, margin * GRID_PX, margin * GRID_PX)
    made.setLayout(content)
    return made


def clear(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets are gone with the next turn of the event loop."""
    while (item := layout.takeAt(0)) is not None:
        inner = item.widget()
        if inner is not None:
            inner.hide()
            inner.setParent(None)
            inner.deleteLater()
        elif (below := item.layout()) is not None:
            clear(below)
