"""Every labelled figure of a farm's surfaces, read back from what they show.

A figure is a label, what it is of (an entry, a month, a year of the ledger) and its ledger; with
it stand the number, its unit and how finely it was written. Tables give a label by their row and
column, words by the sentence with its figures taken out, and by the phrases that name a figure of
the decision.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from html.parser import HTMLParser
from typing import Any

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from econ.ground.labels import MONTHS
from econ.ground.units import currency_sign

_UNITS = r"%|miles|km|cSt|°[FC]|gallons?|gal|litres?|L\b|hours?|h\b|months?|years?|trips?|drums?"
_MONTH_WORDS = {month.lower() for month in MONTHS}
# Words of a ledger, the longest first.
_LEDGERS = (
    (re.compile(r"(if |with )?(your|one's|the) time (is )?(free|unpaid)|time[ _]free|time unpaid"
                r"|(, |\b)free\b(?! to stop)"), "free"),
    (re.compile(r"paying you for your time|(if |with )?(your|one's|the) time (is )?paid"
                r"|time[ _]paid"), "paid"),
)  # fmt: skip
# What a figure is where nothing else is said: of the plan of the file, on average, for each
# volume of fuel replaced.
_DEFAULT = {"on average", "this plan", "the file's", "fuel replaced", "machine"}
_SEASONS = {"winter": "in winter", "warm": "warm", "outside winter": "warm"}
_LEANS = re.compile(r"\b(it|that|them|less|the best|as long as)\b")
_VOID = {"meta", "br", "img", "link", "input", "hr"}
_BLOCKS = {"p", "li", "h1", "h2", "h3", "summary", "caption", "dd", "dt", "title", "text", "span"}
_SILENT = {"style", "script", "graph", "desc", "svg"}
# What stands instead of a number.
_NONE = {"none", "never", "too thick", "no single rate"}


@dataclass(frozen=True, slots=True)
class Key:
    """What makes two figures the same figure."""

    label: str
    of: tuple[str, ...]
    ledger: str
    unit: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure as a surface shows it."""

    surface: str
    value: float | str
    step: float
    """How finely it is written: half of it may be lost by rounding."""

    def agrees(self, other: "Figure") -> bool:
        """Say whether two figures are the same, at the coarser of the two."""
        if isinstance(self.value, str) or isinstance(other.value, str):
            return self.value == other.value
        return abs(self.value - other.value) <= 0.501 * (self.step + other.step)


