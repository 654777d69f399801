"""Files of every released version open, and say what they said when they were written."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.compat.make import NAME, found
from workbench.store import interchange
from workbench.store.check import check_project
from workbench.store.project import Project

VERSIONS = sorted(
    path for path in Path(__file__).parent.iterdir() if path.is_dir() and path.name.startswith("v")
)


def plain(value: Any) -> Any:
    return json.loads(json.dumps(value))


def test_there_are_files_of_a_version() -> None:
    assert VERSIONS


@pytest.mark.parametrize("version", VERSIONS, ids=lambda path: path.name)
def test_a_project_file(version: Path, tmp_path: Path) -> None:
    copy = tmp_path / "kitchen.balmbook"
    shutil.copyfile(version / f"{NAME}.balmbook", copy)
    expected = json.loads((version / "expected.json").read_text(encoding="utf-8"))
    with Project.open(copy, read_only=True) as project:
        assert plain(found(project)) == expected
    with Project.open(copy) as project:
        assert not project.read_only
        assert plain(found(project)) == expected
    assert check_project(copy).faults == ()


@pytest.mark.parametrize("version", VERSIONS, ids=lambda path: path.name)
def test_an_exported_project(version: Path, tmp_path: Path) -> None:
    interchange.import_project(
        version / f"{NAME}.json", tmp_path / "kitchen.balmbook", datetime(2026, 3, 20, tzinfo=UTC)
    )
    with Project.open(tmp_path / "kitchen.balmbook") as project:
        assert plain(found(project)) == json.loads((version / "expected.json").read_text(encoding="utf-8"))
