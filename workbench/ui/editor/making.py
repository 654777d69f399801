"""How much is made and with what: tins, vessel, heat, premix, the margin to the flash point."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QButtonGroup, QCheckBox, QRadioButton, QToolButton, QWidget

from workbench.core.catalogue.model import MaterialKind
from workbench.core.recipe import change
from workbench.core.recipe.model import Heat, Recipe, TinCount
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.panel import Form, RecipePanel
from workbench.ui.theme import as_role
from workbench.ui.widgets.basic import Words, column, row
from workbench.ui.widgets.choose import ChooseBox
from workbench.ui.widgets.number import NumberField, Typed


class TinRow(QWidget):
    """One kind of tin and how many of it."""

    def __init__(self, panel: SizePanel, index: int) -> None:
        super().__init__(panel)
        self.count = NumberField(self.tr("How many tins"), panel.read_count, "×", 4, self)
        self.tin = ChooseBox(self.tr("Tin"), self, 12)
        self.remove = QToolButton(self)
        self.remove.setText(self.tr("Leave out"))
        self.remove.setAccessibleName(self.tr("Leave this tin out"))
        as_role(self.remove, "quiet")
        self.fill = Words("", "muted", self)
        line = row(self.count, self.tin, self.remove)
        line.setStretch(1, 1)
        self.setLayout(column(line, self.fill, gap=0))
        for widget in (self.count, self.tin, self.remove):
            widget.setProperty("index", index)


class SizePanel(RecipePanel):
    """Batch size from tins and count with what stays in the jug, or a plain mass."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("How much"))
        self.by_tins = QRadioButton(self.tr("Fill tins"))
        self.by_mass = QRadioButton(self.tr("A mass"))
        self.group = QButtonGroup(self)
        self.group.addButton(self.by_tins)
        self.group.addButton(self.by_mass)
        self.by_tins.toggled.connect(self._mode)
        self.mass = NumberField(self.tr("Mass of the batch"), model.context.read_mass, "", 7)
        self.mass.recorded.connect(self._mass)
        self.tins = column(gap=2)
        self._rows: list[TinRow] = []
        self.adder = ChooseBox(self.tr("Add a kind of tin"), self, 12)
        self.adder.setPlaceholderText(self.tr("Add a kind of tin"))
        self.adder.chosen.connect(self._add)
        self.allowance = NumberField(self.tr("Allowance for the jug"), model.context.read_plain, "%", 5)
        self.allowance.recorded.connect(self._allow)
        self.tin_part = QWidget()
        form = Form()
        form.add(self.tr("Stays in the jug"), row(self.allowance, 1), self.allowance.edit)
        self.tin_part.setLayout(column(self.tins, row(self.adder, 1), form, gap=2))
        self.result = Words("", "body")
        self.body.addLayout(row(self.by_tins, self.by_mass, self.mass, 1, gap=4))
        self.body.addWidget(self.tin_part)
        self.body.addWidget(self.result)
        self.body.addWidget(self.fault)
        self.explain("jug allowance", "fill line")
        self._showing = False

    def read_count(self, text: str) -> float:
        value = self.writer.read_plain(text)
        if value != int(value) or value < 1:
            raise Trouble(say("Count whole tins, 1 or more."))
        return value

    def show_recipe(self) -> None:
        size, w = self.model.recipe.size, self.writer
        evaluation = self.model.evaluation
        self._showing = True
        by_tins = bool(size.tins)
        (self.by_tins if by_tins else self.by_mass).setChecked(True)
        self.tin_part.setVisible(by_tins)
        self.mass.setVisible(not by_tins)
        self.mass.show_unit(w.mass_unit)
        if size.mass_g is not None:
            self.mass.show_text(w.mass_text(size.mass_g))
        names = [(tin.key, tin.name) for tin in self.model.context.shelf.tins]
        self.by_tins.setEnabled(bool(names))
        while len(self._rows) > len(size.tins):
            gone = self._rows.pop()
            self.tins.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        while len(self._rows) < len(size.tins):
            made = TinRow(self, len(self._rows))
            made.count.recorded.connect(self._count)
            made.tin.chosen.connect(self._tin)
            made.remove.clicked.connect(self._remove)
            self.tins.addWidget(made)
            self._rows.append(made)
        fills = {fill.tin: fill for fill in evaluation.weighed.tins} if evaluation is not None else {}
        for made, wanted in zip(self._rows, size.tins, strict=True):
            made.tin.offer(names)
            made.tin.show_key(wanted.tin)
            made.count.show_text(str(wanted.count))
            fill = fills.get(wanted.tin)
            made.fill.say_or_hide(
                ""
                if fill is None
                else self.tr("{mass} in each, {volume} mL to the line").format(
                    mass=w.grams(fill.fill_g), volume=w.short(fill.volume_ml, 1)
                )
            )
        used = {wanted.tin for wanted in size.tins}
        self.adder.offer([entry for entry in names if entry[0] not in used])
        self.adder.setCurrentIndex(-1)
        self.adder.setVisible(self.adder.count() > 0)
        self.allowance.show_text(w.short(size.jug_allowance_percent, 1))
        if evaluation is None:
            self.result.say_or_hide("")
        else:
            weighed = evaluation.weighed
            self.result.say_or_hide(
                self.tr("{mass} in all: {base} base and {scent} scent.").format(
                    mass=w.grams(weighed.batch_g, 1),
                    base=w.grams(weighed.base_g, 1),
                    scent=w.grams(weighed.scent_g, 2),
                )
            )
        self._showing = False

    def _set(self, change_of: Callable[[Recipe], Recipe]) -> None:
        self.edit(self.tr("how much"), change_of)
        self.show_recipe()

    def _set_tins(self, tins: tuple[TinCount, ...]) -> None:
        self._set(lambda recipe: change.set_tins(recipe, [(row.tin, row.count) for row in tins]))

    def _mode(self, _on: bool) -> None:
        if self._showing:
            return
        size, evaluation = self.model.recipe.size, self.model.evaluation
        if self.by_tins.isChecked() and not size.tins:
            tins = self.model.context.shelf.tins
            if tins:
                self._set_tins((TinCount(tin=tins[0].key, count=1),))
        elif self.by_mass.isChecked() and size.mass_g is None:
            mass = round(evaluation.weighed.batch_g, 1) if evaluation is not None else 60.0
            self._set(lambda recipe: change.set_mass(recipe, max(mass, 1.0)))

    def _mass(self, typed: Typed) -> None:
        value = float(typed.value)
        if not 0 < value <= 20_000:
            self.mass.refuse(self.tr("Type a mass of more than nothing, up to 20 kg."))
            return
        self._set(lambda recipe: change.set_mass(recipe, value))

    def _allow(self, typed: Typed) -> None:
        value = float(typed.value)
        if value > 50:
            self.allowance.refuse(self.tr("Type 50 % or less."))
            return
        self._set(lambda recipe: change.set_jug_allowance(recipe, value))

    def _changed_tins(self, tins: tuple[TinCount, ...]) -> None:
        if tins:
            self._set_tins(tins)
        else:
            self.by_mass.setChecked(True)

    def _index(self) -> int:
        sender = self.sender()
        return int(sender.property("index"))

    def _count(self, typed: Typed) -> None:
        index, tins = self._index(), list(self.model.recipe.size.tins)
        tins[index] = TinCount(tin=tins[index].tin, count=int(typed.value))
        self._changed_tins(tuple(tins))

    def _tin(self, key: str) -> None:
        index, tins = self._index(), list(self.model.recipe.size.tins)
        if any(other.tin == key for i, other in enumerate(tins) if i != index):
            self.fault.say_or_hide(self.tr("This tin is in the list already. Raise its number instead."))
            self.show_recipe()
            return
        tins[index] = TinCount(tin=key, count=tins[index].count)
        self._changed_tins(tuple(tins))

    def _remove(self) -> None:
        index, tins = self._index(), list(self.model.recipe.size.tins)
        del tins[index]
        self._changed_tins(tuple(tins))

    def _add(self, key: str) -> None:
        self._changed_tins((*self.model.recipe.size.tins, TinCount(tin=key, count=1)))


