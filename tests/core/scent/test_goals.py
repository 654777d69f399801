"""The goals of the scent model hold; `python -m tests.goals.scent` prints them with what stands beside."""

from __future__ import annotations

import pytest

from tests.goals import scent
from workbench.core.catalogue.catalogue import Catalogue


def test_oils_against_the_lists_and_above_the_trivial_score(tables: Catalogue) -> None:
    found = scent.oil_scores(tables, scent.mean_list(tables))
    assert found.oils >= 32  # frankincense included
    assert "frankincense" in scent.mean_list(tables)
    assert found.model >= 0.70
    assert found.model - found.largest >= 0.06
    assert found.pairs_right / found.pairs >= 0.88


def test_poucher_without_what_reacts_on_paper(tables: Catalogue) -> None:
    stable, stable_n, full, full_n = scent.poucher(tables)
    assert (stable_n, full_n) == (15, 18)
    assert stable >= 0.80
    assert full < stable  # printed beside it, never hidden


def test_jellineks_headspace(tables: Catalogue) -> None:
    assert scent.jellinek(tables) == pytest.approx(0.75, abs=0.10)


def test_mass_balance_and_closed_form(tables: Catalogue) -> None:
    assert scent.mass_balance(tables) <= 1e-9
    assert scent.against_ode(tables) <= 1e-6


def test_a_course_follows_a_slider(tables: Catalogue) -> None:
    best, _median = scent.course_ms(tables)
    assert best < 5.0


def test_the_table_says_which_goals_are_missed(tables: Catalogue, capsys: pytest.CaptureFixture[str]) -> None:
    assert scent.main() == 0
    assert "Poucher" in capsys.readouterr().out
