"""What the panels of the recipe page have in common."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize
from PySide6.QtWidgets import QGridLayout, QLabel, QLayout, QSizePolicy, QWidget

from workbench.ui.editor.model import Change, RecipeModel
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Panel, Words
from workbench.ui.widgets.glossary import TradeWords
from workbench.ui.writing import Writer


class RecipePanel(Panel):
    """Reads the model and turns what is done to it into edits; `show_recipe` is called once per change."""

    def __init__(
        self, model: RecipeModel, heading: str, remark: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(heading, remark, parent)
        self.model = model
        self.fault = Words("", "error")
        self.fault.hide()

    @property
    def writer(self) -> Writer:
        return self.model.context.writer

    def edit(self, text: str, change: Change) -> bool:
        """One undoable edit; a refusal is said under the panel."""
        says = self.writer.sentence(self.model.edit(text, change))
        self.fault.say_or_hide(says)
        return not says

    def explain(self, *words: str) -> None:
        """A question mark beside the heading that opens what these words mean; F1 does the same."""
        made = TradeWords(words, self.heading.text())
        self.tools.addWidget(made.toggle)
        self.body.insertWidget(0, made)

    def show_recipe(self) -> None:
        raise NotImplementedError


LABEL_EM = 8  # the names of fields take at least this width, so that forms stand on one line


class Strut(QWidget):
    """Nothing to see; it keeps a column at least so wide, at every text size."""

    def __init__(self, width_em: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._width_em = width_em
        self.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Minimum)

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme_now().em() * self._width_em), 0)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self.updateGeometry()


class Form(QGridLayout):
    """Names to the left of their fields, set on one line; the name is the accessible name."""

    def __init__(self, label_em: float = LABEL_EM) -> None:
        super().__init__()
        self.setContentsMargins(0, 0, 0, 0)
        self.setHorizontalSpacing(3 * GRID_PX)
        self.setVerticalSpacing(2 * GRID_PX)
        self.setColumnStretch(1, 1)
        self.addWidget(Strut(label_em), 0, 0)
        self._row = 0

    def add(self, name: str, field: QWidget | QLayout, buddy: QWidget | None = None) -> QLabel:
        label = QLabel(name)
        as_role(label, "body")
        label.setWordWrap(True)
        self.addWidget(label, self._row, 0)
        if isinstance(field, QLayout):
            self.addLayout(field, self._row, 1)
        else:
            self.addWidget(field, self._row, 1)
            buddy = buddy or field
        if buddy is not None:
            label.setBuddy(buddy)
            if not buddy.accessibleName():
                buddy.setAccessibleName(name)
        self._row += 1
        return label

    def add_wide(self, field: QWidget | QLayout) -> None:
        if isinstance(field, QLayout):
            self.addLayout(field, self._row, 0, 1, 2)
        else:
            self.addWidget(field, self._row, 0, 1, 2)
        self._row += 1
