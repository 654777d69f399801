"""Every fault of every file is told at once, with its place."""

from __future__ import annotations

import pytest

from workbench.core.catalogue.model import Confidence, MaterialKind, Place, Use
from workbench.core.catalogue.parse import parse_catalogue, parse_shelf
from workbench.core.trouble import Trouble

SOURCES = """
[sources.book]
text = "a handbook"
confidence = "seen"
[sources.guess]
text = "typical value plus a half"
confidence = "derived"
"""

CATEGORIES = """
[sources.list]
text = "category list"
confidence = "seen-2nd"
[categories]
"solid perfume" = ["4", "list"]
lips = ["1", "list"]
hands = { text = "5C", source = "category list", confidence = "seen-2nd" }
body = ["5A", "list"]
face = { text = "5B", from = "list" }
"""

UNIFAC = """
[unifac]
source = "table"
[unifac.subgroups]
1 = [1, 0.9011, 0.848]
14 = [5, 1.0, 1.2]
[unifac.interaction.1]
5 = 986.5
[unifac.interaction.5]
1 = 156.4
[carriers.triglyceride]
groups = { 1 = 3 }
source = "structure"
"""

CONSTITUENTS = (
    SOURCES
    + """
[[constituent]]
key = "linalool"
name = "Linalool"
cas = "78-70-6"
molar_mass_g_mol = [154.25, "book"]
flash_point_c = { value = 75, from = "book" }
psat25_pa = { value = 22.5, source = "another book", confidence = "memory" }
unifac = { 1 = 3, 14 = 1 }
intensity = [50.6, 0.08, 0.65, "book"]
allergen = "Linalool"
"""
)

ALLERGENS = """
[[allergen]]
label_name = "Linalool"
constituents = ["linalool"]
new_list = false
source = "the list"
confidence = "seen"
[[allergen]]
label_name = "Lavandula Oil/Extract"
new_list = true
source = "the list"
confidence = "seen"
"""

LIMITS = """
[[limit]]
key = "linalool_law"
name = "Linalool"
constituents = ["linalool"]
restricted_as = ["whole_oil"]
regime = "law"
places = ["EU"]
max_percent = { 1 = 0.5, 5A = 2 }
basis = "an entry"
source = "the list"
confidence = "seen"
"""

MATERIALS = (
    SOURCES
    + """
[[material]]
key = "lavender"
name = "Lavender"
kind = "perfumery oil"
inci = ["Lavandula Angustifolia Oil", "book"]
density_g_ml = [0.883, "book"]
melting_c = [-5, 0, "book"]
restricted_as = ["whole_oil"]
own_allergen = "Lavandula Oil/Extract"
composition = [["linalool", 32, 45, "book", "guess"]]

[[material]]
key = "oil"
name = "Oil"
kind = "carrier oil"
density_g_ml = { value = 0.91, from = "book" }
carrier_family = "triglyceride"
flash_point_c = [300, "book"]
holding_limit_c = [90, "book"]
solid_fat = { points = [[10, 20], [20, 0]], from = "book" }

[[material]]
key = "rest"
name = "Rest of a batch"
kind = "leftover balm"
made_of = [{ material = "oil", share_percent = 100 }]
"""
)

CAUTIONS = (
    SOURCES
    + """
[[caution]]
key = "fire"
word = "WARNING"
hazard = "Hot wax burns."
consequence = "It spreads."
what_to_do = "Lid on."
bench = "Lid on."
when = ["hot"]
from = "book"
"""
)

HEAT = (
    SOURCES
    + """
[heat]
factor = [1.2, "book"]
other = { value = 3, source = "a paper", confidence = "seen" }
"""
)

GOOD: dict[str, str] = {
    "allergens.toml": ALLERGENS,
    "categories.toml": 'edition = "first"\n' + CATEGORIES,
    "cautions.toml": CAUTIONS,
    "constituents.toml": CONSTITUENTS,
    "heat.toml": HEAT,
    "limits.toml": LIMITS,
    "materials.toml": MATERIALS,
    "unifac.toml": UNIFAC,
}


def files(**changed: str) -> dict[str, bytes]:
    """The good files, some of them changed ("limits" stands for "limits.toml")."""
    texts = {**GOOD, **{f"{name}.toml": text for name, text in changed.items()}}
    return {name: text.encode() for name, text in texts.items()}


