"""Colours by role, three times: paper and ink, lamp light, high contrast.

The surface is quiet: warm paper, brown-black ink.  Saturated colour is kept
for what is abnormal or must be found (a limit broken, the focus, an action
of danger).  Every pair that stands on one another in the window is named in
`TEXT_PAIRS` or `SHAPE_PAIRS`; a test computes the contrast of each.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Colours:
    """One colour per role, as #rrggbb."""

    desk: str  # behind the pages
    page: str  # the sheet that is read
    field: str  # where something is typed
    raised: str  # a strip or card on the page
    ink: str
    muted: str
    hairline: str  # decoration only, carries no meaning
    edge: str  # outline of a control
    action_fill: str  # the one primary button
    action_text: str
    chosen_fill: str  # selected row or card
    chosen_text: str
    focus: str
    # what is abnormal, as filled panels with their own text, and as ink on paper
    danger_fill: str
    danger_text: str
    warning_fill: str
    warning_text: str
    caution_fill: str
    caution_text: str
    notice_fill: str
    notice_text: str
    danger_ink: str
    warning_ink: str
    good_ink: str  # a completed check, nothing else
    memory_ink: str  # a value recalled, not read in its source
    # bars and the ladder
    bar_track: str
    bar_fill: str
    bar_over: str
    window_fill: str  # the stretch in which fragrance goes in and the blend still pours
    window_edge: str
    # signs after the shape rules of ISO 3864
    sign_red: str
    sign_yellow: str
    sign_blue: str
    sign_green: str
    sign_black: str
    sign_white: str
    # curves
    plot_1: str
    plot_2: str
    plot_3: str


LIGHT = Colours(
    desk="#ece5d8",
    page="#fbf8f1",
    field="#fffefb",
    raised="#f3eee3",
    ink="#2b2620",
    muted="#645b4e",
    hairline="#ddd4c4",
    edge="#8b8070",
    action_fill="#33302b",
    action_text="#fbf8f1",
    chosen_fill="#e3dac8",
    chosen_text="#2b2620",
    focus="#1f62a8",
    danger_fill="#a3231c",
    danger_text="#ffffff",
    warning_fill="#e2792b",
    warning_text="#1d1207",
    caution_fill="#f2bf3c",
    caution_text="#241a04",
    notice_fill="#1d5583",
    notice_text="#ffffff",
    danger_ink="#9c2019",
    warning_ink="#8d4506",
    good_ink="#2c6442",
    memory_ink="#6d4a78",
    bar_track="#e2dacb",
    bar_fill="#6f675a",
    bar_over="#a3231c",
    window_fill="#cfdccb",
    window_edge="#4c7455",
    sign_red="#a3231c",
    sign_yellow="#f2b21c",
    sign_blue="#1d5583",
    sign_green="#2b7a4f",
    sign_black="#1b1814",
    sign_white="#ffffff",
    plot_1="#0b5f96",
    plot_2="#b84e07",
    plot_3="#2b2620",
)

DARK = Colours(
    desk="#191715",
    page="#23211e",
    field="#1c1a18",
    raised="#2d2a26",
    ink="#ece5d8",
    muted="#b5aa99",
    hairline="#3b3731",
    edge="#8d8373",
    action_fill="#ece5d8",
    action_text="#23211e",
    chosen_fill="#45403a",
    chosen_text="#f5efe4",
    focus="#7fb8ee",
    danger_fill="#b5352b",
    danger_text="#ffffff",
    warning_fill="#e58a3c",
    warning_text="#1d1207",
    caution_fill="#e9ba45",
    caution_text="#241a04",
    notice_fill="#2a6699",
    notice_text="#ffffff",
    danger_ink="#f49a8e",
    warning_ink="#efab6d",
    good_ink="#92c9a3",
    memory_ink="#cfa9da",
    bar_track="#3d3933",
    bar_fill="#a89d8c",
    bar_over="#ef7a6c",
    window_fill="#34483a",
    window_edge="#7fae8b",
    sign_red="#c8453a",
    sign_yellow="#f2b21c",
    sign_blue="#3a7db5",
    sign_green="#3f9a68",
    sign_black="#14120f",
    sign_white="#ffffff",
    plot_1="#6dbcf0",
    plot_2="#e8a33d",
    plot_3="#f5efe4",
)

