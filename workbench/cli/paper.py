"""`balmbook print`: labels, gift card and batch sheet as PDF, without a window."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from workbench.core.batch.events import AnyEvent
    from workbench.core.batch.label_subject import LabelSubject
    from workbench.core.batch.state import SessionState
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.catalogue.shelf import Shelf
    from workbench.core.recipe.model import Recipe
    from workbench.core.review.wear import WearTests
    from workbench.core.review.wearer import WordsFromWearers


_application: object = None


def print_(words: list[str]) -> int:
    """One PDF.  0 also for a draft; the marks on it and a line on the terminal say so."""
    given = _parser().parse_args(words)
    _offscreen()
    made = _made(given, _Held.of(given.project))
    from workbench.store.files import write_bytes

    target = given.output or Path(f"{given.project.stem}-{made.what}.pdf")
    write_bytes(target, made.pdf)
    for sentence in made.says:
        print(sentence)
    if made.record is not None:
        _keep(given.project, made.session, made.record)
    print(f"Written: {target}")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="balmbook print",
        description="Labels, a gift card or the batch sheet as a PDF in true size. "
        "From a finished batch; from a recipe that was not made yet as a draft.",
    )
    parser.add_argument("project", type=Path, help="a project, or an exported .json")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--labels", action="store_true", help="labels for the tins")
    what.add_argument("--card", action="store_true", help="a gift card, A6")
    what.add_argument("--sheet", action="store_true", help="the sheet of a batch for the binder")
    what.add_argument("--ruler", action="store_true", help="a page to check the printer's size with")
    parser.add_argument("--recipe", help="the newest batch of this recipe, or its plan with --plan")
    parser.add_argument("--session", help="this batch (s1, s2, ...)")
    parser.add_argument("--plan", action="store_true", help="from the recipe as it stands, as a draft")
    parser.add_argument("--place", choices=["EU", "UK", "US", "present"], help="default: as the recipe says")
    parser.add_argument("--language", choices=["en", "de", "fr", "es"], default="en")
    parser.add_argument("--maker", default="", help="name and address for the label; signature of the card")
    parser.add_argument("--scent-line", default="", help="default: the oils from top to base")
    parser.add_argument("--best-before", type=_day, help="YYYY-MM-DD, never later than the lots allow")
    parser.add_argument("--months-open", type=int, default=12, help="months after opening (default 12)")
    parser.add_argument(
        "--untested", action="store_true", help="US: print that its safety was not determined"
    )
    parser.add_argument("--side", action="store_true", help="the text around the side, not on the underside")
    parser.add_argument("--paper", choices=["A4", "Letter"], default="A4")
    parser.add_argument("--columns", type=int)
    parser.add_argument("--rows", type=int)
    parser.add_argument("--left", type=float, metavar="MM", help="margin")
    parser.add_argument("--top", type=float, metavar="MM", help="margin")
    parser.add_argument("--gap", type=float, metavar="MM", default=4.0)
    parser.add_argument("--start", type=int, default=1, help="the first place on the page to use")
    parser.add_argument("--no-marks", action="store_true", help="for sheets that are cut already")
    parser.add_argument("--copies", type=int, help="default: one per tin")
    parser.add_argument("--layout", choices=["still", "margin", "horizon"], default="still")
    parser.add_argument("--folded", action="store_true", help="a card to fold, two pages of A5")
    parser.add_argument("--for-whom", default="")
    parser.add_argument("--words", default="", help="the maker's own words on the card")
    parser.add_argument("-o", "--output", type=Path, help="default: the project's name with what it is")
    return parser


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text} is not a day; write it as 2027-09-30") from None


def _offscreen() -> None:
    """Typefaces need a Qt application, but no screen; it lives as long as the process."""
    global _application
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        from PySide6.QtGui import QGuiApplication
    except ImportError as error:
        from workbench.app import missing_library

        raise Trouble(missing_library(str(error))) from error
    _application = QGuiApplication.instance() or QGuiApplication(["balmbook"])


@dataclass(frozen=True, slots=True)
class _Session:
    id: str
    recipe: str
    finished: bool
    rehearsal: bool


@dataclass(frozen=True, slots=True)
class _Held:
    """What a project or an exported file holds, as far as printing needs it."""

    path: Path
    catalogue: Catalogue
    recipes: Mapping[str, tuple[Recipe, int]]
    sessions: tuple[_Session, ...]  # newest first
    labels: tuple[Mapping[str, Any], ...]
    told: Mapping[tuple[str, str], object]  # wear tests and words from wearers, by kind and key

    @classmethod
    def of(cls, path: Path) -> _Held:
        from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER
        from workbench.paper.press import RECORD_KIND

        kinds = (WEAR_TEST, WORD_FROM_WEARER)
        if path.suffix == ".json":
            from workbench.store.interchange import read_document

            document = read_document(path)
            by_revision = sorted(document.documents, key=lambda part: part.revision)
            sessions = tuple(
                _session(part.id, [each.event for each in part.events])
                for part in reversed(document.sessions)
            )
            return cls(
                path,
                _catalogue(document.shelf),
                {p.name: (p.revisions[-1].recipe, p.revisions[-1].revision) for p in document.recipes},
                sessions,
                tuple(p.body for p in document.documents if p.kind == RECORD_KIND and isinstance(p.body, dict)),
                {(p.kind, p.key): p.body for p in by_revision if p.kind in kinds},
            )  # fmt: skip
        from workbench.store.project import Project

        with Project.open(path, read_only=True) as project:
            return cls(
                path,
                _catalogue(project.shelf()),
                {entry.name: (entry.recipe, entry.revision) for entry in project.recipes()},
                tuple(
                    _Session(entry.id, entry.recipe_name, entry.end == "finished", entry.rehearsal)
                    for entry in project.sessions()
                ),
                tuple(held.body for held in project.documents(RECORD_KIND)),
                {(kind, held.key): held.body for kind in kinds for held in project.documents(kind)},
            )

    def worn(self, session: str, batch_code: str) -> tuple[WearTests | None, WordsFromWearers | None]:
        """How a batch wore, and what was said of it weeks later."""
        from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER, read_kept
        from workbench.core.review.wear import WearTests
        from workbench.core.review.wearer import words_of_batch

        return (
            read_kept(WearTests, self.told.get((WEAR_TEST, session))),
            words_of_batch(lambda key: self.told.get((WORD_FROM_WEARER, key)), session, batch_code),
        )

    def events(self, session: str) -> Sequence[AnyEvent]:
        if self.path.suffix == ".json":
            from workbench.store.interchange import read_document

            parts = read_document(self.path).sessions
            return [each.event for part in parts if part.id == session for each in part.events]
        from workbench.store.project import Project

        with Project.open(self.path, read_only=True) as project:
            return project.events(session)


def _session(id_: str, events: Sequence[AnyEvent]) -> _Session:
    from workbench.core.batch.events import SessionStarted

    first = events[0]
    began = first if isinstance(first, SessionStarted) else None
    return _Session(
        id_,
        "" if began is None else began.recipe_name,
        events[-1].kind == "finished",
        False if began is None else began.rehearsal,
    )


def _catalogue(shelf: Shelf) -> Catalogue:
    from workbench.store.resources import load_catalogue

    return load_catalogue().over(shelf)


@dataclass(frozen=True, slots=True)
class _Made:
    what: str
    pdf: bytes
    says: tuple[str, ...]
    session: str = ""
    record: dict[str, Any] | None = None


def _made(given: argparse.Namespace, held: _Held) -> _Made:
    from workbench.paper.press import open_press
    from workbench.store.resources import resource_bytes, resources_folder

    press = open_press(resources_folder() / "fonts", resource_bytes)
    if given.sheet:
        return _sheet(given, held)
    if given.ruler:
        return _ruler(given)
    from workbench.paper.phrases import Language

    language = Language(given.language)
    subject, session = _subject(given, held)
    return (_labels if given.labels else _card)(
        given, held, subject, session, press.phrases[language], language
    )


def _chosen_session(given: argparse.Namespace, held: _Held) -> _Session | None:
    """The batch that was named, or the newest finished one, practice last."""
    if given.session:
        found = next((each for each in held.sessions if each.id == given.session), None)
        if found is None:
            names = ", ".join(each.id for each in held.sessions) or "none"
            raise Trouble(
                say("There is no batch “{id}” here. It holds: {names}.", id=given.session, names=names)
            )
        return found
    fitting = [
        each
        for each in held.sessions
        if given.recipe is None or each.recipe.casefold() == given.recipe.casefold()
    ]
    fitting.sort(key=lambda each: (each.rehearsal, not each.finished))
    return fitting[0] if fitting else None


def _state(held: _Held, session: _Session) -> SessionState:
    from workbench.core.batch.session import fold

    return fold(held.events(session.id))


def _subject(given: argparse.Namespace, held: _Held) -> tuple[LabelSubject, str]:
    from workbench.core.batch.label_subject import subject_of_plan, subject_of_session

    session = None if given.plan else _chosen_session(given, held)
    if session is not None:
        return subject_of_session(_state(held, session)), session.id
    from workbench.core.batch.procedure import make_plan
    from workbench.core.batch.step_words import parse_steps
    from workbench.store.resources import resource_bytes

    recipe, revision = _chosen_recipe(given, held)
    steps = parse_steps("steps.toml", resource_bytes("steps.toml"))
    return subject_of_plan(make_plan(recipe, revision, held.catalogue, steps, today=_today())), ""


def _chosen_recipe(given: argparse.Namespace, held: _Held) -> tuple[Recipe, int]:
    fitting = [
        both
        for name, both in held.recipes.items()
        if given.recipe is None or name.casefold() == given.recipe.casefold()
    ]
    if len(fitting) != 1:
        raise Trouble(
            say("Say which recipe with --recipe. It holds: {names}.", names=", ".join(held.recipes) or "none")
        )
    return fitting[0]


def _labels(
    given: argparse.Namespace, held: _Held, subject: LabelSubject, session: str, phrases: Any, language: Any
) -> _Made:
    from workbench.paper.labels import BackOn, LabelOrder, make_labels
    from workbench.paper.paint import pdf_bytes
    from workbench.paper.press import label_record, margin_note, standing

    content = _content(given, held, subject)
    order = LabelOrder(
        grid=_grid(given),
        back_on=BackOn.SIDE if given.side else BackOn.UNDERSIDE,
        scent_line=given.scent_line,
        copies=given.copies,
    )
    note = margin_note(content, language, _today())
    made = make_labels(content, order, phrases, held.catalogue, note)
    says = [
        str(standing(content, made.final)),
        *(f"- {each}" for each in content.why_not_final),
        *(str(each) for each in made.says),
        *(str(each) for each in content.notes),
    ]
    record = label_record(made, session, language, _today())
    return _Made("labels", pdf_bytes(made.document), tuple(says), session, record)


def _card(
    given: argparse.Namespace, held: _Held, subject: LabelSubject, session: str, phrases: Any, language: Any
) -> _Made:
    from workbench.paper.card import CardLayout, CardWish, make_card
    from workbench.paper.paint import pdf_bytes
    from workbench.paper.press import standing

    given.place = "present"
    content = _content(given, held, subject)
    wish = CardWish(
        CardLayout(given.layout), given.folded, given.for_whom, given.words.replace("\\n", "\n"), given.maker
    )
    document = make_card(content, wish, phrases, held.catalogue)
    says = (str(standing(content, content.final)), *(f"- {each}" for each in content.why_not_final))
    return _Made("card", pdf_bytes(document), says)


def _content(given: argparse.Namespace, held: _Held, subject: LabelSubject) -> Any:
    from workbench.core.batch.label_content import label_content
    from workbench.core.batch.label_final import LabelWish
    from workbench.core.skin.label_rules import LabelPlace

    place = subject.recipe.place.value if given.place is None else given.place
    wish = LabelWish(
        place=LabelPlace.PRESENT if place == "present" else LabelPlace(place),
        maker_line=given.maker,
        months_open=given.months_open,
        best_before=given.best_before,
        untested=given.untested,
    )
    return label_content(subject, held.catalogue, wish, _today())


def _grid(given: argparse.Namespace) -> Any:
    from pydantic import ValidationError

    from workbench.paper.sizes import PaperSize, SheetGrid

    try:
        return SheetGrid(
            paper=PaperSize(given.paper),
            columns=given.columns,
            rows=given.rows,
            left_mm=given.left,
            top_mm=given.top,
            gap_x_mm=given.gap,
            gap_y_mm=given.gap,
            start=given.start,
            crop_marks=not given.no_marks,
            cut_lines=not given.no_marks,
        )
    except ValidationError as error:
        wrong = ", ".join(".".join(map(str, each["loc"])) for each in error.errors())
        raise Trouble(say("These measures of the page cannot be used: {wrong}.", wrong=wrong)) from error


def _sheet(given: argparse.Namespace, held: _Held) -> _Made:
    from workbench.core.batch.alarms import parse_alarms
    from workbench.paper.batch_sheet import SheetWish, make_batch_sheet
    from workbench.paper.paint import pdf_bytes
    from workbench.paper.press import record_says
    from workbench.paper.sizes import PaperSize
    from workbench.paper.voice import Voice
    from workbench.paper.wear_notes import wear_notes
    from workbench.store.resources import resource_bytes

    session = _chosen_session(given, held)
    if session is None:
        raise Trouble(say("There is no batch here yet, so there is nothing to print."))
    alarms = parse_alarms("alarms.toml", resource_bytes("alarms.toml"))
    state = _state(held, session)
    wish = SheetWish(
        paper=PaperSize(given.paper),
        alarm_titles={each.key: each.title for each in alarms},
        lot_names={lot.key: lot.supplier_lot or lot.key for lot in held.catalogue.shelf.lots},
        wear=wear_notes(*held.worn(session.id, state.batch_code), Voice()),
        labels=[str(record_says(body)) for body in held.labels if body.get("session") == session.id],
    )
    return _Made("sheet", pdf_bytes(make_batch_sheet(state, wish)), ())


def _ruler(given: argparse.Namespace) -> _Made:
    from workbench.paper.paint import pdf_bytes
    from workbench.paper.ruler_page import make_ruler_page
    from workbench.paper.sizes import PaperSize

    document = make_ruler_page(PaperSize(given.paper))
    return _Made("ruler", pdf_bytes(document), ())


def _keep(path: Path, session: str, record: dict[str, Any]) -> None:
    """Note in the project that labels were printed; an exported file and an open project are left alone."""
    if path.suffix == ".json":
        return
    from workbench.paper.press import RECORD_KIND, record_key
    from workbench.store.project import Project

    with Project.open(path) as project:
        if project.read_only:
            print("The project is open elsewhere, so it does not know of these labels.", file=sys.stderr)
            return
        project.save_document(RECORD_KIND, record_key(session, record), record)


def _today() -> date:
    return datetime.now(UTC).astimezone().date()
