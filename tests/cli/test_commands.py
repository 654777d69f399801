"""The terminal: what it prints, what it answers, and how it refuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from workbench.cli import main

SAMPLES = Path(__file__).parents[2] / "sample_projects"
HARBOUR, NOON = SAMPLES / "harbour-evening.json", SAMPLES / "noon-ferry.json"


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = main([str(word) for word in words])
    told = capsys.readouterr()
    return code, told.out, told.err


def checked(capsys: pytest.CaptureFixture[str], path: Path) -> tuple[int, dict[str, Any]]:
    code, out, _ = run(capsys, "check", path, "--json")
    reports = json.loads(out)
    assert len(reports) == 1
    return code, reports[0]


def test_check_tells_everything_a_script_needs(capsys: pytest.CaptureFixture[str]) -> None:
    code, report = checked(capsys, HARBOUR)
    assert code == 0
    assert report["recipe"] == "Harbour Evening"
    assert sum(line["mass_g"] for line in report["lines"]) == pytest.approx(report["batch_mass_g"], abs=0.01)
    assert sum(line["share_percent"] for line in report["lines"]) == pytest.approx(100, abs=0.01)
    skin = report["skin"]
    assert (skin["verdict"], skin["category"], skin["place"]) == ("within", "4", "EU")
    for limit in skin["limits"]:
        assert {
            "name",
            "concentration_percent",
            "limit_percent",
            "used_percent",
            "source",
            "confidence",
        } <= set(limit)
    assert set(report["fire"]) - {"why"} == {
        "neat_flash_point_c",
        "blend_flash_point_c",
        "flash_safe_c",
        "scented_ceiling_c",
        "melt_ceiling_c",
    }
    window = report["window"]
    assert window["open"] is True
    assert window["pour_floor_c"] == pytest.approx(window["set_point_c"] + 3, abs=0.11)
    assert window["add_below_c"] == min(report["fire"]["flash_safe_c"], report["fire"]["scented_ceiling_c"])
    assert report["fire"]["flash_safe_c"] == pytest.approx(report["fire"]["neat_flash_point_c"] - 5, abs=0.11)
    assert "Linalool" in report["allergens"]
    assert report["cost"]["currency"] == "EUR"
    assert report["cost"]["amount"] > 0


def test_a_broken_limit_and_an_empty_window_are_said(capsys: pytest.CaptureFixture[str]) -> None:
    code, report = checked(capsys, NOON)
    assert code == 1
    assert report["skin"]["verdict"] == "over"
    assert report["skin"]["phototoxic_sum_percent"] > 100
    assert report["window"]["open"] is False
    assert report["window"]["remedies"]
    assert report["cost"]["amount"] is None
    assert report["cost"]["why"]


def test_check_for_people_names_the_verdict_and_the_ways_out(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "check", NOON)
    assert code == 1
    assert "OVER a limit" in out
    assert "EMPTY" in out
    assert "Bergamot" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("check", HARBOUR, "--recipe", "Nobody's"), "There is no recipe"),
        (("check", "nowhere.balmbook"), "nowhere.balmbook"),
        (("verify", HARBOUR), "harbour-evening.json"),
        (("rehearse", NOON, "--speed", "0"), "above 0"),
        (("rehearse", NOON, "--speed", "fast"), "fast"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_exit_two(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[object, ...],
    says: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    code, _, err = run(capsys, *words)
    assert code == 2
    assert err.startswith("balmbook: ")
    assert says in err
    assert "Traceback" not in err


def test_a_project_goes_out_and_comes_in_the_same(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    made, again = tmp_path / "harbour.balmbook", tmp_path / "again.json"
    assert run(capsys, "import", HARBOUR, made)[0] == 0
    code, out, _ = run(capsys, "verify", made)
    assert (code, "sound" in out) == (0, True)
    assert run(capsys, "export", made, "-o", again)[0] == 0
    before, after = json.loads(HARBOUR.read_bytes()), json.loads(again.read_bytes())
    for part in ("shelf", "recipes", "sessions", "documents"):
        assert after[part] == before[part]


def test_a_damaged_project_is_told_from_a_sound_one(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    made = tmp_path / "cut.balmbook"
    run(capsys, "import", HARBOUR, made)
    whole = made.read_bytes()
    made.write_bytes(whole[: len(whole) // 2])
    code, _, _ = run(capsys, "verify", made)
    assert code != 0
    assert made.read_bytes() == whole[: len(whole) // 2]


@pytest.mark.slow
@pytest.mark.parametrize("heat", [None, "microwave"])
def test_a_rehearsal_is_kept_and_marked(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, heat: str | None
) -> None:
    made = tmp_path / "harbour.balmbook"
    run(capsys, "import", HARBOUR, made)
    words = ["rehearse", str(made), "--seed", "5", "--json"] + ([] if heat is None else ["--heat", heat])
    code, out, err = run(capsys, *words)
    assert code == 0, err
    summary = json.loads(out)
    assert summary["rehearsal"] is True
    assert summary["phase"] == "finished"
    assert summary["tins"] == 5
    assert summary["highest_c"] < 95
    assert run(capsys, "verify", made)[0] == 0


def test_without_a_window_nothing_is_rehearsed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, _, err = run(capsys, "rehearse", NOON)
    assert code == 2
    assert "no window" in err
    assert "remed" in err
