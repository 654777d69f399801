"""A whole practice batch through the real window, by keyboard alone or by mouse alone.

    python -m tests.walk keyboard [FOLDER]     needs xvfb-run, openbox and xdotool
    python -m tests.walk mouse [FOLDER]
    python -m tests.walk watch bath FOLDER     a rehearsal with the simulated pot, watched closely
    python -m tests.walk watch bursts FOLDER

The window stands on a virtual screen under a window manager; every key and
click comes from the X server.  Only time is not real: it goes on when the
walk waits.  FOLDER takes a picture of the screen at each step; a rehearsal
that is watched takes its readings from the practice thermometer and leaves a
picture wherever the screen has something new to say.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QMenu, QWidget

from tests.ui.bench.test_by_keyboard import Typist
from tests.ui.bench.test_by_mouse import Clicker
from workbench import app as wiring
from workbench.core.batch.commands import Command, LeaveOut
from workbench.core.batch.state import BurstPhase, Phase, SessionState
from workbench.core.recipe.model import Heat, Recipe
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.store.resources import load_catalogue, load_starter_shelf, resources_folder
from workbench.testing import VirtualClock
from workbench.ui import theme
from workbench.ui.batch_kit import BatchKit
from workbench.ui.bench import BenchView, SessionRunner
from workbench.ui.context import Context
from workbench.ui.house import House
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.basic import Scroller
from workbench.ui.window import MainWindow, Places, samples_in

Asks = type[Command]
OURS = "BALMBOOK_WALK"  # set where the virtual screen is up
SAMPLE = "harbour-evening"  # the one that is watched
WATCHED = {"bath": Heat.WATER_BATH, "bursts": Heat.MICROWAVE}
TINS_FOR_BURSTS = 10  # below 50 g the microwave is refused
SEEN_OF_A_STEP = 5  # pictures of readings within one step, the first ones; the last is taken at its end
KEYS = {Qt.Key.Key_Return: "Return", Qt.Key.Key_F4: "F4", Qt.Key.Key_F5: "F5", Qt.Key.Key_F6: "F6", Qt.Key.Key_F8: "F8"}  # fmt: skip


class Hands:
    """Keys and clicks through the X server, and a bench to look at: the `Bench` of the tests, for real."""

    def __init__(self, window: MainWindow, clock: VirtualClock, pictures: Path | None) -> None:
        self.window, self.clock, self._pictures = window, clock, pictures
        self._shown = 0
        self.strokes = self.clicks = 0

    # what is there

    @property
    def view(self) -> BenchView:
        house = self.window.house
        assert house is not None
        assert house.batches.room is not None
        view = house.batches.room.page.view
        assert view is not None
        return view

    @property
    def runner(self) -> SessionRunner:
        house = self.window.house
        assert house is not None
        assert house.batches.room is not None
        runner = house.batches.room.page.runner
        assert runner is not None
        return runner

    @property
    def state(self) -> SessionState:
        return self.runner.state

    def phase(self) -> Phase:
        return self.state.phase

    def burst(self) -> BurstPhase:
        return self.state.burst.phase

    @property
    def says(self) -> str:
        card = self.view.card
        return card.says.text() if card.says_frame.isVisibleTo(self.view) else ""

    @property
    def focus(self) -> QWidget:
        return QApplication.focusWidget() or self.window

    # time

    def settle(self, seconds: float = 0.06) -> None:
        """Real time for the X server, the writer's thread and the window."""
        ends = time.monotonic() + seconds
        while time.monotonic() < ends:
            QApplication.processEvents()
            time.sleep(0.002)

    def until(self, true: Callable[[], object], what: str, seconds: float = 20.0) -> None:
        ends = time.monotonic() + seconds
        while not true():
            if time.monotonic() > ends:
                self.picture("stuck")
                raise SystemExit(f"waited in vain: {what}")
            self.settle()

    def wait(self, seconds: float) -> None:
        """Time of the batch passes."""
        while seconds > 0:
            part = min(seconds, 4.0)
            self.clock.advance(part)
            self.runner.look()
            seconds -= part
        self.settle()
        self.stored()

    def stored(self) -> None:
        """What was sent is on disk and shown: the state has caught up with what was decided."""
        house = self.window.house
        room = house.batches.room if house is not None else None
        runner = room.page.runner if room is not None else None
        if runner is not None:
            self.until(lambda: runner.conductor.ahead == runner.state, "the store")

    # hands

    def xdotool(self, *words: str) -> None:
        done = subprocess.Popen(["xdotool", *words])
        while done.poll() is None:
            self.settle(0.01)
        self.settle()
        self.stored()

    def press(self, name: str) -> None:
        self.strokes += 1
        self.xdotool("key", name)

    def key(self, key: Qt.Key, after_s: float = 0.3) -> None:
        self.clock.advance(after_s)
        self.strokes += 1
        self.xdotool("keydown", KEYS[key])
        self.clock.advance(0.06)
        self.xdotool("keyup", KEYS[key])

    def type(self, text: str) -> None:
        for character in text:
            self.clock.advance(0.12)
            self.press({" ": "space", ",": "comma", ".": "period"}.get(character, character))

    def enter(self, text: str) -> None:
        self.type(text)
        self.key(Qt.Key.Key_Return)

    def done(self) -> None:
        self.picture(self.state.step_id)
        self.key(Qt.Key.Key_F8, after_s=1.5)

    def click(self, widget: QWidget, after_s: float = 0.3) -> None:
        """Where it can be seen, as a person would; scrolled to with the wheel where it cannot."""
        self.clock.advance(after_s)
        self.settle(0.15)  # a person looks first; the layout has come to rest
        where = QPoint(min(14, widget.width() // 2), widget.height() // 2)
        for _ in range(40):
            if widget.visibleRegion().contains(where):
                break
            shown = widget.parentWidget()
            while shown is not None and shown.objectName() != "qt_scrollarea_viewport":
                shown = shown.parentWidget()
            assert shown is not None, f"{widget} cannot be seen"
            over, above = shown.mapToGlobal(QPoint(60, 60)), widget.mapTo(shown, where).y() < 0
            self.xdotool("mousemove", str(over.x()), str(over.y()), "click", "4" if above else "5")
        at = widget.mapToGlobal(where)
        self.clicks += 1
        self.xdotool("mousemove", str(at.x()), str(at.y()), "mousedown", "1")
        self.clock.advance(0.06)
        self.xdotool("mouseup", "1")

    def entry(self, command: Asks) -> QAction:
        """The entry of the bench menu that asks for this."""
        return next(action for action, asks in self.view.menu.actions if asks is command)

    def through_the_menu(self, look: Callable[[QMenu], list[str]], opens: Callable[[], None]) -> None:
        """Open the menu and choose in it; `look` says what the hand does next, once it is open."""

        def again() -> None:  # runs inside the loop of the menu as well
            menu = QApplication.activePopupWidget()
            if isinstance(menu, QMenu):
                subprocess.Popen(["xdotool", *look(menu)])

        eyes = QTimer()
        eyes.timeout.connect(again)
        eyes.start(300)
        opens()
        form = self.view.card.form
        self.until(lambda: form.isVisible() and isinstance(self.focus, QLineEdit), "the field for the reason")
        eyes.stop()

    def tab_to(self, widget: QWidget) -> None:
        for _ in range(60):
            if self.focus is widget:
                return
            self.press("Tab")
        raise SystemExit(f"the tab key never came to {widget}")

    def squeezed(self) -> list[str]:
        """Pages that are lower than their words need at this width: lines of them are cut."""
        found = []
        for scroller in self.window.findChildren(Scroller):
            page = scroller.widget()
            if page is None or not scroller.isVisible() or not page.hasHeightForWidth():
                continue
            need = page.heightForWidth(page.width())
            if page.height() < need:
                found.append(f"{page.height()} of {need} px")
        return found

    def picture(self, name: str) -> None:
        for cut in self.squeezed():
            print(f"squeezed at {name}: {cut}", flush=True)
        if self._pictures is not None:
            self._shown += 1
            file = self._pictures / f"{self._shown:02d}-{name.replace(':', '-') or 'page'}.png"
            self.window.grab().save(str(file))


class RealTypist(Typist):
    """By keyboard alone."""

    def __init__(self, hands: Hands) -> None:
        super().__init__(hands)  # type: ignore[arg-type]
        self.hands = hands

    def leave_out(self) -> None:
        hands = self.hands
        wanted = hands.entry(LeaveOut)

        def look(menu: QMenu) -> list[str]:
            hands.strokes += 1
            return ["key", "Return" if menu.activeAction() is wanted else "Down"]

        hands.through_the_menu(look, lambda: hands.press("F12"))
        hands.type("no dip")
        before = hands.state.step_id
        hands.key(Qt.Key.Key_Return)
        hands.until(lambda: hands.state.step_id != before, "the step is left out")


class Watcher(RealTypist):
    """By keyboard, with the readings of the simulated pot; a picture wherever something is new."""

    def __init__(self, hands: Hands) -> None:
        super().__init__(hands)
        self._seen: dict[str, int] = {}

    def see(self, what: str) -> None:
        """Let the forecast arrive, then take a picture; a few of each step."""
        hands = self.hands
        hands.settle(0.5)
        step = hands.state.step_id
        count = self._seen.get(f"{step} {what}", 0)
        if count < SEEN_OF_A_STEP:
            self._seen[f"{step} {what}"] = count + 1
            hands.picture(f"{step}-{what}")

    def step(self) -> None:
        self.see("begins")
        super().step()

    def read_cautions(self) -> None:
        super().read_cautions()
        self.see("cautions-read")

    def reading(self) -> None:
        hands = self.hands
        before = len(hands.state.readings)
        hands.press("F6")
        hands.press("F2")
        hands.key(Qt.Key.Key_Return)
        if self.bench.says:  # asked once more
            hands.key(Qt.Key.Key_Return, after_s=1.5)
        last = hands.state.last_reading
        assert len(hands.state.readings) > before, hands.says
        assert last is not None
        self.jug_c = last.celsius
        self.see("read")

    def bursts(self) -> None:
        hands, step = self.hands, self.hands.state.step
        assert step is not None
        assert step.aim_c is not None
        self.reading()
        for _ in range(80):
            if self.jug_c >= step.aim_c:
                return
            hands.key(Qt.Key.Key_F5)
            if hands.burst() is not BurstPhase.RUNNING:  # no burst is short enough just now
                self.see("no-burst")
                hands.wait(45.0)
                self.reading()
                continue
            self.see("burst-runs")
            hands.wait(hands.state.burst.planned_s)
            hands.key(Qt.Key.Key_F5)
            self.see("stir-due")
            hands.wait(20.0)
            hands.key(Qt.Key.Key_F5)
            self.see("reading-due")
            self.reading()
        raise AssertionError("bursts alone never melted it")

    def pass_time(self, seconds: float) -> None:
        super().pass_time(min(seconds, 90.0))
        self.see("meanwhile")
        if seconds > 90.0:
            super().pass_time(seconds - 90.0)
            self.see("time-over")


class RealClicker(Clicker):
    """By mouse alone; the numbers come as a scale on a cable would send them."""

    def __init__(self, hands: Hands) -> None:
        super().__init__(hands)  # type: ignore[arg-type]
        self.hands = hands

    def leave_out(self) -> None:
        hands = self.hands
        wanted, more = hands.entry(LeaveOut), hands.view.foot.more

        def look(menu: QMenu) -> list[str]:
            hands.clicks += 1
            at = menu.mapToGlobal(menu.actionGeometry(wanted).center())
            return ["mousemove", str(at.x()), str(at.y()), "click", "1"]

        hands.through_the_menu(look, lambda: hands.click(more))
        form = hands.view.card.form
        reason = form.findChild(QLineEdit)
        assert reason is not None
        reason.setText("no dip")
        accept = next(one for one in form.findChildren(QAbstractButton) if one.property("role") == "primary")
        before = hands.state.step_id
        hands.click(accept)
        hands.until(lambda: hands.state.step_id != before, "the step is left out")


def walk(how: str, pictures: Path | None, heat: str = "") -> int:
    app = wiring.make_application(["balmbook"])
    theme.load_fonts(resources_folder() / "fonts")
    theme.apply(app, theme.Theme())
    clock, starter = VirtualClock(), load_starter_shelf()
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        samples = samples_in(Path(__file__).resolve().parents[2] / "sample_projects")
        window = MainWindow(Places(Path(folder), tuple(samples)))
        kit = BatchKit(lambda: clock, wiring.session_rules, SilentSound, SilentSpeech, NoAwake)
        context = Context(load_catalogue(), starter, Preferences(decimal_comma=True), date.today)
        house = House(context, ProjectDesk(wiring.now), starter, wiring.planner, kit)
        window.show()
        window.furnish(house)
        hands = Hands(window, clock, pictures)
        hands.until(window.isActiveWindow, "the window manager gives the window the focus")
        hands.picture("first")
        begin(hands, how, WATCHED.get(heat))
        workers = {"keyboard": RealTypist, "mouse": RealClicker, "watch": Watcher}
        worker = workers[how](hands)
        try:
            worker.whole_batch()
        except AssertionError:
            hands.picture("stuck")
            raise
        hands.picture("finished")
        state = hands.state
        hands.until(lambda: hands.runner.conductor.ahead.phase is Phase.FINISHED, "finished")
        print(
            f"by {how}: {state.plan.recipe.name if state.plan else ''} finished, {len(state.poured)} tins; "
            f"{hands.strokes} keys, {hands.clicks} clicks, {time.monotonic() - began:.0f} s"
        )
        house.model.stack.setClean()
        window.close()
        hands.settle(0.3)
    return 0


def begin(hands: Hands, how: str, heat: Heat | None = None) -> None:
    """From the first page to the first step: try a practice run (heated in this way), look round, begin."""
    window, house = hands.window, hands.window.house
    assert house is not None
    by_key = how != "mouse"

    def press(widget: QAbstractButton) -> None:
        if by_key:
            hands.tab_to(widget)
            hands.press("space")
        else:
            hands.click(widget)

    if heat is not None:
        path = next(path for path in window.places.samples if path.stem == SAMPLE)
        assert house.open_path(path)
        if heat is Heat.MICROWAVE:
            house.model.edit("watched", by_bursts)
        hands.settle(1.0)
        answers = house.workplace.answers
        answers.cards.choose("steps")
        hands.until(lambda: answers.steps.times.times is not None, "the expected times")
        hands.settle(0.6)
        hands.picture("plan")
        hands.press("ctrl+shift+Return")
    else:
        press(window.first.practise)
        hands.settle(0.6)
        if house._first_steps is not None and house._first_steps.isVisible():
            press(house._first_steps.skip)  # the short way round for newcomers is walked by its own test
    hands.until(lambda: house.batches.room is not None, "the look round")
    room = house.batches.room
    assert room is not None
    hands.until(lambda: room.page.preflight is not None, "the look round")
    hands.settle(0.6)
    hands.picture("look-round")
    look_round = room.page.preflight
    assert look_round is not None
    press(look_round.begin)
    hands.until(lambda: room.page.view is not None, "the first step")
    hands.settle(0.5)


def by_bursts(recipe: Recipe) -> Recipe:
    """The same balm in the microwave, and enough of it."""
    tins = (recipe.size.tins[0].model_copy(update={"count": TINS_FOR_BURSTS}),)
    size = recipe.size.model_copy(update={"tins": tins})
    return recipe.model_copy(update={"heat": Heat.MICROWAVE, "size": size})


def main(argv: Sequence[str]) -> int:
    watching = len(argv) == 3 and argv[0] == "watch" and argv[1] in WATCHED
    if not watching and (not argv or argv[0] not in ("keyboard", "mouse")):
        print(__doc__)
        return 2
    if OURS not in os.environ:
        return subprocess.call(
            ["xvfb-run", "-a", "-s", "-screen 0 1300x860x24", sys.executable, "-m", "tests.walk", *argv],
            env={**os.environ, OURS: "1", "QT_QPA_PLATFORM": "xcb"},
        )
    manager = subprocess.Popen(["openbox"])
    try:
        named = argv[2:] if watching else argv[1:]
        folder = Path(named[0]) if named else None
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
        return walk(argv[0], folder, argv[1] if watching else "")
    finally:
        manager.terminate()


sys.exit(main(sys.argv[1:]))