@dataclass
class Gathered:
    """All figures of one farm."""

    names: frozenset[str]
    """Names of the farm's entries: what a figure may be of."""
    currency: str
    decided: str
    """The ledger on which the advice rests: "free" or "paid"."""
    figures: dict[Key, list[Figure]] = field(default_factory=dict)

    def contradictions(self) -> list[str]:
        """Name every label that stands for two values."""
        faults = []
        for key, rows in self.figures.items():
            for row in rows[1:]:
                if not rows[0].agrees(row):
                    faults.append(
                        f"{key.label} {key.of} [{key.ledger}, {key.unit}]: {rows[0].surface}"
                        f" {rows[0].value}, {row.surface} {row.value}"
                    )
                    break
        return faults

    def shared(self) -> int:
        """Count the figures that stand on more than one surface."""
        return sum(len({row.surface for row in rows}) > 1 for rows in self.figures.values())

    def add(self, key: Key, figure: Figure) -> None:
        """Enter a figure."""
        self.figures.setdefault(key, []).append(figure)

    # -- numbers -------------------------------------------------------------------------------

    @property
    def sign(self) -> str:
        """The sign of the farm's money."""
        return currency_sign(self.currency).strip()

    @cached_property
    def number(self) -> re.Pattern[str]:
        """Match a number with its sign of money and its unit."""
        sign = re.escape(self.sign)
        return re.compile(
            rf"(?<![\w.])(?P<minus>[-−+]?)(?P<money>{sign}\s?)?(?P<digits>\d[\d,]*(?:\.\d+)?)"
            rf"(?:\s?(?P<unit>(?:/(?:gal|L|h|year|month)\b)|{_UNITS}))?(?![\w])"
        )

    @cached_property
    def phrases(self) -> list[tuple[re.Pattern[str], str, str]]:
        """Match the phrases that name a figure of the decision."""
        number = self.number.pattern
        return [(re.compile(p.replace("NUMBER", number)), *rest) for p, *rest in PHRASES]

    def read(self, hit: re.Match[str], *, spoken: bool) -> tuple[float, float, str]:
        """Read a number: its value, how finely it is written, its unit."""
        digits = hit["digits"].replace(",", "")
        value = float(digits) * (-1.0 if hit["minus"] in ("-", "−") else 1.0)
        decimals = len(digits.partition(".")[2])
        step = 10.0**-decimals
        unit = (hit["unit"] or "").removesuffix("/year")
        unit = {"hour": "h", "hours": "h", "gallon": "gal", "litre": "L"}.get(unit, unit)
        if hit["money"]:
            unit = "money"
            if digits == "10" and hit.string[: hit.start()].endswith("less than "):
                lost = hit.string[hit.end() :].startswith(" lost")
                return (-0.5 if lost else 0.5) * value, value, unit
            if spoken and not decimals:
                step = 10.0 if abs(value) < 1_000.0 else 100.0
            elif spoken and digits.endswith("0"):
                step = 0.1
        elif unit == "months":
            value, step, unit = value / 12.0, 1.0 / 12.0, "years"
        return value, step, unit

    def cell(self, text: str, *, spoken: bool) -> Iterator[tuple[float | str, float, str]]:
        """Read the figures of a cell."""
        if text.strip().lower() in _NONE:
            yield text.strip().lower(), 0.0, ""
            return
        for hit in self.number.finditer(text):
            yield self.read(hit, spoken=spoken)

    # -- labels --------------------------------------------------------------------------------

    def entries(self, words: str) -> list[str]:
        """Find the one entry, or the two with a comma between, that some words name."""
        if words in self.names:
            return [words]
        for hit in re.finditer(", ", words):
            both = [words[: hit.start()], words[hit.end() :]]
            if self.names.issuperset(both):
                return both
        return []

    def parted(self, terms: Iterable[str]) -> tuple[str, tuple[str, ...], str]:
        """Part what stands beside a figure into label, what it is of, and ledger."""
        label, of, ledger = [], [], ""
        for term in terms:
            words = " ".join(term.replace("\N{NO-BREAK SPACE}", " ").split())
            bare = words.removesuffix(" (now)").removesuffix("*")
            entries = self.entries(bare)
            if entries:
                of += entries
                continue
            words = words.lower().removesuffix("*").strip()
            for pattern, name in _LEDGERS:
                if pattern.search(words):
                    ledger, words = name, pattern.sub("", words)
            words = re.sub(r"(?<![-\w])of(?![-\w])|\ba (gallon|litre)\b", " ", words)
            words = " ".join(words.strip(" ,:;.").split())
            if words in _MONTH_WORDS or re.fullmatch(r"[\d,.+ %-]+", words):
                of.append(words)
            elif words and words not in _DEFAULT:
                label.append(words)
        return " | ".join(sorted(label)), tuple(sorted(of)), ledger

    # -- surfaces ------------------------------------------------------------------------------

    def table(
        self,
        surface: str,
        heads: Sequence[str],
        rows: Iterable[Sequence[str]],
        of: str = "",
        *,
        spoken: bool = False,
    ) -> None:
        """Enter a table's figures, each under its row and its column."""
        first, last = heads[0] if heads else "", ""
        for row in rows:
            last = row[0].strip() or last
            more = [_SEASONS[cell] for cell in row[1:] if cell in _SEASONS]
            more += [cell for head, cell in zip(heads, row, strict=False) if head == "What"]
            for head, text in zip(heads[1:], row[1:], strict=False):
                terms = [last, head, of, *more]
                label, subjects, ledger = self.parted(terms)
                if len(subjects) > bool(of) and first.strip():
                    label, subjects, ledger = self.parted([*terms, first])
                for k, (value, step, unit) in enumerate(self.cell(text, spoken=spoken)):
                    place = f" #{k}" if k else ""
                    self.add(
                        Key(label + place, subjects, ledger, unit), Figure(surface, value, step)
                    )

    def words(
        self, surface: str, text: str, of: str = "", *, ledger: str = "", spoken: bool = False
    ) -> None:
        """Enter a text's figures, each under its sentence with the figures taken out.

        A sentence that leans on the one before it is labelled with the text's first as well.
        """
        sentences = re.split(r"(?<=[.;!?])\s+", " ".join(text.split()))
        first = self.number.sub("#", sentences[0]).lower()
        for place, sentence in enumerate(sentences):
            quoted = [hit.span() for hit in re.finditer("“[^”]*”", sentence)]
            hits = [
                hit
                for hit in self.number.finditer(sentence)
                if (hit["money"] or hit["unit"])
                and not any(low < hit.start() < high for low, high in quoted)
            ]
            if not hits:
                continue
            told = sentence
            for hit in reversed(hits):
                told = f"{told[: hit.start()]}#{told[hit.end() :]}"
            if not re.search(r"[a-z]{3}", told):
                continue
            label = told.strip(" .;:").lower()
            if place and _LEANS.search(label):
                label = f"{first} ... {label}"
            for k, hit in enumerate(hits):
                value, step, unit = self.read(hit, spoken=spoken)
                self.add(
                    Key(f"“{label}” #{k}", (of,) if of else (), ledger, unit),
                    Figure(surface, value, step),
                )
        for pattern, name, ledger in self.phrases:
            for hit in pattern.finditer(text):
                value, step, unit = self.read(hit, spoken=True)
                if "loses" in hit[0]:
                    value = -value
                of_ledger = self.decided if ledger == "decided" else ledger
                self.add(
                    Key(name, (of,) if of else (), of_ledger, unit), Figure(surface, value, step)
                )

    def pair(self, surface: str, label: str, text: str, *, spoken: bool = False) -> None:
        """Enter figures that stand beside one label."""
        self.table(surface, ("", ""), [(label, text)], spoken=spoken)

    def value(
        self,
        label: str,
        of: tuple[str, ...],
        ledger: str,
        unit: str,
        value: float | None,
        surface: str = "json",
    ) -> None:
        """Enter a figure of a document."""
        name, subjects, found = self.parted((label, *of))
        figure = Figure(surface, "none", 0.0) if value is None else Figure(surface, value, 0.0)
        self.add(Key(name, subjects, ledger or found, unit), figure)


