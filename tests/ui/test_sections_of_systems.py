"""A roofing system that comes to an older job brings the cross-sections of its trim."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from roofmodel.results import results_of
from roofmodel_io.defaults import built_in_systems, offered_systems
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.shop_package import shop_job
from roofmodel_ui.panels.coverings import chosen
from roofmodel_ui.session import Session
from roofmodel_ui.system_files import take_system
from tests.houses import GABLE, RECTANGLE, project, section

RIBBED, SEAM = built_in_systems()


def test_an_older_job_can_be_made_in_a_system_it_did_not_know(qtbot: QtBot) -> None:
    del qtbot
    # saved when there were no sections for standing seam, with a rake trim changed by hand
    ribbed = {r.part for rules in RIBBED.trim.values() for r in rules}
    old = tuple(p for p in built_in_parts() if p.name in ribbed)
    rake = next(p for p in old if p.name == "rake trim")
    own = msgspec.structs.replace(rake, source="our own")
    job = msgspec.structs.replace(
        project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=RIBBED),
        parts=tuple(own if p is rake else p for p in old),
    )
    made, covering = chosen(job, next(o for o in offered_systems() if o.system == SEAM))
    assert covering == SEAM.id
    assert own in made.parts
    assert {r.part for rules in SEAM.trim.values() for r in rules} <= {p.name for p in made.parts}
    holder = QObject()
    session = Session(job, holder)
    take_system(session, SEAM)
    session.planning.shut_down()
    assert session.project.parts == made.parts
    made = msgspec.structs.replace(made, system=SEAM, more_systems=())
    assert shop_job(results_of(made)).blanks.blanks
