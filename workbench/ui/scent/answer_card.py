"""One answer of the composer: its oils, how near it comes, what holds it back, and a button to take it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QWidget

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.wish import Answer, Composed
from workbench.core.scent.telling import moment_words, note_words
from workbench.ui.scent.course_data import short_names
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button, clear, column, figure
from workbench.ui.writing import Writer


class AnswerCard(QFrame):
    """taken()  this is the one"""

    taken = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "card")
        self.title = Words("", "strong", self)
        self._oils = QGridLayout()
        self._oils.setHorizontalSpacing(2 * GRID_PX)
        self._oils.setVerticalSpacing(GRID_PX // 2)
        self._oils.setColumnStretch(0, 1)
        self.reached = Words("", "small", self)
        self.binding = Words("", "muted", self)
        self.take = button(self.tr("Take this one"), self.taken.emit, "", self)
        whole = column(self.title, self._oils, self.reached, self.binding, 1, self.take, gap=2)
        margin = 3 * GRID_PX
        whole.setContentsMargins(margin, margin, margin, margin)
        self.setLayout(whole)

    def show_answer(self, answer: Answer, composed: Composed, catalogue: Catalogue, w: Writer) -> None:
        self.title.say(w.sentence(answer.says))
        clear(self._oils)
        grams, names = dict(answer.grams), short_names((oil for oil, _ in answer.counts), catalogue)
        spoken = []
        for at, (oil, units) in enumerate(answer.counts):
            label = Words(names[oil], "body")
            label.setToolTip(catalogue.material(oil).name)
            amount = self.tr("%n drops", "", units) if composed.in_drops else w.grams(grams[oil], 2)
            self._oils.addWidget(label, at, 0)
            self._oils.addWidget(figure(amount, "body"), at, 1)
            spoken.append(f"{names[oil]} {amount}")
        lines = []
        for reached in answer.reached:
            values = {
                "note": w.sentence(note_words(reached.aim.note)),
                "when": w.sentence(moment_words(reached.aim.at_s)),
                "asked": w.number(reached.aim.strength, 0),
                "found": w.number(reached.found, 0),
                "planned": w.number(reached.planned, 0),
            }
            if abs(reached.gap) >= 1:
                lines.append(
                    self.tr("{when}: {note} {found} of {asked} (planned {planned})").format(**values)
                )
            elif reached.leads:
                lines.append(self.tr("{when}: {note} {found} of {asked}").format(**values))
            else:
                lines.append(self.tr("{when}: {note} {found} of {asked}, does not lead").format(**values))
        lines.append(
            self.tr("{mass} of scent, {proof}").format(
                mass=w.grams(answer.total_g, 2),
                proof=self.tr("no nearer blend exists")
                if answer.proven
                else self.tr("a nearer one may exist"),
            )
        )
        self.reached.say("\n".join(line[:1].upper() + line[1:] for line in lines))
        self.binding.say_or_hide(w.sentence(answer.binding.says) if answer.binding is not None else "")
        self.setAccessibleName(self.title.text())
        self.setAccessibleDescription(", ".join(spoken) + ". " + self.reached.text())
        self.take.setAccessibleName(self.tr("Take this one: {what}").format(what=self.title.text()))
