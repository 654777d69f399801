"""What a reaction flags: it follows the materials and lots of the batch, not the name of its recipe."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.core.review.batches import entry
from tests.core.review.worn import DABBED
from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.model import Material, MaterialKind, PartOf
from workbench.core.recipe.change import change
from workbench.core.review.faults import FaultKind, FaultSeen, FaultsSeen
from workbench.core.review.keeping import ERASED, body_of
from workbench.core.review.reaction_words import (
    Wanted,
    holds_back,
    lot_caution,
    lot_doubt,
    uses_caution,
    wanted_of,
)
from workbench.core.review.reactions import (
    NO_FLAGS,
    SKIN_REACTION,
    UNREAD,
    Flags,
    Reported,
    flags,
    reactions,
    reported_of,
    taken_apart,
)
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.store.resources import load_catalogue
from workbench.testing import sample_recipe

ROWS = load_catalogue().materials
SORE = WordFromWearer(number=1, told=date(2026, 4, 2), wearer="qx", reaction=True, words="red for a day")
FINE = WordFromWearer(number=2, rating=8, words="lovely")
EMBER = (
    ("beeswax", "b1", 8.0),
    ("jojoba", "", 30.0),
    ("lavender", "l1", 1.5),
    ("cedarwood_virginia", "", 1.0),
)
HARBOUR = (("beeswax", "b2", 8.0), ("sunflower", "", 30.0), ("patchouli", "", 1.0))


def summaries() -> dict[str, SessionSummary]:
    """Newest first: another recipe, and the batch that somebody's skin reacted to."""
    made = [
        entry(2, recipe="Harbour", code="H-2", lots=("b2",), used=HARBOUR),
        entry(1, code="E-1", lots=("b1", "l1"), used=EMBER),
    ]
    return {each.id: each.summary for each in made if each.summary is not None}


def told(
    *said: WordFromWearer, session: str = "s1", code: str = "E-1", recipe: str = ""
) -> dict[str, object]:
    words = WordsFromWearers(session=session, batch_code=code, recipe_name=recipe, said=said)
    return {code or session: body_of(words)}


def made(words: dict[str, object], faults: dict[str, object] | None = None) -> Flags:
    return flags(reactions(words, faults or {}), summaries(), ROWS)


def of(name: str, *materials: str, lots: tuple[tuple[str, str], ...] = ()) -> Wanted:
    return Wanted(name, materials, lots)


def caution(found: Flags, wanted: Wanted) -> str:
    return str(uses_caution(found, wanted, ROWS) or "")


# --- it follows what was in the tin ---


def test_a_renamed_copy_carries_the_caution_and_says_why() -> None:
    found = made(told(SORE, FINE))
    assert found.sessions == {"s1"}
    copy = of("Another name", "beeswax", "jojoba", "lavender", "cedarwood_virginia")
    assert caution(found, copy) == (
        f"A skin reaction was reported of a balm whose whole fragrance is in this recipe too "
        f"({ROWS['cedarwood_virginia'].name}; {ROWS['lavender'].name}): batch E-1, told by qx on 2026-04-02."
    )
    assert "this recipe, with the same" in caution(found, replace(copy, name="Evening ember"))


def test_one_fragrance_material_in_common_is_named() -> None:
    found = made(told(SORE))
    says = caution(found, of("New", "candelilla_wax", "lavender", "patchouli"))
    assert f"has {ROWS['lavender'].name} in common with this recipe: batch E-1" in says
    assert ROWS["patchouli"].name not in says


def test_the_wax_that_everything_is_made_of_does_not_flag_by_itself() -> None:
    found = made(told(SORE))
    assert caution(found, of("New", "beeswax", "jojoba", "patchouli")) == ""
    assert f"from the same lot of {ROWS['beeswax'].name}" in caution(
        found, of("New", "beeswax", "patchouli", lots=(("b1", "beeswax"),))
    )


def test_of_a_balm_without_fragrance_the_base_counts() -> None:
    rows = summaries()
    rows["s1"] = replace(rows["s1"], used=(("beeswax", "", 8.0), ("jojoba", "", 30.0)))
    found = flags(reactions(told(SORE), {}), rows, ROWS)
    assert "without fragrance" in caution(found, of("New", "beeswax", "jojoba", "patchouli"))
    assert f"has {ROWS['jojoba'].name} in common" in caution(found, of("New", "jojoba", "patchouli"))


