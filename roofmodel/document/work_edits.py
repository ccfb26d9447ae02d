"""Edits of what the user says about the work, and of the layers below the metal."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from roofmodel.document.changes import changed
from roofmodel.document.types import Project
from roofmodel.document.work import ChosenExtra, IceBarrier, Labour, OldRoof, Ventilation
from roofmodel.errors import DocumentError
from roofmodel.systems.layers import Layers


def set_work(project: Project, **fields: object) -> Project:
    """Change fields of the work by name, such as ``edition="2018"``; DocumentError if a name is
    not in the job's layers."""
    work = changed(project.work, **fields)
    if work is project.work:
        return project
    new = msgspec.structs.replace(project, work=work)
    _check_names(project, new)
    return new


def set_old_roof(project: Project, **fields: object) -> Project:
    """Change fields of what is done with the old roof."""
    old: OldRoof = changed(project.work.old_roof, **fields)
    return set_work(project, old_roof=old)


def set_ice_barrier(project: Project, **fields: object) -> Project:
    """Change fields of the ice barrier."""
    ice: IceBarrier = changed(project.work.ice_barrier, **fields)
    return set_work(project, ice_barrier=ice)


def set_ventilation(project: Project, **fields: object) -> Project:
    """Change fields of the attic's ventilation."""
    air: Ventilation = changed(project.work.ventilation, **fields)
    return set_work(project, ventilation=air)


def set_labour(project: Project, **fields: object) -> Project:
    """Change fields of what makes labour slower."""
    labour: Labour = changed(project.work.labour, **fields)
    return set_work(project, labour=labour)


def set_extra(project: Project, key: str, amount: float | None = None) -> Project:
    """Choose an extra, or change its amount (mm or count; None: as measured)."""
    new = ChosenExtra(key, amount)
    extras = project.work.extras
    if any(e.key == key for e in extras):
        return set_work(project, extras=tuple(new if e.key == key else e for e in extras))
    return set_work(project, extras=(*extras, new))


def remove_extra(project: Project, key: str) -> Project:
    """Leave an extra out again."""
    return set_work(project, extras=tuple(e for e in project.work.extras if e.key != key))


def set_layers(project: Project, layers: Layers) -> Project:
    """Put other layers in the place of the job's; DocumentError where the work names what they
    do not have."""
    if layers == project.layers:
        return project
    new = msgspec.structs.replace(project, layers=layers)
    _check_names(project, new)
    return new


def unknown_names(project: Project) -> list[tuple[str, str, tuple[str, ...]]]:
    """What the work names and the job's layers do not have: what kind of thing, its name, and the
    names that are known."""
    work, layers = project.work, project.layers
    named: list[tuple[str, str, Iterable[str]]] = [
        ("old covering", work.old_roof.covering, (c.key for c in layers.old_coverings)),
        ("metal", work.metal, layers.metals),
    ]
    if work.underlayment:
        named.append(("underlayment", work.underlayment, (r.key for r in layers.underlayments)))
    extras = tuple(e.key for e in layers.extras)
    named += [("extra", extra.key, extras) for extra in work.extras]
    found = [(what, key, tuple(known)) for what, key, known in named]
    return [one for one in found if one[1] not in one[2]]


def _check_names(before: Project, after: Project) -> None:
    """Refuse names that become unknown; one that is so already does not stand in an edit's way."""
    old = {(what, key) for what, key, _ in unknown_names(before)}
    for what, key, known in unknown_names(after):
        if (what, key) not in old:
            raise DocumentError(
                f"There is no {what} '{key}' in this job; known are {', '.join(known) or 'none'}."
            )
