"""Every print of every sample: `python -m tests.paper.gallery OUT`.

Labels for all places, in all languages, on the underside and around the side;
cards in all layouts, flat and folded; batch sheets; and the test page.
"""

from __future__ import annotations

import os
import sys
from datetime import date
from pathlib import Path

from workbench.cli.commands import main as balmbook

SAMPLES = Path(__file__).parents[2] / "sample_projects"
PLACES, LANGUAGES = ("EU", "UK", "US", "present"), ("en", "de", "fr", "es")
WORDS = "I made this at the kitchen table with the window open.\\n\\nWear it on the long walk."


def prints(sample: Path) -> list[tuple[str, list[str]]]:
    """(name of the file, words of the command) for one sample."""
    maker = ["--maker", "Quay Kitchen, 3 Rope Walk, 20457 Hamburg"]
    best = ["--best-before", f"{date(2027, 6, 30)}"]
    made = [
        (f"labels {place} {language}", ["--labels", "--place", place, "--language", language, *maker, *best])
        for place in PLACES
        for language in LANGUAGES
    ]
    made.append(("labels around the side", ["--labels", "--side", *maker, *best]))
    made.append(("labels of the plan", ["--labels", "--plan", "--recipe", _recipe(sample), *maker]))
    for layout in ("still", "margin", "horizon"):
        for language in LANGUAGES:
            card = [
                "--card",
                "--layout",
                layout,
                "--language",
                language,
                "--words",
                WORDS,
                "--for-whom",
                "M. R.",
            ]
            made.append((f"card {layout} {language}", card))
            made.append((f"card {layout} {language} folded", [*card, "--folded"]))
    made.append(("sheet", ["--sheet"]))
    made.append(("sheet Letter", ["--sheet", "--paper", "Letter"]))
    return made


def _recipe(sample: Path) -> str:
    return sample.stem.replace("-", " ").title()


def main() -> int:
    if len(sys.argv) != 2:
        print(__doc__)
        return 2
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    for sample in sorted(SAMPLES.glob("*.json")):
        for name, words in prints(sample):
            code = balmbook(["print", str(sample), *words, "-o", str(out / f"{sample.stem} {name}.pdf")])
            if code != 0:
                return code
    return balmbook(["print", str(sample), "--ruler", "-o", str(out / "test page.pdf")])


if __name__ == "__main__":
    sys.exit(main())
