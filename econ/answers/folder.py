"""A folder of farms, a row a farm: what is decided of each, and what is wrong with the others.

>>> row_of(Path("nowhere.toml"))["faults"]
['nowhere.toml: there is no such file']
"""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated, TypedDict

from econ.answers.document import number
from econ.answers.keys import Key
from econ.answers.outlook import answer_with_odds
from econ.answers.records import load_with_records
from econ.ground.errors import Problem, ScenarioError
from econ.ground.records import replace
from econ.ground.units import from_canonical

# Below this many farms a second process costs more than it brings.
_WORKER_FARMS = 12


class FarmRow(TypedDict):
    """One farm of a folder."""

    file: Annotated[str, Key("text", "Its file")]
    title: Annotated[str | None, Key("text", "The farm's; none where it cannot be read")]
    units: Annotated[str | None, Key("choice", "us or metric")]
    currency: Annotated[str | None, Key("text", "ISO 4217")]
    advice: Annotated[str | None, Key("text", "What it is advised")]
    worth_time_paid: Annotated[float | None, Key("money_per_year", "Worth a year, time paid")]
    worth_time_free: Annotated[float | None, Key("money_per_year", "Worth a year, time free")]
    ahead_time_paid: Annotated[float | None, Key("share", "Draws ahead, time paid")]
    ahead_time_free: Annotated[float | None, Key("share", "Draws ahead, time free")]
    kit_to_buy: Annotated[float | None, Key("money", "Kit that is not there yet")]
    own_hours: Annotated[float | None, Key("hours_per_year", "One's own hours in a typical year")]
    fuel_replaced: Annotated[float | None, Key("volume_per_year", "Pump fuel replaced a year")]
    faults: Annotated[list[str], Key("text", "What is wrong with the file; empty where nothing")]


class FolderDocument(TypedDict):
    """All farms of a folder."""

    folder: Annotated[str, Key("text", "Which")]
    farms: Annotated[list[FarmRow], Key("text", "By file name")]
    refused: Annotated[int, Key("count", "Farms that could not be decided")]


def row_of(path: Path) -> FarmRow:
    """Decide one farm, or tell its faults.

    Parameters
    ----------
    path : Path
        A farm file.

    Returns
    -------
    FarmRow
        Numbers in the farm's own units and money.
    """
    try:
        scenario, _ = load_with_records(path)
        result, ahead = answer_with_odds(scenario)
    except ScenarioError as error:
        return _refused(path, [str(_within(path.parent, problem)) for problem in error.problems])
    header, outcome = scenario.scenario, result.expected
    worth = {key: row.measures["equivalent_annual"] for key, row in outcome.ledgers.items()}
    replaced = from_canonical(outcome.typical.fuel["fuel_replaced"], "volume", header.units)
    return FarmRow(
        file=path.name,
        title=header.title,
        units=header.units,
        currency=header.currency,
        advice=result.advice.key,
        worth_time_paid=number(worth["time_paid"]),
        worth_time_free=number(worth["time_free"]),
        ahead_time_paid=ahead["time_paid"],
        ahead_time_free=ahead["time_free"],
        kit_to_buy=number(outcome.kit_to_buy),
        own_hours=number(outcome.typical.fuel["own_hours"]),
        fuel_replaced=number(replaced),
        faults=[],
    )


def _within(folder: Path, problem: Problem) -> Problem:
    """Name a fault's file as the folder does, wherever the folder stands."""
    file = Path(problem.file)
    return (
        replace(problem, file=str(file.relative_to(folder))) if folder in file.parents else problem
    )


def _refused(path: Path, faults: list[str]) -> FarmRow:
    return FarmRow(
        file=path.name,
        title=None,
        units=None,
        currency=None,
        advice=None,
        worth_time_paid=None,
        worth_time_free=None,
        ahead_time_paid=None,
        ahead_time_free=None,
        kit_to_buy=None,
        own_hours=None,
        fuel_replaced=None,
        faults=faults,
    )


def _pooled(paths: list[Path], workers: int) -> Iterator[FarmRow]:
    """Decide farms in order in other processes, and here what a process took with it."""
    from concurrent.futures.process import BrokenProcessPool

    from econ.questions.workers import workers_for

    done = 0
    try:
        with workers_for(row_of, workers, "spawn") as in_order:
            for row in in_order(paths):
                yield row
                done += 1
    except BrokenProcessPool:
        yield from map(row_of, paths[done:])


def _rows(paths: list[Path], workers: int, cluster: str | None) -> Iterator[FarmRow]:
    """Decide farms in order, here, in other processes or on a cluster."""
    if cluster is not None:
        from econ.answers.cluster import spread

        return spread(row_of, [path.resolve() for path in paths], cluster, workers)
    if workers < 2 or len(paths) < _WORKER_FARMS:
        return map(row_of, paths)
    return _pooled(paths, workers)


def folder_document(
    folder: Path,
    tell: Callable[[int, int], None] | None = None,
    workers: int | None = None,
    cluster: str | None = None,
) -> FolderDocument:
    """Decide every farm of a folder; a farm that is refused keeps none of the others back.

    Parameters
    ----------
    folder : Path
        Its files that end in ``.toml`` are farms; folders inside it are left alone.
    tell : callable, optional
        Told (farms done, in all).
    workers : int, optional
        Processes; one for each core by default, where there are many farms.
    cluster : str, optional
        Where a Dask cluster does the work: ``local`` or a scheduler's address. Its workers must
        find the folder under the same name.

    Returns
    -------
    FolderDocument
        The same to the last bit whatever the number of workers, and wherever they are.

    Raises
    ------
    ScenarioError
        If there is no farm file in it, or no such cluster.
    """
    paths = sorted(path for path in folder.glob("*.toml") if path.is_file())
    if not paths:
        message = "holds no farm file: none of its files ends in .toml"
        raise ScenarioError((Problem(str(folder), "", None, message),))
    rows = []
    for row in _rows(paths, workers or os.cpu_count() or 1, cluster):
        rows.append(row)
        if tell is not None:
            tell(len(rows), len(paths))
    refused = sum(bool(row["faults"]) for row in rows)
    return FolderDocument(folder=str(folder), farms=rows, refused=refused)
