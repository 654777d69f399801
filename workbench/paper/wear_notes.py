"""What was marked and said of a batch, as lines for its sheet."""

from __future__ import annotations

from workbench.core.review.keeping import ERASED
from workbench.core.review.wear import Mark, WearTests, moment_words
from workbench.core.review.wearer import CANNOT_BE_READ, WordsFromWearers
from workbench.core.wording import say
from workbench.paper.batch_sheet import WearNote
from workbench.paper.voice import Voice


def wear_notes(worn: WearTests | None, said: WordsFromWearers | None, voice: Voice) -> tuple[WearNote, ...]:
    """Marks of every wearing by wearer and moment, then what wearers said weeks later; erased initials stay out."""
    notes = []
    for test in worn.tests if worn is not None else ():
        day = None if test.dabbed is None else test.dabbed.date()
        for mark in test.marks:
            after = voice.say(moment_words(mark.after_min))
            notes.append(WearNote(day, _who(test.wearer), after, _mark(mark, voice)))
    for word in said.said if said is not None else ():
        parts = [
            "" if word.rating is None else voice.say(say("liked {points} of 10", points=word.rating)),
            voice.say(say("a reaction of the skin")) if word.reaction else "",
            voice.say(
                say(
                    "what was noted cannot be read, so it is not known whether skin reacted: act as if it had"
                )
            )
            if word.words == CANNOT_BE_READ
            else word.words,
        ]
        later = voice.say(say("later"))
        notes.append(WearNote(word.told, _who(word.wearer), later, _joined(parts)))
    return tuple(notes)


def _who(wearer: str) -> str:
    return "" if wearer == ERASED else wearer


def _mark(mark: Mark, voice: Voice) -> str:
    parts = [
        voice.say(said)
        for points, said in (
            (mark.top, say("top {points}", points=mark.top)),
            (mark.middle, say("middle {points}", points=mark.middle)),
            (mark.base, say("base {points}", points=mark.base)),
            (mark.overall, say("overall {points}", points=mark.overall)),
        )
        if points is not None
    ]
    return _joined([*parts, mark.words])


def _joined(parts: list[str]) -> str:
    """A list, not a sentence."""
    return ", ".join(part for part in parts if part)
