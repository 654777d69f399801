from __future__ import annotations

import pytest

from workbench.core.catalogue.catalogue import Catalogue
from workbench.store.resources import load_catalogue


@pytest.fixture(scope="session")
def tables() -> Catalogue:
    """The tables that come with the program: the scent model is judged with them."""
    return load_catalogue()
