"""Faults and cures: pick what you see, read the likely causes by this batch's record, keep what it was."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QPlainTextEdit,
    QPushButton,
    QRadioButton,
    QWidget,
)

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import SessionState
from workbench.core.review.case import Case
from workbench.core.review.faults import (
    FaultKind,
    FaultSeen,
    FaultsSeen,
    FaultTable,
    Judged,
    Likely,
    Standing,
    judge,
)
from workbench.core.review.keeping import FAULT_SEEN, WEAR_TEST, body_of, read_kept
from workbench.core.review.wear import WearTests
from workbench.core.trouble import Trouble
from workbench.ui.bench.words import when_words
from workbench.ui.context import Context
from workbench.ui.history.port import Shelved, unread_words
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, clear, column, row
from workbench.ui.widgets.beside import Beside
from workbench.ui.widgets.marks import mark

CARD_EM = 11
MOST_WORDS = 400


class CauseCard(QFrame):
    """One cause: what the record shows of it, what to change, and a button for “it was this”."""

    def __init__(self, found: Likely, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "finding" if found.standing is Standing.SPEAKS_FOR else "card")
        say = context.writer.sentence
        self.key = found.cause.key
        self.chosen = QRadioButton(self.tr("It was this"))
        standing, role = {
            Standing.SPEAKS_FOR: (self.tr("The record speaks for it."), "strong"),
            Standing.HINTS: (self.tr("The record hints at it."), "strong"),
            Standing.SPEAKS_AGAINST: (self.tr("The record speaks against it."), "muted"),
            Standing.SILENT: ("", "muted"),
        }[found.standing]
        title = Words(say(found.cause.cause), "strong")
        self.chosen.setAccessibleName(self.tr("It was this: {cause}").format(cause=title.text()))
        parts: list[QWidget] = [title]
        if standing:
            parts.append(Words(standing, role))
        parts.append(Words(say(found.shows), "body" if standing else "muted"))
        parts.append(Words(self.tr("To change: {change}").format(change=say(found.cause.change))))
        trust = mark(found.cause.confidence)
        source = self.tr("Source: {source}").format(source=found.cause.source)
        if trust:
            source = self.tr("{source} ({trust})").format(source=source, trust=trust)
        parts.append(Words(source, "muted"))
        whole = column(*parts, row(self.chosen, 1), gap=1)
        margin = 3 * GRID_PX
        whole.setContentsMargins(margin, 2 * GRID_PX, margin, 2 * GRID_PX)
        self.setLayout(whole)


class FaultsPage(QWidget):
    """changed()  a fault was recorded, or taken back"""

    changed = Signal()

    def __init__(
        self,
        context: Context,
        shelved: Shelved,
        table: FaultTable,
        now: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._shelved, self._table, self._now = context, shelved, table, now
        self._session = ""
        self._state = SessionState()
        self._made: BatchRecord | None = None
        self._kept = FaultsSeen(session="-")
        self._kind: FaultKind | None = None
        self._wear: WearTests | None = None
        self._unread = ""  # why what is kept could not be read: nothing is written over it
        self.fault = Words("", "error")
        self.fault.hide()
        self.heading = Words(self.tr("What do you see?"), "head")
        self.intro = Words(
            self.tr(
                "Choose what is wrong with the tins of this batch. The likely causes follow, ordered by what its record shows."
            )
        )
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self._group.buttonClicked.connect(self._clicked)
        self._grid = QGridLayout()
        self._grid.setSpacing(2 * GRID_PX)
        self._columns = 0
        self.kinds: dict[FaultKind, QPushButton] = {}
        for each in table.fault:
            made = QPushButton()
            made.setCheckable(True)
            made.setProperty("key", each.key.value)
            self._group.addButton(made)
            self.kinds[each.key] = made
        self._detail = column(gap=3)
        self.words = QPlainTextEdit()
        self.words.setTabChangesFocus(True)
        self.words.setAccessibleName(self.tr("In your words"))
        self.words.setPlaceholderText(self.tr("In your words, if you like: which tins, since when"))
        self.record = button("", self._record, "primary")
        self.take_back = button(self.tr("Take it back"), self._take_back, "quiet")
        self.said = Words("", "small")
        self._foot = QWidget()
        line = row(self.record, self.take_back, self.said, gap=2)
        line.setStretch(2, 1)
        self._foot.setLayout(column(self.words, line, gap=2))
        self._causes = QButtonGroup(self)
        self._causes.setExclusive(True)
        self.setLayout(
            column(self.heading, self.fault, self.intro, self._grid, self._detail, self._foot, 1, gap=3)
        )
        self._measure()
        self._arrange()

    def show_session(self, session_id: str, state: SessionState, record: BatchRecord) -> None:
        """The faults of this batch; the kind that was looked at stays chosen while it is the same batch."""
        if session_id != self._session:
            self._kind = None
            self._group.setExclusive(False)  # or the one that was pressed last could not come up again
            for made in self.kinds.values():
                made.setChecked(False)
            self._group.setExclusive(True)
        self._session, self._state, self._made = session_id, state, record
        self._wear, self._unread = None, ""
        kept, garbled = None, ""
        try:
            body = self._shelved.read(FAULT_SEEN, session_id)
            kept = read_kept(FaultsSeen, body)
            if body is not None and kept is None:
                garbled = self.tr(
                    "What was seen of this batch cannot be read: a newer program wrote it, or it was changed by hand. What you record here takes its place; the earlier state stays in the project file."
                )
            self._wear = read_kept(WearTests, self._shelved.read(WEAR_TEST, session_id))
        except Trouble as trouble:
            self._unread = self._context.writer.trouble(trouble)
        self.fault.say_or_hide(self._unread or garbled)
        self._kept = kept or FaultsSeen(
            session=session_id, batch_code=record.batch_code, recipe_name=record.recipe_name
        )
        if self._kind is None and self._kept.faults:
            self._kind = self._kept.faults[-1].kind
        self._fill()

    @property
    def kept(self) -> FaultsSeen:
        return self._kept

    def choose(self, kind: FaultKind | None) -> None:
        """As if it had been pressed."""
        self._kind = kind
        self._fill()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_foot"):
            self._measure()
            self._columns = 0
            self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    # -- inside

    def _measure(self) -> None:
        self.words.setFixedHeight(round(4.2 * theme_now().em()))

    def _arrange(self) -> None:
        wide = max(1, self.width() // round(CARD_EM * theme_now().em()))
        columns = min(len(self.kinds), wide, 5)
        if columns == self._columns:
            return
        self._columns = columns
        for made in self.kinds.values():
            self._grid.removeWidget(made)
        for at, made in enumerate(self.kinds.values()):
            self._grid.addWidget(made, at // columns, at % columns)
        for at in range(5):
            self._grid.setColumnStretch(at, 1 if at < columns else 0)

    def _clicked(self, made: QWidget) -> None:
        self._kind = FaultKind(str(made.property("key")))
        self._fill()

    def _seen(self, kind: FaultKind) -> FaultSeen | None:
        return next((each for each in self._kept.faults if each.kind is kind), None)

    def _fill(self) -> None:
        say = self._context.writer.sentence
        for each in self._table.fault:
            made, name = self.kinds[each.key], say(each.name)
            recorded = self._seen(each.key) is not None
            made.setText(self.tr("{name} – recorded").format(name=name) if recorded else name)
            made.setChecked(each.key is self._kind)
        clear(self._detail)
        for one in self._causes.buttons():
            self._causes.removeButton(one)
        self._foot.setVisible(self._kind is not None)
        if self._kind is not None:
            self._show(judge(self._kind, Case(self._state, self._context.catalogue, self._wear), self._table))
        else:
            self._detail.addWidget(self._guide())

    def _guide(self) -> QWidget:
        """How to know each fault, for who is not sure what to call it."""
        say = self._context.writer.sentence
        half = (len(self._table.fault) + 1) // 2
        sides = []
        for part in (self._table.fault[:half], self._table.fault[half:]):
            side = QWidget()
            told = [
                column(Words(say(each.name), "strong"), Words(say(each.looks_like)), gap=0) for each in part
            ]
            side.setLayout(column(*told, 1, gap=3))
            sides.append(side)
        return Beside(sides[0], sides[1])

    def _show(self, judged: Judged) -> None:
        say, defined = self._context.writer.sentence, judged.definition
        seen = self._seen(defined.key)
        add = self._detail.addWidget
        add(Words(say(defined.name), "head"))
        add(Words(say(defined.looks_like)))
        if defined.not_to_be_taken_for:
            add(Words(say(defined.not_to_be_taken_for), "attention"))
        add(Words(self.tr("The tins you have: {now}").format(now=say(defined.now)), "strong"))
        add(Words(say(judged.caution), "attention"))
        add(Words(self.tr("Likely causes, the likeliest first"), "head"))
        for found in judged.causes:
            card = CauseCard(found, self._context)
            card.chosen.setProperty("cause", card.key)
            card.chosen.setChecked(seen is not None and seen.cause == card.key)
            self._causes.addButton(card.chosen)
            add(card)
        self.words.setPlainText("" if seen is None else seen.words)
        self.record.setText(self.tr("Record this fault") if seen is None else self.tr("Record it anew"))
        self.take_back.setVisible(seen is not None)
        self.said.say(
            self.tr("Kept with the batch, and found again by the list.")
            if seen is None
            else self.tr("Recorded {when}.").format(when=when_words(seen.noted))
        )

    def _record(self) -> None:
        if self._kind is None:
            return
        chosen = self._causes.checkedButton()
        cause = "" if chosen is None else str(chosen.property("cause"))
        words = self.words.toPlainText().strip()
        if len(words) > MOST_WORDS:
            self.said.say(self.tr("Say it in at most {most} letters.").format(most=MOST_WORDS), "error")
            return
        self._keep(self._kept.put(FaultSeen(kind=self._kind, noted=self._now(), cause=cause, words=words)))

    def _take_back(self) -> None:
        if self._kind is not None:
            self._keep(self._kept.without(self._kind))

    def _keep(self, kept: FaultsSeen) -> None:
        """On disk first, then on the screen."""
        if self._unread:
            self.said.say(unread_words(), "error")
            return
        if self._shelved.write(FAULT_SEEN, self._session, body_of(kept)):
            self._kept = kept
            self.said.say("", "small")
            self._fill()
            self.changed.emit()
