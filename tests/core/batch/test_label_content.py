"""What the labels of a batch say, and when they may be called final."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

import pytest

from workbench.core.batch import commands as ask
from workbench.core.batch.label_content import LabelContent, label_content
from workbench.core.batch.label_final import LabelWish
from workbench.core.batch.label_subject import LabelSubject, subject_of_plan, subject_of_session
from workbench.core.batch.session import EMPTY
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, MaterialKind, Note, Use
from workbench.core.catalogue.shelf import Certificate, Lot
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Brief
from workbench.core.skin.durability import DurabilityKind
from workbench.core.skin.label_rules import LabelPlace, Part
from workbench.core.skin.verdict import Verdict
from workbench.core.trouble import Trouble
from workbench.testing import BEGIN, Maker, begin, sample_catalogue, sample_plan

TODAY = date(2026, 11, 25)
MADE = date(2026, 3, 14)
ALL = ("beeswax", "shea_butter", "jojoba", "cedarwood_virginia", "lavender")


@lru_cache(maxsize=1)
def finished() -> SessionState:
    conductor, clock, _ = begin()
    maker = Maker(conductor, clock)
    maker.go_to_end()
    return maker.state


def with_lots(**dates: date | None) -> Catalogue:
    lots = tuple(Lot(key=f"{key}_1", material=key, best_before=day) for key, day in dates.items())
    tables = sample_catalogue()
    return tables.over(tables.shelf.model_copy(update={"lots": lots}))


def all_dated(**others: date) -> Catalogue:
    return with_lots(**{key: others.get(key, date(2028, 6, 30)) for key in ALL})


def subject(state: SessionState | None = None, **changes: object) -> LabelSubject:
    made = subject_of_session(state or finished())
    lots = {key: (f"{key}_1",) for key in ALL}
    return replace(made, lots=lots, **changes)  # type: ignore[arg-type]


def content(
    place: LabelPlace = LabelPlace.EU,
    of: LabelSubject | None = None,
    catalogue: Catalogue | None = None,
    **wish: object,
) -> LabelContent:
    asked = LabelWish(place, **{"maker_line": "A maker, a street", **wish})  # type: ignore[arg-type]
    return label_content(of or subject(), catalogue or all_dated(), asked, TODAY)


# --- final, and what keeps it from being so ---


@pytest.mark.parametrize("place", list(LabelPlace))
def test_a_finished_batch_within_its_limits_is_final(place: LabelPlace) -> None:
    made = content(place)
    assert made.why_not_final == ()
    assert made.final


def test_a_plan_is_a_draft() -> None:
    made = content(of=subject_of_plan(sample_plan()))
    assert not made.final
    assert any("plan" in why for why in made.why_not_final)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"rehearsal": True}, "practice"),
        ({"phase": Phase.ENDED_EARLY, "ended_because": "smoke"}, "smoke"),
        ({"phase": Phase.RUNNING}, "not finished"),
    ],
)
def test_practice_broken_off_and_running_batches_are_drafts(change: dict[str, object], says: str) -> None:
    made = content(of=subject(replace(finished(), **change)))  # type: ignore[arg-type]
    assert not made.final
    assert any(says in why for why in made.why_not_final)


def test_a_limit_set_aside_is_over_and_never_final() -> None:
    made = content(of=subject(set_aside=True))
    assert made.over
    assert not made.final
    assert any("set aside" in why for why in made.why_not_final)


def test_over_a_limit_as_made_is_never_final_whatever_the_plan_said() -> None:
    """Lavender alone at 60 % of the balm passes limits that five per cent do not."""
    composition = Composition.of({"jojoba": 40.0, "lavender": 20.0, "rose": 40.0})
    made = content(of=subject(composition=composition))
    assert made.verdict is not None
    assert made.verdict.verdict is Verdict.OVER
    assert made.over
    assert any(why.startswith("Over its limit") for why in made.why_not_final)


def test_a_session_over_its_limit_carries_the_mark_from_its_start() -> None:
    conductor, _clock, _ = begin()
    state = conductor.ahead
    aside = ask.SetAside("", Guard.SKIN_LIMITS, "for a patch of my own arm")
    assert not state.over_skin_limit
    plan = sample_plan()
    over = plan.model_copy(update={"skin": plan.skin.model_copy(update={"verdict": "over", "over": ("x",)})})
    from workbench.core.batch.conductor import Conductor
    from workbench.testing import MemoryJournal, VirtualClock, sample_rules

    fresh = Conductor("batch-1", MemoryJournal(), VirtualClock(), sample_rules())
    assert fresh.send(ask.Start(over, maker="M", set_aside=(aside,))) is None
    assert subject_of_session(fresh.ahead).set_aside


def test_what_the_place_asks_for_and_nobody_gave_keeps_it_a_draft() -> None:
    made = content(maker_line="")
    assert any("name and address" in why for why in made.why_not_final)
    assert content(LabelPlace.PRESENT, maker_line="").final


def test_a_balm_to_be_sold_is_no_present() -> None:
    recipe = finished().plan.recipe  # type: ignore[union-attr]
    sold = subject(recipe=recipe.model_copy(update={"brief": Brief(selling=True)}))
    made = content(LabelPlace.PRESENT, of=sold)
    assert not made.final
    assert any("sold" in why for why in made.why_not_final)


def test_a_batch_that_never_began_has_no_labels() -> None:
    with pytest.raises(Trouble, match="never began"):
        subject_of_session(EMPTY)


# --- a bought blend: certificate and allergen sheet ---

BLEND = Material(key="bought_mist", name="Bought mist", kind=MaterialKind.BLEND)


def blend(catalogue: Catalogue, *papers: Certificate) -> tuple[LabelSubject, Catalogue]:
    composition = Composition.of({"jojoba": 97.0, "bought_mist": 3.0})
    shelf = catalogue.shelf.model_copy(
        update={
            "certificates": papers,
            "materials": (BLEND,),
            "lots": (
                Lot(key="jojoba_1", material="jojoba", best_before=date(2028, 6, 30)),
                Lot(key="bought_mist_1", material="bought_mist", best_before=date(2028, 6, 30)),
            ),
        }
    )
    made = subject(composition=composition)
    lots = {"jojoba": ("jojoba_1",), "bought_mist": ("bought_mist_1",)}
    return replace(made, lots=lots), catalogue.over(shelf)


def paper(**changes: object) -> Certificate:
    fields = {
        "material": "bought_mist",
        "edition": "51st Amendment",
        "category": "4",
        "max_percent": 4.54,
        "paper": "C-2024-117",
        "allergens": {"Linalool": 12.0, "Limonene": 3.0},
        **changes,
    }
    return Certificate.model_validate(fields)


def test_a_bought_blend_without_papers_is_a_draft() -> None:
    of, catalogue = blend(all_dated())
    made = content(of=of, catalogue=catalogue)
    assert made.verdict is not None
    assert made.verdict.verdict is Verdict.UNKNOWN
    assert not made.final
    assert not made.over


def test_certificate_and_sheet_make_it_final_and_are_named() -> None:
    of, catalogue = blend(all_dated(), paper())
    made = content(of=of, catalogue=catalogue)
    assert made.final, made.why_not_final
    assert [each.paper for each in made.footing] == ["C-2024-117"]
    assert any("C-2024-117" in note and "51st Amendment" in note for note in made.notes)
    assert "Linalool" in made.ingredients.names


def test_a_certificate_for_less_than_was_used_is_not_enough() -> None:
    of, catalogue = blend(all_dated(), paper(max_percent=2.9))
    made = content(of=of, catalogue=catalogue)
    assert not made.final
    assert made.over


def test_a_certificate_for_another_use_is_not_enough() -> None:
    of, catalogue = blend(all_dated(), paper(category="12"))
    made = content(of=of, catalogue=catalogue)
    assert made.footing == ()
    assert not made.final


def test_a_certificate_without_an_allergen_sheet_is_not_enough_where_allergens_are_printed() -> None:
    of, catalogue = blend(all_dated(), paper(allergens={}))
    made = content(of=of, catalogue=catalogue)
    assert not made.final
    assert any("allergen" in why for why in made.why_not_final)


# --- dates ---


def test_the_shortest_lived_lot_sets_the_date() -> None:
    made = content(catalogue=all_dated(jojoba=date(2027, 4, 30)))
    assert made.durability.best_before == date(2027, 4, 30)
    assert made.durability.lot == "jojoba_1"
    assert any("Jojoba" in note and "2027-04-30" in note for note in made.notes)
    assert not any("jojoba_1" in note for note in made.notes)  # a key is nothing to read


def test_over_30_months_it_is_the_open_jar_in_the_eu_and_the_date_in_the_us() -> None:
    lasting = with_lots(**dict.fromkeys(ALL, date(2029, 1, 31)))
    assert content(catalogue=lasting).durability.kind is DurabilityKind.OPEN_JAR
    assert content(LabelPlace.US, catalogue=lasting).durability.kind is DurabilityKind.DATE


def test_one_lot_without_a_date_keeps_an_eu_label_a_draft() -> None:
    catalogue = with_lots(**{**dict.fromkeys(ALL, date(2028, 6, 30)), "beeswax": None})
    made = content(catalogue=catalogue)
    assert not made.final
    assert any("Beeswax" in note for note in made.notes)
    assert content(LabelPlace.PRESENT, catalogue=catalogue).final
    # the maker may take it on himself
    assert content(catalogue=catalogue, best_before=date(2027, 6, 30)).final


def test_the_makers_date_may_be_earlier_and_never_later() -> None:
    made = content(best_before=date(2027, 1, 15))
    assert made.durability.best_before == date(2027, 1, 15)
    with pytest.raises(Trouble, match="2028-06-30"):
        content(best_before=date(2028, 7, 1))


def test_a_lot_that_had_passed_its_date_is_told() -> None:
    made = content(catalogue=all_dated(jojoba=MADE - timedelta(days=1)))
    assert any("had passed" in why for why in made.why_not_final)


def test_made_on_is_the_day_of_the_pour() -> None:
    made = subject_of_session(finished())
    assert made.made_on == BEGIN.date()
    late = replace(finished(), started_wall=BEGIN.replace(hour=23, minute=55))
    assert subject_of_session(late).made_on == BEGIN.date() + timedelta(days=1)


# --- what stands on it ---


def test_tins_of_a_kind_share_the_least_of_their_contents() -> None:
    state = finished()
    step = next(each for each in state.steps if each.step.kind is StepKind.WEIGH_TINS)
    recorded = dict(step.recorded)
    recorded["tin:2"] = replace(recorded["tin:2"], value=12.31)
    steps = tuple(replace(each, recorded=recorded) if each is step else each for each in state.steps)
    kinds = subject_of_session(replace(state, steps=steps)).tins
    assert [kind.key for kind in kinds] == ["round_15"]
    assert kinds[0].content_g == pytest.approx(12.31)
    assert kinds[0].numbers == (1, 2, 3)
    assert kinds[0].weighed


def test_the_order_is_that_of_a_hand_made_example() -> None:
    """By hand from Art. 19(1)(g) and 21 CFR 701.3(f): 60, 20, 20 parts under 5 % of scent.

    jojoba 57 %, beeswax and shea 19 % each, scent 5 %.
    """
    base = {"Simmondsia Chinensis Seed Oil", "Cera Alba", "Butyrospermum Parkii Butter"}
    for place, scent in ((LabelPlace.EU, "Parfum"), (LabelPlace.UK, "Parfum"), (LabelPlace.US, "Fragrance")):
        names = content(place).ingredients.names
        assert names[0] == "Simmondsia Chinensis Seed Oil"
        assert set(names[:3]) == base
        assert names[3] == scent
    assert len(content(LabelPlace.US).ingredients.names) == 4
    newer, older = content(LabelPlace.EU).ingredients.names, content(LabelPlace.UK).ingredients.names
    assert set(older) < set(newer)
    assert "Juniperus Virginiana Oil" in newer  # entry 358, on the longer list only


def test_a_present_names_allergens_by_the_longer_list_on_any_day() -> None:
    early = label_content(subject(), all_dated(), LabelWish(LabelPlace.PRESENT), date(2026, 1, 1))
    assert "Juniperus Virginiana Oil" in early.ingredients.names
    assert early.plain[0] == "jojoba"


def test_the_scent_runs_from_top_to_base() -> None:
    assert content().scent == ((Note.MIDDLE, "lavender"), (Note.BASE, "cedarwood_virginia"))


def test_precautions_follow_recipe_and_brief() -> None:
    assert "sun" not in content().precautions
    recipe = finished().plan.recipe  # type: ignore[union-attr]
    brief = Brief(pregnant=True, pets=True, worn_in_sun=False)
    citrus = subject(
        recipe=recipe.model_copy(update={"brief": brief, "uses": (Use.PERFUME, Use.LIPS)}),
        composition=Composition.of({"jojoba": 99.9, "bergamot": 0.1}),
    )
    made = content(of=citrus)
    assert {"sun", "pregnancy", "pets_and_oils", "patch_test", "external", "out_of_reach"} <= set(
        made.precautions
    )
    assert "not_for_lips" not in made.precautions
    assert "not_for_lips" in content().precautions


def test_parts_that_nobody_asks_for_can_be_left_out_and_others_not() -> None:
    made = content(leave_out=frozenset({Part.SCENT, Part.INGREDIENTS}))
    assert not made.prints(Part.SCENT)
    assert made.prints(Part.INGREDIENTS)


def test_what_is_gone_from_the_shelf_is_still_known_from_the_plan() -> None:
    catalogue = all_dated()
    without = {key: row for key, row in catalogue.materials.items() if key != "lavender"}
    made = content(catalogue=replace(catalogue, materials=without))
    assert made.final, made.why_not_final
    assert "lavender" in made.known(replace(catalogue, materials=without)).materials
