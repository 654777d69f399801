"""What the step must record: a short list, and one field for what it needs now."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from workbench.core.batch.commands import Answer, Command, Refused
from workbench.core.batch.state import BurstPhase, SessionState
from workbench.core.batch.steps import Need, NeedKind
from workbench.core.catalogue.shelf import Lot
from workbench.core.trouble import Trouble
from workbench.ui.bench import now as look
from workbench.ui.bench.asking import command_for
from workbench.ui.bench.entry import BenchEntry
from workbench.ui.bench.glyph import Shape
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.need_rows import ChoiceRow, NeedRow
from workbench.ui.bench.now import NUMERIC, NeedShown, need_now, needs_shown
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words
from workbench.ui.widgets.choose import ListBox

STIRRED_KEY = "F6"
PROBE_KEY = "F2"
MANY_ROWS = 3
SURE_AFTER_S = 0.8  # a bounce of the Enter key is no answer to a question


class NeedPanel(QWidget):
    """List and field.

    asked(command)  something is to be recorded
    said(str)       a sentence about the text in the field; "" when all is well
    """

    asked = Signal(object)
    said = Signal(str)
    correct = Signal(int)  # sequence number of what is to be corrected

    def __init__(
        self, measures: Measures, hand_s: Callable[[], float], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._measures = measures
        self._hand_s = hand_s  # the clock of the hand: only differences mean anything
        self._state = SessionState()
        self._lots: Mapping[str, tuple[Lot, ...]] = {}
        self._chosen: str | None = None
        self._drawn: tuple[object, ...] = ()
        self._stands_for: tuple[str, str | None] = ("", None)
        self._rows: list[NeedRow] = []
        self._placed: tuple[object, ...] = ()
        self._choices: list[ChoiceRow] = []
        self._choice_box = QVBoxLayout()
        self._choice_box.setSpacing(theme_now().space(2))
        self._sure_for: tuple[str, str] | None = None
        self._sure_from_s = 0.0
        self._by_stir = False  # it was said with the burst: said once more by key it is no denial

        self._list = QWidget(self)
        self._grid = QGridLayout(self._list)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(theme_now().space(1))

        self.label = Words("", "strong")
        self.target = Words("", "muted_body")
        self.entry = BenchEntry(self)
        self.unit = QLabel(self)
        as_role(self.unit, "lead")
        self.stirred = QCheckBox(self)
        as_role(self.stirred, "stirred")
        self.lot = ListBox(self)
        self.record = QPushButton(self)
        self.field = QWidget(self)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(theme_now().space(2))
        line.addWidget(self.entry, 1)
        line.addWidget(self.unit)
        line.addWidget(self.record)
        extras = QHBoxLayout()
        extras.setContentsMargins(0, 0, 0, 0)
        self._read: Callable[[bool], float] | None = None
        self.probe = QPushButton(self)
        self.probe.clicked.connect(self.take_reading)
        extras.addWidget(self.probe)
        extras.addWidget(self.lot)
        extras.addStretch(1)
        field = QVBoxLayout(self.field)
        field.setContentsMargins(0, 0, 0, 0)
        field.setSpacing(theme_now().space(1))
        head = QHBoxLayout()
        head.setSpacing(theme_now().space(3))
        head.addWidget(self.label, 1)
        head.addWidget(self.stirred)
        field.addLayout(head)
        field.addWidget(self.target)
        field.addLayout(line)
        field.addLayout(extras)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(3))
        box.addLayout(self._choice_box)
        box.addWidget(self._list)
        box.addWidget(self.field)

        self.entry.entered.connect(self._entered)
        self.entry.textEdited.connect(lambda: self.said.emit(""))
        self.record.clicked.connect(self._record_pressed)
        self._say()

    # -- what it shows

    @property
    def need(self) -> Need | None:
        """What the field stands for."""
        return need_now(self._state, self._chosen)

    def set_lots(self, lots: Mapping[str, tuple[Lot, ...]]) -> None:
        self._lots = lots

    def show_state(self, state: SessionState, measures: Measures | None = None) -> None:
        stepped = state.step_id != self._state.step_id
        now, before = state.burst.phase, self._state.burst.phase
        stirred = before is BurstPhase.STIR_DUE and now is BurstPhase.READING_DUE
        self._state = state
        self._measures = measures or self._measures
        if stepped:
            self._chosen = None
        if stepped or stirred:
            self._by_stir = stirred
            self.stirred.setChecked(stirred)
        shown = needs_shown(state)
        need = self.need
        stands_for = (state.step_id, None if need is None else need.key)
        if stands_for != self._stands_for:
            # what was typed for one thing must never be recorded for another
            self._stands_for = stands_for
            self._sure_for = None
            self.entry.clear()
        drawn = (shown, need, self._measures, state.step_id, state.phase)
        if drawn == self._drawn:
            return
        self._drawn = drawn
        self._fill_list(shown, need)
        self._fill_field(need)

    def refuse(self, refusal: Refused, command: Command) -> bool:
        """A recording was refused: the text comes back; True when Enter once more would record it."""
        typed = getattr(command, "typed", "")
        need = self.need
        if not typed or need is None:
            return False
        self.entry.setText(typed)
        self.entry.selectAll()
        self.stirred.setChecked(getattr(command, "stirred", False))  # it is still the same reading
        if refusal.ask_sure:
            self._sure_for, self._sure_from_s = (need.key, typed), self._hand_s()
        return refusal.ask_sure

    def toggle_stirred(self) -> None:
        if self.stirred.isVisibleTo(self) and not self._by_stir:
            self.stirred.toggle()
        self._by_stir = False

    def offer_readings(self, read: Callable[[bool], float]) -> None:
        """A practice run: a button that looks at the simulated thermometer."""
        self._read = read
        self._drawn = ()
        self.show_state(self._state)

    def take_reading(self) -> None:
        """Put what the simulated thermometer shows into the field; Enter still records it."""
        if self._read is None or not self.probe.isVisibleTo(self):
            return
        self.entry.setText(self._measures.writer.heat_text(self._read(self.stirred.isChecked())))
        self.focus_entry()

    def take_key(self, character: str) -> None:
        """A digit typed anywhere comes here."""
        if not self.put_off() and self.field.isVisibleTo(self) and self.entry.isEnabled():
            self.entry.take_key(character)

    def put_off(self) -> bool:
        """Cautions stand where the field will be: a number would be recorded that nobody sees."""
        unread = bool(look.cautions_unread(self._state)) and not look.on_hold(self._state)
        if unread:
            self.said.emit(self.tr("Read the cautions first, then type it."))
        return unread

    def enter(self, text: str) -> None:
        """The same as typing `text` into the field and pressing Enter."""
        if text.strip():
            self.entry.setText(text)
            self._entered(text)

    def dress(self, tall_px: int) -> None:
        """As large as an oily finger needs."""
        for each in (self.stirred, self.record, self.probe):
            each.setMinimumHeight(tall_px)

    def answer(self, need: str, value: bool | str) -> None:
        """A tick or an answer was pressed elsewhere."""
        self.asked.emit(Answer(self._state.step_id, need, value))

    @property
    def can_probe(self) -> bool:
        """A practice run, whose thermometer can be looked at."""
        return self._read is not None

    def stirred_words(self, short: bool = False) -> str:
        words = self.tr("Stirred ({key})") if short else self.tr("Stirred just before ({key})")
        return words.format(key=STIRRED_KEY)

    def target_stands_above(self, above: bool) -> None:
        """It is said once: large on top, or beside the field."""
        self.target.setVisible(bool(self.target.text()) and not above)

    @property
    def field_tall(self) -> int:
        """The height of field, label and switches without the list above them, in px."""
        return self.field.sizeHint().height() if not self.field.isHidden() else 0

    def focus_entry(self) -> None:
        if self.field.isVisibleTo(self):
            self.entry.setFocus(Qt.FocusReason.OtherFocusReason)
            self.entry.selectAll()  # what was refused before is typed over or recorded as it is

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._drawn = ()
            self._say()
        super().changeEvent(event)

    # -- inside

    def _say(self) -> None:
        self.stirred.setText(self.stirred_words())
        self.probe.setText(self.tr("Read the practice thermometer ({key})").format(key=PROBE_KEY))
        self.record.setText(self.tr("Record (Enter)"))
        self.lot.setAccessibleName(self.tr("Lot"))
        self.setAccessibleName(self.tr("What this step records"))

    def _fill_list(self, shown: tuple[NeedShown, ...], need: Need | None) -> None:
        """Ticks and questions always, other needs once they are recorded or not yet in the field.

        The temperature stands large on the card already.
        """
        listed = [
            each
            for each in shown
            if each.need.kind is NeedKind.TICK
            or (each.need.kind is NeedKind.TEMPERATURE and need is not None and need.key != each.need.key)
            or (
                each.need.kind not in (NeedKind.CHOICE, NeedKind.TEMPERATURE)
                and (not each.open or need is None or need.key != each.need.key)
            )
        ]
        if len(listed) > MANY_ROWS:  # they come up in their order; the field says which it is
            listed = [each for each in listed if not each.open or each.need.kind is NeedKind.TICK]
        asked = [each for each in shown if each.need.kind is NeedKind.CHOICE]
        if look.on_hold(self._state):  # only the temperature counts now, and a bath that boiled dry
            listed, asked = [], [each for each in asked if look.is_dry_bath(self._state, each.need)]
        while len(self._rows) < len(listed):
            row = NeedRow(self._list)
            row.button.clicked.connect(self._row_pressed)
            self._rows.append(row)
        while len(self._choices) < len(asked):
            choice = ChoiceRow(self)
            choice.answered.connect(self._answered)
            self._choice_box.addWidget(choice)
            self._choices.append(choice)
        for at, row in enumerate(self._rows):
            row.setVisible(at < len(listed))
            row.key = ""
            if at < len(listed):
                self._fill_row(row, listed[at], need)
        for at, choice in enumerate(self._choices):
            choice.setVisible(at < len(asked))
            if at < len(asked):
                choice.show_need(asked[at], self._measures)
        self._list.setVisible(bool(listed))
        self._place_rows()

    def _place_rows(self) -> None:
        """Two columns where every label fits into one half, so that the field stays in view."""
        rows = [row for row in self._rows if row.key]
        widest = max((row.sizeHint().width() for row in rows), default=0)
        columns = 2 if len(rows) > 1 and 2 * widest + theme_now().space(2) <= self.width() else 1
        per_column = -(-len(rows) // columns) if rows else 1
        placed = (columns, tuple(row.key for row in rows))
        if placed == self._placed:
            return
        self._placed = placed
        for at, row in enumerate(rows):
            self._grid.addWidget(row, at % per_column, at // per_column)
        for column in range(2):
            self._grid.setColumnStretch(column, 1 if column < columns else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_rows()

    def _fill_row(self, row: NeedRow, each: NeedShown, need: Need | None) -> None:
        tick = each.need.kind is NeedKind.TICK
        row.key = each.need.key
        label = self._measures.say(each.need.label)
        done = not each.open
        if tick:
            row.glyph.show_shape(Shape.TICKED_BOX if done else Shape.BOX)
            row.button.setText(self.tr("{number}  {label}").format(number=each.number, label=label))
        else:
            now = need is not None and need.key == each.need.key
            row.glyph.show_shape(Shape.TICK if done else Shape.DOT if now else Shape.RING)
            row.button.setText(label)
        value = "" if tick or each.recorded is None else self.value_words(each)
        if each.recorded is not None and each.recorded.corrected:
            value = self.tr("{value} (corrected)").format(value=value)
        row.value.setText(value)
        row.value.setVisible(bool(value))
        row.button.setAccessibleName(label)
        row.button.setAccessibleDescription(
            self.tr("recorded {value}").format(value=value) if done else self.tr("not recorded yet")
        )
        row.button.setProperty("need", each.need.key)

    def value_words(self, each: NeedShown) -> str:
        if each.recorded is None:
            return ""
        value, kind = each.recorded.value, each.need.kind
        if kind is NeedKind.MASS:
            return self._measures.mass(float(value), self._readability(each.need))
        if kind is NeedKind.TEMPERATURE:
            return self._measures.temperature(float(value))
        if kind is NeedKind.DEPTH:
            return self.tr("{depth} mm").format(depth=self._measures.number(float(value), 1))
        if kind in (NeedKind.DROPS, NeedKind.COUNT):
            return self._measures.number(float(value), 0)
        return self._measures.say(str(value))

    def _readability(self, need: Need) -> float | None:
        plan = self._state.plan
        if plan is None:
            return None
        for line in plan.lines:
            if line.material == need.material:
                return line.readability_g
        return None

    def _fill_field(self, need: Need | None) -> None:
        self.field.setVisible(need is not None)
        if need is None:
            return
        kind = need.kind
        self.target.say_or_hide(self.target_words(need))
        self.unit.setText(self.unit_of(need))
        self.unit.setVisible(bool(self.unit.text()))
        self.entry.take_numbers(kind is not NeedKind.WORDS)
        self.entry.setAccessibleName(self._measures.say(need.label))
        self.entry.setAccessibleDescription(self.target_words(need))
        self.label.say(self._label(need))
        self.stirred.setVisible(kind is NeedKind.TEMPERATURE)
        self.probe.setVisible(kind is NeedKind.TEMPERATURE and self._read is not None)
        self._fill_lots(need)

    def _label(self, need: Need) -> str:
        if need.kind in (NeedKind.TICK, NeedKind.CHOICE):
            return self.tr("Type its number, or press it above")
        label = self._measures.say(need.label)
        if need.kind is NeedKind.TEMPERATURE and look.options(self._state):
            return self.tr("{label}, or a number from above").format(label=label)
        return label

    def _fill_lots(self, need: Need) -> None:
        lots = self._lots.get(need.material, ()) if need.kind in (NeedKind.MASS, NeedKind.DROPS) else ()
        keys = [None, *(lot.key for lot in lots)]
        if [self.lot.itemData(at) for at in range(self.lot.count())] != keys:
            self.lot.clear()
            self.lot.addItem(self.tr("no lot"), None)
            for lot in lots:
                self.lot.addItem(self.tr("lot {number}").format(number=lot.supplier_lot or lot.key), lot.key)
            planned = None
            if self._state.plan is not None:
                planned = next(
                    (line.lot for line in self._state.plan.lines if line.material == need.material), None
                )
            self.lot.setCurrentIndex(max(0, self.lot.findData(planned)) or min(1, len(lots)))
        self.lot.setVisible(bool(lots))

    def target_words(self, need: Need) -> str:
        if need.kind is NeedKind.DROPS and need.target is not None:
            return self.tr("%n drops", "", round(need.target))
        if need.target is None and need.low is None and need.high is None:
            return ""
        if need.kind is NeedKind.DEPTH:
            return ""  # what is wished for, no dip at all, is nothing to aim at
        low = None if need.low is None else self.value_of(need, need.low)
        high = None if need.high is None else self.value_of(need, need.high)
        if need.target is None:
            if low is not None and high is not None:
                return self.tr("between {low} and {high}").format(low=low, high=high)
            if high is not None:
                return self.tr("at most {high}").format(high=high)
            return self.tr("at least {low}").format(low=low)
        target = self.value_of(need, need.target)
        if low is not None and high is not None:
            return self.tr("Target {target}, good from {low} to {high}").format(
                target=target, low=low, high=high
            )
        return self.tr("Target {target}").format(target=target)

    def value_of(self, need: Need, value: float) -> str:
        if need.kind is NeedKind.MASS:
            return self._measures.mass(value, self._readability(need))
        if need.kind is NeedKind.TEMPERATURE:
            return self._measures.temperature(value)
        return f"{self._measures.number(value, 1)} {need.unit}".strip()

    def unit_of(self, need: Need) -> str:
        return {
            NeedKind.MASS: self._measures.mass_unit,
            NeedKind.TEMPERATURE: self._measures.temperature_unit,
            NeedKind.DROPS: self.tr("drops"),
            NeedKind.DEPTH: "mm",
        }.get(need.kind, need.unit if need.kind in NUMERIC else "")

    # -- recording

    def _record_pressed(self) -> None:
        if self.entry.text().strip():
            self._entered(self.entry.text())
        else:
            self.focus_entry()

    def _entered(self, text: str) -> None:
        need = self.need
        if need is None:
            return
        typed = text.strip()
        sure = self._sure_for == (need.key, typed)
        if sure and self._hand_s() - self._sure_from_s < SURE_AFTER_S:
            return
        lot = self.lot.currentData() if self.lot.isVisibleTo(self) else None
        try:
            command = command_for(
                self._state,
                need,
                typed,
                self._measures,
                stirred=self.stirred.isChecked(),
                lot=lot,
                sure=sure,
            )
        except Trouble as trouble:
            self.said.emit(self._measures.say(trouble.says))
            self.entry.selectAll()
            return
        self._sure_for = None
        self._send(command)

    def _send(self, command: Command) -> None:
        self.entry.clear()
        self.said.emit("")
        self._chosen = None
        self.stirred.setChecked(False)  # every reading is stirred anew
        self._by_stir = False
        self.asked.emit(command)

    def _row_pressed(self) -> None:
        key = str(self.sender().property("need"))
        shown = next((each for each in needs_shown(self._state) if each.need.key == key), None)
        if shown is None:
            return
        if shown.need.kind is NeedKind.TICK:
            if shown.open:
                self.asked.emit(Answer(self._state.step_id, key, True))
            return
        if shown.recorded is not None and shown.need.kind is not NeedKind.TEMPERATURE:
            self.correct.emit(shown.recorded.seq)
            return
        self._chosen = key
        self._drawn = ()
        self.show_state(self._state)
        self.focus_entry()

    def _answered(self, need: str, answer: str) -> None:
        self._send(Answer(self._state.step_id, need, answer))
