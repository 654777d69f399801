"""How the scripted maker brings a jug to its melt: in the water bath, in bursts, or from one to the other."""

from __future__ import annotations

from workbench.core.batch import commands as ask
from workbench.core.batch.guards import BATH, reading_due_at_s
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.state import Phase
from workbench.core.batch.steps import Step
from workbench.core.recipe.model import Heat
from workbench.core.rehearsal.hands import Hands
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration, Said, say

BATH_LOW_G = 350.0
LONGEST_MELT_S = 5400.0
MOST_WAITS = 3
# Bursts that short only keep the jug as warm as it cools while it is stirred.
FEEBLE_BURST_S = 10.0
FEEBLE_BURSTS = 12
FEEBLE_RISE_K = 1.0


class Melting:
    """`moved`: it went over to the water bath, because no burst was short enough."""

    def __init__(self, hands: Hands) -> None:
        self._hands = hands
        self._waits = 0
        self.moved = False

    def in_bath(self, step: Step) -> bool:
        """One look at the bath; True once everything is melted and warm enough."""
        hands, kitchen = self._hands, self._hands.kitchen
        if hands.state.recorded(BATH) is None and any(need.key == BATH for need in step.needs):
            need = next(each for each in step.needs if each.key == BATH)
            hands.must(ask.Answer(step.id, BATH, need.choices[0], need.choices[0]))
            return False
        if kitchen.clear and hands.shown_c is not None and hands.state.recorded("reading") is not None:
            enough = self._aim_c(step) - (0.0 if step.low_c is None else 2.0)
            if hands.shown_c >= enough or kitchen.mean_c > kitchen.bath_c - 1.5:
                return True
        if hands.state.step_elapsed_s(hands.now_s) > LONGEST_MELT_S:
            raise Trouble(say("The jug does not get warm enough under its ceiling; nothing melts out."))
        self.top_up_if_low()
        due = reading_due_at_s(hands.state)
        hands.wait(60.0 if due is None else min(max(due - hands.now_s - 25.0, 5.0), 90.0))
        hands.read_if_running()
        return False

    def top_up_if_low(self) -> None:
        hands = self._hands
        if hands.kitchen.bath_g >= BATH_LOW_G:
            return
        hands.kitchen.top_up_bath()
        need = next((each for each in hands.step.needs if each.key == BATH), None)
        if need is not None and len(need.choices) > 1:
            hands.send(ask.Answer(hands.step.id, BATH, need.choices[1], need.choices[1]))
        hands.tell(say("Topped the bath up with warm water."))

    def in_bursts(self, step: Step) -> bool:
        """One burst with its stir and reading; True once everything is melted and warm enough."""
        hands = self._hands
        if hands.shown_c is None or hands.state.recorded("reading") is None:
            hands.read()
            return False
        if hands.kitchen.clear and hands.shown_c >= self._aim_c(step) - 2.0:
            return True
        refused = hands.rules.burst_refused(hands.state)
        if refused:
            hands.tell(say("{why}", why=refused))
            self._over_to_the_bath(step, say("this blend, or so little of it, is not for the microwave"))
            return False
        seconds = min(30.0, hands.rules.next_burst_s(hands.state))
        if seconds < 1.0:
            return self._no_burst(step)
        if seconds < FEEBLE_BURST_S and self._leads_nowhere():
            self._over_to_the_bath(step, say("the bursts have become too short to warm it any further"))
            return False
        hands.must(ask.StartBurst(step.id, seconds))
        hands.wait(seconds)
        if hands.state.phase is not Phase.RUNNING:
            return False
        hands.must(ask.EndBurst(step.id))
        hands.tell(say("A burst of {time}.", time=Duration(seconds)))
        hands.wait(3.0)
        hands.must(ask.Stir(step.id))
        hands.read()
        return False

    def _aim_c(self, step: Step) -> float:
        aim = step.aim_c if step.aim_c is not None else 70.0
        return min(aim, ceiling_c(self._hands.state) - 2.0)

    def _no_burst(self, step: Step) -> bool:
        """Stir and wait; and where bursts lead nowhere, over to the water bath."""
        self._waits += 1
        if self._waits > MOST_WAITS:
            self._over_to_the_bath(step, say("no burst is short enough"))
            return False
        self._hands.wait(45.0)
        self._hands.read_if_running()
        return self._hands.kitchen.clear

    def _leads_nowhere(self) -> bool:
        """Whether a good many bursts in a row have not warmed the jug by a kelvin."""
        past = self._hands.state.burst.past[-FEEBLE_BURSTS:]
        shown = [each.after_c for each in past if each.after_c is not None]
        return len(shown) == FEEBLE_BURSTS and max(shown[-3:]) - min(shown[:3]) < FEEBLE_RISE_K

    def _over_to_the_bath(self, step: Step, why: Said) -> None:
        if Heat.WATER_BATH.value not in self._hands.plan.steps_by_heat:
            raise Trouble(say("Bursts alone do not melt this out under its ceiling. Use the water bath."))
        self._hands.must(ask.ChangeHeat(step.id, Heat.WATER_BATH, why))
        self.moved, self._hands.shown_c = True, None
        self._hands.tell(say("Over to the water bath: {why}.", why=why))