class HeatPanel(RecipePanel):
    """Water bath or microwave, the jug, the thermometer, the premix, what was observed."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(model, "", "", parent)
        self.rename(self.tr("Heat"))
        read, unit = model.context.read_degrees, self.writer.heat_unit
        self.bath = QRadioButton(self.tr("Water bath"))
        self.oven = QRadioButton(self.tr("Microwave, in bursts"))
        self.group = QButtonGroup(self)
        self.group.addButton(self.bath)
        self.group.addButton(self.oven)
        self.bath.toggled.connect(self._heat)
        self.vessel = ChooseBox(self.tr("Jug"), self, 14)
        self.vessel.chosen.connect(self._vessel)
        self.microwave = ChooseBox(self.tr("Which microwave"), self, 14)
        self.microwave.chosen.connect(self._microwave)
        self.thermometer = ChooseBox(self.tr("Thermometer"), self, 14)
        self.thermometer.chosen.connect(self._thermometer)
        self.premix = QCheckBox(self.tr("Mix the scent into held-back carrier oil first"))
        self.premix.toggled.connect(self._premix_on)
        self.carrier = ChooseBox(self.tr("Carrier held back"), self, 12)
        self.carrier.chosen.connect(self._premix_changed)
        self.held_back = NumberField(self.tr("Share held back"), model.context.read_plain, "%", 5)
        self.held_back.recorded.connect(self._premix_changed)
        self.warmed = NumberField(self.tr("Premix warmed to"), read, unit, 6)
        self.warmed.recorded.connect(self._premix_changed)
        self.warmed.left_empty.connect(self._premix_changed)
        self.margin = ChooseBox(self.tr("Margin to the flash point"), self, 14)
        self.margin.chosen.connect(self._margin)
        self.set_point = NumberField(self.tr("Set point seen by you"), read, unit, 6)
        self.set_point.set_hint(self.tr("not yet"))
        self.set_point.recorded.connect(self._set_point)
        self.set_point.left_empty.connect(self._no_set_point)
        self.paper = NumberField(self.tr("Flash point on the paper"), read, unit, 6)
        self.paper.set_hint(self.tr("none"))
        self.paper.recorded.connect(self._paper)
        self.paper.left_empty.connect(self._no_paper)
        self.premix_part = QWidget()
        below = Form()
        below.add(self.tr("Held back"), row(self.held_back, self.carrier), self.held_back.edit)
        below.add(
            self.tr("Warmed to"),
            row(self.warmed, Words(self.tr("leave empty for room temperature"), "muted")),
            self.warmed.edit,
        )
        self.premix_part.setLayout(below)
        form = Form()
        form.add_wide(row(self.bath, self.oven, 1, gap=4))
        form.add(self.tr("&Jug"), self.vessel)
        self.microwave_label = form.add(self.tr("Which microwave"), self.microwave)
        form.add(self.tr("&Thermometer"), self.thermometer)
        form.add(self.tr("Add scent below"), self.margin)
        form.add(
            self.tr("Set point seen by you"),
            row(self.set_point, Words(self.tr("wins over the computed one"), "muted")),
            self.set_point.edit,
        )
        form.add(
            self.tr("Flash point on the supplier's paper"),
            row(self.paper, Words(self.tr("of a bought blend, the lowest reading"), "muted")),
            self.paper.edit,
        )
        form.add_wide(self.premix)
        form.add_wide(self.premix_part)
        self.body.addLayout(form)
        self.body.addWidget(self.fault)
        self.explain("water bath", "bursts", "margin", "set point", "flash point", "premix")
        self._showing = False

    def show_recipe(self) -> None:
        recipe, shelf, w = self.model.recipe, self.model.context.shelf, self.writer
        self._showing = True
        (self.bath if recipe.heat is Heat.WATER_BATH else self.oven).setChecked(True)
        any_one = ("", self.tr("not chosen"))
        self.vessel.offer([any_one, *((v.key, v.name) for v in shelf.vessels)])
        self.vessel.show_key(recipe.vessel)
        self.microwave.offer([any_one, *((m.key, m.name) for m in shelf.microwaves)])
        self.microwave.show_key(recipe.microwave)
        for widget in (self.microwave, self.microwave_label):
            widget.setVisible(recipe.heat is Heat.MICROWAVE)
        only = shelf.thermometer_for(None)
        nobodys = any_one if only is None else ("", self.tr("the only one: {name}").format(name=only.name))
        self.thermometer.offer([nobodys, *((t.key, t.name) for t in shelf.thermometers)])
        self.thermometer.show_key(recipe.thermometer)
        margins = sorted({5.0, 10.0, 15.0, recipe.flash_margin_k})
        self.margin.offer([(str(k), self._margin_text(k)) for k in margins])
        self.margin.show_key(str(recipe.flash_margin_k))
        for field, value in (
            (self.set_point, recipe.observed_set_point_c),
            (self.paper, recipe.blend_flash_on_paper_c),
            (self.warmed, recipe.premix.warmed_to_c if recipe.premix else None),
        ):
            field.show_unit(w.heat_unit)
            field.show_text("" if value is None else w.heat_text(value))
        carriers = [
            (line.material, self.model.context.catalogue.materials[line.material].name)
            for line in recipe.base
            if line.material in self.model.context.catalogue.materials
        ]
        self.carrier.offer(carriers)
        self.premix.setChecked(recipe.premix is not None)
        self.premix.setEnabled(bool(carriers))
        self.premix_part.setVisible(recipe.premix is not None)
        if recipe.premix is not None:
            self.carrier.show_key(recipe.premix.carrier)
            self.held_back.show_text(w.short(recipe.premix.share_of_carrier_percent, 1))
        self._showing = False

    def _margin_text(self, kelvins: float) -> str:
        text = self.writer.kelvins(kelvins)
        if kelvins == 5:
            return self.tr("flash point less {margin}, the least").format(margin=text)
        if kelvins == 15:
            return self.tr("flash point less {margin}, published practice for mixtures").format(margin=text)
        return self.tr("flash point less {margin}").format(margin=text)

    def _heat(self, _on: bool) -> None:
        if self._showing:
            return
        heat = Heat.WATER_BATH if self.bath.isChecked() else Heat.MICROWAVE
        self.edit(self.tr("way of heating"), lambda recipe: change.set_heat(recipe, heat))
        self.show_recipe()

    def _vessel(self, key: str) -> None:
        self.edit(self.tr("jug"), lambda recipe: change.set_equipment(recipe, vessel=key))
        self.show_recipe()

    def _microwave(self, key: str) -> None:
        self.edit(self.tr("microwave"), lambda recipe: change.set_equipment(recipe, microwave=key))

    def _thermometer(self, key: str) -> None:
        self.edit(self.tr("thermometer"), lambda recipe: change.set_equipment(recipe, thermometer=key))

    def _margin(self, key: str) -> None:
        self.edit(self.tr("margin"), lambda recipe: change.set_flash_margin(recipe, float(key)))

    def _set_point(self, typed: Typed) -> None:
        self.edit(
            self.tr("set point seen"),
            lambda recipe: change.set_observed_set_point(recipe, float(typed.value)),
        )

    def _no_set_point(self) -> None:
        self.edit(self.tr("set point seen"), lambda recipe: change.set_observed_set_point(recipe, None))

    def _paper(self, typed: Typed) -> None:
        self.edit(
            self.tr("flash point on paper"),
            lambda recipe: change.set_paper_flash_point(recipe, float(typed.value)),
        )

    def _no_paper(self) -> None:
        self.edit(self.tr("flash point on paper"), lambda recipe: change.set_paper_flash_point(recipe, None))

    def _premix_on(self, on: bool) -> None:
        if self._showing:
            return
        if on:
            last = self._likely_carrier()
            self.edit(self.tr("premix"), lambda recipe: change.set_premix(recipe, last, 50))
        else:
            self.edit(self.tr("premix"), change.remove_premix)
        self.show_recipe()

    def _premix_changed(self, _what: object = None) -> None:
        held = self.model.recipe.premix
        if held is None or self._showing:
            return
        try:
            share = self.writer.read_plain(self.held_back.edit.text())
            warmed_text = self.warmed.edit.text().strip()
            warmed = self.writer.read_degrees(warmed_text) if warmed_text else None
        except Trouble as trouble:
            self.fault.say_or_hide(self.writer.sentence(trouble.says))
            return
        carrier = self.carrier.key() or held.carrier
        self.edit(self.tr("premix"), lambda recipe: change.set_premix(recipe, carrier, share, warmed))

    def _likely_carrier(self) -> str:
        """The last carrier oil of the base; whatever stands last where there is none."""
        keys = [line.material for line in self.model.recipe.base]
        materials = self.model.context.catalogue.materials
        oils = [key for key in keys if key in materials and materials[key].kind is MaterialKind.CARRIER]
        return (oils or keys)[-1]
