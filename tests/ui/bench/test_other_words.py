"""The running batch in other units and in another language: nothing of the old is left, nothing is cut."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from tests.ui.bench.conftest import Bench
from tests.ui.bench.test_far import cut as cut_far
from tests.ui.fitting import cut, over_one_another
from tests.ui.pseudo import LEFT, Pseudo, spoken
from tests.ui.seen import said
from workbench.core.recipe.model import Heat
from workbench.core.units import MassUnit, TemperatureUnit, Units
from workbench.testing import sample_plan
from workbench.ui.writing import Writer

STEPS = (
    "prepare",
    "weigh:beeswax",
    "melt:bath",
    "cool",
    "add",
    "stir",
    "pour:1",
    "set",
    "inspect",
    "weigh_tins",
)
OTHER = Writer(Units(mass=MassUnit.OUNCE, temperature=TemperatureUnit.FAHRENHEIT))
# a mass or a temperature in metric units
OLD = re.compile(r"\d\s?(g|kg|°C|K)(?![\w/])")


def own_words(bench: Bench) -> list[str]:
    """Names that a maker or a maker's tables gave: quoted, not written."""
    plan = bench.state.plan
    assert plan is not None
    names = {line.name for line in plan.lines} | {tin.name for tin in plan.tins} | {plan.recipe.name}
    names |= {each.name for each in plan.materials.values()}
    names.add("Example: pocket scale, 0.01 g to 100 g")
    return sorted(names, key=len, reverse=True)


def walk(bench: Bench, each: Callable[[str], list[str]]) -> list[str]:
    """Every kind of step, from near and in the bench view on each of its pages."""
    faults = []
    for step in STEPS:
        bench.go_to(step)
        bench.maker.read_cautions()
        bench.maker.wait(70.0)
        bench.view.show_state()
        bench.settle()
        faults += each(step)
        bench.view.show_far(True)
        bench.settle()
        for page in range(bench.view.far.pages):
            faults += each(f"{step}, bench view, page {page + 1}")
            bench.view.far.turn_page()
            bench.settle()
        bench.view.show_far(False)
    bench.go_to_end()
    return faults + each("finished")


def test_other_units_take_effect_in_every_step(bench: Bench) -> None:
    bench.view.set_writer(OTHER)

    def left(where: str) -> list[str]:
        found = []
        for widget, text in said(bench.view):
            for name in own_words(bench):
                text = text.replace(name, "")
            if OLD.search(text):
                found.append(f"{where}: {type(widget).__name__} {text[:80]!r}")
        return found

    faults = walk(bench, left)
    assert not faults, "\n".join(dict.fromkeys(faults[:20]))
    words = "\n".join(text for _, text in said(bench.view))
    assert "°F" in words
    assert " oz" in words


@pytest.fixture
def pseudo(qapp: QApplication) -> Iterator[Pseudo]:
    with spoken(qapp) as made:
        yield made


def only_values(text: str) -> bool:
    """Numbers with units, times and marks are no texts of the window."""
    rest = re.sub(r"[-−<±–\d.,·%:/()\s×!+↗↘→…]+", " ", text).split()
    return all(word in ("g", "oz", "mL", "mm", "°C", "°F", "h", "min", "s", "K") for word in rest)


@pytest.mark.parametrize("heat", [Heat.WATER_BATH])
def test_another_language_leaves_nothing_untranslated_and_nothing_cut(
    pseudo: Pseudo, make_bench: Callable[..., Bench], heat: Heat
) -> None:
    """A language that is a third longer, with accents and brackets."""
    bench = make_bench(sample_plan(heat=heat), size=(1280, 800))

    def check(where: str) -> list[str]:
        names, found = own_words(bench), []
        for widget, text in said(bench.view):
            if LEFT in text or only_values(text):
                continue
            for name in names:
                text = text.replace(name, "")
            if not only_values(text):
                found.append(f"{where}: {type(widget).__name__} says {text[:60]!r}")
        if bench.view.is_far:
            found += [f"{where}: {each}" for each in cut_far(bench.view.far)]
        else:
            shown = [each for each in bench.view.findChildren(QWidget) if each.isVisibleTo(bench.view)]
            found += [f"{where}: {each}" for each in map(cut, shown) if each]
            found += [f"{where}: {each}" for each in over_one_another(bench.view)]
        return found

    faults = walk(bench, check)
    assert any(LEFT in label.text() for label in bench.view.findChildren(QLabel))
    assert not faults, "\n".join(dict.fromkeys(faults[:30]))
