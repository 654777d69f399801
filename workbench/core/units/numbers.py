"""One number as typed at the counter, with a comma or a point.

The rule that keeps 1,3 from becoming 13: a number has at most one mark, that
mark is always the decimal mark, and nothing is ever a group separator.
"1,300" is 1.3; "1.300,5" and "1 300" are refused with a reason.
"""

from __future__ import annotations

import re

from workbench.core.trouble import Trouble
from workbench.core.wording import say


class Unreadable(Trouble):
    """Something typed cannot be read as a number, an amount or a temperature."""


# The true minus sign and the en dash come from phones that "correct" a hyphen.
# The hyphen stays last: in the middle of a character class it would mean a range.
MINUS_SIGNS = "−–-"
_NUMBER = re.compile(rf"([+{MINUS_SIGNS}]?)([0-9]*)(?:([.,])([0-9]+))?")
_EXPONENT = re.compile(rf"[+{MINUS_SIGNS}]?[0-9.,]+[eE][+{MINUS_SIGNS}]?[0-9]+")
_LETTER_O = re.compile(rf"[+{MINUS_SIGNS}]?(?=.*[oO])(?=.*[0-9])[0-9oO]+(?:[.,][0-9oO]+)?")
_MOST_DIGITS = 15  # more than a float holds exactly; no scale shows as many


def read_number(text: str) -> float:
    """The number in `text`; spaces around it do no harm.

    Raises `Unreadable` with a sentence for everything else: no digit, two
    marks, a mark with nothing after it, a space or sign inside, exponents,
    words such as "inf", and more than 15 digits.
    """
    typed = text.strip()
    if not typed:
        raise Unreadable(say("There is no number here. Type one, for example 1.3."))
    match = _NUMBER.fullmatch(typed)
    if match is None:
        raise _refusal(typed)
    sign, whole, _mark, decimals = match.groups(default="")
    digits = whole + decimals
    if not digits:
        raise _refusal(typed)
    if len(digits) > _MOST_DIGITS:
        raise Unreadable(
            say("“{typed}” has too many digits. Type it as the scale shows it.", typed=_short(typed))
        )
    value = float(f"{whole or '0'}.{decimals or '0'}")
    return -value if sign and sign in MINUS_SIGNS and value else value


def slip_in(typed: str) -> Unreadable | None:
    """What is wrong where a letter stands among the digits (5o, 1e9) and is meant for no unit."""
    if _EXPONENT.fullmatch(typed):
        return Unreadable(
            say("“{typed}” is written with an exponent. Write it out in digits.", typed=_short(typed))
        )
    if _LETTER_O.fullmatch(typed):
        return Unreadable(
            say("“{typed}” has the letter o in it. Type the digit 0 there.", typed=_short(typed))
        )
    return None


def _short(typed: str) -> str:
    return typed if len(typed) <= 24 else f"{typed[:24]}…"


def _refusal(typed: str) -> Unreadable:
    shown = _short(typed)
    marks = typed.count(".") + typed.count(",")
    if marks > 1:
        return Unreadable(
            say(
                "“{typed}” has more than one comma or point. Use one, for the decimals only: 1300.5 or 1300,5.",
                typed=shown,
            )
        )
    if typed[-1] in ".,":
        return Unreadable(
            say("“{typed}” ends in a comma or point. Type the digits after it, or leave it out.", typed=shown)
        )
    slip = slip_in(typed)
    if slip is not None:
        return slip
    if re.search(r"[0-9]\s+[0-9]", typed):
        return Unreadable(say("“{typed}” has a space inside. Type the number without spaces.", typed=shown))
    return Unreadable(
        say("“{typed}” is not a number. Type digits with at most one comma or point.", typed=shown)
    )
