"""`balmbook forecast` from a terminal."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from workbench.cli.commands import TROUBLE, _recipes_and_catalogue, main

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "harbour-evening.json"


def cooling(folder: Path) -> Path:
    """Newton's law of cooling from 85 °C in a room of 21 °C, time constant 30 min, every minute."""
    file = folder / "readings.csv"
    rows = [f"{at},{21 + 64 * math.exp(-at / 1800):.1f}" for at in range(0, 420, 60)]
    file.write_text("seconds,celsius\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return file


def words(folder: Path, *more: str) -> list[str]:
    recipe = _recipes_and_catalogue(SAMPLE)[0][0].name
    return ["forecast", str(cooling(folder)), "--project", str(SAMPLE), "--recipe", recipe, *more]


def test_a_forecast_brackets_the_closed_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words(tmp_path, "--below", "68", "--below", "64", "--room", "21", "--json")) == 0
    report = json.loads(capsys.readouterr().out)
    for row in report["below"]:
        truth = 1800 * math.log(64 / (row["celsius"] - 21))
        assert row["low80_s"] <= row["median_s"] <= row["high80_s"]
        assert row["median_s"] == pytest.approx(truth, rel=0.2)
    assert report["rate_k_min"] < 0
    assert report["assumed"]["room_c"] == 21


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--below", "warm"), "give a number"),
        (("--below", "60", "--room", "nan"), "give a number"),
        (("--below", "60", "--mass", "0"), "give a number"),
        (("--below", "60", "--vessel", "bucket"), "no vessel"),
    ],
)
def test_wrong_input_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: tuple[str, ...], says: str
) -> None:
    assert main(words(tmp_path, *more)) == TROUBLE
    assert says in capsys.readouterr().err


def test_a_broken_file_names_its_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = words(tmp_path, "--below", "60")
    (tmp_path / "readings.csv").write_text("0,80\n60,hot\n", encoding="utf-8")
    assert main(asked) == TROUBLE
    assert "line 2" in capsys.readouterr().err
