"""Past batches: find, filter, sort, tick some to lay them side by side, open one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QModelIndex, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from workbench.core.review.past import PastRow, find
from workbench.ui.bench.measures import Measures
from workbench.ui.history.batch_model import COLUMNS, MOST, SORTS, TICK, BatchModel, Names
from workbench.ui.history.filter_bar import FilterBar, Offer
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.stack import PageStack

# which columns go first where the window is narrow or the text large
# what skin said goes last of all, and even then its sign stays before the name
GIVEN_UP = ("poured", "percent", "sink", "vessel", "added", "yield", "off", "end", "faults")
NAME_EM = 21  # up to here a name stands on one line, and other columns make room
FEW = 5  # with fewer batches the page says what can be done with them
BENEATH_EM = 50
LEAST_ROWS = 6  # stay in sight; the page around the list scrolls where there is no room for more
SAMPLED = 400  # rows whose words are measured for the width of a column


class BatchTable(QTableView):
    """tick_asked(row)  by space, or by a press on the tick;  opened(row)"""

    tick_asked = Signal(int)
    opened = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setShowGrid(False)
        self.setWordWrap(True)
        self.setTabKeyNavigation(False)
        self.setAlternatingRowColors(True)
        self.verticalHeader().setVisible(False)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionsClickable(True)
        header.setSortIndicatorShown(True)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setMinimumSectionSize(8)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = self.currentIndex().row()
        if at >= 0 and event.key() == Qt.Key.Key_Space:
            self.tick_asked.emit(at)
        elif at >= 0 and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit(at)
        else:
            super().keyPressEvent(event)


class BatchList(QWidget):
    """opened(session)  beside_asked()  trends_asked()  table_asked()
    practise_asked()  make_asked()  a first batch is wanted
    """

    opened = Signal(str)
    practise_asked = Signal()
    make_asked = Signal()
    beside_asked = Signal()
    trends_asked = Signal()
    table_asked = Signal()

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures, self._names = measures, Names()
        self._all: tuple[PastRow, ...] = ()
        self._order = ("when", True)  # column, greatest first
        self.heading = Words("", "title")
        self.beside = button("", self.beside_asked.emit, "", self)
        self.trends = button("", self.trends_asked.emit, "", self)
        self.save = button("", self.table_asked.emit, "quiet", self)
        self.filters = FilterBar(self)
        self.filters.changed.connect(self.refresh)
        self.filters.words.returnPressed.connect(self._to_table)
        find_key = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find_key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        find_key.activated.connect(self._to_find)
        self.sort_box = ChooseBox("", self, 15)
        self.sort_box.chosen.connect(self._sort_chosen)
        self.turn = button("", self._turn, "quiet", self)
        self.filters.tools_line.addWidget(self.sort_box)
        self.filters.tools_line.addWidget(self.turn)
        self.count = Words("", "small")
        self.hint = Words("", "muted")
        self.untick = button("", self._untick, "quiet", self)
        self.clear = button("", self.filters.clear, "quiet", self)
        self.model = BatchModel(measures, self)
        self.model.ticked.connect(self._say_ticks)
        self.model.refused.connect(self._say_most)
        self.table = BatchTable(self)
        self.table.setModel(self.model)
        self.table.tick_asked.connect(self.model.tick)
        self.table.opened.connect(self._open)
        self.table.clicked.connect(self._clicked)
        self.table.horizontalHeader().sectionClicked.connect(self._header)
        self.empty = Words("", "lead")
        self.nothing = Words("", "lead")
        self.clear_here = button("", self.filters.clear, "", self)
        self._stack = PageStack(self)
        found_none = QWidget()
        found_none.setLayout(column(self.nothing, row(self.clear_here, 1), 1, gap=3))
        listed = QWidget()
        self.beneath = Words("", "body")  # what can be done with the few there are, and with more
        below = row(self.beneath, 1)
        below.setStretch(0, 1000)
        below.setContentsMargins(0, 4 * GRID_PX, 0, 0)
        held = column(self.table, below, 1)
        held.setStretch(0, 1000)  # the list takes what it needs; what is over stays paper
        listed.setLayout(held)
        self._stack.addWidget(listed)
        self._stack.addWidget(found_none)
        self._whole = PageStack(self)
        teaching = QWidget()
        self.teaches = [Words("", "body") for _ in range(4)]
        self.practise = button("", self.practise_asked.emit, "primary", self)
        self.make = button("", self.make_asked.emit, "", self)
        learn = column(self.empty, row(self.practise, self.make, 1, gap=2), *self.teaches, 1, gap=4)
        self._lines = QWidget()  # no longer than the eye finds back from
        self._lines.setLayout(learn)
        beside = row(self._lines, 1)
        beside.setStretch(0, 1000)
        teaching.setLayout(beside)
        working = QWidget()
        line = row(self.count, self.hint, self.clear, self.untick, gap=2)
        line.setStretch(0, 3)
        line.setStretch(1, 2)
        self.hint.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        inside = column(self.filters, line, self._stack, gap=2)
        inside.setStretch(2, 1)
        inside.setContentsMargins(0, 0, 1, 0)
        working.setLayout(inside)
        self._whole.addWidget(Scroller(teaching))
        self._whole.addWidget(Scroller(working))  # large letters and many filters leave the list little room
        self._doings = QWidget()
        doings = row(self.save, self.trends, self.beside, gap=2)
        self._doings.setLayout(doings)
        top = row(self.heading, self._doings, gap=2)
        top.setStretch(0, 1)
        box = column(top, self._whole, gap=3)
        box.setStretch(1, 1)
        margin = 6 * GRID_PX
        box.setContentsMargins(margin, 4 * GRID_PX, margin, 4 * GRID_PX)
        self.setLayout(box)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._wide: dict[str, int] = {}
        self._least = 0  # px of the list
        self._say()
        self.sort_by(*self._order)

    # what is shown

    def show_rows(self, rows: Sequence[PastRow], measures: Measures, names: Names, offer: Offer) -> None:
        """All batches there are; what is typed and chosen stays in force."""
        self._all, self._measures, self._names = tuple(rows), measures, names
        self.model.speak(measures, names)
        self._whole.setCurrentIndex(1 if rows else 0)
        self._doings.setVisible(bool(rows))
        self.filters.offer(offer)
        there = {each.id for each in self._all}
        self.model.tick_none(there.__contains__)
        self._wide = {}
        self.refresh()

    def refresh(self) -> None:
        """Find again; called with every letter, so it does no more than it must."""
        wanted = self.filters.wanted()
        column_key, greatest_first = self._order
        by = SORTS.get(column_key)
        if by is not None:
            wanted = replace(wanted, sort=by, descending=greatest_first)
        found = find(self._all, wanted)
        if by is None:
            found = self._by_words(found, column_key, greatest_first)
        kept = self.chosen()
        self.model.show(found)
        self._stack.setCurrentIndex(0 if found else 1)
        self._say_count(len(found))
        self._say_beneath()
        if not self._wide:
            self._measure()
        self._bound()
        if kept is not None and (at := self.model.row_of(kept)) >= 0:
            self.table.selectRow(at)
        elif found:
            self.table.selectRow(0)

    def _by_words(self, found: tuple[PastRow, ...], key: str, greatest_first: bool) -> tuple[PastRow, ...]:
        at = COLUMNS.index(key)
        worded = [(self.model.cells(each)[at].casefold(), each) for each in found]
        known = [pair for pair in worded if pair[0] not in ("", "–")]
        known.sort(key=lambda pair: pair[0], reverse=greatest_first)
        return (*(each for _, each in known), *(each for text, each in worded if text in ("", "–")))

    def forget(self) -> None:
        """Another project: nothing of the former is ticked, chosen or looked for."""
        self._all = ()
        self.model.tick_none()
        self.filters.clear()

    def chosen(self) -> str | None:
        """The session in hand."""
        entry = self.model.entry(self.table.currentIndex().row())
        return None if entry is None else entry.id

    def tick_session(self, session: str) -> None:
        """Tick a batch that is not ticked; one that the filters hide is brought back into sight."""
        if self.model.row_of(session) < 0:
            self.filters.clear()
        if session not in self.model.ticks:
            self.model.tick(self.model.row_of(session))

    def select(self, session: str) -> None:
        at = self.model.row_of(session)
        if at >= 0:
            self.table.selectRow(at)

    # order

    def sort_by(self, key: str, greatest_first: bool) -> None:
        self._order = (key, greatest_first)
        self.sort_box.show_key(key)
        self._say_turn()
        self.table.horizontalHeader().setSortIndicator(
            COLUMNS.index(key),
            Qt.SortOrder.DescendingOrder if greatest_first else Qt.SortOrder.AscendingOrder,
        )
        self.refresh()

    def _sort_chosen(self, key: str) -> None:
        self.sort_by(key, key not in ("what", "vessel", "end"))

    def _turn(self) -> None:
        self.sort_by(self._order[0], not self._order[1])

    def _header(self, section: int) -> None:
        key = COLUMNS[section]
        if key == self._order[0]:
            self._turn()
        elif key != TICK:
            self._sort_chosen(key)
        else:
            self.sort_by(*self._order)  # the sign goes back to where it was

    # hands

    def _to_table(self) -> None:
        if self.model.rowCount():
            self.table.setFocus()

    def _to_find(self) -> None:
        self.filters.words.setFocus()
        self.filters.words.selectAll()

    def _clicked(self, index: QModelIndex) -> None:
        if COLUMNS[index.column()] == TICK:
            return  # the tick itself was pressed, or the room around it
        self._open(index.row())

    def _open(self, at: int) -> None:
        entry = self.model.entry(at)
        if entry is not None:
            self.opened.emit(entry.id)

    def _untick(self) -> None:
        self.model.tick_none()

    # words

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        elif event.type() is QEvent.Type.FontChange and hasattr(self, "_wide"):
            self._wide = {}
            self._measure()

    def _say(self) -> None:
        self.heading.say(self.tr("Past batches"))
        self.table.setAccessibleName(self.tr("Past batches"))
        self.trends.setText(self.tr("Trends"))
        self.save.setText(self.tr("Save as a table …"))
        self.untick.setText(self.tr("Take all ticks away"))
        self.clear.setText(self.tr("Show all again"))
        self.clear_here.setText(self.tr("Show all again"))
        self.nothing.say(self.tr("No batch is like that. Take a word or a filter away."))
        self.sort_box.setAccessibleName(self.tr("Sort by"))
        self.sort_box.offer(
            [
                (key, self.tr("Sort by: {column}").format(column=self.model.title(key)))
                for key in COLUMNS
                if key != TICK
            ]
        )
        self.sort_box.show_key(self._order[0])
        self.empty.say(
            self.tr(
                "Every batch you make is kept here: what was weighed, how warm it was, what went another way than planned. Make the first one from a recipe, or try a practice run."
            )
        )
        self.practise.setText(self.tr("Practice run"))
        self.make.setText(self.tr("Make this batch"))
        for words, text in zip(
            self.teaches,
            (
                self.tr(
                    "With the first batch you can read it like a page, and write down how it wears and what is wrong with it; from that the next revision of its recipe is proposed."
                ),
                self.tr(
                    "With the second you can lay batches side by side: their curves at the same step, their amounts with the differences marked."
                ),
                self.tr("From the fifth on, trends show the batch that fell out of line."),
                self.tr("Practice runs are kept as well, and marked as such."),
            ),
            strict=True,
        ):
            words.say(text)
        self._say_turn()
        self._say_ticks()
        self._say_beneath()

    def _say_turn(self) -> None:
        key, greatest_first = self._order
        if key == "when":
            text = self.tr("newest first") if greatest_first else self.tr("oldest first")
        elif key in ("what", "vessel", "end", "faults"):
            text = self.tr("Z to A") if greatest_first else self.tr("A to Z")
        else:
            text = self.tr("most first") if greatest_first else self.tr("least first")
        self.turn.setText(text)
        self.turn.setAccessibleName(self.tr("Order: {order}").format(order=text))

    def _say_count(self, found: int) -> None:
        narrowed = self.filters.says()
        every = len(self._all)
        text = (
            self.tr("Batches: {count}").format(count=every)
            if found == every
            else self.tr("{found} of %n batches", "", every).format(found=found)
        )
        if narrowed:
            text = self.tr("{text}: {filters}").format(text=text, filters=", ".join(narrowed))
        self.count.say(text)
        # where none is found the page itself says what to do
        self.clear.setVisible(found > 0 and (bool(narrowed) or found != every))
        self.hint.setVisible(found > 0)

    def _say_beneath(self) -> None:
        """Under a short list: the keys, and what becomes possible with the next batches."""
        many = len(self._all)
        with_one, with_two, with_five, _ = (words.text() for words in self.teaches)
        says = [self.tr("Enter or a click opens a batch, the space bar ticks it."), with_one]
        says.append(with_two if many < 2 else with_five)
        self.beneath.say_or_hide("\n\n".join(says) if many < FEW else "")

    def _say_ticks(self) -> None:
        count = len(self.model.ticks)
        self.beside.setText(
            self.tr("Side by side ({count})").format(count=count) if count else self.tr("Side by side")
        )
        self.beside.setEnabled(count >= 2)
        self.untick.setVisible(count > 0)
        self.hint.say(
            self.tr("Tick 2 to {most} to lay them side by side.").format(most=MOST)
            if count < 2
            else self.tr("Ticked: {count}, at most {most}.").format(count=count, most=MOST)
        )

    def _say_most(self) -> None:
        self.hint.say(
            self.tr("No more than {most} can be told apart. Take a tick away first.").format(most=MOST)
        )

    # widths and heights

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay()

    def _measure(self) -> None:
        """How wide each column wants to be, and how high a row is."""
        theme = theme_now()
        metrics = QFontMetrics(theme.font())
        pad = 8 * GRID_PX  # what the style keeps free beside the words
        sample = self.model.rows[:SAMPLED]
        for at, key in enumerate(COLUMNS):
            words = {self.model.cells(each)[at] for each in sample}
            title = metrics.horizontalAdvance(self.model.title(key)) + theme.em()
            longest = sorted(words, key=len)[-8:]
            self._wide[key] = max([title, *(metrics.horizontalAdvance(each) for each in longest)]) + pad
        for part in (self.beneath, self._lines):
            part.setMaximumWidth(BENEATH_EM * theme.em())
        self._wide[TICK] = round(1.15 * theme.em()) + pad
        # a button that comes with the first tick does not push the list down
        self.count.setMinimumHeight(max(each.sizeHint().height() for each in (self.untick, self.clear)))
        self._lay()

    def _lay(self) -> None:
        """Columns that have no room are left out; the names take what is over."""
        if not self._wide:
            return
        em = theme_now().em()
        there = self.width() - 12 * GRID_PX - self.table.verticalScrollBar().sizeHint().width() - 4
        shown = [
            key
            for key in COLUMNS
            if key != "faults" or any(each.faults or each.flagged or each.unread for each in self._all)
        ]
        limit = {key: min(self._wide[key], 18 * em) for key in shown}
        least = min(self._wide["what"], NAME_EM * em)
        for key in GIVEN_UP:
            if sum(limit[each] for each in shown if each != "what") + least <= there:
                break
            if key in shown:
                shown.remove(key)
        rest = there - sum(limit[each] for each in shown if each != "what")
        extra = max(0, rest - self._wide["what"])
        share = extra // max(1, len(shown) - 1)  # what the names do not need is air between all
        for at, key in enumerate(COLUMNS):
            self.table.setColumnHidden(at, key not in shown)
            if key in shown and key != "what":
                wide = limit[key] + (min(share, 3 * em) if key != TICK else 0)
                self.table.setColumnWidth(at, wide)
                rest -= wide - limit[key]
        self.table.setColumnWidth(COLUMNS.index("what"), max(least, rest))
        line = QFontMetrics(theme_now().font()).lineSpacing()
        lines = (
            2
            if max(least, rest) < self._wide["what"] - 3 * GRID_PX or self._wide.get("faults", 0) > 18 * em
            else 1
        )
        self.table.verticalHeader().setDefaultSectionSize(lines * line + 3 * GRID_PX)
        self._least = LEAST_ROWS * (line + 3 * GRID_PX)
        self._bound()

    def _bound(self) -> None:
        """No higher than its rows: a few batches do not stand in an empty box."""
        rows = min(self.model.rowCount(), 500) * self.table.verticalHeader().defaultSectionSize()
        head = max(self.table.horizontalHeader().sizeHint().height(), 8 * GRID_PX)
        most = rows + head + 2 * GRID_PX
        if most != self.table.maximumHeight():
            self.table.setMaximumHeight(most)
        self.table.setMinimumHeight(min(self._least, most))
