"""At the stove: the ladder, the window, and what opens it where it is empty."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QWidget

from workbench.core.heat.window import Reckoned, Temperatures
from workbench.ui.editor.model import RecipeModel
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button, clear, column, figure, page, row
from workbench.ui.widgets.callout import Finding
from workbench.ui.widgets.glossary import TradeWords
from workbench.ui.widgets.ladder import LadderView
from workbench.ui.writing import Writer

WORDS_EM = 17  # with less room than this beside the ladder, the words stand around it


class StovePage(QWidget):
    """`remedy_chosen(index)`: one of `remedies` shall change the recipe, in one undoable step."""

    remedy_chosen = Signal(int)

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.ladder = LadderView(model.context.writer)
        self.window_words = Words("", "head")
        self.how = Words("")
        self.finding = Finding()
        self.facts_head = Words(self.tr("How this was reckoned"), "strong")
        self.facts = QGridLayout()
        self.facts.setHorizontalSpacing(3 * GRID_PX)
        self.facts.setVerticalSpacing(GRID_PX)
        self.facts.setColumnStretch(0, 1)
        self._facts_shown: tuple[tuple[str, str, str], ...] = ()
        self.unknown = Words("", "attention")
        self.trade_words = TradeWords(
            (
                "window",
                "set point",
                "pour floor",
                "melt-out",
                "melt ceiling",
                "flash point",
                "flash-safe temperature",
                "scented ceiling",
            )
        )
        self.remedy_head = Words(self.tr("What opens it"), "strong")
        self.remedy_list = column(gap=2)
        self._side = column(
            self.window_words, self.finding, self.how, self.remedy_head, self.remedy_list, self.unknown,
            self.facts_head, self.facts, self.trade_words, 1, gap=3,
        )  # fmt: skip
        self.scroller = Scroller(page(self._side, margin=0))
        self._box = row(self.ladder, self.scroller, gap=5)
        self._box.setStretch(1, 1)
        margin = 6 * GRID_PX
        self._box.setContentsMargins(margin, margin, margin, 3 * GRID_PX)
        self.setLayout(self._box)
        self._beside = True

    def minimumSizeHint(self) -> QSize:
        """As narrow as the ladder alone: the width decides whether it stands beside the words or above them."""
        margins = 12 * GRID_PX + self.scroller.verticalScrollBar().sizeHint().width()
        return QSize(self.ladder.minimumSizeHint().width() + margins, 20 * GRID_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """The ladder beside the words, where both have room for it."""
        tall = self.height() >= self.ladder.minimumSizeHint().height() + 9 * GRID_PX
        room = self.width() - self.ladder.minimumSizeHint().width() - 17 * GRID_PX
        wanted = max(WORDS_EM * theme_now().em(), self.facts.minimumSize().width() + 4 * GRID_PX)
        beside = tall and room >= wanted
        if beside == self._beside:
            return
        self._beside = beside
        if beside:
            self._side.removeWidget(self.ladder)
            self._box.insertWidget(0, self.ladder)
        else:
            self._box.removeWidget(self.ladder)
            self._side.insertWidget(3, self.ladder)

    def show_recipe(self) -> None:
        model, w = self._model, self._model.context.writer
        self.ladder.write_with(w)
        evaluation = model.evaluation
        self.ladder.setVisible(evaluation is not None)
        if evaluation is None:
            self.window_words.say(self.tr("Nothing to heat yet"))
            self.how.say_or_hide(w.trouble(model.trouble))
            self.unknown.say_or_hide("")
            self._show_facts(())
            self.finding.say("", "")
            self.show_remedies((), False)
            return
        t = evaluation.temperatures
        room = model.context.shelf.room_c
        self.ladder.show_temperatures(t, room.value if room is not None else 21.0)
        self.window_words.say(window_words(self, t, w))
        self.how.say_or_hide(self._how(t, w))
        if t.open is False:
            self.finding.say(
                self.tr("Fragrance cannot go in"),
                self.tr(
                    "By the time the pot is cool enough for these oils, at {top}, it has set: it pours down to {floor} only. A batch can be started once one remedy is accepted."
                ).format(top=w.degrees(t.add_below.celsius or 0), floor=w.degrees(t.pour_floor.celsius or 0)),
            )
        else:
            self.finding.say("", "")
        self._show_facts(self._facts(t, w))
        self._arrange()
        missing = [
            self.tr("{what}: {why}").format(what=name, why=w.sentence(reckoned.why))
            for name, reckoned in self._named(t)
            if reckoned.celsius is None and reckoned.why and not t.unscented
        ]
        self.unknown.say_or_hide("\n".join(missing))
        if t.open is not False:
            self.show_remedies((), False)

    def show_remedies(self, remedies: tuple[tuple[str, str, bool], ...], searching: bool) -> None:
        """Remedies as (what it does, what comes of it, whether it is enough by itself), best first."""
        clear(self.remedy_list)
        self.remedy_head.say_or_hide(
            self.tr("Looking for what opens it …")
            if searching
            else self.tr("What opens it")
            if remedies
            else ""
        )
        for index, (what, effect, possible) in enumerate(remedies):
            self.remedy_list.addWidget(RemedyRow(index, what, effect, possible, self.remedy_chosen.emit))

    def _how(self, t: Temperatures, w: Writer) -> str:
        if t.unscented or t.open is None or not t.open:
            return ""
        return self.tr(
            "Melt to {melt}, let it cool, put the flame out, add the fragrance below {top} and pour above {floor}."
        ).format(
            melt=w.degrees(t.melt_out.celsius) if t.melt_out.celsius is not None else self.tr("clear"),
            top=w.degrees(t.add_below.celsius or 0),
            floor=w.degrees(t.pour_floor.celsius or 0),
        )

    def _named(self, t: Temperatures) -> tuple[tuple[str, Reckoned], ...]:
        return (
            (self.tr("Set point"), t.set_point),
            (self.tr("Melt-out"), t.melt_out),
            (self.tr("Melt ceiling"), t.melt_ceiling),
            (self.tr("Neat flash point"), t.neat_flash),
            (self.tr("Flash point, scent in the jug"), t.blend_flash),
        )

    def _facts(self, t: Temperatures, w: Writer) -> tuple[tuple[str, str, str], ...]:
        """(name, temperature with its spread, how it was reckoned) of everything that is known."""
        found: list[tuple[str, str, str]] = []
        for name, reckoned in self._named(t):
            if reckoned.celsius is None:
                continue
            value = w.degrees(reckoned.celsius, 1)
            if reckoned.sd_k >= 0.5:
                value = self.tr("{temperature} ± {spread}").format(
                    temperature=value, spread=w.kelvins(reckoned.sd_k)
                )
            found.append((name, value, w.sentence(reckoned.how)))
        return tuple(found)

    def _show_facts(self, found: tuple[tuple[str, str, str], ...]) -> None:
        if found == self._facts_shown:
            return
        self._facts_shown = found
        clear(self.facts)
        self.facts_head.setVisible(bool(found))
        for index, (name, value, how) in enumerate(found):
            pair = (Words(name, "small"), figure(value, "strong"))
            for column_at, words in enumerate(pair):  # how it came about belongs to what stands above it
                words.setContentsMargins(0, 2 * GRID_PX if index else 0, 0, 0)
                self.facts.addWidget(words, 2 * index, column_at)
            self.facts.setColumnMinimumWidth(0, 6 * theme_now().em())
            if how:
                self.facts.addWidget(Words(how, "muted"), 2 * index + 1, 0, 1, 2)


class RemedyRow(QFrame):
    """One remedy: what it changes, the window that comes of it, and a button to choose it."""

    def __init__(
        self, index: int, what: str, effect: str, possible: bool, chosen: Callable[[int], object]
    ) -> None:
        super().__init__()
        as_role(self, "card")
        self._index, self._chosen = index, chosen
        words = column(Words(what), Words(effect, "muted"), gap=1)
        text = self.tr("Choose") if possible else self.tr("One step")
        take = button(text, self._pressed, name=self.tr("{choose}: {what}").format(choose=text, what=what))
        take.setVisible(bool(effect))
        line = row(words, take, gap=3)
        line.setStretch(0, 1)
        line.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        self.setLayout(line)

    def _pressed(self) -> None:
        self._chosen(self._index)


def window_words(widget: QWidget, t: Temperatures, w: Writer) -> str:
    """The window in one line."""
    if t.unscented:
        return widget.tr("No scent, no window to keep")
    if t.open is None:
        return widget.tr("Cannot be known")
    floor, top = t.pour_floor.celsius or 0.0, t.add_below.celsius or 0.0
    if t.open:
        return widget.tr("Window from {floor} to {top}").format(floor=w.degrees(floor), top=w.degrees(top))
    return widget.tr("No window: {missing} short").format(missing=w.kelvins(floor - top))
