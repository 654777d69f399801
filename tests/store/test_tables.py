"""Readings and weights as CSV, and readings in."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.store.builders import at, new_project, reading, started
from workbench.core.batch.events import Added, Corrected, DropsCounted, MassWeighed, TinPoured
from workbench.store import tables
from workbench.store.project import Project
from workbench.store.troubles import Kind, StoreTrouble


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_readings_and_weights_go_out_with_their_corrections(tmp_path: Path) -> None:
    events = (
        started(),
        reading(60, 58.5),
        MassWeighed(**at(70), step="w", need="mass:beeswax", material="beeswax", mass_g=20.02, typed="20,02", lot="b1"),
        DropsCounted(**at(80), step="m", need="d", material="lavender", count=12, typed="12", mass_g=0.41),
        Added(**at(90), step="s", material="jojoba", mass_g=3.0, typed="=3", reason="too firm"),
        TinPoured(**at(99), step="pour:1", tin="round_50", number=1, mass_g=28.5, typed="28.5"),
        Corrected(**at(100), step="w", of=3, value=20.2, typed="20.2", reason="misread, \"sorry\""),
        Corrected(**at(101), step="w", of=2, value=85.5, typed="85.5", reason="wrong digit"),
    )  # fmt: skip
    with Project.create(tmp_path / "a.balmbook") as project:
        project.append(project.new_session(), 1, events)
        assert tables.export_readings(project, tmp_path / "r.csv") == 1
        assert tables.export_weights(project, tmp_path / "w.csv") == 4
    (one,) = rows(tmp_path / "r.csv")
    assert tuple(one) == tables.READING_COLUMNS
    assert (one["session"], one["entry"], one["celsius"], one["stirred"]) == ("s1", "2", "58.5", "yes")
    assert (one["corrected_shown_c"], one["correction_reason"]) == ("85.5", "wrong digit")
    weights = rows(tmp_path / "w.csv")
    assert tuple(weights[0]) == tables.WEIGHT_COLUMNS
    assert [row["what"] for row in weights] == ["weighed", "counted", "added", "poured"]
    assert (weights[0]["typed"], weights[0]["corrected"], weights[0]["lot"]) == ("20,02", "20.2", "b1")
    assert weights[0]["correction_reason"] == 'misread, "sorry"'
    assert (weights[1]["drops"], weights[1]["mass_g"]) == ("12", "0.41")
    assert weights[2]["typed"] == "'=3"  # a spreadsheet must not compute what was typed
    assert weights[3]["material_or_tin"] == "round_50 1"


def test_an_empty_project_has_headings(tmp_path: Path) -> None:
    with new_project(tmp_path / "a.balmbook") as project:
        assert tables.export_readings(project, tmp_path / "r.csv") == 0
    assert rows(tmp_path / "r.csv") == []
    assert (tmp_path / "r.csv").read_text().startswith("session,recipe,entry,")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0,90\n60,81.5\n", ((0, 90), (60, 81.5))),
        ("seconds,celsius\r\n0,90\r\n60,81.5\r\n", ((0, 90), (60, 81.5))),
        ("\ufeff0;90,5\n60;81,25\n", ((0, 90.5), (60, 81.25))),
        ("t\tT\n0\t90,5\n", ((0, 90.5),)),
        ('"0","90"\n\n# cooled on the sill\n60, 81.5', ((0, 90), (60, 81.5))),
        ("0,-5\n0,-5\n", ((0, -5), (0, -5))),
    ],
)
def test_readings_come_in_as_people_write_them(
    tmp_path: Path, text: str, expected: tuple[tuple[float, float], ...]
) -> None:
    path = tmp_path / "r.csv"
    path.write_text(text, encoding="utf-8")
    assert tables.read_readings(path) == expected


def test_every_fault_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "r.csv"
    path.write_text("s,c\n0,90\n60\n120,hot\n60,81\n50,80\n70,nan\n80,5e9\n90,1_0\n100,٣\n")
    with pytest.raises(StoreTrouble, match="faults found in it: 7") as caught:
        tables.read_readings(path)
    assert caught.value.kind is Kind.INVALID
    assert [fault.place for fault in caught.value.faults] == [f"line {n}" for n in (3, 4, 6, 7, 8, 9, 10)]


def test_a_decimal_comma_between_commas_is_not_guessed() -> None:
    """60,81,5 may be 81.5 °C or three numbers: it is refused, not read as 81 or as 815."""
    with pytest.raises(StoreTrouble, match="line 1: Write two numbers"):
        tables.parse_readings(b"60,81,5\n", Path("r.csv"))


@pytest.mark.parametrize("data", [b"", b"\n\n", b"# nothing", b"seconds,celsius\n", b"\xff\xfe", b"\x00"])
def test_nothing_to_read(data: bytes) -> None:
    with pytest.raises(StoreTrouble):
        tables.parse_readings(data, Path("r.csv"))


def test_faults_without_end_are_cut_off() -> None:
    with pytest.raises(StoreTrouble) as caught:
        tables.parse_readings(b"x,y\n" + b"a,b\n" * 10_000, Path("r.csv"))
    assert len(caught.value.faults) == 200


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble):
        tables.read_readings(tmp_path / "r.csv")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("10,22,30.5\n", ((10, 22, 30.5),)),
        ("seconds,before_c,after_c\n10,22,30\n12,29,41\n", ((10, 22, 30), (12, 29, 41))),
        ("After_C;Seconds;Before_C\n30,5;10;22\n", ((10, 22, 30.5),)),
        ("# oven at full power\n10\t22\t21\n", ((10, 22, 21),)),
    ],
)
def test_bursts_come_in_as_people_write_them(
    tmp_path: Path, text: str, expected: tuple[tuple[float, float, float], ...]
) -> None:
    path = tmp_path / "b.csv"
    path.write_text(text, encoding="utf-8")
    assert tables.read_bursts(path) == expected


def test_every_fault_among_bursts_is_told_with_its_line() -> None:
    text = b"time,from,to\n10,22\n0,22,30\n700,22,30\n10,22,300\n10,50,30\n10,22,x\n10,22,30,1\n10,22,30\n"
    with pytest.raises(StoreTrouble, match="faults found in it: 8") as caught:
        tables.parse_bursts(text, Path("b.csv"))
    assert [fault.place for fault in caught.value.faults] == [f"line {n}" for n in range(1, 9)]
    for data in (b"", b"seconds,before_c,after_c\n", b"\xff\xfe"):
        with pytest.raises(StoreTrouble):
            tables.parse_bursts(data, Path("b.csv"))
