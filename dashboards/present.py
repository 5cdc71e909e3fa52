"""One answer as a page, a PDF, a workbook, tables; figures as decided."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from dashboards.output import OutputError, refuse_existing, write_all

if TYPE_CHECKING:
    # For types alone: the model is imported by the command that needs it.
    from econ.answers.decision import Decision

Made = dict[Path, bytes]


def _page(decision: "Decision", full: bool) -> bytes:
    from dashboards.page.render import page

    return page(decision, full=full).encode()


def _pdf(decision: "Decision", full: bool) -> bytes:
    from dashboards.page.pdf import pdf
    from dashboards.page.render import page

    return pdf(page(decision, full=full))


def _workbook(decision: "Decision", full: bool) -> bytes:
    from dashboards.workbook.book import workbook

    return workbook(decision.answer)


def _long_csv(decision: "Decision", full: bool) -> bytes:
    from dashboards.csv_tables import long_csv

    return long_csv(decision.answer, decision.chances).encode()


RENDERINGS: "dict[str, Callable[[Decision, bool], bytes]]" = {
    ".html": _page,
    ".pdf": _pdf,
    ".xlsx": _workbook,
    ".csv": _long_csv,
}


def _targets(to: Path, name: str) -> dict[Path, str]:
    """Return what is to be written: one file by its ending, or a set in a folder."""
    if to.is_dir() or not to.suffix:
        if not to.is_dir():
            message = f"{to}: there is no such folder; make it first, or name a file"
            raise OutputError(message)
        return {to / f"{name}{suffix}": suffix for suffix in RENDERINGS if suffix != ".csv"}
    suffix = to.suffix.lower()
    if suffix not in RENDERINGS:
        message = f"{to}: ends in {to.suffix}; name a folder or a file in {', '.join(RENDERINGS)}"
        raise OutputError(message)
    return {to: suffix}


def _tables(decision: "Decision", to: Path, name: str) -> Made:
    """Make the tables of the whole set; their library is imported for nothing else."""
    from dashboards.csv_tables import csv_tables

    return {
        to / f"{name}-{key}.csv": text.encode()
        for key, text in csv_tables(decision.answer, decision.chances).items()
    }


def present(decision: "Decision", to: Path, *, full: bool, force: bool) -> list[Path]:
    """Write one answer to a file, or the whole set to a folder.

    Parameters
    ----------
    decision : Decision
        A farm worked through.
    to : Path
        A folder that is there, or a file in one of `RENDERINGS`.
    full : bool
        Whether the page is followed by all assumptions, cautions and months.
    force : bool
        Whether files that are there are replaced.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    OutputError
        If anything is in the way, cannot be made or cannot be written; then nothing is.
    """
    name = decision.scenario.path.stem
    targets = _targets(to, name)
    tables = _tables(decision, to, name) if to.is_dir() else {}
    refuse_existing([*targets, *tables], force=force)
    made: Made = {path: RENDERINGS[suffix](decision, full) for path, suffix in targets.items()}
    write_all({**made, **tables}, force=force)
    return [*made, *tables]
