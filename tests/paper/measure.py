"""An independent reader of PDF files: where text and paths lie, in millimetres.

Built on pypdf, which knows nothing of the program that wrote the file.  The
heights of letters come from the OS/2 table of the font file, read here byte
by byte after the OpenType specification (sxHeight, sCapHeight).
"""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

MM = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]
UNIT: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Said:
    text: str
    x_mm: float  # of its first letter
    y_mm: float  # of its baseline, from the top of the page
    em_mm: float
    font: str


@dataclass(frozen=True)
class Drawn:
    """The box around a path, from the top left corner of the page."""

    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    curved: bool


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def times(a: Sequence[float], b: Sequence[float]) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def page_mm(pdf: bytes, page: int = 0) -> tuple[float, float]:
    box = reader(pdf).pages[page].mediabox
    return float(box.width) * MM, float(box.height) * MM


def texts(pdf: bytes, page: int = 0) -> list[Said]:
    found: list[Said] = []
    sheet = reader(pdf).pages[page]
    high = float(sheet.mediabox.height)

    def visit(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        if text.strip():
            m = times(tm, cm)
            # upright or turned, the em is the length of the second column
            em = size * (m[2] ** 2 + m[3] ** 2) ** 0.5
            name = str(font["/BaseFont"]) if font else ""
            found.append(
                Said(" ".join(text.split()), m[4] * MM, (high - m[5]) * MM, em * MM, name.lstrip("/"))
            )

    sheet.extract_text(visitor_text=visit)
    return found


def whole_text(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in reader(pdf).pages)


def paths(pdf: bytes, page: int = 0) -> list[Drawn]:
    """Every path of a page, by the operators of ISO 32000-1, 8.5."""
    read = reader(pdf)
    sheet = read.pages[page]
    high = float(sheet.mediabox.height)
    stream = ContentStream(sheet.get_contents(), read)
    matrix, stack = UNIT, []
    points: list[tuple[float, float]] = []
    curved = False
    found: list[Drawn] = []
    for operands, operator in stream.operations:
        numbers = [float(each) for each in operands] if operator in _NUMERIC else []
        match operator:
            case b"q":
                stack.append(matrix)
            case b"Q":
                matrix = stack.pop()
            case b"cm":
                matrix = times(numbers, matrix)
            case b"m" | b"l":
                points.append(_at(matrix, numbers[0], numbers[1]))
            case b"c":
                points += _bezier(points[-1], [_at(matrix, *numbers[i : i + 2]) for i in (0, 2, 4)])
                curved = True
            case b"re":
                x, y, w, h = numbers
                points += [_at(matrix, x, y), _at(matrix, x + w, y + h)]
            case b"S" | b"s" | b"f" | b"f*" | b"B" | b"b" | b"B*" | b"b*" | b"n":
                if points and operator != b"n":
                    xs, ys = [p[0] for p in points], [p[1] for p in points]
                    found.append(
                        Drawn(
                            min(xs) * MM,
                            (high - max(ys)) * MM,
                            (max(xs) - min(xs)) * MM,
                            (max(ys) - min(ys)) * MM,
                            curved,
                        )
                    )
                points, curved = [], False
    return found


_NUMERIC = (b"cm", b"m", b"l", b"c", b"re")


def _at(m: Matrix, x: float, y: float) -> tuple[float, float]:
    return m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]


def _bezier(start: tuple[float, float], rest: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points along a cubic curve; its control points lie outside it and do not count."""
    made = []
    for step in range(1, 17):
        t = step / 16
        k = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
        corners = (start, *rest)
        made.append(
            (
                sum(a * c[0] for a, c in zip(k, corners, strict=True)),
                sum(a * c[1] for a, c in zip(k, corners, strict=True)),
            )
        )
    return made


@dataclass(frozen=True)
class Letters:
    """Heights in parts of the em, from the font file itself."""

    small: float
    capital: float


def letters(path: Path) -> Letters:
    data = path.read_bytes()
    tables = {}
    for number in range(struct.unpack(">H", data[4:6])[0]):
        tag, _, offset, _ = struct.unpack(">4sIII", data[12 + 16 * number : 28 + 16 * number])
        tables[tag] = offset
    per_em = struct.unpack(">H", data[tables[b"head"] + 18 : tables[b"head"] + 20])[0]
    small, capital = struct.unpack(">hh", data[tables[b"OS/2"] + 86 : tables[b"OS/2"] + 90])
    return Letters(small / per_em, capital / per_em)
