"""Which plan, on a terminal. Reads only the document."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from dashboards.terminal.notices import cautions, gravest
from econ.answers.first_screen import MOST_CAUTIONS
from econ.answers.plan import PUMP_FUEL, PlanDocument, WaitingDocument, WhichPlanDocument
from econ.ground.written import Numbers

_SHOWN_NEAR = 6


def _plan(plan: PlanDocument, numbers: Numbers) -> Iterator[RenderableType]:
    """Return what one plan takes, burns and buys."""
    if plan["setup"] is not None:
        yield bullet(f"Cleaned with: {plan['setup']}")
    yield bullet(f"Oil from: {'; '.join(plan['oils'])}")
    for machine, what in plan["machines"].items():
        if what != PUMP_FUEL:
            yield bullet(f"{machine}: blend with {what}")
    left = [machine for machine, what in plan["machines"].items() if what == PUMP_FUEL]
    if left:
        yield bullet(f"On pump fuel: {'; '.join(left)}")
    hours, kit = numbers.hours(plan["own_hours"]), numbers.money(plan["kit_to_buy"])
    fuel = numbers.volume(plan["fuel_replaced"])
    yield bullet(f"{kit} of kit to buy, {hours} of your own a year, {fuel} of fuel replaced a year")


def _near(doc: WhichPlanDocument, numbers: Numbers) -> Iterator[RenderableType]:
    """Set the best plan, those next to it, the file's and nothing side by side."""
    best, drawn = doc["best"], doc["best_drawn"]
    rows = []
    if best["oils"]:
        sure = (numbers.percent(drawn["ahead"]), numbers.money(drawn["p5"]))
        rows.append(_row("best", best, sure, numbers))
    for k, near in enumerate(doc["near"][:_SHOWN_NEAR], start=2 if best["oils"] else 1):
        sure = (numbers.percent(near["drawn"]["ahead"]), numbers.money(near["drawn"]["p5"]))
        rows.append(_row(f"{k}{' (tie)' if near['tie'] else ''}", near, sure, numbers))
    rows.append(_row("the file's", doc["file"], ("", ""), numbers))
    rows.append(
        ("nothing", "", "", numbers.money(0.0), numbers.money(0.0), numbers.hours(0.0), "", "")
    )
    heads = (
        "Plan",
        "sources",
        "mach.",
        "worth\na year",
        "kit\nto buy",
        "own\nhours",
        "ahead",
        "1 in 20\nbelow",
    )
    yield columns(heads, rows, bold=[0] if best["oils"] else [len(rows) - 1])


def _row(name: str, plan: PlanDocument, sure: tuple[str, str], numbers: Numbers) -> tuple[str, ...]:
    burning = sum(what != PUMP_FUEL for what in plan["machines"].values())
    return (
        name,
        str(len(plan["oils"])),
        str(burning),
        numbers.money(plan["equivalent_annual"]),
        numbers.money(plan["kit_to_buy"]),
        numbers.hours(plan["own_hours"]),
        *sure,
    )


def _differs(doc: WhichPlanDocument) -> Iterator[RenderableType]:
    """Say how each plan next to the best differs from it."""
    start = 2 if doc["best"]["oils"] else 1
    for k, near in enumerate(doc["near"][:_SHOWN_NEAR], start):
        if near["differs"]:
            yield bullet(near["differs"], mark=f"{k}")


def _gravest(doc: WhichPlanDocument) -> Iterator[RenderableType]:
    """Return the gravest cautions of the best plan in a line each."""
    shown = doc["cautions"]
    rest = f"All {len(shown)} cautions of this plan with their basis: --all"
    return gravest(shown[:MOST_CAUTIONS], rest if len(shown) > MOST_CAUTIONS else "")


def _regret(doc: WhichPlanDocument, numbers: Numbers) -> RenderableType:
    heads = ("Fuel costs", *(f"x {factor:g}" for factor in doc["regret_factors"]), "most behind")
    names = {"best": "best", "file": "the file's", "nothing": "nothing"}
    rows = [
        (names[row["plan"]], *map(numbers.money, row["worth"]), numbers.money(row["worst"]))
        for row in doc["regret"]
    ]
    return columns(heads, rows)


def _waiting(waiting: WaitingDocument) -> Iterator[RenderableType]:
    """Say what small first and then choosing is worth, and what to do in each future."""
    yield heading("Small first, then choose")
    yield paragraph(waiting["text"])
    known = {(cell["fuel"], cell["oil"]): cell["then"] for cell in waiting["cells"]}
    words = {"bigger": "buy bigger", "carry on": "stay small", "stop": "stop"}
    rows = [
        (f"fuel {fuel}", *(words[known[fuel, oil]] if (fuel, oil) in known else "" for oil in oils))
        for fuel in ("down", "level", "up")
        for oils in (("little", "as promised", "much"),)
        if any((fuel, oil) in known for oil in oils)
    ]
    yield columns(("After a year", "little oil", "as promised", "much oil"), rows)


def render(doc: WhichPlanDocument, *, everything: bool = False) -> RenderableType:
    """Lay the answer out as a page for the terminal.

    Parameters
    ----------
    doc : WhichPlanDocument
        From `which_plan_document`.
    everything : bool
        Whether all cautions are shown with their basis, not the gravest.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    numbers, says = Numbers(doc["units"], doc["currency"]), doc["says"]
    parts: list[RenderableType] = [
        paragraph(doc["title"], indent=0, style="bold"),
        paragraph(f"{says['best']} {says['file']}", indent=0),
    ]
    if doc["best"]["oils"]:
        parts += [heading("The best plan"), *_plan(doc["best"], numbers)]
    parts += [bullet(text, mark="!") for text in (row["text"] for row in doc["limits"])]
    parts += [bullet(note, mark="!") for note in doc["notes"]]
    parts += [heading("Beside the others"), *_near(doc, numbers), *_differs(doc)]
    parts += [paragraph(text) for text in (says["ties"], says["draws"]) if text is not None]
    if doc["stair"]:
        parts.append(heading("From nothing, one source at a time"))
        parts += [
            bullet(step["text"], mark=f"{k}.") for k, step in enumerate(doc["stair"], start=1)
        ]
    if doc["one_more"]:
        parts.append(heading("One more, one less"))
        parts += [bullet(row["text"]) for row in doc["one_more"]]
    if doc["waiting"] is not None:
        parts += _waiting(doc["waiting"])
    parts += [heading("If fuel costs more or less"), _regret(doc, numbers)]
    parts.append(paragraph(says["regret"]))
    if says["timing"] is not None:
        parts.append(paragraph(says["timing"]))
    parts.append(paragraph(says["tried"]))
    parts += cautions(doc) if everything else _gravest(doc)
    if doc["written"] is not None:
        worth = numbers.money(doc["best"]["equivalent_annual"])
        parts.append(paragraph(f"Written to {doc['written']}, which comes to {worth} a year."))
    return page(parts)
