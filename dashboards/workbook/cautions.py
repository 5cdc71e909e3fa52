"""The sheet of cautions: what this farm's own numbers call for, the gravest first."""

from dashboards.workbook.sheets import Book
from econ.answers.document import Answer, shown_cautions

# Signs that a line of the widest column holds, and the height of a line in points.
_ACROSS, _LINE = 95, 15


def cautions_sheet(book: Book, result: Answer) -> None:
    """Write every caution with its basis, as the farm stood when the workbook was made.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    result : Answer
        A farm worked through.
    """
    sheet = book.sheet("Cautions", (40, 100, 50), frozen=2)
    sheet.text(
        0, 0, "Before you do any of it; made for the farm file, not for changed cells", "title"
    )
    sheet.heads(1, ("In short", "In full", "Basis"))
    for row, shown in enumerate(shown_cautions(result), start=2):
        for column, text in enumerate((shown.brief, shown.text, shown.basis)):
            sheet.text(row, column, text, "wrap")
        lines = 1 + max(len(shown.text) // _ACROSS, 2 * len(shown.basis) // _ACROSS)
        sheet.raw.set_row(row, _LINE * min(20, lines))


def first_caution(result: Answer) -> str:
    """Return the line of the first sheet that sends to the cautions.

    Parameters
    ----------
    result : Answer
        A farm worked through.

    Returns
    -------
    str
        Empty where nothing is to be warned of.
    """
    shown = shown_cautions(result)
    if not shown:
        return ""
    return f"Before you do any of it, read the sheet Cautions. First of all: {shown[0].brief}"
