"""Compiled views are made once per catalogue, and old ones are let go."""

from __future__ import annotations

from dataclasses import replace

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.kept import Kept
from workbench.testing import sample_catalogue


def test_a_view_is_made_once_for_the_very_same_catalogue() -> None:
    asked: list[Catalogue] = []

    def make(catalogue: Catalogue) -> int:
        asked.append(catalogue)
        return len(asked)

    kept = Kept(make, most=2)
    first = sample_catalogue()
    others = [replace(first), replace(first)]
    assert [kept(first), kept(first)] == [1, 1]
    assert kept(others[0]) == 2  # equal, but another object
    assert kept(first) == 1
    assert kept(others[1]) == 3
    assert kept(first) == 4  # the oldest was let go
    assert len(asked) == 4
