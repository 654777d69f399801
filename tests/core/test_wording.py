"""Sentences that keep their template and values, and those that count."""

from __future__ import annotations

import pytest

from workbench.core.batch.steps import SavedWords
from workbench.core.batch.words import said_again, saved
from workbench.core.wording import Count, Counted, Grams, Number, say, say_again


def bold(value: object) -> str:
    return f"*{value}*"


@pytest.mark.parametrize(("n", "says"), [(0, "0 drops fell."), (1, "1 drop fell."), (2, "2 drops fell.")])
def test_english_names_one_in_the_singular(n: int, says: str) -> None:
    said = say("{count} drops fell.", "{count} drop fell.", count=Count(n))
    assert said == says
    assert said_again(saved(said)) == says


def test_a_sentence_for_one_may_leave_its_number_out() -> None:
    assert say("from {count} batches", "from one batch", count=Count(1)) == "from one batch"


def test_a_translator_is_asked_for_the_form_of_the_count() -> None:
    asked = []

    def german(text: str) -> str:
        asked.append((str(text), text.n if isinstance(text, Counted) else None))
        return {1: "%n Tropfen {name}", 7: "%n Tropfen {name}"}.get(getattr(text, "n", 0), text)

    said = say("{count} drops of {name}", "{count} drop of {name}", count=Count(7), name="oil")
    assert say_again(said, german, bold) == "*7* Tropfen *oil*"
    assert asked == [("%n drops of {name}", 7)]


@pytest.mark.parametrize(("n", "says"), [(1, "*1* drop of *oil*"), (4, "*4* drops of *oil*")])
def test_without_a_translation_it_counts_in_english(n: int, says: str) -> None:
    said = say("{count} drops of {name}", "{count} drop of {name}", count=Count(n), name="oil")
    assert say_again(said, lambda text: text, bold) == says
    assert say_again(said, lambda text: text.replace("%n", str(n)), bold) == says  # as Qt fills it in


def test_what_does_not_count_is_stored_as_it_always_was() -> None:
    """Older files hold no text for one, and older programs take no field they do not know."""
    kept = saved(say("Weigh {mass}.", mass=Grams(2.0))).model_dump()
    assert set(kept) == {"template", "values"}
    old = SavedWords.model_validate(
        {"template": "{count} tins", "values": {"count": {"kind": "Number", "amount": 3.0, "digits": 0}}}
    )
    assert said_again(old) == say("{count} tins", count=Number(3, 0))
    assert said_again(old).values == {"count": Count(3)}


@pytest.mark.parametrize(
    "template", ["Weigh {mass} of {name}.", "{mass:99999999}", "{mass!r}", "{mass.unit}", "{}", "{mass"]
)
def test_a_stored_sentence_that_cannot_be_filled_in_is_refused(template: str) -> None:
    with pytest.raises(ValueError, match=r"filled in|expected"):
        SavedWords.model_validate({"template": template, "values": {"mass": {"text": "2 g"}}})
    with pytest.raises(ValueError, match=r"filled in|expected"):
        SavedWords.model_validate({"template": "x", "one": template, "values": {"mass": {"text": "2 g"}}})
