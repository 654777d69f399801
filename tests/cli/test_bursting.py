"""`balmbook burst` from a terminal."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from workbench.cli.commands import TROUBLE, main

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "harbour-evening.json"


def pairs(folder: Path, text: str = "seconds,before_c,after_c\n10,22,27\n15,27,38\n") -> str:
    file = folder / "bursts.csv"
    file.write_text(text, encoding="utf-8")
    return str(file)


def asked(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["burst", *words, "--project", str(SAMPLE), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert isinstance(report, dict)
    return report


def test_the_first_burst_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    report = asked(capsys, "--now", "22", "--oven", "700", "--mass", "100")
    # All of 700 W (and 1.645 sd of 10 % more) into 100 g of 2.05 J/gK, hot spot 1.6, 1.5 K in hand, 2 s of
    # start: (ceiling - 1.5 - 22) / (1.6 x 3.98 K/s) + 2, in whole seconds.  2.05: Fasina & Colley 2008, ± 8 %.
    rate = 700 * (1 + 1.645 * 0.1) / (100 * 2.05)
    by_hand = 2 + (report["ceiling_c"] - 1.5 - 22) / (1.6 * rate)
    assert report["seconds"] == pytest.approx(by_hand, abs=1.2)
    assert report["seconds"] == int(report["seconds"])
    assert (
        22 < report["expect_c"] < report["at_most95_c"] < report["hottest_at_most95_c"] < report["ceiling_c"]
    )
    assert (report["refused"], report["wait_s"]) == (False, None)
    assert report["assumed"]["watts"] == 700
    assert report["assumed"]["watts_by"] == "rating"


def test_bursts_so_far_narrow_what_is_taken_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = asked(capsys, "--now", "38", "--mass", "100")
    later = asked(capsys, pairs(tmp_path), "--mass", "100")
    assert later["now_c"] == 38
    assert later["seconds"] > first["seconds"]
    wide = math.log(first["absorbed_high95"] / first["absorbed_low95"])
    assert math.log(later["absorbed_high95"] / later["absorbed_low95"]) < wide / 2
    # by hand: 11 K in 13 s of 800 W, 100 g of 2.05 J/gK and what melted between 27 and 38 °C
    assert later["absorbed_share"] > 11 * 100 * 2.05 / (800 * 13)


def test_the_water_test_is_the_standards_arithmetic(capsys: pytest.CaptureFixture[str]) -> None:
    report = asked(capsys, "--now", "22", "--water-test", "100,18,43,60")
    # IEC 60705: 4.187 m (T2 - T1) / t, the start of 2 s not counted
    assert report["assumed"]["watts"] == pytest.approx(4.187 * 100 * 25 / 58)
    assert report["assumed"]["watts_by"] == "water test"


def test_stir_and_wait_says_how_long(capsys: pytest.CaptureFixture[str]) -> None:
    report = asked(capsys, "--now", "74", "--mass", "100")
    assert report["seconds"] == 0
    assert not report["refused"]
    assert 10 < report["wait_s"] < 900
    assert "No more bursts" in report["says"][0]
    assert "cooled enough" in report["says"][1]
    done = asked(capsys, "--now", "66", "--mass", "100", "--clear")
    assert "melted" in done["says"][0]
    assert done["wait_s"] is None


def test_little_balm_goes_into_the_bath_or_beside_a_cup_of_water(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small = asked(capsys, pairs(tmp_path), "--mass", "40")
    assert small["refused"]
    assert small["seconds"] == 0
    assert small["expect_c"] is None
    text = " ".join(small["says"])
    for offered in ("water bath", "cup", "new water test", "--ballast 250"):
        assert offered in text
    beside = asked(capsys, "--now", "22", "--mass", "40", "--ballast", "250", "--water-test", "40,18,43,90")
    assert not beside["refused"]
    assert beside["seconds"] > 0
    assert main(["burst", "--now", "22", "--ballast", "250", "--project", str(SAMPLE)]) == TROUBLE
    assert "water test" in capsys.readouterr().err


def test_what_must_never_go_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report = asked(capsys, pairs(tmp_path), "--vessel", "steel_jug_400")
    assert report["refused"]
    assert "metal" in report["says"][0]
    document = json.loads(SAMPLE.read_text(encoding="utf-8"))
    recipe = document["recipes"][0]["revisions"][-1]["recipe"]
    kept = [row for row in recipe["base"] if "wax" in row["material"]]
    liquid = next(row for row in recipe["base"] if row not in kept)
    recipe["base"] = [*kept, liquid | {"material": "squalane"}]
    assert kept
    rich = tmp_path / "rich.json"
    rich.write_text(json.dumps(document), encoding="utf-8")
    assert main(["burst", "--now", "22", "--mass", "100", "--project", str(rich), "--json"]) == 0
    refused = json.loads(capsys.readouterr().out)
    assert refused["refused"]
    assert "water bath" in " ".join(refused["says"])
    assert "cup" not in " ".join(refused["says"])  # ballast does not help what takes up nothing


def test_the_thermometers_check_corrects_what_was_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = json.loads(SAMPLE.read_text(encoding="utf-8"))
    document["shelf"]["thermometers"][0] |= {"offset_k": -2.0, "slope": 1.02, "checked": "2026-01-10"}
    checked = tmp_path / "checked.json"
    checked.write_text(json.dumps(document), encoding="utf-8")
    words = ["burst", "--now", "50", "--project", str(checked), "--json"]
    assert main(words) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["now_c"] == pytest.approx(1.02 * 50 - 2.0)
    assert report["assumed"]["thermometer_sd_k"] < 0.5
    assert main([*words, "--thermometer", "none"]) == 0
    assert json.loads(capsys.readouterr().out)["now_c"] == 50


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ((), "--now"),
        (("--now", "warm"), "give a number"),
        (("--now", "22", "--oven", "toaster"), "no microwave"),
        (("--now", "22", "--oven", "5"), "give a number"),
        (("--now", "22", "--ceiling", "94"), "--ceiling 94"),  # it only ever lowers the recipe's
        (("--now", "22", "--water-test", "100,18,43"), "--water-test 100,18,43"),
        (("--now", "22", "--water-test", "100,18,20,60"), "too little"),
        (("--now", "22", "--mass", "400", "--water-test", "100,18,43,60"), "as much water"),
        (("--now", "22", "--vessel", "bucket"), "no vessel"),
        (("--now", "22", "--thermometer", "nose"), "no thermometer"),
    ],
)
def test_wrong_input_is_a_sentence(
    capsys: pytest.CaptureFixture[str], more: tuple[str, ...], says: str
) -> None:
    assert main(["burst", *more, "--project", str(SAMPLE)]) == TROUBLE
    assert says in capsys.readouterr().err


def test_a_bad_file_tells_every_fault_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = pairs(tmp_path, "seconds,before_c,after_c\n10,22\n0,22,30\n10,hot,40\n10,40,22\n10,22,30\n")
    assert main(["burst", file, "--project", str(SAMPLE)]) == TROUBLE
    err = capsys.readouterr().err
    for line in (2, 3, 4, 5):
        assert f"line {line}:" in err
    assert "line 6:" not in err


def test_in_plain_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["burst", pairs(tmp_path), "--project", str(SAMPLE)]) == 0
    out = capsys.readouterr().out
    for part in (
        "next burst: ",
        "Then stir 20 s and read",
        "in 95 of 100 cases at most",
        "ceiling",
        "Assumed:",
        "Oven: 800 W",
    ):
        assert part in out


def with_tests(folder: Path, *tests: dict[str, Any]) -> str:
    """The sample with these water tests kept on its microwave, as the window keeps them."""
    whole = json.loads(SAMPLE.read_text(encoding="utf-8"))
    whole["shelf"]["microwaves"] = [
        {
            "key": "oven",
            "name": "Oven",
            "rated_w": 800,
            "tests": [{"day": "2026-03-01", **each} for each in tests],
        }
    ]
    file = folder / "tested.json"
    file.write_text(json.dumps(whole), encoding="utf-8")
    return str(file)


def test_water_tests_kept_on_the_shelf_speak_of_loads_like_their_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # IEC 60705, the start of 2 s not counted: 4.187 x 100 g x 40 K / 40 s = 419 W
    project = with_tests(tmp_path, {"water_g": 100, "before_c": 15, "after_c": 55, "seconds": 42})
    asked_for = ["burst", "--project", project, "--now", "22", "--oven", "oven", "--json"]
    assert main([*asked_for, "--mass", "100"]) == 0
    like = json.loads(capsys.readouterr().out)
    assert like["assumed"]["watts"] == pytest.approx(418.7)
    assert like["assumed"]["watts_by"] == "learned"
    assert not any("counted" in each for each in like["says"])
    assert main([*asked_for, "--mass", "400"]) == 0
    large = json.loads(capsys.readouterr().out)
    assert large["assumed"]["watts"] == 800  # its plate: a larger load gets more
    assert large["assumed"]["watts_by"] == "rating"
    assert any("400 g is much more" in each and "not counted" in each for each in large["says"])


def test_a_cup_beside_the_jug_goes_by_the_test_that_was_kept_with_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain = {"water_g": 100, "before_c": 15, "after_c": 55, "seconds": 42}
    beside = {"water_g": 40, "before_c": 15, "after_c": 30, "seconds": 26, "cup_g": 250}
    words = ["burst", "--now", "22", "--oven", "oven", "--mass", "40", "--json", "--ballast", "250"]
    assert main([*words, "--project", with_tests(tmp_path, plain)]) == TROUBLE
    assert "make a water test with it standing there" in capsys.readouterr().err
    assert main([*words, "--project", with_tests(tmp_path, plain, beside)]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["assumed"]["watts"] == pytest.approx(4.187 * 40 * 15 / 24)
    assert not report["refused"]
    assert any("Fresh cold water into the cup" in each for each in report["says"])
