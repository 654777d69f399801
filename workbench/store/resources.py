"""The files that come with the program: where they are, and the catalogue made of them.

In a clone they lie in `resources/` beside the package; in an installed program
the same folder is the package `workbench.resources`.
"""

from __future__ import annotations

from pathlib import Path

import workbench
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.parse import parse_catalogue, parse_shelf
from workbench.core.catalogue.shelf import Shelf
from workbench.core.trouble import Trouble
from workbench.core.wording import say

CATALOGUE_FILES = (
    "allergens.toml",
    "categories.toml",
    "cautions.toml",
    "constituents.toml",
    "heat.toml",
    "limits.toml",
    "materials/butters.toml",
    "materials/carriers.toml",
    "materials/oils.toml",
    "materials/resins.toml",
    "materials/waxes.toml",
    "scent.toml",
    "scent_activity.toml",
    "unifac.toml",
)
STARTER_SHELF = "starter_shelf.toml"


def resources_folder() -> Path:
    """The folder of all resources; raises `Trouble` where the installation lost it."""
    package = Path(workbench.__file__).resolve().parent
    for folder in (package / "resources", package.parent / "resources"):
        if (folder / "constituents.toml").is_file():
            return folder
    raise Trouble(
        say("The tables that belong to the program are not where they should be. Install the program again.")
    )


def resource_path(name: str) -> Path:
    """The path of one resource, e.g. "sounds/done.wav"; raises `Trouble` if it is not there."""
    path = resources_folder() / name
    if not path.exists():
        raise Trouble(say("The file “{name}” is missing. Install the program again.", name=name))
    return path


def resource_bytes(name: str) -> bytes:
    """The content of one resource; raises `Trouble` if it cannot be read."""
    try:
        return resource_path(name).read_bytes()
    except OSError as error:
        raise Trouble(
            say("The file “{name}” cannot be read ({why}).", name=name, why=error.strerror or str(error))
        ) from error


def load_catalogue() -> Catalogue:
    """All tables that come with the program, the shelf empty.

    It is read anew at each call; keep what it returns.  Raises `Trouble` with
    every fault of every file.
    """
    return parse_catalogue({name: resource_bytes(name) for name in CATALOGUE_FILES})


def load_starter_shelf() -> Shelf:
    """A shelf of invented examples to begin with: tins, vessels, scales, thermometers."""
    return parse_shelf(STARTER_SHELF, resource_bytes(STARTER_SHELF))
