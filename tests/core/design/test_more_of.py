"""A little more of one oil, before it is poured: as planned, as weighed, over a limit."""

from __future__ import annotations

import numpy as np
import pytest

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.design.headroom import headroom
from workbench.core.design.more_of import MoreOf, a_little, more_of
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import HOUR_S
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

JUG = Composition.of({"sunflower": 95.0, "bergamot": 0.2, "geranium": 3.0, "sandalwood": 2.0})


@pytest.fixture(scope="module")
def tables() -> Catalogue:
    return load_catalogue()


def ask(tables: Catalogue, oil: str, grams: float | None = None, jug: Composition = JUG) -> MoreOf:
    return more_of(oil, jug, tables, (Use.PERFUME,), Place.EU, grams=grams)


def test_a_little_is_a_tenth_and_at_least_a_drop(tables: Catalogue) -> None:
    """Drops: 27 per mL of an ordinary dropper on average (Tisserand Institute, drop size)."""
    assert a_little("geranium", JUG, tables) == pytest.approx(0.3)
    assert a_little("bergamot", JUG, tables) == pytest.approx(0.878 / 27, rel=1e-3)
    assert a_little("lemon", JUG, tables) == pytest.approx(0.852 / 27, rel=1e-3)


def test_more_is_stronger_and_nothing_else_becomes_stronger(tables: Catalogue) -> None:
    found = ask(tables, "geranium", 2.0)
    rows = {(one.at_s, one.note): one for one in found.moved}
    assert rows[(HOUR_S, Note.MIDDLE)].after > rows[(HOUR_S, Note.MIDDLE)].before
    assert rows[(HOUR_S, Note.BASE)].after <= rows[(HOUR_S, Note.BASE)].before
    assert found.after.masses_g.sum() == pytest.approx(found.before.masses_g.sum() + 2.0)
    assert "more of Geranium" in found.says[0]


def test_shares_left_hardly_move_because_the_film_sets_them(tables: Catalogue) -> None:
    """Henry's law: in a dilute film what is left is a share, whatever the amount."""
    found = ask(tables, "geranium", 1.0)
    assert np.allclose(found.before.left, found.after.left, atol=1e-12)


def test_beyond_headroom_is_over_and_within_is_not(tables: Catalogue) -> None:
    room = headroom(JUG, tables, (Use.PERFUME,), Place.EU, "bergamot")
    assert room.grams is not None
    inside, outside = ask(tables, "bergamot", room.grams * 0.99), ask(tables, "bergamot", room.grams * 1.05)
    assert not inside.newly_over
    assert outside.newly_over
    assert "over the limit on skin" in outside.says[1]
    assert outside.headroom == room


def test_less_of_it_is_possible_but_not_more_than_there_is(tables: Catalogue) -> None:
    assert ask(tables, "geranium", -1.0).after.masses_g.sum() < JUG.mass_g
    with pytest.raises(Trouble, match="not so much"):
        ask(tables, "geranium", -4.0)


def test_what_is_not_in_there_yet_can_be_tried(tables: Catalogue) -> None:
    found = ask(tables, "vetiver")
    assert "vetiver" in found.after.oils
    assert "vetiver" not in found.before.oils


def test_an_oil_of_unknown_make_is_said(tables: Catalogue) -> None:
    found = ask(tables, "labdanum")
    assert "Nothing is known" in found.says[0]
    assert "cannot be judged" in found.says[1]


def test_a_jug_without_scent_and_an_empty_one(tables: Catalogue) -> None:
    plain = Composition.of({"sunflower": 50.0})
    assert ask(tables, "lemon", jug=plain).moved[0].before == 0.0
    assert ask(tables, "vetiver", 0.001, jug=plain).says[0].startswith("0.00 g more of Vetiver")
    with pytest.raises(Trouble, match="nothing in the jug"):
        ask(tables, "lemon", jug=Composition(()))


def test_the_jug_of_a_running_batch_is_asked_in_the_same_way(tables: Catalogue) -> None:
    """As weighed, with a slip: three times the bergamot that was planned."""
    weighed = Composition.of({"sunflower": 94.2, "bergamot": 0.6, "geranium": 3.1, "sandalwood": 2.0})
    planned, made = ask(tables, "geranium", 1.0), ask(tables, "geranium", 1.0, weighed)
    assert made.before.masses_g.tolist() == [0.6, 3.1, 2.0]
    assert planned.skin_before.verdict is not made.skin_before.verdict
    assert not made.newly_over  # it was over before; geranium is not to blame
