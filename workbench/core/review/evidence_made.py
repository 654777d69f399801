"""Evidence from what went in: wax, butter, fragrance, as weighed and beside the plan.

The bounds between which a score rises are judged (common practice, no source)
unless a comment names one.
"""

from __future__ import annotations

from collections.abc import Mapping

from workbench.core.batch.made import composition_made
from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.heat.blend import FIRMNESS_FROM, Blend, Firmness, beeswax_equivalent_percent
from workbench.core.review.case import SCENT, Case, Evidence, Finding, rising
from workbench.core.wording import Duration, Grams, Share, say

FIRMNESS = "firmness"  # the need of the cold spoon's step
_FROM = {firmness: share for share, firmness in FIRMNESS_FROM}
DAY_S = 86_400.0


def wax_low(case: Case) -> Finding:
    """By the beeswax-equivalent scale of `heat.blend`: below a balm towards very soft."""
    return _wax(case, _FROM[Firmness.BALM], _FROM[Firmness.SOFT])


def wax_high(case: Case) -> Finding:
    return _wax(case, _FROM[Firmness.FIRM], _FROM[Firmness.HARD])


def _wax(case: Case, none_at: float, all_at: float) -> Finding:
    if case.made.mass_g <= 0:
        return Finding()
    blend = Blend.of(case.made, case.tables)
    worth = beeswax_equivalent_percent(blend.parts)
    return Finding(
        rising(worth, none_at, all_at),
        say(
            "As made it holds {wax} of wax; wax and butter together stiffen it like {worth} of beeswax: {firmness}.",
            wax=Share(case.share(case.made, MaterialKind.WAX)),
            worth=Share(worth),
            firmness=say(blend.firmness.value),
        ),
    )


def less_wax_than_planned(case: Case) -> Finding:
    return _off_plan(case, (MaterialKind.WAX,), -1.0, -8.0)


def more_wax_than_planned(case: Case) -> Finding:
    return _off_plan(case, (MaterialKind.WAX,), 1.0, 8.0)


def less_scent_than_planned(case: Case) -> Finding:
    return _off_plan(case, SCENT, -2.0, -20.0)


def more_scent_than_planned(case: Case) -> Finding:
    return _off_plan(case, SCENT, 2.0, 20.0)


def _off_plan(case: Case, kinds: tuple[MaterialKind, ...], none_at: float, all_at: float) -> Finding:
    """By the share of these materials as made against the share planned, in per cent of that."""
    planned, made = case.share(case.planned, *kinds), case.share(case.made, *kinds)
    if planned <= 0 or case.made.mass_g <= 0:
        return Finding()
    off = 100.0 * (made - planned) / planned
    return Finding(
        rising(off, none_at, all_at),
        say(
            "{names}: {made} of what was made, where {planned} was planned.",
            names=case.names(*kinds) or say("nothing"),
            made=Share(made, 2),
            planned=Share(planned, 2),
        ),
    )


def load_low(case: Case) -> Finding:
    return _load(case, 6.0, 2.0)


def load_high(case: Case) -> Finding:
    return _load(case, 8.0, 16.0)


def _load(case: Case, none_at: float, all_at: float) -> Finding:
    if case.made.mass_g <= 0:
        return Finding()
    load = case.share(case.made, *SCENT)
    return Finding(
        rising(load, none_at, all_at),
        say(
            "Fragrance makes up {load} of it: {scent} in {whole}.",
            load=Share(load, 2),
            scent=Grams(case.made.mass_g * load / 100.0, 2),
            whole=Grams(case.made.mass_g),
        ),
    )


def butter_high(case: Case) -> Finding:
    """Butters soften in the hand and in a warm room, wax does not."""
    if case.made.mass_g <= 0:
        return Finding()
    share = case.share(case.made, MaterialKind.BUTTER)
    if not share:
        return Finding(0.0, say("There is no butter in it."))
    return Finding(
        rising(share, 25.0, 50.0),
        say("{names}: {share} of it.", names=case.names(MaterialKind.BUTTER), share=Share(share)),
    )


def butter_low(case: Case) -> Finding:
    """A balm of wax and oil without butter drags on the skin."""
    if case.made.mass_g <= 0:
        return Finding()
    share = case.share(case.made, MaterialKind.BUTTER)
    return Finding(rising(share, 10.0, 0.0), say("It holds {share} of butter.", share=Share(share)))


def holds_beeswax(case: Case) -> Finding:
    """Beeswax blooms on its own in the cold, however it was poured."""
    if case.made.mass_g <= 0:
        return Finding()
    share = 100.0 * case.made.share("beeswax")
    return Finding(rising(share, 2.0, 12.0), say("It holds {share} of beeswax.", share=Share(share)))


def top_notes(case: Case) -> Finding:
    """How much of the fragrance is gone within the hour, by the notes the recipe names."""
    plan = case.state.plan
    scent = {} if plan is None else {line.material: line.note for line in plan.lines if line.where == "scent"}
    made = composition_made(case.state).as_dict()
    whole_g = sum(made.get(key, 0.0) for key in scent)
    if whole_g <= 0:
        return Finding()
    top = 100.0 * sum(made.get(key, 0.0) for key, note in scent.items() if note == Note.TOP.value) / whole_g
    return Finding(
        rising(top, 35.0, 75.0), say("Top notes make up {share} of the fragrance.", share=Share(top, 0))
    )


def spoon_soft(case: Case) -> Finding:
    return _spoon(case, "soft")


def spoon_hard(case: Case) -> Finding:
    return _spoon(case, "hard")


def _spoon(case: Case, wanted: str) -> Finding:
    """What the cold spoon said: last of all, and before something was added for it."""
    said = [str(each.value) for each in case.state.entries if each.need == FIRMNESS]
    if not said:
        return Finding()
    last = say(said[-1])
    if said[-1] == wanted:
        return Finding(1.0, say("The cold spoon was “{answer}” to the last.", answer=last))
    if wanted in said:
        return Finding(
            0.3,
            say(
                "The cold spoon was “{first}” at first and “{last}” in the end.", first=say(wanted), last=last
            ),
        )
    return Finding(0.0, say("The cold spoon was “{answer}”.", answer=last))


def worn_at_once(case: Case) -> Finding:
    """A balm that was judged within a day of being poured."""
    state = case.state
    ended = state.ended_wall or state.wall
    worn = [each.dabbed for each in case.wear.tests if each.dabbed is not None] if case.wear else []
    if ended is None or not worn:
        return Finding()
    rested_s = max(0.0, (min(worn) - ended).total_seconds())
    return Finding(
        rising(rested_s, 2 * DAY_S, 0.5 * DAY_S),
        say("It was first worn {time} after the batch ended.", time=Duration(rested_s)),
    )


FOUND: Mapping[str, Evidence] = {
    function.__name__: function
    for function in (
        wax_low,
        wax_high,
        less_wax_than_planned,
        more_wax_than_planned,
        less_scent_than_planned,
        more_scent_than_planned,
        load_low,
        load_high,
        butter_high,
        butter_low,
        holds_beeswax,
        top_notes,
        spoon_soft,
        spoon_hard,
        worn_at_once,
    )
}
