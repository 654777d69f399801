"""Writes `scent_activity.toml`: how far each constituent is from ideal in each family of base materials.

Run it from a clone after adding groups to `constituents.toml` or a carrier to
`make_activity_table.py`; it needs the test dependencies, because the numbers
come from the original UNIFAC method as the `thermo` library computes it.

    python resources/make_scent_tables.py
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

from make_activity_table import CARRIERS
from thermo import unifac

HERE = Path(__file__).resolve().parent
SKIN_K = 305.15  # 32 °C
TRACE = 1e-9  # mole fraction of the constituent: it meets nothing but carrier

HEAD = """# ln of the activity coefficient at infinite dilution of each constituent in each family of base
# materials, at 32 °C (mole fraction scale), and the molar mass of the molecule that stands for the family.
# Made by make_scent_tables.py; change that, not this.
# A constituent that is not listed has no groups in the method and is reckoned as ideal.
"""

# atoms of the subgroups that the carrier molecules are made of: carbon, hydrogen, oxygen
ATOMS = {1: (1, 3, 0), 2: (1, 2, 0), 3: (1, 1, 0), 6: (2, 2, 0), 22: (2, 2, 2)}
WEIGHTS = (12.011, 1.008, 15.999)  # IUPAC standard atomic weights


def molar_mass(groups: dict[int, int]) -> float:
    """g/mol of a molecule made of these subgroups."""
    return sum(
        count * sum(atoms * weight for atoms, weight in zip(ATOMS[group], WEIGHTS, strict=True))
        for group, count in groups.items()
    )


def ln_gamma(solute: dict[int, int], carrier: dict[int, int]) -> float:
    """ln of the activity coefficient of a trace of `solute` in `carrier` at 32 °C."""
    gammas = unifac.UNIFAC_gammas(T=SKIN_K, xs=[TRACE, 1 - TRACE], chemgroups=[solute, carrier])
    return math.log(gammas[0])


def table() -> str:
    """The text of `scent_activity.toml`."""
    unifac.load_unifac_ip()
    rows = tomllib.loads((HERE / "constituents.toml").read_text(encoding="utf-8"))["constituent"]
    solutes = {
        row["key"]: {int(group): count for group, count in row["unifac"].items()}
        for row in rows
        if row.get("unifac")
    }
    lines = [
        HEAD,
        "[sources.unifac]",
        'text = "original UNIFAC at 32 °C, computed with thermo from the groups in constituents.toml"',
        'confidence = "derived"',
    ]
    for family, (carrier, _source) in CARRIERS.items():
        lines += ["", f'[scent_activity."{family}"]', 'from = "unifac"']
        lines += [
            f"molar_mass_g_mol = {molar_mass(carrier):.2f}",
            "",
            f'[scent_activity."{family}".ln_gamma]',
        ]
        lines += [f"{key} = {ln_gamma(groups, carrier):.4f}" for key, groups in sorted(solutes.items())]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    (HERE / "scent_activity.toml").write_text(table(), encoding="utf-8")
