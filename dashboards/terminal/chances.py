"""How sure it is, on a terminal: chances, what matters, where it tips, what to learn first."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.answers.document import Json
from econ.ground.written import Numbers
from econ.model.ledger import LEDGERS
from econ.model.levers import LEVERS
from econ.questions.chances import HEADLINES

_SHOWN_SWINGS = 8
_SHOWN_GUESSES = 5


def in_hundred(doc: Json, ledger: str) -> str:
    """Say a chance of coming out ahead as farms in a hundred."""
    count = round(100 * doc["ahead"][ledger])
    return f"In 100 farms like this about {count} come out ahead"


def summary(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    """Give the chances in a few lines, for the decision's page.

    Parameters
    ----------
    doc : dict
        The chances as plain numbers.
    show : Numbers
        How the file's numbers are written.

    Yields
    ------
    RenderableType
    """
    yield heading("How sure is it?")
    for kind in LEDGERS:
        low, _, high = doc["spreads"][f"{kind.key}.npv"]["levels"]
        text = (
            f"{kind.label}: {in_hundred(doc, kind.key).lower()}; 1 in 20 is worth"
            f" {show.money(low)} or less, 1 in 20 {show.money(high)} or more."
        )
        yield bullet(text)
    yield bullet(
        f"In 1 year of 20, repairs as they fall, less than {show.money(doc['bad_year'])} is left"
        " after repairs."
    )
    yield paragraph(f"From {doc['draws']:,} draws of every guess in the file (seed {doc['seed']}).")


def _levels(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("1 in 20 lower, middle, 1 in 20 higher")
    rows = []
    for row in HEADLINES:
        spread = doc["spreads"][row.key]
        written = [show.of(row.dimension, value) for value in spread["levels"]]
        exists = "" if spread["defined"] > 0.995 else show.percent(spread["defined"])
        rows.append((row.label, *written, exists))
    yield columns(("", "1 in 20", "middle", "1 in 20", "exists in"), rows)
    yield paragraph('"Exists in": share of draws that have the figure at all, where not all do.')


def _payback(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("Chance that the kit is paid back within")
    limits = list(doc["payback_within"][LEDGERS[0].key])
    rows = [
        (kind.label, *(show.percent(doc["payback_within"][kind.key][limit]) for limit in limits))
        for kind in LEDGERS
    ]
    heads = ("", *(f"{limit} year{'' if limit == '1' else 's'}" for limit in limits))
    yield columns(heads, rows)


def _balance(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("Running balance by year: 1 in 20 lower, middle, 1 in 20 higher")
    both = [doc["running_balance"][kind.key] for kind in LEDGERS]
    rows = [
        (str(year), *(show.money(value) for balance in both for value in balance[year]))
        for year in range(len(both[0]))
    ]
    yield columns(
        ("year", "free: low", "middle", "high", "paid: low", "middle", "high"),
        rows,
    )
    yield paragraph("Free: your time unpaid; paid: your hours at your wage.")


def _swings(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("What matters most (left after your time a year, all else likely)")
    rows = [
        (swing["name"], *(show.money(value) for value in swing["after_labour"]))
        for swing in doc["swings"][:_SHOWN_SWINGS]
    ]
    yield columns(("", "at its low", "at its high"), rows)
    yield heading("How much of the spread each guess explains (worth, your time paid)")
    rows = [
        (row["name"], show.percent(max(0.0, row["index"])))
        for row in doc["first_order"]["time_paid"][:_SHOWN_GUESSES]
    ]
    yield columns(("", "first-order index"), rows)


def _thinners(doc: Json) -> Iterator[RenderableType]:
    if not doc["best_thinner"]:
        return
    yield heading("Which thinner keeps most (whole farm, same job, your time paid)")
    for name, share in doc["best_thinner"].items():
        yield bullet(f"{name}: in {100 * share:.0f} of 100 draws")


def _tips(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("Where it tips (on average values)")
    levers = {lever.key: lever for lever in LEVERS}
    for kind in LEDGERS:
        yield paragraph(f"{kind.label}, worth is zero where alone")
        never = []
        for tip in doc["tipping_points"]:
            lever = levers[tip["lever"]]
            if tip["ledger"] != kind.key:
                continue
            if tip["value"] is None:
                never.append(lever.label)
                continue
            way = "fall to" if tip["factor"] < 1.0 else "rise to"
            yield bullet(
                f"{lever.label} would have to {way} {show.of(lever.dimension, tip['value'])}"
                f" from {show.of(lever.dimension, tip['now'])}"
            )
        if never:
            yield bullet(f"never, from nothing to ten times over: {', '.join(never)}")


def _lines(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    levers = {lever.key: lever for lever in LEVERS}
    for line in doc["zero_lines"]:
        points = [point for point in line["points"] if point[1] is not None][::2]
        if not points:
            continue
        kind = next(kind for kind in LEDGERS if kind.key == line["ledger"])
        first, second = levers[line["first"]], levers[line["second"]]
        yield heading(f"Two at once, worth zero: {kind.label.lower()}")
        rows = [(show.of(first.dimension, a), show.of(second.dimension, b)) for a, b in points]
        yield columns((first.label, second.label), rows, left=())


def _learning(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("What to find out first")
    for kind in LEDGERS:
        rows = [
            row
            for row in doc["worth_of_learning"][kind.key][:_SHOWN_GUESSES]
            if row["value"] is not None and row["value"] > 2.0 * (row["error"] or 0.0)
            and row["value"] >= 1.0
        ]  # fmt: skip
        if not rows:
            yield paragraph(f"{kind.label}: no single guess would change the decision.")
            continue
        yield paragraph(f"{kind.label}: knowing it before deciding is worth up to")
        for row in rows:
            error = f" (give or take {show.money(row['error'])})" if row["error"] else ""
            yield bullet(f"{row['name']}: {show.money(row['value'])}{error}")
        everything = doc["worth_of_learning_all"][kind.key]
        yield bullet(f"every guess at once: {show.money(everything)}")
    yield paragraph(
        "In the first three months write down: oil taken in and left over after cleaning, filters"
        " and hours for each batch, and fuel for each hour of work; then run this again."
    )


def render(doc: Json) -> RenderableType:
    """Give the outlook as a page for the terminal.

    Parameters
    ----------
    doc : dict
        The JSON document of an outlook.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    show = Numbers(doc["units"], doc["currency"])
    parts: list[RenderableType] = [
        paragraph(doc["title"], indent=0, style="bold"),
        *summary(doc, show),
        *_payback(doc, show),
        *_levels(doc, show),
        *_balance(doc, show),
    ]
    repair = doc["largest_repair"]
    if repair is not None:
        parts.append(
            bullet(
                f"Largest single repair bill: {repair['part']} on {repair['machine']},"
                f" {show.money(repair['cost'])}, about once in"
                f" {repair['years_between']:,.0f} years."
            )
        )
    parts += [
        *_swings(doc, show),
        *_thinners(doc),
        *_tips(doc, show),
        *_lines(doc, show),
        *_learning(doc, show),
    ]
    return page(parts)
