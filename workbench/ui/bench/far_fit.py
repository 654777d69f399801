"""Which block goes on which page of the bench view, and how large its letters are.  No widgets are touched.

The first page always holds what a glance is for; its letters are the
largest, up to the wish of the maker, at which that fits.  What is left
follows on the same page and on a second one, if it must be on a third.
Where everything stands on one page that would stay half empty, the letters
may be larger than was wished for (`one_page`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from workbench.ui.bench.letters import Block, Laid, Letters

WHOLE = 100  # in %: capitals of 9 mm
NEARLY = 85  # a second page may be a little smaller before it becomes two
LEAST = 30  # on a window smaller than a hand nothing is cut all the same
FINE = 5
PAGES = 3
Measure = Callable[[Block, Letters], Laid | None]
LATER_LEAST = 70  # of the pages behind the first, before there are more than three of them


@dataclass(frozen=True, slots=True)
class FarPage:
    """`blocks` in their order with their heights at `letters`; `left` px are not used."""

    letters: Letters
    blocks: tuple[tuple[Block, Laid], ...]
    left: int


def arrange(
    pinned: Sequence[Block],
    first: Sequence[Block],
    rest: Sequence[Block],
    width: int,
    height: int,
    px_per_mm: float,
    wish: int,
) -> tuple[FarPage, ...]:
    """The pages; `pinned` stands on each of them, `first` on the first."""

    measured: dict[tuple[int, int], Laid | None] = {}

    def measure(block: Block, letters: Letters) -> Laid | None:
        key = (id(block), letters.percent)
        if key not in measured:
            measured[key] = block.laid(width, letters)
        return measured[key]

    def page_at(percent: int, blocks: Sequence[Block]) -> FarPage | None:
        return _page(Letters(px_per_mm, percent), [*pinned, *blocks], measure, height)

    opening = _largest(lambda percent: page_at(percent, first), wish, LEAST)
    if opening is None:
        return ()
    taken = 0
    for many in range(len(rest), 0, -1):
        fuller = page_at(opening.letters.percent, [*first, *rest[:many]])
        if fuller is not None:
            opening, taken = fuller, many
            break
    left = rest[taken:]
    if not left:
        return (opening,)
    start = opening.letters.percent

    def behind(percent: int) -> tuple[FarPage, ...] | None:
        return _pages(Letters(px_per_mm, percent), pinned, left, measure, height)

    # a second page at a readable size, else a third, else smaller letters, else more pages
    for many, least in ((1, NEARLY), (PAGES - 1, WHOLE), (PAGES - 1, LATER_LEAST), (len(left), LEAST)):
        for percent in _sizes(start, min(least, start)):
            pages = behind(percent)
            if pages is not None and len(pages) <= many:
                return (opening, *pages)
    return (opening,)


def one_page(
    blocks: Sequence[Block], width: int, height: int, px_per_mm: float, least: int, most: int
) -> FarPage | None:
    """All of it on one page, in the largest letters from `least` to `most` % that fit."""

    def page_at(percent: int) -> FarPage | None:
        letters = Letters(px_per_mm, percent)
        return _page(letters, blocks, lambda block, at: block.laid(width, at), height)

    return _largest(page_at, most, least)


def _sizes(wish: int, least: int) -> list[int]:
    return [*range(wish, least, -FINE), least]


def _largest(page_at: Callable[[int], FarPage | None], wish: int, least: int) -> FarPage | None:
    for percent in _sizes(wish, least):
        page = page_at(percent)
        if page is not None:
            return page
    return None


def _page(letters: Letters, blocks: Sequence[Block], measure: Measure, height: int) -> FarPage | None:
    placed: list[tuple[Block, Laid]] = []
    used = 0
    for block in blocks:
        laid = measure(block, letters)
        if laid is None:
            return None
        used += laid.tall + (letters.gap if placed else 0)
        if used > height:
            return None
        placed.append((block, laid))
    return FarPage(letters, tuple(placed), height - used)


def _pages(
    letters: Letters, pinned: Sequence[Block], blocks: Sequence[Block], measure: Measure, height: int
) -> tuple[FarPage, ...] | None:
    pages: list[FarPage] = []
    at = 0
    while at < len(blocks):
        page = None
        for many in range(len(blocks) - at, 0, -1):
            page = _page(letters, [*pinned, *blocks[at : at + many]], measure, height)
            if page is not None:
                at += many
                break
        if page is None:
            return None
        pages.append(page)
    return tuple(pages)
