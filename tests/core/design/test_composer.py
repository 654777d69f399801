"""The composer: within every limit, proven against brute force and another solver, honest where it fails."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product

import numpy as np
import pytest

from tests.benchmarks.compose import cost_of, evolve, problem_for
from tests.core.design.scents import TWENTY_FIVE, balm, wish, with_lots
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.catalogue.shelf import Lot
from workbench.core.design.composer import compose, with_answer
from workbench.core.design.composer_solve import GAP, OFFSET, solve
from workbench.core.design.wish import Composed, Holds, Leaning, Wish
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Measure, Recipe
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, JUST_ON_S
from workbench.core.scent.telling import moment_words
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import SkinVerdict, Verdict
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue


@pytest.fixture(scope="module")
def tables() -> Catalogue:
    return load_catalogue()


def judged(recipe: Recipe, composed: Composed, at: int, tables: Catalogue) -> SkinVerdict:
    changed = with_answer(recipe, composed.answers[at], composed, tables)
    return assess(work_out(changed, tables).composition, tables, changed.uses, changed.place)


def oils_of(composed: Composed) -> list[set[str]]:
    return [{oil for oil, _ in answer.counts} for answer in composed.answers]


@pytest.mark.parametrize("in_drops", [True, False])
def test_three_different_answers_within_every_limit(in_drops: bool, tables: Catalogue) -> None:
    recipe = balm()
    composed = compose(wish(in_drops=in_drops), recipe, tables)
    assert len(composed.answers) == 3
    found = oils_of(composed)
    assert found[0] != found[1] != found[2] != found[0]
    for at, answer in enumerate(composed.answers):
        assert answer.proven
        assert judged(recipe, composed, at, tables).verdict is Verdict.WITHIN
        assert answer.total_g <= 0.06 * 60.0 + 1e-9
        assert 3 <= len(answer.counts) <= 6
        assert all(units == int(units) and units > 0 for _oil, units in answer.counts)
    assert composed.answers[0].distance <= composed.answers[1].distance + GAP * (OFFSET + 10)


def test_the_closest_answer_meets_a_wish_that_can_be_met(tables: Catalogue) -> None:
    composed = compose(wish(((JUST_ON_S, Note.TOP, 25.0),)), balm(), tables)
    reached = composed.answers[0].reached[0]
    assert reached.leads
    assert reached.found == pytest.approx(25.0, abs=1.0)
    assert composed.unmet == ()


def test_linear_plan_and_full_model_agree_and_the_gap_is_shown(tables: Catalogue) -> None:
    for answer in compose(wish(), balm(), tables).answers:
        for reached in answer.reached:
            assert reached.gap == pytest.approx(reached.found - reached.planned)
            assert abs(reached.gap) < 1.0


@pytest.mark.parametrize(
    ("uses", "place"),
    [((Use.PERFUME,), Place.EU), ((Use.LIPS, Use.FACE), Place.UK), ((Use.HANDS,), Place.US)],
)
def test_limits_of_use_and_place_are_kept_at_high_loads(
    uses: tuple[Use, ...], place: Place, tables: Catalogue
) -> None:
    recipe = balm().model_copy(update={"uses": uses, "place": place})
    composed = compose(wish(load_percent=15.0, in_drops=False), recipe, tables)
    for at in range(len(composed.answers)):
        assert judged(recipe, composed, at, tables).verdict is Verdict.WITHIN


def test_the_phototoxic_sum_is_kept(tables: Catalogue) -> None:
    """Sum of 100 x share / limit at most 100: the rule of the industry standard for several phototoxic oils."""
    recipe = balm()
    musts = {"bergamot": Leaning.MUST, "lemon": Leaning.MORE, "grapefruit": Leaning.MORE}
    composed = compose(
        wish(
            ((JUST_ON_S, Note.TOP, 45.0),), musts, oils=("bergamot", "lemon", "grapefruit"), load_percent=10.0
        ),
        recipe,
        tables,
    )
    verdict = judged(recipe, composed, 0, tables)
    assert verdict.phototoxic_sum_percent is not None
    assert 0 < verdict.phototoxic_sum_percent <= 100.0


def test_leanings_are_kept(tables: Catalogue) -> None:
    plain = compose(wish(), balm(), tables)
    used = plain.answers[0].grams[0][0]
    composed = compose(wish(leanings={"lavender": Leaning.MUST, used: Leaning.NOT}), balm(), tables)
    for oils in oils_of(composed):
        assert "lavender" in oils
        assert used not in oils
    more = compose(wish(leanings={"clary_sage": Leaning.MORE}), balm(), tables).answers[0]
    less = compose(wish(leanings={"clary_sage": Leaning.LESS}), balm(), tables).answers[0]
    assert dict(more.grams).get("clary_sage", 0.0) >= dict(less.grams).get("clary_sage", 0.0)


def test_stock_is_never_passed_and_only_the_shelf_is_used(tables: Catalogue) -> None:
    shelf = with_lots(tables, {"lemon": 0.2, "lavender": None, "vetiver": 5.0, "geranium": 0.4})
    composed = compose(wish(oils=()), balm(), shelf)
    for answer in composed.answers:
        grams = dict(answer.grams)
        assert set(grams) <= {"lemon", "lavender", "vetiver", "geranium"}
        assert grams.get("lemon", 0.0) <= 0.2 + 1e-9
        assert grams.get("geranium", 0.0) <= 0.4 + 1e-9


def test_scale_steps_and_smallest_amounts(tables: Catalogue) -> None:
    composed = compose(wish(in_drops=False, step_g=0.05, smallest_g=0.5), balm(), tables)
    for answer in composed.answers:
        for oil, grams in answer.grams:
            assert grams >= 0.5 - 1e-9, oil
            assert grams / 0.05 == pytest.approx(round(grams / 0.05), abs=1e-6)


def test_a_wish_that_cannot_be_met_says_which_part(tables: Catalogue) -> None:
    composed = compose(wish(((JUST_ON_S, Note.TOP, 20.0), (FOUR_HOURS_S, Note.TOP, 40.0))), balm(), tables)
    assert len(composed.answers) >= 1
    assert [one.aim.at_s for one in composed.unmet if one.aim] == [FOUR_HOURS_S]
    assert "after four hours" in composed.unmet[0].says
    assert composed.unmet[0].best_alone is not None
    assert composed.unmet[0].best_alone < 20


def test_aims_that_exclude_each_other_are_named(tables: Catalogue) -> None:
    both = ((JUST_ON_S, Note.TOP, 30.0), (JUST_ON_S, Note.BASE, 30.0))
    composed = compose(wish(both, load_percent=10.0), balm(), tables)
    assert composed.unmet
    assert any(
        "the rest of the wish" in one.says or "another note" in one.says or "most these" in one.says
        for one in composed.unmet
    )


def test_musts_that_cannot_be_are_dropped_and_said(tables: Catalogue) -> None:
    musts = {"cinnamon_bark": Leaning.MUST, "lavender": Leaning.MUST}
    composed = compose(wish(leanings=musts, load_percent=20.0), balm(), tables)
    assert "Cinnamon bark must be in" in composed.unmet[0].says
    assert "limit on skin" in composed.unmet[0].says
    for oils in oils_of(composed):
        assert "lavender" in oils
        assert "cinnamon_bark" not in oils


def test_musts_that_cannot_be_together_are_said(tables: Catalogue) -> None:
    """Clove bud and clove leaf both bring eugenol; each fits, not both at a share that is noticed."""
    musts = {"clove_bud": Leaning.MUST, "clove_leaf": Leaning.MUST, "cinnamon_leaf": Leaning.MUST}
    composed = compose(wish(leanings=musts, load_percent=20.0), balm(200.0), tables)
    said = [one.says for one in composed.unmet if one.aim is None]
    if not said:
        pytest.fail(f"all three are in: {composed.answers[0].counts}")
    assert "together with" in said[0] or "even" in said[0]


def test_a_must_that_is_out_of_stock(tables: Catalogue) -> None:
    shelf = with_lots(tables, {"vetiver": 0.01, "lavender": None, "lemon": None, "geranium": None})
    composed = compose(wish(leanings={"vetiver": Leaning.MUST}, oils=()), balm(), shelf)
    assert "the shelf holds only" in composed.unmet[0].says


def dated(catalogue: Catalogue, *lots: Lot) -> Catalogue:
    return replace(catalogue, shelf=catalogue.shelf.model_copy(update={"lots": lots}))


TODAY = date(2026, 8, 15)
YESTERDAY = date(2026, 8, 14)


def test_what_is_past_its_date_is_no_stock_and_that_is_said(tables: Catalogue) -> None:
    """The date on a bottle is its last good day (common practice; "best before" names a day that still counts)."""
    shelf = dated(
        tables,
        Lot(key="v1", material="vetiver", left_g=5.0),
        Lot(key="g1", material="geranium", left_g=5.0, best_before=TODAY),
        Lot(key="l1", material="lemon", left_g=0.2),
        Lot(key="l2", material="lemon", left_g=50.0, best_before=YESTERDAY),
        Lot(key="o1", material="sweet_orange", left_g=50.0, best_before=YESTERDAY),
        Lot(key="p1", material="patchouli", left_g=50.0, best_before=YESTERDAY),
        Lot(key="v2", material="lavender"),
        Lot(key="v3", material="lavender", left_g=3.0, best_before=YESTERDAY),
    )
    asked = wish(oils=(), leanings={"patchouli": Leaning.NOT})
    composed = compose(asked, balm(), shelf, TODAY)
    for answer in composed.answers:
        grams = dict(answer.grams)
        assert set(grams) <= {"lemon", "lavender", "vetiver", "geranium"}
        assert grams.get("lemon", 0.0) <= 0.2 + 1e-9
    assert set(dict(composed.left_out)) == {"sweet_orange"}
    says = "\n".join(composed.dated)
    assert says.count("2026-08-14") == 3
    assert f"Of {tables.material('lemon').name} only 0.20 g are counted" in says
    assert f"Of {tables.material('lavender').name} only what is within its date is counted" in says
    assert f"on the shelf of {tables.material('sweet_orange').name} is past" in says
    assert tables.material("patchouli").name not in says  # nobody wanted it
    undated = compose(asked, balm(), shelf)
    assert undated.dated == ()


def test_a_must_that_is_past_its_date_says_so(tables: Catalogue) -> None:
    shelf = dated(
        tables,
        Lot(key="v1", material="vetiver", left_g=5.0, best_before=YESTERDAY),
        *(Lot(key=key, material=key) for key in ("lavender", "lemon", "geranium")),
    )
    composed = compose(wish(leanings={"vetiver": Leaning.MUST}, oils=()), balm(), shelf, TODAY)
    assert "past its best-before date" in composed.unmet[0].says


def test_a_shelf_that_is_past_its_date_altogether_says_that(tables: Catalogue) -> None:
    shelf = dated(tables, Lot(key="v1", material="vetiver", left_g=5.0, best_before=YESTERDAY))
    with pytest.raises(Trouble, match="past its best-before date"):
        compose(wish(oils=()), balm(), shelf, TODAY)


def test_a_must_of_unknown_make_and_other_oils_left_out_say_why(tables: Catalogue) -> None:
    composed = compose(
        wish(leanings={"labdanum": Leaning.MUST}, oils=(*TWENTY_FIVE, "treemoss"), in_drops=False),
        balm(),
        tables,
    )
    assert "labdanum" in [one.part for one in composed.unmet]
    assert set(dict(composed.left_out)) >= {"labdanum", "treemoss"}
    in_drops = compose(wish(), balm(), tables)
    assert "too thick" in dict(in_drops.left_out)["benzoin"]


def test_nothing_to_choose_from_is_trouble(tables: Catalogue) -> None:
    with pytest.raises(Trouble, match="no oil to choose from"):
        compose(wish(oils=("labdanum",)), balm(), tables)


def test_what_holds_an_answer_back_and_what_more_room_gives(tables: Catalogue) -> None:
    composed = compose(wish(((JUST_ON_S, Note.TOP, 45.0),), load_percent=2.0), balm(), tables)
    binding = composed.answers[0].binding
    assert binding is not None
    assert binding.what is Holds.LOAD
    assert binding.used_percent > 90
    assert "a quarter more" in binding.says
    # more room does give more
    richer = compose(wish(((JUST_ON_S, Note.TOP, 45.0),), load_percent=2.5), balm(), tables)
    assert richer.answers[0].reached[0].found > composed.answers[0].reached[0].found


def test_a_skin_limit_can_hold_it_back(tables: Catalogue) -> None:
    only = wish(((JUST_ON_S, Note.TOP, 25.0),), oils=("bergamot", "vetiver", "patchouli"), load_percent=10.0)
    bindings = [answer.binding for answer in compose(only, balm(), tables).answers]
    assert any(one is not None and one.what is Holds.LIMIT for one in bindings)


def test_stock_can_hold_it_back(tables: Catalogue) -> None:
    shelf = with_lots(tables, {"lemon": 0.3, "sweet_orange": 0.3, "vetiver": None})
    composed = compose(wish(((JUST_ON_S, Note.TOP, 30.0),), oils=()), balm(), shelf)
    assert composed.answers[0].binding is not None
    assert composed.answers[0].binding.what is Holds.STOCK


def test_taking_an_answer_is_one_new_recipe(tables: Catalogue) -> None:
    recipe = balm()
    composed = compose(wish(), recipe, tables)
    taken = with_answer(recipe, composed.answers[0], composed, tables)
    assert taken.load_from_scent
    assert {line.material: line.amount.value for line in taken.scent} == dict(composed.answers[0].counts)
    assert {line.amount.measure for line in taken.scent} == {Measure.DROPS}
    order = [(Note.TOP, Note.MIDDLE, Note.BASE).index(line.note) for line in taken.scent]
    assert order == sorted(order)
    weighed = work_out(taken, tables)
    assert weighed.scent_g == pytest.approx(composed.answers[0].total_g, rel=1e-6)
    # notes that the maker chose stay
    overruled = taken.model_copy(
        update={"scent": tuple(line.model_copy(update={"note": Note.BASE}) for line in taken.scent)}
    )
    again = with_answer(overruled, composed.answers[0], composed, tables)
    assert {line.note for line in again.scent} == {Note.BASE}
    grams = compose(wish(in_drops=False), recipe, tables)
    assert {line.amount.measure for line in with_answer(recipe, grams.answers[0], grams, tables).scent} == {
        Measure.GRAMS
    }


def test_the_optimum_is_that_of_brute_force(tables: Catalogue) -> None:
    """Every combination of whole drops of three oils in a small batch, counted out."""
    small = wish(
        ((JUST_ON_S, Note.TOP, 25.0), (HOUR_S, Note.MIDDLE, 12.0)), oils=("lemon", "lavender", "geranium")
    )
    small = Wish.model_validate({**small.model_dump(), "load_percent": 4.0, "least_oils": 1})
    problem = problem_for(small, balm(15.0), tables)
    best = min(
        cost_of(problem, np.array(units, dtype=np.float64))
        for units in product(*(range(int(most) + 1) for most in problem.candidates.most))
    )
    found = solve(problem)
    assert found is not None
    assert found.cost == pytest.approx(cost_of(problem, found.units.astype(np.float64)), abs=1e-6)
    assert found.cost <= best + GAP * (OFFSET + best) + 1e-9


def test_another_solver_finds_nothing_better(tables: Catalogue) -> None:
    """scipy's differential evolution on the same objective, a short run with a fixed seed."""
    problem = problem_for(wish(), balm(), tables)
    ours = solve(problem)
    assert ours is not None
    theirs, _ = evolve(problem, generations=25, seed=5)
    assert ours.cost <= theirs + GAP * (OFFSET + abs(theirs))


def test_moments_have_words() -> None:
    assert [str(moment_words(at)) for at in (60.0, 3600.0, 14400.0, 7200.0)] == [
        "just on",
        "after one hour",
        "after four hours",
        "after 2.0 h",
    ]


def test_a_wish_with_numbers_that_contradict_is_refused() -> None:
    with pytest.raises(ValueError, match="least number of oils"):
        wish(least_oils=5, most_oils=3)
