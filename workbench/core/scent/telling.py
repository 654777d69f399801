"""A course in two sentences, for those who do not read charts."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from workbench.core.catalogue.model import Note
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, Course
from workbench.core.scent.strength import PERCEIVED, Strength
from workbench.core.wording import Number, Said, Share, say

BAND_NOTE = say(
    "Share left and relative strength are reckoned for a thin film in still air. The order can be trusted; "
    "how fast the clock runs differs between wearers by a factor of two to three, so no hours are promised."
)

# whole phrases, so that a sentence is one template
_LEADS: Mapping[Note, tuple[Said, Said]] = {
    Note.TOP: (say("the top note"), say("the top note, faintly")),
    Note.MIDDLE: (say("the middle note"), say("the middle note, faintly")),
    Note.BASE: (say("the base note"), say("the base note, faintly")),
}
_NOTES = (Note.TOP, Note.MIDDLE, Note.BASE)


def note_words(note: Note) -> Said:
    return {
        Note.TOP: say("the top note"),
        Note.MIDDLE: say("the middle note"),
        Note.BASE: say("the base note"),
    }[note]


def moment_words(at_s: float) -> Said:
    """A moment of the course in words."""
    if at_s < HOUR_S / 2:
        return say("just on")
    if abs(at_s - HOUR_S) < 1:
        return say("after one hour")
    if abs(at_s - FOUR_HOURS_S) < 1:
        return say("after four hours")
    return say("after {hours} h", hours=Number(at_s / 3600.0, 1))


def leader(strength: Strength, at_s: float) -> tuple[Note | None, bool]:
    """The note that leads at a moment, and whether only faintly.

    Below what is taken as perceived a note still leads, faintly, where it may
    be perceived within what is not known of it; this matters for woods and
    resins, whose curves are estimates.  None where no note reaches even that.
    """
    column = int(np.argmin(np.abs(strength.course.times_s - at_s)))
    row = int(np.argmax(strength.notes[:, column]))
    if strength.notes[row, column] >= PERCEIVED:
        return _NOTES[row], False
    row = int(np.argmax(strength.notes_high[:, column]))
    if strength.notes_high[row, column] >= PERCEIVED:
        return _NOTES[row], True
    return None, True


def summary(strength: Strength) -> tuple[Said, Said]:
    """Who leads when, and what is left of whom after an hour."""
    return leading_sentence(strength), lasting_sentence(strength.course)


def leading_sentence(strength: Strength) -> Said:
    if not strength.course.oils:
        return say("There is no oil in here whose course could be reckoned.")
    first, hour, four = (_words(strength, at) for at in (0.0, HOUR_S, FOUR_HOURS_S))
    if first is None:
        return say("From the beginning little of it is perceived; the scent stays close.")
    if hour is None:
        return say("Just on {first} leads; after an hour little is perceived any more.", first=first)
    if four is None:
        if first == hour:
            return say(
                "Just on and through the first hour {first} leads; after four hours little is perceived any more.",
                first=first,
            )
        return say(
            "Just on {first} leads, after an hour {later}; after four hours little is perceived any more.",
            first=first,
            later=hour,
        )
    if first == hour == four:
        return say("From just on to four hours {leader} leads.", leader=first)
    if hour == four:
        return say("Just on {first} leads; from about an hour on it is {later}.", first=first, later=hour)
    if first == hour:
        return say(
            "Just on and through the first hour {first} leads; towards four hours it is {later}.",
            first=first,
            later=four,
        )
    return say(
        "Just on {first} leads, after an hour {later}, after four hours {last}.",
        first=first,
        later=hour,
        last=four,
    )


def _words(strength: Strength, at_s: float) -> Said | None:
    note, faint = leader(strength, at_s)
    return None if note is None else _LEADS[note][int(faint)]


def lasting_sentence(course: Course) -> Said:
    """Which oil goes first and which stays, by the share left after an hour."""
    if not course.oils:
        return say("Nothing is known of what its oils are made of.")
    left = [100.0 * course.left_at(oil, HOUR_S) for oil in course.oils]
    least, most = int(np.argmin(left)), int(np.argmax(left))
    name = [course.volatility.catalogue.material(oil).name for oil in course.oils]
    if least == most:
        return say("After an hour {share} of {name} is left.", share=_share(left[least]), name=name[least])
    return say(
        "After an hour {gone} goes furthest, with {few} left; {stays} stays longest, with {much}.",
        gone=name[least],
        few=_share(left[least]),
        stays=name[most],
        much=_share(left[most]),
    )


def _share(percent: float) -> Share:
    return Share(percent, 0 if percent >= 1 else 1)


def missing_sentence(course: Course) -> Said | None:
    """Which oils are not in the course because nothing is known of them; None where all are."""
    if not course.unknown:
        return None
    names = ", ".join(course.volatility.catalogue.material(oil).name for oil in course.unknown)
    return say(
        "Not in this picture, because nothing is known of what they are made of: {names}.", names=names
    )
