"""Tables of one recipe or one batch, large exports, and what `verify` says of a sound and a broken project."""

from __future__ import annotations

import csv
import sqlite3
from pathlib import Path

import pytest

from tests.cli.test_commands import HARBOUR, run
from tests.store.builders import at, reading, started
from workbench.core.batch.events import MassWeighed
from workbench.store import interchange
from workbench.store.project import Project


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """Two recipes: three batches, four readings, one weight."""
    path = tmp_path / "kitchen.balmbook"
    with Project.create(path) as project:
        for name, readings in (("Wind over Thyme", 1), ("Wet Slate", 2), ("Wind over Thyme", 1)):
            session = project.new_session()
            begun = started().model_copy(update={"recipe_name": name})
            project.append(
                session, 1, [begun, *(reading(60.0 * n, 50.0 + n) for n in range(1, readings + 1))]
            )
        project.append(
            "s3", 3,
            [MassWeighed(**at(70), step="w", need="mass:beeswax", material="beeswax", mass_g=9.5, typed="9.5")],
        )  # fmt: skip
    return path


def column(path: Path, name: str) -> list[str]:
    with path.open(encoding="utf-8", newline="") as file:
        return [row[name] for row in csv.DictReader(file)]


def test_readings_of_all_of_a_recipe_or_of_one_batch(
    capsys: pytest.CaptureFixture[str], kitchen: Path, tmp_path: Path
) -> None:
    out = tmp_path / "r.csv"
    code, said, _ = run(capsys, "export", kitchen, "--readings", "-o", out)
    assert (code, column(out, "session")) == (0, ["s1", "s2", "s2", "s3"])
    assert "4 rows of 3 batches" in said
    assert run(capsys, "export", kitchen, "--readings", "--recipe", "wind over thyme", "-o", out)[0] == 0
    assert column(out, "session") == ["s1", "s3"]
    assert run(capsys, "export", kitchen, "--readings", "--session", "s2", "-o", out)[0] == 0
    assert column(out, "celsius") == ["51.0", "52.0"]


def test_weights_get_a_name_of_their_own(capsys: pytest.CaptureFixture[str], kitchen: Path) -> None:
    code, said, _ = run(capsys, "export", kitchen, "--weights")
    assert code == 0
    assert "kitchen weights.csv" in said
    assert column(kitchen.with_name("kitchen weights.csv"), "mass_g") == ["9.5"]


@pytest.mark.parametrize("which", [("--recipe", "Nobody"), ("--session", "s9")])
def test_a_batch_that_is_not_there_is_said(
    capsys: pytest.CaptureFixture[str], kitchen: Path, which: tuple[str, str]
) -> None:
    code, _, err = run(capsys, "export", kitchen, "--readings", *which)
    assert code == 2
    assert which[1] in err
    assert not kitchen.with_name("kitchen temperatures.csv").exists()


def test_json_always_holds_everything(capsys: pytest.CaptureFixture[str], kitchen: Path) -> None:
    with pytest.raises(SystemExit):
        run(capsys, "export", kitchen, "--session", "s1")
    assert "JSON always holds everything" in capsys.readouterr().err


def test_a_large_export_says_how_it_comes_in_again(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, out, again = tmp_path / "h.balmbook", tmp_path / "h.json", tmp_path / "again.balmbook"
    run(capsys, "import", HARBOUR, made)
    monkeypatch.setattr(interchange, "MOST_BYTES", 10_000)
    code, said, _ = run(capsys, "export", made, "-o", out)
    assert code == 0
    assert "balmbook import --large h.json" in said
    code, _, err = run(capsys, "import", out, again)
    assert code == 2
    assert "balmbook import --large h.json" in err
    assert not again.exists()
    assert run(capsys, "import", "--large", out, again)[0] == 0
    assert run(capsys, "verify", again)[0] == 0


# what `verify` says


def test_a_sound_project_is_counted(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    made = tmp_path / "harbour.balmbook"
    run(capsys, "import", HARBOUR, made)
    code, said, err = run(capsys, "verify", made)
    assert (code, err) == (0, "")
    assert said.startswith("harbour.balmbook: sound (1 recipe, ")


def test_a_changed_entry_is_found_with_its_place(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    made = tmp_path / "harbour.balmbook"
    run(capsys, "import", HARBOUR, made)
    file = sqlite3.connect(made)
    (trigger,) = file.execute("SELECT sql FROM sqlite_schema WHERE name = 'events_never_changed'").fetchone()
    file.execute("DROP TRIGGER events_never_changed")
    file.execute("UPDATE events SET body = replace(body, '0', '1') WHERE session = 1 AND seq = 4")
    file.execute(trigger)  # whoever cheats puts it back
    file.commit()
    file.close()
    before = made.read_bytes()
    code, said, _ = run(capsys, "verify", made)
    assert code == 1
    assert "wrong: session s1, entry 4: it was changed after it was written" in said
    assert "harbour.balmbook: " in said
    assert " fault (" in said or " faults (" in said
    assert made.read_bytes() == before


@pytest.mark.parametrize("share", [0.0, 0.001, 0.5, 0.97])
def test_a_truncated_project_is_said_in_plain_words(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, share: float
) -> None:
    made = tmp_path / "harbour.balmbook"
    run(capsys, "import", HARBOUR, made)
    whole = made.read_bytes()
    cut = whole[: int(share * len(whole))]
    made.write_bytes(cut)
    code, said, err = run(capsys, "verify", made)
    assert code in (1, 2)
    assert "harbour.balmbook" in said + err
    assert "Traceback" not in said + err
    assert "backup" in said + err or share < 0.01
    assert made.read_bytes() == cut
