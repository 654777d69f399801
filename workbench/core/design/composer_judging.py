"""What an answer of the composer is worth: by the full model, and what holds it back."""

from __future__ import annotations

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.composer_problem import MUST_SHARE, Candidates, Problem
from workbench.core.design.composer_solve import Solution, solve
from workbench.core.design.wish import Answer, Binding, Holds, Leaning, Reached, Unmet, Wish
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import course
from workbench.core.scent.strength import strength
from workbench.core.scent.telling import moment_words, note_words
from workbench.core.scent.volatility import Array
from workbench.core.wording import Grams, Number, Said, say

RELAX = 1.25  # what "a quarter more room" is
TIGHT = 0.93  # of a row; whole drops seldom fill it to the brim
MET = 0.85  # of the strength asked for; less is said to be unmet
WORTH_SAYING = 0.02  # doublings of dose

_NOTES = (Note.TOP, Note.MIDDLE, Note.BASE)


def planned_strength(problem: Problem, aim: int, units: Array) -> float:
    """Strength 0..100 of an aim's note as the linear problem sees it."""
    dose, v = problem.doses[aim], problem.volatility
    if not len(dose.own):
        return 0.0
    grams = units * problem.candidates.unit_g
    with np.errstate(divide="ignore"):
        log_c = np.log10(dose.own @ grams) + dose.log_wanted
    places = dose.own_places
    steps = (log_c - v.odour_log_half[places]) / v.odour_width[places]
    each = v.odour_max[places] / (1.0 + np.exp(-np.clip(steps, -60.0, 60.0)))
    return float(each.max())


def reached_of(problem: Problem, units: Array, catalogue: Catalogue) -> tuple[Reached, ...]:
    """Each aim by the linear problem and by the full model of the course."""
    chosen = problem.candidates
    grams = dict(zip(chosen.oils, (units * chosen.unit_g).tolist(), strict=True))
    scent_g = sum(grams.values())
    share = (problem.batch_g - scent_g) / max(problem.base.mass_g, 1e-12)
    whole = Composition.of(
        [*((key, mass * share) for key, mass in problem.base.as_dict().items()), *grams.items()]
    )
    times = np.array([dose.aim.at_s for dose in problem.doses])
    run = course(whole, catalogue, times)
    full = strength(run, dict(zip(chosen.oils, chosen.notes, strict=True)))
    found = []
    for at, dose in enumerate(problem.doses):
        by_note = full.notes[:, at]
        own = _NOTES.index(dose.aim.note)
        others = float(np.delete(by_note, own).max())
        found.append(
            Reached(
                aim=dose.aim,
                planned=planned_strength(problem, at, units),
                found=float(by_note[own]),
                leads=float(by_note[own]) >= others and float(by_note[own]) > 0,
                loudest_other=others,
            )
        )
    return tuple(found)


def binding_of(problem: Problem, one: Solution) -> Binding | None:
    """What holds an answer back most: the tight row whose loosening by a quarter brings it nearest.

    The oils and their leaders stay; only amounts may change, so what is said
    is what more room gives this answer.
    """
    start = solve(problem, fixed=one)
    if start is None:
        return None
    best: Binding | None = None
    for row, (what, name) in enumerate(problem.tags):
        if what is None or not _is_tight(problem, row, one):
            continue
        loose = solve(problem, fixed=one, relaxed=row, by=RELAX)
        if loose is None:
            continue
        gain = start.cost - loose.cost
        if gain > max(WORTH_SAYING, best.gain if best else 0.0):
            best = Binding(
                what,
                name,
                _used(problem, row, one),
                _say_binding(problem, what, name, start.values, loose.values),
                gain,
            )
    return best


def _used(problem: Problem, row: int, one: Solution) -> float:
    what, name = problem.tags[row]
    if what is Holds.STOCK:
        at = problem.candidates.oils.index(name)
        return 100.0 * float(one.units[at]) / max(float(problem.candidates.most[at]), 1.0)
    held = float(problem.rows[row] @ one.values)
    return 100.0 * held / problem.high[row] if problem.high[row] > 0 else 100.0


def _is_tight(problem: Problem, row: int, one: Solution) -> bool:
    return _used(problem, row, one) >= 100.0 * TIGHT


def _say_binding(problem: Problem, what: Holds, name: str, before: Array, after: Array) -> Said:
    old = [planned_strength(problem, k, before[: problem.count]) for k in range(len(problem.doses))]
    new = [planned_strength(problem, k, after[: problem.count]) for k in range(len(problem.doses))]
    at = int(np.argmax([b - a for a, b in zip(old, new, strict=True)]))
    values: dict[str, object] = {
        "note": note_words(problem.doses[at].aim.note),
        "when": moment_words(problem.doses[at].aim.at_s),
        "old": Number(old[at], 0),
        "new": Number(new[at], 0),
    }
    material = problem.volatility.catalogue.materials.get(name)
    name = material.name if material is not None else name
    if what is Holds.LOAD:
        return say(
            "The load holds it back: with a quarter more scent {note} {when} would come to {new} instead of {old}.",
            **values,
        )
    if what is Holds.STOCK:
        return say(
            "There is no more {name}: with a quarter more of it {note} {when} would come to {new} instead of {old}.",
            name=name,
            **values,
        )
    if what is Holds.COUNT:
        return say("The number of oils holds it back.")
    return say(
        "The limit on skin for {name} holds it back: with a quarter more room {note} {when} would come to {new} instead of {old}. The limit stays as it is.",
        name=name,
        **values,
    )