def faults(**changed: str) -> list[str]:
    with pytest.raises(Trouble) as caught:
        parse_catalogue(files(**changed))
    assert caught.value.says.startswith("The tables cannot be used as they are.")
    return [str(fault) for fault in caught.value.faults]


def test_good_files_become_a_catalogue_with_every_value_and_its_source() -> None:
    catalogue = parse_catalogue(files())
    assert catalogue.edition == "first"
    lavender = catalogue.material("lavender")
    assert lavender.kind is MaterialKind.OIL
    assert lavender.density_g_ml is not None
    assert (lavender.density_g_ml.value, lavender.density_g_ml.source) == (0.883, "a handbook")
    assert lavender.melting_c is not None
    assert (lavender.melting_c.low, lavender.melting_c.high) == (-5, 0)
    assert lavender.inci is not None
    assert lavender.inci.text == "Lavandula Angustifolia Oil"
    [part] = lavender.composition
    assert (part.percent, part.most) == (32, 45)
    assert (part.source, part.confidence) == ("a handbook", Confidence.SEEN)
    assert (part.max_source, part.max_confidence) == ("typical value plus a half", Confidence.DERIVED)
    linalool = catalogue.constituents["linalool"]
    assert linalool.flash_point_c is not None
    assert linalool.flash_point_c.source == "a handbook"
    assert linalool.psat25_pa is not None
    assert linalool.psat25_pa.confidence is Confidence.MEMORY
    assert (linalool.intensity_max, linalool.intensity_source) == (50.6, "a handbook")
    assert linalool.unifac == {"1": 3, "14": 1}
    solid = catalogue.material("oil").solid_fat
    assert solid is not None
    assert solid.source == "a handbook"
    assert catalogue.limits[0].max_percent == {"1": 0.5, "5A": 2}
    assert catalogue.limits[0].places == (Place.EU,)
    assert [row.new_list for row in catalogue.allergens] == [False, True]
    assert catalogue.cautions["fire"].source == "a handbook"
    assert catalogue.categories[Use.HANDS] == "5C"
    assert catalogue.categories[Use.FACE] == "5B"
    assert catalogue.unifac.subgroups["14"] == (5, 1.0, 1.2)
    assert catalogue.unifac.interaction == {(1, 5): 986.5, (5, 1): 156.4}
    assert catalogue.carriers == {"triglyceride": {"1": 3}}
    assert catalogue.heat["factor"].value == 1.2
    assert catalogue.heat["other"].confidence is Confidence.SEEN


def test_no_files_are_an_empty_catalogue() -> None:
    assert not parse_catalogue({}).materials


def test_the_faults_of_all_files_are_told_together() -> None:
    told = faults(
        limits="[[limit",
        cautions=CAUTIONS.replace('hazard = "Hot wax burns."', 'hasard = "Hot wax burns."'),
        materials=MATERIALS.replace("[0.883", '["heavy"'),
    )
    assert any(line.startswith("limits.toml: This file is not valid TOML") for line in told)
    assert "cautions.toml, fire, hazard: This is missing; fill it in." in told
    assert "cautions.toml, fire, hasard: There is no such field; check the spelling or take it out." in told
    assert any(line.startswith("materials.toml, lavender, density_g_ml, value: ") for line in told)


