"""How a batch wore: marks of one or more people, drawn over the course that was reckoned for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QCheckBox, QWidget

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.model import Note
from workbench.core.review.keeping import ERASED, WEAR_TEST, body_of, read_kept
from workbench.core.review.pace import pace_sentence, trust_sentence
from workbench.core.review.wear import WearTest, WearTests, due_sentence, together
from workbench.core.review.wear_course import MAPPING_NOTE, NOTES, as_made, row_words
from workbench.core.trouble import Trouble
from workbench.ui.bench.words import when_words
from workbench.ui.context import Context
from workbench.ui.history.port import Shelved, unread_words
from workbench.ui.history.tables import PlainTable
from workbench.ui.history.wear_chart import LAST_S, WearChart
from workbench.ui.history.wear_data import Courses, Reckoned, all_kept, lines_of, marks_of, reckon
from workbench.ui.history.wear_entry import WearEntry, wall_now
from workbench.ui.scent.later import Later
from workbench.ui.scent.time_chart import Axis
from workbench.ui.widgets.ask import Choice, Question
from workbench.ui.widgets.basic import Words, button, clear, column, row
from workbench.ui.widgets.beside import Beside
from workbench.ui.widgets.choose import ChooseBox

_LOOK_MS = 5_000


class WearPage(QWidget):
    """changed()  a wear test was kept: whoever looks at the clock for it looks again"""

    changed = Signal()

    def __init__(
        self,
        context: Context,
        shelved: Shelved,
        parent: QWidget | None = None,
        now: Callable[[], datetime] = wall_now,
    ) -> None:
        super().__init__(parent)
        self._context, self._shelved, self._now = context, shelved, now
        self._kept = WearTests(session="-")
        self._number = 0
        self._practice = False
        self._unread = False  # what is kept could not be read: nothing is written over it
        self._reckoned: Reckoned | None = None
        self._later = Later(self)
        self._later.came.connect(self._came)
        self._later.failed.connect(self._ended)
        self._courses = Courses()
        self._busy, self._again = False, False
        self._look = QTimer(self)
        self._look.setInterval(_LOOK_MS)
        self._look.timeout.connect(self.look_again)
        self.which = ChooseBox(self.tr("Wearing"), self, 18)
        self.which.chosen.connect(self._choose)
        self.begin = button(self.tr("Begin a wear test"), self._begin, "primary")
        self.another = button(self.tr("Another wearing"), self._begin)
        self.remove = button(self.tr("Take this wearing away"), self._ask_remove, "quiet")
        self.empty = Words("", "body")
        self.entry = WearEntry(context, clock=now)
        self.entry.settled.connect(self._settled)
        self.personal = Words(
            self.tr(
                "Marks and words are kept with this project only. When a wearer asks, initials and words are erased for good: Project, “Erase a wearer’s words …”. Times to smell are called while this window is open, and not when the program is closed."
            ),
            "muted",
        )
        self.fault = Words("", "error")
        self.fault.hide()
        left = QWidget()
        left.setLayout(
            column(
                row(self.which, self.another, 1, gap=2), self.empty, row(self.begin, 1), self.entry,
                row(self.remove, 1), self.fault, self.personal, 1, gap=4,
            )
        )  # fmt: skip
        self.all_together = QCheckBox(self.tr("All wearings together"))
        self.all_together.toggled.connect(self._show_course)
        self.chart = WearChart(self.tr("Strength over time, as reckoned and as marked"), self._axis(), ())
        self.readings = Words("", "small")
        self.pace = Words("", "body")
        self.trust = Words("", "muted")
        self.mapping = Words("", "muted")
        self._table = column(gap=0)
        right = QWidget()
        right.setLayout(
            column(
                Words(self.tr("Strength from 0 to 10, as reckoned and as marked"), "head"), self.all_together, self.chart,
                self.readings, self.pace, self.trust, self.mapping, self._table, 1, gap=3,
            )
        )  # fmt: skip
        self._beside = Beside(left, right, 66)
        self.setLayout(column(self._beside))
        self._show()

    def _axis(self) -> Axis:
        names = [
            self.tr("just on"),
            self.tr("10 min"),
            self.tr("30 min"),
            self.tr("1 h"),
            self.tr("2 h"),
            self.tr("4 h"),
        ]
        return Axis(
            LAST_S, tuple(zip((0.0, 600.0, 1800.0, 3600.0, 7200.0, 14400.0), names, strict=True)), 900.0
        )

    # one batch

    def show_session(self, session_id: str, state: SessionState, record: BatchRecord) -> None:
        """Show how this batch wore."""
        self._practice = record.rehearsal
        made_g, notes = as_made(state, self._context.catalogue)
        fresh = WearTests(
            session=session_id,
            batch_code=record.batch_code,
            recipe_name=record.recipe_name,
            made_g=made_g,
            notes=notes,
        )
        try:
            held = read_kept(WearTests, self._shelved.read(WEAR_TEST, session_id))
            self._unread = False
            self.fault.say_or_hide("")
        except Trouble as trouble:
            held, self._unread = None, True
            self.fault.say_or_hide(self._context.writer.trouble(trouble))
        self._kept = fresh if held is None else held.model_copy(update={"made_g": made_g, "notes": notes})
        if self._kept.test(self._number) is None or self._kept.session != session_id:
            self._number = self._kept.tests[-1].number if self._kept.tests else 0
        self._reckoned = None
        self._show()
        self._reckon()

    @property
    def kept(self) -> WearTests:
        return self._kept

    @property
    def test(self) -> WearTest | None:
        return self._kept.test(self._number)

    def _keep(self, kept: WearTests) -> bool:
        """Keep it first, then show it; what cannot be kept is shown as it was."""
        if self._unread:
            self._show()
            self.fault.say_or_hide(unread_words())
            return False
        done = self._shelved.write(WEAR_TEST, kept.session, body_of(kept))
        if done:
            self._kept = kept
            self.fault.say_or_hide("")
        else:
            self.fault.say_or_hide(self.tr("It could not be kept, so nothing was changed."))
        self._show()
        if done:
            self._reckon()
            self.changed.emit()
        return done

    # what is done

    def _begin(self) -> None:
        number, before = self._kept.next_number(), self.test
        made = WearTest(number=number, moments_min=before.moments_min) if before else WearTest(number=number)
        was, self._number = self._number, number
        if self._keep(self._kept.put(made)):
            self.entry.wearer.setFocus()
        else:
            self._number = was
            self._show()

    def _choose(self, key: str) -> None:
        self._number = int(key)
        self._show()
        self._reckon()

    def _settled(self, test: WearTest) -> None:
        self._keep(self._kept.put(test))

    def _ask_remove(self) -> None:
        test = self.test
        if test is None:
            return
        if not test.marks:
            self._remove(test.number)
            return
        question = Question(
            "remove wearing",
            self.tr("Take this wearing away?"),
            self.tr("Its marks are not shown any more. Earlier states of it stay in the project file; to be rid of words and initials for good, erase them in the Project menu."),
            (Choice("keep", self.tr("Keep it")), Choice("remove", self.tr("Take it away"))),
        )  # fmt: skip
        number = test.number
        self._context.ask.ask(question, lambda key: self._remove(number) if key == "remove" else None)

    def _remove(self, number: int) -> None:
        kept = self._kept.without(number)
        was, self._number = self._number, kept.tests[-1].number if kept.tests else 0
        if not self._keep(kept):
            self._number = was
            self._show()

    # time

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.look_again()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._look.stop()

    def look_again(self) -> None:
        """What is due by the clock; a tick only says to look, so a sleep of the computer does no harm."""
        test, now = self.test, self._now()
        says = None if test is None else due_sentence(test, now)
        self.entry.due.say_or_hide("" if says is None else self._context.writer.sentence(says))
        self.entry.look_again(now)
        waiting = says is not None and self.isVisible()
        if waiting and not self._look.isActive():
            self._look.start()
        elif not waiting:
            self._look.stop()

    # showing

    def _show(self) -> None:
        test, kept = self.test, self._kept
        self.which.offer([(str(each.number), self._name(each)) for each in kept.tests])
        self.which.show_key(str(self._number))
        several = len(kept.tests) > 1
        self.which.setVisible(bool(kept.tests))
        self.another.setVisible(bool(kept.tests) and not self._practice)
        self.begin.setVisible(not kept.tests and not self._practice)
        self.remove.setVisible(test is not None)
        self.entry.setVisible(test is not None)
        self.empty.say_or_hide(
            ""
            if kept.tests
            else self.tr("A practice run: there is no balm to wear.")
            if self._practice
            else self.tr("Nobody has marked yet how this batch wears. Dab a little on, smell it six times in four hours, and mark how strong it is; it takes a minute each time.")
        )  # fmt: skip
        self.all_together.setVisible(several)
        if not several and self.all_together.isChecked():
            self.all_together.setChecked(False)
        if test is not None:
            self.entry.show_test(test, self._rows(), self._now())
        self._show_course()
        self.look_again()

    def _rows(self) -> tuple[int, ...]:
        """The notes that are in the balm."""
        there = set(self._kept.notes.values()) or set(Note)
        return tuple(row for row, note in enumerate(NOTES) if note in there)

    def _name(self, test: WearTest) -> str:
        who = test.wearer if test.wearer != ERASED else self.tr("erased")
        when = self.tr("not dabbed on yet") if test.dabbed is None else when_words(test.dabbed)
        if who:
            return self.tr("{number}. {who}, {when}").format(number=test.number, who=who, when=when)
        return self.tr("{number}. {when}").format(number=test.number, when=when)

    def _reckon(self) -> None:
        """The course and the pace, beside the window's thread: a dozen balms take a second or two.

        One reckoning at a time; what is marked meanwhile is reckoned after it.
        """
        if self._busy:
            self._again = True
            return
        try:
            kept = all_kept(self._shelved)
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.trouble(trouble))
            return
        own, catalogue, courses = self._kept, self._context.catalogue, self._courses
        wearer = "" if self.test is None else self.test.wearer
        self._busy, self._again = True, False
        self._later.start(lambda: (own.session, reckon(own, wearer, kept, catalogue, courses)))

    def _came(self, made: object) -> None:
        if isinstance(made, tuple) and made[0] == self._kept.session and isinstance(made[1], Reckoned):
            self._reckoned = made[1]
            self._show_course()
        self._ended()

    def _ended(self) -> None:
        self._busy = False
        if self._again:
            self._reckon()

    def _show_course(self) -> None:
        w, made = self._context.writer, self._reckoned
        words = [w.sentence(row_words(row)) for row in range(4)]
        self.chart.rename(words)
        everybody = self.all_together.isChecked()
        marks = marks_of(self.test, self._kept.tests, everybody)
        self.chart.show_wear(() if made is None else lines_of(made, not everybody), marks)
        self.readings.say_or_hide("" if not marks else self._legend(everybody))
        if made is None:
            for each in (self.pace, self.trust, self.mapping):
                each.say_or_hide("")
        else:
            worth_saying = bool(self._kept.tests) or made.pace.learned
            self.pace.say_or_hide(w.sentence(pace_sentence(made.pace)) if worth_saying else "")
            trust = trust_sentence(made.pace)
            self.trust.say_or_hide("" if trust is None else w.sentence(trust))
            self.mapping.say_or_hide(self._about_lines(made, everybody))
        self._fill_table(everybody)

    def _about_lines(self, made: Reckoned, everybody: bool) -> str:
        if not lines_of(made):
            return self.tr("No course can be reckoned: nothing is known of what its oils are made of.")
        if everybody or not made.pace.learned:
            return self._context.writer.sentence(MAPPING_NOTE)
        return self.tr(
            "The lines are drawn at this wearer’s pace and height. Four of five courses keep within their bands when the tables are off by as much as they may be."
        )

    def _legend(self, everybody: bool) -> str:
        if everybody:
            return self.tr(
                "Marks: circle top, square middle, triangle base, diamond overall; filled the median, the bar from the lowest to the highest (the middle half from four wearings on), open the single marks."
            )
        return self.tr("Marks: circle top, square middle, triangle base, diamond overall.")

    def _fill_table(self, everybody: bool) -> None:
        """The same marks in figures; a chart tells nothing to whoever listens."""
        clear(self._table)
        tests = self._kept.tests if everybody else ((self.test,) if self.test is not None else ())
        found = together(tests)
        if not found:
            self.chart.setAccessibleDescription("")
            return
        w = self._context.writer
        rows = [at for at in (*self._rows(), 3) if any(self._row(each.note) == at for each in found)]
        table = PlainTable("", tuple(w.sentence(row_words(at)) for at in rows))
        table.grid.setColumnStretch(0, 0)
        spoken = []
        for moment in sorted({each.after_min for each in found}):
            cells = []
            for at in rows:
                each = next((x for x in found if x.after_min == moment and self._row(x.note) == at), None)
                if each is None:
                    cells.append("–")
                elif each.count == 1:
                    cells.append(w.short(each.median, 1))
                else:
                    cells.append(
                        self.tr("{median} ({low} to {high})").format(
                            median=w.short(each.median, 1),
                            low=w.short(each.low, 1),
                            high=w.short(each.high, 1),
                        )
                    )
            name = self.entry.moment_name(moment)
            table.add(name, *cells)
            spoken.append(f"{name}: {', '.join(cells)}")
        self._table.addLayout(row(table, 1))
        self.chart.setAccessibleDescription("; ".join(spoken))

    @staticmethod
    def _row(note: Note | None) -> int:
        return 3 if note is None else NOTES.index(note)
