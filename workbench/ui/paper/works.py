"""From a batch and the maker's choices to pages: what is asked, what came of it, what has to be said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from workbench.core.batch.label_content import LabelContent, label_content
from workbench.core.batch.label_subject import LabelSubject, subject_of_plan, subject_of_session
from workbench.core.batch.plan import Plan
from workbench.core.batch.state import SessionState
from workbench.core.review.wear import WearTests
from workbench.core.review.wearer import WordsFromWearers
from workbench.core.skin.label_rules import LabelPlace
from workbench.paper.batch_sheet import SheetWish, make_batch_sheet
from workbench.paper.card import make_card
from workbench.paper.labels import make_labels
from workbench.paper.press import Press, label_record, margin_note, record_says, standing
from workbench.paper.ruler_page import make_ruler_page
from workbench.paper.scene import Document
from workbench.paper.sizes import places
from workbench.paper.voice import Voice
from workbench.paper.wear_notes import wear_notes
from workbench.ui.context import Context
from workbench.ui.paper.wishes import PaperWishes
from workbench.ui.writing import translate


class What(StrEnum):
    LABELS = "labels"
    CARD = "card"
    SHEET = "sheet"


@dataclass(frozen=True, slots=True)
class Source:
    """A batch, or the recipe as it stands where `state` is None."""

    session: str
    state: SessionState | None
    plan: Plan | None

    @property
    def subject(self) -> LabelSubject | None:
        if self.state is not None:
            return subject_of_session(self.state)
        return None if self.plan is None else subject_of_plan(self.plan)


@dataclass(frozen=True, slots=True)
class Printed:
    """Pages with what is to be said about them; `record` is what the project keeps of labels."""

    document: Document
    standing: str = ""
    why: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    final: bool = True
    record: Mapping[str, Any] | None = None


@dataclass(slots=True)
class PaperWorks:
    """Raises `Trouble` with a sentence where nothing can be printed."""

    context: Context
    press: Callable[[], Press]
    alarm_titles: Mapping[str, str] = field(default_factory=dict)

    def place_of(self, source: Source, wishes: PaperWishes) -> LabelPlace:
        if wishes.place is not None:
            return wishes.place
        subject = source.subject
        return LabelPlace.EU if subject is None else LabelPlace(subject.recipe.place.value)

    def labels(self, source: Source, wishes: PaperWishes) -> Printed | None:
        content = self._content(source, wishes, self.place_of(source, wishes))
        if content is None:
            return None
        today, write = self.context.today(), self.context.writer.sentence
        phrases = self.press().phrases[wishes.language]
        note = write(margin_note(content, wishes.language, today))
        made = make_labels(content, wishes.order(), phrases, self.context.catalogue, note)
        return Printed(
            made.document,
            write(standing(content, made.final)),
            tuple(write(each) for each in content.why_not_final),
            tuple(write(each) for each in (*made.says, *content.notes)),
            made.final,
            label_record(made, source.session, wishes.language, today),
        )

    def card(self, source: Source, wishes: PaperWishes) -> Printed | None:
        content = self._content(source, wishes, LabelPlace.PRESENT)
        if content is None:
            return None
        write = self.context.writer.sentence
        document = make_card(
            content, wishes.card(), self.press().phrases[wishes.language], self.context.catalogue
        )
        return Printed(
            document,
            write(standing(content, content.final)),
            tuple(write(each) for each in content.why_not_final),
            (),
            content.final,
        )

    def sheet(
        self,
        source: Source,
        wishes: PaperWishes,
        labels: tuple[Mapping[str, Any], ...],
        seal: str,
        worn: tuple[WearTests | None, WordsFromWearers | None] = (None, None),
    ) -> Printed | None:
        if source.state is None:
            return None
        self.press()  # loads the typefaces
        lots = {lot.key: lot.supplier_lot or lot.key for lot in self.context.shelf.lots}
        voice = Voice(self.context.writer.units, translate)
        wish = SheetWish(
            paper=wishes.paper,
            voice=voice,
            alarm_titles=self.alarm_titles,
            lot_names=lots,
            wear=wear_notes(*worn, voice),
            labels=[self.context.writer.sentence(record_says(body)) for body in labels],
            seal=seal,
        )
        return Printed(make_batch_sheet(source.state, wish))

    def ruler(self, source: Source, wishes: PaperWishes) -> Document:
        """The page to check the printer with, over the grid of the first label."""
        self.press()
        spots = None
        content = self._content(source, wishes, self.place_of(source, wishes))
        if content is not None and content.subject.tins:
            from workbench.paper.sizes import sizes_for

            kind = content.subject.tins[0]
            tin = next((each for each in self.context.shelf.tins if each.key == kind.key), None)
            lid = (wishes.sizes.get(kind.key) or sizes_for(tin)).lid
            spots = places(wishes.grid(), lid.w_mm, lid.h_mm)
        return make_ruler_page(wishes.paper, spots, translate)

    def _content(self, source: Source, wishes: PaperWishes, place: LabelPlace) -> LabelContent | None:
        subject = source.subject
        if subject is None:
            return None
        return label_content(subject, self.context.catalogue, wishes.label_wish(place), self.context.today())
