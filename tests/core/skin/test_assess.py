"""Verdicts on skin, against published limits and worked examples."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.skin.samples import (
    base,
    catalogue,
    certificate,
    content,
    leftover,
    limit,
    material,
    oil,
)
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Material, MaterialKind, Place, Use
from workbench.core.catalogue.shelf import Certificate
from workbench.core.recipe.composition import Composition
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import LimitUse, SkinVerdict, Verdict
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

SHIPPED = load_catalogue()
PERFUME = (Use.PERFUME,)
EU_UK = (Place.EU, Place.UK)


def in_balm(shares: dict[str, float], rest: str = "base") -> Composition:
    """Per cent of a balm; the rest is base."""
    return Composition.of({**shares, rest: 100.0 - sum(shares.values())})


def of(verdict: SkinVerdict, key: str) -> LimitUse:
    return next(use for use in verdict.limits if use.key == key)


def pure(*keys: str) -> list[Material]:
    return [oil(key, {key: 100.0}) for key in keys]


def shipped_with(*materials: Material) -> Catalogue:
    rows = {row.key: row for row in (base(), *materials)}
    return replace(SHIPPED, materials={**SHIPPED.materials, **rows})


# Published rows of the 49th Amendment (2020), per cent in the finished product, by category:
# methyl eugenol: standard text at docslib.org/doc/6075915; estragole: docslib.org/doc/6483343;
# cinnamyl alcohol: scribd.com/document/790416858; citronellal: scribd.com/document/790431267.
PUBLISHED = {
    "methyl_eugenol": {"1": 0.00058, "4": 0.016, "5A": 0.0020, "5B": 0.00058, "5C": 0.00058},
    "estragole": {"1": 0.012, "4": 0.42, "5A": 0.075, "5B": 0.0062, "5C": 0.012},
    "cinnamyl_alcohol": {"1": 0.22, "4": 1.2, "5A": 0.32, "5B": 0.25, "5C": 0.25},
    "citronellal": {"1": 0.41, "4": 0.49, "5A": 0.33, "5B": 0.051, "5C": 0.10},
}
USE_OF = {"4": Use.PERFUME, "1": Use.LIPS, "5C": Use.HANDS, "5A": Use.BODY, "5B": Use.FACE}


@pytest.mark.parametrize(
    ("substance", "category"), [(key, category) for key, row in PUBLISHED.items() for category in row]
)
def test_published_rows_pass_at_the_limit_and_fail_above(substance: str, category: str) -> None:
    most = PUBLISHED[substance][category]
    known = shipped_with(*pure(substance))
    at = assess(in_balm({substance: most}), known, (USE_OF[category],), Place.US)
    assert at.verdict is Verdict.WITHIN
    assert at.limits[0].used_percent == pytest.approx(100.0)
    above = assess(in_balm({substance: most * 1.001}), known, (USE_OF[category],), Place.US)
    assert above.verdict is Verdict.OVER
    assert above.over[0].key == f"{substance}_standard"


def test_verbena_absolute_row() -> None:
    # Row of the 49th Amendment quoted at perflavory.com doc1051641: category 1 0.12, 4 0.69, 5A 0.17
    verbena = oil("verbena", {"linalool": 1.0}, restricted_as=("verbena_absolute",))
    known = shipped_with(verbena)
    for use, most in ((Use.LIPS, 0.12), (Use.PERFUME, 0.69), (Use.BODY, 0.17)):
        assert assess(in_balm({"verbena": most}), known, (use,), Place.US).verdict is Verdict.WITHIN
        over = assess(in_balm({"verbena": most * 1.01}), known, (use,), Place.US)
        assert over.verdict is Verdict.OVER
    # the text is cut at 5B: no number is known for the face, which is not permission
    face = assess(in_balm({"verbena": 0.01}), known, (Use.FACE,), Place.US)
    assert face.verdict is Verdict.UNKNOWN
    assert "not permission" in face.why


def test_several_uses_take_the_lowest_limit() -> None:
    # Category switch with published limits of cinnamyl alcohol (see PUBLISHED): 0.30 % passes 4 and 5A, fails the rest
    known = shipped_with(*pure("cinnamyl_alcohol"))
    balm = in_balm({"cinnamyl_alcohol": 0.30})
    for uses, verdict in (
        ((Use.PERFUME,), Verdict.WITHIN),
        ((Use.PERFUME, Use.BODY), Verdict.WITHIN),
        ((Use.PERFUME, Use.FACE), Verdict.OVER),
        ((Use.PERFUME, Use.HANDS), Verdict.OVER),
        ((Use.LIPS, Use.BODY, Use.PERFUME), Verdict.OVER),
    ):
        found = assess(balm, known, uses, Place.EU)
        assert found.verdict is verdict, uses
    assert of(found, "cinnamyl_alcohol_standard").category == "1"
    assert found.categories == ("1", "5A", "4")


def test_law_is_stricter_than_the_standard_for_methyl_eugenol() -> None:
    # Rose otto with 2 % methyl eugenol at 0.10 % of the balm holds 0.0020 %: the fragrance cream row of the EU
    # ladder (SCCNFP, 24 October 2000) passes exactly, other leave-on (0.0002 %) and category 5B (0.00058 %) fail.
    known = shipped_with(oil("rose_otto", {"methyl_eugenol": 2.0}))
    balm = in_balm({"rose_otto": 0.10})
    cream = assess(balm, known, PERFUME, Place.EU)
    assert cream.verdict is Verdict.WITHIN
    law, standard = of(cream, "methyl_eugenol_law"), of(cream, "methyl_eugenol_standard")
    assert law.used_percent == pytest.approx(100.0)
    assert (law.binding, standard.binding) == (True, False)
    assert standard.used_percent == pytest.approx(12.5)
    assert law.source != standard.source
    assert assess(balm, known, (Use.FACE,), Place.EU).verdict is Verdict.OVER
    in_us = assess(balm, known, PERFUME, Place.US)
    assert of(in_us, "methyl_eugenol_standard").binding
    assert all(use.regime != "law" for use in in_us.limits)


@pytest.mark.parametrize(
    ("substance", "most"),
    [
        # Annex III 73 and 72: Directive 2008/42/EC annex, legislation.gov.uk
        ("isoeugenol", 0.02),
        ("hydroxycitronellal", 1.0),
        # Annex III 324: UK SI 2025/413 schedule, leave-on skin; the 0.6 of many pages is for hydroalcoholic only
        ("methyl_salicylate", 0.06),
        # Annex III 157, ECHA list as corrected 31 July 2024
        ("damascenone", 0.02),
    ],
)
def test_european_limits(substance: str, most: float) -> None:
    known = shipped_with(*pure(substance))
    for place in EU_UK:
        assert assess(in_balm({substance: most}), known, PERFUME, place).verdict is Verdict.WITHIN
        over = assess(in_balm({substance: most * 1.01}), known, PERFUME, place)
        assert over.over[0].regime == "law"


@pytest.mark.parametrize(
    ("substance", "superseded"),
    [
        # Values that still circulate (SCCS fragrance opinion, table 11-1, and older amendments): all too high or
        # too low today, so none of them may stand in the table as the limit of a perfume.
        ("cinnamaldehyde", 0.05),
        ("cinnamyl_alcohol", 0.4),
        ("coumarin", 1.6),
        ("eugenol", 0.5),
        ("geraniol", 5.3),
        ("isoeugenol", 0.2),
        ("methyl_salicylate", 0.6),
    ],
)
def test_superseded_limits_are_not_in_the_table(substance: str, superseded: float) -> None:
    rows = [row for row in SHIPPED.limits if substance in row.constituents]
    assert rows
    assert all(row.max_percent.get("4") != superseded for row in rows)


def test_old_ylang_amendment_no_longer_counts() -> None:
    # 0.8 in an older amendment (roberttisserand.com/?p=2751), 0.73 today
    known = shipped_with(oil("ylang_oil", {"linalool": 10.0}, restricted_as=("ylang_whole",)))
    assert assess(in_balm({"ylang_oil": 0.8}), known, PERFUME, Place.EU).verdict is Verdict.OVER
    assert assess(in_balm({"ylang_oil": 0.73}), known, PERFUME, Place.EU).verdict is Verdict.WITHIN


def test_constituents_of_a_whole_limited_oil_count_beside_it() -> None:
    # common sense of the standard: the lower of the two wins
    known = catalogue(
        [base(), oil("ylang_oil", {"isoeugenol": 4.0}, restricted_as=("ylang",))],
        [
            limit("ylang", 0.73, restricted_as=("ylang",)),
            limit("isoeugenol", 0.02, constituents=("isoeugenol",)),
        ],
    )
    found = assess(in_balm({"ylang_oil": 0.6}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.OVER
    assert [use.key for use in found.over] == ["isoeugenol"]
    assert of(found, "ylang").binding


def test_materials_are_matched_by_their_word_not_by_cas() -> None:
    # Expressed and distilled lime share CAS 8008-26-2; only the expressed oil is phototoxic.
    limes = [
        key for key, row in SHIPPED.materials.items() if row.cas is not None and row.cas.text == "8008-26-2"
    ]
    restricted = [key for key in limes if SHIPPED.materials[key].restricted_as]
    assert len(limes) == 2
    assert len(restricted) == 1
    distilled = next(key for key in limes if key not in restricted)
    beeswax = {"beeswax": 95.0}
    spared = assess(Composition.of({**beeswax, distilled: 5.0}), SHIPPED, PERFUME, Place.EU)
    caught = assess(Composition.of({**beeswax, restricted[0]: 5.0}), SHIPPED, PERFUME, Place.EU)
    assert spared.phototoxic_sum_percent == 0
    assert caught.phototoxic_sum_percent == pytest.approx(100 * 5 / 0.7)


def citrus() -> Catalogue:
    return shipped_with(
        oil("one", {"limonene": 90.0}, restricted_as=("bergamot_expressed",)),
        oil("two", {"limonene": 90.0}, restricted_as=("lemon_expressed",)),
        oil("three", {"limonene": 90.0}, restricted_as=("grapefruit_expressed",)),
    )


def test_phototoxic_sums() -> None:
    # Rule "shall not exceed 100", standard text quoted at thegoodscentscompany.com es1666931; limits 0.4, 2.0, 4.0
    known = citrus()
    ninety = assess(in_balm({"one": 0.20, "two": 0.80}), known, PERFUME, Place.EU)
    assert ninety.phototoxic_sum_percent == pytest.approx(90.0)
    assert ninety.verdict is Verdict.WITHIN
    assert of(ninety, "phototoxic_sum").used_percent == pytest.approx(90.0)
    over = assess(in_balm({"one": 0.20, "two": 0.80, "three": 0.80}), known, PERFUME, Place.EU)
    assert over.phototoxic_sum_percent == pytest.approx(110.0)
    assert over.verdict is Verdict.OVER
    assert [use.key for use in over.over] == ["phototoxic_sum"]
    assert over.over[0].concentration_percent == pytest.approx(1.8)
    assert over.over[0].limit_percent == pytest.approx(1.8 / 1.1)
    alone = assess(in_balm({"one": 0.40}), known, PERFUME, Place.EU)
    assert alone.phototoxic_sum_percent == pytest.approx(100.0)
    assert alone.verdict is Verdict.WITHIN
    assert all(use.key != "phototoxic_sum" for use in alone.limits), "of one oil the sum says nothing new"


def bergamot_compound(confidence: Confidence) -> Catalogue:
    measured = material(
        "bergamot_oil",
        composition=(content("bergapten", 0.35, confidence=confidence),),
        restricted_as=("bergamot_expressed",),
    )
    # 2 % of the oil in a compound, the rest without interest
    return shipped_with(measured, oil("plain", {"cedrol": 100.0}))


def test_worked_bergapten_example() -> None:
    # IFRA, October 1978, at bioassoberg.com: 0.35 % bergapten in the oil, 2 % of it in the compound, 20 % compound in
    # the product: 70 ppm in the compound (of 75), 0.4 % oil and 14 ppm (of 15) in the product
    compound = {"bergamot_oil": 2.0, "plain": 98.0}
    balm = in_balm({key: share * 0.20 for key, share in compound.items()})
    known = bergamot_compound(Confidence.SUPPLIER)
    neat = assess(Composition.of(compound), known, PERFUME, Place.EU)
    assert neat.bergapten_ppm == pytest.approx(70.0)
    found = assess(balm, known, PERFUME, Place.EU)
    assert found.bergapten_ppm == pytest.approx(14.0)
    assert of(found, "bergamot_expressed_standard").concentration_percent == pytest.approx(0.4)
    assert found.verdict is Verdict.WITHIN
    # 75 ppm in a compound used at 20 % is 15 ppm in the product (standard text, es1666931)
    assert pytest.approx(75.0) == 15.0 / 0.20


def test_measured_bergapten_replaces_the_single_limits() -> None:
    # 0.42 % of oil is over its single limit of 0.4 %, but 14.7 ppm are within 15
    balm = in_balm({"bergamot_oil": 0.42})
    measured = assess(balm, bergamot_compound(Confidence.SUPPLIER), PERFUME, Place.EU)
    assert measured.verdict is Verdict.WITHIN
    assert not of(measured, "bergamot_expressed_standard").binding
    assert "measured" in of(measured, "bergamot_expressed_standard").why
    # the same figure out of a book is not known for this bottle: both rules stand
    book = assess(balm, bergamot_compound(Confidence.SEEN), PERFUME, Place.EU)
    assert book.verdict is Verdict.OVER
    assert book.bergapten_ppm == pytest.approx(14.7)
    assert of(book, "bergapten_total_standard").binding


def test_bergapten_of_an_unknown_source_is_not_known() -> None:
    silent = oil("lemon_oil", {"limonene": 70.0}, restricted_as=("lemon_expressed",))
    measured = material(
        "bergamot_oil",
        composition=(content("bergapten", 0.3, confidence=Confidence.SUPPLIER),),
        restricted_as=("bergamot_expressed",),
    )
    known = shipped_with(silent, measured)
    found = assess(in_balm({"lemon_oil": 0.5, "bergamot_oil": 0.1}), known, PERFUME, Place.EU)
    assert found.bergapten_ppm is None
    row = of(found, "bergapten_total_standard")
    assert row.used_percent is None
    assert not row.binding
    assert "single oils count" in row.why
    assert found.verdict is Verdict.WITHIN


def test_no_bergapten_rule_in_the_tables_is_no_figure() -> None:
    known = catalogue([base(), oil("plain", {"a": 10.0})])
    assert assess(in_balm({"plain": 5.0}), known, PERFUME, Place.EU).bergapten_ppm is None


def test_groups_add_up() -> None:
    # rose ketones: the limit is on "the sum of those substances used in combination" (ECHA entry 157)
    known = shipped_with(*pure("damascenone", "beta_damascone"))
    one = assess(in_balm({"damascenone": 0.012}), known, PERFUME, Place.EU)
    both = assess(in_balm({"damascenone": 0.012, "beta_damascone": 0.012}), known, PERFUME, Place.EU)
    assert one.verdict is Verdict.WITHIN
    assert both.verdict is Verdict.OVER
    assert of(both, "rose_ketones_law").concentration_percent == pytest.approx(0.024)
    assert not of(both, "rose_ketones_standard").binding
    # oakmoss with treemoss: 0.1 % together, quoted at basenotes 319749
    mosses = shipped_with(
        oil("oak", {"cedrol": 1.0}, restricted_as=("oakmoss",)),
        oil("tree", {"cedrol": 1.0}, restricted_as=("treemoss",)),
    )
    assert assess(in_balm({"oak": 0.06}), mosses, PERFUME, Place.EU).verdict is Verdict.WITHIN
    assert assess(in_balm({"oak": 0.06, "tree": 0.06}), mosses, PERFUME, Place.EU).verdict is Verdict.OVER


def test_safrole_trio() -> None:
    # "total concentration of safrole, isosafrole and dihydrosafrole shall not exceed 0.01 %", standard quoted at
    # thegoodscentscompany.com rw1019421
    known = shipped_with(*pure("safrole", "isosafrole"))
    assert assess(in_balm({"safrole": 0.01}), known, (Use.LIPS,), Place.US).verdict is Verdict.WITHIN
    assert (
        assess(in_balm({"safrole": 0.006, "isosafrole": 0.005}), known, (Use.LIPS,), Place.US).verdict
        is Verdict.OVER
    )


def test_totals_count_neat_oils_and_leftovers_at_their_maximum() -> None:
    known = catalogue(
        [
            base(),
            material("lavender_oil", composition=(content("linalool", 20.0, most=40.0),)),
            oil("linalool_neat", {"linalool": 100.0}),
            leftover("old_balm", {"base": 90.0, "lavender_oil": 10.0}),
        ],
        [limit("linalool", 1.0, constituents=("linalool",))],
    )
    found = assess(
        in_balm({"lavender_oil": 1.0, "linalool_neat": 0.2, "old_balm": 5.0}), known, PERFUME, Place.EU
    )
    row = of(found, "linalool")
    assert row.concentration_percent == pytest.approx(0.4 + 0.2 + 0.2)
    assert dict(row.from_materials) == pytest.approx(
        {"lavender_oil": 0.4, "linalool_neat": 0.2, "old_balm": 0.2}
    )
    assert found.verdict is Verdict.WITHIN


def test_a_material_without_data_is_never_safe() -> None:
    known = catalogue(
        [
            base(),
            material("mystery"),
            leftover("old_balm", {"base": 50.0, "mystery": 50.0}),
            oil("rose", {"a": 50.0}),
        ],
        [limit("a", 1.0, constituents=("a",))],
    )
    found = assess(in_balm({"mystery": 0.5}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.UNKNOWN
    assert found.unknown[0].material == "mystery"
    assert found.unknown[0].share_percent == pytest.approx(0.5)
    assert found.largest_load_percent is None
    assert found.phototoxic_sum_percent is None
    assert "Enter its composition" in found.why
    inside = assess(in_balm({"old_balm": 10.0}), known, PERFUME, Place.EU)
    assert inside.unknown[0].share_percent == pytest.approx(5.0)
    over = assess(in_balm({"mystery": 0.5, "rose": 3.0}), known, PERFUME, Place.EU)
    assert over.verdict is Verdict.OVER, "what is over already is told first"


def test_a_lost_part_of_a_leftover_is_unknown() -> None:
    known = catalogue([base(), leftover("old_balm", {"base": 90.0, "gone": 10.0})])
    found = assess(in_balm({"old_balm": 20.0}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.UNKNOWN
    assert found.unknown[0].material == "gone"
    without = assess(in_balm({}), known, PERFUME, Place.EU)
    assert without.verdict is Verdict.WITHIN


def test_what_is_forbidden_is_forbidden_in_traces() -> None:
    known = catalogue(
        [base(), oil("balsam", {"a": 1.0}, restricted_as=("peru_balsam_crude",))],
        [limit("peru", 0.0, restricted_as=("peru_balsam_crude",), places=EU_UK)],
        certificates=[certificate("balsam", 5.0)],
    )
    found = assess(in_balm({"balsam": 0.0001}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.OVER
    assert found.over[0].forbidden
    assert found.over[0].used_percent is None
    assert "not be in there" in found.over[0].why
    assert "may not be in there at all" in found.why
    assert found.largest_load_percent == 0.0
    # an industry prohibition stays, whatever a certificate says
    banned = replace(known, limits=(limit("peru", 0.0, restricted_as=("peru_balsam_crude",)),))
    assert assess(in_balm({"balsam": 0.0001}), banned, PERFUME, Place.US).verdict is Verdict.OVER


def certified(*papers: Certificate) -> Catalogue:
    rows = [limit("a", 1.0, constituents=("a",)), limit("a_law", 0.4, constituents=("a",), places=EU_UK)]
    return catalogue(
        [base(), oil("blend", {"a": 50.0}), oil("other", {"a": 100.0})],
        rows,
        certificates=papers,
    )


def test_a_certificate_replaces_the_standard_for_its_material_edition_and_category() -> None:
    three = in_balm({"blend": 3.0})
    plain = assess(three, certified(), PERFUME, Place.US)
    assert plain.verdict is Verdict.OVER
    paper = assess(three, certified(certificate("blend", 4.0)), PERFUME, Place.US)
    assert paper.verdict is Verdict.WITHIN
    own = of(paper, "certificate_blend")
    assert own.used_percent == pytest.approx(75.0)
    assert (own.regime, own.confidence) == ("supplier's certificate", Confidence.SUPPLIER)
    # it says that 4 % of the blend holds at most 1 % of a; the neat other oil adds to that
    shared = assess(
        in_balm({"blend": 3.0, "other": 0.3}), certified(certificate("blend", 4.0)), PERFUME, Place.US
    )
    assert of(shared, "a").used_percent == pytest.approx(75.0 + 30.0)
    for wrong in (
        certificate("blend", 4.0, edition="48th"),
        certificate("blend", 4.0, category="5A"),
        certificate("other", 4.0),
        certificate("not_here", 4.0),
    ):
        assert assess(three, certified(wrong), PERFUME, Place.US).verdict is Verdict.OVER, wrong
    older = assess(
        three, certified(certificate("blend", 4.0, edition="48th")), PERFUME, Place.US, edition="48"
    )
    assert older.verdict is Verdict.WITHIN
    named = certificate("blend", 4.0, edition="House rules")
    assert assess(three, certified(named), PERFUME, Place.US, edition="house rules").verdict is Verdict.WITHIN


def test_a_certificate_stricter_than_our_values_counts() -> None:
    found = assess(in_balm({"blend": 1.0}), certified(certificate("blend", 0.5)), PERFUME, Place.US)
    assert [use.key for use in found.over] == ["certificate_blend"]
    two = certified(certificate("blend", 4.0), certificate("blend", 0.5, paper="paper 2"))
    assert (
        of(assess(in_balm({"blend": 1.0}), two, PERFUME, Place.US), "certificate_blend").source == "paper 2"
    )
    turned = certified(certificate("blend", 0.5), certificate("blend", 4.0, paper="paper 2"))
    assert (
        of(assess(in_balm({"blend": 1.0}), turned, PERFUME, Place.US), "certificate_blend").source
        == "paper 1"
    )


def test_a_certificate_never_replaces_a_law() -> None:
    known = certified(certificate("blend", 10.0))
    found = assess(in_balm({"blend": 1.0}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.OVER
    assert [use.key for use in found.over] == ["a_law"]
    assert of(found, "a_law").used_percent == pytest.approx(125.0)


def bought_blend(*papers: Certificate, law: bool) -> Catalogue:
    rows = [limit("a", 1.0, constituents=("a",))]
    if law:
        rows.append(limit("a_law", 0.4, constituents=("a",), places=EU_UK))
    return catalogue(
        [base(), material("blend", MaterialKind.BLEND), oil("other", {"a": 100.0})],
        rows,
        certificates=papers,
    )


def test_a_bought_blend_of_unknown_make() -> None:
    paper = certificate("blend", 4.0)
    assert (
        assess(in_balm({"blend": 2.0}), bought_blend(law=False), PERFUME, Place.EU).verdict is Verdict.UNKNOWN
    )
    within = assess(in_balm({"blend": 2.0}), bought_blend(paper, law=False), PERFUME, Place.EU)
    assert within.verdict is Verdict.WITHIN
    assert within.largest_load_percent == pytest.approx(4.0)
    law = assess(in_balm({"blend": 2.0}), bought_blend(paper, law=True), PERFUME, Place.EU)
    assert law.verdict is Verdict.UNKNOWN
    assert "not the law" in law.why
    # half of one limit by the other oil and 75 % of its certificate by the blend may meet in one substance
    meets = assess(in_balm({"blend": 3.0, "other": 0.5}), bought_blend(paper, law=False), PERFUME, Place.EU)
    assert meets.verdict is Verdict.UNKNOWN
    assert "cannot rule that out" in meets.why
    fits = assess(in_balm({"blend": 2.0, "other": 0.5}), bought_blend(paper, law=False), PERFUME, Place.EU)
    assert fits.verdict is Verdict.WITHIN
    # a certificate for one of two uses is not enough
    uses = (Use.PERFUME, Use.LIPS)
    assert (
        assess(in_balm({"blend": 1.0}), bought_blend(paper, law=False), uses, Place.EU).verdict
        is Verdict.UNKNOWN
    )


def test_a_missing_number_is_not_permission() -> None:
    known = catalogue(
        [base(), oil("rose", {"a": 10.0})],
        [limit("a", {"4": 1.0}, constituents=("a",)), limit("b", {}, constituents=("b",), places=EU_UK)],
    )
    lips = assess(in_balm({"rose": 5.0}), known, (Use.PERFUME, Use.LIPS), Place.EU)
    assert lips.verdict is Verdict.UNKNOWN
    row = lips.limits[-1]
    assert (row.key, row.limit_percent, row.used_percent, row.category) == ("a", None, None, "1")
    assert row.concentration_percent == pytest.approx(0.5)
    assert "lips" in row.why
    assert lips.largest_load_percent is None
    assert assess(in_balm({"rose": 5.0}), known, PERFUME, Place.EU).verdict is Verdict.WITHIN


def test_confidence_of_limit_and_amount_are_both_shown() -> None:
    known = catalogue(
        [
            base(),
            material("one", composition=(content("a", 10.0, confidence=Confidence.MEMORY),)),
            material("two", composition=(content("a", 10.0), content("b", 0.0))),
        ],
        [
            limit("a", 1.0, constituents=("a", "b"), confidence=Confidence.MEMORY),
            limit("two", 9.0, restricted_as=("two",)),
        ],
    )
    both = of(assess(in_balm({"one": 1.0, "two": 1.0}), known, PERFUME, Place.EU), "a")
    assert (both.confidence, both.amounts_confidence) == (Confidence.MEMORY, Confidence.MEMORY)
    one = of(assess(in_balm({"two": 1.0}), known, PERFUME, Place.EU), "a")
    assert one.amounts_confidence is Confidence.SEEN


def test_the_tightest_limit_stands_first() -> None:
    known = catalogue(
        [base(), oil("rose", {"a": 10.0, "b": 10.0})],
        [limit("a", 2.0, constituents=("a",)), limit("b", 1.0, constituents=("b",))],
    )
    found = assess(in_balm({"rose": 5.0}), known, PERFUME, Place.EU)
    assert [use.key for use in found.limits] == ["b", "a"]
    assert found.tightest is not None
    assert found.tightest.key == "b"


def test_largest_load() -> None:
    # 0.85 % geraniol in a lip balm and a scent of 20 % geraniol: 0.85 / 0.20 = 4.25 % of the balm
    known = catalogue(
        [base(), oil("rose", {"a": 20.0}), oil("clean", {"b": 1.0})], [limit("a", 0.85, constituents=("a",))]
    )
    found = assess(in_balm({"rose": 5.0}), known, PERFUME, Place.EU)
    assert found.verdict is Verdict.OVER
    assert found.largest_load_percent == pytest.approx(4.25)
    assert assess(in_balm({"clean": 5.0}), known, PERFUME, Place.EU).largest_load_percent == pytest.approx(
        100.0
    )
    assert assess(in_balm({}), known, PERFUME, Place.EU).largest_load_percent is None
    assert assess(
        Composition.of({"rose": 3.0}), known, PERFUME, Place.EU
    ).largest_load_percent == pytest.approx(4.25)
    named = assess(in_balm({"rose": 2.0, "clean": 2.0}), known, PERFUME, Place.EU, scent=("rose",))
    assert named.largest_load_percent == pytest.approx(4.25, abs=0.1)


def test_a_base_over_its_limit_has_no_load_that_passes() -> None:
    old = leftover("old_balm", {"base": 50.0, "rose": 50.0})
    rows = [base(), oil("rose", {"a": 20.0}), oil("clean", {"b": 1.0}), oil("same", {"a": 10.0}), old]
    known = catalogue(rows, [limit("a", 0.85, constituents=("a",))])
    # the leftover alone is at 10 %; the clean scent dilutes it, and only from 91.5 % on
    thinned = assess(Composition.of({"old_balm": 95.0, "clean": 5.0}), known, PERFUME, Place.EU)
    assert thinned.verdict is Verdict.OVER
    assert thinned.largest_load_percent == pytest.approx(100.0)
    equal = assess(Composition.of({"old_balm": 95.0, "same": 5.0}), known, PERFUME, Place.EU)
    assert equal.largest_load_percent == 0.0
    worse = assess(Composition.of({"old_balm": 95.0, "rose": 5.0}), known, PERFUME, Place.EU)
    assert worse.largest_load_percent == 0.0


@given(
    rose=st.floats(0.1, 20.0),
    lemon=st.floats(0.1, 20.0),
    a=st.floats(0.5, 60.0),
    b=st.floats(0.5, 60.0),
)
def test_the_largest_load_is_where_the_verdict_turns(rose: float, lemon: float, a: float, b: float) -> None:
    known = catalogue(
        [base(), oil("rose", {"a": a}), oil("lemon", {"a": b}, restricted_as=("lemon",))],
        [
            limit("a", 1.0, constituents=("a",)),
            limit("lemon", 2.0, restricted_as=("lemon",), group="phototoxic"),
        ],
    )
    share = rose / (rose + lemon)
    first = assess(in_balm({"rose": 3 * share, "lemon": 3 * (1 - share)}), known, PERFUME, Place.EU)
    most = first.largest_load_percent
    assert most is not None
    for load, verdict in ((most * 0.999, Verdict.WITHIN), (most * 1.001, Verdict.OVER)):
        if load < 100:
            at = assess(
                in_balm({"rose": load * share, "lemon": load * (1 - share)}), known, PERFUME, Place.EU
            )
            assert at.verdict is verdict


def test_nothing_in_the_recipe_is_no_verdict() -> None:
    found = assess(Composition(()), catalogue([base()]), PERFUME, Place.EU)
    assert found.verdict is Verdict.UNKNOWN
    assert found.limits == ()
    assert "nothing in the recipe" in found.why


def test_troubles() -> None:
    known = catalogue([base()], categories={Use.PERFUME: "4"})
    with pytest.raises(Trouble, match="no material"):
        assess(in_balm({"nowhere": 1.0}), known, PERFUME, Place.EU)
    with pytest.raises(Trouble, match="No intended use"):
        assess(in_balm({}), known, (), Place.EU)
    with pytest.raises(Trouble, match="No category"):
        assess(in_balm({}), known, (Use.LIPS,), Place.EU)
    with pytest.raises(Trouble, match="made of itself"):
        assess(in_balm({}), catalogue([base(), leftover("loop", {"loop": 100.0})]), PERFUME, Place.EU)
    twice = material("twice", composition=(content("a", 1.0), content("a", 2.0)))
    with pytest.raises(Trouble, match="twice"):
        assess(in_balm({}), catalogue([base(), twice]), PERFUME, Place.EU)


@pytest.mark.parametrize(
    "key", sorted({row.key for row in SHIPPED.limits if {"1", "4"} <= row.max_percent.keys()})
)
def test_ratio_between_categories_is_plausible(key: str) -> None:
    # QRA2 limits are proportional to the NESIL: category 1 / category 4 is near 0.18 and 5A / 4 near 0.26 (published rows
    # of cinnamyl alcohol and verbena: 0.174 to 0.183 and 0.246 to 0.267).  A row that is off was capped by another end
    # point or mistyped; those that are known to be capped stand here.  Never a source of a limit.
    row = next(row for row in SHIPPED.limits if row.key == key)
    numbers = row.max_percent
    capped = {"methyl_eugenol_standard", "estragole_standard", "citronellal_standard"}
    if row.places or len(set(numbers.values())) == 1 or key in capped:
        return
    assert 0.17 <= numbers["1"] / numbers["4"] <= 0.19
    if "5A" in numbers:
        assert 0.24 <= numbers["5A"] / numbers["4"] <= 0.27
