"""Every window and every kind of step, each a function that puts the stage into it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.gallery import keeping_scenes as keeping
from tests.gallery import past_scenes, wear_scenes
from tests.gallery.stage import Stage
from tests.ui.editor.kitchen import OPEN, SHUT
from workbench.core.batch import commands as ask
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan
from workbench.ui.paper.works import What
from workbench.ui.recipe_works import blank_recipe


@dataclass(frozen=True, slots=True)
class Scene:
    """`far`: it can be drawn in the bench view as well."""

    name: str
    put: Callable[[Stage], None]
    far: bool = False


# the recipe and what follows from it


def first(stage: Stage) -> None:
    stage.window.show_page("")


def way_round(at: int) -> Callable[[Stage], None]:
    """The short way round for a newcomer, at one of its looks."""

    def put(stage: Stage) -> None:
        stage.house._practise_first()
        stage.house._first_steps._go(at)

    return put


def empty_recipe(stage: Stage) -> None:
    stage.kitchen(blank_recipe("A new balm", stage.house.context.catalogue))
    stage.card("stove")
    stage.house.workplace._show_recipe()


def open_window(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("stove")


def brief_open(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.house.workplace.editor.brief.toggle.setChecked(True)
    stage.house.workplace.editor.brief._toggle()
    stage.card("stove")
    stage.house.workplace._show_recipe()


def no_window(stage: Stage) -> None:
    stage.kitchen(SHUT)
    stage.house.workplace.editor.brief.toggle.setChecked(False)
    stage.house.workplace.editor.brief._toggle()
    stage.card("stove")


def over_limit(stage: Stage) -> None:
    stage.kitchen(SHUT)
    stage.card("skin")


def skin(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("skin")


def steps(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("steps")


def label(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("label")


def scent(key: str) -> Callable[[Stage], None]:
    def put(stage: Stage) -> None:
        stage.kitchen(OPEN)
        stage.card("scent")
        page = stage.house.workplace.answers.scent
        assert page is not None
        page.go_to(key)
        stage.settle()

    return put


def recipe_below(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("label")
    stage.house.workplace._show_recipe()
    bar = stage.house.workplace.editor.scroller.verticalScrollBar()
    bar.setValue(bar.maximum())


def shelf(key: str) -> Callable[[Stage], None]:
    def put(stage: Stage) -> None:
        stage.kitchen(OPEN)
        stage.house.to_shelf()
        assert stage.house.shelf is not None
        stage.house.shelf.choose(key)

    return put


def settings(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.house.to_settings()


def no_past(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.house.to_history()


def past(stage: Stage) -> None:
    stage.project("harbour-evening")
    stage.house.to_history()
    assert stage.house.history is not None
    stage.house.history.show_list()


def one_past(stage: Stage) -> None:
    stage.project("harbour-evening")
    project = stage.house.desk.project
    assert project is not None
    stage.house.to_history(project.sessions()[-1].id)


def banner(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.card("stove")
    stage.window.banner.tell(
        "A batch of “Evening ember” was not ended. If anything is still on the heat, take it off first. Then it can go on where it was.",
        ("Go on with it", stage.window.banner.hide),
        trouble=False,
    )


def on_paper(what: str) -> Callable[[Stage], None]:
    """What can be printed of a past batch, with its preview."""

    def put(stage: Stage) -> None:
        past(stage)
        project = stage.house.desk.project
        assert project is not None
        room = stage.house.prints
        room.of_session(project.sessions()[-1].id)
        assert room.page is not None
        room.page.go_to(What(what))
        room.page.refresh()
        stage.settle()

    return put


# a batch


def look_round(stage: Stage) -> None:
    stage.kitchen(OPEN)
    stage.look_round(sample_plan())


def at(step: str, heat: Heat = Heat.WATER_BATH, *, read: bool = True) -> Callable[[Stage], None]:
    """The batch at one step, with its cautions read or not."""

    def put(stage: Stage) -> None:
        stage.begin(sample_plan(heat=heat))
        maker = stage.maker

        def walk() -> None:
            maker.go_to(step)
            if read:
                maker.read_cautions()

        stage.behind(walk)

    return put


def melting(stage: Stage) -> None:
    """A hot step with readings in it."""
    at("melt:bath")(stage)
    maker = stage.maker
    for celsius in (40.0, 46.0, 52.5):
        maker.wait(75.0)
        maker.read(celsius)
    maker.wait(12.0)
    stage.view.show_state()
    stage.settle()


def old_reading(stage: Stage) -> None:
    melting(stage)
    maker = stage.maker
    maker.wait(200.0)
    stage.view.show_state()
    stage.settle()


def burst(stage: Stage) -> None:
    at("melt:bursts", Heat.MICROWAVE)(stage)
    seconds = stage.runner.conductor.rules.next_burst_s(stage.runner.state)
    stage.send(ask.StartBurst("melt:bursts", seconds))
    stage.maker.wait(0.4 * seconds)
    stage.view.show_state()
    stage.settle()


def warning(stage: Stage) -> None:
    """Above the melt ceiling, below what may never be reached."""
    melting(stage)
    stage.maker.wait(40.0)
    ceiling_c = stage.runner.state.temperatures.melt_ceiling_c
    assert ceiling_c is not None
    stage.send(ask.ReadTemperature("melt:bath", ceiling_c + 2.0, f"{ceiling_c + 2.0:.1f}", True, sure=True))


def danger(stage: Stage) -> None:
    melting(stage)
    stage.maker.wait(40.0)
    stage.send(ask.ReadTemperature("melt:bath", 97.0, "97", True, sure=True))


def held(stage: Stage) -> None:
    melting(stage)
    stage.send(ask.Hold("the door bell"))
    stage.maker.wait(3.0)
    stage.send(ask.ConfirmSafe())


def cooling(stage: Stage) -> None:
    at("cool")(stage)
    maker = stage.maker
    last = stage.runner.state.last_reading
    assert last is not None
    for minutes in (1, 2):
        maker.wait(60.0)
        maker.read(last.raw_c - 1.5 * minutes)
    maker.wait(6.0)
    stage.view.show_state()
    stage.settle()


def finished(stage: Stage) -> None:
    stage.begin(sample_plan())
    stage.behind(stage.maker.go_to_end)


def resume(stage: Stage) -> None:
    melting(stage)
    state = stage.runner.state
    page = stage.bench_page()
    stage.clock.advance(1900.0)
    page.take_up("batch-1", state)
    stage.settle()


SCENES: tuple[Scene, ...] = (
    Scene("first page", first),
    Scene("new recipe", empty_recipe),
    Scene("recipe, window open", open_window),
    Scene("recipe, brief open", brief_open),
    Scene("recipe, no window", no_window),
    Scene("recipe, over a limit", over_limit),
    Scene("recipe, on skin", skin),
    Scene("recipe, steps", steps),
    Scene("recipe, label and cost", label),
    Scene("recipe, lower half", recipe_below),
    Scene("scent, how it unfolds", scent("course")),
    Scene("scent, a wish", scent("wish")),
    Scene("scent, trials", scent("trials")),
    Scene("interrupted batch offered", banner),
    Scene("shelf, materials", shelf("materials")),
    Scene("shelf, tins", shelf("tins")),
    Scene("shelf, kitchen", shelf("kitchen")),
    Scene("preferences", settings),
    Scene("past batches, none", no_past),
    Scene("past batches", past),
    Scene("one past batch", one_past),
    Scene("past batches, many", past_scenes.many),
    Scene("past batches, filtered", past_scenes.filtered),
    Scene("past batches, nothing found", past_scenes.nothing_found),
    Scene("past batch, the record", past_scenes.session("record", 21)),
    Scene("past batch, wear", wear_scenes.wear),
    Scene("past batch, worn by several", wear_scenes.wear_together),
    Scene("past batch, not worn yet", wear_scenes.nobody_wore_it),
    Scene("past batch, word from the wearer", wear_scenes.words),
    Scene("shelf, what is left", wear_scenes.stock),
    Scene("past batch, faults", past_scenes.session("faults", 22)),
    Scene("past batch, a fault", past_scenes.fault),
    Scene("past batch, next time", past_scenes.session("next", 21)),
    Scene("past batches, side by side", past_scenes.beside),
    Scene("past batches, trends", past_scenes.trends),
    Scene("paper, labels", on_paper("labels")),
    Scene("paper, gift card", on_paper("card")),
    Scene("paper, batch sheet", on_paper("sheet")),
    Scene("way round, units", way_round(0)),
    Scene("way round, practice", way_round(2)),
    Scene("look round", look_round),
    Scene("waiting, prepare", at("prepare"), True),
    Scene("waiting, weigh", at("weigh:beeswax"), True),
    Scene("cautions to read", at("melt:bath", read=False), True),
    Scene("running, melting", melting, True),
    Scene("running, burst", burst, True),
    Scene("old reading", old_reading, True),
    Scene("warning", warning, True),
    Scene("danger, going on hold", danger, True),
    Scene("held", held, True),
    Scene("running, cooling", cooling, True),
    Scene("add the fragrance", at("add"), True),
    Scene("running, stirring", at("stir"), True),
    Scene("pour", at("pour:1"), True),
    Scene("running, setting", at("set"), True),
    Scene("sink hole", at("inspect"), True),
    Scene("weigh the tins", at("weigh_tins"), True),
    Scene("finished", finished),
    Scene("resume", resume),
    Scene("keeping, restore a backup", keeping.restore),
    Scene("keeping, no backup yet", keeping.no_backup),
    Scene("keeping, restored", keeping.restored),
    Scene("keeping, the project is sound", keeping.sound),
    Scene("keeping, the project is damaged", keeping.damaged_report),
    Scene("keeping, all that is damaged", keeping.all_faults),
    Scene("keeping, erase words", keeping.erase),
    Scene("keeping, a copy from memory", keeping.copied),
    Scene("keeping, another window has it", keeping.locked),
    Scene("keeping, from a newer version", keeping.newer),
    Scene("keeping, the disk is full", keeping.disk_full, True),
)