def test_a_leftover_and_a_premix_are_taken_apart() -> None:
    """Mass balance of the kitchen: what was melted in once is still in there (common practice, no source)."""
    left = Material(
        key="left_of_s1",
        name="Rest of E-1",
        kind=MaterialKind.LEFTOVER,
        made_of=(PartOf(material="beeswax", share_percent=95), PartOf(material="lavender", share_percent=5)),
    )
    rows = {**ROWS, left.key: left}
    assert taken_apart(["left_of_s1", "gone"], rows) == {"beeswax", "lavender", "gone"}
    says = uses_caution(made(told(SORE)), of("New", "left_of_s1", "patchouli"), rows)
    assert ROWS["lavender"].name in str(says)


def test_a_material_that_has_left_the_tables_counts_as_fragrance() -> None:
    rows = summaries()
    rows["s1"] = replace(rows["s1"], used=(("beeswax", "", 8.0), ("bought_blend", "", 2.0)))
    found = flags(reactions(told(SORE), {}), rows, ROWS)
    assert "bought_blend" in caution(found, of("New", "beeswax", "bought_blend"))


def test_a_recipe_that_has_nothing_of_it_any_more_says_of_which_revision_it_was() -> None:
    says = caution(made(told(SORE)), of("Evening ember", "beeswax", "patchouli"))
    assert "as it was in revision 1, with other materials in it than now" in says


def test_a_recipe_is_asked_with_all_its_lines() -> None:
    recipe = sample_recipe()
    wanted = wanted_of(recipe)
    assert set(wanted.materials) == {line.material for line in recipe.base} | {
        line.material for line in recipe.scent
    }
    named = change(recipe, base=tuple(line.model_copy(update={"lot": "b1"}) for line in recipe.base))
    assert wanted_of(named).lots == tuple(("b1", line.material) for line in recipe.base)


def test_a_batch_without_a_summary_flags_itself_and_its_recipe() -> None:
    found = made(told(SORE, session="s9", code="", recipe="Harbour"))
    assert "reported of this recipe: batch s9" in caution(found, of("Harbour", "patchouli"))
    assert caution(found, of("Evening ember", "lavender")) == ""


def test_taken_back_it_flags_nothing() -> None:
    assert made(told(SORE.model_copy(update={"reaction": False}))) == NO_FLAGS


# --- who it was ---


@pytest.mark.parametrize(
    "erased", [{"wearer": ERASED}, {"words": ERASED}, {"wearer": ERASED, "words": ERASED}, {"wearer": ""}]
)
def test_nobody_is_named_whose_words_or_initials_were_erased(erased: dict[str, str]) -> None:
    says = caution(made(told(SORE.model_copy(update=erased))), of("Evening ember"))
    assert "qx" not in says
    assert "erased" not in says
    assert "batch E-1, told by a wearer on 2026-04-02" in says


def test_an_entry_is_told_as_far_as_it_is_known() -> None:
    undated = SORE.model_copy(update={"told": None})
    assert "batch E-1, told by qx." in caution(made(told(undated)), of("Evening ember"))
    nobody = undated.model_copy(update={"wearer": ""})
    assert "batch E-1, told by a wearer." in caution(made(told(nobody)), of("Evening ember"))


def test_the_newest_of_several_is_told() -> None:
    older = SORE.model_copy(update={"number": 3, "told": date(2026, 3, 1), "wearer": "ab"})
    found = reported_of(WordsFromWearers(session="s1", said=(SORE, older)))
    assert found is not None
    assert found.wearer == "qx"
    both = made({**told(SORE), **told(SORE, session="s2", code="H-2", recipe="Harbour")})
    recipe = of("New", "lavender", "cedarwood_virginia", lots=(("b1", "beeswax"), ("b2", "beeswax")))
    assert "batch E-1" in caution(both, recipe)
    assert caution(both, of("Harbour", "lavender")).count("batch") == 1


def test_two_batches_of_one_recipe_are_both_told() -> None:
    rows = summaries()
    rows["s2"] = replace(rows["s2"], recipe_name="Evening ember", batch_code="E-2")
    words = {**told(SORE), **told(SORE, session="s2", code="E-2")}
    says = str(uses_caution(flags(reactions(words, {}), rows, ROWS), of("Evening ember"), ROWS))
    assert "batch E-2, told by qx on 2026-04-02; also of E-1" in says


# --- seen by the maker ---


def test_a_reaction_that_was_recorded_as_a_fault_counts_as_one() -> None:
    seen = FaultsSeen(session="s1", batch_code="E-1", recipe_name="Evening ember")
    seen = seen.put(FaultSeen(kind=FaultKind.GRAIN, noted=DABBED))
    assert reactions({}, {"s1": body_of(seen)}) == ()
    body = body_of(seen.put(FaultSeen(kind=FaultKind.SKIN_REACTION, noted=DABBED)))
    (found,) = reactions({}, {"s1": body})
    assert found == Reported("s1", "s1", "E-1", "Evening ember", seen=True)
    assert "batch E-1, seen by the maker" in caution(made({}, {"s1": body}), of("New", "lavender"))
    both = reactions(told(SORE), {"s1": body})
    assert [each.wearer for each in both] == ["qx"]  # what the wearer told goes before it, once


