"""Which thinner, on a terminal. Reads only the document."""

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from dashboards.terminal.layout import (
    bullet,
    columns,
    heading,
    one_screen,
    page,
    paragraph,
    shown_rows,
)
from dashboards.terminal.notices import cautions, gravest
from econ.answers.comparison_document import Json
from econ.answers.first_screen import MOST_CAUTIONS
from econ.ground.labels import BOTTLENECKS
from econ.ground.written import Numbers

# Rows of a table on the one screen, at most; the others are counted.
_ROWS = 8


def _name(row: Json) -> str:
    return f"{row['thinner']} (now)" if row["present"] else str(row["thinner"])


def _able(scope: Json) -> list[Json]:
    return [row for row in scope["rows"] if row["result"]]


def _money(scope: Json, write: Numbers, years: int) -> Iterator[RenderableType]:
    offers = {row["thinner"]: row for row in _able(scope)}
    rows = []
    for rank in scope["ranking"]:
        offer = offers.get(rank["name"])
        result = None if offer is None else offer["result"]
        rows.append(
            (
                rank["name"] if offer is None else _name(offer),
                write.money(rank["kept"]),
                *(("", "", "", "") if result is None else _worths(result, write)),
            )
        )
    heads = (
        "The farm keeps",
        "a year, time\npaid",
        "a year, time\nfree",
        f"{years} years,\ntime paid",
        f"{years} years,\ntime free",
        f"per {write.volume_unit}\nof oil",
    )
    best = [k for k, rank in enumerate(scope["ranking"]) if rank["name"] == scope["best"]]
    yield columns(heads, rows, bold=best)


def _worths(result: Json, write: Numbers) -> tuple[str, ...]:
    return (
        write.money(result["worth"]["time_free"]),
        write.money(result["npv"]["time_paid"]),
        write.money(result["npv"]["time_free"]),
        write.cents(result["kept_per_oil"]),
    )


