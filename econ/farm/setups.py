"""Set-ups: ways of cleaning, each laid over [process]; an ordinary evaluation takes the first.

>>> document = {"process": {"loss": 0.1}, "setups": [{"name": "Settling", "loss": 0.2}]}
>>> with_first_setup(document)["process"]
{'loss': 0.2}
"""

from collections.abc import Iterator
from typing import Any

from econ.farm.faults import where
from econ.farm.merging import Document, drop_other_ways
from econ.farm.schema import Process
from econ.ground.errors import Problem

_OWN = ("name", "filters")


def setups_of(document: Document) -> list[Document]:
    """List a raw document's set-ups.

    Parameters
    ----------
    document : dict
        A whole farm; its values may be wrong.

    Returns
    -------
    list of dict
    """
    entries = document.get("setups")
    return [e for e in entries if isinstance(e, dict)] if isinstance(entries, list) else []


def laid_process(document: Document, setup: Document) -> Document:
    """Lay a set-up over [process], dropping the other way of a choice that it makes.

    Parameters
    ----------
    document : dict
        A whole farm.
    setup : dict
        One of its set-ups.

    Returns
    -------
    dict
        As [process] would have it.
    """
    process = document.get("process")
    given = {key: value for key, value in setup.items() if key not in _OWN}
    base = process if isinstance(process, dict) else {}
    return {**drop_other_ways(base, given, "process"), **given}


def laid_processes(document: Document) -> Iterator[tuple[tuple[str, ...], Any]]:
    """List the ways of cleaning: one for each set-up, else [process] itself.

    Parameters
    ----------
    document : dict
        A whole farm.

    Yields
    ------
    (place, dict)
        Where it stands, and the whole of it.
    """
    setups = setups_of(document)
    for position, setup in enumerate(setups):
        yield ("setups", str(setup.get("name", f"#{position + 1}"))), laid_process(document, setup)
    if not setups:
        yield ("process",), document.get("process")


def with_first_setup(document: Document) -> Document:
    """Return a document whose [process] is as its first set-up has it.

    Parameters
    ----------
    document : dict
        A whole farm.

    Returns
    -------
    dict
        The same where there is no set-up.
    """
    setups = setups_of(document)
    return {**document, "process": laid_process(document, setups[0])} if setups else document


def without_laid(problems: list[Problem], document: Document) -> list[Problem]:
    """Drop the faults of [process] that are a set-up's, where they are told already.

    Parameters
    ----------
    problems : list of Problem
        Of a document `with_first_setup`.
    document : dict
        The document itself.

    Returns
    -------
    list of Problem
    """
    setups = setups_of(document)
    if not setups:
        return problems
    process = document.get("process")
    own = process if isinstance(process, dict) else {}
    needed = [key for key, info in Process.model_fields.items() if info.is_required()]
    lent = {where(("process", key)) for key in (*setups[0], *needed) if key not in own}
    return [problem for problem in problems if problem.where not in lent]


def processes_of(document: Document) -> tuple[Process, ...]:
    """Read the cleaning of each set-up.

    Parameters
    ----------
    document : dict
        A whole farm that holds no fault.

    Returns
    -------
    tuple of Process
        None where there is no set-up.
    """
    setups = setups_of(document)
    return tuple(Process.model_validate(laid_process(document, setup)) for setup in setups)
