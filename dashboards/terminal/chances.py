"""How sure it is, on a terminal: chances, what matters, where it tips, what to learn first."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, one_screen, page, paragraph
from econ.answers.chance_keys import ChancesDocument, OutlookDocument
from econ.answers.rows import HEADLINES, LEDGERS, LEVERS
from econ.ground.written import Numbers

_FIRST_SWINGS = 5
_FIRST_LEARNING = 3
_LEVELS = ("low", "middle", "high")
_SHOWN_SWINGS = 12
_SHOWN_GUESSES = 8


def summary(doc: ChancesDocument) -> Iterator[RenderableType]:
    """Return the chances in a few lines, for the decision's page.

    Parameters
    ----------
    doc : ChancesDocument
        The chances as plain numbers.

    Yields
    ------
    RenderableType
    """
    words = doc["words"]
    yield heading("How sure is it?")
    for text in (words["ahead"], *words["worth"], words["bad_year"][0]):
        yield bullet(text)
    yield paragraph(f"From {doc['draws']:,} draws of every guess in the file (seed {doc['seed']}).")


def _worth(doc: OutlookDocument, write: Numbers) -> RenderableType:
    """Lay out what each ledger is worth, to the end and free to stop."""
    rows = []
    for kind in LEDGERS:
        low, _, high = doc["spreads"][f"{kind.key}.npv"]["levels"]
        free = doc["with_stopping"][kind.key]
        for label, levels, mean in (
            (kind.label, (low, high), doc["mean"][kind.key]),
            (
                f"  {kind.short.lower()}, free to stop",
                (free["levels"][0], free["levels"][2]),
                free["mean"],
            ),
        ):
            rows.append((label, write.money(levels[0]), write.money(mean), write.money(levels[1])))
    heads = ("worth in today's money", "1 in 20 below", "mean of draws", "1 in 20 above")
    return columns(heads, rows)


def _ahead(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    """Say how sure it is, what a bad year holds and when to stop."""
    words, repair = doc["words"], doc["largest_repair"]
    yield paragraph(words["ahead"], indent=0, style="bold")
    yield _worth(doc, write)
    yield paragraph(f"{words['stopping'][0]} {doc['stop_line']}")
    for text in words["bad_year"]:
        yield bullet(text)
    if repair is not None:
        yield bullet(repair["sentence"])


def _back(doc: OutlookDocument) -> Iterator[RenderableType]:
    """Say how it would have gone at the prices of the public record."""
    yield heading("Looking back")
    for text in doc["words"]["history"]:
        yield paragraph(text)
    if doc["past_prices"] is not None:
        yield paragraph(doc["past_prices"]["sentence"])


def _find_out(doc: OutlookDocument) -> Iterator[RenderableType]:
    yield heading("What to find out first")
    for text in doc["learning_words"][:_FIRST_LEARNING]:
        yield bullet(text)


def _drawn(doc: OutlookDocument) -> str:
    return f"{doc['words']['prices']} {doc['draws']:,} draws, seed {doc['seed']}"


def _levels(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("How far figures spread: 1 in 20 below, middle, 1 in 20 above")
    rows = []
    # What is left after repairs in a bad year stands above, with repairs as they fall.
    for row in (row for row in HEADLINES if row.key != "after_wear"):
        spread = doc["spreads"][row.key]
        written = [write.of(row.dimension, value) for value in spread["levels"]]
        exists = "" if spread["defined"] > 0.995 else write.percent(spread["defined"])
        rows.append((row.label, *written, exists))
    yield columns(("", "1 in 20\nbelow", "middle", "1 in 20\nabove", "exists in"), rows)
    yield paragraph('"Exists in": share of draws that have the figure at all, where not all do.')


def _payback(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("Chance that the kit is paid back within")
    limits = list(doc["payback_within"][LEDGERS[0].key])
    rows = [
        (kind.label, *(write.percent(doc["payback_within"][kind.key][limit]) for limit in limits))
        for kind in LEDGERS
    ]
    heads = ("", *(f"{limit} year{'' if limit == '1' else 's'}" for limit in limits))
    yield columns(heads, rows)


def _balance(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("Running balance: 1 in 20 below, middle, 1 in 20 above")
    both = [doc["running_balance"][kind.key] for kind in LEDGERS]
    rows = [
        (str(year), *(write.money(value) for balance in both for value in balance[year]))
        for year in range(len(both[0]))
    ]
    yield columns(
        (
            "end of\nyear",
            *(f"time {kind}:\n{level}" for kind in ("free", "paid") for level in _LEVELS),
        ),
        rows,
    )


def _swings(doc: OutlookDocument, write: Numbers, most: int) -> Iterator[RenderableType]:
    yield heading("What moves a year's worth most, your time paid")
    rows = [
        (swing["name"], *(write.money(value) for value in swing["equivalent_annual"]["time_paid"]))
        for swing in doc["swings"][:most]
    ]
    yield columns(("", "at its least", "at its most"), rows)


def _indices(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("How much of the spread each guess explains (worth, your time paid)")
    rows = [
        (row["name"], write.percent(max(0.0, row["index"] or 0.0)))
        for row in doc["first_order"]["time_paid"][:_SHOWN_GUESSES]
    ]
    yield columns(("", "first-order index"), rows)


def _thinners(doc: OutlookDocument) -> Iterator[RenderableType]:
    if not doc["best_thinner"]:
        return
    yield heading("Which thinner comes first (whole farm, same job, your time paid)")
    for name, share in doc["best_thinner"].items():
        yield bullet(f"{name}: in {100 * share:.0f} of 100 draws")


def _tips(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("Where it tips (on average values)")
    levers = {lever.key: lever for lever in LEVERS}
    for kind in LEDGERS:
        yield paragraph(f"{kind.label}, worth is zero where alone")
        never = []
        for tip in doc["tipping_points"]:
            lever = levers[tip["lever"]]
            if tip["ledger"] != kind.key:
                continue
            if tip["value"] is None or tip["factor"] is None:
                never.append(lever.label)
                continue
            way = "fall to" if tip["factor"] < 1.0 else "rise to"
            yield bullet(
                f"{lever.label} would have to {way} {write.of(lever.dimension, tip['value'])}"
                f" from {write.of(lever.dimension, tip['now'])}"
            )
        if never:
            yield bullet(f"never, from nothing to ten times over: {', '.join(never)}")


def _lines(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    levers = {lever.key: lever for lever in LEVERS}
    for line in doc["zero_lines"]:
        points = [point for point in line["points"] if point[1] is not None][::2]
        if not points:
            continue
        kind = next(kind for kind in LEDGERS if kind.key == line["ledger"])
        first, second = levers[line["first"]], levers[line["second"]]
        yield heading(f"Two at once, worth zero: {kind.label.lower()}")
        rows = [(write.of(first.dimension, a), write.of(second.dimension, b)) for a, b in points]
        yield columns((first.label, second.label), rows, left=())


def _learning(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("What finding out is worth, before deciding")
    for kind in LEDGERS:
        rows = [row for row in doc["worth_of_learning"][kind.key] if row["matters"]]
        if not rows:
            yield paragraph(f"{kind.label}: no single guess would change the decision.")
            continue
        yield paragraph(f"{kind.label}: knowing it is worth up to")
        for row in rows[:_SHOWN_GUESSES]:
            error = f" (give or take {write.money(row['error'])})" if row["error"] else ""
            yield bullet(f"{row['name']}: {write.money(row['value'])}{error}; {row['tells']}")
        everything = doc["worth_of_learning_all"][kind.key]
        yield bullet(f"every guess at once, even what nobody can know: {write.money(everything)}")
    yield paragraph(
        "In the first three months write down: oil taken in and left over after cleaning, filters"
        " and hours for each batch, and fuel for each hour of work; then run this again."
    )


def _stopped(doc: OutlookDocument, write: Numbers) -> Iterator[RenderableType]:
    """Say in how many draws the plan is stopped by each year."""
    shares = [doc["with_stopping"][kind.key]["stopped"] for kind in LEDGERS]
    if not shares[0]:
        return
    yield heading("Better stopped by the end of year")
    heads = ("", *(str(year) for year in range(1, len(shares[0]) + 1)))
    rows = [
        (kind.label, *(write.percent(share) for share in row))
        for kind, row in zip(LEDGERS, shares, strict=True)
    ]
    yield columns(heads, rows)


def render(doc: OutlookDocument) -> RenderableType:
    """Lay the outlook out on one screen: what bears on the decision.

    Parameters
    ----------
    doc : OutlookDocument
        The JSON document of an outlook.

    Returns
    -------
    RenderableType
        At most forty lines at 80 columns.
    """
    write = Numbers(doc["units"], doc["currency"])

    def parts(swings: int) -> Iterator[RenderableType]:
        yield paragraph(doc["title"], indent=0)
        yield from _ahead(doc, write)
        yield from _back(doc)
        yield from _find_out(doc)
        yield from _swings(doc, write, swings)
        yield paragraph(f"{_drawn(doc)}; --all shows the rest.")

    return one_screen(parts, _FIRST_SWINGS)


def render_all(doc: OutlookDocument) -> RenderableType:
    """Lay every table out, ending on what bears on the decision.

    Parameters
    ----------
    doc : OutlookDocument
        The JSON document of an outlook.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    write = Numbers(doc["units"], doc["currency"])
    return page(
        [
            paragraph(doc["title"], indent=0),
            *_payback(doc, write),
            *_stopped(doc, write),
            *_levels(doc, write),
            *_balance(doc, write),
            *_swings(doc, write, _SHOWN_SWINGS),
            *_indices(doc, write),
            *_thinners(doc),
            *_tips(doc, write),
            *_lines(doc, write),
            *_learning(doc, write),
            paragraph(f"{_drawn(doc)}."),
            *_back(doc),
            *_find_out(doc),
            heading("How sure is it?"),
            *_ahead(doc, write),
        ]
    )
