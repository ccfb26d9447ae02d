"""What stands under "To check first" in Hand over: failed checks too, what stops the package
before all else."""

from __future__ import annotations

import msgspec

from roofmodel.document import Project
from roofmodel.document.layouts import PanelLayout
from roofmodel.document.work_edits import set_ventilation
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.window import MainWindow


def vented(project: Project) -> Project:
    return msgspec.structs.replace(project, layout=PanelLayout(vented=True))


def hand_over(house: MainWindow) -> HandOverPanel:
    house.show_stage("Hand over")
    return house.side._hand_over.get()


def test_an_untouched_house_has_nothing_to_check(house: MainWindow) -> None:
    panel = hand_over(house)
    assert panel._problems.text() == "Nothing doubtful was found."


def test_a_rule_that_fails_stands_above_the_release(house: MainWindow) -> None:
    # 40 by 24 ft ÷ 150, half of it: 461 sq in; 40 ft of vented ridge at 9 sq in to a foot: 360
    panel = hand_over(house)
    house.session.attempt("Vent", vented)
    (failed,) = (c for c in house.session.results.take_off.checks if not c.passed)
    assert "360 sq in of net free area, and needs 461 sq in there" in failed.sentence
    assert failed.sentence in panel._problems.text()
    assert panel._problems.y() < panel.release.y()
    assert panel.release.isEnabled()  # it asks nothing
    house.session.attempt("Foam", lambda p: set_ventilation(p, attic="spray foam"))
    assert panel._problems.text() == "Nothing doubtful was found."
