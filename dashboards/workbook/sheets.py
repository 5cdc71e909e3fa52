"""Writing cells: text that is never run, formulas that read by name, styles."""

import datetime
import io
from functools import cache
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

# Where no date of the prices is given: no clock goes into the file.
_UNDATED = datetime.date(2000, 1, 1)
# A limit that never binds, where an input is left empty.
NO_LIMIT = "1E+99"
_LONGEST_TEXT = 32_000

_FORMATS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 14},
    "head": {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1},
    "text": {},
    "wrap": {"text_wrap": True, "valign": "top"},
    "bold": {"bold": True},
    "input": {"bg_color": "#FFF6D5", "border": 1, "num_format": "General", "locked": False},
    "day": {"bg_color": "#FFF6D5", "border": 1, "num_format": "yyyy-mm-dd", "locked": False},
    "fixed": {"font_color": "#555555"},
    "number": {"num_format": "#,##0.00"},
    "figure": {"num_format": "#,##0.00", "bold": True},
    "small": {"num_format": "0.000000"},
    "whole": {"num_format": "0"},
}


class _Plain(Worksheet):  # type: ignore[misc] # the library has no types
    """A sheet whose formulas use functions of old alone.

    The library looks for thirty newer ones in every formula, which takes half the time of a
    workbook; a test holds that the file is the same without it.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:
        if expand_future_functions:
            return str(super()._prepare_formula(formula, expand_future_functions))
        return formula.removeprefix("{").removeprefix("=").removesuffix("}")


@cache
def _column(column: int) -> str:
    """Return a column's letters."""
    return str(xl_col_to_name(column))


class Book:
    """A workbook in the making, with its names.

    Parameters
    ----------
    title : str
        Goes into the file's properties.
    dated : date or None
        The day of the prices; the file's only date.
    """

    def __init__(self, title: str, dated: datetime.date | None) -> None:
        self._stream = io.BytesIO()
        options = {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        }
        self._book = xlsxwriter.Workbook(self._stream, options)
        day = dated or _UNDATED
        moment = datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
        self._book.set_properties({"title": title[:200], "created": moment.replace(tzinfo=None)})
        self._formats = {key: self._book.add_format(kind) for key, kind in _FORMATS.items()}
        self.names: dict[str, str] = {}

    def sheet(self, title: str, widths: tuple[int, ...] = (), frozen: int = 0) -> "Sheet":
        """Add a sheet.

        Parameters
        ----------
        title : str
            One word.
        widths : tuple of int
            Of its first columns, in letters.
        frozen : int
            Rows that stay in sight.

        Returns
        -------
        Sheet
        """
        result = self._book.add_worksheet(title, worksheet_class=_Plain)
        for column, width in enumerate(widths):
            result.set_column(column, column, width)
        if frozen:
            result.freeze_panes(frozen, 0)
        result.set_landscape()
        result.fit_to_pages(1, 0)
        return Sheet(self, title, result)

    def name(self, name: str, reference: str) -> None:
        """Name a cell or a range.

        Parameters
        ----------
        name : str
            Unique in the workbook.
        reference : str
            With its sheet and dollar signs.
        """
        if name in self.names:
            message = f"the name {name} is given twice"
            raise ValueError(message)
        self.names[name] = reference
        self._book.define_name(name, f"={reference}")

    def style(self, key: str) -> Any:
        """Return a cell format."""
        return self._formats[key]

    def chart(self, kind: dict[str, str]) -> Any:
        """Make a chart, to be put on a sheet."""
        return self._book.add_chart(kind)

    def content(self) -> bytes:
        """Finish the workbook and give the file.

        Returns
        -------
        bytes
        """
        self._book.close()
        return self._stream.getvalue()


class Sheet:
    """One sheet in the making; rows and columns count from 0."""

    def __init__(self, book: Book, title: str, sheet: Any) -> None:
        self.book, self.title, self.raw = book, title, sheet

    def text(self, row: int, column: int, words: str, style: str = "text") -> None:
        """Write text as text, whatever it begins with."""
        self.raw.write_string(row, column, words[:_LONGEST_TEXT], self.book.style(style))

    def heads(self, row: int, words: tuple[str, ...], column: int = 0) -> None:
        """Write a row of heads."""
        for k, word in enumerate(words):
            self.text(row, column + k, word, "head")

    def number(
        self, row: int, column: int, value: float, style: str = "input", name: str = ""
    ) -> str:
        """Write a number and give its address; name it where a name is given."""
        self.raw.write_number(row, column, value, self.book.style(style))
        return self._named(row, column, name)

    def formula(
        self, row: int, column: int, formula: str, style: str = "number", name: str = ""
    ) -> str:
        """Write a formula and give its address; name it where a name is given."""
        # An empty stored result makes every program work it out on opening; with one stored,
        # LibreOffice would show it even after another program had changed an input.
        self.raw.write_formula(row, column, f"={formula}", self.book.style(style), "")
        return self._named(row, column, name)

    def at_most(self, row: int, column: int, most: float, words: str) -> None:
        """Refuse greater numbers typed into a cell, with the reason."""
        rule = {"validate": "decimal", "criteria": "<=", "value": most, "error_message": words}
        self.raw.data_validation(row, column, row, column, rule)

    def array(
        self, row: int, column: int, formula: str, style: str = "number", name: str = ""
    ) -> str:
        """Write a formula that goes through whole columns; name its cell where a name is given."""
        cell = self.at(row, column)
        style_ = self.book.style(style)
        self.raw.write_array_formula(f"{cell}:{cell}", f"{{={formula}}}", style_, "")
        return self._named(row, column, name)

    def blank(self, row: int, column: int, name: str = "") -> str:
        """Leave an input empty and give its address."""
        self.raw.write_blank(row, column, None, self.book.style("input"))
        return self._named(row, column, name)

    def cell(self, row: int, column: int) -> str:
        """Return the address of a cell on this sheet, fixed column and row."""
        return f"{self.title}!{self.at(row, column, fixed=True)}"

    @staticmethod
    def at(row: int, column: int, *, fixed: bool = False) -> str:
        """Return an address without its sheet."""
        name = _column(column)
        return f"${name}${row + 1}" if fixed else f"{name}{row + 1}"

    def range(self, first: tuple[int, int], last: tuple[int, int]) -> str:
        """Return the address of a range on this sheet."""
        return f"{self.cell(*first)}:{self.at(*last, fixed=True)}"

    def _named(self, row: int, column: int, name: str) -> str:
        if name:
            self.book.name(name, self.cell(row, column))
        return self.cell(row, column)
