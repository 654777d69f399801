"""Past batches as rows, from their summaries alone: no record is read to draw them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from workbench.core.review.past import PastRow, Sort
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.words import when_words

AnyIndex = QModelIndex | QPersistentModelIndex

TICK = "tick"
COLUMNS = (
    TICK, "when", "what", "vessel", "yield", "percent", "added", "poured", "sink", "off", "end", "faults",
)  # fmt: skip
RIGHT = ("yield", "percent", "added", "poured", "sink", "off")
ALIGNED = tuple(
    int(
        (Qt.AlignmentFlag.AlignRight if column in RIGHT else Qt.AlignmentFlag.AlignLeft)
        | Qt.AlignmentFlag.AlignVCenter
    )
    for column in COLUMNS
)
_SPOKEN, _ALIGNED, _TICKED = (
    int(role)
    for role in (
        Qt.ItemDataRole.AccessibleTextRole,
        Qt.ItemDataRole.TextAlignmentRole,
        Qt.ItemDataRole.CheckStateRole,
    )
)
_SAID = frozenset((int(Qt.ItemDataRole.DisplayRole), int(Qt.ItemDataRole.ToolTipRole), _SPOKEN))
MOST = 6  # beside one another; more cannot be told apart
SORTS = {
    "when": Sort.STARTED,
    "what": Sort.RECIPE,
    "yield": Sort.IN_TINS,
    "percent": Sort.YIELD,
    "added": Sort.ADDITION,
    "poured": Sort.POUR,
    "sink": Sort.SINK,
    "off": Sort.OFF_PLAN,
    "end": Sort.END,
}  # the others are sorted by the words in them


@dataclass(frozen=True, slots=True)
class Names:
    """Words for keys: vessels of the shelf, and what can be seen wrong with a balm."""

    vessels: Mapping[str, str] = field(default_factory=dict)
    faults: Mapping[str, str] = field(default_factory=dict)


class BatchModel(QAbstractTableModel):
    """ticked()  others are to be laid side by side;  refused()  a seventh was asked for"""

    ticked = Signal()
    refused = Signal()

    def __init__(self, measures: Measures, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._names = Names()
        self._rows: tuple[PastRow, ...] = ()
        self._said: dict[str, tuple[str, ...]] = {}
        self._ticks: dict[str, None] = {}  # in the order they were ticked

    # what is shown

    def speak(self, measures: Measures, names: Names) -> None:
        """How values and keys are written; seen with the next `show`."""
        self._measures, self._names = measures, names
        self._said = {}

    def show(self, rows: Sequence[PastRow]) -> None:
        self.beginResetModel()
        self._rows = tuple(rows)
        self.endResetModel()

    def entry(self, row: int) -> PastRow | None:
        return self._rows[row] if 0 <= row < len(self._rows) else None

    @property
    def rows(self) -> tuple[PastRow, ...]:
        return self._rows

    def row_of(self, session: str) -> int:
        return next((at for at, each in enumerate(self._rows) if each.id == session), -1)

    # ticks

    @property
    def ticks(self) -> tuple[str, ...]:
        return tuple(self._ticks)

    def tick(self, row: int) -> None:
        """Tick a batch, or take its tick away."""
        entry = self.entry(row)
        if entry is None:
            return
        if entry.id in self._ticks:
            del self._ticks[entry.id]
        elif len(self._ticks) >= MOST:
            self.refused.emit()
            return
        else:
            self._ticks[entry.id] = None
        cell = self.index(row, COLUMNS.index(TICK))
        self.dataChanged.emit(cell, cell, [Qt.ItemDataRole.CheckStateRole])
        self.ticked.emit()

    def tick_none(self, keep: Callable[[str], bool] = lambda _session: False) -> None:
        """Take all ticks away, save those to keep."""
        kept = {session: None for session in self._ticks if keep(session)}
        if kept == self._ticks:
            return
        self._ticks = kept
        if self._rows:
            at = COLUMNS.index(TICK)
            self.dataChanged.emit(
                self.index(0, at), self.index(len(self._rows) - 1, at), [Qt.ItemDataRole.CheckStateRole]
            )
        self.ticked.emit()

    # Qt

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008 (Qt's own signature)
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        held = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return held | Qt.ItemFlag.ItemIsUserCheckable if COLUMNS[index.column()] == TICK else held

    def setData(self, index: AnyIndex, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.CheckStateRole or not index.isValid():
            return False
        before = self.ticks
        self.tick(index.row())
        return self.ticks != before

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return ALIGNED[section]
        if role == Qt.ItemDataRole.AccessibleTextRole and COLUMNS[section] == TICK:
            return self.tr("Ticked for side by side")
        return self.title(COLUMNS[section]) if role == Qt.ItemDataRole.DisplayRole else None

    def title(self, column: str) -> str:
        return {
            TICK: "",
            "when": self.tr("Begun"),
            "what": self.tr("Balm"),
            "vessel": self.tr("Jug"),
            "yield": self.tr("In tins"),
            "percent": self.tr("Yield"),
            "added": self.tr("Scented at"),
            "poured": self.tr("Poured at"),
            "sink": self.tr("Dip"),
            "off": self.tr("Off plan"),
            "end": self.tr("How it ended"),
            "faults": self.tr("Faults seen"),
        }[column]

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Asked thousands of times for one picture of the list, so what is said once is kept."""
        if role in _SAID:
            entry = self._rows[index.row()]
            at = index.column()
            if at:
                return self.cells(entry)[at]
            if role != _SPOKEN:
                return None
            return self.tr("ticked") if entry.id in self._ticks else self.tr("not ticked")
        if role == _ALIGNED:
            return ALIGNED[index.column()]
        if role == _TICKED and index.column() == 0:
            ticked = self._rows[index.row()].id in self._ticks
            return (Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked).value
        return None

    def cells(self, entry: PastRow) -> tuple[str, ...]:
        """What stands in the cells of a batch, in the order of `COLUMNS`."""
        held = self._said.get(entry.id)
        if held is None:
            held = ("", *(self.text(entry, column) for column in COLUMNS[1:]))
            self._said[entry.id] = held
        return held

    def text(self, entry: PastRow, column: str) -> str:
        """What stands in a cell; a dash where the record does not hold it."""
        made, say = entry.summary, self._measures
        match column:
            case "when":
                return when_words(entry.started)
            case "what":
                return self._what(entry)
            case "end":
                return {"finished": self.tr("finished"), "ended early": self.tr("ended early")}.get(
                    entry.end, self.tr("not ended")
                )
            case "faults":
                return self._faults(entry)
        if made is None:
            return "–"
        match column:
            case "vessel":
                return self._vessel(made.vessel) or "–"
            case "yield":
                return say.mass(made.in_tins_g) if made.in_tins_g else "–"
            case "percent":
                # where no tin was poured, 0 % is no yield
                percent = made.yield_percent if made.in_tins_g else None
                return "–" if percent is None else say.writer.share(percent, 0)
            case "added":
                return "–" if made.addition_c is None else say.temperature(made.addition_c)
            case "poured":
                return "–" if made.pour_c is None else say.temperature(made.pour_c)
            case "sink":
                if made.sink_depth_mm is None:
                    return "–"
                return self.tr("{depth} mm").format(depth=say.number(made.sink_depth_mm, 1))
            case _:
                return say.number(made.deviations, 0)

    def _what(self, entry: PastRow) -> str:
        name = self.tr("{name}, revision {revision}").format(
            name=entry.recipe_name, revision=entry.recipe_revision
        )
        if entry.rehearsal:
            name = self.tr("{name} (practice)").format(name=name)
        return f"!  {name}" if entry.flagged or entry.unread else name

    def _faults(self, entry: PastRow) -> str:
        words = [self._measures.say(self._names.faults.get(key, key)) for key in entry.faults]
        words += [self.tr("skin reaction told")] if entry.flagged else []
        words += [self.tr("notes cannot be read")] if entry.unread else []
        return ", ".join(words)

    def _vessel(self, key: str) -> str:
        return self._names.vessels.get(key, key)
