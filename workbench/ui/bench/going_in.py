"""What is going in: the recipe as it shrinks while a batch runs.

Planned beside weighed, line by line, then the tins.  It is quiet: nothing
here can be edited, and only what is being weighed now is bold.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from workbench.core.batch.made import MORE, mass_of
from workbench.core.batch.state import Entry, SessionState, StepMark
from workbench.core.batch.steps import NeedKind
from workbench.ui.bench.measures import Measures
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, clear


@dataclass(frozen=True, slots=True)
class GoingLine:
    name: str
    where: str
    planned_g: float
    readability_g: float | None
    weighed_g: float | None
    changed: bool  # the target was moved by a slip
    now: bool


def lines_of(state: SessionState) -> tuple[GoingLine, ...]:
    """Every planned line with what was really weighed so far (drops count by their estimate)."""
    if state.plan is None:
        return ()
    weighed: dict[str, float] = {}
    targets: dict[str, float] = {}
    added_g: dict[str, float] = {}  # what the batch has grown by, of what was weighed before
    now: set[str] = set()
    for progress in state.steps:
        for need in progress.step.needs:
            if need.kind not in (NeedKind.MASS, NeedKind.DROPS) or not need.material:
                continue
            if progress.mark is StepMark.CURRENT and state.phase.live:
                now.add(need.material)
            if MORE in need.key and need.kind is NeedKind.MASS:
                more_g = state.with_target(need).target or 0.0
                added_g[need.material] = added_g.get(need.material, 0.0) + more_g
            elif need.key in state.targets_g:
                targets[need.material] = state.targets_g[need.key]
            held = progress.recorded.get(need.key)
            if held is None:
                continue
            entry = state.entry(held.seq)
            mass_g = mass_of(state, entry) if isinstance(entry, Entry) else 0.0
            weighed[need.material] = weighed.get(need.material, 0.0) + mass_g
    return tuple(
        GoingLine(
            name=line.name,
            where=line.where,
            planned_g=targets.get(line.material, line.weigh_g) + added_g.get(line.material, 0.0),
            readability_g=line.readability_g,
            weighed_g=weighed.get(line.material),
            changed=line.material in targets or line.material in added_g,
            now=line.material in now,
        )
        for line in state.plan.lines
    )


class GoingIn(QWidget):
    """The strip beside the bench."""

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._shown: tuple[object, ...] = ()
        self.title = Words("", "head")
        self.remark = Words("", "muted")
        self._inner = QWidget(self)
        as_role(self._inner, "page")
        self._grid = QGridLayout(self._inner)
        self._grid.setContentsMargins(0, 0, theme_now().space(2), 0)
        self._grid.setHorizontalSpacing(theme_now().space(3))
        self._grid.setVerticalSpacing(theme_now().space(1))
        self._grid.setColumnStretch(0, 1)
        self._scroller = Scroller(self._inner, self)
        box = QVBoxLayout(self)
        margin = theme_now().space(4)
        box.setContentsMargins(margin, margin, theme_now().space(1), margin)
        box.addWidget(self.title)
        box.addWidget(self.remark)
        box.addSpacing(theme_now().space(2))
        box.addWidget(self._scroller, 1)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)

    def show_state(self, state: SessionState, measures: Measures | None = None) -> None:
        measures = measures or self._measures
        lines = lines_of(state)
        shown = (lines, dict(state.poured), state.recipe_name, state.revision, measures, state.plan is None)
        if shown == self._shown:
            return
        self._shown, self._measures = shown, measures
        self._fill(state, lines)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._shown = ()
        super().changeEvent(event)

    def _fill(self, state: SessionState, lines: tuple[GoingLine, ...]) -> None:
        self.setAccessibleName(self.tr("What is going in"))
        clear(self._grid)
        if state.plan is None:
            self.title.say(self.tr("No batch runs"))
            self.remark.say("")
            return
        self.title.say(state.recipe_name)
        self.remark.say(
            self.tr("Revision {revision}, {mass} in all").format(
                revision=state.revision, mass=self._measures.mass(state.plan.batch_g)
            )
        )
        row = 0
        for where, heading in (("base", self.tr("Base")), ("scent", self.tr("Scent"))):
            group = [line for line in lines if line.where == where]
            if not group:
                continue
            row = self._heading(row, heading, self.tr("planned"), self.tr("weighed"))
            for line in group:
                role = "strong" if line.now and line.weighed_g is None else "body"
                planned = self._measures.mass(line.planned_g, line.readability_g)
                if line.changed:
                    planned = self.tr("{mass} (changed)").format(mass=planned)
                self._row(
                    row,
                    line.name,
                    planned,
                    "–"
                    if line.weighed_g is None
                    else self._measures.mass(line.weighed_g, line.readability_g),
                    role,
                )
                row += 1
        if state.plan.tins:
            row = self._heading(row, self.tr("Tins"), self.tr("fill to"), self.tr("poured"))
            for tin in state.plan.tins:
                poured = state.poured.get(tin.number)
                self._row(
                    row,
                    self.tr("{number}. {name}").format(number=tin.number, name=tin.name),
                    self._measures.mass(tin.fill_g),
                    "–" if poured is None else self._measures.mass(poured.mass_g),
                    "body",
                )
                row += 1
        self._grid.setRowStretch(row, 1)

    def _heading(self, row: int, first: str, second: str, third: str) -> int:
        if row:
            self._grid.setRowMinimumHeight(row, theme_now().space(3))
            row += 1
        name = Words(first, "strong", self._inner)
        self._grid.addWidget(name, row, 0)
        for column, words in ((1, second), (2, third)):
            self._grid.addWidget(_right(words, "muted", self._inner), row, column)
        return row + 1

    def _row(self, row: int, name: str, planned: str, weighed: str, role: str) -> None:
        label = Words(name, role, self._inner)
        label.setAccessibleName(
            self.tr("{name}: planned {planned}, weighed {weighed}").format(
                name=name, planned=planned, weighed=weighed
            )
        )
        self._grid.addWidget(label, row, 0)
        self._grid.addWidget(_right(planned, "muted_body", self._inner), row, 1)
        self._grid.addWidget(_right(weighed, role, self._inner), row, 2)


def _right(words: str, role: str, parent: QWidget) -> QLabel:
    made = QLabel(words, parent)
    as_role(made, role)
    made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
    return made
