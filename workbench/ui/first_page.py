"""The first page: what this is, and one thing to do."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row, rule
from workbench.ui.widgets.course import CourseView
from workbench.ui.widgets.flow import Flow


class FirstPage(QWidget):
    """practise_asked()  the short way round that ends in a practice run
    new_asked(), open_asked(), sample_asked(str)
    last_asked(object)  the project that was open last: its path
    """

    practise_asked = Signal()
    new_asked = Signal()
    open_asked = Signal()
    sample_asked = Signal(str)
    last_asked = Signal(object)

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
        self.last = button("", self._last, "primary")
        self._last_path = Path()
        self._last_words = Words("", "muted")
        self._last_box = page(column(row(self.last, 1), self._last_words, gap=2), margin=0)
        self._last_box.hide()
        content = column(title, what, self._last_box, gap=5)
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

    def offer(self, path: Path) -> None:
        """The project that was open last, before all else: after a crash a jug may stand on the heat.

        One that is no longer there, or on a disk that fails at being asked, is not offered.
        """
        try:
            if not path.is_file():
                return
        except OSError:
            return
        self._last_path = path
        self.last.setText(self.tr("Open “{name}” again").format(name=path.stem))
        self._last_words.say(
            self.tr("It was open last, in {folder}. A batch that was interrupted goes on from there.").format(
                folder=path.parent
            )
        )
        as_role(self.practise, "")
        self._last_box.show()

    @property
    def start(self) -> QPushButton:
        """Where the keyboard begins."""
        if not self._last_box.isHidden():
            return self.last
        return self.new if self.practise.isHidden() else self.practise

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_inner"):
            self._measure()

    def _measure(self) -> None:
        self._inner.setMaximumWidth(theme_now().em() * 48)

    def _last(self) -> None:
        self.last_asked.emit(self._last_path)

    def _sample(self) -> None:
        self.sample_asked.emit(str(self.sender().property("key")))
