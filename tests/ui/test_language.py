"""Translations: everything can be extracted, what cannot be filled in is left out, plurals count as each language does."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QApplication

from tests.texts import CORE, faults, from_code, from_tables, messages, with_old, write
from workbench.core.batch.steps import SavedValue, SavedWords
from workbench.core.batch.words import said_again, saved
from workbench.core.units import Units
from workbench.core.wording import Count, Grams, Said, numerus, say, say_again
from workbench.store.resources import resources_folder
from workbench.ui.language import (
    Book,
    Message,
    Texts,
    book_for,
    form_of,
    languages_in,
    placeholders,
    read_texts,
)
from workbench.ui.writing import Writer

ENGLISH = resources_folder() / "i18n" / "en.ts"

# `say` with a template that stands elsewhere: in a table of resources, in the record of a batch, or in a
# constant of the same module, whose literals are extracted in its place
KNOWN_TO_HIDE = {"core/batch", "core/heat", "core/review"}


@pytest.fixture(scope="module")
def every() -> tuple[Message, ...]:
    return messages()


@pytest.fixture
def german(qapp: QApplication) -> Iterator[Book]:
    book = Book(
        Texts(
            "de",
            (
                Message("AnswerCard", "%n drops", True, ("%n Tropfen (einer)", "%n Tropfen")),
                Message(CORE, "Weigh {mass} of {name}.", False, ("{name}: {mass} abwiegen.",)),
                Message(CORE, "Take {mass}.", False, ("Nimm {Masse}.",)),  # a slip of the translator
            ),
        )
    )
    qapp.installTranslator(book)
    yield book
    qapp.removeTranslator(book)


def test_no_text_of_the_window_hides_in_a_variable() -> None:
    """Extraction reads literals; a variable handed to `tr` would never reach a translator."""
    hidden = {str(Path(one.split(":")[0]).parent.relative_to("workbench")) for one in from_code().hidden}
    assert hidden <= KNOWN_TO_HIDE


def test_every_call_in_the_source_is_found(every: tuple[Message, ...]) -> None:
    """Counted by another means: plain text search for one-line calls."""
    call = re.compile(
        r"""(?:self|widget)\.tr\(\s*"((?:[^"\\]|\\.)+)"|(?<![\w.])say\(\s*"((?:[^"\\]|\\.)+)\""""
    )
    known = {one.source for one in every}
    seen, root = 0, resources_folder().parent / "workbench"
    for path in root.rglob("*.py"):
        if "cli" in path.relative_to(root).parts or path.name in ("cli.py", "wording.py"):
            continue
        text = re.sub(r'"""(?s:.*?)"""', "", path.read_text(encoding="utf-8"))
        for found in call.finditer(text):
            source = next(group for group in found.groups() if group)
            if re.match(r'\s*"', text[found.end() :]):
                continue  # written over several lines
            seen += 1
            text_of = source.replace('\\"', '"').replace("\\n", "\n")
            assert text_of in known or numerus(text_of) in known, (path.name, source)
    assert seen > 1000


def test_the_tables_speak_too() -> None:
    said = {one.source for one in from_tables()}
    assert "Get ready" in said  # a step
    assert any("Take the jug off the heat" in text for text in said)  # an alarm
    assert all(one.context == CORE for one in from_tables())


def test_a_file_for_a_new_language_holds_every_text(tmp_path: Path, every: tuple[Message, ...]) -> None:
    path = tmp_path / "de.ts"
    write(path, "de", every)
    texts = read_texts(path)
    assert texts.language == "de"
    assert {(one.context, one.source, one.counts) for one in texts.messages} == {
        (one.context, one.source, one.counts) for one in every
    }
    assert faults(texts, every) == []
    assert Book(texts).isEmpty()  # nothing is translated yet


def test_what_was_translated_is_kept_when_texts_change(tmp_path: Path) -> None:
    old = Texts("de", (Message("A", "Name", False, ("Name!",)), Message("Gone", "Old", False, ("Alt",))))
    fresh = with_old((Message("B", "Name"), Message("A", "New")), old)
    assert fresh == (Message("B", "Name", False, ("Name!",)), Message("A", "New"))


@pytest.mark.parametrize(
    ("message", "says"),
    [
        (Message("A", "no longer there", False, ("x",)), "no longer"),
        (Message("A", "{a} and {b}", False, ("nur {a}",)), "placeholders"),
        (Message("A", "%n tins", True, ("eine Dose",)), "plural forms"),
        (Message("A", "{a} and {b}", True, ("{a} {b}", "{a} {b}")), "counts or does not"),
    ],
)
def test_faults_of_a_translation_are_said(message: Message, says: str) -> None:
    wanted = (Message("A", "{a} and {b}"), Message("A", "%n tins", True))
    (found,) = faults(Texts("de", (message,)), wanted)
    assert says in found


def test_the_english_of_the_program_is_sound(every: tuple[Message, ...]) -> None:
    """One of a thing is named in the singular; every message that counts has its forms."""
    texts = read_texts(ENGLISH)
    assert faults(texts, every) == []
    translated = {(one.context, one.source) for one in texts.messages if one.forms}
    counted = {(one.context, one.source) for one in every if one.counts and one.context != CORE}
    assert counted == translated  # sentences of the core bring their English for one themselves


def test_every_sentence_can_be_filled_in(every: tuple[Message, ...]) -> None:
    """A placeholder has a name: {mass}, never {} or {0}, so that translators may change the order."""
    for one in every:
        for place in placeholders(one.source):
            assert place == "%n" or re.fullmatch(r"\{[a-z_]+\}", place), one.source


@pytest.mark.parametrize(
    ("language", "n", "form"),
    [  # Unicode CLDR, plural rules: English 0 and 2 other; French 0 and 1 one; Polish 22 few, 12 and 5 many
        ("en", 1, 0), ("en", 0, 1), ("en", 2, 1), ("de", 1, 0), ("de", 21, 1), ("fr", 0, 0), ("fr", 1, 0),
        ("fr", 2, 1), ("pl", 1, 0), ("pl", 22, 1), ("pl", 12, 2), ("pl", 5, 2), ("ja", 1, 0), ("ja", 7, 0),
    ],
)  # fmt: skip
def test_plural_forms(language: str, n: int, form: int) -> None:
    assert form_of(language, n) == form


def test_counting_in_another_language(german: Book) -> None:
    def drops(n: int) -> str:
        return QCoreApplication.translate("AnswerCard", "%n drops", "", n)

    assert (drops(1), drops(3)) == ("1 Tropfen (einer)", "3 Tropfen")


def test_sentences_of_the_core_change_their_order(german: Book) -> None:
    said = say("Weigh {mass} of {name}.", mass=Grams(2.5), name="Beeswax")
    told = say_again(said, lambda text: QCoreApplication.translate(CORE, text), str)
    assert told == "Beeswax: 2.5 g abwiegen."


def test_a_translation_that_cannot_be_filled_in_is_left_out(german: Book) -> None:
    assert QCoreApplication.translate(CORE, "Take {mass}.") == "Take {mass}."


def test_a_broken_file_is_said_and_english_is_shown(tmp_path: Path) -> None:
    (tmp_path / "de.ts").write_text("<TS", encoding="utf-8")
    (tmp_path / "en.ts").write_bytes(ENGLISH.read_bytes())
    book, wrong = book_for("de_AT", tmp_path)
    assert book.codes == ("en",)
    assert wrong.startswith("de.ts")
    assert languages_in(tmp_path) == [("en", "English"), ("de", "Deutsch")]


def test_english_knows_what_one_is_called(qapp: QApplication) -> None:
    book, wrong = book_for("en", ENGLISH.parent)
    assert not wrong
    qapp.installTranslator(book)
    try:
        said = [QCoreApplication.translate("AnswersPage", "%n allergens to print", "", n) for n in (1, 2)]
    finally:
        qapp.removeTranslator(book)
    assert said == ["1 allergen to print", "2 allergens to print"]


# --- sentences of the core that count ---


def drops_of(n: int) -> Said:
    return say("Count {count} drops of {name}.", "Count {count} drop of {name}.", count=Count(n), name="oil")


POLISH = """<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="pl" sourcelanguage="en">
 <context>
  <name>core</name>
  <message numerus="yes">
   <source>Count %n drops of {name}.</source>
   <translation>
    <numerusform>{name}: odlicz %n kroplę.</numerusform>
    <numerusform>{name}: odlicz %n krople.</numerusform>
    <numerusform>{name}: odlicz %n kropli.</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>%n tins</source>
   <translation>
    <numerusform>jedna puszka</numerusform>
    <numerusform>%n puszki</numerusform>
    <numerusform>%n puszek</numerusform>
   </translation>
  </message>
 </context>
</TS>
"""


@pytest.fixture
def polish(qapp: QApplication, tmp_path: Path) -> Iterator[Book]:
    path = tmp_path / "pl.ts"
    path.write_text(POLISH, encoding="utf-8")
    book = Book(read_texts(path), read_texts(ENGLISH))
    qapp.installTranslator(book)
    yield book
    qapp.removeTranslator(book)


@pytest.mark.parametrize("english", [True, False])
@pytest.mark.parametrize(
    ("n", "says"),
    [(0, "Count 0 drops of oil."), (1, "Count 1 drop of oil."), (2, "Count 2 drops of oil.")],
)
def test_english_counts_in_the_window(qapp: QApplication, english: bool, n: int, says: str) -> None:
    """With the English file as the window has it, and with no translator at all."""
    book, _ = book_for("en", ENGLISH.parent)
    if english:
        qapp.installTranslator(book)
    try:
        assert Writer().sentence(drops_of(n)) == says
    finally:
        qapp.removeTranslator(book)


@pytest.mark.parametrize(
    ("n", "says"),
    [  # Unicode CLDR, cardinal rules of Polish: 1 one; 2 and 22 few; 0, 5, 12 and 25 many
        (0, "oil: odlicz 0 kropli."), (1, "oil: odlicz 1 kroplę."), (2, "oil: odlicz 2 krople."),
        (5, "oil: odlicz 5 kropli."), (12, "oil: odlicz 12 kropli."), (22, "oil: odlicz 22 krople."),
        (25, "oil: odlicz 25 kropli."),
    ],
)  # fmt: skip
def test_a_language_of_three_forms_counts(polish: Book, n: int, says: str) -> None:
    assert Writer().sentence(drops_of(n)) == says


def test_a_form_may_say_one_without_its_number_and_stand_inside_a_sentence(polish: Book) -> None:
    def pour(n: int) -> str:
        return Writer().sentence(say("Pour {tins}.", tins=say("{count} tins", "one tin", count=Count(n))))

    assert [pour(1), pour(3), pour(11)] == ["Pour jedna puszka.", "Pour 3 puszki.", "Pour 11 puszek."]


def test_a_stored_sentence_still_counts(polish: Book) -> None:
    kept = SavedWords.model_validate_json(saved(drops_of(1)).model_dump_json())
    assert str(said_again(kept)) == "Count 1 drop of oil."
    assert Writer().sentence(said_again(kept)) == "oil: odlicz 1 kroplę."


def test_a_sentence_stored_before_sentences_counted_is_told_in_the_right_form(polish: Book) -> None:
    """As tests/compat/v1 holds it: a number, and no text for one."""
    old = SavedWords(template="{count} tins", values={"count": SavedValue(kind="Number", amount=3, digits=0)})
    assert str(said_again(old)) == "3 tins"
    assert Writer(Units(decimal_comma=True)).sentence(said_again(old)) == "3 puszki"


def test_every_sentence_that_counts_says_what_one_is_and_is_offered_with_its_forms(
    every: tuple[Message, ...], tmp_path: Path
) -> None:
    counted = {one.source: one for one in every if one.context == CORE and one.counts}
    assert {"%n tins", "Count %n drops of {name}.", numerus("Add {count} drops more of {name}.")} <= set(
        counted
    )
    assert all("%n" in source for source in counted)
    write(tmp_path / "pl.ts", "pl", every)
    written = (tmp_path / "pl.ts").read_text(encoding="utf-8")
    place = written.index("<source>Count %n drops of {name}.</source>")
    assert written[place : written.index("</message>", place)].count("<numerusform") == 3
