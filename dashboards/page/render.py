"""One sheet of paper as HTML, in the order of the first screen: in a file, printed, on a page.

It only sets what `econ.answers` has worded; drawings are those of the first screen.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from pathlib import Path

from dashboards.drawings import dot_key, dots, gallon_bar, marked, month_strip, price_scale
from dashboards.page.markup import bullets, named, plain, safe, section, table, width
from dashboards.page.second import second_page
from econ.answers.decision import Decision, Json
from econ.answers.first_screen import FirstScreen
from econ.answers.paper import Paper
from econ.answers.rows import CLOSING_SHORT
from econ.ground.written import Numbers

# A letter of 10 points beside the bar, two thirds of the sheet, and beside the scale. [%]
_BAR_LETTER, _SCALE_LETTER = 1.3, 0.9
# Longest name of a machine, an owner and a repair, and what of it one line of its column takes.
_NAMES = ((40, 26), (24, 14), (64, 48))
# Lines of machines on the sheet, by how many grave cautions it must hold.
_ROWS = ((6, 5), (9, 4), (99, 3))
# Lines that cautions may fill, in two columns, beside all that the sheet must hold; a grave one
# stands whatever room there is.
_CAUTION_LINES = 10
# Signs of one line in half the sheet's width.
_HALF = 52
# Letters that the names of guesses may take.
_GUESS_LETTERS = 180
# Above this share the heading says all there is to say of what it rests on.
_ALL = 0.995


def _top(decision: Decision) -> str:
    screen, header = decision.first_screen, decision.scenario.scenario
    flag = " <b>EXAMPLE, not your farm.</b>" if screen["example"] else ""
    day = f", {header.priced_on.isoformat()}" if header.priced_on else ""
    moved = f"<b>{safe(decision.what_if)}</b>" if decision.what_if else ""
    return (
        f'<div class="top"><span>{named(screen["farm"], 90)}{flag}</span>'
        f"<span>{safe(screen['prices_of'])}{day}, in {safe(header.currency)}</span>{moved}</div>"
    )


def _gallon(screen: FirstScreen, numbers: Numbers) -> str:
    gallon, price = screen["gallon"], screen["price"]
    if gallon is None or price is None:
        return section("gallon", "No fuel would be made, so none has a cost")
    bar = gallon_bar(gallon, price["end"], numbers, amounts=True, letter=_BAR_LETTER)
    return section("gallon", safe(gallon["title"]), bar)


def _dots(screen: FirstScreen) -> str:
    ahead = screen["ahead"]
    keys = _key_marks(ahead["lines"])
    lines = "".join(
        f"<p>{marks} {safe(line)}</p>" for marks, line in zip(keys, ahead["lines"], strict=True)
    )
    return section(
        "ahead",
        safe(ahead["title"]),
        f'<div class="counts">{dots(ahead)}<div>{lines}</div></div>',
    )


def _key_marks(lines: Sequence[str]) -> Iterator[str]:
    """Draw the dots that each line counts: half and full, full alone, empty."""
    counted = [line for line in lines if line[:1].isdigit()]
    kinds = ("free paid", "paid") if len(counted) == 2 else ("paid",)
    for k, _ in enumerate(lines):
        named_kinds = kinds[k] if k < len(counted) else "behind"
        yield "".join(dot_key(kind) for kind in named_kinds.split())


def _boxes(screen: FirstScreen) -> str:
    cells = []
    for box in screen["boxes"]:
        strip, note = "", box["note"]
        if box["key"] == "time":
            strip, note = month_strip(screen["months"]), marked(note, "busy months")
        cells.append(
            f'<div class="box">{safe(box["label"])}<b>{safe(box["figure"])}</b>{strip}'
            f"<span>{safe(note)}</span></div>"
        )
    return f'<div class="thirds">{"".join(cells)}</div>'


def _price(screen: FirstScreen, paper: Paper, numbers: Numbers) -> str:
    price = screen["price"]
    if price is None:
        return ""
    return section(
        "price",
        safe(price["line"]),
        price_scale(price, numbers, letter=_SCALE_LETTER),
        f"<p>{safe(paper['stop'])}</p>",
    )


def _rests(screen: FirstScreen, paper: Paper) -> str:
    rests, guesses = screen["rests"], screen["guesses"]
    shares = (
        f"<p>{100 * rests['bills']:.0f} % bills, {100 * rests['measured']:.0f} % measurements and"
        f" quotes, {100 * rests['guesses']:.0f} % guesses.</p>"
    )
    if rests["guesses"] > _ALL:
        shares = ""
    names = "; ".join(_whole_names([row["name"] for row in guesses["rows"]]))
    matter = f"<p>{safe(guesses['heading'])}: {names}.</p>" if names else ""
    return section("rests", safe(rests["heading"]), shares, matter)


def _whole_names(names: Sequence[str]) -> Iterator[str]:
    """Name as many guesses as there is room for, the first always, none of them cut short."""
    left = _GUESS_LETTERS
    for k, name in enumerate(names):
        left -= len(name) + 2
        if k and left < 0:
            return
        yield named(name, _GUESS_LETTERS)


def _loan(screen: FirstScreen, paper: Paper) -> str:
    return section(
        "loan",
        "A loan, and the way out",
        f"<p>{safe(screen['loan'])}</p><p>{safe(paper['lost'])}</p>",
    )


def _smaller(decision: Decision) -> str:
    """Set the smaller plan beside this one, where one was found."""
    smaller = decision.smaller
    if smaller is None:
        return ""
    rows = [
        (safe(row["label"]), safe(row["this"]), safe(row["smaller"])) for row in smaller["rows"]
    ]
    return section(
        "smaller",
        safe(smaller["line"]),
        table(
            "The two plans", (named(smaller["title"], 80), "This plan", "Smaller"), rows, "plans"
        ),
    )


def _machines(paper: Paper, numbers: Numbers, most: int) -> str:
    """List the machines that there is room for; a long name takes more than a line of it."""
    rows: list[tuple[str, ...]] = []
    lines = 0
    for row in paper["machines"]:
        cells = (row["name"], row["owner"], row["repair"] or "none")
        lines += max(
            ceil(sum(map(width, plain(cell, long))) / column)
            for cell, (long, column) in zip(cells, _NAMES, strict=True)
        )
        if rows and lines > most:
            break
        name, owner, repair = (
            named(cell, long) for cell, (long, _) in zip(cells, _NAMES, strict=True)
        )
        cost = "" if row["repair_cost"] is None else safe(numbers.spoken(row["repair_cost"]))
        saving = safe(numbers.spoken(row["saving"]))
        rows.append((name, owner, saving, repair, cost, safe(row["chance"])))
    if not rows:
        return ""
    more = len(paper["machines"]) - len(rows)
    notes = ["* after thinner, additives and repairs."]
    if more > 0:
        notes.append(f"And {more} more.")
    notes.append(safe(paper["on_pump_fuel"], 110))
    notes += [
        f"Kit of {named(r['owner'], 24)}: {safe(numbers.spoken(r['cost']))}."
        for r in paper["kit"][:3]
    ]
    heads = ("Machine", "Whose", "Saves a year*", "Repair to fear", "Costs", "Chance")
    return section(
        "machines",
        "Machines: whose they are and what may break",
        table("Machines", heads, rows, "owned"),
        f'<p class="foot">{" ".join(notes)}</p>',
    )


def _cautions(cautions: Sequence[Json], *, run_in: bool) -> str:
    """Set every grave caution, and as many others as there is room for; run in beside much else."""
    lines, shown = 0, []
    for caution in cautions:
        takes = 1 + len(caution["short"]) // _HALF
        if caution["severity"] == "grave" or lines + takes <= _CAUTION_LINES:
            shown.append(safe(caution["short"], 300))
            lines += takes
    more = len(cautions) - len(shown)
    rest = f" {more} more cautions stand in the full list." if more > 0 else ""
    listed = f'<div class="{"run-in" if run_in else "apart"}">{bullets(shown)}</div>'
    return section(
        "before",
        "Before you do any of it",
        listed,
        f'<p class="foot">{safe(CLOSING_SHORT)}{rest}</p>',
    )


def sheet(decision: Decision) -> str:
    """Set the one sheet, for whatever it is to stand in; `style` gives it its form.

    Parameters
    ----------
    decision : Decision
        A farm worked through.

    Returns
    -------
    str
        Markup of one element, without scripts or addresses.
    """
    screen, paper, numbers = decision.first_screen, decision.paper, decision.numbers
    cautions = decision.document["cautions"]
    grave = sum(caution["severity"] == "grave" for caution in cautions)
    smaller = _smaller(decision)
    # The smaller plan takes the room of a machine.
    rows = next(most for limit, most in _ROWS if grave <= limit) - (1 if smaller else 0)
    right = smaller or _loan(screen, paper)
    left = _rests(screen, paper) + (_loan(screen, paper) if smaller else "")
    year = f"<p>{safe(paper['year'])}</p>" if screen["gallon"] else ""
    return (
        f'<div class="sheet">{_top(decision)}<h1>{safe(screen["advice"])}</h1>'
        f'<p class="opening">{safe(screen["year"], 600)}</p>'
        f'<div class="thirds"><div class="both">{_gallon(screen, numbers)}</div>'
        f"{_dots(screen)}</div>{year}{_boxes(screen)}{_price(screen, paper, numbers)}"
        f'<div class="halves"><div>{left}</div><div>{right}</div></div>'
        f"{_machines(paper, numbers, rows)}{_cautions(cautions, run_in=bool(smaller))}</div>"
    )


def style() -> str:
    """Read the sheet's form, the same in a file and on a page."""
    return Path(__file__).with_name("style.css").read_text(encoding="utf-8")


def page(decision: Decision, *, full: bool = False) -> str:
    """Set the page as HTML that asks nothing of any network.

    Parameters
    ----------
    decision : Decision
        A farm worked through.
    full : bool
        Whether all assumptions, cautions and months follow on further sheets.

    Returns
    -------
    str
    """
    further = second_page(decision) if full else ""
    title = safe(decision.document["title"], 110)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\';'
        " style-src 'unsafe-inline'\">"
        f"<title>{title}</title><style>{style()}</style></head>"
        f'<body class="alone"><main>{sheet(decision)}{further}</main></body></html>\n'
    )
