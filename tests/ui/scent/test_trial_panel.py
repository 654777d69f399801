"""Trials on paper strips: drops, reminders on virtual time, words that are kept, one step into the recipe."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QThreadPool
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.scent.balms import balm, model_of
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Measure
from workbench.core.scent.trial import Trial, composition_of, promoted, trial_of
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store.project import Project
from workbench.ui.scent.kept import KIND, TrialsInMind, TrialsOfProject
from workbench.ui.scent.page import ScentPage
from workbench.ui.scent.trial_panel import TrialPanel

TEN = datetime(2026, 11, 25, 10, 0, tzinfo=timezone(timedelta(hours=1)))


class Bench:
    """A panel with a clock that only this test moves."""

    def __init__(self, qtbot: QtBot, tables: Catalogue) -> None:
        self.now = TEN
        self.model = model_of(balm(), tables)
        self.panel = TrialPanel(self.model, lambda: self.now)
        qtbot.addWidget(self.panel)
        self.model.setParent(self.panel)
        self.panel.resize(640, 900)
        self.panel.show()

    def minutes(self, count: float) -> None:
        self.now = TEN + timedelta(minutes=count)
        self.panel.look_again()

    @property
    def trial(self) -> Trial:
        assert self.panel.trial is not None
        return self.panel.trial


@pytest.fixture
def bench(qtbot: QtBot, tables: Catalogue) -> Iterator[Bench]:
    made = Bench(qtbot, tables)
    yield made
    made.panel.stop()


def test_a_trial_begins_with_the_proportions_of_the_scent(bench: Bench, tables: Catalogue) -> None:
    bench.panel.begin()
    assert 15 <= sum(bench.trial.drops.values()) <= 25
    scent = work_out(balm(), tables).scent_composition
    tried = composition_of(bench.trial, tables)
    for oil, grams in scent.as_dict().items():
        assert grams / scent.mass_g == pytest.approx(tried.as_dict()[oil] / tried.mass_g, abs=0.04)


def test_reminders_come_at_their_moments_and_words_quiet_them(bench: Bench, qtbot: QtBot) -> None:
    told: list[str] = []
    bench.panel.smell_now.connect(told.append)
    bench.panel.begin()
    bench.panel.dip()
    assert [one.split(": ")[1] for one in told] == ["just on."]
    field = bench.panel.moments[0].words
    field.setFocus()
    QTest.keyClicks(field, "peel and light")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert bench.trial.words == {0: "peel and light"}
    assert bench.panel.reminder.isHidden()
    assert not bench.panel.moments[1].words.isEnabled()
    bench.minutes(9.9)
    assert len(told) == 1
    bench.minutes(10)
    bench.minutes(10.5)
    assert told[1:] == ["Smell the strip now: after 10 minutes."]
    assert "10 minutes" in bench.panel.reminder.text()
    assert bench.panel.moments[1].state.text() == "now"
    assert bench.panel.moments[2].state.text() == "in 20 min"


def test_a_computer_that_slept_through_is_told_all_at_once(bench: Bench) -> None:
    told: list[str] = []
    bench.panel.begin()
    bench.panel.dip()
    bench.panel.smell_now.connect(told.append)
    bench.minutes(200)
    assert len(told) == 3
    assert not bench.panel._look.isActive()
    assert bench.trial.next_in_s(bench.now) is None


def test_drops_are_changed_before_the_strip_is_dipped_and_not_after(bench: Bench, qtbot: QtBot) -> None:
    bench.panel.begin()
    field = bench.panel._drop_rows["lemon"][1]
    edit = field.edit  # type: ignore[attr-defined]
    edit.setFocus()
    edit.setText("9")
    QTest.keyClick(edit, Qt.Key.Key_Return)
    assert bench.trial.drops["lemon"] == 9
    edit.setText("2.5")
    QTest.keyClick(edit, Qt.Key.Key_Return)
    assert "whole drops" in field.fault  # type: ignore[attr-defined]
    edit.setText("9")
    QTest.keyClick(edit, Qt.Key.Key_Return)
    bench.panel._remove_oil("neroli")
    bench.panel._add_oil("vetiver")
    assert "neroli" not in bench.trial.drops
    assert bench.trial.drops["vetiver"] == 1
    bench.panel.dip()
    assert not field.isEnabled()
    assert bench.panel.adder.isHidden()


def test_several_trials_stand_beside_one_another(bench: Bench) -> None:
    bench.panel.begin()
    bench.panel.dip()
    first = bench.trial
    bench.panel.another()
    assert bench.trial.begun is None
    assert bench.trial.drops == first.drops
    bench.panel.begin()
    assert bench.panel.which.count() == 3
    bench.panel._choose(first.key)
    assert bench.trial == first


def test_the_computed_course_on_paper_stands_beside(bench: Bench, qtbot: QtBot) -> None:
    with qtbot.waitSignal(bench.panel._later.came, timeout=20_000):
        bench.panel.begin()
    assert bench.panel.chart._picture is not None
    assert len(bench.panel.chart._picture.marks_s) == 4
    assert "Left after an hour" in bench.panel.computed.text()
    assert bench.panel.computed.text().index("Cedarwood") < bench.panel.computed.text().index("Lemon")
    assert not bench.panel.chart.grab().isNull()


def test_promoted_in_one_step(bench: Bench, qtbot: QtBot, tables: Catalogue) -> None:
    bench.panel.begin()
    bench.panel.set_drops("vetiver", 4)
    before = bench.model.recipe
    with qtbot.waitSignal(bench.panel.promoted):
        bench.panel.promote.click()
    after = bench.model.recipe
    assert {line.material: line.amount.value for line in after.scent} == bench.trial.drops
    assert {line.amount.measure for line in after.scent} == {Measure.DROPS}
    assert work_out(after, tables).load_percent == pytest.approx(5.0)
    assert bench.model.stack.count() == 1
    bench.model.stack.undo()
    assert bench.model.recipe == before


def test_a_store_that_refuses_is_said_and_nothing_is_shown_as_kept(bench: Bench) -> None:
    class Full(TrialsInMind):
        def keep(self, trial: Trial) -> None:
            raise Trouble(say("The disk is full. Make room and try again."))

    bench.panel.set_trials(Full())
    bench.panel.begin()
    assert bench.panel.trial is None
    assert "disk is full" in bench.panel.fault.text()


def test_trials_are_kept_in_the_project_with_every_line(tmp_path: Path, tables: Catalogue) -> None:
    with Project.create(tmp_path / "p.balmbook") as project:
        kept = TrialsOfProject(project)
        scent = work_out(balm(), tables).scent_composition
        trial = trial_of(balm(), scent, tables, "t1", "Trial 1")
        kept.keep(trial)
        smelled = trial.model_copy(update={"begun": TEN, "words": {0: "bright", 600: "thinner"}})
        kept.keep(smelled)
        kept.keep(trial_of(balm(), scent, tables, "t10", "Trial 10"))
        kept.keep(trial_of(balm(), scent, tables, "t2", "Trial 2"))
        project.save_document(KIND, "odd", {"no": "trial"})
        assert [one.key for one in kept.all()] == ["t1", "t2", "t10"]
        assert kept.all()[0] == smelled
        assert len(project.documents(KIND, "t1")) == 2


def test_an_empty_scent_or_trial_cannot_be_tried_or_promoted(
    qtbot: QtBot, tables: Catalogue, bench: Bench
) -> None:
    bench.model.take(balm(()))
    bench.panel.begin()
    assert "no oil in the scent" in bench.panel.fault.text()
    bench.model.take(balm().model_copy(update={"base": ()}))
    bench.panel.begin()
    assert "cannot be worked out" in bench.panel.fault.text()
    with pytest.raises(Trouble, match="no drops"):
        promoted(Trial(key="t1", name="Trial"), balm(), tables)


def test_the_page_leads_from_one_to_the_other(qtbot: QtBot, tables: Catalogue) -> None:
    model = model_of(balm(), tables)
    page = ScentPage(model)
    qtbot.addWidget(page)
    model.setParent(page)
    page.resize(640, 760)
    page.show()
    page.furnish(TrialsInMind(), lambda: ())
    for key in ("wish", "trials", "course"):
        page.buttons[key].click()
        QApplication.processEvents()
        assert list(page.buttons)[page.stack.currentIndex()] == key
    page.trials.stop()
    QThreadPool.globalInstance().waitForDone()