# Figures within sentences, by the label that tables and documents have for the same thing.
PHRASES = (
    (r"[Tt]he plan (?:leaves|loses) NUMBER a year(?: after tax)? for", "worth a year", "decided"),
    (r"job at NUMBER an hour", "pay for an hour your time", ""),
    (r"for NUMBER of work", "your own hours a year", ""),
    (r"[Dd]o not start below NUMBER", "do not start below", "free"),
    (r"carry on down to NUMBER", "carry on down to", "free"),
    (r"[Yy]ou count your hour at NUMBER", "your hour", ""),
    (r"The pump asks NUMBER", "at the pump", ""),
    (r"before tax: NUMBER after bills", "left after out-of-pocket costs", ""),
    (r"after bills, NUMBER after repairs", "left after repairs", ""),
    (r"NUMBER after the kit", "left after the kit", ""),
    (r"NUMBER after your time\. With", "left after your time", ""),
    (r"tax and timing NUMBER with your time free", "worth a year", "free"),
)


def terminal(gathered: Gathered, surface: str, page: Any, of_words: str = "") -> None:
    """Enter the figures of a page of the terminal; a heading says of what, a line which ledger."""
    of, ledger = "", ""
    for part in _parts(page):
        if isinstance(part, str):
            bare = part.strip()
            if _is_heading(part):
                of, ledger = bare if bare in gathered.names else "", ""
            elif not any(sign.isdigit() for sign in bare):
                ledger = gathered.parted([bare])[2] or ledger
            gathered.words(surface, part, of or of_words, ledger=ledger)
        elif hasattr(part, "heads"):
            gathered.table(surface, part.heads, part.rows, of)
        else:
            for title, rows in (part.left, part.right):
                gathered.table(surface, (title, ""), rows, of)


