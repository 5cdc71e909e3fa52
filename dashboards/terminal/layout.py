"""Building blocks of the terminal's pages: headings, paragraphs, aligned columns.

No sign is ever cut: words wrap, and columns too many for a narrow terminal are stacked.
"""

import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Sequence

from msgspec import Struct
from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from econ.ground.wording import visible

WIDTH = 80
# A screen has this many lines.
LINES = 40
_NARROWEST = 20
# A column of words is not made narrower than this while there is room to stack instead.
_NARROW_WORDS = 12


class _Console(Console):
    """A console that leaves it to the command to say that nobody reads on."""

    def on_broken_pipe(self) -> None:
        """Hand the closed pipe on; rich would end the program."""
        raise BrokenPipeError


def console() -> Console:
    """Return a console of 80 columns at most, coloured only on a terminal that wants it."""
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") in ("dumb", "unknown")
    # Names print as they stand: no markup, no emoji codes.
    first = _Console(highlight=False, markup=False, emoji=False)
    wide = shutil.get_terminal_size((WIDTH, 24)).columns if first.is_terminal else WIDTH
    return _Console(
        highlight=False,
        markup=False,
        emoji=False,
        width=min(WIDTH, max(_NARROWEST, wide)),
        color_system=None if plain else "auto",
    )


def heading(text: str) -> RenderableType:
    """Return a section's heading."""
    return Text(f"\n{visible(text, lines=True)}", style="bold")


def paragraph(text: str, *, indent: int = 2, style: str = "") -> RenderableType:
    """Return wrapped text, indented."""
    return Padding(Text(visible(text, lines=True), style=style), (0, 0, 0, indent))


def bullet(text: str, *, mark: str = "-", style: str = "") -> RenderableType:
    """Return a wrapped text with a mark that hangs before it."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=3, justify="right")
    grid.add_column(overflow="fold")
    grid.add_row(mark, Text(visible(text, lines=True), style=style))
    return grid


class _Columns(Struct, frozen=True):
    """Aligned columns that know how to become narrower, and to stack where they cannot."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: frozenset[int]
    bold: frozenset[int]

    def _cells(self, index: int) -> Iterator[str]:
        yield from (row[index] for row in self.rows if index < len(row))

    def _natural(self, index: int) -> int:
        """Return the width in which nothing of a column wraps."""
        texts = [self.heads[index], *self._cells(index)]
        return max(cell_len(line) for text in texts for line in text.split("\n"))

    def _least(self, index: int) -> int:
        """Return the width below which a column would break a word or a figure."""
        words = [cell_len(word) for word in self.heads[index].split()]
        if index not in self.left:
            return max([*words, *(cell_len(cell) for cell in self._cells(index)), 0])
        words += [cell_len(word) for cell in self._cells(index) for word in cell.split()]
        return max([*words, min(self._natural(index), _NARROW_WORDS)])

    def _widths(self, room: int) -> list[int] | None:
        """Share the room out; None where the columns do not fit side by side."""
        count = len(self.heads)
        natural = [self._natural(index) for index in range(count)]
        widths = [min(self._least(index), natural[index]) for index in range(count)]
        spare = room - 2 * count - sum(widths)
        if spare < 0:
            return None
        while spare > 0 and widths != natural:
            widest = max(range(count), key=lambda index: natural[index] - widths[index])
            widths[widest] += 1
            spare -= 1
        return widths

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Draw the columns side by side, or row by row."""
        widths = self._widths(options.max_width)
        if widths is None:
            yield from self._stacked()
        else:
            yield self._aligned(widths)

    def _aligned(self, widths: list[int]) -> RenderableType:
        table = Table(box=None, padding=(0, 1), pad_edge=True, header_style="dim", expand=False)
        for index, head in enumerate(self.heads):
            table.add_column(
                Text(head),
                justify="left" if index in self.left else "right",
                width=widths[index],
                overflow="fold",
            )
        for index, row in enumerate(self.rows):
            table.add_row(*(Text(cell) for cell in row), style="bold" if index in self.bold else "")
        return table

    def _stacked(self) -> Iterator[RenderableType]:
        """Return each row as a name with its figures below it, each after its column's head."""
        heads = [" ".join(head.split()) for head in self.heads]
        named = 0 in self.left
        if named and heads[0]:
            yield Padding(Text(heads[0], style="dim"), (0, 0, 0, 1))
        for index, row in enumerate(self.rows):
            style = "bold" if index in self.bold else ""
            if named and row[0].strip():
                yield Padding(Text(row[0].strip(), style=style), (0, 0, 0, 1))
            for head, cell in list(zip(heads, row, strict=True))[int(named) :]:
                if cell.strip():
                    text = f"{head}: {cell}" if head else cell
                    yield Padding(Text(text, style=style), (0, 0, 0, 3))


def columns(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    left: Sequence[int] = (0,),
    bold: Sequence[int] = (),
) -> RenderableType:
    """Return aligned columns: the ones in `left` as text, the others as figures.

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

    Returns
    -------
    RenderableType
        Stacked, row by row, on a terminal too narrow for all columns. A column in which no row
        says anything is left out.
    """
    cells = [tuple(row) for row in rows]
    kept = [k for k in range(len(heads)) if not cells or any(row[k].strip() for row in cells)]
    return _Columns(
        tuple(visible(heads[k], lines=True) for k in kept),
        tuple(tuple(visible(row[k]) for k in kept) for row in cells),
        frozenset(kept.index(k) for k in left if k in kept),
        frozenset(bold),
    )


class _Drawn(Struct, frozen=True):
    """A page drawn at full width to count its lines, and drawn anew at any other."""

    whole: RenderableType
    segments: list[Segment]

    @property
    def lines(self) -> int:
        """Return how many lines it has at full width."""
        return len(list(Segment.split_lines(self.segments)))

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Give what is drawn already, where there is just so much room."""
        if options.max_width == WIDTH:
            yield from self.segments
        else:
            yield self.whole


def _drawn(whole: RenderableType) -> _Drawn:
    full = _Console(highlight=False, markup=False, emoji=False, width=WIDTH, color_system=None)
    return _Drawn(whole, list(full.render(whole)))


def one_screen(build: Callable[[int], Iterable[RenderableType]], most: int) -> RenderableType:
    """Return a page with as many rows of its tables as one screen of full width has room for.

    Parameters
    ----------
    build : callable
        Parts of the page with at most so many rows to a table.
    most : int
        Rows beyond which a table says no more at a glance.

    Returns
    -------
    RenderableType
        Of the same rows on every terminal, so that a narrow one loses none.
    """
    for rows in range(most, 1, -1):
        drawn = _drawn(page(build(rows)))
        if drawn.lines <= LINES:
            return drawn
    return page(build(1))


def shown_rows(
    rows: Sequence[Sequence[str]], most: int | None
) -> tuple[Sequence[Sequence[str]], int]:
    """Return the rows there is room for and how many more there are.

    Parameters
    ----------
    rows : sequence of sequence of str
        All of them.
    most : int or None
        Lines there is room for, one of them for the count of the others; None for all.

    Returns
    -------
    tuple of sequence and int
    """
    if most is None or len(rows) <= most:
        return rows, 0
    kept = max(1, most - 1)
    return rows[:kept], len(rows) - kept


def page(parts: Iterable[RenderableType]) -> RenderableType:
    """Stack parts into one page."""
    return Group(*parts)
