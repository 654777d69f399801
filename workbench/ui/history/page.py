"""Looking back: the list of past batches, one of them read, some side by side, trends."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from workbench.core.batch.events import AnyEvent
from workbench.core.batch.record import record
from workbench.core.batch.session import fold
from workbench.core.batch.state import SessionState
from workbench.core.review.compare import Side, compare
from workbench.core.review.faults import FaultsSeen, FaultTable
from workbench.core.review.keeping import FAULT_SEEN, WEAR_TEST, WORD_FROM_WEARER, read_kept
from workbench.core.review.past import PastRow, choices, folded, row_of
from workbench.core.review.reactions import Reported, reactions
from workbench.core.review.wear import WearTests
from workbench.core.trouble import Trouble
from workbench.store.sessions import SessionEntry
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.sheet import bench_sheet
from workbench.ui.bench.words import when_words
from workbench.ui.context import Context
from workbench.ui.history.batch_list import BatchList
from workbench.ui.history.batch_model import Names
from workbench.ui.history.faults_page import FaultsPage
from workbench.ui.history.filter_bar import Offer
from workbench.ui.history.lines_chart import LETTERS
from workbench.ui.history.next_page import NextPage
from workbench.ui.history.port import Shelved, ShelvedInMind
from workbench.ui.history.record_page import RecordPage
from workbench.ui.history.session_page import SessionPage
from workbench.ui.history.sheets import list_sheet
from workbench.ui.history.side_page import SidePage
from workbench.ui.history.taking import Aside, Taking, at_once
from workbench.ui.history.trends_page import TrendsPage
from workbench.ui.history.wear_page import WearPage
from workbench.ui.history.words_panel import WordsPanel
from workbench.ui.theme import theme_now
from workbench.ui.widgets.stack import PageStack


def _now() -> datetime:
    return datetime.now().astimezone()


@dataclass(frozen=True)
class PastPorts:
    """What looking back asks of the world.

    `load(session)` gives the events of one session; it is called only when one
    is opened or laid beside others.  `alarm_titles` are words for alarms by
    key; `newest_revision(name)` is the newest of a recipe, None where there is none.
    """

    load: Callable[[str], Sequence[AnyEvent]]
    faults: FaultTable
    shelved: Shelved = field(default_factory=ShelvedInMind)
    folder: Callable[[], Path] = Path.home
    aside: Aside = at_once
    now: Callable[[], datetime] = _now
    newest_revision: Callable[[str], int | None] = lambda _name: None
    alarm_titles: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Panels:
    """What the reader of one batch shows, one behind another."""

    record: RecordPage
    wear: WearPage
    words: WordsPanel
    faults: FaultsPage
    next: NextPage


class HistoryPage(QWidget):
    """troubled(Trouble)  something could not be read;  told(sentence)  something was written
    print_asked(session)  it is wanted on paper
    revise_asked(recipe, words)  a changed recipe is wanted in the editor
    practise_asked()  make_asked()  a first batch is wanted
    wear_changed()  something was marked in a wear test
    """

    troubled = Signal(object)
    told = Signal(str)
    print_asked = Signal(str)
    revise_asked = Signal(object, str)
    practise_asked = Signal()
    make_asked = Signal()
    wear_changed = Signal()

    def __init__(self, context: Context, ports: PastPorts, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context, self._ports = context, ports
        self._entries: tuple[SessionEntry, ...] = ()
        self._rows: tuple[PastRow, ...] = ()
        self._back_to: QWidget | None = None
        self._stale = False
        self.taking = Taking(context, ports.folder, ports.aside, self)
        self.taking.told.connect(self.told)
        self.list = BatchList(self._measures, self)
        self._stack = PageStack(self)
        self._stack.addWidget(self.list)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self._stack)
        self.setStyleSheet(bench_sheet(theme_now()))
        self.list.opened.connect(self.open)
        self.list.beside_asked.connect(self.lay_side_by_side)
        self.list.trends_asked.connect(self.show_trends)
        self.list.table_asked.connect(self._take_list)
        self.list.practise_asked.connect(self.practise_asked)
        self.list.make_asked.connect(self.make_asked)

    # the pages behind the list: each is built when it is first wanted, so that the list is there at once

    @cached_property
    def reader(self) -> SessionPage:
        context, ports = self._context, self._ports
        made = SessionPage(context, self.taking, self)
        record_page = RecordPage(context, ports.alarm_titles)
        wear = WearPage(context, ports.shelved, None, ports.now)
        words = WordsPanel(context, ports.shelved, None, self._codes)
        faults = FaultsPage(context, ports.shelved, ports.faults, ports.now)
        after = NextPage(context, ports.shelved, ports.faults, lambda: self._rows, ports.newest_revision)
        made.add("record", self.tr("The record"), record_page)
        made.add("wear", self.tr("Wear"), wear)
        made.add("words", self.tr("Word from the wearer"), words)
        made.add("faults", self.tr("Faults"), faults)
        made.add("next", self.tr("Next time"), after)
        made.finish()
        for panel in (faults, wear, words):
            panel.changed.connect(self._noted)
        wear.changed.connect(self.wear_changed)
        words.opened.connect(self.open)
        after.revise_asked.connect(self.revise_asked)
        made.left.connect(self._left)
        made.paper_asked.connect(self._print)
        made.compare_asked.connect(self._tick_this)
        self._stack.addWidget(made)
        self._panels = _Panels(record_page, wear, words, faults, after)
        return made

    @cached_property
    def beside(self) -> SidePage:
        made = SidePage(self._context, self.taking, self)
        made.left.connect(self.show_list)
        made.opened.connect(self.open)
        self._stack.addWidget(made)
        return made

    @cached_property
    def trends(self) -> TrendsPage:
        made = TrendsPage(self._context, self.taking, self)
        made.left.connect(self.show_list)
        made.opened.connect(self.open)
        self._stack.addWidget(made)
        return made

    def _built(self, page: str) -> bool:
        return page in self.__dict__

    @property
    def record_page(self) -> RecordPage:
        return self._of_reader.record

    @property
    def wear(self) -> WearPage:
        return self._of_reader.wear

    @property
    def words(self) -> WordsPanel:
        return self._of_reader.words

    @property
    def faults(self) -> FaultsPage:
        return self._of_reader.faults

    @property
    def next(self) -> NextPage:
        return self._of_reader.next

    @property
    def _of_reader(self) -> _Panels:
        _ = self.reader  # builds them
        return self._panels

    @property
    def _measures(self) -> Measures:
        return Measures(self._context.writer)

    def _codes(self) -> dict[str, str]:
        return {each.id: each.batch_code for each in self._entries}

    # the list

    def show_entries(self, entries: tuple[SessionEntry, ...]) -> None:
        """Newest first, as the store lists them."""
        self._entries, self._stale = entries, False
        seen, told = self._seen()
        materials = self._context.catalogue.materials
        self._rows = tuple(
            _findable(row_of(each, seen.get(each.id, ()), *_standing(told, each)), materials)
            for each in entries
        )
        self.list.show_rows(self._rows, self._measures, self._names(), self._offer())

    def refresh(self) -> None:
        """The same batches with what was noted of them since."""
        self.show_entries(self._entries)

    def _seen(self) -> tuple[dict[str, tuple[str, ...]], tuple[Reported, ...]]:
        """Faults by session, and every reaction that was told or seen or cannot be ruled out."""
        shelved = self._ports.shelved
        try:
            faults, words = shelved.all(FAULT_SEEN), shelved.all(WORD_FROM_WEARER)
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return {}, ()
        kept = {key: read_kept(FaultsSeen, body) for key, body in faults.items()}
        seen = {key: each.kinds for key, each in kept.items() if each is not None}
        return seen, reactions(words, faults)

    def _names(self) -> Names:
        return Names(
            {each.key: each.name for each in self._context.shelf.vessels},
            {each.key.value: each.name for each in self._ports.faults.fault},
        )

    def _offer(self) -> Offer:
        shelf, names = self._context.shelf, self._names()
        materials = self._context.catalogue.materials
        lots = {each.key: each for each in shelf.lots}
        tins = {each.key: each.name for each in shelf.tins}

        def material(key: str) -> str:
            return materials[key].name if key in materials else key

        def lot(key: str) -> str:
            held = lots.get(key)
            if held is None:
                return key
            return self.tr("{material}, lot {lot}").format(
                material=material(held.material), lot=held.supplier_lot or key
            )

        return Offer(
            choices(self._rows),
            material=material,
            lot=lot,
            tin=lambda key: tins.get(key, key),
            vessel=lambda key: names.vessels.get(key, key),
            fault=lambda key: self._context.writer.sentence(names.faults.get(key, key)),
        )

    def forget(self) -> None:
        """Another project is open: whatever was shown belongs to the former."""
        if self._built("reader"):
            self.reader.forget()
            self.words.forget()
        self._entries, self._rows, self._back_to = (), (), None
        self.list.forget()
        self._stack.setCurrentWidget(self.list)

    def rewrite(self) -> None:
        """Units or language are others now."""
        self.refresh()
        self.setStyleSheet(bench_sheet(theme_now()))
        if self.reading:
            session = self.reader.session
            if session:
                self.reader.show_state(session, self.reader.state, self._flagged(session))
        elif self._front("beside"):
            self.lay_side_by_side()
        elif self._front("trends"):
            self.show_trends()

    # one batch

    @property
    def reading(self) -> bool:
        return self._front("reader")

    def _front(self, page: str) -> bool:
        return self._built(page) and self._stack.currentWidget() is getattr(self, page)

    def open(self, session: str) -> None:
        """Read one batch through; leaving it goes back to where it was opened from."""
        state = self._state(session)
        if state is None:
            return
        if not self.reading:
            self._back_to = self._stack.currentWidget()
            self.reader.go_to("record")
        self.reader.show_state(session, state, self._flagged(session))
        self._stack.setCurrentWidget(self.reader)
        self.reader.back.setFocus()

    def _flagged(self, session: str) -> Reported | None:
        """A reaction to this batch, told or seen, as it is kept now; or what of it cannot be read."""
        shelved = self._ports.shelved
        code = next((each.batch_code for each in self._entries if each.id == session), "")
        try:
            words = {key: shelved.read(WORD_FROM_WEARER, key) for key in (code, session) if key}
            told = reactions(words, {session: shelved.read(FAULT_SEEN, session)})
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return Reported(session, session, unread=True)
        return next((each for each in told if each.is_about(session, code)), None)

    def _state(self, session: str) -> SessionState | None:
        try:
            return fold(self._ports.load(session))
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return None

    def _left(self) -> None:
        if self._back_to is not None and self._back_to is not self.list:
            self._stack.setCurrentWidget(self._back_to)
        else:
            self.show_list()

    def _print(self) -> None:
        self.print_asked.emit(self.reader.session)

    def _tick_this(self) -> None:
        session = self.reader.session
        self.list.tick_session(session)
        self.show_list()
        self.list.select(session)

    def _noted(self) -> None:
        """Something was kept about this batch: the list and what follows from it are read anew when wanted."""
        self._stale = True
        self.reader.touch("faults", "next")
        self.reader.flag_it(self._flagged(self.reader.session))

    def show_list(self) -> None:
        if self._stale:
            self.refresh()
        self._stack.setCurrentWidget(self.list)
        if self._built("reader") and self.reader.session:
            self.list.select(self.reader.session)
        self.list.table.setFocus()

    # several

    def lay_side_by_side(self) -> None:
        """The ticked batches beside one another, in the order they were ticked."""
        entries = {each.id: each for each in self._entries}
        sides, names = [], []
        for letter, session in zip(LETTERS, self.list.model.ticks, strict=False):
            state = self._state(session)
            if state is None:
                return
            wear = read_kept(WearTests, self._ports.shelved.read(WEAR_TEST, session))
            sides.append(Side(session, letter, state, record(state), wear))
            names.append(self._title(entries[session]))
        try:
            found = compare(sides)
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return
        self._stack.setCurrentWidget(self.beside)  # first: its tables are set by the width they have
        self.beside.show_comparison(found, tuple(names))
        self.beside.back.setFocus()

    def _title(self, entry: SessionEntry) -> str:
        words = self.tr("{name}, {when}").format(name=entry.recipe_name, when=when_words(entry.started))
        return self.tr("{name} (practice)").format(name=words) if entry.rehearsal else words

    def show_trends(self) -> None:
        chosen = self.list.chosen()
        recipe = next((each.recipe_name for each in self._rows if each.id == chosen), "")
        self.trends.show_rows(self._rows, self._names(), recipe)
        self._stack.setCurrentWidget(self.trends)
        self.trends.back.setFocus()

    def _take_list(self) -> None:
        self.taking.table(self.tr("Past batches"), list_sheet(self.list.model.rows))


def _findable(row: PastRow, materials: Mapping[str, object]) -> PastRow:
    """The row is found by the names of its materials as well."""
    if row.summary is None:
        return row
    names = [str(getattr(materials.get(key), "name", key)) for key in row.summary.materials]
    return replace(row, folded=f"{row.folded}\n{folded(' '.join(names))}")


def _standing(told: Sequence[Reported], entry: SessionEntry) -> tuple[bool, bool]:
    """Whether a reaction to this batch is known, and whether something about it cannot be read."""
    of_it = [each.unread for each in told if each.is_about(entry.id, entry.batch_code)]
    return False in of_it, True in of_it
