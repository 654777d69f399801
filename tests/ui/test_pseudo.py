"""The pseudo-language finds what was not translated, and what has no room when texts grow by a third."""

from __future__ import annotations

import ast
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QWidget

from tests.gallery.pairs import Look, Place
from tests.gallery.stage import SAMPLES, Stage
from tests.texts import RESOURCES, messages
from tests.ui.editor.kitchen import OPEN, SHUT
from tests.ui.fitting import cut
from tests.ui.pseudo import LEFT, RIGHT, pseudo, spoken
from tests.ui.seen import said
from tests.ui.test_access import PAGES, dialogs
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import Grams, say
from workbench.ui.paper.preview import PageView
from workbench.ui.scent.course_data import short_name
from workbench.ui.theme import Scheme
from workbench.ui.writing import Writer, told

TESTS = Path(__file__).resolve().parents[1]
LOOK = Look(Scheme.LIGHT, Place.LARGE, 100)
# signs of units, numbers and the law: the same in every language
SIGNS = re.compile(
    r"\b(g|oz|mL|mm|cm|min|h|s|W|kB|MB|EUR|USD|GBP|mmol|L|kg|m|PDF|JSON|CAS|INCI|IFRA|EU|UK|US|GB|Balmbook|English|balmbook|"
    r"[A-Z]|F\d+|Ctrl|Shift|Return|Esc|Alt|x|h:min|ppm|IE)\b"
)


def leaves(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, below in value.items():
            yield str(key)
            yield from leaves(below)
    elif isinstance(value, list):
        for below in value:
            yield from leaves(below)
    elif isinstance(value, str):
        yield value


@pytest.fixture(scope="module")
def quoted() -> list[str]:
    """Names and sources as they stand in tables, and whatever a maker wrote: quoted, never translated."""
    found: set[str] = set()
    for path in (*RESOURCES.glob("*.toml"), *(RESOURCES / "materials").glob("*.toml")):
        found |= set(leaves(tomllib.loads(path.read_text(encoding="utf-8"))))
    for path in SAMPLES:
        found |= set(leaves(json.loads(path.read_text(encoding="utf-8"))))
        found.add(path.stem.replace("-", " ").capitalize())
    translated = {one.source for one in messages()}
    words = {one for one in found if any(letter.isalpha() for letter in one) and one not in translated}
    words |= {short_name(one) for one in words if "," in one or "(" in one}
    for path in (*(TESTS / "gallery").glob("*.py"), TESTS / "ui" / "history" / "past.py"):
        words |= {
            node.value
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value) > 2
        }
    words |= {"A year", "A4", "A5", "A6", "Letter", "Deutsch", "Français", "Español"}
    words |= {OPEN.name, SHUT.name, "Kitchen", "A new balm", "Evening ember"}
    return sorted(words, key=len, reverse=True)


def not_translated(text: str, quoted: list[str]) -> str:
    """What of a text stands outside the brackets and is no name, number, unit or sign; "" for nothing."""
    inside = re.compile(f"{LEFT}[^{LEFT}{RIGHT}]*{RIGHT}")
    while (less := inside.sub(" ", text)) != text:
        text = less
    if not any(letter.isalpha() for letter in text):
        return ""
    for name in quoted:
        if name in text:
            text = text.replace(name, " ")
    text = SIGNS.sub(" ", re.sub(r"°[CF]|\d+|[°%×±·–−,.:;()/<>=!?“”…_+-]", " ", text))
    return " ".join(text.split()) if any(letter.isalpha() for letter in text) else ""


def test_the_pseudo_language_is_longer_accented_and_keeps_what_is_filled_in() -> None:
    made = pseudo("Weigh {mass} of %n &tins")
    assert made.startswith(LEFT)
    assert made.endswith(RIGHT)
    assert len(made) >= 1.3 * len("Weigh {mass} of %n &tins")
    assert "{mass}" in made
    assert "%n" in made
    assert "&t" in made
    assert "Weigh" not in made


def roomy(widget: QWidget) -> str:
    return cut(widget, 26)


@pytest.mark.slow
def test_every_page_speaks_it_and_has_room_for_it(
    tmp_path: Path, qapp: QApplication, quoted: list[str]
) -> None:
    faults: list[str] = []
    with spoken(qapp) as speaker:
        stage = Stage(tmp_path)
        label = stage.house.workplace.answers.label
        printed = (label.allergens, label.ingredients)
        for scene in PAGES:
            stage.put_on(LOOK)
            scene.put(stage)
            stage.put_on(LOOK)
            for widget, text in said(stage.window):
                if isinstance(widget, PageView) or widget in printed:
                    continue  # what is printed has a language of its own
                if left := not_translated(text, quoted):
                    faults.append(
                        f"{scene.name}: {type(widget).__name__} says {left[:60]!r} in {text[:60]!r}"
                    )
            faults += [f"{scene.name}: {one}" for one in filter(None, map(roomy, stage.shown()))]
        for action in stage.window.findChildren(QAction):
            if left := not_translated(action.text(), quoted):
                faults.append(f"menu: {left!r}")
        for dialog in dialogs(stage.window):
            dialog.open()
            stage.settle()
            shown = [one for one in dialog.findChildren(QWidget) if one.isVisible()]
            faults += [f"{type(dialog).__name__}: {one}" for one in filter(None, map(roomy, shown))]
            dialog.reject()
            stage.settle()
        stage.close()
    assert not faults, "\n".join(dict.fromkeys(faults))
    known, ours = {one.source for one in messages()}, {one.context for one in messages()}
    # a record keeps the title of a step as it was said on the day: a template with its names filled in
    on_the_day = [
        re.compile(f"{re.escape(one.split('{')[0])}.+") for one in known if one.startswith("Weigh {")
    ]
    missing = {
        text
        for context, text in speaker.asked
        if context in ours and text not in known and " " in text and not_translated(text, quoted)
        and not any(each.fullmatch(text) for each in on_the_day)
    }  # fmt: skip
    assert not missing, "extraction misses: " + "\n".join(sorted(missing)[:20])


def test_sentences_and_troubles_of_the_core_speak_it_too(qapp: QApplication, quoted: list[str]) -> None:
    with spoken(qapp):
        writer = Writer()
        sentence = say("Weigh {mass} of {name} on {scale}. Note the lot if you keep lots.",
                       mass=Grams(2.5), name="Beeswax", scale="a scale")  # fmt: skip
        assert not not_translated(writer.sentence(sentence), ["Beeswax"])
        trouble = Trouble(
            say("There is no number here. Type one, for example 1.3."), (Fault("", say("It is empty.")),)
        )
        assert not not_translated(writer.trouble(trouble), quoted)
        with pytest.raises(Trouble) as refused:
            writer.read_plain("x")
        assert not not_translated(told(refused.value.says), ["x"])
