"""The scent in three words, for the card; light enough to be worked out after each edit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.evaluation import Evaluation
from workbench.core.scent.course import HOUR_S, course
from workbench.core.scent.notes import notes_for
from workbench.core.scent.strength import strength
from workbench.core.scent.telling import leader


@dataclass(frozen=True, slots=True)
class Glance:
    """Who leads just on and after an hour; `known` is False where no oil can be reckoned."""

    there: bool
    known: bool = False
    first: Note | None = None
    hour: Note | None = None


def scent_at_a_glance(evaluation: Evaluation, catalogue: Catalogue) -> Glance:
    recipe = evaluation.recipe
    if not recipe.scent:
        return Glance(there=False)
    run = course(evaluation.weighed.composition, catalogue, np.array([0.0, HOUR_S]))
    if not run.oils:
        return Glance(there=True)
    chosen = notes_for(run.oils, catalogue, {line.material: line.note for line in recipe.scent})
    found = strength(run, chosen)
    return Glance(True, True, leader(found, 0.0)[0], leader(found, HOUR_S)[0])


def glance_words(widget: QWidget, glance: Glance) -> str:
    words = {Note.TOP: widget.tr("top"), Note.MIDDLE: widget.tr("middle"), Note.BASE: widget.tr("base")}
    if not glance.there:
        return widget.tr("None yet")
    if not glance.known:
        return widget.tr("Not known")
    if glance.first is None:
        return widget.tr("Stays close")
    first = words[glance.first].capitalize()
    if glance.hour is None or glance.hour is glance.first:
        return widget.tr("{note} leads").format(note=first)
    return widget.tr("{first}, then {later}").format(first=first, later=words[glance.hour])
