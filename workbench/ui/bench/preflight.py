"""The look round before a batch: what could spoil it, while nothing is hot yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QCheckBox, QFrame, QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from workbench.core.batch.commands import SetAside, Start
from workbench.core.batch.in_jug import thermometer_of
from workbench.core.batch.kitchen import PROBE_GOOD_FOR_DAYS
from workbench.core.batch.plan import Plan
from workbench.core.batch.steps import Guard
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Thermometer, ThermometerKind
from workbench.devices import sound as tones
from workbench.devices.sound import Sound
from workbench.devices.speech import Speech
from workbench.ui.bench.glyph import Glyph, Shape
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words, button

BEGIN_KEY = "F8"  # the same as the primary action of every step


@dataclass(frozen=True, slots=True)
class Check:
    """One line: all well, or a sentence that says what to look at."""

    heading: str
    says: str
    well: bool


class PreFlight(QWidget):
    """started(Start), bench_view(bool) before it; left() to go back to the recipe."""

    started = Signal(object)
    left = Signal()

    def __init__(
        self,
        plan: Plan,
        catalogue: Catalogue,
        measures: Measures,
        sound: Sound,
        speech: Speech,
        today: date,
        *,
        practice: bool = False,
        maker: str = "",
        seed: int | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._plan, self._catalogue, self._measures = plan, catalogue, measures
        self._sound, self._speech, self._today = sound, speech, today
        self._practice, self._seed = practice, seed
        self.heading = Words("", "title")
        self.text = Words("", "lead")
        self.blocked = QFrame(self)
        as_role(self.blocked, "says")
        self.blocked_says = Words("", "strong", self.blocked)
        QVBoxLayout(self.blocked).addWidget(self.blocked_says)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme_now().space(3))
        self._grid.setVerticalSpacing(theme_now().space(3))
        self._grid.setColumnStretch(1, 1)
        self.tone = button("", self._play, "", self)
        self.maker = QLineEdit(maker, self)
        self.maker.setMaxLength(8)
        self.maker_label = Words("", "muted_body")
        self.maker_label.setBuddy(self.maker)
        self.code = QLineEdit(self)
        self.code.setMaxLength(30)
        self.code_label = Words("", "muted_body")
        self.code_label.setBuddy(self.code)
        self.reason = QLineEdit(self)
        self.reason_label = Words("", "strong")
        self.reason_label.setBuddy(self.reason)
        self.far = QCheckBox(self)
        self.begin = button("", self._begin, "primary", self)
        self.back = button("", self.left.emit, "", self)
        names = QHBoxLayout()
        names.setSpacing(theme_now().space(6))
        for label, edit in ((self.maker_label, self.maker), (self.code_label, self.code)):
            pair = QVBoxLayout()
            pair.setSpacing(theme_now().space(1))
            pair.addWidget(label)
            pair.addWidget(edit)
            names.addLayout(pair, 1)
        names.addStretch(1)
        feet = QHBoxLayout()
        feet.addWidget(self.back)
        feet.addStretch(1)
        feet.addWidget(self.begin)
        inner = QWidget()
        as_role(inner, "page")
        inner.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        column = QWidget(inner)
        column.setMaximumWidth(56 * theme_now().em())
        across = QHBoxLayout(inner)
        margin = theme_now().space(10)
        across.setContentsMargins(margin, theme_now().space(8), margin, theme_now().space(6))
        across.addWidget(column, 1)
        box = QVBoxLayout(column)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(4))
        box.addWidget(self.heading)
        box.addWidget(self.text)
        box.addWidget(self.blocked)
        box.addSpacing(theme_now().space(2))
        box.addLayout(self._grid)
        box.addSpacing(theme_now().space(2))
        box.addWidget(self.reason_label)
        box.addWidget(self.reason)
        box.addLayout(names)
        box.addWidget(self.far)
        box.addStretch(1)
        foot = QFrame(self)  # the way on stands below what scrolls, where every step has it
        as_role(foot, "foot")
        foot.setLayout(feet)
        narrow, wide = theme_now().space(4), theme_now().space(2)
        feet.setContentsMargins(narrow, wide, narrow, wide)
        self.dress(Ruler())
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(Scroller(inner, self), 1)
        whole.addWidget(foot)
        self._say()

    def dress(self, ruler: Ruler) -> None:
        """As large as the buttons of the steps that follow."""
        for each in (self.begin, self.back):
            each.setMinimumHeight(round(ruler.px(self, TARGET_MM)))

    def take_focus(self) -> None:
        """The keyboard begins here, not in the list of recipes above."""
        (self.reason if self.reason.isVisibleTo(self) else self.maker).setFocus()

    @property
    def wants_far(self) -> bool:
        return self.far.isChecked()

    def checks(self) -> tuple[Check, ...]:
        """What was looked at, in the order of the page."""
        return (
            *self._skin_check(),
            self._sound_check(),
            self._speech_check(),
            self._probe_check(),
            self._scale_check(),
            self._tin_check(),
        )

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    # -- inside

    def _sound_check(self) -> Check:
        if self._sound.works:
            return Check(
                self.tr("Sound"),
                self.tr("Play the test tone and listen for it from where you will stand."),
                True,
            )
        return Check(self.tr("Sound"), self._measures.say(self._sound.why), False)

    def _speech_check(self) -> Check:
        if self._speech.works:
            return Check(self.tr("Speech"), self.tr("What is spoken stands on the screen as well."), True)
        return Check(self.tr("Speech"), self._measures.say(self._speech.why), False)

    def _thermometer(self) -> Thermometer | None:
        return thermometer_of(self._plan, self._catalogue.shelf)

    def _probe_check(self) -> Check:
        heading = self.tr("Thermometer")
        probe = self._thermometer()
        if probe is None:
            return Check(heading, self.tr("None is chosen. You need one that reaches into the melt."), False)
        if probe.kind is ThermometerKind.INFRARED:
            return Check(
                heading,
                self.tr("{name} sees only the skin of the melt: stir before every reading.").format(
                    name=probe.name
                ),
                False,
            )
        if probe.dropped_since:
            return Check(
                heading,
                self.tr("{name} was dropped: check it in ice water first.").format(name=probe.name),
                False,
            )
        if probe.checked is None or (self._today - probe.checked).days > PROBE_GOOD_FOR_DAYS:
            return Check(
                heading,
                self.tr("{name} is due for a check in ice water and in boiling water.").format(
                    name=probe.name
                ),
                False,
            )
        return Check(heading, self.tr("{name} was checked not long ago.").format(name=probe.name), True)

    def _scale_check(self) -> Check:
        used = {line.scale for line in self._plan.lines if line.scale}
        names = [
            scale.name for scale in self._catalogue.shelf.scales if scale.key in used or scale.name in used
        ]
        if not names:
            return Check(self.tr("Scales"), self.tr("No scale is chosen for any line."), False)
        return Check(
            self.tr("Scales"),
            self.tr("Switched on, level, and showing 0: {names}.").format(names=", ".join(names)),
            True,
        )

    def _tin_check(self) -> Check:
        count = len(self._plan.tins)
        return Check(
            self.tr("Tins and tools"),
            self.tr("Tins: {count}, clean and dry. A drop of water under hot wax spits.").format(count=count),
            True,
        )

    def _skin_check(self) -> tuple[Check, ...]:
        """What the skin verdict says against it, once more: after this page nobody looks at the recipe."""
        skin = self._plan.skin
        told = skin.over if skin.verdict == "over" else skin.unknown if skin.verdict == "unknown" else ()
        if not told:
            return ()
        heading = self.tr("On skin: over a limit") if skin.over else self.tr("On skin: cannot be judged")
        return (Check(heading, "\n".join(self._measures.say(each) for each in told), False),)

    def _say(self) -> None:
        plan = self._plan
        self.heading.say(self.tr("Practice run") if self._practice else self.tr("Before you begin"))
        mass = self._measures.mass(plan.batch_g)
        self.text.say(
            self.tr(
                "{name}, {mass}. Nothing is heated and nothing is used up: a simulated pot answers."
            ).format(name=plan.recipe.name, mass=mass)
            if self._practice
            else self.tr("{name}, {mass}. A look round now is worth more than a rescue later.").format(
                name=plan.recipe.name, mass=mass
            )
        )
        over = plan.skin.verdict == "over"
        blocked = " ".join(self._measures.say(each) for each in plan.blockers)
        self.blocked.setVisible(bool(blocked))
        self.blocked_says.say(blocked)
        self.reason_label.say(
            self.tr(
                "This balm is over a limit for skin. Give a reason: the record and every label will say so."
            )
        )
        self.reason_label.setVisible(over)
        self.reason.setVisible(over)
        self.reason.setAccessibleName(self.reason_label.text())
        self.maker_label.say(self.tr("Your initials"))
        self.maker.setAccessibleName(self.maker_label.text())
        self.code_label.say(self.tr("Batch code"))
        self.code.setAccessibleName(self.code_label.text())
        self.far.setText(self.tr("Large letters, to be read from two steps away (bench view)"))
        words = (
            self.tr("Start the practice run ({key})")
            if self._practice
            else self.tr("Start the batch ({key})")
        )
        self.begin.setText(words.format(key=BEGIN_KEY))
        self.begin.setShortcut(QKeySequence(BEGIN_KEY))
        self.begin.setEnabled(not plan.blockers)
        self.back.setText(self.tr("Back to the recipe"))
        self.tone.setText(self.tr("Play the test tone"))
        self._fill()

    def _fill(self) -> None:
        for at in reversed(range(self._grid.count())):
            item = self._grid.takeAt(at)
            widget = item.widget() if item is not None else None
            if widget is not None and widget is not self.tone:
                widget.setParent(None)
                widget.deleteLater()
        heard = len(self._skin_check())  # the row of the sound
        for at, check in enumerate(self.checks()):
            glyph = Glyph(Shape.TICK if check.well else Shape.ALERT, self)
            self._grid.addWidget(glyph, at, 0, alignment=Qt.AlignmentFlag.AlignTop)
            words = QVBoxLayout()
            words.setSpacing(0)
            holder = QWidget(self)
            holder.setLayout(words)
            words.setContentsMargins(0, 0, 0, 0)
            words.addWidget(Words(check.heading, "strong"))
            words.addWidget(Words(check.says, "body"))
            self._grid.addWidget(holder, at, 1)
            if at == heard:
                self._grid.addWidget(self.tone, at, 2)
                self.tone.setEnabled(self._sound.works)

    def _play(self) -> None:
        self._sound.play(tones.WARNING)

    def _begin(self) -> None:
        aside: tuple[SetAside, ...] = ()
        if self._plan.skin.verdict == "over":
            reason = self.reason.text().strip()
            if not reason:
                self.reason.setFocus(Qt.FocusReason.OtherFocusReason)
                return
            aside = (SetAside("", Guard.SKIN_LIMITS, reason),)
        self.started.emit(
            Start(
                self._plan,
                maker=self.maker.text().strip(),
                rehearsal=self._practice,
                seed=self._seed,
                batch_code=self.code.text().strip(),
                set_aside=aside,
            )
        )

    def refuse(self, says: str) -> None:
        """The start was not taken, and why."""
        self.blocked_says.say(says)
        self.blocked.setVisible(True)
