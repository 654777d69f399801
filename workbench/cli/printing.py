"""What `balmbook check` prints for people."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.table import Table
from rich.text import Text

from workbench.core.catalogue.model import Confidence
from workbench.core.design.evaluation import Evaluation
from workbench.core.design.remedies import Remedy
from workbench.core.heat.window import Reckoned
from workbench.core.skin.verdict import LimitUse, Verdict
from workbench.core.wording import Count, say

_WORTH_SHOWING_PERCENT = 5.0  # limits used less than this are only counted


def print_check(evaluation: Evaluation, remedies: Iterable[Remedy], console: Console | None = None) -> None:
    """Amounts, skin, fire and window, allergens and cost of one recipe."""
    out = console or Console()
    weighed = evaluation.weighed
    out.rule(Text(f"{evaluation.recipe.name}: {weighed.batch_g:.1f} g"), align="left")
    out.print(_amounts(evaluation))
    for note in weighed.notes:
        out.print(f"  {note}")
    for line in weighed.lines:
        if not line.weighable:
            out.print(f"  {line.name}: no scale at hand weighs this to 5 %.")
            for way in line.ways_out:
                out.print(f"    - {way.says}")
    _print_skin(evaluation, out)
    _print_temperatures(evaluation, remedies, out)
    names = ", ".join(declared.label_name for declared in evaluation.allergens)
    out.print(Text.assemble(("Allergens to declare: ", "bold"), names or "none"))
    cost = weighed.cost
    if cost.amount is None:
        out.print(Text.assemble(("Cost: ", "bold"), f"not known. {cost.why}"))
    else:
        out.print(Text.assemble(("Cost: ", "bold"), f"{cost.amount:.2f} {cost.currency}"))
    out.print("Follow your supplier's papers and local rules; selling needs more than this program.")
    out.print()


def _amounts(evaluation: Evaluation) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for title, justify in (
        ("material", "left"),
        ("as meant", "left"),
        ("weigh", "right"),
        ("share", "right"),
        ("scale error", "right"),
    ):
        table.add_column(title, justify=justify)  # type: ignore[arg-type]
    for line in evaluation.weighed.lines:
        error = "" if line.error_percent is None else f"{line.error_percent:.1f} %"
        digits = 2 if line.readability_g is None or line.readability_g < 0.1 else 1
        table.add_row(
            line.name,
            line.as_meant,
            f"{line.weigh_g:.{digits}f} g",
            f"{line.share_percent:.2f} %",
            error,
        )
    return table


def _print_skin(evaluation: Evaluation, out: Console) -> None:
    skin = evaluation.skin
    words = {
        Verdict.WITHIN: "within every limit that is known here",
        Verdict.OVER: "OVER a limit",
        Verdict.UNKNOWN: "unknown",
    }
    where = f"{', '.join(use.value for use in evaluation.recipe.uses)}, {evaluation.recipe.place.value}"
    out.print(Text.assemble(("Skin: ", "bold"), f"{words[skin.verdict]} ({where})"))
    if skin.why:
        out.print(f"  {skin.why}")
    shown = [limit for limit in skin.limits if (limit.used_percent or 0) >= _WORTH_SHOWING_PERCENT]
    for limit in shown:
        out.print(_limit(limit))
    if len(shown) < len(skin.limits):
        out.print(
            say(
                "  {count} more limits are used to less than 5 % or carry no number.",
                "  {count} more limit is used to less than 5 % or carries no number.",
                count=Count(len(skin.limits) - len(shown)),
            )
        )
    if skin.phototoxic_sum_percent is not None:
        out.print(f"  Phototoxic oils together: {skin.phototoxic_sum_percent:.0f} % of what is allowed.")
    for unknown in skin.unknown:
        out.print(f"  {unknown.material}: {unknown.why}")
    if skin.verdict is Verdict.OVER and skin.largest_load_percent is not None:
        out.print(f"  The largest fragrance load that would pass: {skin.largest_load_percent:.2f} %")


def _limit(limit: LimitUse) -> str:
    used = "" if limit.used_percent is None else f"{limit.used_percent:.0f} % used"
    mark = " (from memory, not verified)" if limit.confidence is Confidence.MEMORY else ""
    amount = "" if limit.concentration_percent is None else f"{limit.concentration_percent:.4f} %"
    allowed = "" if limit.limit_percent is None else f" of {limit.limit_percent:g} %"
    aside = "" if limit.binding else ", a stricter one decides"
    return f"  {limit.name}: {amount}{allowed}, {used}{aside}; {limit.basis}{mark}"


def _print_temperatures(evaluation: Evaluation, remedies: Iterable[Remedy], out: Console) -> None:
    temperatures = evaluation.temperatures
    title = {True: "open", False: "EMPTY", None: "cannot be known"}[temperatures.open]
    out.print(Text.assemble(("Window for the fragrance: ", "bold"), title))
    rows: tuple[tuple[str, Reckoned], ...] = (
        ("set point", temperatures.set_point),
        ("pour floor", temperatures.pour_floor),
        ("melt-out", temperatures.melt_out),
        ("melt ceiling", temperatures.melt_ceiling),
        ("neat flash point", temperatures.neat_flash),
        ("flash-safe", temperatures.flash_safe),
        ("scented ceiling", temperatures.scented_ceiling),
    )
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(justify="left")
    table.add_column(justify="right")
    table.add_column()
    for name, value in rows:
        shown = "?" if value.celsius is None else f"{value.celsius:.1f} °C"
        table.add_row(f"  {name}", shown, str(value.how or value.why))
    out.print(table)
    for remedy in remedies:
        opens = "opens the window" if remedy.opens else "helps, but does not open it"
        out.print(f"  - {remedy.says} ({opens}; {remedy.costs})")