HIGH_CONTRAST = Colours(
    desk="#000000",
    page="#000000",
    field="#000000",
    raised="#141414",
    ink="#ffffff",
    muted="#e6e6e6",
    hairline="#8a8a8a",
    edge="#ffffff",
    action_fill="#ffffff",
    action_text="#000000",
    chosen_fill="#ffe45c",
    chosen_text="#000000",
    focus="#ffd60a",
    danger_fill="#c81e12",
    danger_text="#ffffff",
    warning_fill="#ff9a3d",
    warning_text="#000000",
    caution_fill="#ffd60a",
    caution_text="#000000",
    notice_fill="#1667b0",
    notice_text="#ffffff",
    danger_ink="#ff9f94",
    warning_ink="#ffb169",
    good_ink="#8ff0b0",
    memory_ink="#f0b8ff",
    bar_track="#3a3a3a",
    bar_fill="#ffffff",
    bar_over="#ff8a7c",
    window_fill="#1f5c34",
    window_edge="#8ff0b0",
    sign_red="#e5382b",
    sign_yellow="#ffd60a",
    sign_blue="#3d95e0",
    sign_green="#1f9d57",
    sign_black="#000000",
    sign_white="#ffffff",
    plot_1="#6fd0ff",
    plot_2="#ffb13d",
    plot_3="#ffffff",
)

# text on ground: at least 4.5:1
# one hue per oil in the course of a scent, by its note; every area carries its name, so hue never stands alone
SCENT_PAINTS: dict[str, tuple[str, ...]] = {
    "top": ("#f2d672", "#d3db8c", "#f4bd88", "#b3d6a6", "#efe3a4", "#a9d8c4"),
    "middle": ("#e4a9ae", "#b9b3e0", "#eebfd2", "#a7c8dd", "#cfa9cf", "#dcc0b4"),
    "base": ("#c9a57c", "#b5b18f", "#d8b98a", "#ad9a85", "#c2ab9b", "#a3ab9a"),
}

TEXT_PAIRS: tuple[tuple[str, str], ...] = (
    *((text, ground) for text in ("ink", "muted") for ground in ("desk", "page", "field", "raised")),
    *(
        (text, ground)
        for text in ("danger_ink", "warning_ink", "good_ink", "memory_ink")
        for ground in ("desk", "page", "field", "raised")
    ),
    ("action_text", "action_fill"),
    ("chosen_text", "chosen_fill"),
    ("danger_text", "danger_fill"),
    ("warning_text", "warning_fill"),
    ("caution_text", "caution_fill"),
    ("notice_text", "notice_fill"),
    ("ink", "window_fill"),
)

# shapes that carry meaning: at least 3:1
SHAPE_PAIRS: tuple[tuple[str, str], ...] = (
    *(("edge", ground) for ground in ("page", "field", "raised", "desk")),
    *(("focus", ground) for ground in ("page", "field", "raised", "desk")),
    ("bar_fill", "bar_track"),
    ("bar_over", "bar_track"),
    ("bar_fill", "page"),
    ("window_edge", "page"),
    ("window_edge", "window_fill"),
    ("action_fill", "page"),
    ("action_fill", "desk"),
    ("plot_1", "page"),
    ("plot_2", "page"),
    ("plot_3", "page"),
    ("sign_red", "sign_white"),
    ("sign_blue", "sign_white"),
    ("sign_green", "sign_white"),
    ("sign_black", "sign_yellow"),
)


def contrast(one: str, other: str) -> float:
    """Contrast ratio 1..21 of two #rrggbb colours (WCAG 2.2, relative luminance)."""

    def luminance(colour: str) -> float:
        def linear(channel: int) -> float:
            share = channel / 255
            return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

        red, green, blue = (linear(int(colour[i : i + 2], 16)) for i in (1, 3, 5))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
