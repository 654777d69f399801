"""`balmbook print` on the samples and on a project of one's own."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from tests.paper.measure import page_mm, reader, whole_text
from workbench.cli.commands import main
from workbench.store.interchange import import_project
from workbench.store.project import Project, wall_now

SAMPLES = Path(__file__).parents[2] / "sample_projects"
HARBOUR = SAMPLES / "harbour-evening.json"


def printed(target: Path, *words: str, source: Path = HARBOUR) -> bytes:
    assert main(["print", str(source), *words, "-o", str(target)]) == 0
    return target.read_bytes()


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """The terminal makes an application of its own; under test there is one already."""


def test_labels_of_the_newest_batch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--labels", "--maker", "Quay Kitchen", "--best-before", "2027-06-30")
    text = whole_text(printed(tmp_path / "a.pdf", *words))
    assert "Harbour" in text
    assert "Quay Kitchen" in text
    assert "06/2027" in text
    told = capsys.readouterr().out
    assert "Final." in told
    assert "certifies nothing" in told
    assert "Written:" in told


def test_a_draft_says_why_on_the_terminal_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = whole_text(printed(tmp_path / "a.pdf", "--labels", "--session", "s1"))
    assert "DRAFT" in text
    told = capsys.readouterr().out
    assert "A draft" in told
    assert "- The maker's name and address are missing." in told


@pytest.mark.parametrize(("place", "word"), [("US", "Net Wt"), ("UK", "Parfum"), ("present", "Enthält:")])
def test_place_and_language(place: str, word: str, tmp_path: Path) -> None:
    text = whole_text(printed(tmp_path / "a.pdf", "--labels", "--place", place, "--language", "de"))
    assert word in text


def test_a_grid_of_ones_own_on_letter(tmp_path: Path) -> None:
    words = ("--labels", "--paper", "Letter", "--columns", "3", "--rows", "2", "--start", "6", "--no-marks")
    pdf = printed(tmp_path / "a.pdf", *words)
    assert list(page_mm(pdf)) == pytest.approx([215.9, 279.4], abs=0.2)
    # five lids and five undersides: one on the first page, six, then three, then the tags
    assert len(reader(pdf).pages) >= 4


def test_the_card_the_sheet_and_the_ruler(tmp_path: Path) -> None:
    card = printed(tmp_path / "c.pdf", "--card", "--folded", "--words", "One.\\n\\nTwo.", "--for-whom", "M.")
    assert list(page_mm(card)) == pytest.approx([210, 148], abs=0.2)
    assert "For M." in whole_text(card)
    sheet = whole_text(printed(tmp_path / "s.pdf", "--sheet", "--session", "s1"))
    assert "Harbour Evening" in sheet
    assert "260912" in sheet
    assert "100.0 × 50.0 mm" in whole_text(printed(tmp_path / "r.pdf", "--ruler"))


def test_a_plan_and_a_practice_run_are_drafts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed(tmp_path / "a.pdf", "--labels", "--plan", "--recipe", "harbour evening")
    assert "plan" in capsys.readouterr().out
    printed(tmp_path / "b.pdf", "--labels", source=SAMPLES / "noon-ferry.json")
    assert "practice" in capsys.readouterr().out


def test_a_project_remembers_what_was_printed(tmp_path: Path) -> None:
    project = tmp_path / "harbour.balmbook"
    import_project(HARBOUR, project, wall_now())
    printed(tmp_path / "a.pdf", "--labels", "--maker", "Quay", "--best-before", "2027-06-30", source=project)
    with Project.open(project, read_only=True) as held:
        records = held.documents("label")
    assert [record.body["final"] for record in records] == [True]
    assert "Labels printed" in whole_text(printed(tmp_path / "s.pdf", "--sheet", source=project))


def test_an_open_project_is_left_alone_and_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    project = tmp_path / "harbour.balmbook"
    import_project(HARBOUR, project, wall_now())
    with Project.open(project):
        printed(tmp_path / "a.pdf", "--labels", source=project)
    assert "does not know of these labels" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--labels", "--session", "s9"), "no batch “s9”"),
        (("--labels", "--plan", "--recipe", "nobody's"), "--recipe"),
        (("--labels", "--columns", "9"), "wide"),
        (("--labels", "--columns", "0"), "columns"),
        (("--card", "--words", "long words " * 200), "letters too long"),
        (("--labels", "--best-before", "2090-01-01"), "cannot be good for longer"),
    ],
)
def test_trouble_ends_with_2_and_a_sentence(
    words: tuple[str, ...], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = main(["print", str(HARBOUR), *words, "-o", str(tmp_path / "a.pdf")])
    told = capsys.readouterr().err
    assert code == 2
    assert says in told
    assert not (tmp_path / "a.pdf").exists()


def test_a_day_that_is_none_is_refused_before_anything_else(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(["print", str(HARBOUR), "--labels", "--best-before", "soon"])
    assert end.value.code == 2
    assert "2027-09-30" in capsys.readouterr().err
