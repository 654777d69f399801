"""Three wishes and what the composer makes of them, one of them impossible.

    python -m tests.goals.wishes

Prints for each answer the blend, each aim by the linear plan and by the full
model, what holds it back, the verdict on skin, and what cannot be had.
"""

from __future__ import annotations

import sys
import time

from tests.core.design.scents import balm, wish
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.composer import compose, with_answer
from workbench.core.design.wish import Leaning, Wish
from workbench.core.recipe.amounts import work_out
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, JUST_ON_S
from workbench.core.scent.telling import moment_words, note_words
from workbench.core.skin.assess import assess
from workbench.store.resources import load_catalogue

WISHES: dict[str, Wish] = {
    "Bright, with lavender, no clove": wish(
        ((JUST_ON_S, Note.TOP, 25.0), (HOUR_S, Note.MIDDLE, 12.0)),
        {"lavender": Leaning.MUST, "bergamot": Leaning.MORE, "clove_bud": Leaning.NOT},
    ),
    "Woods that stay, weighed": wish(
        ((JUST_ON_S, Note.MIDDLE, 20.0), (FOUR_HOURS_S, Note.BASE, 10.0)),
        {"sandalwood": Leaning.MUST, "patchouli": Leaning.LESS},
        in_drops=False,
        load_percent=8.0,
    ),
    "Impossible: citrus after four hours, and a great deal of cinnamon bark": wish(
        ((JUST_ON_S, Note.TOP, 25.0), (FOUR_HOURS_S, Note.TOP, 35.0)),
        {"cinnamon_bark": Leaning.MUST},
        load_percent=20.0,
    ),
}


def show(name: str, asked: Wish, catalogue: Catalogue) -> None:
    start = time.perf_counter()
    composed = compose(asked, balm(), catalogue)
    took = 1e3 * (time.perf_counter() - start)
    print(f"\n{name}  ({took:.0f} ms)")
    for unmet in composed.unmet:
        print(f"  ! {unmet.says}")
    for answer in composed.answers:
        units = "drops" if composed.in_drops else f"x {composed.step_g} g"
        blend = ", ".join(f"{catalogue.material(oil).name} {count} {units}" for oil, count in answer.counts)
        print(f"  {answer.says}\n    {blend}")
        for reached in answer.reached:
            print(
                f"    {moment_words(reached.aim.at_s)}, {note_words(reached.aim.note)}: asked "
                f"{reached.aim.strength:.0f}, planned {reached.planned:.1f}, full model {reached.found:.1f}"
                f"{'' if reached.leads else ', does not lead'}"
            )
        taken = with_answer(balm(), answer, composed, catalogue)
        verdict = assess(work_out(taken, catalogue).composition, catalogue, taken.uses, taken.place)
        used = verdict.tightest.used_percent if verdict.tightest is not None else None
        print(
            f"    on skin {verdict.verdict.value}"
            + (f", {used:.0f} % of the tightest limit" if used is not None else "")
            + f"; distance {answer.distance:.2f}, {'proven' if answer.proven else 'not proven'}"
        )
        if answer.binding is not None:
            print(f"    {answer.binding.says}")
    for oil, why in composed.left_out:
        print(f"  not considered: {catalogue.material(oil).name}. {why}")


def main() -> int:
    catalogue = load_catalogue()
    for name, asked in WISHES.items():
        show(name, asked, catalogue)
    return 0


if __name__ == "__main__":
    sys.exit(main())