def _volumes(scope: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = []
    for row in _able(scope):
        result = row["result"]
        volumes = (result[key] for key in ("oil_used", "thinner", "blend", "fuel_left"))
        rows.append(
            (
                _name(row),
                *(f"{volume:,.0f}" for volume in volumes),
                write.cents(result["cost_per_blend"]["cash"]),
                write.cents(result["cost_per_replaced"]["cash"]),
            )
        )
    unit = write.volume_unit
    heads = (
        f"{unit} a year; cash cost",
        "oil\nburned",
        "thinner\nbought",
        "blend",
        "pump fuel\nleft",
        f"cost per\n{unit} blend",
        f"per {unit}\nreplaced",
    )
    yield columns(heads, rows)


def _seasons(row: Json) -> list[Json]:
    return list(row["mixes"][0]["seasons"])


def _share(season: Json, write: Numbers) -> str:
    if season["too_thick"]:
        return "too thick"
    return write.percent(season["thinner_share"])


def _parts(season: Json) -> str:
    parts = season["oil_parts_to_one_of_thinner"]
    if season["too_thick"]:
        return "none"
    return "oil alone" if parts is None else f"1 to {parts:.1f}"


def _thickness(season: Json) -> str:
    band = season["viscosity_40"]
    if season["too_thick"]:
        return "none"
    return f"{band['likely']:.1f} ({band['low']:.1f}-{band['high']:.1f})"


def _season_name(season: Json, count: int) -> str:
    if count == 1:
        return ""
    return "winter" if season["season"] == "winter" else "warm"


def _mixes(scope: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = []
    for row in scope["rows"]:
        seasons = _seasons(row)
        for k, season in enumerate(seasons):
            energy = season["energy_against_diesel"]
            rows.append(
                (
                    _name(row) if k == 0 else "",
                    _season_name(season, len(seasons)),
                    _share(season, write),
                    _parts(season),
                    _thickness(season),
                    "none" if energy is None else write.percent(energy),
                )
            )
    warm = write.temperature(104.0 if write.units == "us" else 40.0)
    heads = (
        "The mix",
        "",
        "thinner",
        "thinner\nto oil",
        f"cSt at {warm}\n(rules' range)",
        "heat,\ndiesel 100 %",
    )
    yield columns(heads, rows, left=(0, 1))


def _dangers(scope: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = []
    for row in scope["rows"]:
        seasons = [season for season in _seasons(row) if not season["too_thick"]]
        if not seasons:
            continue
        flashes = [season["flash"] for season in seasons]
        worst = min(seasons, key=lambda s: -1e9 if s["flash"] is None else s["flash"])
        flash = "as gasoline" if None in flashes else f"about {write.temperature(worst['flash'])}"
        colds = " / ".join(write.temperature(season["cold_limit"]) for season in seasons)
        fee = row["mixes"][0]["entry_fee_per_oil"]
        rows.append((_name(row), flash, str(worst["fire_label"]), colds, write.cents(fee)))
    heads = (
        "Beside thickness",
        "flash (estimate)",
        "fire class",
        "too thick\nbelow",
        f"fee per {write.volume_unit}\nof oil",
    )
    yield columns(heads, rows, left=(0, 1, 2))


def _ties(scope: Json, write: Numbers) -> Iterator[RenderableType]:
    """Return the price of each offer at which it ties with the best and with pump fuel."""
    best, pump = scope["best"], [row["thinner"] for row in scope["rows"] if row["is_pump_fuel"]]
    prices = {(tie["moved"], tie["against"]): tie for tie in scope["ties"]}

    def at(moved: str, against: str | None) -> str:
        if moved == against:
            return "itself"
        tie = prices.get((moved, against))
        if tie is None:
            return "none"
        return "never" if tie["price"] is None else write.price(tie["price"])

    rows = [
        (
            _name(row),
            write.price(row["price"]),
            at(row["thinner"], best),
            at(row["thinner"], pump[0] if pump else None),
            at(row["thinner"], None),
        )
        for row in _able(scope)
        if row["listed"]
    ]
    if not rows or not scope["ties"]:
        return
    none = "no plan" if scope["machine"] is None else "no blend"
    heads = ("Price at which it ties", "now", f"with\n{best}", "with\npump fuel", f"with\n{none}")
    yield columns(heads, rows)
    tied = [row["thinner"] for row in _able(scope) if row["listed"] and row["tied_to"]]
    if tied:
        yield paragraph(
            f"{' and '.join(tied)}: tied to a fuel's price, so the fuel you replace moves with it."
        )


def _warmth(scope: Json, write: Numbers, never_warmed: str) -> Iterator[RenderableType]:
    """Return the share that keeps a machine within its limit, by the fuel's temperature."""
    result = scope["by_fuel_temperature"]
    rows = []
    for name, shares in result["thinner_shares"].items():
        none = "never" if name in result["never_warmed"] else "none"
        rows.append((name, *(none if share is None else write.percent(share) for share in shares)))
    heads = ("Fuel at", *(write.temperature(t) for t in result["fuel_temperatures"]))
    yield columns(heads, rows)
    of = "the usual limit of its class" if result["viscosity_limit_is_usual"] else "its limit"
    yield paragraph(
        f"The thinner that keeps the blend at {result['viscosity_limit']:g} cSt, {of}, for each"
        f" month's fuel or a warmed tank; none: too thick by itself. {never_warmed}"
    )


def _job(scope: Json, write: Numbers) -> str:
    job = scope["job"]
    mild, cold = job["viscosity"], job["viscosity_winter"]
    warm = write.temperature(job["temperature"])
    if job["set_by"] == "viscosity_limit":
        cool = write.temperature(job["temperature_winter"])
        return f"The job: {mild:.1f} cSt at the fuel's {warm}, in winter {cool}."
    words = f"The job: {mild:.1f} cSt at {warm}"
    if round(mild, 1) != round(cold, 1):
        words += f", {cold:.1f} in winter"
    return words + ", as its own thinner and share make it now."


def _notes(scope: Json) -> Iterator[RenderableType]:
    for row in scope["rows"]:
        if row["refused"]:
            yield bullet(f"{row['thinner']}: {row['refused']}.")
        if row["set_aside"]:
            yield bullet(f"{row['thinner']}: not put forward, {row['set_aside']}.", mark="!")
        for note in row["notes"]:
            yield bullet(f"{row['thinner']}: {note}")
        concern = row["mixes"][0]["machine_concern"] if scope["machine"] else None
        if concern:
            yield bullet(f"{row['thinner']}: {concern}.", mark="!")
        covered = row["result"]["covered"] if row["result"] else 1.0
        if covered < 0.9995:
            yield bullet(
                f"{row['thinner']}: what is to be had a month covers {Numbers.percent(covered)}"
                " of the need."
            )


def _held_back(scope: Json) -> Iterator[RenderableType]:
    best = next((row for row in scope["rows"] if row["thinner"] == scope["best"]), None)
    if best is None:
        return
    held = best["result"]["months_held_back_by"]
    parts = [
        f"{BOTTLENECKS[key]} in {len(months)} months"
        for key, months in held.items()
        if key != "need"
    ]
    words = "; ".join(parts) if parts else "nothing: all that is wanted is made"
    yield paragraph(f"With {best['thinner']} the farm is held back by: {words}.")


def _limit_note(scope: Json) -> str:
    mix = scope["rows"][0]["mixes"][0]
    of = "its class's usual limit" if mix["viscosity_limit_is_usual"] else "its limit"
    last = " (winter last)" if len(mix["seasons"]) > 1 else ""
    return (
        f"Too thick below: the fuel temperature under which the blend passes"
        f" {mix['viscosity_limit']:g} cSt, {of}{last}. Wax and gel come on top."
    )


def _scope(doc: Json, scope: Json, write: Numbers) -> Iterator[RenderableType]:
    yield heading(scope["machine"] or "The whole farm, one thinner in every machine")
    if scope["job"]:
        yield paragraph(_job(scope, write))
    if not scope["oil_reaches_it"]:
        yield paragraph("No oil is left for it: the farm's oil earns more in other machines.")
    elif _able(scope):
        yield from _money(scope, write, doc["years"])
        yield from _volumes(scope, write)
    if scope["machine"]:
        yield from _mixes(scope, write)
        yield from _dangers(scope, write)
        yield paragraph(scope["band_note"])
        yield paragraph(_limit_note(scope))
        yield from _warmth(scope, write, doc["words"]["never_warmed"])
    yield from _ties(scope, write)
    yield from _notes(scope)
    if scope["machine"] is None:
        yield from _held_back(scope)


def _concerns(doc: Json) -> Iterator[RenderableType]:
    """Return what each thinner asks to look out for and its used-oil class, each once."""
    yield heading("What to look out for, apart from thickness")
    result: dict[str, dict[str, None]] = {}
    rules: dict[str, dict[str, None]] = {}
    mixes = [mix for scope in doc["scopes"] for row in scope["rows"] for mix in row["mixes"]]
    for mix in mixes:
        words = (f"cetane {mix['cetane_of_thinner']}.", *mix["concerns"])
        result.setdefault(mix["thinner"], {}).update(dict.fromkeys(words))
        rules.setdefault(mix["rule_text"], {})[f"{mix['thinner']} in {mix['machine']}"] = None
    for name, concerns in result.items():
        yield bullet(f"{name}: {' '.join(concerns)}")
    yield paragraph(
        "Repairs are counted by the oil burned, alike for every thinner: a dry one can wear a pump"
        f" faster. Cetane is the thinner's; the oil's is not rated. {doc['words']['flash']}"
    )
    for text, where in rules.items():
        of = "" if len(rules) == 1 else f", {'; '.join(where)}"
        yield bullet(f"Used-oil rules (US){of}: {text}")
    yield paragraph("Your state or country may be stricter: ask before you mix.")


def _heat(doc: Json, write: Numbers) -> str:
    heat, unit = doc["heat"], "Btu/gal" if write.units == "us" else "MJ/L"
    digits = ",.0f" if write.units == "us" else ",.1f"

    def of(key: str) -> str:
        return f"{heat[key]:{digits}}"

    return (
        f"Heat: used oil and No. 2 diesel hold {of('used_oil_gross')} and {of('diesel_gross')}"
        f" {unit} gross (40 CFR 98, table C-1). Net, diesel holds {of('diesel_net')} (US DOE, AFDC)"
        f" and this farm's oil is taken at {of('own_oil_net')},"
        f" {Numbers.percent(heat['own_oil_against_diesel'])} of it. By volume they differ by a few"
        " per cent; a claim of a third more heat has no support in published values."
    )


def _ranked(scope: Json, write: Numbers, most: int) -> Iterator[RenderableType]:
    """Rank the offers with what is done now and no plan, each with the prices that would tie."""
    offers = {row["thinner"]: row for row in _able(scope)}
    tie = {(t["moved"], t["against"]): t["price"] for t in scope["ties"]}

    def cells(rank: Json) -> tuple[str, ...]:
        row = offers.get(rank["name"])
        name = f"{rank['name']} (now)" if row is not None and row["present"] else rank["name"]
        if rank["set_aside"]:
            name += ", not put forward"
        free = None if row is None else row["result"]["worth"]["time_free"]
        return (
            name,
            write.money(rank["kept"]),
            "" if free is None else write.money(free),
            write.price(row["price"]) if row is not None and row["listed"] else "",
            *(_tied(tie, rank["name"], other, write) for other in (scope["best"], None)),
        )

    rows, more = shown_rows([cells(rank) for rank in scope["ranking"]], most)
    heads = (
        scope["machine"] or "One thinner in every machine",
        "a year,\ntime paid",
        "a year,\ntime free",
        "price\nnow",
        f"ties with\n{scope['best']} at" if scope["best"] else "ties",
        "with no\nblend at" if scope["machine"] else "with no\nplan at",
    )
    yield columns(heads, rows, bold=[0])
    if more:
        yield paragraph(f"and {more} more")


def _tied(
    tie: dict[tuple[str, str | None], float | None],
    moved: str,
    against: str | None,
    write: Numbers,
) -> str:
    """Write the price at which an offer ties with another; nothing where none was looked for."""
    if (moved, against) not in tie:
        return ""
    price = tie[moved, against]
    return "never" if price is None else write.price(price)


def _price_range(lead: Json, write: Numbers) -> str:
    """Write between which prices the first stays the first."""
    low, high = lead["down_to"], lead["up_to"]
    if low is None and high is None:
        return ""
    if low is None:
        return f"to {write.price(high)}"
    return (
        f"from {write.price(low)}" if high is None else f"{write.cents(low)} to {write.price(high)}"
    )


def _mix_in_short(scope: Json, lead: Json, write: Numbers) -> str:
    """Write the first thinner's share, winter's after it where it differs."""
    row = next((row for row in scope["rows"] if row["thinner"] == lead["first"]), None)
    if row is None:
        return "none"
    mild, *cold = (_share(season, write) for season in _seasons(row))
    return f"{mild} ({cold[0]})" if cold and cold[0] != mild else mild


def _by_machine(scopes: list[Json], write: Numbers, most: int | None) -> Iterator[RenderableType]:
    """Show what comes first in each machine, its mix, its lead and how long it stays first."""

    def cells(scope: Json) -> tuple[str, ...]:
        lead = scope["lead"]
        if not scope["oil_reaches_it"] or lead is None:
            left = "no oil is left for it" if lead is not None else "none does the job"
            return (scope["machine"], left, "", "", "", "")
        first = "pump fuel alone" if lead["first_kind"] == "off" else lead["first"]
        second = "pump fuel alone" if lead["second"].startswith("This machine") else lead["second"]
        return (
            scope["machine"],
            first,
            _mix_in_short(scope, lead, write),
            second,
            write.money(lead["ahead"]),
            _price_range(lead, write),
        )

    rows, more = shown_rows([cells(scope) for scope in scopes], most)
    heads = (
        "Machine by machine",
        "first",
        "thinner\n(winter)",
        "then",
        "behind\na year",
        "first at\nits price",
    )
    yield columns(heads, rows, left=(0, 1, 2, 3))
    if more:
        yield paragraph(f"and {more} more")


def _left_out(doc: Json) -> Iterator[RenderableType]:
    """Name the machines that are not compared; say why where there is nothing else to say."""
    if not doc["scopes"]:
        for left in doc["left_out"]:
            yield bullet(f"{left['machine']} {left['why']}")
    elif doc["left_out"]:
        yield paragraph(f"Not compared: {'; '.join(left['machine'] for left in doc['left_out'])}.")


def _pointer(doc: Json, file: str) -> str:
    return f"All {len(doc['cautions'])} cautions and the rest: drumworth thinners {file} --all"


def render(doc: Json, file: str) -> RenderableType:
    """Lay the thinner comparison out on one screen.

    Parameters
    ----------
    doc : dict
        From `thinners_document`.
    file : str
        Name of the farm's file, for the command that shows the rest.

    Returns
    -------
    RenderableType
        At most forty lines at 80 columns.
    """
    write = Numbers(doc["units"], doc["currency"])
    whole = [scope for scope in doc["scopes"] if scope["machine"] is None]
    machines = [scope for scope in doc["scopes"] if scope["machine"] is not None]

    def parts(rows: int) -> Iterator[RenderableType]:
        yield paragraph(doc["title"], indent=0, style="bold")
        if not doc["scopes"]:
            yield paragraph(_NOTHING)
        for scope in whole or machines:
            yield Text()
            yield paragraph(scope["sentence"], indent=0, style="bold")
            yield Text()
            yield from _ranked(scope, write, rows)
            if scope["machine"]:
                yield from _notes(scope)
        if machines:
            yield Text()
            yield from _by_machine(machines, write, rows)
        yield from _left_out(doc)
        yield from gravest(doc["cautions"][:MOST_CAUTIONS], _pointer(doc, file))

    return one_screen(parts, _ROWS)


_NOTHING = "Nothing to compare: no blend with a thinner is burned here."


def render_all(doc: Json) -> RenderableType:
    """Lay the whole thinner comparison out, ending on which to buy.

    Parameters
    ----------
    doc : dict
        From `thinners_document`.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    write = Numbers(doc["units"], doc["currency"])
    parts: list[RenderableType] = [
        paragraph(doc["title"], indent=0, style="bold"),
        paragraph(
            "Each thinner does the same job: the share that gives the same thickness. The model is"
            " run for each, on average values; machines are served in the farm's own order. Offers"
            " come by what the plan is worth a year, your time paid; kit and bills that hang on a"
            f" thinner come and go with it. {doc['words']['rated']}",
            indent=0,
        ),
    ]
    for scope in doc["scopes"]:
        parts += _scope(doc, scope, write)
        if scope["machine"] is None:
            now = write.money(doc["worth_now"])
            parts.append(
                paragraph(
                    f"As the file has it, each machine with its own: {now} a year, time paid."
                )
            )
    if doc["left_out"]:
        parts.append(heading("Not compared"))
    for left in doc["left_out"]:
        parts.append(bullet(f"{left['machine']} {left['why']}"))
    if doc["scopes"]:
        parts += _concerns(doc)
        parts.append(paragraph(_heat(doc, write)))
        parts += cautions(doc)
        parts.append(heading("Which one, in which machine, until which price"))
        parts += _by_machine([scope for scope in doc["scopes"] if scope["machine"]], write, None)
        parts += [bullet(scope["sentence"]) for scope in doc["scopes"]]
    else:
        parts.append(paragraph(_NOTHING))
    return page(parts)
