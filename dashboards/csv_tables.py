"""Tidy frames as CSV text that spreadsheet programs open without running anything."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from econ.answers.document import Answer
from econ.answers.tables import TABLES, tables

# A cell that starts with one of these is run as a formula by spreadsheet programs.
# Some take full-width signs for the plain ones, and a bar for a call of another program.
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "＝", "＋", "－", "＠")


def harmless(text: object) -> object:
    """Put an apostrophe before text that a spreadsheet program would run; leave numbers alone.

    Parameters
    ----------
    text : object
        A cell.

    Returns
    -------
    object
    """
    if isinstance(text, str) and text.startswith(_STARTS_FORMULA):
        return f"'{text}"
    return text


def csv_text(frame: pd.DataFrame) -> str:
    """Write one frame as CSV.

    Parameters
    ----------
    frame : DataFrame
        One of `econ.answers.tables.tables`.

    Returns
    -------
    str
        UTF-8 text with line feeds; undefined numbers are empty.
    """
    return frame.map(harmless).to_csv(index=False, lineterminator="\n")


def csv_tables(result: Answer, chances: Mapping[str, Any] | None = None) -> dict[str, str]:
    """Write every frame as CSV.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    chances : dict, optional
        Its chances as plain numbers.

    Returns
    -------
    dict of str to str
        Text by table; empty tables are left out.
    """
    frames = tables(result, chances)
    return {key: csv_text(frame) for key, frame in frames.items() if len(frame)}


def long_csv(result: Answer, chances: Mapping[str, Any] | None = None) -> str:
    """Write all frames as one long table: table, row, figure, value.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    chances : dict, optional
        Its chances as plain numbers.

    Returns
    -------
    str
        ``row`` joins the texts and whole numbers that name a row with " / "; undefined values
        are empty.
    """
    heads = {table.key: table for table in TABLES}
    parts = []
    for key, frame in tables(result, chances).items():
        columns = list(zip(heads[key].columns, frame.columns, strict=True))
        names = [head for column, head in columns if column.dimension in ("text", "whole")]
        figures = [head for head in frame.columns if head not in names]
        named = frame.assign(row=[" / ".join(map(str, row)) for row in frame[names].to_numpy()])
        long = named.melt(id_vars=["row"], value_vars=figures, var_name="figure")
        parts.append(long.assign(table=key)[["table", "row", "figure", "value"]])
    return csv_text(pd.concat([part for part in parts if len(part)], ignore_index=True))
