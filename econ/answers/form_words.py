"""What is said of a farm while it is edited: its faults, and a word at each box that needs one.

>>> fault = Problem("farm.toml", "[labour] wage", "much", "is no number")
>>> fault_lines((fault,))
['Your time: Wage: is no number']
>>> box_notes({"labour": {"wage": "much"}}, (fault,))[0]["path"]
'labour.wage'
"""

from collections.abc import Sequence
from typing import Any

from econ.farm.counting import unfinished
from econ.farm.editing import waiting_ways
from econ.farm.field_words import plain_words, where_in_words
from econ.farm.marks import Mark, marks
from econ.ground.errors import Problem

Json = dict[str, Any]


def fault_lines(problems: Sequence[Problem], document: Json | None = None) -> list[str]:
    """Write faults as the form names its fields.

    Parameters
    ----------
    problems : sequence of Problem
        As the model tells them.
    document : dict, optional
        The farm being edited, whose boxes may say more of what stands in them.

    Returns
    -------
    list of str
        One a fault.
    """
    said = _faults_at_boxes([] if document is None else marks(document))
    lines = (
        (where_in_words(fault.where), said.get(fault.where) or plain_words(fault.message))
        for fault in problems
    )
    return [": ".join(filter(None, parts)) for parts in lines]


def _faults_at_boxes(said: list[Mark]) -> dict[str, str]:
    return {mark.where: mark.text for mark in said if mark.kind == "fault"}


def box_notes(document: Json, problems: Sequence[Problem]) -> list[Json]:
    """List what is to be said at the boxes of a farm being edited.

    Parameters
    ----------
    document : dict
        The farm being edited.
    problems : sequence of Problem
        What the model finds wrong with it; what a box says itself is said once.

    Returns
    -------
    list of dict
        "message" and "kind" ("fault", "warning", or "begun" for what does not count yet), with
        the box's "path" and "point", or "where" as the model names the place.
    """
    said = marks(document)
    at_boxes = _faults_at_boxes(said)
    begun = "Not counted yet. Still needed: "
    return [
        *(
            {"path": mark.path, "point": mark.point, "kind": mark.kind, "message": mark.text}
            for mark in said
        ),
        *(
            {"where": fault.where, "kind": "fault", "message": plain_words(fault.message)}
            for fault in problems
            if fault.where not in at_boxes
        ),
        *(
            {
                "path": row.path,
                "kind": "begun",
                "message": f"{begun}{plain_words(', '.join(row.lacks))}.",
            }
            for row in unfinished(document)
        ),
        *(
            {
                "path": path,
                "kind": "begun",
                "message": "What was given before counts until this is complete.",
            }
            for path in waiting_ways(document)
        ),
    ]
