"""What the one large button means now, and whether a press of it counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from workbench.core.batch.commands import ConfirmSafe, FinishStep, GoOn, ReadCautions
from workbench.core.batch.state import Phase
from workbench.ui.bench import now as look
from workbench.ui.bench.keys import DONE_KEY
from workbench.ui.bench.press import Press

if TYPE_CHECKING:
    from workbench.ui.bench.view import BenchView


class PrimaryAction(QObject):
    """`finish_asked`: the step whose end was asked once and has to be asked again."""

    def __init__(self, view: BenchView) -> None:
        super().__init__(view)
        self._view = view
        self.finish_asked = ""

    def came(self, came: Press) -> None:
        view = self._view
        if came is Press.COUNTS:
            self._act()
        elif came is Press.TOO_SOON:
            view.tell(
                self.tr("That was too soon after the last entry. Press {key} once more.").format(key=DONE_KEY)
            )
        elif came is Press.NOT_ALONE:
            view.tell(self.tr("Several keys at once do not count. Press {key} alone.").format(key=DONE_KEY))

    def _act(self) -> None:
        view, state = self._view, self._view.runner.state
        if view.card.form.form is not None:
            view.tell(self.tr("Finish or leave what is open first."))
        elif state.phase.over:
            view.over.emit()
        elif state.phase is Phase.HOLDING:
            view.send(ConfirmSafe())
        elif state.phase is Phase.HELD:
            view.send(GoOn())
        elif look.cautions_unread(state):
            if not self._read_on():
                view.send(ReadCautions(state.step_id))
        elif state.phase is Phase.RUNNING:
            sure = self.finish_asked == state.step_id
            view.send(FinishStep(state.step_id, sure))

    def _read_on(self) -> bool:
        """One page further; False where everything was seen."""
        view = self._view
        if not view.more_to_read:
            return False
        if view.is_far:
            view.far.turn_page()
        else:
            view.near.read_on()
        view.show_buttons(view.runner.state)
        return True
