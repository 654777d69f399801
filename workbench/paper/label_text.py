"""The texts of a label in one language, part by part."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbench.core.batch.label_content import LabelContent
from workbench.core.batch.label_subject import TinKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.skin.durability import DurabilityKind
from workbench.core.skin.label_rules import Height, LabelPlace, Part, least_height
from workbench.core.skin.net_weight import NetWeight, net_weight
from workbench.paper.phrases import HARD_SPACE, Phrases
from workbench.paper.scene import Face
from workbench.paper.setting import DOT, Para, Run


@dataclass(frozen=True, slots=True)
class Areas:
    """Of the tin: the face that is shown, and everything that could carry a label, in mm2."""

    front_mm2: float
    label_mm2: float


@dataclass(frozen=True, slots=True)
class LabelText:
    """What is printed, with the least height of its type."""

    name: str
    function: str
    scent: str
    net: NetWeight
    net_text: str  # "" where it is left out
    paras: tuple[Para, ...]  # the back: what is in it first
    short: tuple[Para, ...]  # the back where the rest is on a tag
    jar_months: str  # inside the drawing of the open jar; "" where there is none
    mark: str  # "Draft ...", "Over its limit ..." or ""
    heights: dict[Part, Height]

    def least_mm(self, part: Part) -> float:
        return self.heights[part].mm


def label_text(
    content: LabelContent, tin: TinKind, areas: Areas, phrases: Phrases, catalogue: Catalogue, scent_line: str
) -> LabelText:
    """All texts for the tins of one kind; `scent_line` is the maker's own, or "" for ours."""
    words = phrases.label
    net = net_weight(content.place, tin.content_g, decimal_comma=phrases.decimal_comma)
    heights = {
        part: least_height(
            content.place,
            part,
            net_g=net.declared_g,
            front_mm2=areas.front_mm2,
            label_mm2=areas.label_mm2,
        )
        for part in Part
    }
    net_text = net.text if content.prints(Part.NET_WEIGHT) else ""
    ingredients = _ingredients(content, phrases, catalogue, heights)
    precautions = _precautions(content, phrases, heights)
    traces = _traces(content, phrases)
    maker = _maker(content, phrases, heights)
    least = heights[Part.BATCH].mm
    together = [Para.of(f" {DOT} ".join(traces.values()), least, "traces")] if traces else []
    drawn = content.prints(Part.DURABILITY) and content.durability.kind is DurabilityKind.OPEN_JAR
    apart = [
        replace(Para.of(said, least, key), space_before=0.27 if at else 0.55)
        for at, (key, said) in enumerate(traces.items())
        if not (drawn and key == "lasts")  # the open jar says it
    ]
    over = [Para((Run(words.over, Face.BOLD),), least, "over")] if content.over else []
    see_tag = Para.of(words.see_tag, heights[Part.INGREDIENTS].mm, "see tag")
    return LabelText(
        name=content.subject.recipe.name,
        function=phrases.use.of(content.uses[0]),
        scent=(scent_line.strip() or scent_words(content, phrases, catalogue))
        if content.prints(Part.SCENT)
        else "",
        net=net,
        net_text=words.net.format(mass=net_text) if net_text else "",
        paras=(*over, *ingredients, *precautions, *maker, *together),
        short=(*over, *maker, *apart, see_tag),
        jar_months=words.jar.format(months=content.durability.months_open) if drawn else "",
        mark="" if content.final else words.over if content.over else words.draft,
        heights=heights,
    )


def scent_words(content: LabelContent, phrases: Phrases, catalogue: Catalogue) -> str:
    """What it smells of, from top to base, each name once."""
    names = dict.fromkeys(phrases.material(catalogue.material(key)) for _, key in content.scent)
    return f" {DOT} ".join(name.replace(" ", HARD_SPACE) for name in names)


def _ingredients(
    content: LabelContent, phrases: Phrases, catalogue: Catalogue, heights: dict[Part, Height]
) -> list[Para]:
    least = heights[Part.INGREDIENTS].mm
    if content.place is not LabelPlace.PRESENT:
        listed = content.ingredients
        return [_headed(f"{listed.heading}:", ", ".join(listed.names), least, "ingredients")]
    words = phrases.label
    base: list[str] = []
    scent: list[str] = []
    for key in content.plain:
        material = catalogue.material(key)
        (scent if material.kind.is_scent else base).append(phrases.material(material))
    paras = [_headed(f"{words.contains}:", ", ".join(dict.fromkeys(base)), least, "ingredients")]
    if scent:
        paras.append(_headed(f"{words.scented_with}:", ", ".join(dict.fromkeys(scent)), least, "scent"))
    allergens = [name.label_name for name in content.ingredients.allergens.declared]
    if allergens:
        paras.append(_headed(f"{words.allergens}:", ", ".join(allergens), least, "allergens"))
    return paras


def _precautions(content: LabelContent, phrases: Phrases, heights: dict[Part, Height]) -> list[Para]:
    least = heights[Part.PRECAUTIONS].mm
    said = " ".join(phrases.precautions[key] for key in content.precautions)
    paras = [Para.of(said, least, "precautions")]
    if content.untested:
        paras.append(Para((Run(phrases.label.untested, Face.BOLD),), least, "untested"))
    return paras


def _traces(content: LabelContent, phrases: Phrases) -> dict[str, str]:
    """Dates and batch code; a blank to fill in by hand where nothing is known."""
    words, lasting = phrases.label, content.durability
    said = {}
    if content.prints(Part.DURABILITY):
        blank = f"{words.best_before_blank}{HARD_SPACE}{'_' * 9}"
        said["lasts"] = phrases.lasts(lasting, content.place) or blank
    if content.prints(Part.MADE_ON) and content.subject.made_on is not None:
        said["made"] = words.made.format(date=phrases.date(content.subject.made_on, content.place))
    if content.prints(Part.BATCH) and content.subject.batch_code:
        said["batch"] = words.batch.format(code=content.subject.batch_code.replace(" ", HARD_SPACE))
    return said


def _maker(content: LabelContent, phrases: Phrases, heights: dict[Part, Height]) -> list[Para]:
    if not content.prints(Part.MAKER):
        return []
    least = heights[Part.MAKER].mm
    blank = f"{phrases.label.maker_blank}{HARD_SPACE}{'_' * 18}"
    return [Para.of(content.maker_line or blank, least, "maker")]


def _headed(head: str, text: str, least_mm: float, key: str) -> Para:
    return Para((Run(head, Face.BOLD), Run(text)), least_mm, key)
