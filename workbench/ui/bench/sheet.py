"""Looks that only the bench needs, made of the theme's own roles and sizes."""

from __future__ import annotations

from PySide6.QtGui import QFont

from workbench.ui.theme import GRID_PX, Theme

FACE = 1.3  # the two figures of the card, over the theme's largest size; large text needs it less


def bench_sheet(theme: Theme) -> str:
    """A style sheet for `BenchView`; laid over the application's own."""
    c, one = theme.colours, GRID_PX
    em = theme.em()
    large, flat = (f"{_figure_points(theme, each):.1f}pt" for each in (False, True))

    def pt(role: str, times: float = 1.0) -> str:
        return f"{theme.points(role) * times:.1f}pt"

    return f"""
QLabel[role="instruction"] {{ color: {c.ink}; }}
QLabel[role="display"] {{ font-size: {large}; }}
QLabel[role="display_flat"] {{ font-size: {flat}; font-weight: 700; }}
QLabel[role="display_stale_flat"] {{ font-size: {flat}; font-weight: 400; color: {c.muted}; }}
QLabel[role="display_danger_flat"] {{ font-size: {flat}; font-weight: 700; color: {c.danger_ink}; }}
QLabel[role="over_flat"] {{ font-size: {flat}; font-weight: 700; color: {c.warning_ink}; }}
QLabel[role="muted_body"] {{ color: {c.muted}; }}
QLabel[role="display_stale"] {{ font-size: {large}; font-weight: 400; color: {c.muted}; }}
QLabel[role="attention_big"] {{ color: {c.warning_ink}; }}
QLabel[role="stale_big"] {{ color: {c.muted}; font-weight: 400; }}
QLabel[role="danger_big"] {{ color: {c.danger_ink}; }}
QLabel[role="display_danger"] {{ font-size: {large}; font-weight: 700; color: {c.danger_ink}; }}
QLabel[role="on_hold"] {{ font-size: {pt("lead")}; font-weight: 700; color: {c.danger_ink}; }}
QLabel[role="over"] {{ font-size: {large}; font-weight: 700; color: {c.warning_ink}; }}
QLabel[role="word_DANGER"] {{ color: {c.danger_text}; background: {c.danger_fill}; font-weight: 700; padding: 1px {one}px; }}
QLabel[role="word_WARNING"] {{ color: {c.warning_text}; background: {c.warning_fill}; font-weight: 700; padding: 1px {one}px; }}
QLabel[role="word_CAUTION"] {{ color: {c.caution_text}; background: {c.caution_fill}; font-weight: 700; padding: 1px {one}px; }}
QLabel[role="word_NOTICE"] {{ color: {c.notice_text}; background: {c.notice_fill}; font-weight: 700; padding: 1px {one}px; }}
QLabel[role="chip_DANGER"] {{ color: {c.danger_text}; background: {c.danger_fill}; font-weight: 700; font-size: {pt("small", 0.85)}; padding: 1px {one}px; }}
QLabel[role="chip_WARNING"] {{ color: {c.warning_text}; background: {c.warning_fill}; font-weight: 700; font-size: {pt("small", 0.85)}; padding: 1px {one}px; }}
QLabel[role="chip_CAUTION"] {{ color: {c.caution_text}; background: {c.caution_fill}; font-weight: 700; font-size: {pt("small", 0.85)}; padding: 1px {one}px; }}
QLabel[role="chip_NOTICE"] {{ color: {c.notice_text}; background: {c.notice_fill}; font-weight: 700; font-size: {pt("small", 0.85)}; padding: 1px {one}px; }}
QLineEdit[role="entry"] {{ font-size: {pt("title", 1.1)}; font-weight: 700; padding: {one}px {2 * one}px; }}
QLineEdit[role="entry"]:focus {{ padding: {one - 1}px {2 * one - 1}px; }}
QLineEdit[role="entry_big"] {{ font-weight: 700; padding: 0 {2 * one}px; margin: 0; }}
QPushButton[role="big"] {{ font-weight: 700; padding: 0; margin: 0; }}
QPushButton[role="hold"] {{
    color: {c.danger_ink}; background: {c.page}; border: 2px solid {c.danger_ink}; font-weight: 700;
    padding: {one}px {4 * one}px;
}}
QPushButton[role="hold"]:focus {{ border: 3px solid {c.focus}; padding: {one - 1}px {4 * one - 1}px; }}
QPushButton[role="hold"]:disabled {{ color: {c.muted}; border: 1px dashed {c.edge}; }}
QPushButton[role="need"] {{ text-align: left; background: transparent; border: 1px solid {c.edge}; padding: {one}px {2 * one}px; min-height: {round(1.9 * em)}px; }}
QPushButton[role="need"]:checked {{ background: {c.chosen_fill}; color: {c.chosen_text}; border: 1px solid {c.edge}; }}
QPushButton[role="need"]:focus {{ border: 2px solid {c.focus}; padding: {one - 1}px {2 * one - 1}px; }}
QPushButton#more {{ padding-left: 0; padding-right: {round(0.75 * em) + 7}px; }}
QPushButton#more::menu-indicator {{ width: {round(0.6 * em)}px; height: {round(0.6 * em)}px; }}
QFrame[role="bar"] {{ background: {c.page}; border: none; border-top: 1px solid {c.hairline}; }}
QFrame[role="panel"] {{ background: {c.raised}; border: 1px solid {c.edge}; border-radius: {one}px; }}
QFrame[role="says"] {{ background: {c.raised}; border: none; border-left: {one}px solid {c.warning_ink}; }}
QFrame[role="alarm_high"] {{ background: {c.danger_fill}; border: none; }}
QFrame[role="alarm_high"] QLabel {{ color: {c.danger_text}; }}
QFrame[role="alarm_medium"] {{ background: {c.warning_fill}; border: none; }}
QFrame[role="alarm_medium"] QLabel {{ color: {c.warning_text}; }}
QFrame[role="alarm_low"] {{ background: {c.caution_fill}; border: none; }}
QFrame[role="alarm_low"] QLabel {{ color: {c.caution_text}; }}
QFrame[role="alarm_seen"] {{ background: {c.raised}; border: none; border-left: {2 * one}px solid {c.danger_ink}; }}
QFrame[role="alarm_pulse"] {{ background: {c.danger_text}; border: none; }}
QFrame[role="alarm_pulse"] QLabel {{ color: {c.danger_fill}; }}
QTableView::item {{ padding: {one}px {2 * one}px; }}
QCheckBox[role="stirred"] {{ spacing: {2 * one}px; padding: {one}px; }}
QCheckBox[role="stirred"]::indicator {{ width: {round(1.5 * em)}px; height: {round(1.5 * em)}px; }}
"""


def _figure_points(theme: Theme, flat: bool) -> float:
    if flat:
        return theme.points("title") * 1.1
    return theme.points("display") * max(0.9, FACE - 0.8 * (theme.size_factor - 1))


def figure_font(theme: Theme, flat: bool) -> QFont:
    """Of the two figures of the card, to be measured before they are set."""
    font = theme.font("display")
    font.setPointSizeF(_figure_points(theme, flat))
    return font


def instruction_font(theme: Theme) -> QFont:
    """The serif of the headings."""
    return theme.font("title")
