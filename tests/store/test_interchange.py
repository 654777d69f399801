"""Out and in again: equal event by event; what cannot be taken in is told whole, with its places."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.store.builders import START, Calendar, batch, new_project, recipe, whole_batch
from workbench.core.catalogue.shelf import Shelf, Vessel, VesselMaterial
from workbench.store import documents, interchange
from workbench.store.check import check_project
from workbench.store.project import Project
from workbench.store.troubles import Kind, StoreTrouble

SHELF = Shelf(vessels=(Vessel(key="jug", name="Jug", material=VesselMaterial.STEEL, holds_ml=500.0),))


def fill(project: Project) -> None:
    project.save_shelf(SHELF)
    project.save_recipe(recipe())
    project.save_recipe(recipe(load_percent=6.0))
    project.save_recipe(recipe("Put away"))
    project.put_away("Put away")
    project.save_recipe(recipe("Renamed since"), was="Wind over Thyme")
    project.save_document("wear notes", "n1", {"wearer": "AB", "words": "itches", "liking": 4})
    project.save_document("wear notes", "n1", {"wearer": "AB", "words": "not any more", "liking": 5})
    project.save_document("trial", "t1", [1, 2.5, None, {"a": "b"}])
    project.save_draft("recipe", '{"half": "typed')
    project.append(project.new_session(), 1, whole_batch())
    project.append(project.new_session(), 1, whole_batch()[:40])


def everything(project: Project) -> dict[str, Any]:
    """All that a project holds, as it is read."""
    return {
        "id": project.id,
        "created": project.created,
        "shelf": project.shelf(),
        "recipes": project.recipes(),
        "revisions": {entry.name: project.revisions(entry.name) for entry in project.recipes()},
        "documents": {
            (kind, newest.key): project.documents(kind, newest.key)
            for kind in project.document_kinds()
            for newest in project.documents(kind)
        },
        "drafts": project.drafts(),
        "erasures": project.erasures(),
        "sessions": project.sessions(),
        "events": {entry.id: project.events(entry.id) for entry in project.sessions()},
        "erased": {
            entry.id: [stored.erased for stored in project.stored_events(entry.id)]
            for entry in project.sessions()
        },
    }


@pytest.fixture
def exported(tmp_path: Path) -> Path:
    with new_project(tmp_path / "a.balmbook") as project:
        fill(project)
        interchange.export_project(project, tmp_path / "a.json")
    return tmp_path / "a.json"


def test_out_and_in_gives_the_same_project(tmp_path: Path) -> None:
    with new_project(tmp_path / "a.balmbook") as project:
        fill(project)
        before = everything(project)
        interchange.export_project(project, tmp_path / "a.json")
    interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    with Project.open(tmp_path / "b.balmbook", now=Calendar()) as again:
        assert everything(again) == before
        interchange.export_project(again, tmp_path / "b.json")
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert check_project(tmp_path / "b.balmbook").sound


def test_what_was_erased_stays_erased(tmp_path: Path) -> None:
    with new_project(tmp_path / "a.balmbook") as project:
        fill(project)
        kept = [piece for piece in project.personal_words() if "entry 1" not in piece.place]
        project.erase([piece for piece in project.personal_words() if piece not in kept][:2], "asked")
        project.erase(kept[:4], "asked again")
        before = everything(project)
        interchange.export_project(project, tmp_path / "a.json")
    interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    with Project.open(tmp_path / "b.balmbook") as again:
        assert everything(again) == before
        assert len(again.erasures()) == 2
    assert check_project(tmp_path / "b.balmbook").sound


def test_an_empty_project_goes_out_and_in(tmp_path: Path) -> None:
    with new_project(tmp_path / "a.balmbook") as project:
        interchange.export_project(project, tmp_path / "a.json")
    interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    with Project.open(tmp_path / "b.balmbook") as again:
        assert (again.recipes(), again.sessions(), again.shelf()) == ((), (), Shelf())


def test_progress_is_told(exported: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    with Project.open(tmp_path / "a.balmbook") as project:
        interchange.export_project(
            project, tmp_path / "again.json", lambda done, total: told.append((done, total))
        )
    assert told == [(0, 2), (1, 2), (2, 2)]
    assert (tmp_path / "again.json").read_bytes() == exported.read_bytes()


def test_the_published_schema_is_current_and_the_export_fits_it(exported: Path) -> None:
    """Checked by an independent validator (jsonschema, draft 2020-12)."""
    published = Path(__file__).parents[2] / "resources" / "project.schema.json"
    text = published.read_text(encoding="utf-8")
    assert text == documents.schema_text(), "run python -m workbench.store.documents"
    schema = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    document = json.loads(exported.read_bytes())
    assert list(validator.iter_errors(document)) == []
    document["sessions"][0]["events"][3]["event"]["at_s"] = -1
    assert list(validator.iter_errors(document))


def refused(path: Path, change: Callable[[Any], object]) -> list[str]:
    document = json.loads(path.read_bytes())
    change(document)
    path.write_text(json.dumps(document))
    before = path.read_bytes()
    target = path.with_name("target.balmbook")
    with pytest.raises(StoreTrouble, match="cannot be taken in") as caught:
        interchange.import_project(path, target, START)
    assert caught.value.kind is Kind.INVALID
    assert not target.exists()
    assert path.read_bytes() == before
    return [str(fault) for fault in caught.value.faults]


def test_all_faults_are_told_at_once_with_their_places(exported: Path) -> None:
    def change(document: Any) -> None:
        document["sessions"][1]["events"][3]["event"]["at_s"] = -4
        document["recipes"][0]["revisions"][0]["recipe"]["load_percent"] = 400
        document["shelf"]["stove"] = "campfire"
        document["surprise"] = 1

    faults = refused(exported, change)
    assert len(faults) == 4, faults
    assert any(fault.startswith("sessions[1].events[3].event") and "at_s" in fault for fault in faults)
    assert any(fault.startswith("recipes[0].revisions[0].recipe.load_percent") for fault in faults)
    assert any(fault.startswith("shelf.stove") for fault in faults)
    assert any(fault.startswith("surprise") for fault in faults)


def swap(items: list[Any], first: int, second: int) -> None:
    items[first], items[second] = items[second], items[first]


@pytest.mark.parametrize(
    ("change", "place", "says"),
    [
        (lambda d: d["sessions"][0]["events"].pop(4), "sessions[0].events[4].seq", "must be 5"),
        (lambda d: d["sessions"][0]["events"].pop(0), "sessions[0].events[0].seq", "must be 1"),
        (lambda d: swap(d["sessions"], 0, 1), "sessions[0].id", "must be s1"),
        (
            lambda d: d["sessions"][0]["events"].__setitem__(
                0, {"seq": 1, "event": d["sessions"][0]["events"][1]["event"]}
            ),
            "sessions[0].events[0].event.kind",
            "begins with",
        ),
        (
            lambda d: d["sessions"][0]["events"][5]["event"].update(at_s=9e9),
            "sessions[0].events[6]",
            "older than the one before",
        ),
        (lambda d: d["sessions"][0]["events"][0]["event"].update(plan={}), "sessions[0].events[0]", "plan kept with this batch cannot be read"),
        (lambda d: d["recipes"].append(d["recipes"][0]), "recipes[2].name", "Another recipe"),
        (lambda d: d["recipes"][0].update(name="Else"), "recipes[0].name", "newest revision"),
        (lambda d: d["recipes"][1]["revisions"].pop(0), "recipes[1].revisions[0].revision", "must be 1"),
        (lambda d: d["documents"].pop(1), "documents[1].revision", "must be 1"),
        (lambda d: d["erasures"].append({"number": 2, "at": "2026-03-14T09:00:00Z", "what": "", "reason": "", "pieces": 1}), "erasures[0].number", "must be 1"),
        (lambda d: d["drafts"].append(d["drafts"][0]), "drafts[1].key", "Another draft"),
        (lambda d: d.update(format="else"), "format", "balmbook project"),
        (lambda d: d.update(version=2), "version", "1"),
    ],
)  # fmt: skip
def test_contradictions(exported: Path, change: Callable[[Any], object], place: str, says: str) -> None:
    faults = refused(exported, change)
    assert any(fault.startswith(place) and says in fault for fault in faults), faults


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x00\xff",
        b"[]",
        b"null",
        b"{",
        b'"text"',
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b'{"format": NaN}',
        b"9" * 50_000,
        "{'format': 1}".encode("utf-16"),
    ],
)
def test_what_is_no_project_at_all(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.json").write_bytes(data)
    with pytest.raises(StoreTrouble, match="cannot be taken in") as caught:
        interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    assert caught.value.faults
    assert not (tmp_path / "b.balmbook").exists()


def test_nan_in_free_parts_is_refused(exported: Path) -> None:
    text = exported.read_text().replace('"batch_g":', '"batch_g":NaN,"was":', 1)
    exported.write_text(text)
    with pytest.raises(StoreTrouble):
        interchange.import_project(exported, exported.with_name("b.balmbook"), START)
    assert not exported.with_name("b.balmbook").exists()


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / "a.json").open("wb") as file:
        file.truncate(interchange.MOST_BYTES + 1)
    with pytest.raises(StoreTrouble) as caught:
        interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    assert caught.value.kind is Kind.TOO_LARGE


def test_a_large_project_of_ones_own_can_be_let_in(
    exported: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange, "_MOST_VALUES", 1000)
    with pytest.raises(StoreTrouble, match="more than this program takes in"):
        interchange.import_project(exported, tmp_path / "b.balmbook", START)
    interchange.import_project(exported, tmp_path / "b.balmbook", START, large=True)


def test_an_import_takes_no_place_that_is_taken(exported: Path, tmp_path: Path) -> None:
    before = (tmp_path / "a.balmbook").read_bytes()
    with pytest.raises(StoreTrouble, match="is there already"):
        interchange.import_project(exported, tmp_path / "a.balmbook", START)
    assert (tmp_path / "a.balmbook").read_bytes() == before
    with pytest.raises(StoreTrouble):
        interchange.import_project(exported, tmp_path / "nowhere" / "b.balmbook", START)


def test_batches_without_meaning_are_exported_all_the_same(tmp_path: Path) -> None:
    """Out always works; in says what is wrong."""
    with new_project(tmp_path / "a.balmbook") as project:
        project.append(project.new_session(), 1, batch())
        interchange.export_project(project, tmp_path / "a.json")
    with pytest.raises(StoreTrouble) as caught:
        interchange.import_project(tmp_path / "a.json", tmp_path / "b.balmbook", START)
    assert [fault.place for fault in caught.value.faults] == ["sessions[0].events[0]"]
