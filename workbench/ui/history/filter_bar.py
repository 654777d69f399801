"""The find box and the filters over the list of past batches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit, QWidget

from workbench.core.review.past import Choices, Outcome, Wanted
from workbench.ui.history.days import first_day, last_day
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, column, row
from workbench.ui.widgets.choose import ChooseBox

BOXES = ("recipe", "material", "lot", "tin", "vessel", "outcome", "fault", "practice")
PRACTICE = {"without": False, "only": True}
ONE_LINE_EM = 58  # below this the box to find by has a line of its own
FIELD_EM = 13  # a filter takes at least this width


@dataclass(frozen=True, slots=True)
class Offer:
    """What there is to choose from, and the words for its keys."""

    choices: Choices
    material: Callable[[str], str] = str
    lot: Callable[[str], str] = str
    tin: Callable[[str], str] = str
    vessel: Callable[[str], str] = str
    fault: Callable[[str], str] = str


class Filter(QWidget):
    """A box or a field under its name."""

    def __init__(self, name: str, inside: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = Words(name, "small")
        self.setLayout(column(self.label, inside, gap=0))


class FilterBar(QWidget):
    """changed()  something else is wanted"""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._offered: Offer | None = None
        self.words = QLineEdit(self)
        self.words.setClearButtonEnabled(True)
        self.words.textChanged.connect(self.changed)
        self.more = button("", None, "", self)
        self.more.setCheckable(True)
        self.more.toggled.connect(self._unfold)
        self.tools_line = row(self.more, gap=2)
        self._tools = QWidget(self)
        self._tools.setLayout(self.tools_line)
        self._find = QGridLayout()
        self._find.setContentsMargins(0, 0, 0, 0)
        self._find.setHorizontalSpacing(2 * GRID_PX)
        self._find.setVerticalSpacing(GRID_PX)
        self._find.setColumnStretch(0, 1)
        self._one_line: bool | None = None
        self.boxes = {key: ChooseBox("", self, 8) for key in BOXES}
        for box in self.boxes.values():
            box.chosen.connect(self.changed)
        self.since, self.until = QLineEdit(self), QLineEdit(self)
        for field in (self.since, self.until):
            field.setMaxLength(10)
            field.textChanged.connect(self._typed_day)
        self._filters = {
            **{key: Filter("", box, self) for key, box in self.boxes.items()},
            "since": Filter("", self.since, self),
            "until": Filter("", self.until, self),
        }
        self.fault = Words("", "error", self)
        self.fault.hide()
        self.folded = QWidget(self)
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(3 * GRID_PX)
        self._grid.setVerticalSpacing(2 * GRID_PX)
        inner = column(self._grid, self.fault, gap=1)
        inner.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 3 * GRID_PX, 3 * GRID_PX)
        self.folded.setLayout(inner)
        as_role(self.folded, "card")
        self.folded.hide()
        self.setLayout(column(self._find, self.folded, gap=2))
        self._columns = 0
        self._say()
        self._arrange()

    # what is wanted

    def wanted(self) -> Wanted:
        """What is typed and chosen; a day that cannot be read counts as none."""
        box, outcome = self.boxes, self.boxes["outcome"].key()
        return Wanted(
            words=self.words.text(),
            recipe=box["recipe"].key(),
            material=box["material"].key(),
            lot=box["lot"].key(),
            tin=box["tin"].key(),
            vessel=box["vessel"].key(),
            fault=box["fault"].key(),
            since=_day(self.since.text(), first_day),
            until=_day(self.until.text(), last_day),
            rehearsals=PRACTICE.get(box["practice"].key()),
            outcomes=frozenset((Outcome(outcome),)) if outcome else frozenset(),
        )

    def clear(self) -> None:
        """Everything is wanted again; told once."""
        self.blockSignals(True)
        for field in (self.words, self.since, self.until):
            field.clear()
        for box in self.boxes.values():
            box.show_key("")
        self.blockSignals(False)
        self.changed.emit()

    def choose(self, key: str, value: str) -> None:
        """As if it had been chosen by hand."""
        self.boxes[key].show_key(value)
        self.more.setChecked(True)
        self.changed.emit()

    def offer(self, offered: Offer) -> None:
        """Fill the boxes, keeping what is chosen."""
        self._offered = offered
        every, there = self.tr("any"), offered.choices
        for key, found, words in (
            ("recipe", there.recipes, str),
            ("material", there.materials, offered.material),
            ("lot", there.lots, offered.lot),
            ("tin", there.tins, offered.tin),
            ("vessel", there.vessels, offered.vessel),
            ("fault", there.faults, offered.fault),
        ):
            named = sorted(((each, words(each)) for each, _ in found), key=lambda one: one[1].casefold())
            kept = self.boxes[key].key()
            if kept and kept not in dict(named):
                named.append((kept, words(kept)))
            self.boxes[key].offer([("", every), *named])
            self.boxes[key].setEnabled(bool(named))
        self.boxes["outcome"].offer([("", every), *((each.value, self._outcome(each)) for each in Outcome)])
        self.boxes["practice"].offer(
            [
                ("", self.tr("among the others")),
                ("without", self.tr("left out")),
                ("only", self.tr("only these")),
            ]
        )
        for box in self.boxes.values():
            if box.currentIndex() < 0:
                box.show_key("")

    def says(self) -> tuple[str, ...]:
        """The filters in force, each in words."""
        found = []
        for key, box in self.boxes.items():
            if box.key():
                found.append(
                    self.tr("{name}: {value}").format(name=self._name(key).lower(), value=box.currentText())
                )
        wanted = self.wanted()
        if wanted.since is not None:
            found.append(self.tr("from {day}").format(day=wanted.since.isoformat()))
        if wanted.until is not None:
            found.append(self.tr("to {day}").format(day=wanted.until.isoformat()))
        return tuple(found)

    # look

    def _outcome(self, outcome: Outcome) -> str:
        return {
            Outcome.FINISHED: self.tr("finished"),
            Outcome.ENDED_EARLY: self.tr("ended early"),
            Outcome.OPEN: self.tr("not ended"),
            Outcome.OFF_PLAN: self.tr("left its plan"),
            Outcome.OVER_LIMIT: self.tr("over a skin limit"),
            Outcome.FAULTS: self.tr("faults seen"),
            Outcome.FLAGGED: self.tr("skin reaction told"),
            Outcome.UNREAD: self.tr("notes cannot be read"),
        }[outcome]

    def _name(self, key: str) -> str:
        return {
            "recipe": self.tr("Recipe"),
            "material": self.tr("Material"),
            "lot": self.tr("Lot"),
            "tin": self.tr("Tin"),
            "vessel": self.tr("Jug"),
            "outcome": self.tr("How it ended"),
            "fault": self.tr("Fault seen"),
            "practice": self.tr("Practice runs"),
            "since": self.tr("From"),
            "until": self.tr("To"),
        }[key]

    def _say(self) -> None:
        self.words.setPlaceholderText(self.tr("Find by a name, a batch code, something noted"))
        self.words.setAccessibleName(self.tr("Find in past batches"))
        self.more.setText(self.tr("Fewer filters") if self.more.isChecked() else self.tr("More filters"))
        for key, shown in self._filters.items():
            shown.label.say(self._name(key))
            field = self.boxes.get(key) or {"since": self.since, "until": self.until}[key]
            field.setAccessibleName(self._name(key))
            shown.label.setBuddy(field)
        for field in (self.since, self.until):
            field.setPlaceholderText(self.tr("like {day}").format(day="2026-03-14"))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
            if self._offered is not None:
                self.offer(self._offered)
        elif event.type() is QEvent.Type.FontChange and hasattr(self, "_grid"):
            self._columns = 0
            self._arrange()

    def _unfold(self, open_now: bool) -> None:
        self.folded.setVisible(open_now)
        self._say()

    def _typed_day(self) -> None:
        wrong = [
            field.text()
            for field, read in ((self.since, first_day), (self.until, last_day))
            if field.text().strip() and _day(field.text(), read) is None and len(field.text()) >= 4
        ]
        self.fault.say_or_hide(
            self.tr("“{text}” is no day. Write it as 2026-03-14, or just 2026-03 or 2026.").format(
                text=wrong[0]
            )
            if wrong
            else ""
        )
        self.changed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def minimumSizeHint(self) -> QSize:
        return QSize(2 * FIELD_EM * theme_now().em(), super().minimumSizeHint().height())

    def _arrange(self) -> None:
        em = theme_now().em()
        one_line = self.width() >= ONE_LINE_EM * em
        if one_line != self._one_line:
            self._one_line = one_line
            for part in (self.words, self._tools):
                self._find.removeWidget(part)
            self._find.addWidget(self.words, 0, 0)
            if one_line:
                self._find.addWidget(self._tools, 0, 1)
            else:
                self._find.addWidget(self._tools, 1, 0, Qt.AlignmentFlag.AlignLeft)
        columns = max(2, min(5, (self.width() - 2 * em) // (FIELD_EM * em)))
        if columns == self._columns:
            return
        self._columns = columns
        for shown in self._filters.values():
            self._grid.removeWidget(shown)
        for at, shown in enumerate(self._filters.values()):
            self._grid.addWidget(shown, at // columns, at % columns)
        for at in range(5):
            self._grid.setColumnStretch(at, 1 if at < columns else 0)


def _day(text: str, read: object) -> date | None:
    assert callable(read)
    try:
        found = read(text.strip())
    except ValueError:
        return None
    return found if isinstance(found, date) else None
