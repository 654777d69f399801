"""Materials that cannot be judged, and why: without data nothing is counted as safe."""

from __future__ import annotations

import numpy as np

from workbench.core.catalogue.model import Material
from workbench.core.skin.rules import FORGIVEN, LAW, Mask, Rules, Sort
from workbench.core.skin.tables import Vector
from workbench.core.skin.verdict import Unknown
from workbench.core.wording import say


def unknown_materials(
    rules: Rules, amounts: Vector, leaves: Mask, used: Vector, in_force: Mask
) -> tuple[Unknown, ...]:
    tables = rules.tables
    inside = amounts @ tables.leaf
    found: list[Unknown] = []
    has_law = any(rule.regime == LAW for rule in rules.rows)
    # Upper bound of what the industry standard can ask of certified materials without a composition:
    # each uses at most its own share of its certificate of any limit, and the shares add up.
    most_used = max(
        (
            used[row]
            for row, rule in enumerate(rules.rows)
            if rule.sort is not Sort.CERTIFICATE and in_force[row]
        ),
        default=0.0,
    )
    for place in np.flatnonzero(leaves).tolist():
        material = tables.material(place)
        if material.composition_known:
            continue
        share = float(inside[place])
        if not rules.certified[place]:
            found.append(Unknown(material.key, share, _without_composition(material)))
            continue
        most_used += _certificate_use(rules, material, used)
        if has_law:
            found.append(
                Unknown(
                    material.key,
                    share,
                    say(
                        "The certificate of {name} covers the industry standard, not the law of the place. Ask the supplier for the composition.",
                        name=material.name,
                    ),
                )
            )
        elif most_used > 100.0 * FORGIVEN:
            found.append(
                Unknown(
                    material.key,
                    share,
                    say(
                        "{name} and the other oils may hold the same limited substances; its certificate alone cannot rule that out. Ask the supplier for the composition or use less.",
                        name=material.name,
                    ),
                )
            )
    for key, lost in tables.missing.items():
        place = tables.index[key]
        if amounts[place] > 0:
            found.extend(
                Unknown(
                    part,
                    float(amounts[place]),
                    say(
                        "{name} holds “{part}”, which is in no table any more. Add it to the shelf.",
                        name=tables.material(place).name,
                        part=part,
                    ),
                )
                for part in lost
            )
    return tuple(found)


def _without_composition(material: Material) -> str:
    return say(
        "Nothing is known of what {name} is made of, so it is not counted as safe. Enter its composition from the supplier's papers, or a certificate.",
        name=material.name,
    )


def _certificate_use(rules: Rules, material: Material, used: Vector) -> float:
    key = f"certificate_{material.key}"
    return float(max(used[row] for row, rule in enumerate(rules.rows) if rule.key == key))
