"""The short way round for a newcomer: three looks, then a practice run.  Every step can be left out."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.core.units import MassUnit, TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.editor.panel import Form
from workbench.ui.preferences import TEXT_SIZES
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, column, page, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.flow import Flow
from workbench.ui.widgets.glossary import TradeWords, announce
from workbench.ui.widgets.stack import PageStack


class FirstSteps(QWidget):
    """changed(dict)  preferences with their new values
    practise_asked()  the way ends, or is left, with the practice run
    left()            back to the first page
    """

    changed = Signal(dict)
    practise_asked = Signal()
    left = Signal()

    def __init__(self, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context = context
        as_role(self, "page")
        self.setProperty("alone", True)  # nothing above it: there is no project yet
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._boxes: dict[str, ChooseBox] = {}
        self.where = Words("", "muted")
        self.stack = PageStack()
        self._titles: list[str] = []
        self._first()
        self._second()
        self._third()
        self.back = button(self.tr("Back"), self._back)
        self.next = button(self.tr("Next"), self._next, "primary")
        self.skip = button(self.tr("Straight to the practice run"), self.practise_asked.emit, "more")
        self.leave = button(self.tr("Leave it for now (Esc)"), self.left.emit, "more")
        content = column(
            1, self.where, self.stack, Flow(self.next, self.back), Flow(self.skip, self.leave), 2, gap=4
        )  # a little above the middle, where a page is looked at first
        self.stack.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self._inner = page(content, margin=12)
        middle = row(1, self._inner, 1)
        middle.setStretch(1, 20)
        self.setLayout(column(Scroller(page(middle, margin=0)), gap=0))
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.left)
        context.preferences_changed.connect(self._show_preferences)
        self._show_preferences()
        self._measure()
        self.begin()

    # the three looks

    def _first(self) -> None:
        form = Form(11)
        self._box(form, "mass", self.tr("&Mass"), [
            (MassUnit.GRAM.value, self.tr("grams")), (MassUnit.OUNCE.value, self.tr("ounces (28.35 g)")),
        ])  # fmt: skip
        self._box(form, "temperature", self.tr("T&emperature"), [
            (TemperatureUnit.CELSIUS.value, self.tr("°C, Celsius")),
            (TemperatureUnit.FAHRENHEIT.value, self.tr("°F, Fahrenheit")),
        ])  # fmt: skip
        self._box(
            form, "text_percent", self.tr("&Text size"), [(str(size), f"{size} %") for size in TEXT_SIZES]
        )
        self.sample = Words("", "lead")
        said = Words(self.tr("All of it can be changed later, under Preferences."), "muted")
        self._add(
            self.tr("Your units and your eyes"),
            Words(
                self.tr(
                    "Choose what you weigh and measure in, and letters that you can read without bending over."
                )
            ),
            form,
            self.sample,
            said,
        )

    def _second(self) -> None:
        self._add(
            self.tr("A recipe, and what follows from it"),
            Words(
                self.tr(
                    "A sample recipe opens. On the left stands what goes in: wax, butter, oil and scent. On the right stands what follows: what to weigh, whether it is safe on skin, and between which temperatures the scent may go in."
                )
            ),
            Words(
                self.tr(
                    "Try any number: the answers follow at once, and Undo takes it back. A question mark beside a heading explains its words."
                )
            ),
            TradeWords(("window", "set point", "flash point", "notes")),
        )

    def _third(self) -> None:
        self._add(
            self.tr("A batch without heat"),
            Words(
                self.tr(
                    "The practice run goes through every step of a batch: weigh, melt, cool, add the scent, pour. The program plays the pot and the thermometer. Nothing is hot, and nothing is used up."
                )
            ),
            Words(
                self.tr(
                    "Type a reading and press Enter to record it. F8 does what the step asks for next. F9 puts the batch on hold at any time: that is the key to know."
                )
            ),
            Words(
                self.tr(
                    "At a real pot, stay beside it, keep a lid within reach and follow the papers of your suppliers."
                ),
                "muted",
            ),
        )

    def _add(self, title: str, *content: QWidget | Form) -> None:
        self._titles.append(title)
        self.stack.addWidget(page(column(Words(title, "title"), *content, gap=4), margin=0))

    def _box(self, form: Form, key: str, name: str, entries: list[tuple[str, str]]) -> None:
        made = ChooseBox(name.replace("&", ""), self, 18)
        made.offer(entries)
        made.setProperty("key", key)
        made.chosen.connect(self._chosen)
        self._boxes[key] = made
        form.add(name, row(made, 1), made)

    # going through

    def begin(self) -> None:
        self._go(0)

    @property
    def at(self) -> int:
        """Which look is shown, from 0."""
        return self.stack.currentIndex()

    def _next(self) -> None:
        if self.at + 1 < self.stack.count():
            self._go(self.at + 1)
        else:
            self.practise_asked.emit()

    def _back(self) -> None:
        if self.at:
            self._go(self.at - 1)
        else:
            self.left.emit()

    def _go(self, to: int) -> None:
        self.stack.setCurrentIndex(to)
        count = self.stack.count()
        self.where.say(self.tr("{number} of {count}").format(number=to + 1, count=count))
        last = to + 1 == count
        self.next.setText(self.tr("Begin the practice run") if last else self.tr("Next"))
        self.skip.setVisible(not last)
        self.next.setFocus(Qt.FocusReason.OtherFocusReason)
        announce(self, self._titles[to])

    def _show_preferences(self) -> None:
        held = self._context.preferences
        for key, made in self._boxes.items():
            made.show_key(str(getattr(held, key)))
        w = self._context.writer
        self.sample.say(
            self.tr("So a step will read: “Weigh {mass} of beeswax. Melt to {celsius}, stirring.”").format(
                mass=w.grams(20.0), celsius=w.degrees(70.0)
            )
        )

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_inner"):
            self._measure()

    def _measure(self) -> None:
        self._inner.setMaximumWidth(theme_now().em() * 48)

    def _chosen(self, value: str) -> None:
        key = str(self.sender().property("key"))
        self.changed.emit({key: int(value) if key == "text_percent" else value})
