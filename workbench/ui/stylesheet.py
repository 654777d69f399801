"""The one stylesheet, written from the colours and sizes of a theme."""

from __future__ import annotations

from workbench.ui.palettes import Colours


def build(c: Colours, pt: dict[str, float], em: int, grid: int, serif: str, images: str) -> str:
    """Qt style sheet for the application.

    `pt` holds the type scale in points, `em` the body height in px, `images`
    the folder with the drawn tick, dot and arrows.
    """
    half, one, two, three = grid // 2, grid, 2 * grid, 3 * grid
    box = round(em * 1.15)
    return f"""
QToolTip {{ color: {c.ink}; background: {c.raised}; border: 1px solid {c.edge}; padding: {one}px; }}

QLabel[role="small"], QLabel[role="muted"], QLabel[role="why"] {{ font-size: {pt["small"]}pt; }}
QLabel[role="muted"], QLabel[role="unit"] {{ color: {c.muted}; }}
QLabel[role="small"] {{ color: {c.ink}; }}
QLabel[role="strong"] {{ font-weight: 700; }}
QLabel[role="lead"] {{ font-size: {pt["lead"]}pt; }}
QLabel[role="figure"] {{ font-size: {pt["figure"]}pt; font-weight: 700; }}
QLabel[role="display"] {{ font-size: {pt["display"]}pt; font-weight: 700; }}
QLabel[role="error"] {{ color: {c.danger_ink}; font-size: {pt["small"]}pt; }}
QLabel[role="attention"] {{ color: {c.warning_ink}; font-size: {pt["small"]}pt; }}
QLabel[role="good"] {{ color: {c.good_ink}; }}
QLabel[role="danger"] {{ color: {c.danger_ink}; font-weight: 700; }}
QLabel[role="memory"] {{ color: {c.memory_ink}; font-style: italic; font-size: {pt["small"]}pt; }}

QWidget[role="page"] {{ background: {c.page}; }}
QWidget[role="desk"] {{ background: {c.desk}; }}
QFrame[role="sheet"] {{ background: {c.page}; border: 1px solid {c.hairline}; border-radius: {one}px; }}
QFrame[role="card"] {{ background: {c.raised}; border: none; border-radius: {one}px; }}
QFrame[role="rule"] {{ background: {c.hairline}; border: none; max-height: 1px; min-height: 1px; }}
QFrame[role="DANGER"] {{ background: {c.danger_fill}; border-radius: {one}px; }}
QFrame[role="WARNING"] {{ background: {c.warning_fill}; border-radius: {one}px; }}
QFrame[role="CAUTION"] {{ background: {c.caution_fill}; border-radius: {one}px; }}
QFrame[role="NOTICE"] {{ background: {c.notice_fill}; border-radius: {one}px; }}
QFrame[role="DANGER"] QLabel {{ color: {c.danger_text}; }}
QFrame[role="WARNING"] QLabel {{ color: {c.warning_text}; }}
QFrame[role="CAUTION"] QLabel {{ color: {c.caution_text}; }}
QFrame[role="NOTICE"] QLabel {{ color: {c.notice_text}; }}
QFrame[role="foot"] {{ background: {c.page}; border: none; border-top: 1px solid {c.hairline}; }}
QFrame[role="finding"] {{ background: {c.raised}; border: none; border-left: 4px solid {c.danger_ink}; }}
QFrame[role="banner"] {{ background: {c.page}; border: none; border-left: 6px solid {c.danger_ink}; border-bottom: 1px solid {c.edge}; }}
QFrame[role="hint"] {{ background: {c.page}; border: none; border-left: 6px solid {c.edge}; border-bottom: 1px solid {c.hairline}; }}
QPushButton[role="place"] {{ background: transparent; color: {c.ink}; border: none; border-bottom: 3px solid transparent; border-radius: 0; padding: {one}px {two}px; }}
QPushButton[role="place"]:checked {{ background: transparent; color: {c.ink}; border-bottom: 3px solid {c.ink}; font-weight: 700; }}
QPushButton[role="place"]:hover {{ background: {c.raised}; }}
QPushButton[role="place"]:focus {{ border: 2px solid {c.focus}; padding: {one - 2}px {two - 2}px {one + 1 - 2}px {two - 2}px; }}
QScrollArea, QScrollArea > QWidget > QWidget[role="page"] {{ border: none; }}
QScrollArea {{ background: transparent; }}

QPushButton, QToolButton {{
    color: {c.ink}; background: {c.raised}; border: 1px solid {c.edge}; border-radius: {one}px;
    padding: {one + 1}px {three}px; margin: 1px;
}}
QPushButton:hover, QToolButton:hover {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QPushButton:pressed, QToolButton:pressed, QPushButton:checked {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QPushButton:focus, QToolButton:focus {{ border: 2px solid {c.focus}; padding: {one}px {three - 1}px; }}
QPushButton:disabled, QToolButton:disabled {{ color: {c.muted}; background: transparent; border: 1px dashed {c.edge}; }}
QFileDialog QToolButton {{ padding: 0; }}
QFileDialog QToolButton:focus {{ padding: 0; }}
QPushButton[role="primary"] {{
    color: {c.action_text}; background: {c.action_fill}; border: 1px solid {c.action_fill};
    font-weight: 700; padding: {two}px {two * 2}px;
}}
QPushButton[role="primary"]:hover {{ color: {c.action_text}; background: {c.action_fill}; }}
QPushButton[role="primary"]:focus {{ border: 3px solid {c.focus}; padding: {two - 2}px {two * 2 - 2}px; }}
QFrame[role="hint"] QPushButton[role="primary"] {{ padding: {one + 1}px {three}px; }}
QFrame[role="hint"] QPushButton[role="primary"]:focus {{ padding: {one - 1}px {three - 2}px; }}
QPushButton[role="primary"]:disabled {{ color: {c.muted}; background: transparent; border: 1px dashed {c.edge}; }}
QPushButton[role="quiet"], QToolButton[role="quiet"] {{ background: transparent; border: 1px solid transparent; padding: {one}px {two}px; }}
QPushButton[role="quiet"]:checked, QToolButton[role="quiet"]:checked {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QPushButton[role="quiet"]:hover, QToolButton[role="quiet"]:hover {{ background: {c.raised}; color: {c.ink}; border: 1px solid {c.edge}; }}
QPushButton[role="quiet"]:focus, QToolButton[role="quiet"]:focus {{ border: 2px solid {c.focus}; padding: {one - 1}px {two - 1}px; }}
QPushButton[role="more"] {{ background: transparent; border: 2px solid transparent; padding: {one - 1}px {two}px; margin-left: -{two + 2}px; text-decoration: underline; text-align: left; }}
QPushButton[role="more"]:hover, QPushButton[role="more"]:checked {{ background: transparent; color: {c.ink}; }}
QPushButton[role="more"]:focus {{ border: 2px solid {c.focus}; }}
QPushButton[role="answer"] {{
    background: {c.raised}; color: {c.ink}; border: 1px solid {c.hairline}; border-radius: {one}px; padding: 0;
}}
QPushButton[role="answer"]:checked {{ background: {c.page}; border: 1px solid {c.edge}; border-bottom: 3px solid {c.ink}; }}
QPushButton[role="answer"]:focus {{ border: 2px solid {c.focus}; }}
QPushButton[role="answer"][alert="true"] {{ border-left: 4px solid {c.danger_ink}; }}
QToolButton[role="dots"] {{ background: transparent; border: 1px solid transparent; padding: {one}px {half}px; }}
QToolButton[role="dots"]:hover {{ background: {c.raised}; border: 1px solid {c.edge}; }}
QToolButton[role="dots"]:focus {{ border: 2px solid {c.focus}; padding: {one - 1}px {half - 1}px; }}
QToolButton::menu-indicator {{ image: none; }}
QPushButton::menu-indicator {{ image: url({images}/down.png); width: {round(em * 0.8)}px; height: {round(em * 0.8)}px; subcontrol-position: center right; right: {one}px; }}

QLineEdit, QPlainTextEdit, QComboBox, QDateEdit, QSpinBox {{
    color: {c.ink}; background: {c.field}; border: 1px solid {c.edge}; border-radius: {half + 1}px;
    padding: {half + 1}px {two - 2}px; margin: 1px;
    selection-background-color: {c.chosen_fill}; selection-color: {c.chosen_text};
}}
QLineEdit, QPlainTextEdit {{ placeholder-text-color: {c.muted}; }}
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QDateEdit:focus, QSpinBox:focus {{
    border: 2px solid {c.focus}; padding: {half}px {two - 3}px;
}}
QLineEdit[fault="true"], QComboBox[fault="true"] {{ border: 2px solid {c.danger_ink}; padding: {half}px {two - 3}px; }}
QLineEdit:disabled, QComboBox:disabled, QPlainTextEdit:disabled {{ color: {c.muted}; background: transparent; }}
QLineEdit[role="title"] {{
    font-family: "{serif}"; font-size: {pt["title"]}pt; background: transparent;
    border: none; border-bottom: 1px solid {c.edge}; border-radius: 0; padding: 0 0 0 -2px; margin: 1px 0;
}}
QLineEdit[role="title"]:focus {{ border: none; border-bottom: 2px solid {c.focus}; padding: 0; }}
QComboBox {{ combobox-popup: 0; }}
QComboBox::drop-down {{ border: none; width: {round(em * 1.4)}px; }}
QComboBox::down-arrow {{ image: url({images}/down.png); }}
QComboBox QAbstractItemView {{
    background: {c.field}; color: {c.ink}; border: 1px solid {c.edge}; outline: 0;
    selection-background-color: {c.chosen_fill}; selection-color: {c.chosen_text};
}}
QDateEdit::drop-down {{ border: none; width: {round(em * 1.4)}px; }}
QDateEdit::down-arrow {{ image: url({images}/down.png); }}
QSpinBox::up-button, QSpinBox::down-button {{ width: {round(em * 1.3)}px; border: none; }}
QSpinBox::up-arrow {{ image: url({images}/up.png); }}
QSpinBox::down-arrow {{ image: url({images}/down.png); }}

QCheckBox, QRadioButton {{ spacing: {two}px; border: 2px solid transparent; border-radius: {one}px; padding: {half}px; margin-left: -{half + 1}px; }}
QCheckBox:focus, QRadioButton:focus {{ border: 2px solid {c.focus}; }}
QCheckBox::indicator, QRadioButton::indicator, QTableView::indicator, QListView::indicator {{
    width: {box}px; height: {box}px; border: 1px solid {c.edge}; background: {c.field};
}}
QCheckBox::indicator, QTableView::indicator, QListView::indicator {{ border-radius: 2px; }}
QRadioButton::indicator {{ border-radius: {box // 2 + 1}px; }}
QCheckBox::indicator:checked, QTableView::indicator:checked, QListView::indicator:checked {{ background: {c.action_fill}; border-color: {c.action_fill}; image: url({images}/tick.png); }}
QRadioButton::indicator:checked {{ background: {c.action_fill}; border-color: {c.action_fill}; image: url({images}/dot.png); }}

QMenuBar {{ background: {c.desk}; color: {c.ink}; border: none; }}
QMenuBar::item {{ padding: {one}px {two}px; background: transparent; }}
QMenuBar::item:selected {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QMenu {{ background: {c.page}; color: {c.ink}; border: 1px solid {c.edge}; padding: {one}px 0; }}
QMenu::item {{ padding: {one}px {three * 2}px; }}
QMenu::item:selected {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QMenu::item:disabled {{ color: {c.muted}; }}
QMenu::separator {{ height: 1px; background: {c.hairline}; margin: {one}px {two}px; }}

QListView, QTableView, QTreeView {{
    background: {c.page}; color: {c.ink}; border: 1px solid {c.hairline}; padding: 1px; outline: 0;
    alternate-background-color: {c.raised}; gridline-color: {c.hairline};
    selection-background-color: {c.chosen_fill}; selection-color: {c.chosen_text};
}}
QListView:focus, QTableView:focus, QTreeView:focus {{ border: 2px solid {c.focus}; padding: 0; }}
QListView::item {{ padding: {one}px {two}px; }}
QListView::item:selected, QTableView::item:selected {{ background: {c.chosen_fill}; color: {c.chosen_text}; }}
QListView[role="lines"]::item {{ padding: 0; }}
QListView[role="sections"] {{ border: none; background: transparent; font-size: {pt["body"]}pt; }}
QListView[role="sections"]::item {{ padding: {two}px; border-radius: {one}px; border: 2px solid transparent; }}
QListView[role="sections"]::item:selected:focus {{ border: 2px solid {c.focus}; }}
QHeaderView::section {{
    background: {c.page}; color: {c.muted}; border: none; border-bottom: 1px solid {c.edge}; padding: {one}px {two}px;
}}

QHeaderView::up-arrow {{ image: url({images}/up.png); width: {round(em * 0.9)}px; subcontrol-position: center right; }}
QHeaderView::down-arrow {{ image: url({images}/down.png); width: {round(em * 0.9)}px; subcontrol-position: center right; }}

QScrollBar:vertical {{ background: transparent; width: {three}px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: {three}px; margin: 0; }}
QScrollBar::handle {{ background: {c.edge}; border-radius: {half + 1}px; margin: {half + 1}px; min-height: {em * 2}px; min-width: {em * 2}px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}

QSplitter::handle {{ background: {c.desk}; }}
QSplitter::handle:hover {{ background: {c.hairline}; }}
QProgressBar {{ background: {c.bar_track}; border: none; border-radius: {half}px; height: {two}px; color: {c.ink}; }}
QProgressBar::chunk {{ background: {c.bar_fill}; border-radius: {half}px; }}
QStatusBar {{ background: {c.desk}; color: {c.ink}; }}
QStatusBar::item {{ border: none; }}
QDialog {{ background: {c.page}; }}
"""
