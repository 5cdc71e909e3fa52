"""What the records say, on a terminal: stores, plan and what happened, each guess."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.answers.records_document import AdviceRow, RecordsDocument
from econ.ground.written import Numbers

_LIGHTS = {"met": "STOP", "near": "NEAR", "clear": "clear"}


def _log(doc: RecordsDocument) -> Iterator[RenderableType]:
    """Say what was read and what was not."""
    span = f", {doc['from']} to {doc['to']}" if doc["from"] else ""
    undone = f", {doc['undone']} undone" if doc["undone"] else ""
    yield heading(doc["title"])
    yield paragraph(f"{doc['log']}: {doc['rows']} rows{undone}{span}")
    if doc["faults"]:
        yield heading("Rows that cannot be read; the others count")
        for fault in doc["faults"]:
            yield bullet(fault, mark="!")
    if doc["torn"] is not None:
        yield bullet(f"The last line has no end and does not count: {doc['torn']}", mark="!")
    for pair in doc["twice"]:
        yield bullet(
            f"Rows {pair['earlier']} and {pair['later']} say the same ({pair['text']}). Both"
            f" count; if it is one event, add a row: undone, {pair['later']}.",
            mark="!",
        )


def _decision(title: str, advice: AdviceRow, write: Numbers) -> Iterator[RenderableType]:
    yield heading(title)
    worth = advice["equivalent_annual"]
    yield paragraph(
        f"{advice['key']} (worth a year: {write.money(worth['time_paid'])} with your time paid,"
        f" {write.money(worth['time_free'])} with it free)"
    )


def _balances(
    doc: RecordsDocument, write: Numbers, *, everything: bool
) -> Iterator[RenderableType]:
    """Return what should be in store now and the gaps that are told; all stretches on request."""
    kept = [
        row
        for row in doc["balances"]
        if everything or row["text"] or (row["dipped"] is None and row["store"] in ("raw", "clean"))
    ]
    if kept:
        yield heading("What should be in store")
        rows = [
            (
                row["store"],
                row["since"],
                row["until"],
                write.volume(row["expected"]),
                "" if row["dipped"] is None else write.volume(row["dipped"]),
                row["text"],
            )
            for row in kept
        ]
        heads = ("store", "from", "to", "by the rows", "by the stick", "")
        yield columns(heads, rows, left=(0, 1, 2, 5))


def _rules(doc: RecordsDocument) -> Iterator[RenderableType]:
    if doc["stop_rules"]:
        yield heading("When to stop")
    for rule in doc["stop_rules"]:
        yield bullet(f"{_LIGHTS[rule['light']]}. {rule['text']}")


def _happened(doc: RecordsDocument, write: Numbers) -> Iterator[RenderableType]:
    compared = sum(month["compared"] for month in doc["months"])
    if compared:
        yield heading(f"Plan and what happened, {compared} whole months")
        yield columns(
            ("", "plan", "so far"),
            [
                (
                    row["what"],
                    write.of(row["dimension"], row["plan"]),
                    "not recorded"
                    if row["so_far"] is None
                    else write.of(row["dimension"], row["so_far"]),
                )
                for row in doc["happened"]
            ],
        )
    for note in doc["notes"]:
        yield bullet(note)


def _months(doc: RecordsDocument, write: Numbers) -> Iterator[RenderableType]:
    yield heading("Month by month, plan / so far")
    keys = ("collected", "cleaned", "thinner", "fuel_replaced")
    rows = [
        (
            month["month"] + ("" if month["compared"] else " (broken)"),
            *(f"{month['plan'][key]:,.0f} / {month['so_far'][key]:,.0f}" for key in keys),
            f"{month['plan']['hours']:,.1f} / {month['so_far']['hours']:,.1f}",
        )
        for month in doc["months"]
    ]
    unit = write.volume_unit
    yield columns(
        (
            "",
            f"taken in, {unit}",
            f"cleaned, {unit}",
            f"thinner, {unit}",
            f"replaced, {unit}",
            "hours",
        ),
        rows,
    )


def _learned(doc: RecordsDocument, *, everything: bool) -> Iterator[RenderableType]:
    """Return what moved; on request also what is certain or says next to nothing."""
    quiet = [text.partition(": that none")[0] for text in doc["cannot_tell"]]
    rows = [
        (
            ("" if row["fits"] else "! ") + row["where"],
            row["guess_text"],
            row["records_text"],
            row["now_text"],
        )
        for row in doc["learned"]
        if everything or not row["fits"] or not (row["certain"] or row["where"] in quiet)
    ]
    if rows:
        yield heading("What the records say of each guess")
        heads = ("", "guessed", "on record", "known now, 9 in 10")
        yield columns(heads, rows, left=(0, 1, 2, 3))
    if not all(row["fits"] for row in doc["learned"]):
        yield bullet("Your records do not fit what you guessed here.", mark="!")
    if everything or len(doc["cannot_tell"]) == 1:
        yield from (bullet(f"{text}.") for text in doc["cannot_tell"])
    elif doc["cannot_tell"]:
        yield bullet(
            f"{len(doc['cannot_tell'])} parts have not failed, which proves nothing yet; such as"
            f" {doc['cannot_tell'][0]}."
        )


def _bills(doc: RecordsDocument, write: Numbers) -> Iterator[RenderableType]:
    if doc["bills"]:
        yield heading("Prices beside the last bill")
        yield columns(
            ("", "in the farm", "last bill", "on"),
            [
                (
                    bill["what"],
                    _price(bill["dimension"], bill["plan"], write),
                    _price(bill["dimension"], bill["bill"], write),
                    bill["on"],
                )
                for bill in doc["bills"]
            ],
        )


def _price(dimension: str, value: float, write: Numbers) -> str:
    return write.price(value) if dimension == "price_per_volume" else write.cents(value)


def render(doc: RecordsDocument, *, everything: bool = False) -> RenderableType:
    """Return a farm's records as a page for the terminal.

    Parameters
    ----------
    doc : RecordsDocument
        From `records_document`.
    everything : bool
        Whether every stretch, month, guess and bill is listed.

    Returns
    -------
    RenderableType
    """
    write = Numbers(doc["units"], doc["currency"])
    parts = [*_log(doc), *_decision("With your records in", doc["advice"], write)]
    if doc["advice_as_guessed"] is not None:
        parts += _decision("As you guessed", doc["advice_as_guessed"], write)
    parts += [*_rules(doc), *_balances(doc, write, everything=everything), *_happened(doc, write)]
    parts += _months(doc, write) if everything else []
    parts += _learned(doc, everything=everything)
    parts += _bills(doc, write) if everything else []
    return page(parts)
