"""What in a batch is worth telling a doctor after a reaction of the skin.  No diagnosis.

Limits and names come from `core.skin`; of a certificate or a table that says
nothing, that is said.
"""

from __future__ import annotations

from collections.abc import Mapping

from workbench.core.catalogue.model import MaterialKind
from workbench.core.review.case import SCENT, Case, Evidence, Finding, rising
from workbench.core.skin.assess import assess
from workbench.core.skin.label import allergens_to_declare
from workbench.core.skin.verdict import SkinVerdict, Verdict
from workbench.core.wording import Number, Share, say

_NAMED = 6  # names in one sentence


def over_a_limit(case: Case) -> Finding:
    """As made, against the limits of the uses that the recipe names."""
    verdict = _verdict(case)
    if verdict is None:
        return Finding()
    if verdict.over:
        worst = max(verdict.over, key=lambda each: each.used_percent or 0.0)
        return Finding(
            1.0,
            say(
                "{name} is at {share} as made; at most {limit} is allowed for this use.",
                name=worst.name,
                share=Share(worst.concentration_percent or 0.0, 3),
                limit=Share(worst.limit_percent or 0.0, 3),
            ),
        )
    if verdict.verdict is Verdict.UNKNOWN:
        return Finding(
            None, say("Nothing that can be judged is over a limit, but not all of it can be judged.")
        )
    tightest = verdict.tightest
    if tightest is None or tightest.used_percent is None:
        return Finding(0.0, say("No limit that is known is touched."))
    return Finding(
        rising(tightest.used_percent, 50.0, 100.0) * 0.5,
        say(
            "It is within every limit that is known; the tightest, {name}, is used up to {used}.",
            name=tightest.name,
            used=Share(tightest.used_percent, 0),
        ),
    )


def known_allergens(case: Case) -> Finding:
    """Names that the law wants on a label because some people react to them."""
    plan, started = case.state.plan, case.state.started_wall
    if plan is None or started is None or case.made.mass_g <= 0:
        return Finding()
    found = allergens_to_declare(case.made, case.tables, plan.recipe.place, started.date())
    if not found:
        return Finding(0.0, say("Nothing in it has to be named as an allergen, as far as is known."))
    return Finding(
        0.7,
        say(
            "Substances in it that must be named as allergens: {count}. Most of: {names}.",
            count=Number(len(found), 0),
            names=", ".join(each.label_name for each in found[:_NAMED]),
        ),
    )


def unknown_contents(case: Case) -> Finding:
    """Materials nobody can judge, because what they are made of is not known."""
    verdict = _verdict(case)
    if verdict is None:
        return Finding()
    if not verdict.unknown:
        return Finding(0.0, say("What every oil in it is made of is known."))
    return Finding(
        0.7,
        say(
            "What these are made of is not known: {names}.",
            names=", ".join(case.rows[each.material].name for each in verdict.unknown),
        ),
    )


def old_oil(case: Case) -> Finding:
    """Age of the lots used: citrus and conifer oils oxidise, and what then forms makes skin react."""
    started = case.state.started_wall
    lots = {lot.key: lot for lot in case.catalogue.shelf.lots}
    used = [
        lots[entry.lot]
        for entry in case.state.entries
        if entry.lot in lots and case.rows[lots[entry.lot].material].kind in (*SCENT, MaterialKind.CARRIER)
    ]
    dated = [lot for lot in used if lot.opened is not None or lot.best_before is not None]
    if started is None or not dated:
        return Finding()
    day = started.date()
    stale = [lot for lot in dated if lot.best_before is not None and lot.best_before < day]
    if stale:
        worst = min(stale, key=lambda lot: lot.best_before or day)
        return Finding(
            0.9,
            say(
                "{name} was used after its date, {day}.",
                name=case.rows[worst.material].name,
                day=f"{worst.best_before:%Y-%m-%d}",
            ),
        )
    opened = [(lot.opened, lot) for lot in dated if lot.opened is not None]
    if not opened:
        return Finding(0.0, say("Every lot with a date was within it."))
    oldest, lot = min(opened, key=lambda pair: pair[0])
    days = max(0, (day - oldest).days)
    return Finding(
        rising(days, 180.0, 720.0),
        say(
            "The oldest bottle, {name}, was opened on {day}.",
            name=case.rows[lot.material].name,
            day=f"{oldest:%Y-%m-%d}",
        ),
    )


def _verdict(case: Case) -> SkinVerdict | None:
    plan = case.state.plan
    if plan is None or case.made.mass_g <= 0:
        return None
    return assess(case.made, case.tables, plan.recipe.uses, plan.recipe.place)


FOUND: Mapping[str, Evidence] = {
    function.__name__: function for function in (over_a_limit, known_allergens, unknown_contents, old_oil)
}
