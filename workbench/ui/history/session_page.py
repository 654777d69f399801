"""One past batch with its pages in a row: the record, the wear, the faults, and what to do next time."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QMenu, QPushButton, QWidget

from workbench.core.batch.record import BatchRecord, record
from workbench.core.batch.state import Phase, SessionState
from workbench.core.review.reactions import Reported
from workbench.ui.bench.words import elapsed_words, when_words
from workbench.ui.context import Context
from workbench.ui.history.sheets import session_sheet
from workbench.ui.history.taking import Taking
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row
from workbench.ui.widgets.flow import FlowLayout
from workbench.ui.widgets.stack import PageStack

NARROW_EM = 46


class SessionPanel(Protocol):
    """A page about one batch."""

    def show_session(self, session_id: str, state: SessionState, record: BatchRecord) -> None: ...


class SessionPage(QWidget):
    """left() back to the list; paper_asked() print it; compare_asked() tick it for side by side."""

    left = Signal()
    paper_asked = Signal()
    compare_asked = Signal()

    def __init__(self, context: Context, taking: Taking, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context, self._taking = context, taking
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._session = ""
        self._state = SessionState()
        self._made: BatchRecord | None = None
        self._stale: set[str] = set()  # pages that have not been shown this batch yet
        self.title = Words("", "title")
        self.remark = Words("", "lead")
        self.flag = Words("", "danger")
        self.flag.hide()
        self.back = button("", self.left.emit, "", self)
        self.paper = button("", self.paper_asked.emit, "quiet", self)
        self.beside = button("", self.compare_asked.emit, "quiet", self)
        self.table = button("", self._take_table, "quiet", self)
        self.picture = button("", self._take_picture, "quiet", self)
        self.more = button("", None, "", self)  # in place of the four, where large letters leave little room
        self._group = QButtonGroup(self)
        self._group.buttonClicked.connect(self._clicked)
        self._ways = row(gap=1)
        self.ways: dict[str, QPushButton] = {}
        self.panels: dict[str, QWidget] = {}
        self.stack = PageStack()
        top = row(self.title, self.more, self.back, gap=2)
        top.setStretch(0, 1)
        for made in (self.more, self.back):
            top.setAlignment(made, Qt.AlignmentFlag.AlignTop)
        doings = FlowLayout()
        self._menu = QMenu(self)
        self._choices = {}
        for made in (self.paper, self.beside, self.table, self.picture):
            doings.addWidget(made)
            self._choices[made] = self._menu.addAction("", made.click)
        self._doings = QWidget()
        self._doings.setLayout(doings)
        self.more.setMenu(self._menu)
        self._narrow: bool | None = None
        self._ways_holder = QWidget()
        self._ways.setContentsMargins(0, GRID_PX, 0, 0)
        self._ways_holder.setLayout(self._ways)
        head = column(top, self.remark, self.flag, self._doings, self._ways_holder, gap=1)
        head.setContentsMargins(6 * GRID_PX, 4 * GRID_PX, 6 * GRID_PX, 0)
        whole = column(head, self.stack, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._say()

    def add(self, key: str, text: str, panel: QWidget) -> None:
        """One page more, at the end of the row; it has a `show_session`."""
        made = button(text, None, "place")
        made.setCheckable(True)
        made.setProperty("key", key)
        self._group.addButton(made)
        self._ways.addWidget(made)
        self.ways[key], self.panels[key] = made, panel
        self.stack.addWidget(Scroller(page(column(panel), margin=6)))

    def finish(self) -> None:
        """All pages are there."""
        self._ways.addStretch(1)
        self.go_to(next(iter(self.panels)))

    # one batch

    @property
    def session(self) -> str:
        return self._session

    @property
    def made(self) -> BatchRecord | None:
        return self._made

    @property
    def state(self) -> SessionState:
        return self._state

    def show_state(self, session: str, state: SessionState, flagged: Reported | None = None) -> None:
        """Show a batch; the page in front stays in front.  `flagged`: a reaction to it, or what cannot be read."""
        self._session, self._state = session, state
        self.flag_it(flagged)
        self._made = None if state.plan is None else record(state)
        self._stale = set(self.panels)
        self._say()
        self._bring()

    def flag_it(self, flagged: Reported | None) -> None:
        """Say that skin reacted to this batch, or that it is not known whether it did."""
        if flagged is None:
            self.flag.say_or_hide("")
        elif flagged.unread:
            self.flag.say_or_hide(
                self.tr(
                    "What was noted of this batch cannot be read, so it is not known whether skin reacted to it. Act as if it had."
                )
            )
        else:
            self.flag.say_or_hide(self.tr("A skin reaction to this batch was told."))

    def forget(self) -> None:
        """Nothing is read."""
        self._session, self._state, self._made = "", SessionState(), None

    def go_to(self, key: str) -> None:
        self.ways[key].setChecked(True)
        self.stack.setCurrentIndex(list(self.panels).index(key))
        self._bring()

    @property
    def in_front(self) -> str:
        return list(self.panels)[self.stack.currentIndex()] if self.panels else ""

    def touch(self, *keys: str) -> None:
        """What these pages show depends on something that is different now."""
        self._stale |= set(keys) & set(self.panels)

    def _bring(self) -> None:
        """Only the page in front is filled: a record may be long."""
        key = self.in_front
        if self._made is not None and key in self._stale:
            self._stale.discard(key)
            panel = self.panels[key]
            panel.show_session(self._session, self._state, self._made)  # type: ignore[attr-defined]

    def _clicked(self, made: QWidget) -> None:
        self.go_to(str(made.property("key")))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        elif event.type() is QEvent.Type.FontChange and hasattr(self, "_doings"):
            self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        narrow = self.width() < NARROW_EM * theme_now().em()
        if narrow != self._narrow:
            self._narrow = narrow
            self._doings.setVisible(not narrow)
            self.more.setVisible(narrow)

    # words

    def _say(self) -> None:
        self.back.setText(self.tr("All batches"))
        self.paper.setText(self.tr("Labels, card, sheet …"))
        self.beside.setText(self.tr("Tick for side by side"))
        self.table.setText(self.tr("Save as a table …"))
        self.picture.setText(self.tr("Save as a picture …"))
        self.more.setText(self.tr("More"))
        for pressed, choice in self._choices.items():
            choice.setText(pressed.text())
        made = self._made
        if made is None:
            return
        self.title.say(
            self.tr("{name} (practice)").format(name=made.recipe_name) if made.rehearsal else made.recipe_name
        )
        self.remark.say(self._remark(made))

    def _remark(self, made: BatchRecord) -> str:
        when = "" if made.started is None else when_words(made.started, long=True)
        words = self.tr("Revision {revision}, begun {when}, {took} in all.").format(
            revision=made.revision, when=when, took=elapsed_words(self._state.at_s)
        )
        if made.batch_code:
            words = self.tr("{words} Batch code {code}.").format(words=words, code=made.batch_code)
        if made.phase is Phase.ENDED_EARLY:
            words = self.tr("{words} Ended early: {why}").format(words=words, why=made.ended_because)
        elif made.phase is not Phase.FINISHED:
            words = self.tr("{words} It was not ended.").format(words=words)
        if made.over_skin_limit:
            words = self.tr("{words} Over a limit for skin.").format(words=words)
        return words

    # taking away

    def _name(self) -> str:
        made = self._made
        if made is None:
            return self._session
        day = "" if made.started is None else f"{made.started:%Y-%m-%d}"
        return f"{made.recipe_name} {day} {self._session}"

    def _take_table(self) -> None:
        if self._made is not None:
            self._taking.table(self._name(), session_sheet(self._state, self._made))

    def _take_picture(self) -> None:
        scroller = self.stack.currentWidget()
        inner = scroller.widget() if isinstance(scroller, Scroller) else None
        if inner is not None:
            self._taking.picture(
                f"{self._name()} {self.in_front}", inner, self.title.text(), self.remark.text()
            )
