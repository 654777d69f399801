"""How heavy the drops of one bottle are: counted onto a scale, weighed, kept with the bottle."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.recipe.densities import density_of
from workbench.core.review.drop_test import Drops, weigh_drops
from workbench.core.review.learned import with_drops
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.shelf.guide import GuideSheet


class DropTestSheet(GuideSheet):
    """`keep_shelf` saves a shelf and answers with "" or why not."""

    def __init__(
        self, context: Context, lot: str, keep_shelf: Callable[[Shelf], str], parent: QWidget
    ) -> None:
        self._lot, self._keep_shelf = lot, keep_shelf
        self._drops: Drops | None = None
        super().__init__(context, "", "", parent)
        held = self._held()
        material = context.catalogue.materials.get(held.material) if held is not None else None
        self.say_head(
            self.tr("Weigh drops of {oil}").format(oil=material.name if material is not None else lot),
            self.tr(
                "Every dropper gives another drop. Count once, and recipes in drops are right for this bottle."
            ),
        )
        self.caution("neat_oils")
        self.step(
            self.tr(
                "Stand the little glass of your scent on the finest scale and set it to zero. Hold the bottle as you always do and let drops fall: twenty or more. Type how many."
            ),
            self.field("count", self.tr("Drops"), context.writer.read_plain, self.tr("drops")),
        )
        self.step(self.tr("Type what the scale shows."), self.mass("mass", self.tr("They weigh")))
        self.finish()

    def _held(self) -> Lot | None:
        return next((one for one in self._context.shelf.lots if one.key == self._lot), None)

    def _readability_g(self) -> float:
        return min((one.readability_g for one in self._context.shelf.scales), default=0.1)

    def reckon(self) -> tuple[str, str, bool]:
        w, held, typed = self._context.writer, self._held(), self.values
        self._drops = None
        if held is None:
            return self.tr("This bottle is no longer on the shelf."), "", False
        if "count" not in typed or "mass" not in typed:
            return "", self.tr("The result stands here once both are typed."), False
        try:
            self._drops = weigh_drops(
                typed["count"],
                typed["mass"],
                self._readability_g(),
                density_of(held.material, self._context.catalogue.materials),
            )
        except Trouble as trouble:
            return w.trouble(trouble), "", False
        return w.sentence(self._drops.says), " ".join(w.sentence(text) for text in self._drops.more), True

    def keep(self) -> str:
        found = self._drops
        if found is None:
            return ""
        shelf = with_drops(
            self._context.shelf,
            self._lot,
            found.count,
            found.mass_g,
            found.readability_g,
            self._context.today(),
        )
        return self._keep_shelf(shelf)