# ---- what cannot be had -------------------------------------------------------------------------


def unknown_musts(wish: Wish, chosen: Candidates) -> list[Unmet]:
    """Oils that must be in and could not even be considered."""
    why = dict(chosen.left_out)
    return [
        Unmet(part=oil, says=why[oil])
        for oil, leaning in wish.leanings.items()
        if leaning is Leaning.MUST and oil in why
    ]


def why_dropped(problem: Problem, oil: str, catalogue: Catalogue) -> Unmet:
    """Why an oil that must be in cannot be: alone, or together with the others that must."""
    chosen = problem.candidates
    name = catalogue.material(oil).name
    at = chosen.oils.index(oil)
    cap_g = problem.batch_g * problem.wish.load_percent / 100.0
    least_g = max(float(chosen.least[at] * chosen.unit_g[at]), MUST_SHARE * cap_g)
    if chosen.stock_g[at] < least_g:
        return Unmet(
            oil,
            say(
                "{name} must be in, but the shelf holds only {left} of it.",
                name=name,
                left=Grams(float(chosen.stock_g[at]), 2),
            ),
        )
    alone = _over(problem, {at: least_g})
    if alone:
        return Unmet(
            oil,
            say(
                "{name} must be in, but even {least} of it, the least that would be noticed and can be measured, "
                "is over the limit on skin for {limit}.",
                name=name,
                least=Grams(least_g, 2),
                limit=alone,
            ),
        )
    musts = {
        j: max(float(chosen.least[j] * chosen.unit_g[j]), MUST_SHARE * cap_g)
        for j, other in enumerate(chosen.oils)
        if problem.wish.leanings.get(other) is Leaning.MUST
    }
    together = _over(problem, musts)
    others = ", ".join(catalogue.material(chosen.oils[j]).name for j in musts if j != at)
    if together:
        return Unmet(
            oil,
            say(
                "{name} must be in, but together with {others} it is over the limit on skin for {limit}.",
                name=name,
                others=others,
                limit=together,
            ),
        )
    return Unmet(
        oil,
        say(
            "{name} must be in, but with everything else that must be in there is no room left in the load "
            "or the number of oils.",
            name=name,
        ),
    )


def _over(problem: Problem, grams: dict[int, float]) -> str:
    """The first limit on skin that these grams break; "" for none."""
    for row, high, (what, name) in zip(problem.rows, problem.high, problem.tags, strict=True):
        if what is Holds.LIMIT:
            held = sum(row[at] * mass / problem.candidates.unit_g[at] for at, mass in grams.items())
            if held > high * (1 + 1e-9):
                return name
    return ""


def unmet_aims(problem: Problem, answer: Answer, catalogue: Catalogue) -> list[Unmet]:
    """Aims that the closest answer misses, each with why: not possible at all, or not with the others."""
    missed = []
    for at, reached in enumerate(answer.reached):
        if reached.found >= MET * reached.aim.strength and reached.leads:
            continue
        missed.append(_why_missed(problem, at, reached, catalogue))
    return missed


def _why_missed(problem: Problem, at: int, reached: Reached, catalogue: Catalogue) -> Unmet:
    aim = reached.aim
    words = {"note": note_words(aim.note), "when": moment_words(aim.at_s)}
    part = f"{aim.note.value} {aim.at_s:.0f}"
    if not len(problem.doses[at].own):
        return Unmet(
            part,
            say(
                "You asked for {note} {when}; of the oils to choose from none of that note can still be smelled then at this load.",
                **words,
            ),
            aim,
            0.0,
        )
    alone = _alone(problem, at, catalogue)
    if alone.found < MET * aim.strength:
        return Unmet(
            part,
            say(
                "You asked for {note} {when}; {best} of {asked} is the most these oils give within the limits, even if nothing else is asked.",
                best=Number(alone.found, 0),
                asked=Number(aim.strength, 0),
                **words,
            ),
            aim,
            alone.found,
        )
    if reached.found >= MET * aim.strength and alone.leads:
        return Unmet(
            part,
            say(
                "You asked for {note} {when}; it is strong enough, but with the rest of the wish another note is stronger.",
                **words,
            ),
            aim,
            alone.found,
        )
    if not alone.leads:
        return Unmet(
            part,
            say(
                "You asked for {note} {when}; it can be that strong, but another note stays stronger.",
                **words,
            ),
            aim,
            alone.found,
        )
    return Unmet(
        part,
        say(
            "You asked for {note} {when}; it could be had alone, but not together with the rest of the wish: {found} of {asked} remain.",
            found=Number(reached.found, 0),
            asked=Number(aim.strength, 0),
            **words,
        ),
        aim,
        alone.found,
    )


def _alone(problem: Problem, at: int, catalogue: Catalogue) -> Reached:
    """One aim with nothing else asked, hard parts of the wish included."""
    cost = np.zeros_like(problem.cost)
    cost[problem.short(at)] = 1.0
    cost[problem.others(at)] = 0.25
    found = solve(problem, cost=cost)
    if found is None:
        return Reached(problem.doses[at].aim, 0.0, 0.0, False)
    return reached_of(problem, found.units.astype(np.float64), catalogue)[at]
