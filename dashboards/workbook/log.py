"""The sheet to write down what was done, with lists to choose from; `records` reads it back."""

from dashboards.workbook.sheets import Book
from econ.answers.document import Answer
from econ.farm.log import COLUMNS, EVENTS, STORES
from econ.farm.log_layout import header_line
from econ.farm.log_reading import names_of
from econ.farm.log_sheet import LOG_SHEET

# Events that the sheet has room for.
_ROWS = 300
# Columns of the lists, right of the log with a free one between.
_LISTS = len(COLUMNS) + 1
_WIDTHS = (8, 12, 10, 40, 12, 12, 8, 10, 8, 14, 30)


def log_sheet(book: Book, result: Answer) -> None:
    """Add the log of a farm, empty, to its workbook.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    result : Answer
        The farm worked through.
    """
    unit = "gal" if result.scenario.scenario.units == "us" else "L"
    sheet = book.sheet(LOG_SHEET, _WIDTHS, frozen=1)
    heads = tuple(header_line(unit).split(","))
    names = names_of(result.scenario)
    parts = tuple(
        f"{machine}: {part}" for machine in names.machines for part in names.parts[machine]
    )
    which = (*names.sources, *names.machines, *names.bought, *STORES, *parts)
    lists = (("What", tuple(event.key for event in EVENTS)), ("Which", which))
    sheet.heads(0, (*heads, "", *(head for head, _ in lists)))
    for k, (_, entries) in enumerate(lists):
        for row, entry in enumerate(entries, start=1):
            sheet.text(row, _LISTS + k, entry)
    for row in range(1, _ROWS + 1):
        sheet.raw.write_number(row, 0, row, book.style("fixed"))
        for column in range(1, len(COLUMNS)):
            kind = "day" if COLUMNS[column].key == "date" else "input"
            sheet.raw.write_blank(row, column, None, book.style(kind))
    last = _ROWS
    for column, k, hard in ((2, 0, True), (3, 1, False)):
        letter, count = chr(ord("A") + _LISTS + k), len(lists[k][1])
        sheet.raw.data_validation(
            1,
            column,
            last,
            column,
            {
                "validate": "list",
                "source": f"=${letter}$2:${letter}${count + 1}",
                "error_type": "stop" if hard else "information",
                "error_title": "Not in the list",
                "error_message": "Choose one of the list."
                if hard
                else "Not in the list: right for a batch or a tank of your own.",
            },
        )
