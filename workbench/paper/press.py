"""Everything that printing needs, put together once; and what is kept of what was printed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from workbench.core.batch.label_content import LabelContent
from workbench.core.wording import Said, say
from workbench.paper.labels import LabelSet
from workbench.paper.phrases import Language, Phrases, parse_phrases
from workbench.paper.type import load_faces

RECORD_KIND = "label"  # of the documents in a project that say which labels were printed


@dataclass(frozen=True, slots=True)
class Press:
    """The languages, with the typefaces loaded."""

    phrases: Mapping[Language, Phrases]


def open_press(fonts: Path, read: Callable[[str], bytes]) -> Press:
    """Load typefaces and words; `read` gives the bytes of a resource.  Needs a QGuiApplication.

    Raises `Trouble` with the file that is wrong.
    """
    load_faces(fonts)
    return Press({language: parse_phrases(language.file, read(language.file)) for language in Language})


def standing(content: LabelContent, final: bool) -> Said:
    """One sentence: final, or why not, and on whose paper it rests."""
    if not final:
        return say("Over its limit for skin, not for use.") if content.over else say("A draft, not for use.")
    if content.footing:
        names = ", ".join(dict.fromkeys(f"{each.name} ({each.paper})" for each in content.footing))
        return say("Final, on the footing of the supplier's papers for {names}.", names=names)
    return say("Final.")


def margin_note(content: LabelContent, language: Language, today: date) -> Said:
    """What stands small at the foot of a sheet of labels, outside every label."""
    return say(
        "{name}, revision {revision}, {code} · rules: {place} · {language} · printed {day} · {standing}",
        name=content.subject.recipe.name,
        revision=content.subject.revision,
        code=content.subject.batch_code or "-",
        place=content.place.value,
        language=language.value,
        day=f"{today:%Y-%m-%d}",
        standing=standing(content, content.final),
    )


def label_record(made: LabelSet, session: str, language: Language, today: date) -> dict[str, Any]:
    """What the project keeps of printed labels, as plain JSON; the footing by name, paper and edition."""
    content = made.content
    return {
        "session": session,
        "recipe": content.subject.recipe.name,
        "revision": content.subject.revision,
        "batch_code": content.subject.batch_code,
        "place": content.place.value,
        "language": language.value,
        "printed_on": f"{today:%Y-%m-%d}",
        "final": made.final,
        "over_limit": content.over,
        "why_not_final": [str(each) for each in content.why_not_final],
        "footing": [
            {
                "material": each.material,
                "name": each.name,
                "paper": each.paper,
                "edition": each.edition,
                "category": each.category,
            }
            for each in content.footing
        ],
        "best_before": None
        if content.durability.best_before is None
        else f"{content.durability.best_before:%Y-%m-%d}",
        "ingredients": content.ingredients.text,
        "tins": [
            {
                "tin": each.kind.name,
                "count": len(each.kind.numbers),
                "net": each.text.net_text.replace("\u00a0", " "),
                "on_tag": each.tag is not None,
            }
            for each in made.tins
        ],
    }


def record_key(session: str, body: Mapping[str, Any]) -> str:
    """One record for each batch, place and language; a later print is a revision of it."""
    return " ".join((session or "plan", str(body["recipe"]), str(body["place"]), str(body["language"])))


def record_says(body: Mapping[str, Any]) -> Said:
    """One line for the batch sheet about labels that were printed."""
    papers = ", ".join(dict.fromkeys(f"{each['name']} ({each['paper']})" for each in body.get("footing", ())))
    values = {
        "day": str(body.get("printed_on", "")),
        "place": str(body.get("place", "")),
        "language": str(body.get("language", "")),
    }
    if not body.get("final"):
        return say("{day}: drafts, rules of {place}, in {language}.", **values)
    if papers:
        return say(
            "{day}: final, rules of {place}, in {language}, on the footing of {papers}.",
            **values,
            papers=papers,
        )
    return say("{day}: final, rules of {place}, in {language}.", **values)
