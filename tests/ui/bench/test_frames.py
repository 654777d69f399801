"""No frame shows the card squeezed or half arranged: what is painted has the room that its words need."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QObject

from tests.ui.bench.conftest import Bench
from tests.ui.bench.test_near import SMALL
from workbench.core.batch import commands as ask
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.widgets.basic import Scroller

STEPS = ("weigh:jojoba", "mix", "melt", "cool", "add", "pour:1")


class Frames(QObject):
    """What was painted of a page that scrolls: its height, and the height its words need, in px."""

    def __init__(self, scroller: Scroller) -> None:
        super().__init__(scroller)
        page = scroller.widget()
        assert page is not None
        self.page = page
        self.painted: list[tuple[int, int]] = []
        self.page.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Paint:
            layout = self.page.layout()
            assert layout is not None
            need = layout.heightForWidth(self.page.width()) if layout.hasHeightForWidth() else 0
            self.painted.append((self.page.height(), need))
        return False


@pytest.mark.parametrize("heat", [Heat.WATER_BATH, Heat.MICROWAVE])
@pytest.mark.parametrize("size", [SMALL, (1280, 736)])
def test_no_frame_is_squeezed(make_bench: Callable[..., Bench], heat: Heat, size: tuple[int, int]) -> None:
    bench = make_bench(sample_plan(heat=heat), size=size)
    frames = Frames(bench.view.near.scroller)
    faults: list[str] = []

    def look(at: str) -> None:
        bench.settle()
        faults.extend(
            f"{at}: {tall} of {need} px" for tall, need in frames.painted if tall < need or need < 0
        )
        frames.painted.clear()

    for step in STEPS:
        bench.go_to({"melt": "melt:bath" if heat is Heat.WATER_BATH else "melt:bursts"}.get(step, step))
        look(f"{step} in hand")
        bench.maker.read_cautions()
        look(f"{step} with its cautions read")
        if step in ("melt", "cool"):
            bench.clock.advance(30.0)
            bench.maker.read()
            look(f"{step} with a reading")
    bench.runner.send(ask.Hold("the door bell"))
    look("on hold")
    bench.runner.send(ask.ConfirmSafe())
    look("held")
    assert not faults, "\n".join(faults)
