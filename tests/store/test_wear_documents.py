"""Wear tests and words from wearers in a real project: kept, erased on request, taken along in an export."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from tests.core.review.worn import DABBED
from workbench.core.review.keeping import ERASED, WEAR_TEST, WORD_FROM_WEARER, body_of, read_kept
from workbench.core.review.reactions import reactions
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.store.backup import backups
from workbench.store.interchange import export_project, import_project
from workbench.store.project import Project

WORN = WearTests(
    session="s1",
    batch_code="E-1",
    made_g={"jojoba": 30.0, "lavender": 1.5},
    tests=(
        WearTest(
            number=1, wearer="QX", dabbed=DABBED, marks=(Mark(after_min=10, middle=6, words="like wet hay"),)
        ),
        WearTest(number=2, wearer="ZY", dabbed=DABBED, marks=(Mark(after_min=0, overall=9, words="soapy"),)),
    ),
)
SAID = WordsFromWearers(
    session="s1",
    batch_code="E-1",
    recipe_name="Evening ember",
    said=(
        WordFromWearer(
            number=1, told=date(2026, 5, 1), wearer="QX", reaction=True, words="red elbow for a day"
        ),
    ),
)
PRIVATE = ("QX", "like wet hay", "red elbow for a day")


def kept(project: Project) -> tuple[WearTests | None, WordsFromWearers | None]:
    return (
        read_kept(WearTests, project.documents(WEAR_TEST, "s1")[-1].body),
        read_kept(WordsFromWearers, project.documents(WORD_FROM_WEARER, "E-1")[-1].body),
    )


def made(path: Path) -> Project:
    project = Project.create(path, now=lambda: DABBED)
    project.save_document(WEAR_TEST, "s1", body_of(WORN.without(2)))
    project.save_document(WEAR_TEST, "s1", body_of(WORN))  # a second revision holds the words again
    project.save_document(WORD_FROM_WEARER, "E-1", body_of(SAID))
    return project


def test_words_and_initials_can_be_found_and_erased(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with made(path) as project:
        assert kept(project) == (WORN, SAID)
        found = project.personal_words()
        assert {each.text for each in found} == {*PRIVATE, "ZY", "soapy"}
        mine = [each for each in found if each.wearer == "QX"]  # whose words they are is told beside them
        assert {each.text for each in mine} == set(PRIVATE)
        assert {each.text for each in found if each.wearer == "ZY"} == {"ZY", "soapy"}
        assert len(mine) == 6  # two of the first revision, two of the second, two of what was said
        assert project.erase(mine, "asked for it") == 6
        worn, said = kept(project)
        assert worn is not None
        assert said is not None
        assert [test.wearer for test in worn.tests] == [ERASED, "ZY"]
        assert [test.marks[0].words for test in worn.tests] == [ERASED, "soapy"]
        assert worn.tests[0].marks[0].middle == 6  # a figure is no word
        assert (said.said[0].wearer, said.said[0].words) == (ERASED, ERASED)
        (flagged,) = reactions({"E-1": body_of(said)}, {})  # the caution stays, without the person
        assert (flagged.batch_code, flagged.wearer) == ("E-1", "")
        project.save_document(WEAR_TEST, "s1", body_of(worn))  # kept on, with what was erased in it
        assert kept(project)[0] == worn
        assert {each.text for each in project.personal_words()} == {"ZY", "soapy"}
    for file in (path, *(backup.path for backup in backups(path))):
        held = file.read_bytes()
        for text in PRIVATE:
            assert text.encode() not in held


def test_taken_along_in_an_export(tmp_path: Path) -> None:
    with made(tmp_path / "a.balmbook") as project:
        export_project(project, tmp_path / "a.json")
    import_project(tmp_path / "a.json", tmp_path / "b.balmbook", DABBED)
    with Project.open(tmp_path / "b.balmbook") as project:
        assert kept(project) == (WORN, SAID)
