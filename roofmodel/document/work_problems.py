"""What is wrong with the work of a project: names that its layers do not have, as in a file that
was made with others, and lengths that nobody has said."""

from __future__ import annotations

from functools import partial

from roofmodel.document.problems import Mend, Problem
from roofmodel.document.types import Project
from roofmodel.document.work_edits import remove_extra, unknown_names

_COUNTED = {
    "underlayment": "no underlayment is counted",
    "old covering": "nothing is counted of what comes off",
    "metal": "its movement is not counted",
    "extra": "it is not counted",
}


def work_problems(project: Project) -> list[Problem]:
    """One sentence each."""
    out = []
    for what, key, known in unknown_names(project):
        name = " ".join(key.split())
        remedy = f"known are {', '.join(known)}" if known else "this job knows none"
        mend = Mend("Leave it out", partial(remove_extra, key=key)) if what == "extra" else None
        sentence = f"There is no {what} '{name}' in this job, so {_COUNTED[what]}; {remedy}."
        out.append(Problem(sentence, True, mend=mend))
    by_hand = {e.key for e in project.layers.extras if e.measure == "length by hand"}
    for chosen in project.work.extras:
        if chosen.key in by_hand and not chosen.amount:
            name = chosen.key[:1].upper() + chosen.key[1:]
            out.append(Problem(f"{name}: say how long."))
    return out
