"""The fields of one wearing: who, where, since when, and the marks of the moment that is in hand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QGridLayout, QLineEdit, QPushButton, QWidget

from workbench.core.review.keeping import ERASED
from workbench.core.review.wear import MOMENTS_MIN, Mark, Skin, WearTest, coming, due, with_mark
from workbench.core.review.wear_course import row_words
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration, say
from workbench.ui.context import Context
from workbench.ui.editor.intent import TextField
from workbench.ui.editor.panel import Form
from workbench.ui.history.points_scale import PointsScale
from workbench.ui.history.wear_data import with_points
from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.basic import Words, button, column, row
from workbench.ui.widgets.choose import ChooseBox


def at_home(naive: datetime) -> datetime:
    """A wall time with the offset that held here on that day; `fold` chooses of two in the hour put back."""
    return naive.astimezone()


def read_time(text: str, now: datetime, zone: Callable[[datetime], datetime] = at_home) -> datetime:
    """A wall time from 08:15 (the newest one that is over) or 2026-03-20 08:15.  Raises `Trouble`.

    `zone` gives a time of the wall the offset of its own day, which may be
    another than today's.
    """
    parts = text.replace("T", " ").split()
    try:
        hour, minute = (int(part) for part in parts[-1].replace(".", ":").split(":"))
        if len(parts) not in (1, 2):
            raise ValueError
        day = datetime.fromisoformat(parts[0]) if len(parts) == 2 else now
        asked = day.replace(hour=hour, minute=minute, second=0, microsecond=0, tzinfo=None)
        made = _newest(asked, now, zone)
        if made is None and len(parts) == 1:
            made = _newest(asked - timedelta(days=1), now, zone)
    except (ValueError, IndexError):
        raise Trouble(
            say(
                "“{text}” is not a time. Type it like 08:15, or with the day like 2026-03-20 08:15.",
                text=text,
            )
        ) from None
    if made is None:
        raise Trouble(say("That is still to come. Type when the balm was dabbed on."))
    return made


def _newest(asked: datetime, now: datetime, zone: Callable[[datetime], datetime]) -> datetime | None:
    """The time of the wall that is over; in the hour put back the later of the two.  None if it is to come.

    Raises `Trouble` where the clocks went past it.
    """
    found = [zone(asked.replace(fold=fold)) for fold in (1, 0)]
    real = [each.replace(fold=0) for each in found if each.replace(tzinfo=None, fold=0) == asked]
    if not real:
        raise Trouble(say("There was no such time: the clocks were put forward past it. Type another."))
    return next((each for each in real if each <= now), None)


def wall_now() -> datetime:
    return datetime.now().astimezone()


class WearEntry(QWidget):
    """settled(test)  something was typed or picked; the test as it is to be kept"""

    settled = Signal(object)

    def __init__(
        self, context: Context, parent: QWidget | None = None, clock: Callable[[], datetime] = wall_now
    ) -> None:
        super().__init__(parent)
        self._context, self._clock = context, clock
        self._test = WearTest(number=1)
        self._now = clock()  # when what is due was looked at last; what is done asks the clock itself
        self._moment = 0
        self._filling = False
        self._rows: tuple[int, ...] = (0, 1, 2, 3)
        self.wearer = TextField(self.tr("Initials of the wearer"))
        self.wearer.setMaxLength(3)
        self.wearer.editingFinished.connect(self._typed_wearer)
        self.where = ChooseBox(self.tr("Where on the skin"), self, 14)
        self.where.chosen.connect(self._picked_where)
        self.now_button = button(self.tr("It is dabbed on now"), self._dabbed_now, "primary")
        self.dabbed = TextField(self.tr("Dabbed on at"))
        self.dabbed.setPlaceholderText(self.tr("08:15, or with the day"))
        self.dabbed.editingFinished.connect(self._typed_dabbed)
        self.times = QGridLayout()
        self.times.setHorizontalSpacing(3 * GRID_PX)
        self.times.setVerticalSpacing(GRID_PX)
        self._ticks: dict[int, QCheckBox] = {}
        for at, moment in enumerate(MOMENTS_MIN):
            tick = QCheckBox(self.moment_name(moment))
            tick.setProperty("moment", moment)
            tick.toggled.connect(self._picked_times)
            self._ticks[moment] = tick
            self.times.addWidget(tick, at // 3, at % 3)
        self.times.setColumnStretch(3, 1)
        form = Form()
        form.add(self.tr("Wearer"), row(self.wearer, 1), self.wearer)
        form.add(self.tr("Where"), row(self.where, 1), self.where)
        form.add(self.tr("Dabbed on"), row(self.now_button, self.dabbed, 1, gap=2), self.dabbed)
        form.add(self.tr("Times to smell"), self.times)
        self.fault = Words("", "error")
        self.fault.hide()
        self.due = Words("", "strong")
        self.moments = QGridLayout()
        self.moments.setHorizontalSpacing(GRID_PX)
        self.moments.setVerticalSpacing(GRID_PX)
        self._group = QButtonGroup(self)
        self._group.buttonClicked.connect(self._picked_moment)
        self._buttons: dict[int, QPushButton] = {}
        self.scales: list[PointsScale] = []
        self._names: list[Words] = []
        marks = QGridLayout()
        marks.setHorizontalSpacing(3 * GRID_PX)
        marks.setVerticalSpacing(2 * GRID_PX)
        marks.setColumnStretch(1, 1)
        for at in range(4):
            name = Words("", "body")
            scale = PointsScale("", self)
            scale.setProperty("row", at)
            scale.picked.connect(self._picked_points)
            self.scales.append(scale)
            self._names.append(name)
            marks.addWidget(name, at, 0)
            marks.addWidget(scale, at, 1)
        self.words = QLineEdit()
        self.words.setMaxLength(400)
        self.words.setAccessibleName(self.tr("In words"))
        self.words.setPlaceholderText(self.tr("sharp, green, like honey …"))
        self.words.editingFinished.connect(self._typed_words)
        marks.addWidget(Words(self.tr("In words")), 4, 0)
        marks.addWidget(self.words, 4, 1)
        self.scale_note = Words(
            self.tr("0 is nothing, 10 as strong as a scent can be. Keys: 0 to 9, 1 and 0 for ten, arrows; Delete takes a mark away."),
            "muted",
        )  # fmt: skip
        self.marks = QWidget()
        self.marks.setLayout(column(self.due, self.moments, marks, self.scale_note, gap=3))
        self.setLayout(column(form, self.fault, self.marks, gap=4))

        self._measure()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "dabbed"):
            self._measure()

    def _measure(self) -> None:
        for field in (self.wearer, self.where, self.dabbed):
            field.setFixedWidth(14 * theme_now().em())

    # what is shown

    def show_test(self, test: WearTest, rows: tuple[int, ...], now: datetime) -> None:
        """`rows` are the notes that are in the balm: 0 top, 1 middle, 2 base; overall is always asked."""
        fresh = test.number != self._test.number or test.dabbed != self._test.dabbed
        self._test, self._rows, self._now = test, (*rows, 3), now
        w = self._context.writer
        self._filling = True
        erased = test.wearer == ERASED
        self.wearer.show_text("" if erased else test.wearer)
        self.wearer.setPlaceholderText(
            self.tr("erased on request") if erased else self.tr("leave empty for yourself")
        )
        self.where.offer([(each.value, w.sentence(each.value)) for each in Skin])
        self.where.show_key(test.where.value)
        self.dabbed.show_text("" if test.dabbed is None else f"{test.dabbed:%Y-%m-%d %H:%M}")
        for moment, tick in self._ticks.items():
            tick.setChecked(moment in test.moments_min)
            tick.setEnabled(test.mark(moment) is None)
        self._filling = False
        self.now_button.setVisible(test.dabbed is None)
        self.marks.setVisible(test.dabbed is not None)
        self._show_moments(fresh)
        for at, (name, scale) in enumerate(zip(self._names, self.scales, strict=True)):
            text = w.sentence(row_words(at))
            name.say(text[:1].upper() + text[1:])
            scale.rename(name.text())
            name.setVisible(at in self._rows)
            scale.setVisible(at in self._rows)
        self._show_mark()

    def look_again(self, now: datetime) -> None:
        """Time went on: what is due is said anew; nothing that is being typed is touched."""
        self._now = now
        self._show_moments(False)

    def _show_moments(self, fresh: bool) -> None:
        test, now = self._test, self._now
        late, ahead = [each.after_min for each in due(test, now)], coming(test, now)
        if fresh or self._moment not in test.moments_min:
            first = late[-1] if late else next(iter(test.moments_min), 0)
            self._moment = first
            self._show_mark()
        if list(self._buttons) != list(test.moments_min):
            for made in self._buttons.values():
                self._group.removeButton(made)
                self.moments.removeWidget(made)
                made.hide()
                made.deleteLater()
            self._buttons = {}
            for at, moment in enumerate(test.moments_min):
                made = button("", None, "place", self)
                made.setCheckable(True)
                made.setProperty("moment", moment)
                self._group.addButton(made)
                self.moments.addWidget(made, at // 3, at % 3)
                self._buttons[moment] = made
        for moment, made in self._buttons.items():
            name = self.moment_name(moment)
            if test.mark(moment) is not None:
                text = self.tr("{moment}: marked").format(moment=name)
            elif moment in late:
                text = (
                    self.tr("{moment}: now") if moment == late[-1] else self.tr("{moment}: missing")
                ).format(moment=name)
            elif ahead is not None and moment == ahead.after_min:
                left = self._context.writer.value(Duration(60.0 * max(1.0, -(ahead.by_s // 60))))
                text = self.tr("{moment}: in {time}").format(moment=name, time=left)
            else:
                text = name
            if made.text() != text:
                made.setText(text)
            made.setChecked(moment == self._moment)

    def _show_mark(self) -> None:
        mark = self._test.mark(self._moment) or Mark(after_min=self._moment)
        for scale, points in zip(self.scales, (mark.top, mark.middle, mark.base, mark.overall), strict=True):
            scale.show_points(points)
        if not (self.words.hasFocus() and self.words.isModified()):
            self.words.setText(mark.words)

    def moment_name(self, moment: int) -> str:
        if moment == 0:
            return self.tr("just on")
        if moment % 60 == 0:
            return self.tr("{count} h").format(count=moment // 60)
        return self.tr("{count} min").format(count=moment)

    @property
    def moment(self) -> int:
        return self._moment

    def go_to(self, moment: int) -> None:
        """The marks of one moment in hand, ready to be typed."""
        self._moment = moment
        self._show_moments(False)
        self._show_mark()

    # what is done

    def _settle(self, test: WearTest) -> None:
        self.fault.say_or_hide("")
        if test != self._test:
            self.settled.emit(test)

    def _change(self, **fields: object) -> None:
        self._settle(WearTest.model_validate({**dict(self._test), **fields}))

    def _typed_wearer(self) -> None:
        text = self.wearer.text().strip()
        if not text and self._test.wearer == ERASED:
            return
        if not text or text.isalpha():
            self._change(wearer=text)
        else:
            self.fault.say_or_hide(self.tr("Initials only: up to three letters, no name."))

    def _picked_where(self, key: str) -> None:
        self._change(where=Skin(key))

    def _dabbed_now(self) -> None:
        self._change(dabbed=self._clock().replace(microsecond=0))
        self.scales[self._rows[0]].setFocus(Qt.FocusReason.OtherFocusReason)

    def _typed_dabbed(self) -> None:
        text = self.dabbed.text().strip()
        if self._test.dabbed is not None and text == f"{self._test.dabbed:%Y-%m-%d %H:%M}":
            self.fault.say_or_hide("")
            return
        try:
            self._change(dabbed=read_time(text, self._clock()) if text else None)
        except Trouble as trouble:
            self.fault.say_or_hide(self._context.writer.sentence(trouble.says))

    def _picked_times(self, _on: bool) -> None:
        if not self._filling:
            chosen = tuple(moment for moment, tick in self._ticks.items() if tick.isChecked())
            if chosen:
                self._change(moments_min=chosen)
                return
            self._filling = True
            for moment in self._test.moments_min:
                self._ticks[moment].setChecked(True)
            self._filling = False
            self.fault.say_or_hide(self.tr("Leave at least one time to smell."))

    def _picked_moment(self, made: QWidget) -> None:
        self.go_to(int(made.property("moment")))

    def _mark(self) -> Mark:
        held = self._test.mark(self._moment)
        return held or Mark(after_min=self._moment, noted=self._clock().replace(microsecond=0))

    def _picked_points(self, points: int | None) -> None:
        scale = self.sender()
        if isinstance(scale, PointsScale):
            self._settle(with_mark(self._test, with_points(self._mark(), int(scale.property("row")), points)))

    def _typed_words(self) -> None:
        self.words.setModified(False)
        mark = self._mark().model_copy(update={"words": self.words.text().strip()})
        self._settle(with_mark(self._test, mark))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up, down and Enter go from one judgement to the next."""
        fields = [self.scales[at] for at in self._rows]
        at = next((n for n, each in enumerate(fields) if each.hasFocus()), None)
        step = {
            Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_Return: 1, Qt.Key.Key_Enter: 1,
        }.get(Qt.Key(event.key()))  # fmt: skip
        if at is None or step is None:
            super().keyPressEvent(event)
        elif 0 <= at + step < len(fields):
            fields[at + step].setFocus(Qt.FocusReason.TabFocusReason)
        elif step > 0:
            self.words.setFocus(Qt.FocusReason.TabFocusReason)
