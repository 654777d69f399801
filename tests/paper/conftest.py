"""A Qt application without a screen, the typefaces, and one finished batch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import lru_cache

import pytest
from PySide6.QtWidgets import QApplication

from tests.paper.balms import TODAY, finished, tins_of
from workbench.core.batch.label_content import LabelContent, label_content
from workbench.core.batch.label_final import LabelWish
from workbench.core.batch.label_subject import subject_of_session
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.skin.label_rules import LabelPlace
from workbench.paper.press import Press, open_press
from workbench.store.resources import resource_bytes, resources_folder
from workbench.testing import sample_catalogue

Contents = Callable[..., LabelContent]


@lru_cache(maxsize=1)
def _press() -> Press:
    return open_press(resources_folder() / "fonts", resource_bytes)


@pytest.fixture(scope="session")
def press(qapp: QApplication) -> Press:
    return _press()


@pytest.fixture(scope="session")
def state() -> SessionState:
    return finished()


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """The sample shelf with a very small and a large tin on it."""
    tables = sample_catalogue()
    return tables.over(tables.shelf.model_copy(update={"tins": (*tables.shelf.tins, *tins_of())}))


@pytest.fixture
def contents(press: Press, state: SessionState, catalogue: Catalogue) -> Contents:
    """Content of labels for one kind of tin under the rules of a place."""

    def make(
        place: LabelPlace,
        tin: str = "round_15",
        content_g: float = 13.4,
        name: str = "",
        best_before: date | None = date(2027, 9, 30),
        maker: str = "Quay Kitchen, 3 Rope Walk, 20457 Hamburg",
        over: bool = False,
    ) -> LabelContent:
        subject = subject_of_session(state)
        kind = replace(subject.tins[0], key=tin, name=tin, content_g=content_g)
        recipe = subject.recipe.model_copy(update={"name": name}) if name else subject.recipe
        subject = replace(subject, recipe=recipe, tins=(kind,), set_aside=over)
        return label_content(
            subject, catalogue, LabelWish(place, maker_line=maker, best_before=best_before), TODAY
        )

    return make
