"""Settings: checked, kept whole, forgiving."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Literal

import pytest
from pydantic import BaseModel, Field

from tests.store.builders import START
from workbench.store.preferences import Preferences
from workbench.store.troubles import StoreTrouble


class Sample(BaseModel):
    theme: Literal["paper", "night"] = "paper"
    text_size: int = Field(default=100, ge=50, le=300)
    tones: bool = True


def load(path: Path) -> Preferences[Sample]:
    return Preferences(path, Sample, START)


def test_without_a_file_everything_is_as_at_first(tmp_path: Path) -> None:
    kept = load(tmp_path / "new" / "settings.json")
    assert kept.value == Sample()
    assert kept.trouble is None
    assert list(tmp_path.iterdir()) == []


def test_saved_settings_come_back(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.json"
    load(path).save(Sample(theme="night", text_size=150))
    assert load(path).value == Sample(theme="night", text_size=150)


def test_keys_of_another_version_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_text('{"theme": "night", "tomorrow": {"a": [1]}}')
    kept = load(path)
    kept.save(kept.value.model_copy(update={"tones": False}))
    assert json.loads(path.read_text()) == {
        "theme": "night",
        "tomorrow": {"a": [1]},
        "text_size": 100,
        "tones": False,
    }
    assert kept.trouble is None


def test_a_wrong_value_goes_back_and_the_right_ones_stay(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_text('{"theme": "night", "text_size": "huge", "tomorrow": 1}')
    kept = load(path)
    assert kept.value == Sample(theme="night")
    assert kept.trouble is not None
    assert [fault.place for fault in kept.trouble.faults] == ["text_size"]
    assert "set aside" in kept.trouble.says
    assert [other.name for other in tmp_path.iterdir()] == ["settings set aside 2026-03-14 093000.json"]
    kept.save(kept.value)
    assert json.loads(path.read_text())["tomorrow"] == 1


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"\xff", b"null", b"[" * 100_000, b"NaN"])
def test_a_file_that_is_none_is_set_aside_and_said(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(data)
    kept = load(path)
    assert kept.value == Sample()
    assert kept.trouble is not None
    (aside,) = tmp_path.iterdir()
    assert aside.read_bytes() == data


def test_a_file_that_is_far_too_large_is_set_aside(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(b" " * 2_000_000)
    assert load(path).trouble is not None
    assert not path.exists()


def test_a_folder_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "settings.json").mkdir()
    kept = load(tmp_path / "settings.json")
    assert kept.value == Sample()
    assert isinstance(kept.trouble, StoreTrouble)
    with pytest.raises(StoreTrouble):
        kept.save(Sample(theme="night"))
    assert kept.value.theme == "night"  # in use all the same


def test_where_no_folder_can_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    kept = load(tmp_path / "file" / "settings.json")
    with pytest.raises(StoreTrouble):
        kept.save(Sample())
