"""`balmbook stock` from a terminal."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path

import pytest

from tests.core.review.worn import DABBED
from workbench.cli.commands import TROUBLE, main
from workbench.core.batch import commands as ask
from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Lot
from workbench.core.review.keeping import WORD_FROM_WEARER, body_of
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.store.project import Project
from workbench.store.resources import load_starter_shelf
from workbench.testing import Maker, begin, sample_recipe


@lru_cache(maxsize=1)
def whole_batch() -> tuple[AnyEvent, ...]:
    conductor, clock, journal = begin()
    maker = Maker(conductor, clock)
    maker.go_to("weigh:beeswax")
    maker.read_cautions()
    maker.send(ask.Weigh("weigh:beeswax", "mass:beeswax", 8.07, "8.07", lot="b1"))
    maker.go_to_end()
    return tuple(journal.events)


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """One finished batch that took 8 g and some of a bag of 100 g of beeswax."""
    path = tmp_path / "kitchen.balmbook"
    lots = (Lot(key="b1", material="beeswax", left_g=100.0, price_per_kg=20.0),)
    with Project.create(path, now=lambda: DABBED) as project:
        project.save_shelf(load_starter_shelf().model_copy(update={"lots": lots}))
        project.save_recipe(sample_recipe())
        project.append(project.new_session(), 1, whole_batch())
    return path


def test_what_was_weighed_is_taken_off(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", str(kitchen), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    (lot,) = report["lots"]
    assert (lot["left_g"], lot["used_since_g"]) == (91.93, 8.07)
    assert lot["batches_left"] == pytest.approx(91.93 / 8.07, abs=0.05)
    assert {use["material"] for use in report["unbooked"]} >= {"jojoba", "shea_butter"}


def test_a_planned_batch_and_the_list(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", str(kitchen), "--recipe", "evening ember"]) == 0
    out = capsys.readouterr().out
    assert "Beeswax" in out
    assert "91.93 g" in out
    assert "To buy:" in out
    assert "Jojoba oil" in out


def test_what_skin_said_and_what_was_not_named_is_told(
    kitchen: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Project.open(kitchen, now=lambda: DABBED) as project:
        lots = (*project.shelf().lots, Lot(key="j1", material="jojoba", left_g=300.0))
        project.save_shelf(project.shelf().model_copy(update={"lots": lots}))
        word = WordsFromWearers(session="s1", said=(WordFromWearer(number=1, reaction=True),))
        project.save_document(WORD_FROM_WEARER, "s1", body_of(word))
    assert main(["stock", str(kitchen), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    by_lot = {each["lot"]: each for each in report["lots"]}
    assert "with this lot in it: batch s1" in by_lot["b1"]["reaction"]
    assert "Perhaps it was in a balm that skin reacted to" in by_lot["j1"]["reaction"]
    assert (by_lot["b1"]["unnamed_in"], by_lot["j1"]["unnamed_in"]) == ([], ["s1"])
    assert {use["batch"] for use in report["unbooked"]} == {"s1"}
    assert main(["stock", str(kitchen)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "skin reaction" in out
    assert "not known" in out


def test_an_exported_file_tells_the_same(
    kitchen: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Project.open(kitchen, now=lambda: DABBED) as project:
        project.save_document(WORD_FROM_WEARER, "s1", {"said": "cannot be read"})
    assert main(["stock", str(kitchen), "--json"]) == 0
    told = capsys.readouterr().out
    assert main(["export", str(kitchen), "-o", str(tmp_path / "a.json")]) == 0
    capsys.readouterr()
    assert main(["stock", str(tmp_path / "a.json"), "--json"]) == 0
    assert capsys.readouterr().out == told


def test_a_recipe_that_is_not_there(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", str(kitchen), "--recipe", "nothing"]) == TROUBLE
    assert "Evening ember" in capsys.readouterr().err
