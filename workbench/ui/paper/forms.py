"""The three forms: labels, gift card, batch sheet."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from workbench.core.batch.label_subject import TinKind
from workbench.core.skin.label_rules import LabelPlace, rules_of
from workbench.paper.card import CardLayout
from workbench.paper.labels import BackOn
from workbench.paper.phrases import Language
from workbench.paper.sizes import FaceSize, LabelShape, PaperSize, TinSizes
from workbench.ui.context import Context
from workbench.ui.editor.panel import Form
from workbench.ui.paper.form import Choices
from workbench.ui.paper.wishes import PaperWishes
from workbench.ui.widgets.basic import Words, clear, column, row
from workbench.ui.widgets.number import NumberField, Typed

# each language in its own words, as a reader looks for it
LANGUAGES = (
    (Language.ENGLISH.value, "English"),
    (Language.GERMAN.value, "Deutsch"),
    (Language.FRENCH.value, "Français"),
    (Language.SPANISH.value, "Español"),
)


class LabelForm(QWidget):
    """changed(key, value)  a choice; sized(tin, TinSizes)  a label measured by the maker"""

    changed = Signal(str, object)
    sized = Signal(str, object)

    def __init__(self, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context = context
        read = context.writer.read_plain
        self.rules = Choices(self)
        self.rules.choice("place", self.tr("R&ules of"), [
            (LabelPlace.EU.value, self.tr("European Union")),
            (LabelPlace.UK.value, self.tr("United Kingdom")),
            (LabelPlace.US.value, self.tr("United States")),
            (LabelPlace.PRESENT.value, self.tr("a present")),
        ])  # fmt: skip
        self.asks = Words("", "muted")
        self.rules.form.add_wide(self.asks)
        self.rules.choice("language", self.tr("&Language of the label"), LANGUAGES)
        self.rules.text("maker_line", self.tr("Maker"), self.tr("name and address"))
        self.rules.text("scent_line", self.tr("Scent line"), self.tr("the oils from top to base"))
        self.rules.day("best_before", self.tr("Best before"), self.tr("by the shortest-lived lot"))
        self.rules.number("months_open", self.tr("Good after opening"), read, self.tr("months"), whole=True)
        self.untested = self.rules.tick("untested", self.tr("Say that its safety was not determined"))
        self.paper = Choices(self)
        self.paper.choice("back_on", self.tr("Small text"), [
            (BackOn.UNDERSIDE.value, self.tr("on the underside")),
            (BackOn.SIDE.value, self.tr("around the side")),
        ])  # fmt: skip
        _paper(self.paper, self.tr("P&aper"))
        for key, name, unit, whole in (
            ("columns", self.tr("Columns"), "", True),
            ("rows", self.tr("Rows"), "", True),
            ("left_mm", self.tr("Margin left"), "mm", False),
            ("top_mm", self.tr("Margin top"), "mm", False),
            ("gap_x_mm", self.tr("Gap across"), "mm", False),
            ("gap_y_mm", self.tr("Gap down"), "mm", False),
            ("start", self.tr("Begin at place"), "", True),
            ("copies", self.tr("Copies of each"), "", True),
        ):
            self.paper.number(key, name, read, unit, whole=whole)
        for key, name in (("shift_x_mm", self.tr("Shift right")), ("shift_y_mm", self.tr("Shift down"))):
            self.paper.number(key, name, context.writer.read_signed, "mm")
        self.paper.tick("cut_already", self.tr("The sheet is cut already: no marks"))
        self.sizes = column(gap=2)
        self._kinds: tuple[str, ...] = ()
        self._fields: dict[tuple[str, str], NumberField] = {}
        self._sizes_of: dict[str, TinSizes] = {}
        whole_form = column(
            self.rules.form,
            Words(self.tr("Size of the labels"), "head"),
            self.sizes,
            Words(self.tr("On the page"), "head"),
            self.paper.form,
            1,
            gap=3,
        )
        self.setLayout(whole_form)
        for choices in (self.rules, self.paper):
            choices.changed.connect(self.changed)

    def show_wishes(
        self, wishes: PaperWishes, place: LabelPlace, kinds: Sequence[tuple[TinKind, TinSizes]]
    ) -> None:
        values = {**wishes.model_dump(), "place": place.value}
        write = self._context.writer.short
        self.rules.show_values(values, write)
        self.paper.show_values(values, write)
        self.untested.setVisible(place is LabelPlace.US)
        self.asks.say(self._asks(place))
        self._show_sizes(kinds)

    def _asks(self, place: LabelPlace) -> str:
        """What the place asks for and what it leaves out, with the reason of each."""
        rules, write = rules_of(place), self._context.writer.sentence
        said = [f"– {write(rule.says)}" for rule in rules.needs]
        if rules.leaves_out:
            said += [
                self.tr("Left out:"),
                *(f"– {write(rule.says)}" for rule in rules.leaves_out),
            ]
        return "\n".join([self.tr("Asked for:"), *said])

    def _show_sizes(self, kinds: Sequence[tuple[TinKind, TinSizes]]) -> None:
        names = tuple(f"{kind.key} {sizes.lid.shape.value}" for kind, sizes in kinds)
        if names != self._kinds:
            self._kinds = names
            self._build_sizes(kinds)
        for kind, sizes in kinds:
            for key, value in _measures(sizes).items():
                self._fields[(kind.key, key)].show_text(self._context.writer.short(value, 1))

    def _build_sizes(self, kinds: Sequence[tuple[TinKind, TinSizes]]) -> None:
        clear(self.sizes)
        self._fields = {}
        titles = {
            "lid_w": self.tr("Lid, across"),
            "lid_h": self.tr("Lid, high"),
            "side_w": self.tr("Strip around the side"),
            "side_h": self.tr("Strip, high"),
        }
        for kind, sizes in kinds:
            form = Form()
            for key in _measures(sizes):
                made = NumberField(titles[key], self._context.writer.read_plain, "mm", 6)
                made.setProperty("which", (kind.key, key))
                made.recorded.connect(self._measured)
                self._fields[(kind.key, key)] = made
                form.add(titles[key], row(made, 1), made.edit)
            self.sizes.addWidget(Words(self._context.writer.sentence(kind.name), "muted"))
            self.sizes.addLayout(form)
        self._sizes_of = {kind.key: sizes for kind, sizes in kinds}

    def _measured(self, typed: Typed) -> None:
        tin, key = self.sender().property("which")
        sizes, value = self._sizes_of[tin], float(typed.value)
        if not 5 <= value <= 400:
            self._fields[(tin, key)].refuse(self.tr("Between 5 and 400 mm."))
            return
        changed = _with_measure(sizes, key, value)
        self._sizes_of[tin] = changed
        self.sized.emit(tin, changed)


def _measures(sizes: TinSizes) -> dict[str, float]:
    lid = sizes.lid
    found = {"lid_w": lid.w_mm}
    if lid.shape is LabelShape.RECTANGULAR:
        found["lid_h"] = lid.h_mm
    return {**found, "side_w": sizes.side_w_mm, "side_h": sizes.side_h_mm}


def _with_measure(sizes: TinSizes, key: str, value: float) -> TinSizes:
    """One measure changed; the underside goes with the lid."""
    if key.startswith("side"):
        return sizes.model_copy(update={f"{key}_mm": value})
    lid = sizes.lid
    if lid.shape is LabelShape.ROUND:
        face = FaceSize.round(value)
    else:
        face = lid.model_copy(update={f"{key.removeprefix('lid_')}_mm": value})
    return sizes.model_copy(update={"lid": face, "underside": face})


class CardForm(QWidget):
    changed = Signal(str, object)

    def __init__(self, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context = context
        self.choices = Choices(self)
        self.choices.choice("layout", self.tr("La&yout"), [
            (CardLayout.STILL.value, self.tr("Still: all on one axis")),
            (CardLayout.MARGIN.value, self.tr("Margin: hung from a line")),
            (CardLayout.HORIZON.value, self.tr("Horizon: the scent as a landscape")),
        ])  # fmt: skip
        self.choices.tick("folded", self.tr("Folded: two pages of A5, printed on both sides"))
        self.choices.choice("language", self.tr("&Language of the card"), LANGUAGES)
        self.choices.text("for_whom", self.tr("For"), self.tr("a name or nothing"))
        self.choices.area("words", self.tr("&Your words"))
        self.choices.text("signed", self.tr("From"))
        self.setLayout(column(self.choices.form, 1))
        self.choices.changed.connect(self.changed)

    def show_wishes(self, wishes: PaperWishes) -> None:
        self.choices.show_values(wishes.model_dump(), self._context.writer.short)


class SheetForm(QWidget):
    changed = Signal(str, object)

    def __init__(self, context: Context, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context = context
        self.choices = Choices(self)
        _paper(self.choices, self.tr("P&aper"))
        self.says = Words(
            self.tr(
                "Everything that was recorded, in the units of the window. What was corrected stays readable, struck through; what was not recorded is a blank to fill in by hand."
            ),
            "muted",
        )
        self.setLayout(column(self.choices.form, self.says, 1, gap=3))
        self.choices.changed.connect(self.changed)

    def show_wishes(self, wishes: PaperWishes) -> None:
        self.choices.show_values(wishes.model_dump(), self._context.writer.short)


def _paper(choices: Choices, name: str) -> None:
    choices.choice("paper", name, [(size.value, size.value) for size in PaperSize])
