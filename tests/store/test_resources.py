"""The tables are found in a clone and in an installed program, and read in time."""

from __future__ import annotations

import time
import tomllib
from pathlib import Path

import pytest

import workbench
from workbench.core.trouble import Trouble
from workbench.store import resources
from workbench.store.resources import (
    CATALOGUE_FILES,
    load_catalogue,
    load_starter_shelf,
    resource_bytes,
    resource_path,
    resources_folder,
)


def test_a_clone_reads_the_folder_at_its_top() -> None:
    assert resources_folder() == Path(workbench.__file__).resolve().parent.parent / "resources"
    assert load_catalogue().material("beeswax").name == "Beeswax"
    assert load_starter_shelf().scales


def test_an_installed_program_reads_the_folder_inside_the_package(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "workbench" / "resources"
    folder.mkdir(parents=True)
    (folder / "constituents.toml").write_bytes(b"")
    monkeypatch.setattr(workbench, "__file__", str(tmp_path / "workbench" / "__init__.py"))
    assert resources_folder() == folder.resolve()


def test_a_broken_installation_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbench, "__file__", str(tmp_path / "workbench" / "__init__.py"))
    with pytest.raises(Trouble, match="Install the program again"):
        resource_bytes("limits.toml")


def test_a_missing_file_is_named() -> None:
    with pytest.raises(Trouble, match=r"“sounds/none\.wav” is missing"):
        resource_path("sounds/none.wav")


def test_an_unreadable_file_is_named() -> None:
    with pytest.raises(Trouble, match="“materials” cannot be read"):
        resource_bytes("materials")


def test_every_table_file_is_read() -> None:
    # A new file beside the others must be listed, or its rows would be missing in silence.
    there = {f"materials/{path.name}" for path in resource_path("materials").glob("*.toml")}
    assert there == {name for name in CATALOGUE_FILES if name.startswith("materials/")}


def test_checking_the_tables_takes_less_time_than_reading_them() -> None:
    # A ratio on the same machine, best of five: reading TOML is the floor that the load is measured against.
    texts = [resource_bytes(name).decode() for name in CATALOGUE_FILES]

    def best(work: object) -> float:
        assert callable(work)
        found = []
        for _ in range(5):
            start = time.process_time()
            work()
            found.append(time.process_time() - start)
        return min(found)

    floor = best(lambda: [tomllib.loads(text) for text in texts])
    assert best(resources.load_catalogue) < 2 * floor
