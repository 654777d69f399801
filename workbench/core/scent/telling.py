"""A course in two sentences, for those who do not read charts."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from workbench.core.catalogue.model import Note
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, Course
from workbench.core.scent.strength import Strength
from workbench.core.wording import Said, Share, say

BAND_NOTE = say(
    "Share left and relative strength are reckoned for a thin film in still air. The order can be trusted; "
    "how fast the clock runs differs between wearers by a factor of two to three, so no hours are promised."
)

# one word per state, so that a sentence is one template
_LEADS: Mapping[Note | None, Said] = {
    Note.TOP: say("the top note"),
    Note.MIDDLE: say("the middle note"),
    Note.BASE: say("the base note"),
    None: say("nothing that is easily perceived"),  # before something else does
}


def summary(strength: Strength) -> tuple[Said, Said]:
    """Who leads when, and what is left of whom after an hour."""
    return leading_sentence(strength), lasting_sentence(strength.course)


def leading_sentence(strength: Strength) -> Said:
    course = strength.course
    if not course.oils:
        return say("There is no oil in here whose course could be reckoned.")
    leading = strength.leading()
    first, hour, four = (
        leading[int(np.argmin(np.abs(course.times_s - at)))] for at in (0.0, HOUR_S, FOUR_HOURS_S)
    )
    if first == hour == four:
        if first is None:
            return say("From the beginning nothing leads that is easily perceived; the scent stays close.")
        return say("From just on to four hours {leader} leads.", leader=_LEADS[first])
    if four is None:
        return _fading_sentence(first, hour)
    if hour == four:
        return say(
            "Just on {first} leads; from about an hour on it is {later}.",
            first=_LEADS[first],
            later=_LEADS[hour],
        )
    if first == hour:
        return say(
            "Just on and through the first hour {first} leads; towards four hours it is {later}.",
            first=_LEADS[first],
            later=_LEADS[four],
        )
    return say(
        "Just on {first} leads, after an hour {later}, after four hours {last}.",
        first=_LEADS[first],
        later=_LEADS[hour],
        last=_LEADS[four],
    )


def _fading_sentence(first: Note | None, hour: Note | None) -> Said:
    if hour is None:
        return say("Just on {first} leads; after an hour little is perceived any more.", first=_LEADS[first])
    if first == hour:
        return say(
            "Just on and through the first hour {first} leads; after four hours little is perceived any more.",
            first=_LEADS[first],
        )
    return say(
        "Just on {first} leads, after an hour {later}; after four hours little is perceived any more.",
        first=_LEADS[first],
        later=_LEADS[hour],
    )


def lasting_sentence(course: Course) -> Said:
    """Which oil goes first and which stays, by the share left after an hour."""
    if not course.oils:
        return say("Nothing is known of what its oils are made of.")
    left = [100.0 * course.left_at(oil, HOUR_S) for oil in course.oils]
    least, most = int(np.argmin(left)), int(np.argmax(left))
    name = [course.volatility.catalogue.material(oil).name for oil in course.oils]
    if least == most:
        return say("After an hour {share} of {name} is left.", share=Share(left[least], 0), name=name[least])
    return say(
        "After an hour {gone} goes furthest, with {few} left; {stays} stays longest, with {much}.",
        gone=name[least],
        few=Share(left[least], 0),
        stays=name[most],
        much=Share(left[most], 0),
    )


def missing_sentence(course: Course) -> Said | None:
    """Which oils are not in the course because nothing is known of them; None where all are."""
    if not course.unknown:
        return None
    names = ", ".join(course.volatility.catalogue.material(oil).name for oil in course.unknown)
    return say(
        "Not in this picture, because nothing is known of what they are made of: {names}.", names=names
    )