# --- what cannot be read is not permission ---

GARBLED: tuple[object, ...] = (
    [],
    7,
    "lovely",
    {"said": "lovely"},
    {"session": "s1", "said": [{"number": 0}]},
)


@pytest.mark.parametrize("body", GARBLED)
def test_words_that_cannot_be_read_count_as_a_possible_reaction(body: object) -> None:
    found = made({"E-1": body})
    (flag,) = found.all
    assert flag.unread
    assert flag.session == "s1"
    for wanted in (
        of("Evening ember"),
        of("New", "lavender"),
        of("New", "beeswax", lots=(("b1", "beeswax"),)),
    ):
        says = caution(found, wanted)
        assert "It is not known whether skin reacted" in says
        assert "batch E-1 cannot be read" in says
    assert caution(found, of("New", "patchouli")) == ""
    assert "cannot be read" in str(lot_caution(found, "b1"))


@pytest.mark.parametrize(
    "body", [[], {"faults": None}, {"faults": ["skin"]}, {"faults": [{"kind": 3}]}, {"faults": [{}]}]
)
def test_faults_that_cannot_be_read_count_as_a_possible_reaction(body: object) -> None:
    assert [each.unread for each in reactions({}, {"s1": body})] == [True]


def test_faults_of_a_kind_that_a_newer_program_knows_can_still_be_read() -> None:
    assert reactions({}, {"s1": {"faults": [{"kind": "dull"}]}}) == ()
    assert not reactions({}, {"s1": {"faults": [{"kind": "dull"}, {"kind": SKIN_REACTION}]}})[0].unread


def test_a_known_reaction_goes_before_what_cannot_be_read() -> None:
    found = made({**told(SORE), "H-2": []})
    assert "A skin reaction was reported" in caution(found, of("New", "lavender", "patchouli"))
    assert "not known" in caution(found, of("New", "patchouli"))


def test_what_cannot_even_be_told_of_which_batch_stands_at_every_recipe() -> None:
    found = made({"X-9": {"said": 1}})
    says = caution(found, of("New", "patchouli"))
    assert "X-9" in says
    assert "Act as if it had" in says


def test_a_project_whose_words_cannot_be_read_at_all_warns_everywhere() -> None:
    assert "cannot be read" in caution(UNREAD, of("New", "patchouli"))
    assert "cannot be read" in str(lot_caution(UNREAD, "b1"))
    assert holds_back(UNREAD, "s2", of("Harbour", "patchouli"), ROWS) is not None
    assert caution(NO_FLAGS, of("Evening ember", "lavender")) == ""
    assert lot_caution(NO_FLAGS, "b1") is None


# --- lots ---


def test_a_lot_that_was_named_is_flagged() -> None:
    found = made(told(SORE))
    assert "with this lot in it: batch E-1" in str(lot_caution(found, "b1"))
    assert lot_caution(found, "b2") is None


def test_a_lot_that_was_not_named_may_have_been_any_that_was_there() -> None:
    """E-1 was made on 6 January; a bottle opened after it cannot have been in it."""
    found = made(told(SORE))
    assert lot_caution(found, "j1") is None
    assert "Perhaps it was in a balm that skin reacted to" in str(lot_doubt(found, "jojoba"))
    assert "batch E-1, told by qx" in str(lot_doubt(found, "jojoba", date(2026, 1, 6)))
    assert lot_doubt(found, "jojoba", date(2026, 1, 7)) is None
    assert lot_doubt(found, "beeswax") is None  # its lot is known
    assert lot_doubt(found, "sunflower") is None  # nothing of it was in there
    assert "cannot be read" in str(lot_doubt(made({"E-1": []}), "jojoba"))


# --- what holds fragrance back ---


def test_more_fragrance_is_held_back_for_the_batch_its_recipe_and_its_copies() -> None:
    found = made(told(SORE))
    assert "this batch" in str(holds_back(found, "s1", of("Anything"), ROWS))
    assert "this recipe" in str(holds_back(found, "s2", of("Evening ember", "lavender"), ROWS))
    copy = of("Copy", "beeswax", "lavender", "cedarwood_virginia")
    assert "whole fragrance" in str(holds_back(found, "s2", copy, ROWS))
    assert holds_back(found, "s2", of("New", "lavender", "patchouli"), ROWS) is None
    unread = made({"E-1": []})
    assert "cannot be read" in str(holds_back(unread, "s2", copy, ROWS))