def _is_heading(text: str) -> bool:
    return text.startswith("\n")


def _parts(page: Any) -> Iterator[Any]:
    if isinstance(page, Group):
        for part in page.renderables:
            yield from _parts(part)
    elif isinstance(page, Padding):
        yield from _parts(page.renderable)
    elif hasattr(page, "whole"):  # drawn already, to count its lines
        yield from _parts(page.whole)
    elif isinstance(page, Text):
        yield page.plain
    elif isinstance(page, Table):
        for column in page.columns:
            for cell in column.cells:
                yield from _parts(cell)
    elif isinstance(page, str):
        yield page
    else:
        yield page


@dataclass
class Node:
    """One element of a page."""

    tag: str
    attributes: dict[str, str]
    inner: "list[Node | str]" = field(default_factory=list)

    def text(self) -> str:
        """Return all its words."""
        if self.tag in _SILENT:
            return ""
        parts = [part if isinstance(part, str) else part.text() for part in self.inner]
        return " ".join("".join(parts).split())

    def all(self, *tags: str) -> "Iterator[Node]":
        """Go through the elements of some tags below it."""
        for part in self.inner:
            if isinstance(part, Node):
                if part.tag in tags:
                    yield part
                else:
                    yield from part.all(*tags)


class _Tree(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Node("page", {})
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        node = Node(tag, {key: value or "" for key, value in attrs})
        self._open[-1].inner.append(node)
        if tag not in _VOID:
            self._open.append(node)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open[-1].inner.append(Node(tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        for depth in range(len(self._open) - 1, 0, -1):
            if self._open[depth].tag == tag:
                del self._open[depth:]
                return

    def handle_data(self, data: str) -> None:
        self._open[-1].inner.append(data)


def page(gathered: Gathered, surface: str, markup: str, of: str = "", *, spoken: bool) -> None:
    """Enter the figures of a page in HTML."""
    tree = _Tree()
    # A word joiner keeps a minus with its figure; it is no sign that is read.
    tree.feed(markup.replace("\u2060", ""))
    _walk(gathered, surface, tree.root, of, spoken)


def _walk(gathered: Gathered, surface: str, node: Node, of: str, spoken: bool) -> None:
    kind = node.attributes.get("class", "").split()
    if node.tag == "svg":
        gathered.words(surface, node.attributes.get("aria-label", ""), of, spoken=spoken)
    if node.tag in _SILENT:
        return
    if node.tag == "table":
        rows = [[cell.text() for cell in row.all("th", "td")] for row in node.all("tr")]
        if rows:
            gathered.table(surface, rows[0], rows[1:], of, spoken=spoken)
        return
    if "big" in kind:
        [label, value, note] = [part.text() for part in node.inner if isinstance(part, Node)]
        gathered.pair(surface, label, value)
        gathered.words(surface, note, of)
        return
    if "box" in kind or (
        node.tag == "div"
        and [n.tag for n in node.all("dt", "dd")][:1] == ["dt"]
        and "three-boxes" not in kind
    ):
        _box(gathered, surface, node)
        return
    if node.tag in _BLOCKS:
        gathered.words(surface, node.text(), of, spoken=spoken)
        return
    for part in node.inner:
        if isinstance(part, Node):
            _walk(gathered, surface, part, of, spoken)
        elif part.strip():
            gathered.words(surface, part, of, spoken=spoken)


def _box(gathered: Gathered, surface: str, node: Node) -> None:
    """Enter one of the boxes a partner asks for: a label, a figure, a note."""
    label = next((n.text() for n in node.all("dt")), None)
    figure = next((n.text() for n in node.all("dd")), None)
    if label is None:
        label = "".join(part for part in node.inner if isinstance(part, str))
        figure = next((n.text() for n in node.all("b")), "")
    gathered.pair(surface, label, figure or "", spoken=True)
