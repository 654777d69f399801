"""Contrast by computation, in all three palettes."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest

import workbench
from workbench.ui.palettes import (
    DARK,
    HIGH_CONTRAST,
    LIGHT,
    SHAPE_PAIRS,
    TEXT_PAIRS,
    Colours,
    contrast,
)

ALL = {"light": LIGHT, "dark": DARK, "high contrast": HIGH_CONTRAST}
UI = Path(workbench.__file__).parent


def test_the_contrast_of_black_and_white_is_21() -> None:
    # W3C, WCAG 2.2, definition of contrast ratio: from 1:1 to 21:1
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#123456", "#123456") == pytest.approx(1)


def test_the_lightest_grey_that_passes_on_white() -> None:
    # Common practice, no source: #767676 is the lightest grey with 4.5:1 on white, #777777 just fails
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("pair", TEXT_PAIRS, ids="/".join)
def test_text_has_a_contrast_of_4_5(name: str, pair: tuple[str, str]) -> None:
    # WCAG 2.2, success criterion 1.4.3
    text, ground = (getattr(ALL[name], role) for role in pair)
    assert contrast(text, ground) >= 4.5


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("pair", SHAPE_PAIRS, ids="/".join)
def test_shapes_that_mean_something_have_3(name: str, pair: tuple[str, str]) -> None:
    # WCAG 2.2, success criterion 1.4.11
    shape, ground = (getattr(ALL[name], role) for role in pair)
    assert contrast(shape, ground) >= 3


def test_every_role_has_a_plain_colour() -> None:
    for colours in ALL.values():
        for field in fields(Colours):
            assert re.fullmatch(r"#[0-9a-f]{6}", getattr(colours, field.name)), field.name


def test_no_colour_stands_anywhere_else() -> None:
    """A literal colour outside the palettes would stay behind when the theme changes."""
    literal = re.compile(r"#[0-9a-fA-F]{6}\b|\bQColor\(\s*[\"\d]|GlobalColor\.(?!transparent)")
    found = [
        f"{path.relative_to(UI)}:{number}: {line.strip()}"
        for path in sorted(UI.rglob("*.py"))
        if path.name != "palettes.py" and ("ui" in path.parts or path.name == "app.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if literal.search(line)
    ]
    assert not found, "\n".join(found)
