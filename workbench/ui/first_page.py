"""The first page: what this is, and one thing to do."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QWidget

from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row, rule
from workbench.ui.widgets.course import CourseView
from workbench.ui.widgets.flow import Flow


class FirstPage(QWidget):
    """practise_asked()  the short way round that ends in a practice run
    new_asked(), open_asked(), sample_asked(str)
    """

    practise_asked = Signal()
    new_asked = Signal()
    open_asked = Signal()
    sample_asked = Signal(str)

    def __init__(self, samples: list[tuple[str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        title = Words(self.tr("Solid perfume, one batch at a time"), "title")
        what = Words(
            self.tr(
                "Write a recipe of wax, butter, oil and scent. Balmbook works out the grams, says whether it is safe on skin and at the stove, walks you through the melt and the pour, and keeps the record."
            ),
            "lead",
        )
        first = Words(self.tr("New here? Go through a whole batch once without heating anything."), "body")
        self.practise = button(self.tr("Try a practice run"), self.practise_asked.emit, "primary")
        self.new = button(self.tr("Begin a project of your own"), self.new_asked.emit)
        self.open = button(self.tr("Open a project"), self.open_asked.emit)
        content = column(title, what, gap=5)
        if samples:
            content.addLayout(column(first, row(self.practise, 1), gap=2))
        content.addWidget(CourseView())
        content.addWidget(rule())
        begin = Words(self.tr("Or begin at once") if samples else self.tr("Begin"), "head")
        content.addLayout(column(begin, Flow(self.new, self.open), gap=2))
        if samples:
            listed = []
            for key, text in samples:
                made = button(text, self._sample)
                made.setProperty("key", key)
                listed.append(made)
            content.addLayout(column(Words(self.tr("Samples to look at"), "head"), Flow(*listed), gap=2))
        content.addWidget(
            Words(
                self.tr(
                    "It helps you take care; it certifies nothing. Supplier's papers and local rules come first."
                ),
                "muted",
            )
        )
        content.addStretch(1)
        inner = page(content, margin=12)
        self._inner = inner
        self._measure()
        middle = row(1, inner, 1)
        middle.setStretch(1, 20)
        holder = page(middle, margin=0)
        whole = column(Scroller(holder), gap=0)
        self.setLayout(whole)
        self.practise.setVisible(bool(samples))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_inner"):
            self._measure()

    def _measure(self) -> None:
        self._inner.setMaximumWidth(theme_now().em() * 48)

    def _sample(self) -> None:
        self.sample_asked.emit(str(self.sender().property("key")))
