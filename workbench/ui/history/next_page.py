"""Next time: what this batch suggests to change in its recipe, each change optional and with its reason."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QFrame, QWidget

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import SessionState
from workbench.core.recipe.model import Recipe
from workbench.core.review.case import Case
from workbench.core.review.faults import FaultsSeen, FaultTable, judge
from workbench.core.review.keeping import FAULT_SEEN, WEAR_TEST, WORD_FROM_WEARER, read_kept
from workbench.core.review.next_revision import Checked, Proposal, check, propose
from workbench.core.review.past import PastRow
from workbench.core.review.reaction_words import holds_back, wanted_of
from workbench.core.review.reactions import flags, reactions
from workbench.core.review.revising import Change
from workbench.core.review.wear import WearTests
from workbench.core.trouble import Trouble
from workbench.core.wording import Said
from workbench.ui.context import Context
from workbench.ui.history.port import Shelved
from workbench.ui.scent.later import Later
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button, clear, column, row


class ChangeCard(QFrame):
    """One change with its tick and its reason."""

    toggled = Signal()

    def __init__(self, change: Change, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "card")
        say = context.writer.sentence
        self.key = change.key
        self.tick = QCheckBox()
        self.tick.setChecked(True)
        self.tick.toggled.connect(self.toggled)
        self.says = Words(say(change.says), "strong")
        self.tick.setAccessibleName(self.says.text())
        self.reason = Words(say(change.reason))
        self.tick.setAccessibleDescription(self.reason.text())
        line = row(self.tick, column(self.says, self.reason, gap=1), gap=2)
        line.setStretch(1, 1)
        margin = 3 * GRID_PX
        line.setContentsMargins(margin, 2 * GRID_PX, margin, 2 * GRID_PX)
        self.setLayout(line)


class NextPage(QWidget):
    """revise_asked(recipe, words)  the changed recipe is wanted in the editor, as one edit called so"""

    revise_asked = Signal(object, str)

    def __init__(
        self,
        context: Context,
        shelved: Shelved,
        table: FaultTable,
        past: Callable[[], Sequence[PastRow]],
        newest_revision: Callable[[str], int | None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._shelved, self._table = context, shelved, table
        self._past, self._newest = past, newest_revision
        self._proposal: Proposal | None = None
        self._checked: Checked | None = None
        self._day = ""
        self._later = Later(self)
        self._later.came.connect(self._came)
        self._later.failed.connect(self._failed)
        self.heading = Words(self.tr("What to change in the recipe"), "head")
        self.intro = Words("")
        self.moved_on = Words("", "attention")
        self._changes = column(gap=2)
        self.cards: list[ChangeCard] = []
        self.result = Words(self.tr("What the recipe would be"), "head")
        self.says = Words("")
        self.refused = Words("", "danger")
        self.warns = Words("", "attention")
        self.revise = button(self.tr("Open as a new revision"), self._revise, "primary")
        self.about = Words(
            self.tr("It opens in the editor as one change: undo takes it back, saving keeps it."), "muted"
        )
        self._lists = column(gap=2)
        line = row(self.revise, self.about, gap=3)
        line.setStretch(1, 1)
        self._offer = QWidget()
        self._offer.setLayout(column(self.result, self.says, self.refused, self.warns, line, gap=2))
        self.setLayout(
            column(self.heading, self.intro, self.moved_on, self._changes, self._offer, self._lists, 1, gap=4)
        )

    def show_session(self, session_id: str, state: SessionState, record: BatchRecord) -> None:
        """Work the proposals out anew: marks and faults may be others than before."""
        catalogue = self._context.catalogue
        self._day = "" if record.started is None else f"{record.started:%Y-%m-%d}"
        try:
            wear = read_kept(WearTests, self._shelved.read(WEAR_TEST, session_id))
            seen = read_kept(FaultsSeen, self._shelved.read(FAULT_SEEN, session_id))
            case = Case(state, catalogue, wear)
            judged = [judge(each.kind, case, self._table) for each in (seen.faults if seen else ())]
            self._proposal = propose(
                state,
                catalogue,
                wear=wear,
                judged=judged,
                past=tuple(self._past()),
                reacted=self._reacted(session_id, state),
            )
        except Trouble as trouble:
            self._proposal = None
            self._show_none(self._context.writer.trouble(trouble))
            return
        self._fill(self._proposal)

    def _reacted(self, session_id: str, state: SessionState) -> Said | None:
        """Why a reaction to this batch, its recipe or its fragrance has to be thought of.  May raise `Trouble`."""
        shelved, rows = self._shelved, self._context.catalogue.materials
        told = reactions(shelved.all(WORD_FROM_WEARER), shelved.all(FAULT_SEEN))
        if state.plan is None or not told:
            return None
        wanted = replace(wanted_of(state.plan.recipe), name=state.recipe_name)
        summaries = {each.id: each.summary for each in self._past() if each.summary is not None}
        return holds_back(flags(told, summaries, rows), session_id, wanted, rows)

    @property
    def chosen(self) -> tuple[str, ...]:
        return tuple(card.key for card in self.cards if card.tick.isChecked())

    # -- inside

    def _show_none(self, why: str) -> None:
        self.intro.say(why)
        clear(self._changes)
        clear(self._lists)
        self.cards = []
        self._checked = None
        self._later.forget()
        self.moved_on.say_or_hide("")
        self._offer.hide()

    def _fill(self, proposal: Proposal) -> None:
        self._show_none("")
        count = len(proposal.changes)
        self.intro.say(
            self.tr(
                "From what was weighed, how it wore and what was seen. Take away what you do not want: the fewer changes at once, the better you see what each did."
            )
            if count
            else self.tr("Nothing in this batch asks for another recipe.")
        )
        newest = self._newest(proposal.recipe.name)
        self.moved_on.say_or_hide(
            self.tr(
                "The recipe has gone on to revision {newest} since. These changes start from revision {revision}, by which this batch was made."
            ).format(newest=newest, revision=proposal.revision)
            if newest is not None and newest > proposal.revision
            else ""
        )
        for change in proposal.changes:
            card = ChangeCard(change, self._context)
            card.toggled.connect(self._check)
            self.cards.append(card)
            self._changes.addWidget(card)
        self._offer.setVisible(bool(count))
        self._say_result(self.tr("Working it out …") if count else "", "", "")
        say, add = self._context.writer.sentence, self._lists.addWidget
        if proposal.by_hand:
            add(Words(self.tr("What to do differently at the bench"), "head"))
            for each in proposal.by_hand:
                add(Words(say(each.cause.change), "strong"))
                add(Words(self.tr("Because: {shows}").format(shows=say(each.shows)), "body"))
        if proposal.kept:
            add(Words(self.tr("Looked at, and better left as it is"), "head"))
            for sentence in proposal.kept:
                add(Words(say(sentence)))
        self._check()

    def _check(self) -> None:
        """Work out what the recipe would be, off the window's thread; until it is known it cannot be opened."""
        proposal = self._proposal
        self._checked = None
        self.revise.setEnabled(False)
        if proposal is None or not proposal.changes:
            self._later.forget()
            return
        context = self._context
        self._later.start(partial(check, proposal, self.chosen, context.catalogue, context.today()))

    def _came(self, result: object) -> None:
        if isinstance(result, Trouble):
            self._say_result("", self._context.writer.trouble(result), "")
        elif isinstance(result, Checked):
            self._show_checked(result)

    def _failed(self) -> None:
        self._say_result("", self.tr("It could not be worked out. Take a change away and try again."), "")

    def _show_checked(self, told: Checked) -> None:
        say = self._context.writer.sentence
        self._checked = told
        self._say_result(
            "\n".join(f"– {say(each)}" for each in told.says) or self.tr("The same as it was."),
            "" if told.refused is None else say(told.refused),
            "\n".join(say(each) for each in told.warns),
        )
        self.revise.setEnabled(bool(self.chosen) and told.refused is None and bool(told.says))

    def _say_result(self, says: str, refused: str, warns: str) -> None:
        self.says.say_or_hide(says)
        self.refused.say_or_hide(f"!  {refused}" if refused else "")
        self.warns.say_or_hide(warns)

    def _revise(self) -> None:
        told = self._checked
        if told is None or told.refused is not None:
            return
        recipe: Recipe = told.recipe
        self.revise_asked.emit(recipe, self.tr("what the batch of {day} taught").format(day=self._day))
