"""`balmbook forecast` from a terminal."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from workbench.cli.commands import TROUBLE, _recipes_and_catalogue, main
from workbench.core.batch.in_jug import probe_sd_k

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


def with_probe(folder: Path, **check: object) -> Path:
    """The sample with one thermometer only, chosen by nobody, that was checked."""
    document = json.loads(SAMPLE.read_text(encoding="utf-8"))
    document["shelf"]["thermometers"] = [document["shelf"]["thermometers"][0] | check]
    document["recipes"][0]["revisions"][-1]["recipe"]["thermometer"] = None
    file = folder / "probe.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    return file


def test_the_only_thermometers_check_corrects_the_readings_and_its_accuracy_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = words(tmp_path, "--below", "64", "--room", "21", "--json")
    at = asked.index(str(SAMPLE))

    def report(*more: str, **check: object) -> dict[str, Any]:
        asked[at] = str(with_probe(tmp_path, **check))
        assert main([*asked, *more]) == 0
        found = json.loads(capsys.readouterr().out)
        assert isinstance(found, dict)
        return found

    plain = report()
    off = report(offset_k=-3.0, slope=1.01)
    # read 3 K too high at 0 °C and 1 % too little per kelvin: it is colder, and reaches 64 °C earlier
    assert off["now_c"] == pytest.approx(1.01 * plain["now_c"] - 3.0, abs=0.3)
    assert off["below"][0]["median_s"] < plain["below"][0]["median_s"]
    assert off["assumed"]["thermometer"] == {
        "key": "probe",
        "offset_k": -3.0,
        "slope": 1.01,
        "resolution_k": 0.1,
    }
    assert report("--thermometer", "none", offset_k=-3.0)["now_c"] == pytest.approx(plain["now_c"], abs=0.05)

    def width(found: dict[str, Any]) -> float:
        row = found["below"][0]
        return float(row["high80_s"] - row["low80_s"])

    known = report(checked="2026-01-10")
    assert known["assumed"]["thermometer_sd_k"] < plain["assumed"]["thermometer_sd_k"]
    assert width(known) < width(plain)
    assert width(report(checked="2026-01-10", resolution_k=1.0)) > width(known)
    assert report(checked="2026-01-10", dropped_since=True)["assumed"]["thermometer_sd_k"] == 0.5


def test_the_window_and_the_terminal_know_a_probe_by_the_same_rule(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for check in ({}, {"checked": "2026-01-10"}, {"kind": "infrared"}):
        file = with_probe(tmp_path, **check)
        catalogue = _recipes_and_catalogue(file)[1]
        asked = words(tmp_path, "--below", "64", "--json")
        asked[asked.index(str(SAMPLE))] = str(file)
        assert main(asked) == 0
        found = json.loads(capsys.readouterr().out)["assumed"]["thermometer_sd_k"]
        assert found == probe_sd_k(catalogue.shelf.thermometers[0])
