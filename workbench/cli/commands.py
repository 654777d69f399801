"""The same capabilities for a terminal and for scripts.

Nothing heavy is imported before it is needed, and Qt only to open the window.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.core.trouble import Trouble
from workbench.core.wording import Count, say

if TYPE_CHECKING:
    from rich.console import Console

    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.recipe.model import Recipe

LIMIT_BROKEN = 1
TROUBLE = 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; without a command's name, open the window on a project."""
    words = list(sys.argv[1:] if argv is None else argv)
    commands: dict[str, Callable[[list[str]], int]] = {
        "check": check,
        "forecast": forecast,
        "burst": burst,
        "rehearse": rehearse,
        "verify": verify,
        "export": export,
        "import": import_,
        "print": print_,
        "stock": stock_,
    }
    try:
        if words and words[0] in commands:
            return commands[words[0]](words[1:])
        return window(words, sorted(commands))
    except Trouble as trouble:
        print(f"balmbook: {trouble}", file=sys.stderr)
        return TROUBLE
    except BrokenPipeError:  # the reader of our output went away, as with `| head`
        sys.stderr.close()
        return 0


def window(words: list[str], commands: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook",
        description="Plan, make and keep a batch of solid perfume.",
        epilog=f"For a terminal: balmbook {{{','.join(commands)}}} --help",
    )
    parser.add_argument("project", nargs="?", type=Path, help="a .balmbook project, or a .json to start from")
    given, qt_words = parser.parse_known_args(words)
    from workbench.app import run_window

    return run_window(given.project, ["balmbook", *qt_words])


def _catalogue() -> Catalogue:
    from workbench.store.resources import load_catalogue

    return load_catalogue()


def _recipes_and_catalogue(path: Path) -> tuple[list[Recipe], Catalogue]:
    """The newest revision of every recipe in a project or an exported file, over its shelf."""
    if path.suffix == ".json":
        from workbench.store.interchange import read_document

        document = read_document(path)
        recipes = [part.revisions[-1].recipe for part in document.recipes if not part.put_away]
        return recipes, _catalogue().over(document.shelf)
    from workbench.store.project import Project

    with Project.open(path, read_only=True) as project:
        recipes = [entry.recipe for entry in project.recipes()]
        return recipes, _catalogue().over(project.shelf())


def _chosen(recipes: list[Recipe], name: str | None, path: Path) -> list[Recipe]:
    if name is None:
        return recipes
    chosen = [recipe for recipe in recipes if recipe.name.casefold() == name.casefold()]
    if not chosen:
        raise Trouble(
            say(
                "There is no recipe “{name}” in {path}. It holds: {names}.",
                name=name,
                path=path.name,
                names=", ".join(recipe.name for recipe in recipes) or "none",
            )
        )
    return chosen


def check(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook check",
        description="Amounts, limits on skin, fire, window, allergens and cost of the recipes in a project. "
        "Ends with 1 where a limit is broken.",
    )
    parser.add_argument("project", type=Path)
    parser.add_argument("--recipe", help="only this one")
    parser.add_argument("--json", action="store_true", help="one JSON list, for scripts")
    given = parser.parse_args(words)

    from workbench.core.design.evaluation import evaluate
    from workbench.core.design.remedies import remedies
    from workbench.core.design.report import check_report
    from workbench.core.skin.verdict import Verdict

    recipes, catalogue = _recipes_and_catalogue(given.project)
    reports: list[dict[str, Any]] = []
    broken = False
    for recipe in _chosen(recipes, given.recipe, given.project):
        evaluation = evaluate(recipe, catalogue, datetime.now(UTC).astimezone().date())
        ways_out = () if evaluation.temperatures.open else remedies(recipe, catalogue)
        broken = broken or evaluation.skin.verdict is Verdict.OVER
        reports.append(check_report(evaluation, ways_out))
        if not given.json:
            from workbench.cli.printing import print_check

            print_check(evaluation, ways_out)
    if given.json:
        print(json.dumps(reports, indent=2, ensure_ascii=False))
    return LIMIT_BROKEN if broken else 0


def verify(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook verify",
        description="Look through a project without changing it: the database, its tables, "
        "and that every session is whole and legal. Ends with 1 where something is wrong.",
    )
    parser.add_argument("project", type=Path)
    given = parser.parse_args(words)
    from workbench.store.check import check_project

    with _progress("Looking through the project") as step:
        report = check_project(given.project, step)
    for note in report.notes:
        print(f"note: {note}")
    for fault in report.faults:
        print(f"wrong: {fault}")
    held = ", ".join(
        (
            say("{count} recipes", "{count} recipe", count=Count(report.recipes)),
            say("{count} sessions", "{count} session", count=Count(report.sessions)),
            say("{count} entries", "{count} entry", count=Count(report.entries)),
        )
    )
    wrong = say("{count} faults", "{count} fault", count=Count(len(report.faults)))
    print(f"{given.project.name}: {'sound' if report.sound else wrong} ({held})")
    return 0 if report.sound else 1


