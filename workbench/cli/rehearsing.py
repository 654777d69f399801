"""`balmbook rehearse`: a batch against the simulated pot, told line by line."""

from __future__ import annotations

import sys
import time
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.text import Text

from workbench.core.batch.alarms import parse_alarms
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.batch.record import summary
from workbench.core.batch.session import fold
from workbench.core.batch.step_words import parse_steps
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.core.rehearsal.progress import Progress
from workbench.core.rehearsal.run import rehearse
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, say
from workbench.store.project import Project
from workbench.store.resources import resource_bytes
from workbench.store.shelving import RecipeEntry
from workbench.store.writer import DirectJournal


def run_rehearsal(
    path: Path,
    recipe: str | None,
    heat: str | None,
    speed: float | None,
    seed: int,
    tables: Catalogue,
    *,
    quiet: bool,
) -> dict[str, Any]:
    """Rehearse one recipe of a project and return what came of it.

    `speed` is in times real time; None runs as fast as it goes.
    """
    console = Console(stderr=quiet)
    with Project.open(path) as project:
        if project.read_only:
            raise Trouble(
                say("{name} can only be read just now, so no rehearsal can be kept in it.", name=path.name)
            )
        entry = _entry(project, recipe, path)
        catalogue = tables.over(project.shelf())
        now = datetime.now(UTC).astimezone()
        plan = make_plan(
            entry.recipe,
            entry.revision,
            catalogue,
            parse_steps("steps.toml", resource_bytes("steps.toml")),
            today=now.date(),
        )
        session = project.new_session()
        run = rehearse(
            plan,
            catalogue,
            journal=DirectJournal(project),
            rules=rules_for(catalogue, parse_alarms("alarms.toml", resource_bytes("alarms.toml"))),
            began=now,
            heat=None if heat is None else Heat(heat),
            seed=seed,
            session_id=session,
        )
        _tell(run, speed, quiet, console)
        state = fold(project.events(session))
    result = {"session": session, "seed": seed, **asdict(summary(state))}
    for key in ("started", "ended"):
        result[key] = None if result[key] is None else result[key].isoformat()
    if not quiet:
        _print_summary(result, path, console)
    return result


def _entry(project: Project, name: str | None, path: Path) -> RecipeEntry:
    entries = project.recipes()
    names = ", ".join(entry.name for entry in entries) or "none"
    if name is None and len(entries) == 1:
        return entries[0]
    for entry in entries:
        if name is not None and entry.name.casefold() == name.casefold():
            return entry
    if name is None:
        raise Trouble(
            say("Say which recipe with --recipe NAME. {path} holds: {names}.", path=path.name, names=names)
        )
    raise Trouble(
        say(
            "There is no recipe “{name}” in {path}. It holds: {names}.",
            name=name,
            path=path.name,
            names=names,
        )
    )


def _tell(run: Any, speed: float | None, quiet: bool, console: Console) -> None:
    """Every line as it happens; at a speed, real time passes between them."""
    began = time.monotonic()
    step = ""
    for progress in run:
        if speed is not None:
            time.sleep(max(0.0, progress.at_s / speed - (time.monotonic() - began)))
        if quiet:
            continue
        if progress.step != step:
            step = progress.step
            console.print(Text(f"step {progress.number} of {progress.of}: {step}", style="bold"))
        console.print(_line(progress))
        sys.stdout.flush()


def _line(progress: Progress) -> Text:
    minutes, seconds = divmod(round(progress.at_s), 60)
    line = Text(f"  {minutes:4d}:{seconds:02d}  ")
    return line.append(str(progress.says), style="bold red" if progress.danger else "")


def _print_summary(result: dict[str, Any], path: Path, console: Console) -> None:
    yielded = result["yield_percent"]
    console.print(
        Text(
            f"Kept in {path.name} as {result['session']}, marked as a rehearsal: "
            + say("{count} tins", "{count} tin", count=Count(result["tins"]))
            + f", {result['in_tins_g']:.1f} g"
            + ("" if yielded is None else f" ({yielded:.0f} % of what went in)")
            + say(", {count} deviations", ", {count} deviation", count=Count(result["deviations"]))
            + say(", {count} alarms", ", {count} alarm", count=Count(result["alarms"]))
            + f", highest {result['highest_c']} °C."
        )
    )
