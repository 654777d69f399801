"""Some files must be covered by their own test file alone, every branch of them.

`python -m tests.own_coverage` runs each test file by itself and fails where a line
or a branch is missing.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

PAIRS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("workbench/core/batch/transitions.py",), "tests/core/batch/test_transitions.py"),
    (("workbench/core/recipe/amounts.py",), "tests/core/recipe/test_amounts.py"),
    (("workbench/core/skin/assess.py", "workbench/core/skin/rules.py"), "tests/core/skin/test_assess.py"),
    (("workbench/core/units/amounts.py",), "tests/core/units/test_amounts.py"),
    (("workbench/core/units/numbers.py",), "tests/core/units/test_numbers.py"),
    (("workbench/store/journal.py",), "tests/store/test_journal.py"),
)


def main() -> int:
    failed: list[str] = []
    for sources, test in PAIRS:
        modules = [source.removesuffix(".py").replace("/", ".") for source in sources]
        with tempfile.TemporaryDirectory() as scratch:
            done = subprocess.run(
                [
                    sys.executable,
                    "-m",
                    "pytest",
                    "-q",
                    "--no-header",
                    "-p",
                    "no:cacheprovider",
                    *(f"--cov={module}" for module in modules),
                    "--cov-branch",
                    "--cov-report=term-missing:skip-covered",
                    "--cov-fail-under=100",
                    test,
                ],
                env={**os.environ, "COVERAGE_FILE": str(Path(scratch) / "coverage")},
                check=False,
            )
        if done.returncode:
            failed += sources
    for source in failed:
        print(f"not fully covered by its own test: {source}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
