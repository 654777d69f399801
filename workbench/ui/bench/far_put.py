"""Filling the pages of the bench view: room that is left makes letters and digits larger."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect

from workbench.ui.bench.far_blocks import Figures
from workbench.ui.bench.far_fit import FarPage, one_page
from workbench.ui.bench.letters import Block, put
from workbench.ui.bench.metrics import CAPITAL_MM

GROWTH = (2.8, 2.5, 2.2, 2.0, 1.8, 1.6, 1.4, 1.2)  # of the digits, where a page would else stay half empty
DIGITS = 2.0  # so many times as large they must be before the words may grow


def digits_grow(figures: Figures) -> bool:
    """How long a step has been going on need not be larger than it is."""
    return figures.has_right or figures.timer.millimetres > CAPITAL_MM


def larger_page(
    blocks: Sequence[Block],
    figures: Figures,
    width: int,
    height: int,
    px_per_mm: float,
    least: int,
    most: int,
) -> FarPage | None:
    """One page with all of it in the largest letters that fit; of figures the digits come before the words."""
    if figures in blocks and digits_grow(figures):
        figures.grown = DIGITS
    page = one_page(blocks, width, height, px_per_mm, least, most)
    figures.grown = 1.0
    return page


def put_page(page: FarPage, figures: Figures, width: int, margin: int) -> None:
    """Top to bottom; room that is left makes the digits larger, then the gaps."""
    letters, left = page.letters, page.left
    figures.dress(letters)
    blocks = [(block, laid) for block, laid in page.blocks]
    for at, (block, laid) in enumerate(blocks):
        if block is figures and digits_grow(figures):
            for grown in GROWTH:
                figures.grown = grown
                larger = figures.laid(width, letters)
                if larger is not None and larger.tall - laid.tall <= 0.7 * left:
                    left -= larger.tall - laid.tall
                    blocks[at] = (block, larger)
                    break
            else:
                figures.grown = 1.0
    gap = letters.gap + min(2 * letters.gap, left // max(1, len(blocks)))
    y = margin
    for block, laid in blocks:
        put(block, QRect(margin, y, width, laid.tall), laid)
        y += laid.tall + gap
