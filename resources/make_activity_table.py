"""Writes `unifac.toml`: the parameters of the original UNIFAC method that our tables need.

Run it from a clone after adding groups to `constituents.toml` or a carrier
below; it needs the test dependencies, because the parameters are taken from
the `thermo` library (MIT licence), which carries the published tables:
Hansen and others, Ind. Eng. Chem. Res. 30 (1991) 2352, and its revisions.

    python resources/make_activity_table.py
"""

from __future__ import annotations

import tomllib
from pathlib import Path

from thermo import unifac

HERE = Path(__file__).resolve().parent

# One molecule stands for a family of non-volatile base materials.
CARRIERS: dict[str, tuple[dict[int, int], str]] = {
    "triglyceride": (
        {1: 3, 2: 41, 3: 1, 6: 3, 22: 3},
        "triolein, C57H104O6, counted from the structure; stands for vegetable oils and butters",
    ),
    "medium triglyceride": (
        {1: 3, 2: 17, 3: 1, 22: 3},
        "tricaprylin, C27H50O6, counted from the structure; stands for caprylic/capric triglyceride",
    ),
    "wax ester": (
        {1: 2, 2: 34, 6: 2, 22: 1},
        "docosenyl eicosenoate, C42H80O2, counted from the structure; stands for jojoba and ester waxes",
    ),
    "hydrocarbon": (
        {1: 8, 2: 16, 3: 6},
        "squalane, C30H62, counted from the structure; stands for hydrocarbon oils and waxes",
    ),
}

HEAD = """# Parameters of the original UNIFAC method for the subgroups that occur in our tables.
# Made by make_activity_table.py; change that, not this.
#
# subgroups: number = [main group, R, Q]; interaction: main group m, then n = a_mn in K.
# A pair that the method never had parameters for is left out and counts as a_mn = 0.
"""


def subgroups_in_use() -> list[int]:
    """Every subgroup of a constituent or a carrier, and those of the published check (ethanol, octane, heptane)."""
    tables = tomllib.loads((HERE / "constituents.toml").read_text(encoding="utf-8"))
    used = {int(group) for row in tables["constituent"] for group in row.get("unifac", {})}
    used |= {group for groups, _ in CARRIERS.values() for group in groups}
    return sorted(used | {1, 2, 14})


def table() -> str:
    """The text of `unifac.toml`."""
    unifac.load_unifac_ip()
    used = subgroups_in_use()
    main = sorted({unifac.UFSG[group].main_group_id for group in used})
    lines = [
        HEAD,
        "[unifac]",
        'source = "original UNIFAC, Hansen 1991 and revisions, as carried by thermo"',
        "",
    ]
    lines += ["[unifac.subgroups]"]
    for group in used:
        row = unifac.UFSG[group]
        lines.append(f"{group} = [{row.main_group_id}, {row.R}, {row.Q}]  # {row.group}")
    for m in main:
        pairs = {n: unifac.UFIP.get(m, {}).get(n) for n in main if n != m}
        known = {n: a for n, a in pairs.items() if a}
        lines += ["", f"[unifac.interaction.{m}]", *(f"{n} = {a}" for n, a in known.items())]
    for family, (groups, source) in CARRIERS.items():
        counts = ", ".join(f"{group} = {count}" for group, count in groups.items())
        lines += ["", f'[carriers."{family}"]', f"groups = {{ {counts} }}", f'source = "{source}"']
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    (HERE / "unifac.toml").write_text(table(), encoding="utf-8")
