"""A page of prints over a project in memory, with a printer that only listens."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from workbench.core.batch.commands import EndBatch, Start
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Lot
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.review.wearer import WordsFromWearers
from workbench.core.trouble import Trouble
from workbench.paper.press import Press, open_press
from workbench.paper.scene import Document
from workbench.store.resources import load_starter_shelf, resource_bytes, resources_folder
from workbench.store.sessions import SessionEntry
from workbench.testing import (
    BEGIN,
    Maker,
    MemoryJournal,
    VirtualClock,
    begin,
    sample_plan,
    sample_rules,
)
from workbench.ui.context import Context
from workbench.ui.paper.page import PaperPage
from workbench.ui.paper.wishes import PaperWishes
from workbench.ui.paper.works import PaperWorks


@lru_cache(maxsize=1)
def finished_events() -> tuple[AnyEvent, ...]:
    conductor, clock, journal = begin()
    Maker(conductor, clock).go_to_end()
    return tuple(journal.events)


@lru_cache(maxsize=1)
def practice_events() -> tuple[AnyEvent, ...]:
    clock, journal = VirtualClock(), MemoryJournal()
    conductor = Conductor("s2", journal, clock, sample_rules())
    assert conductor.send(Start(sample_plan(), maker="M", rehearsal=True, seed=3)) is None
    assert conductor.send(EndBatch("enough for today")) is None
    return tuple(journal.events)


@dataclass
class PaperInMind:
    """A project that holds a finished batch and a practice run."""

    kept: list[tuple[str, Mapping[str, Any]]] = field(default_factory=list)
    held: PaperWishes = field(default_factory=PaperWishes)
    kept_wishes: int = 0
    broken: bool = False

    def sessions(self) -> Sequence[SessionEntry]:
        done = SessionEntry("s1", 1, BEGIN, "Evening ember", 1, False, "260314", "finished")
        return (replace(done, id="s2", number=2, rehearsal=True, batch_code="", end="ended early"), done)

    def events(self, session: str) -> Sequence[AnyEvent]:
        return finished_events() if session == "s1" else practice_events()

    def seal(self, session: str) -> str:
        return "ab" * 32

    def labels(self, session: str) -> Sequence[Mapping[str, Any]]:
        return [record for name, record in self.kept if name == session]

    def worn(self, session: str, batch_code: str) -> tuple[WearTests | None, WordsFromWearers | None]:
        mark = Mark(after_min=0, overall=7, words="honey")
        worn = WearTests(session=session, tests=(WearTest(number=1, wearer="AB", marks=(mark,)),))
        return worn, None

    def keep_labels(self, session: str, record: Mapping[str, Any]) -> None:
        if self.broken:
            raise Trouble("The disk is full.")
        self.kept.append((session, record))

    def wishes(self) -> PaperWishes:
        return self.held

    def keep_wishes(self, wishes: PaperWishes) -> None:
        self.held = wishes
        self.kept_wishes += 1


@dataclass
class ListeningPrinter:
    printed: list[Document] = field(default_factory=list)
    works: bool = True

    def print(self, document: Document, done: Callable[[], object]) -> None:
        if not self.works:
            raise Trouble("There is no printing here. Save the PDF.")
        self.printed.append(document)
        done()


@lru_cache(maxsize=1)
def press() -> Press:
    return open_press(resources_folder() / "fonts", resource_bytes)


@dataclass
class Desk:
    page: PaperPage
    store: PaperInMind
    printer: ListeningPrinter
    told: list[tuple[str, bool]]

    def settle(self) -> None:
        """What a timer would do in a moment."""
        self.page.refresh()


@pytest.fixture
def desk(context: Context, tmp_path: Path, qtbot: QtBot) -> Iterator[Desk]:
    shelf = load_starter_shelf()
    keys = ("beeswax", "shea_butter", "jojoba", "cedarwood_virginia", "lavender")
    lots = tuple(Lot(key=f"{key}_1", material=key, supplier_lot=f"{key.upper()}-1") for key in keys)
    context.take_shelf(shelf.model_copy(update={"lots": lots}))
    store, printer, told = PaperInMind(), ListeningPrinter(), []
    made = PaperPage(context, PaperWorks(context, press), sample_plan, printer, tmp_path)
    made.told.connect(lambda text, trouble: told.append((text, trouble)))
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    made.open(store)
    yield Desk(made, store, printer, told)
    made.close()