def export(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook export",
        description="Write a whole project as documented JSON (resources/project.schema.json describes it), "
        "or the temperatures or weights of its batches as CSV.",
    )
    parser.add_argument("project", type=Path)
    table = parser.add_mutually_exclusive_group()
    table.add_argument("--readings", action="store_true", help="every temperature that was read, as CSV")
    table.add_argument(
        "--weights", action="store_true", help="everything weighed, counted, added or poured, as CSV"
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--recipe", help="of a table: only the batches of this recipe")
    which.add_argument("--session", help="of a table: only this batch, as in s12")
    parser.add_argument("-o", "--output", type=Path, help="default: the project's name with .json or .csv")
    given = parser.parse_args(words)
    if given.readings or given.weights:
        return _export_table(given)
    if given.recipe or given.session:
        parser.error("--recipe and --session go with --readings or --weights; JSON always holds everything")
    from workbench.store.interchange import MOST_BYTES, export_project
    from workbench.store.project import Project

    target = given.output or given.project.with_suffix(".json")
    with Project.open(given.project, read_only=True) as project, _progress("Writing") as step:
        export_project(project, target, step)
    print(f"Written: {target}")
    size = target.stat().st_size
    if size > MOST_BYTES:
        print(
            f"It is large: {size / 1e6:.0f} MB. To take it in again, say that you trust it: "
            f"balmbook import --large {target.name}"
        )
    return 0


def _export_table(given: argparse.Namespace) -> int:
    from workbench.store import tables
    from workbench.store.project import Project

    what, write = (
        ("temperatures", tables.export_readings) if given.readings else ("weights", tables.export_weights)
    )
    target = given.output or given.project.with_name(f"{given.project.stem} {what}.csv")
    with Project.open(given.project, read_only=True) as project:
        chosen = {
            entry.id
            for entry in project.sessions()
            if (given.recipe is None or entry.recipe_name.casefold() == given.recipe.casefold())
            and given.session in (None, entry.id)
        }
        if not chosen and (given.recipe or given.session):
            raise Trouble(
                say(
                    "No batch in {path} is {what}. Look at the list of batches for its name or number.",
                    path=given.project.name,
                    what=given.session or given.recipe,
                )
            )
        rows = write(project, target, lambda entry: entry.id in chosen)
    print(
        say(
            "Written: {target} ({rows} of {batches})",
            target=target,
            rows=say("{count} rows", "{count} row", count=Count(rows)),
            batches=say("{count} batches", "{count} batch", count=Count(len(chosen))),
        )
    )
    return 0


def import_(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook import", description="Make a project from a JSON file that was exported."
    )
    parser.add_argument("source", type=Path)
    parser.add_argument("project", type=Path, nargs="?", help="default: the file's name with .balmbook")
    parser.add_argument(
        "--large", action="store_true", help="a file of more than 48 MB, which you made or trust"
    )
    given = parser.parse_args(words)
    target = given.project or given.source.with_suffix(".balmbook")
    _import(given.source, target, large=given.large)
    print(f"Made: {target}")
    return 0


def _import(source: Path, target: Path, *, large: bool = False) -> None:
    from workbench.store.interchange import import_project
    from workbench.store.troubles import Kind, StoreTrouble

    try:
        import_project(source, target, datetime.now(UTC).astimezone(), large=large)
    except StoreTrouble as trouble:
        if trouble.kind is not Kind.TOO_LARGE or large:
            raise
        raise Trouble(
            say(
                "{path} is larger than what is taken in unasked. If you exported it yourself: balmbook import --large {path}",
                path=source.name,
            )
        ) from trouble


def print_(words: list[str]) -> int:
    from workbench.cli.paper import print_ as on_paper

    return on_paper(words)


def stock_(words: list[str]) -> int:
    from workbench.cli.stocking import stock_ as of_shelf

    return of_shelf(words)


def forecast(words: list[str]) -> int:
    from workbench.cli.heating import forecast_

    return forecast_(words, _one_recipe)


def burst(words: list[str]) -> int:
    from workbench.cli.bursting import burst_

    return burst_(words, _one_recipe)


def _one_recipe(path: Path, name: str | None) -> tuple[Recipe, Catalogue]:
    recipes, catalogue = _recipes_and_catalogue(path)
    chosen = _chosen(recipes, name, path)
    if len(chosen) != 1:
        raise Trouble(
            say(
                "Say which recipe with --recipe NAME. {path} holds: {names}.",
                path=path.name,
                names=", ".join(recipe.name for recipe in recipes) or "none",
            )
        )
    return chosen[0], catalogue


def rehearse(words: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="balmbook rehearse",
        description="A dry run of the whole procedure against a simulated pot. "
        "It writes a session marked as a rehearsal into the project.",
    )
    parser.add_argument("project", type=Path, help="a project; a .json is copied into one beside you first")
    parser.add_argument("--recipe", help="needed where the project holds several")
    parser.add_argument("--heat", choices=["water-bath", "microwave"], help="default: as the recipe says")
    parser.add_argument("--speed", default="max", help="times real time, or max (the default)")
    parser.add_argument("--seed", type=int, default=1, help="which pot; the same seed is the same pot")
    parser.add_argument("--json", action="store_true")
    given = parser.parse_args(words)
    from workbench.cli.rehearsing import run_rehearsal

    path: Path = given.project
    if path.suffix == ".json":
        source, path = path, Path.cwd() / path.with_suffix(".balmbook").name
        if not path.exists():
            _import(source, path)
    summary = run_rehearsal(
        path, given.recipe, given.heat, _speed(given.speed), given.seed, _catalogue(), quiet=given.json
    )
    if given.json:
        print(json.dumps(summary, indent=2, ensure_ascii=False))
    return 0


def _speed(text: str) -> float | None:
    """Times real time; None is as fast as it goes."""
    if text == "max":
        return None
    from workbench.core.units import read_number

    speed = read_number(text)
    if speed <= 0:
        raise Trouble(say("The speed has to be a number above 0, or max."))
    return speed


@contextmanager
def _progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on standard error that shows itself only where somebody can see it."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    console: Console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(what, total=None)

        def step(done: int, total: int) -> None:
            progress.update(task, completed=done, total=total)

        yield step
