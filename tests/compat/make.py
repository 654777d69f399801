"""Writes the files that this version leaves behind: `python -m tests.compat.make v1`.

Made once for each released version and never again: they must open for ever.
So this refuses to write where files are already.
"""

from __future__ import annotations

import json
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from pydantic_core import to_jsonable_python

from workbench.core.batch import commands as ask
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.session import fold
from workbench.core.recipe.model import Brief, Heat
from workbench.store.interchange import export_project
from workbench.store.project import Project
from workbench.store.resources import load_starter_shelf
from workbench.store.writer import DirectJournal
from workbench.testing import Maker, VirtualClock, sample_plan, sample_recipe, sample_rules

FOLDER = Path(__file__).parent
NAME = "kitchen"


class _Calendar:
    def __init__(self) -> None:
        self.now = datetime(2026, 3, 14, 8, 0, tzinfo=timezone(timedelta(hours=1)))

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


def fill(project: Project) -> None:
    """Something of everything that a project can hold."""
    project.save_shelf(load_starter_shelf())
    recipe = sample_recipe().model_copy(
        update={"brief": Brief(for_whom="AB", liked="cedar", allergies=("limonene",))}
    )
    project.save_recipe(recipe)
    project.save_recipe(recipe.model_copy(update={"load_percent": 4.0}))
    project.save_recipe(recipe.model_copy(update={"name": "Put away"}))
    project.put_away("Put away")
    project.save_document(
        "wear notes", "n1", {"wearer": "AB", "marks": [{"after_h": 1, "words": "cedar stays"}]}
    )
    project.save_document("wear notes", "n1", {"wearer": "AB", "marks": []})
    for number, heat in enumerate((Heat.WATER_BATH, Heat.MICROWAVE, Heat.WATER_BATH), start=1):
        clock = VirtualClock(datetime(2026, 3, 13 + number, 9, 0, tzinfo=timezone(timedelta(hours=1))))
        conductor = Conductor(project.new_session(), DirectJournal(project), clock, sample_rules())
        conductor.send(
            ask.Start(sample_plan(heat=heat), maker="M", batch_code=f"K-{number}", rehearsal=number == 2)
        )
        maker = Maker(conductor, clock)
        maker.go_to("weigh:shea_butter")
        conductor.send(ask.WriteNote("the wax smells of honey – schön"))
        weighed = next(entry.seq for entry in conductor.state.entries if entry.kind == "mass weighed")
        maker.send(ask.Correct(of=weighed, value=8.1, typed="8,1", reason="misread", by="M"))
        if number == 1:
            maker.go_to("melt:bath")
            clock.sleep(480.0)
            conductor.look()  # the computer slept in a hot step: on hold by itself
            maker.send(ask.ConfirmSafe())
            maker.read()
            maker.send(ask.GoOn())
            maker.go_to_end()
        elif number == 2:
            maker.go_to("cool")
            maker.send(ask.EndBatch("the power went out"))
        else:
            maker.go_to("pour:1")
    project.erase(project.personal_words()[:1], "asked by the wearer")
    project.save_draft("recipe", recipe.model_dump_json())


def found(project: Project) -> dict[str, Any]:
    """What must be read from these files for ever."""
    states = {entry.id: fold(project.events(entry.id)) for entry in project.sessions()}
    return {
        "project": project.id,
        "recipes": [
            [e.name, e.revision, e.put_away, e.brief_erased, e.recipe.load_percent] for e in project.recipes()
        ],
        "revisions": {e.name: len(project.revisions(e.name)) for e in project.recipes()},
        "brief": to_jsonable_python(project.revisions("Evening ember")[-1].recipe.brief),
        "shelf": [len(project.shelf().tins), len(project.shelf().scales), len(project.shelf().vessels)],
        "drafts": [draft.key for draft in project.drafts()],
        "documents": [document.body for document in project.documents("wear notes", "n1")],
        "erasures": [[erasure.reason, erasure.pieces] for erasure in project.erasures()],
        "open": project.open_session(),
        "sessions": [
            {
                "id": entry.id,
                "started": entry.started.isoformat(),
                "recipe": [entry.recipe_name, entry.recipe_revision],
                "rehearsal": entry.rehearsal,
                "code": entry.batch_code,
                "end": entry.end,
                "kinds": [event.kind for event in project.events(entry.id)],
                "phase": states[entry.id].phase.value,
                "step": states[entry.id].step_id,
                "readings": [[r.at_s, r.celsius] for r in states[entry.id].readings],
                "poured": {str(n): tin.mass_g for n, tin in states[entry.id].poured.items()},
                "corrections": [
                    [c.of, c.value, c.reason]
                    for chain in states[entry.id].corrections.values()
                    for c in chain
                ],
                "words": [e.value for e in states[entry.id].entries if e.kind == "noted"],
            }
            for entry in project.sessions()
        ],
    }


def main() -> int:
    if len(sys.argv) != 2:
        print(__doc__)
        return 2
    folder = FOLDER / sys.argv[1]
    if folder.exists() and any(folder.iterdir()):
        print(f"{folder.name} is there already; files of a released version are never made again")
        return 1
    folder.mkdir(exist_ok=True)
    with Project.create(folder / f"{NAME}.balmbook", now=_Calendar()) as project:
        fill(project)
        export_project(project, folder / f"{NAME}.json")
        expected = found(project)
    text = json.dumps(expected, ensure_ascii=False, indent=1)
    (folder / "expected.json").write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