def test_a_file_that_is_not_utf8() -> None:
    with pytest.raises(Trouble, match="not written in UTF-8"):
        parse_catalogue({**files(), "more.toml": b"\xff\xfe"})


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        pytest.param(
            {"more": "[materials]\n"},
            "more.toml, materials: There is no such table; check the spelling or take it out.",
            id="unknown table",
        ),
        pytest.param(
            {"more": "material = 3\n"},
            "more.toml, material: Rows are written as [[material]]; put double brackets.",
            id="rows that are a number",
        ),
        pytest.param(
            {"more": "[material]\nkey = 'x'\n"},
            "more.toml, material: Rows are written as [[material]]; put double brackets.",
            id="single brackets",
        ),
        pytest.param(
            {"more": "material = [3]\n"},
            "more.toml, material 1: Rows are written as [[material]]; put double brackets.",
            id="a row that is a number",
        ),
        pytest.param(
            {"more": "[[constituent]]\nname = 'X'\ncas = '1'\n"},
            "more.toml, constituent 1, key: This is missing; fill it in.",
            id="a row without a key",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('[0.883, "book"]', '[0.883, "bok"]')},
            "materials.toml, lavender, density_g_ml: The source “bok” is not listed under [sources] in this file; add it.",
            id="unknown source",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('[0.883, "book"]', "[0.883, 7]")},
            "materials.toml, lavender, density_g_ml: The source “7” is not listed under [sources] in this file; add it.",
            id="source that is no word",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('[0.883, "book"]', "{ value = 0.883, confidence = 'seen' }")},
            "materials.toml, lavender, density_g_ml, source: This value has no source; every value needs one and its confidence.",
            id="missing source",
        ),
        pytest.param(
            {"limits": LIMITS.replace('source = "the list"\n', "")},
            "limits.toml, linalool_law, source: This value has no source; every value needs one and its confidence.",
            id="row without source",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('[0.883, "book"]', "[0.883]")},
            "materials.toml, lavender, density_g_ml: A value is written as [value, source]; correct the list.",
            id="value without source in a list",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('"book", "guess"]]', '"book"]]')},
            "materials.toml, lavender, composition: A line of a composition is [constituent, typical %, most %, source, "
            "source of the most]; correct ['linalool', 32, 45, 'book'].",
            id="short line of a composition",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('["linalool", 32, 45', '["linalool", 132, 145')},
            "materials.toml, lavender, composition, 0, percent: Input should be less than or equal to 100 (found: 132).",
            id="share over 100 %",
        ),
        pytest.param(
            {
                "materials": MATERIALS.replace(
                    '[["linalool", 32, 45, "book", "guess"]]',
                    '[["linalool", 62, 62, "book", "book"], ["other", 39, 39, "book", "book"]]',
                )
            },
            "materials.toml, lavender: The composition adds up to 101.0 %; it may not pass 100 %",
            id="sum over 100 %",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('["linalool", 32, 45', '["linalol", 32, 45')},
            "materials.toml, lavender: The composition names “linalol”, which no table knows; add it.",
            id="unknown constituent",
        ),
        pytest.param(
            {
                "materials": MATERIALS.replace(
                    '[["linalool", 32, 45, "book", "guess"]]',
                    '[["linalool", 32, 45, "book", "book"], ["linalool", 3, 4, "book", "book"]]',
                )
            },
            "materials.toml, lavender: The composition names “linalool” twice; keep one line.",
            id="the same constituent twice",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('["linalool", 32, 45', '["linalool", 32, 25')},
            "materials.toml, lavender: The most of “linalool” (25.00 %) lies under its typical share (32.00 %); "
            "swap or correct them.",
            id="maximum under the typical share",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('density_g_ml = [0.883, "book"]\n', "")},
            "materials.toml, lavender: An oil needs its density, or drops cannot be weighed out; add density_g_ml.",
            id="oil without density",
        ),
        pytest.param(
            {
                "materials": MATERIALS.replace(
                    'holding_limit_c = [90, "book"]', 'holding_limit_c = [310, "book"]'
                )
            },
            "materials.toml, oil: The holding limit of 310.0 °C lies above the flash point of 300.0 °C; "
            "one of them is wrong.",
            id="holding limit above the flash point",
        ),
        pytest.param(
            {"materials": MATERIALS.replace("[-5, 0,", "[0, -5,")},
            "materials.toml, lavender, melting_c: The low end lies above the high end; swap them",
            id="span upside down",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('["whole_oil"]', '["hole_oil"]')},
            "materials.toml, lavender: No limit is called “hole_oil”; correct restricted_as.",
            id="unknown restriction",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('"Lavandula Oil/Extract"', '"Lavandula"')},
            "materials.toml, lavender: “Lavandula” is not on the list of allergens.",
            id="unknown allergen of a material",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('"triglyceride"', '"glyceride"')},
            "materials.toml, oil: There is no carrier family “glyceride”; add its groups or correct it.",
            id="unknown carrier family",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('material = "oil"', 'material = "wax"')},
            "materials.toml, rest: It is made of “wax”, which no table knows; add it.",
            id="made of something unknown",
        ),
        pytest.param(
            {"materials": MATERIALS + MATERIALS.replace(SOURCES, "")},
            "materials.toml, lavender (4): “lavender” is already there in materials.toml, lavender; keep one of the two.",
            id="one key twice in a file",
        ),
        pytest.param(
            {"other": LIMITS.replace("0.5", "0.6")},
            "other.toml, linalool_law (1): “linalool_law” is already there in limits.toml, linalool_law; "
            "keep one of the two.",
            id="two files that contradict each other",
        ),
        pytest.param(
            {"limits": LIMITS.replace('["linalool"]', '["linalol"]')},
            "limits.toml, linalool_law: The limit names “linalol”, which no table knows; add it.",
            id="limit on an unknown constituent",
        ),
        pytest.param(
            {"limits": LIMITS.replace("5A =", "5X =")},
            "limits.toml, linalool_law: No use belongs to the category “5X”; correct it.",
            id="unknown category",
        ),
        pytest.param(
            {"limits": LIMITS.replace('regime = "law"', 'regime = "lore"')},
            "limits.toml, linalool_law: A limit is a “law” or an “industry standard”; correct the regime.",
            id="unknown regime",
        ),
        pytest.param(
            {"limits": LIMITS.replace('places = ["EU"]\n', "")},
            "limits.toml, linalool_law: A law holds in a place; name the places.",
            id="law without a place",
        ),
        pytest.param(
            {"limits": LIMITS.replace('regime = "law"', 'regime = "industry standard"')},
            "limits.toml, linalool_law: The industry standard holds everywhere; take the places out.",
            id="standard with a place",
        ),
        pytest.param(
            {
                "limits": LIMITS
                + LIMITS.replace("linalool_law", "nothing")
                .replace('constituents = ["linalool"]\n', "")
                .replace('restricted_as = ["whole_oil"]\n', "")
            },
            "limits.toml, nothing: This limit names nothing that it limits; add constituents or materials.",
            id="limit on nothing",
        ),
        pytest.param(
            {"constituents": CONSTITUENTS.replace('allergen = "Linalool"', 'allergen = "Linalol"')},
            "constituents.toml, linalool: “Linalol” is not on the list of allergens.",
            id="unknown allergen of a constituent",
        ),
        pytest.param(
            {"allergens": ALLERGENS.replace('constituents = ["linalool"]\n', "")},
            "constituents.toml, linalool: It counts towards “Linalool”, but that allergen does not name it; add it there.",
            id="allergen that does not name its constituent",
        ),
        pytest.param(
            {"constituents": CONSTITUENTS.replace('allergen = "Linalool"', "")},
            "allergens.toml, Linalool: It names “linalool”, but that constituent does not count towards it; "
            "agree on one.",
            id="constituent that does not name its allergen",
        ),
        pytest.param(
            {"allergens": ALLERGENS.replace('["linalool"]', '["linalool", "linalol"]')},
            "allergens.toml, Linalool: It names “linalol”, which no table knows; add it.",
            id="allergen with an unknown constituent",
        ),
        pytest.param(
            {
                "allergens": ALLERGENS.replace(
                    'label_name = "Lavandula Oil/Extract"',
                    'label_name = "Lavandula Oil/Extract"\nconstituents = ["linalool"]',
                )
            },
            "allergens.toml, Lavandula Oil/Extract: “linalool” is already counted under “Linalool”; keep one.",
            id="one constituent under two allergens",
        ),
        pytest.param(
            {"constituents": CONSTITUENTS.replace("{ 1 = 3, 14 = 1 }", "{ 1 = 3, 99 = 1 }")},
            "constituents.toml, linalool: The group 99 is not in the UNIFAC table.",
            id="unknown group",
        ),
        pytest.param(
            {"unifac": UNIFAC.replace("{ 1 = 3 }", "{ 98 = 3 }")},
            "unifac.toml, carriers, triglyceride: The group 98 is not in the UNIFAC table.",
            id="unknown group of a carrier",
        ),
        pytest.param(
            {"more": "[carriers]\nwax = 3\n"},
            "more.toml, carriers, wax, groups: This is missing; fill it in.",
            id="carrier that is a number",
        ),
        pytest.param(
            {"more": "unifac = 3\n"},
            "more.toml, unifac, subgroups: This is missing; fill it in.",
            id="activity table that is a number",
        ),
        pytest.param(
            {"more": UNIFAC},
            "unifac.toml, unifac: “unifac” is already there in more.toml, unifac; keep one of the two.",
            id="two activity tables",
        ),
        pytest.param(
            {"more": UNIFAC},
            "unifac.toml, carriers, triglyceride: “triglyceride” is already there in more.toml, carriers, triglyceride; "
            "keep one of the two.",
            id="one carrier family twice",
        ),
        pytest.param(
            {"more": HEAT},
            "more.toml, heat, factor: “factor” is already there in heat.toml, heat, factor; keep one of the two.",
            id="one heat figure twice",
        ),
        pytest.param(
            {"heat": "[heat]\nfactor = 3\n"},
            "heat.toml, heat, factor, figure: Input should be a valid dictionary or instance of Figure (found: 3).",
            id="heat figure without a source",
        ),
        pytest.param(
            {"more": CATEGORIES},
            "more.toml, categories, lips: “lips” is already there in categories.toml, categories, lips; "
            "keep one of the two.",
            id="one use twice",
        ),
        pytest.param(
            {"categories": CATEGORIES.replace("lips", "lip")},
            "categories.toml, categories, lip: There is no such use; the uses are solid perfume, lips, hands, body, face.",
            id="unknown use",
        ),
        pytest.param(
            {"categories": CATEGORIES.replace("lips", "lip")},
            "categories, lips: There is no category for the use “lips”; add it.",
            id="use without a category",
        ),
        pytest.param(
            {"categories": CATEGORIES.replace('["1", "list"]', '"1"')},
            "categories.toml, categories, lips, category: Input should be a valid dictionary or instance of Wording "
            "(found: '1').",
            id="category without a source",
        ),
        pytest.param(
            {"more": "categories = 3\n[sources]\nbook = 'a book'\n"},
            "more.toml, sources, book: A source needs a text and a confidence out of seen, seen-2nd, derived, memory, "
            "supplier; add them.",
            id="source that is only a text",
        ),
        pytest.param(
            {"more": "[sources.book]\ntext = 'a book'\nconfidence = 'sure'\n"},
            "more.toml, sources, book: A source needs a text and a confidence out of seen, seen-2nd, derived, memory, "
            "supplier; add them.",
            id="unknown confidence",
        ),
        pytest.param(
            {"constituents": CONSTITUENTS.replace('[50.6, 0.08, 0.65, "book"]', '[50.6, 0.08, "book"]')},
            "constituents.toml, linalool, intensity: There is no such field; check the spelling or take it out.",
            id="short intensity curve",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('name = "Lavender"', "name = '" + "x" * 0 + "'")},
            "materials.toml, lavender, name: String should have at least 1 character (found: '').",
            id="empty name",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('key = "lavender"', 'key = "' + "l" * 70 + '"')},
            f"materials.toml, {'l' * 70}, key: String should have at most 60 characters (found: '{'l' * 56}...).",
            id="a long value is cut in the sentence",
        ),
        pytest.param(
            {"materials": MATERIALS.replace('[["linalool", 32, 45, "book", "guess"]]', "[3]")},
            "materials.toml, lavender, composition, 0: Input should be a valid dictionary or instance of Content "
            "(found: 3).",
            id="line of a composition that is a number",
        ),
    ],
)
def test_one_fault(changed: dict[str, str], told: str) -> None:
    lines = faults(**changed)
    assert any(line == told or line.startswith(told) for line in lines), "\n".join(lines)


def test_a_full_row_needs_no_shorthand() -> None:
    written = MATERIALS.replace(
        '[["linalool", 32, 45, "book", "guess"]]',
        '[{ constituent = "linalool", percent = 32, source = "own analysis", confidence = "supplier" }]',
    )
    [part] = parse_catalogue(files(materials=written)).material("lavender").composition
    assert (part.most, part.confidence) == (32, Confidence.SUPPLIER)


def test_a_shelf() -> None:
    shelf = parse_shelf(
        "shelf.toml",
        (
            SOURCES + '[[scales]]\nkey = "small"\nname = "Small"\nreadability_g = 0.01\ncapacity_g = 100\n'
        ).encode(),
    )
    assert shelf.scales[0].readability_g == 0.01


def test_the_faults_of_a_shelf_are_told_together() -> None:
    with pytest.raises(Trouble) as caught:
        parse_shelf("shelf.toml", b'stove = "wood"\n[[scales]]\nkey = "small"\n')
    told = [str(fault) for fault in caught.value.faults]
    assert len(told) == 4
    assert "shelf.toml, scales, 0, readability_g: This is missing; fill it in." in told
