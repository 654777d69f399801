"""Four languages that say the same things with the same blanks."""

from __future__ import annotations

from datetime import date

import pytest

from tests.paper.conftest import Contents
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.skin.durability import Durability, DurabilityKind
from workbench.core.skin.label_rules import LabelPlace
from workbench.core.trouble import Trouble
from workbench.paper.label_text import scent_words
from workbench.paper.phrases import HARD_SPACE, Language, parse_phrases
from workbench.paper.press import Press
from workbench.store.resources import load_catalogue, resource_bytes


@pytest.mark.parametrize("language", list(Language))
def test_every_language_is_complete(language: Language, press: Press) -> None:
    phrases = press.phrases[language]
    english = press.phrases[Language.ENGLISH]
    assert set(phrases.materials) == set(english.materials)
    assert set(phrases.precautions) == set(english.precautions)
    assert len(set(phrases.months)) == 12


def test_every_material_of_the_tables_has_a_name_in_every_language(press: Press) -> None:
    for phrases in press.phrases.values():
        assert set(load_catalogue().materials) <= set(phrases.materials)


@pytest.mark.parametrize("language", [Language.GERMAN, Language.FRENCH, Language.SPANISH])
def test_no_phrase_was_left_in_english(language: Language, press: Press) -> None:
    english, other = press.phrases[Language.ENGLISH], press.phrases[language]
    same_in_both = {"net", "jar", "made_on"}
    for group in ("label", "card", "use"):
        for key, text in getattr(english, group):
            if key not in same_in_both:
                assert getattr(getattr(other, group), key) != text, (group, key)
    assert not set(english.precautions.values()) & set(other.precautions.values())


def test_a_file_with_faults_tells_all_of_them() -> None:
    content = resource_bytes("phrases/de.toml").decode()
    broken = content.replace("{months}M", "M").replace('external = "', 'externl = "')
    with pytest.raises(Trouble) as told:
        parse_phrases("de.toml", broken.encode())
    assert "label.jar" in str(told.value)
    assert "external" in str(told.value)


@pytest.mark.parametrize("content", [b"\xff", b"name = ", b""])
def test_a_file_that_is_none_is_told(content: bytes) -> None:
    with pytest.raises(Trouble, match=r"x\.toml"):
        parse_phrases("x.toml", content)


def test_dates_by_place_and_language(press: Press) -> None:
    day = date(2027, 3, 9)
    assert press.phrases[Language.ENGLISH].date(day, LabelPlace.EU) == "09/03/2027"
    assert press.phrases[Language.GERMAN].date(day, LabelPlace.EU) == "09.03.2027"
    # in the US day and month cannot be mistaken for each other
    assert press.phrases[Language.ENGLISH].date(day, LabelPlace.US) == f"Mar{HARD_SPACE}9, 2027"


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2027, 9, 30), "Best used before the end of~09/2027"),
        (date(2028, 2, 29), "Best used before the end of~02/2028"),
        # the end of the month would be later than the lot allows, so the day itself stands
        (date(2028, 2, 28), "Best before 28/02/2028"),
        (date(2027, 12, 30), "Best before 30/12/2027"),
    ],
)
def test_best_before_never_says_a_later_day(day: date, said: str, press: Press) -> None:
    lasting = Durability(DurabilityKind.DATE, day)
    text = press.phrases[Language.ENGLISH].lasts(lasting, LabelPlace.EU)
    assert text == said.replace("~", HARD_SPACE)


def test_the_us_always_says_the_day(press: Press) -> None:
    lasting = Durability(DurabilityKind.DATE, date(2027, 9, 30))
    assert "Sep" in press.phrases[Language.ENGLISH].lasts(lasting, LabelPlace.US)


def test_the_open_jar_in_words_and_the_unknown_in_none(press: Press) -> None:
    jar = Durability(DurabilityKind.OPEN_JAR, date(2030, 1, 1), 6)
    assert "6" in press.phrases[Language.GERMAN].lasts(jar, LabelPlace.EU)
    assert press.phrases[Language.GERMAN].lasts(Durability(DurabilityKind.UNKNOWN), LabelPlace.EU) == ""


def test_the_scent_line_is_in_the_readers_words(
    press: Press, contents: Contents, catalogue: Catalogue
) -> None:
    content = contents(LabelPlace.EU)
    assert scent_words(content, press.phrases[Language.ENGLISH], catalogue) == "lavender · cedarwood"
    assert (
        scent_words(content, press.phrases[Language.FRENCH], catalogue)
        == f"lavande · bois{HARD_SPACE}de{HARD_SPACE}cèdre"
    )
