"""On skin: the verdict, each limit with its bar, source and confidence, and what is not known."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from workbench.core.skin.notices import Notice, notices
from workbench.core.skin.verdict import LimitUse, SkinVerdict, Verdict
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.stove_page import RemedyRow
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.bar import LimitBar
from workbench.ui.widgets.basic import Words, button, clear, column, figure, row
from workbench.ui.widgets.callout import Finding
from workbench.ui.widgets.glossary import TradeWords
from workbench.ui.widgets.marks import mark, meaning, role
from workbench.ui.writing import Writer

FIRST = 6  # limits shown before "more"


class LimitRow(QWidget):
    """One limit: name and use in per cent, the bar, then numbers, source and how far to trust it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name = Words("", "strong", self)
        self.used = figure("", "strong", self)
        self.bar = LimitBar(self)
        self.numbers = Words("", "small", self)
        self.source = Words("", "muted", self)
        self.paper = Words("", "muted", self)
        self.trust = Words("", "memory", self)
        top = row(self.name, self.used)
        top.setStretch(0, 1)
        self.setLayout(column(top, self.bar, self.numbers, self.source, self.paper, self.trust, gap=1))

    def show_limit(
        self, limit: LimitUse, names: dict[str, str], w: Writer, with_source: bool = False
    ) -> None:
        over = limit.over
        self.name.say(w.sentence(limit.name), "danger" if over else "strong")
        if limit.used_percent is None:
            self.used.say(self.tr("not known"), "strong")
            self.numbers.say_or_hide(w.sentence(limit.why))
        else:
            used = f"{w.number(limit.used_percent, 0)} %" if limit.used_percent >= 1 else "< 1 %"
            self.used.say(
                self.tr("{used}, over").format(used=used) if over else used, "danger" if over else "strong"
            )
            self.numbers.say_or_hide(
                self.tr("{held} in the balm, {limit} allowed; from {materials}").format(
                    held=w.share(limit.concentration_percent or 0.0),
                    limit=w.share(limit.limit_percent or 0.0),
                    materials=", ".join(names.get(key, key) for key, _ in limit.from_materials),
                )
            )
        self.bar.setVisible(limit.used_percent is not None)
        self.bar.show_used(
            limit.used_percent,
            self.tr("{name}: {used} of the limit").format(name=limit.name, used=self.used.text()),
        )
        told = {"regime": w.sentence(limit.regime), "basis": limit.basis, "source": limit.source}
        self.source.say(
            (
                self.tr("{regime}, {basis}")
                if limit.binding
                else self.tr("{regime}, {basis}; a stricter one decides")
            ).format(**told)
        )
        self.paper.say_or_hide(
            self.tr("Source: {source}").format(**told) if with_source and limit.source else ""
        )
        self.trust.say_or_hide(mark(limit.confidence), role(limit.confidence))
        self.trust.setToolTip(meaning(limit.confidence))


