"""The sheet to write down what was done, with lists to choose from; `records` reads it back."""

from dashboards.workbook.sheets import Book, Sheet
from econ.answers.document import Answer
from econ.answers.log_form import log_form

# Events that the sheet has room for.
_ROWS = 300
# Names below one event that are looked for.
_MOST_NAMES = 500
_WIDTHS = (8, 12, 10, 40, 12, 12, 8, 10, 8, 14, 30)
# Columns of the lists, right of the log with a free one between.
_LISTS = len(_WIDTHS) + 1


def log_sheet(book: Book, result: Answer) -> None:
    """Add the log of a farm, empty, to its workbook.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    result : Answer
        The farm worked through.
    """
    form = log_form(result.scenario)
    sheet = book.sheet(form.sheet, _WIDTHS, frozen=1)
    events = tuple(form.events)
    sheet.heads(0, (*form.heads, "", "What", *events))
    for k, entries in enumerate((events, *(event.names for event in form.events.values()))):
        for row, entry in enumerate(entries, start=1):
            sheet.text(row, _LISTS + k, entry)
    for row in range(1, _ROWS + 1):
        sheet.raw.write_number(row, 0, row, book.style("fixed"))
        for column, head in enumerate(form.heads[1:], start=1):
            kind = "day" if head == "date" else "input"
            sheet.raw.write_blank(row, column, None, book.style(kind))
    _choose(sheet, 2, f"={sheet.range((1, _LISTS), (len(events), _LISTS))}", hard=True)
    # The list of an event stands below its name, so that "which" offers what the event names.
    base = sheet.at(0, _LISTS + 1, fixed=True)
    named = sheet.range((0, _LISTS + 1), (0, _LISTS + len(events)))
    place = f"MATCH($C2,{named},0)-1"
    count = f"MAX(1,COUNTA(OFFSET({base},1,{place},{_MOST_NAMES},1)))"
    _choose(sheet, 3, f"=OFFSET({base},1,{place},{count},1)", hard=False)


def _choose(sheet: Sheet, column: int, source: str, *, hard: bool) -> None:
    """Offer a list in a column of the log; a hard one takes nothing else."""
    sheet.raw.data_validation(
        1,
        column,
        _ROWS,
        column,
        {
            "validate": "list",
            "source": source,
            "error_type": "stop" if hard else "information",
            "error_title": "Not in the list",
            "error_message": "Choose one of the list."
            if hard
            else "Not in the list: right for a batch or a tank of your own.",
        },
    )
