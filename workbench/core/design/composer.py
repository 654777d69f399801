"""From a wish to three different blends that come close to it, within every limit.

The problem is linear once the base is chosen (see `composer_problem`) and is
solved as a mixed-integer programme to proven optimum.  Each answer is then
judged by the full model of the course, and both figures are shown.  We reckon
volatility, strength and limits; whether it is beautiful the nose decides.
"""

from __future__ import annotations

from datetime import date

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.composer_judging import (
    binding_of,
    reached_of,
    unknown_musts,
    unmet_aims,
    why_dropped,
)
from workbench.core.design.composer_problem import Problem, build, candidates
from workbench.core.design.composer_solve import Solution, solve
from workbench.core.design.wish import Answer, Composed, Leaning, Wish
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.change import change
from workbench.core.recipe.model import Amount, Measure, Recipe, ScentLine
from workbench.core.trouble import Trouble
from workbench.core.wording import say

ANSWERS = 3
DROPPED_COST = 50.0  # of a must that has to be dropped, beyond all doublings


def compose(wish: Wish, recipe: Recipe, catalogue: Catalogue, today: date | None = None) -> Composed:
    """Blends for the base, batch, uses and place of `recipe`; its own scent lines are replaced.

    By `today` bottles past their date are not counted as stock; None asks for
    no dates.  Raises `Trouble` where the base cannot be worked out or no oil can be
    considered.  A wish that cannot be met still gets the nearest answers, and
    `unmet` says which part conflicts with what.
    """
    bare = change(recipe, scent=(), load_percent=0.0, load_from_scent=False)
    weighed = work_out(bare, catalogue)
    base, batch_g = weighed.base_composition, weighed.batch_g
    chosen = candidates(wish, recipe, catalogue, batch_g, today)
    if not chosen.oils and chosen.dated:
        raise Trouble(say("There is no oil to choose from that may be used. {why}", why=chosen.dated[0]))
    if not chosen.oils:
        raise Trouble(
            say("There is no oil to choose from whose make is known. Add oils to the shelf or allow more.")
        )
    problem = build(wish, recipe, catalogue, base, batch_g, chosen)
    unmet = unknown_musts(wish, chosen)
    first = solve(problem)
    if first is None:
        first, dropped = _without_impossible_musts(problem, wish)
        unmet += [why_dropped(problem, oil, catalogue) for oil in dropped]
    if first is None:
        raise Trouble(
            say(
                "No blend of these oils keeps every limit at these amounts. Make the batch larger or allow more oils."
            )
        )
    # the others may turn out nearer within the gap that is proven, so the order is by what was found
    solutions = sorted([first, *_others(problem, first)], key=lambda one: one.cost)
    answers = tuple(_answer(problem, one, at, solutions[0], catalogue) for at, one in enumerate(solutions))
    unmet += unmet_aims(problem, answers[0], catalogue)
    return Composed(answers, tuple(unmet), chosen.left_out, wish.in_drops, wish.step_g, chosen.dated)


def with_answer(recipe: Recipe, answer: Answer, composed: Composed, catalogue: Catalogue) -> Recipe:
    """The recipe with the blend of an answer as its scent; notes the maker chose are kept."""
    kept = {line.material: line for line in recipe.scent}
    lines = []
    for oil, units in answer.counts:
        amount = (
            Amount(value=units, measure=Measure.DROPS)
            if composed.in_drops
            else Amount(value=round(units * composed.step_g, 6), measure=Measure.GRAMS)
        )
        line = kept.get(oil)
        if line is not None:
            lines.append(line.model_copy(update={"amount": amount}))
        else:
            note = catalogue.material(oil).note or Note.MIDDLE
            lines.append(ScentLine(material=oil, amount=amount, note=note))
    order = {Note.TOP: 0, Note.MIDDLE: 1, Note.BASE: 2}
    lines.sort(key=lambda line: order[line.note])
    return change(recipe, scent=tuple(lines), load_from_scent=True)


# ---- answers ---------------------------------------------------------------------------------


def _others(problem: Problem, first: Solution) -> list[Solution]:
    """Two more answers: without the leading half of the first one's free oils, and without what leads in both.

    Leaving oils out makes the problem smaller, so the other answers are found as fast.
    """
    oils = problem.candidates.oils
    musts = {at for at, oil in enumerate(oils) if problem.wish.leanings.get(oil) is Leaning.MUST}

    def free(one: Solution) -> list[int]:
        order = np.argsort(-one.units * problem.candidates.unit_g, kind="stable")
        return [int(at) for at in order if one.units[at] > 0 and int(at) not in musts]

    tried: list[frozenset[int]] = []
    of_first = free(first)
    if of_first:
        tried.append(frozenset(of_first[: (len(of_first) + 1) // 2]))
    found = _first_that_works(problem, tried)
    if found is None:
        return []
    of_second = free(found)
    last = _first_that_works(
        problem,
        [frozenset({*of_first[:1], *of_second[:1]}), frozenset({*of_first[1:2], *of_second[:1]})]
        if of_second
        else [],
    )
    return [found] if last is None else [found, last]


def _first_that_works(problem: Problem, without: list[frozenset[int]]) -> Solution | None:
    for oils in without:
        found = solve(problem, without=oils)
        if found is not None:
            return found
    return None


def _answer(problem: Problem, one: Solution, at: int, first: Solution, catalogue: Catalogue) -> Answer:
    chosen = problem.candidates
    order = [int(j) for j in np.argsort(-one.units * chosen.unit_g) if one.units[j] > 0]
    grams = tuple((chosen.oils[j], float(one.units[j] * chosen.unit_g[j])) for j in order)
    said = say("Closest to the wish.")
    if at:
        gone = [
            catalogue.material(chosen.oils[j]).name
            for j in np.argsort(-first.units * chosen.unit_g)
            if first.units[j] > 0 and one.units[j] == 0
        ]
        said = (
            say("Another way, without {oils}.", oils=", ".join(gone[:2]))
            if gone
            else say("Another way, with more oils.")
        )
    return Answer(
        counts=tuple((chosen.oils[j], int(one.units[j])) for j in order),
        grams=grams,
        reached=reached_of(problem, one.units.astype(np.float64), catalogue),
        distance=one.cost,
        proven=one.proven,
        binding=binding_of(problem, one),
        says=said,
    )


def _without_impossible_musts(problem: Problem, wish: Wish) -> tuple[Solution | None, list[str]]:
    """The nearest answer when not every oil that must be in can be: as few as possible are dropped.

    The bounds of `problem` are loosened for good, so that further answers drop the same ones.
    """
    oils = problem.candidates.oils
    musts = [at for at, oil in enumerate(oils) if wish.leanings.get(oil) is Leaning.MUST]
    cost = problem.cost.copy()
    for at in musts:
        problem.lower[problem.y(at)] = 0.0
        cost[problem.y(at)] -= DROPPED_COST
    found = solve(problem, cost=cost)
    if found is None:  # even without them there are too few oils: take as many as there are
        for at, row in enumerate(problem.rows):
            if problem.low[at] == float(min(wish.least_oils, len(oils))) and np.all(
                row[problem.count : 2 * problem.count] == 1.0
            ):
                problem.low[at] = 0.0
        found = solve(problem, cost=cost)
    if found is None:
        return None, []
    for at in musts:
        kept = float(found.values[problem.y(at)] > 0.5)
        problem.lower[problem.y(at)] = problem.upper[problem.y(at)] = kept
    dropped = [oils[at] for at in musts if problem.upper[problem.y(at)] == 0.0]
    return solve(problem), dropped