class SkinPage(QWidget):
    """Refreshed once per change; rows are kept and only written anew.

    `remedy_chosen(index)`: one of the remedies shall change the recipe, in one undoable step.
    """

    remedy_chosen = Signal(int)

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.verdict = Words("", "head")
        self.why = Words("")
        self.over = Finding()
        self.remedy_head = Words("", "strong")
        self.remedy_list = column(gap=2)
        self.sums = Words("", "small")
        self.notice_head = Words(self.tr("For this wearer and this balm"), "head")
        self.notice_list = column(gap=2)
        self._notices: tuple[Notice, ...] = ()
        self.unknown = Words("", "attention")
        self._list = column(gap=4)
        self._rows: list[LimitRow] = []
        self.more = button(self.tr("Show every limit"), self._toggle, "more")
        self.more.setCheckable(True)
        self.sources = button(self.tr("Show where each limit comes from"), self._toggle, "more")
        self.sources.setCheckable(True)
        self.trade_words = TradeWords(("limit", "leave-on", "phototoxic"))
        self.papers = Words(
            self.tr(
                "These are reckonings, not a certificate. Your supplier's papers and the rules of your place come first; selling needs more than this program."
            ),
            "muted",
        )
        whole = column(
            self.verdict, self.why, self.over, self.remedy_head, self.remedy_list, self.unknown, self._list, row(self.more, self.sources, 1), self.sums,
            self.notice_head, self.notice_list, self.trade_words, self.papers, 1, gap=3,
        )  # fmt: skip
        whole.setContentsMargins(0, 0, 0, GRID_PX)
        self.setLayout(whole)

    def _toggle(self) -> None:
        self.show_recipe()

    def show_recipe(self) -> None:
        model, w = self._model, self._model.context.writer
        if model.evaluation is None:
            self.verdict.say(self.tr("Nothing to judge yet"))
            self.why.say_or_hide(w.trouble(model.trouble))
            self._show_rows([], w)
            for words in (self.sums, self.unknown):
                words.say_or_hide("")
            self.over.say("", "")
            self.show_remedies((), False)
            return
        skin = model.evaluation.skin
        self.verdict.say(verdict_words(self, skin))
        self.why.say_or_hide(
            self._for_whom(skin) if skin.over else w.sentence(skin.why) or self._for_whom(skin)
        )
        sentences = [self._over_sentence(limit, w) for limit in skin.over]
        if sentences and skin.largest_load_percent is not None:
            sentences.append(
                self.tr("With this scent, at most {share} of the balm may be scent.").format(
                    share=w.share(skin.largest_load_percent)
                )
            )
        self.over.say(self.tr("Over a limit on skin") if sentences else "", "\n".join(sentences))
        if not skin.over:
            self.show_remedies((), False)
        names = {key: material.name for key, material in model.context.catalogue.materials.items()}
        self.unknown.say_or_hide(
            "\n".join(
                self.tr("{material}, {share} of the balm: {why}").format(
                    material=names.get(u.material, u.material),
                    share=w.share(u.share_percent),
                    why=w.sentence(u.why),
                )
                for u in skin.unknown
            )
        )
        sums: list[str] = []
        if skin.phototoxic_sum_percent is not None and skin.phototoxic_sum_percent > 0:
            sums.append(
                self.tr("Oils that burn in the sun, together: {share} of what is allowed.").format(
                    share=f"{w.number(skin.phototoxic_sum_percent, 0)} %"
                )
            )
        if skin.bergapten_ppm is not None:
            sums.append(
                self.tr("Bergapten: {ppm} ppm of at most 15.").format(ppm=w.short(skin.bergapten_ppm, 2))
            )
        self.sums.say_or_hide("\n".join(sums))
        ordered = sorted(
            skin.limits,
            key=lambda one: (not one.binding, -(one.used_percent if one.used_percent is not None else -1)),
        )
        self._show_rows(ordered, w, names)
        self._show_notices()

    def _show_rows(self, limits: list[LimitUse], w: Writer, names: dict[str, str] | None = None) -> None:
        every = self.more.isChecked()
        shown = limits if every else [limit for limit in limits if limit.binding][:FIRST]
        self.sources.setVisible(bool(limits))
        self.more.setVisible(len(limits) > len(shown) or every)
        self.more.setText(
            self.tr("Show the tightest only") if every else self.tr("Show all %n limits", "", len(limits))
        )
        while len(self._rows) < len(shown):
            made = LimitRow(self)
            self._rows.append(made)
            self._list.addWidget(made)
        for index, made in enumerate(self._rows):
            if index < len(shown):
                made.show_limit(shown[index], names or {}, w, self.sources.isChecked())
            if made.isHidden() == (index < len(shown)):
                made.setVisible(index < len(shown))

    def _show_notices(self) -> None:
        """Cautions that the brief or the recipe give cause for, in the words of the tables."""
        model = self._model
        catalogue, recipe = model.context.catalogue, model.recipe
        chosen = {line.lot for line in recipe.base} | {line.lot for line in recipe.scent}
        lots = [lot for lot in model.context.shelf.lots if lot.key in chosen]
        assert model.evaluation is not None
        found = notices(
            recipe.brief, model.evaluation.weighed.composition, catalogue, model.context.today(), lots
        )
        if found == self._notices:
            return
        self._notices = found
        clear(self.notice_list)
        w = model.context.writer
        for one in found:
            caution = catalogue.cautions.get(one.key)
            if caution is None:
                continue
            row_made = NoticeRow(
                w.sentence(caution.hazard), w.sentence(caution.what_to_do), w.sentence(one.because)
            )
            self.notice_list.addWidget(row_made)
        self.notice_head.setVisible(bool(found))

    def show_remedies(self, remedies: tuple[tuple[str, str], ...], searching: bool) -> None:
        """Remedies as (what to do, what it does to the scent), the one that leaves most of it first."""
        clear(self.remedy_list)
        self.remedy_head.say_or_hide(
            self.tr("Looking for what brings it within …")
            if searching
            else self.tr("What brings it within")
            if remedies
            else ""
        )
        for index, (what, effect) in enumerate(remedies):
            self.remedy_list.addWidget(RemedyRow(index, what, effect, True, self.remedy_chosen.emit))

    def _over_sentence(self, limit: LimitUse, w: Writer) -> str:
        return self.tr("{name}: {held} in the balm, {limit} is the most.").format(
            name=w.sentence(limit.name),
            held=w.share(limit.concentration_percent or 0.0),
            limit=w.share(limit.limit_percent or 0.0),
        )

    def _for_whom(self, skin: SkinVerdict) -> str:
        return self.tr(
            "Judged in category {categories}, by the rules of {place} and the industry standard."
        ).format(categories=", ".join(skin.categories), place=skin.place.value)


class NoticeRow(QWidget):
    """What to mind, what to do about it, and why it is said here."""

    def __init__(self, hazard: str, what_to_do: str, because: str) -> None:
        super().__init__()
        self.setLayout(column(Words(hazard, "strong"), Words(what_to_do), Words(because, "muted"), gap=1))


def verdict_words(widget: QWidget, skin: SkinVerdict) -> str:
    """The verdict in one line; a material without data is never counted as safe."""
    if skin.verdict is Verdict.OVER:
        return widget.tr("Over a limit")
    if skin.verdict is Verdict.UNKNOWN:
        return widget.tr("Cannot be judged")
    return widget.tr("Within every known limit")
