"""Building blocks of the terminal's pages: headings, paragraphs, aligned columns."""

from collections.abc import Iterable, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

WIDTH = 80


def console() -> Console:
    """Give the console: 80 columns at most, colour only on a terminal that wants it."""
    found = Console(highlight=False, soft_wrap=False)
    if found.width > WIDTH or not found.is_terminal:
        found = Console(highlight=False, width=WIDTH)
    return found


def heading(text: str) -> RenderableType:
    """Give a section's heading."""
    return Text(f"\n{text}", style="bold")


def paragraph(text: str, *, indent: int = 2, style: str = "") -> RenderableType:
    """Give wrapped text, indented."""
    return Padding(Text(text, style=style), (0, 0, 0, indent))


def bullet(text: str, *, mark: str = "-", style: str = "") -> RenderableType:
    """Give a wrapped text with a mark that hangs before it."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=3, justify="right")
    grid.add_column()
    grid.add_row(mark, Text(text, style=style))
    return grid


def columns(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    left: Sequence[int] = (0,),
    bold: Sequence[int] = (),
) -> RenderableType:
    """Give aligned columns: the ones in `left` as text, the others as figures.

    Parameters
    ----------
    heads : sequence of str
        Column heads.
    rows : iterable of sequence of str
        Cells.
    left : sequence of int
        Columns set to the left.
    bold : sequence of int
        Rows set in bold.
    """
    table = Table(box=None, padding=(0, 1), pad_edge=True, header_style="dim", expand=False)
    for index, head in enumerate(heads):
        table.add_column(
            head,
            justify="left" if index in left else "right",
            no_wrap=index not in left,
            overflow="fold",
        )
    for index, row in enumerate(rows):
        table.add_row(*(Text(cell) for cell in row), style="bold" if index in bold else "")
    return table


def page(parts: Iterable[RenderableType]) -> RenderableType:
    """Stack parts into one page."""
    return Group(*parts)
