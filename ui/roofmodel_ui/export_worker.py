"""Works out in a process of its own what files hold: one answer to each `ExportTask`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roofmodel.errors import RoofmodelError
from roofmodel_ui.answering import serve, tell
from roofmodel_ui.export_tasks import Answer, Content, ExportTask, Kind, Refused

if TYPE_CHECKING:
    from roofmodel.document import Project
    from roofmodel.results import Results

_last: list[tuple[Project, Results]] = []
"""Often several files of one project are wanted."""


def answered(task: ExportTask) -> Answer:
    """What the file holds, or why there is none."""
    from roofmodel.results import results_of

    try:
        if task.kind == "png":
            from roofmodel_ui.view3d import picture_png

            # what to cut from which length is not seen
            return Content(picture_png(results_of(task.project, planner=None)))
        if not _last or _last[0][0] != task.project:
            _last[:] = [(task.project, results_of(task.project))]
        return Content(_content(task.kind, _last[0][1]))
    except RoofmodelError as error:
        return Refused(str(error))


def _content(kind: Kind, results: Results) -> bytes:
    if kind == "dxf":
        from roofmodel_io.dxf_plan import plan_dxf

        return plan_dxf(results)
    if kind == "json":
        from roofmodel_io.takeoff_json import takeoff_json

        return takeoff_json(results).encode()
    from roofmodel_io.takeoff_tables import takeoff_csv, takeoff_xlsx

    # spreadsheets read "²" by the mark that stands first
    return takeoff_xlsx(results) if kind == "xlsx" else takeoff_csv(results).encode("utf-8-sig")


def main() -> None:
    """Answer until the input ends."""
    serve(ExportTask, lambda task: tell(answered(task)))


if __name__ == "__main__":
    main()
