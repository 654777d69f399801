"""Puts the state diagrams into DEVELOPERS.md: `python -m tests.draw_transitions`."""

from __future__ import annotations

from pathlib import Path

from workbench.core.batch.transitions import diagrams

DOCUMENT = Path(__file__).resolve().parent.parent / "DEVELOPERS.md"
FROM, TO = "<!-- transitions -->\n", "<!-- /transitions -->"


def between(text: str) -> str:
    """What stands between the two marks; the document must have both."""
    return text.split(FROM, 1)[1].split(TO, 1)[0]


def drawn() -> str:
    return "\n" + diagrams() + "\n"


def main() -> None:
    text = DOCUMENT.read_text(encoding="utf-8")
    DOCUMENT.write_text(text.replace(FROM + between(text) + TO, FROM + drawn() + TO), encoding="utf-8")


if __name__ == "__main__":
    main()
