"""What the people who got a tin say weeks later: found by the code on the tin, kept with the batch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPlainTextEdit, QWidget

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.model import SignalWord
from workbench.core.review.keeping import ERASED, WORD_FROM_WEARER, body_of, read_kept
from workbench.core.review.reaction_words import CAUTION
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers, batch_of, key_of
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.editor.intent import TextField
from workbench.ui.editor.panel import Form
from workbench.ui.history.points_scale import PointsScale
from workbench.ui.history.port import Shelved, unread_words
from workbench.ui.shelf.fields import read_day
from workbench.ui.theme import theme_now
from workbench.ui.widgets.ask import Choice, Question
from workbench.ui.widgets.basic import Panel, Words, button, clear, column, row, rule
from workbench.ui.widgets.callout import Callout

MOST_CHARS = 400
Codes = Callable[[], dict[str, str]]  # session -> batch code, newest first


def no_codes() -> dict[str, str]:
    return {}


@dataclass(frozen=True, slots=True)
class _Typed:
    """What stands in the fields and is not kept yet."""

    editing: int
    told: str
    wearer: str
    rating: int | None
    reaction: bool
    words: str

    @property
    def worth_keeping(self) -> bool:
        said = self.words.strip() or self.wearer.strip() or self.rating is not None or self.reaction
        return bool(said or self.editing)


class WordsPanel(QWidget):
    """changed()         something was kept: lists and cautions follow from it
    opened(session)   the batch of a tin was found and is wanted

    `codes` gives every batch with the code on its tins, newest first.
    """

    changed = Signal()
    opened = Signal(str)

    def __init__(
        self, context: Context, shelved: Shelved, parent: QWidget | None = None, codes: Codes = no_codes
    ) -> None:
        super().__init__(parent)
        self._context, self._shelved, self._codes = context, shelved, codes
        self._kept = WordsFromWearers(session="-")
        self._key = ""
        self._typed_by_key: dict[str, _Typed] = {}
        self._editing = 0  # number of the word in hand, 0 for a new one
        self._lots: tuple[str, ...] = ()
        self._practice = False
        self._garbled = False  # something is kept of this batch that says nothing to this program
        self._unread = ""  # why what is kept could not be read: nothing is written over it
        self.code = TextField(self.tr("Code on the tin"))
        self.code.returnPressed.connect(self.look_up)
        self.find_batch = button(self.tr("Find its batch"), self.look_up)
        self.found = Words("", "attention")
        self.found.hide()
        self.flag = column(gap=2)
        self.list = column(gap=3)
        self.list_holder = QWidget()
        self.list_holder.setLayout(self.list)
        self.none = Words("", "muted")
        self.told = TextField(self.tr("Told on"))
        self.told.setPlaceholderText("2026-03-01")
        self.wearer = TextField(self.tr("Initials of the wearer"))
        self.wearer.setMaxLength(3)
        self.wearer.setPlaceholderText(self.tr("may be empty"))
        self.rating = PointsScale(self.tr("How well liked"))
        self.reaction = QCheckBox(self.tr("There was a reaction of the skin"))
        self.words = QPlainTextEdit()
        self.words.setAccessibleName(self.tr("What was said"))
        self.words.setTabChangesFocus(True)
        self.fault = Words("", "error")
        self.fault.hide()
        self.keep = button(self.tr("Keep it"), self._keep_word, "primary")
        self.leave = button(self.tr("Leave it"), self._new, "quiet")
        self.form = Panel("", "")
        form = Form()
        form.add(self.tr("Told on"), row(self.told, 1), self.told)
        form.add(self.tr("Wearer"), row(self.wearer, 1), self.wearer)
        form.add(self.tr("How well liked"), self.rating)
        form.add(self.tr("In words"), self.words)
        self.form.body.addLayout(form)
        self.form.body.addWidget(self.reaction)
        self.form.body.addWidget(self.fault)
        self.form.body.addLayout(row(self.keep, self.leave, 1))
        self.personal = Words(
            self.tr(
                "Initials and words are erased for good when a wearer asks: Project, “Erase a wearer’s words …”. That there was a reaction stays with the batch, without name or words."
            ),
            "muted",
        )
        self.setLayout(
            column(
                self.flag, Words(self.tr("Word from the wearer"), "head"), self.none, _bounded(self.list_holder),
                _bounded(self.form), _bounded(self.personal), rule(), row(Words(self.tr("Another tin")), self.code, self.find_batch, 1, gap=2),
                self.found, 1, gap=4,
            )
        )  # fmt: skip
        self._measure()
        self._new()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "code"):
            self._measure()

    def _measure(self) -> None:
        em = theme_now().em()
        for field in (self.told, self.wearer, self.code):
            field.setFixedWidth(11 * em)
        self.words.setFixedHeight(6 * em)
        for part in (self.form, self.list_holder, self.personal):
            part.setMaximumWidth(52 * em)

    # one batch

    def show_session(self, session_id: str, state: SessionState, record: BatchRecord) -> None:
        """Show what was said of this batch."""
        self._stash()
        self._practice = record.rehearsal
        self._key = key_of(session_id, record.batch_code)
        self._lots = tuple(dict.fromkeys(lot for line in record.lines for lot in line.lots))
        fresh = WordsFromWearers(
            session=session_id, batch_code=record.batch_code, recipe_name=record.recipe_name
        )
        self._kept = self._read(fresh)
        self.found.say_or_hide("")
        self._new()
        self.fault.say_or_hide(self._unread)
        self._take_up()
        self._show()

    def forget(self) -> None:
        """Another project is open: its batches may have the same codes."""
        self._typed_by_key = {}
        self._key = ""

    def _stash(self) -> None:
        """What is typed and not kept stays with its batch for as long as the window is open."""
        typed = _Typed(
            self._editing, self.told.text(), self.wearer.text(), self.rating.points,
            self.reaction.isChecked(), self.words.toPlainText(),
        )  # fmt: skip
        if self._key and typed.worth_keeping:
            self._typed_by_key[self._key] = typed
        else:
            self._typed_by_key.pop(self._key, None)

    def _take_up(self) -> None:
        typed = self._typed_by_key.pop(self._key, None)
        if typed is None:
            return
        held = next((each for each in self._kept.said if each.number == typed.editing), None)
        if held is not None:
            self._fill(held, held.number)
        self.told.setText(typed.told)
        self.wearer.setText(typed.wearer)
        self.rating.show_points(typed.rating)
        self.reaction.setChecked(typed.reaction)
        self.words.setPlainText(typed.words)

    def _read(self, fresh: WordsFromWearers) -> WordsFromWearers:
        self._unread = ""
        try:
            body = self._shelved.read(WORD_FROM_WEARER, self._key)
            held = read_kept(WordsFromWearers, body)
            if held is not None and held.session != fresh.session:
                # two batches with one code on their tins: this one keeps its own words under its session
                self._key = fresh.session
                body = self._shelved.read(WORD_FROM_WEARER, self._key)
                held = read_kept(WordsFromWearers, body)
            self._garbled = body is not None and held is None
        except Trouble as trouble:
            self._unread = self._context.writer.trouble(trouble)
            return fresh
        return fresh if held is None else held

    @property
    def kept(self) -> WordsFromWearers:
        return self._kept

    def look_up(self) -> None:
        """The batch whose code stands on the tin."""
        code = self.code.text().strip()
        sessions = batch_of(code, self._codes())
        if not sessions:
            self.found.say_or_hide(
                self.tr("No batch has the code “{code}”. It stands on the label of the tin.").format(
                    code=code
                )
                if code
                else self.tr("Type the code that stands on the tin.")
            )
            return
        self.found.say_or_hide(
            ""
            if len(sessions) == 1
            else self.tr("%n batches have this code; the newest is shown.", "", len(sessions))
        )
        self.opened.emit(sessions[0])

    # what is typed

    def _new(self) -> None:
        self._fill(WordFromWearer(number=self._kept.next_number(), told=self._context.today()), 0)

    def edit(self, number: int) -> None:
        """Take one word in hand again."""
        held = next((each for each in self._kept.said if each.number == number), None)
        if held is not None:
            self._fill(held, number)
            self.told.setFocus(Qt.FocusReason.OtherFocusReason)

    def _fill(self, word: WordFromWearer, number: int) -> None:
        self._editing = number
        self.told.setText("" if word.told is None else word.told.isoformat())
        self.wearer.setText("" if word.wearer == ERASED else word.wearer)
        self.rating.show_points(word.rating)
        self.reaction.setChecked(word.reaction)
        self.words.setPlainText(word.words)
        self.fault.say_or_hide("")
        self.form.rename(self.tr("What somebody said") if number == 0 else self.tr("Change it"))
        self.leave.setVisible(number != 0)

    def _typed(self) -> WordFromWearer:
        """What stands in the fields.  Raises `Trouble`."""
        before = next((each for each in self._kept.said if each.number == self._editing), None)
        told, who = self.told.text().strip(), self.wearer.text().strip()
        text = self.words.toPlainText().strip()
        if who and not who.isalpha():
            raise Trouble(self.tr("Initials only: up to three letters, no name."))
        if len(text) > MOST_CHARS:
            raise Trouble(
                self.tr("That is %n letters; {most} are kept. Make it shorter.", "", len(text)).format(
                    most=MOST_CHARS
                )
            )
        day: date | None = read_day(told) if told else None
        if before is not None and before.wearer == ERASED and not who:
            who = ERASED
        made = WordFromWearer(
            number=self._editing or self._kept.next_number(), told=day, wearer=who,
            rating=self.rating.points, reaction=self.reaction.isChecked(), words=text,
        )  # fmt: skip
        if made.rating is None and not made.reaction and not made.words:
            raise Trouble(
                self.tr("There is nothing to keep yet: say how well it was liked, or something in words.")
            )
        return made

    def _keep_word(self) -> None:
        try:
            word = self._typed()
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.sentence(trouble.says))
            return
        if self._write(self._kept.put(word)):
            self._new()

    def ask_remove(self, number: int) -> None:
        question = Question(
            "remove word",
            self.tr("Take this away?"),
            self.tr("It is not shown any more, and a reaction in it flags nothing. Its earlier state stays in the project file; to be rid of words for good, erase them in the Project menu."),
            (Choice("keep", self.tr("Keep it")), Choice("remove", self.tr("Take it away"))),
        )  # fmt: skip
        self._context.ask.ask(
            question, lambda key: self._write(self._kept.without(number)) if key == "remove" else None
        )

    def _write(self, kept: WordsFromWearers) -> bool:
        """Keep it first, then show it."""
        if self._unread:
            self.fault.say_or_hide(unread_words())
            return False
        if not self._shelved.write(WORD_FROM_WEARER, self._key, body_of(kept)):
            self.fault.say_or_hide(self.tr("It could not be kept, so nothing was changed."))
            return False
        self._kept, self._garbled = kept, False
        self._show()
        self.changed.emit()
        return True

    # showing

    def _show(self) -> None:
        clear(self.flag)
        clear(self.list)
        kept = self._kept
        if kept.reaction:
            self.flag.addWidget(
                Callout(SignalWord.CAUTION, self._flag_words(), self._context.writer.sentence(CAUTION))
            )
        self.none.say_or_hide(
            ""
            if kept.said
            else self._garbled_words()
            if self._garbled
            else self.tr("A practice run: nobody got a tin of it.")
            if self._practice
            else self.tr("Nobody has said anything about this batch yet."),
            "attention" if self._garbled else "muted",
        )
        for word in kept.said:
            self.list.addLayout(self._line(word))
        self.form.setVisible(not self._practice or self._garbled)  # what cannot be read can be written anew

    def _garbled_words(self) -> str:
        return self.tr(
            "What was noted of this batch cannot be read: a newer program wrote it, or it was changed by hand. Until somebody has looked, the batch counts as one that skin reacted to. What you keep here takes its place; the earlier state stays in the project file."
        )

    def _flag_words(self) -> str:
        if not self._lots:
            return self.tr(
                "A reaction was reported. This batch, its recipe, and every recipe with the same fragrance materials carry a caution now. No lot was named in it, so the caution stands at every lot of its materials that may have been the one."
            )
        named = {lot.key: lot.supplier_lot or lot.key for lot in self._context.shelf.lots}
        return self.tr(
            "A reaction was reported. This batch, its recipe, every recipe with the same fragrance materials, and the lots in it carry a caution now: {lots}."
        ).format(lots=", ".join(named.get(lot, lot) for lot in self._lots))

    def _line(self, word: WordFromWearer) -> QHBoxLayout:
        who = self.tr("erased") if word.wearer == ERASED else word.wearer
        day = "" if word.told is None else word.told.isoformat()
        liked = "" if word.rating is None else self.tr("liked {points} of 10").format(points=word.rating)
        sore = self.tr("reaction of the skin") if word.reaction else ""
        head = ", ".join(part for part in (day, who, liked, sore) if part)
        change = button(self.tr("Change"), None, "quiet", name=self.tr("Change: {what}").format(what=head))
        change.clicked.connect(lambda: self.edit(word.number))
        away = button(
            self.tr("Take away"), None, "quiet", name=self.tr("Take away: {what}").format(what=head)
        )
        away.clicked.connect(lambda: self.ask_remove(word.number))
        texts = column(Words(head, "danger" if word.reaction else "muted"), gap=0)
        if word.words:
            texts.addWidget(Words(word.words))
        line = row(texts, change, away, gap=2)
        line.setStretch(0, 1)
        return line


def _bounded(part: QWidget) -> QHBoxLayout:
    """Its greatest width counts before its height is asked for: a column alone would ask at its own width."""
    made = row(part, 1)
    made.setStretch(0, 1000)
    return made
