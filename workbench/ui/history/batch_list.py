"""Past batches as a list, from their summaries alone: no record is read to draw it."""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QStackedWidget, QTableView, QVBoxLayout, QWidget

from workbench.store.sessions import SessionEntry
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.words import when_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words

AnyIndex = QModelIndex | QPersistentModelIndex
COLUMNS = ("when", "what", "yield", "deviations", "end")


class BatchModel(QAbstractTableModel):
    """Newest first, as the store gives them."""

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._entries: tuple[SessionEntry, ...] = ()

    def show(self, entries: tuple[SessionEntry, ...], measures: Measures) -> None:
        self.beginResetModel()
        self._entries, self._measures = entries, measures
        self.endResetModel()

    def entry(self, row: int) -> SessionEntry | None:
        return self._entries[row] if 0 <= row < len(self._entries) else None

    def row_of(self, session: str) -> int:
        return next((at for at, each in enumerate(self._entries) if each.id == session), -1)

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008 (Qt's own signature)
        return 0 if parent.isValid() else len(self._entries)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._alignment(section)
        if orientation is not Qt.Orientation.Horizontal or role != Qt.ItemDataRole.DisplayRole:
            return None
        return {
            "when": self.tr("Begun"),
            "what": self.tr("Balm"),
            "yield": self.tr("In tins"),
            "deviations": self.tr("Off plan"),
            "end": self.tr("How it ended"),
        }[COLUMNS[section]]

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._alignment(index.column())
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        return self._text(self._entries[index.row()], COLUMNS[index.column()])

    @staticmethod
    def _alignment(column: int) -> int:
        right = COLUMNS[column] in ("yield", "deviations")
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        return int(side | Qt.AlignmentFlag.AlignVCenter)

    def _text(self, entry: SessionEntry, column: str) -> str:
        summary = entry.summary
        match column:
            case "when":
                return when_words(entry.started)
            case "what":
                name = self.tr("{name}, revision {revision}").format(
                    name=entry.recipe_name, revision=entry.recipe_revision
                )
                return self.tr("{name} (practice)").format(name=name) if entry.rehearsal else name
            case "yield":
                return (
                    "–"
                    if summary is None or not summary.in_tins_g
                    else self._measures.mass(summary.in_tins_g)
                )
            case "deviations":
                return "–" if summary is None else self._measures.number(summary.deviations, 0)
            case _:
                return {
                    "finished": self.tr("finished"),
                    "ended early": self.tr("ended early"),
                }.get(entry.end, self.tr("not ended"))


class BatchList(QWidget):
    """opened(session id)"""

    opened = Signal(str)

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = Words("", "title")
        self.model = BatchModel(measures, self)
        self.table = QTableView(self)
        self.table.setModel(self.model)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setShowGrid(False)
        self.table.setWordWrap(True)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().setVisible(False)
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header = self.table.horizontalHeader()
        header.setHighlightSections(False)
        for at, column in enumerate(COLUMNS):
            header.setSectionResizeMode(
                at,
                QHeaderView.ResizeMode.Stretch
                if column in ("what", "end")
                else QHeaderView.ResizeMode.ResizeToContents,
            )
        self.table.activated.connect(self._open)
        self.table.clicked.connect(self._open)
        self.empty = Words("", "lead")
        self._stack = QStackedWidget(self)
        page = QWidget(self)
        inner = QVBoxLayout(page)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.addWidget(self.empty)
        inner.addStretch(1)
        self._stack.addWidget(page)
        self._stack.addWidget(self.table)
        box = QVBoxLayout(self)
        margin = theme_now().space(6)
        box.setContentsMargins(margin, margin, margin, margin)
        box.setSpacing(theme_now().space(4))
        box.addWidget(self.heading)
        box.addWidget(self._stack, 1)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._say()

    def show_entries(self, entries: tuple[SessionEntry, ...], measures: Measures) -> None:
        self.model.show(entries, measures)
        self._stack.setCurrentIndex(1 if entries else 0)

    def select(self, session: str) -> None:
        row = self.model.row_of(session)
        if row >= 0:
            self.table.selectRow(row)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    def _say(self) -> None:
        self.heading.say(self.tr("Past batches"))
        self.table.setAccessibleName(self.tr("Past batches"))
        self.empty.say(
            self.tr(
                "Every batch you make is kept here: what was weighed, how warm it was, what went another way than planned. Make the first one from a recipe, or try a practice run."
            )
        )

    def _open(self, index: QModelIndex) -> None:
        entry = self.model.entry(index.row())
        if entry is not None:
            self.opened.emit(entry.id)
