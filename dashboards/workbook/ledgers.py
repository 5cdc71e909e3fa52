"""Years, rates and ledgers: what comes in and goes out when, and what the plan is worth."""

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct

from dashboards.workbook.kit import LAST, TOP, TOTALS
from dashboards.workbook.sheets import Book, Sheet
from econ.answers.document import Answer, to_json
from econ.answers.rows import FLOW_LINES, LEDGERS, MEASURES, TAX, FlowLine, LedgerKind
from econ.ground.labels import FUELS

_GRID = 200
_HALVINGS = 56


_SHARED = ("growth", "fuel_growth", "discount", "exit")


def _lines() -> list[FlowLine]:
    """List the lines that a ledger is the sum of; those of a loan stand beside it."""
    return [line for line in FLOW_LINES if line.part != "loan"]


_OWN = (
    "saving",
    "flow",
    "balance",
    "running",
    "discounted",
    "reach",
    "discounted_reach",
    "lost",
    "shown",
    "fuel_worth",
    "fuel_sum",
    "other_sum",
    "kit_sum",
    "kit_before",
    "ended",
    "stop_below",
)


def _own() -> tuple[str, ...]:
    """List the series of one ledger: its lines, the tax on them, and what rests on both."""
    return (*(f"line_{line.key}" for line in _lines()), f"line_{TAX}", *_OWN)


def _shared(year: str) -> dict[str, str]:
    """Write the formulas of a year that both ledgers use."""
    return {
        "growth": f"(1+finance_inflation)^{year}",
        "fuel_growth": f"(1+finance_fuel_inflation)^{year}",
        "discount": f"(1+finance_discount_rate)^-{year}",
        "exit": f"exit_total*(1+finance_inflation)^{year}*(1-finance_tax_rate)",
    }


class _Years:
    """The years sheet; a series is a column, a year a row."""

    def __init__(self, book: Book, sheet: Sheet, series: list[str]) -> None:
        self.sheet = sheet
        self.columns = {name: column for column, name in enumerate(series)}
        sheet.heads(TOP - 1, tuple(series))
        for name, column in self.columns.items():
            book.name(f"years_{name}", sheet.range((TOP, column), (TOP + LAST, column)))

    def at(self, name: str, year: int) -> str:
        return self.sheet.at(TOP + year, self.columns[name])

    def put(self, name: str, year: int, formula: str, *, array: bool = False) -> None:
        write = self.sheet.array if array else self.sheet.formula
        write(TOP + year, self.columns[name], formula)


# Where the workbook lets change whether the tax rate is taken off; elsewhere the line's row says.
_TAXED = {"own_time": "labour_wage_taxed"}


class _OneLedger(Struct, frozen=True):
    """One ledger being written, year by year."""

    years: _Years
    result: Answer
    kind: LedgerKind

    def lines(self, year: int) -> dict[str, str]:
        """Write each flow line of a year, money in above 0, before tax where it is taxed."""
        row = f"$A{TOP + year + 1}"
        kit = {name: f"INDEX(kit_{name}_by_year,{row}+1)" for name in TOTALS}

        def amount(key: str) -> str:
            return f"IF({row}=1,first_{key},typical_{key})"

        growth, last = self.years.at("growth", year), f"{row}=finance_years"
        written = {
            "fuel": f"{amount('fuel_like')}*{self.years.at('fuel_growth', year)}",
            "costs": f"-({amount('other_costs')})*{growth}",
            "own_time": f"-{amount('own_time')}*{growth}" if self.kind.counts_labour else "0",
            "depreciation": f"finance_tax_rate*{kit['depreciation']}",
            "kit": f"-{kit['bought']}",
            "resale": f"{kit['resale']}+IF({last},{kit['sold']},0)",
            "exit": f"IF({last},-exit_total*{growth},0)",
        }
        return {
            line.key: f"IF({row}=0,{'-kit_cost' if line.key == 'kit' else '0'},{written[line.key]})"
            if line.key in written
            else self._as_made(line, year)
            for line in _lines()
        }

    def _as_made(self, line: FlowLine, year: int) -> str:
        """Return the amount of a line that has no formula here: the model's, when this was made."""
        series = self.result.expected.ledgers[self.kind.key].ledger.lines[line.key]
        return repr(float(series[year])) if year < len(series) else "0"

    def taxed(self, line: FlowLine) -> str:
        """Return 1 where the tax rate is taken off a line, else 0."""
        pays = line.taxed(self.result.expected.inputs)
        return _TAXED.get(line.key, "1" if pays else "0")


def _own_year(ledger: _OneLedger, year: int) -> None:
    """Write one ledger's year."""
    years, s = ledger.years, f"{ledger.kind.key}_"
    row = f"$A{TOP + year + 1}"
    inside = f"AND({row}>0,{row}<=finance_years)"
    kit = {name: f"INDEX(kit_{name}_by_year,{row}+1)" for name in TOTALS}
    before = max(year - 1, 0)
    last = {name: "0" if year == 0 else years.at(f"{s}{name}", before) for name in _own()}
    here = {name: years.at(f"{s}{name}", year) for name in _own()}
    taxed = {line.key: ledger.taxed(line) for line in _lines()}
    for key, formula in ledger.lines(year).items():
        years.put(f"{s}line_{key}", year, f"IF({row}<=finance_years,{formula},0)")
    base = "+".join(f"{here[f'line_{key}']}*{part}" for key, part in taxed.items() if part != "0")
    years.put(f"{s}line_{TAX}", year, f"-finance_tax_rate*({base})")
    years.put(f"{s}flow", year, "+".join(here[f"line_{key}"] for key in (*taxed, TAX)))
    saving = "+".join(
        f"{here[f'line_{line.key}']}*(1-finance_tax_rate*{taxed[line.key]})"
        for line in _lines()
        if line.part == "saving"
    )
    years.put(f"{s}saving", year, f"IF({row}<=finance_years,{saving},0)")
    exit_cost = years.at("exit", year)
    now = f"{here['saving']}-{kit['bought']}+{kit['resale']}"
    years.put(f"{s}balance", year, f"{last['balance']}+{here['flow']}")
    years.put(f"{s}running", year, f"{last['running']}+{now}")
    years.put(f"{s}discounted", year, f"{last['discounted']}+({now})*{years.at('discount', year)}")
    for name, reach in (("running", "reach"), ("discounted", "discounted_reach")):
        crossed = f"AND({inside},{here[name]}>=kit_cost,{last[name]}<kit_cost)"
        within = f"{row}-1+(kit_cost-{last[name]})/({here[name]}-{last[name]})"
        years.put(f"{s}{reach}", year, '""' if year == 0 else f'IF({crossed},{within},"")')
    kept = f"{here['running']}+{kit['bought']}-{kit['resale']}+{kit['sold']}"
    years.put(f"{s}lost", year, f'IF({inside},MAX(0,kit_cost-({kept}-{exit_cost})),"")')
    years.put(f"{s}shown", year, f"IF({row}<=finance_years,{here['balance']},NA())")
    _stopping(years, s, year, here, last, kit)


def _stopping(
    years: "_Years",
    s: str,
    year: int,
    here: dict[str, str],
    last: dict[str, str],
    kit: dict[str, str],
) -> None:
    """Write the price below which a plan running at the end of a year is better stopped.

    All sums are discounted to today; the factor on fuel prices after the year is the least, over
    stopping at any later one, that makes carrying on worth what stopping is.
    """
    row, discount = f"$A{TOP + year + 1}", years.at("discount", year)
    years.put(f"{s}fuel_worth", year, f"{here['line_fuel']}*(1-finance_tax_rate)*{discount}")
    years.put(f"{s}fuel_sum", year, f"{last['fuel_sum']}+{here['fuel_worth']}")
    other = f"{here['saving']}*{discount}-{here['fuel_worth']}"
    years.put(f"{s}other_sum", year, f"{last['other_sum']}+{other}")
    years.put(f"{s}kit_before", year, last["kit_sum"])
    swapped = f"({kit['resale']}-{kit['bought']})*{discount}"
    years.put(f"{s}kit_sum", year, f"{last['kit_sum']}+{swapped}")
    years.put(f"{s}ended", year, f"({kit['sold']}-{years.at('exit', year)})*{discount}")
    gained = f"(years_{s}fuel_sum-{here['fuel_sum']})"
    later = f"(years_year>{row})*(years_year<=finance_years)*({gained}>0)"
    worth = (
        f"({swapped}-{here['ended']}+years_{s}other_sum-{here['other_sum']}"
        f"+years_{s}kit_before-{here['kit_sum']}+years_{s}ended)"
    )
    least = f"MIN(IF({later},-{worth}/IF({gained}>0,{gained},1)))"
    price = "typical_saving_fuel_not_bought/typical_fuel_replaced"
    inside = f"AND({row}>0,{row}<finance_years,typical_fuel_replaced>0)"
    years.put(
        f"{s}stop_below",
        year,
        f'IF({inside},IF(SUM({later})>0,MAX(0,{least})*{price},"none"),"none")',
        array=True,
    )


def years_sheet(book: Book, result: Answer) -> None:
    """Write both ledgers year by year.

    Parameters
    ----------
    book : Book
        The workbook, its kit sheet written.
    result : Answer
        A farm worked through.
    """
    sheet = book.sheet("Years", (7,), frozen=TOP)
    sheet.text(0, 0, "Money over the years: year 0 is today, amounts fall at each year's end")
    series = ["year", *_SHARED]
    for kind in LEDGERS:
        series += [f"{kind.key}_{name}" for name in _own()]
    years = _Years(book, sheet, series)
    for year in range(LAST + 1):
        sheet.number(TOP + year, 0, float(year), "whole")
        for name, formula in _shared(f"$A{TOP + year + 1}").items():
            years.put(name, year, formula)
        for kind in LEDGERS:
            _own_year(_OneLedger(years, result, kind), year)


def _search(book: Book, sheet: Sheet, kind: str, part: str, column: int) -> None:
    """Write the worth at many rates, and mark between which it changes its sign."""
    sheet.heads(TOP - 1, ("1/(1+rate)", "worth", "root"), column)
    for k in range(_GRID + 1):
        row = TOP + k
        place = f"1/11+{k}*(1-1/11)/{_GRID}" if part == "gains" else f"100^({k}/{_GRID})"
        v, worth = sheet.at(row, column), sheet.at(row, column + 1)
        sheet.formula(row, column, place, "small")
        sheet.formula(row, column + 1, f"SUMPRODUCT(years_{kind}_flow,{v}^years_year)")
        zero = f"{worth}=0"
        if part == "losses" and k in (0, _GRID):
            zero = "FALSE"
        crosses = f"SIGN({worth})*SIGN({sheet.at(row + 1, column + 1)})<0" if k < _GRID else "FALSE"
        sheet.formula(row, column + 2, f"IF(OR({zero},{crosses}),1,0)", "whole")
    for j, name in enumerate(("place", "worth", "root")):
        reference = sheet.range((TOP, column + j), (TOP + _GRID, column + j))
        book.name(f"{kind}_{part}_{name}", reference)


def _halve(sheet: Sheet, kind: str, column: int) -> str:
    """Write the halving of the one interval that holds the rate; give the cell of the root."""
    gains, losses = f"SUM({kind}_gains_root)", f"SUM({kind}_losses_root)"
    part = f"IF({gains}>0,1,2)"
    sheet.heads(TOP - 1, ("low", "high", "middle", "worth"), column)
    first = f"IFERROR(IF({gains}>0,MATCH(1,{kind}_gains_root,0),MATCH(1,{kind}_losses_root,0)),1)"
    sheet.text(0, column, f"{kind}: first interval")
    index = sheet.formula(0, column + 1, first, "whole")
    sheet.text(1, column, "sign at its low end")

    def pick(name: str, at: str) -> str:
        return f"IF({part}=1,INDEX({kind}_gains_{name},{at}),INDEX({kind}_losses_{name},{at}))"

    sign = sheet.formula(1, column + 1, f"SIGN({pick('worth', index)})", "whole")
    for step in range(_HALVINGS):
        row = TOP + step
        low, high, middle = (sheet.at(row, column + j) for j in range(3))
        if step == 0:
            sheet.formula(row, column, pick("place", index), "small")
            sheet.formula(row, column + 1, pick("place", f"MIN({index}+1,{_GRID + 1})"), "small")
        else:
            was = [sheet.at(row - 1, column + j) for j in range(4)]
            same = f"SIGN({was[3]})={sign}"
            sheet.formula(row, column, f"IF({sign}=0,{was[0]},IF({same},{was[2]},{was[0]}))")
            sheet.formula(row, column + 1, f"IF({sign}=0,{was[0]},IF({same},{was[1]},{was[2]}))")
        sheet.formula(row, column + 2, f"({low}+{high})/2", "small")
        sheet.formula(row, column + 3, f"SUMPRODUCT(years_{kind}_flow,{middle}^years_year)")
    root = sheet.cell(TOP + _HALVINGS - 1, column)
    one = f"OR({gains}=1,AND({gains}=0,{losses}=1))"
    zero = f"SUMPRODUCT((years_{kind}_flow<>0)*1)=0"
    return f'IF({zero},"none",IF({one},1/{root}-1,"none"))'


def rates_sheet(book: Book) -> dict[str, str]:
    """Write the search for each ledger's only rate of return.

    Parameters
    ----------
    book : Book
        The workbook, its years sheet written.

    Returns
    -------
    dict of str to str
        The formula of the rate, by ledger.
    """
    sheet = book.sheet("Rates", (), frozen=TOP)
    result, column = {}, 0
    for kind in LEDGERS:
        for part in ("gains", "losses"):
            _search(book, sheet, kind.key, part, column)
            column += 3
        result[kind.key] = _halve(sheet, kind.key, column)
        column += 5
    return result


def _measures(kind: str, irr: str) -> dict[str, str]:
    """Return every measure of a ledger as a formula."""
    n, flow = "finance_years", f"years_{kind}_flow"
    pv = f"SUMPRODUCT({flow},years_discount)"
    later = "SUMPRODUCT(kit_bought_by_year-kit_resale_by_year,years_discount)"
    end = f"INDEX(years_discount,{n}+1)*(INDEX(kit_sold_by_year,{n}+1)-INDEX(years_exit,{n}+1))"
    outlay = f"-SUMPRODUCT(({flow}<0)*{flow},years_discount)"
    receipt = f"SUMPRODUCT(({flow}>0)*{flow},years_discount)"
    saves = f"INDEX(years_{kind}_saving,MIN(2,{n})+1)>0"

    def payback(reach: str) -> str:
        column = f"years_{kind}_{reach}"
        with_kit = f'IF(COUNT({column})=0,"none",MIN({column}))'
        return f'IF(kit_cost>0,{with_kit},IF({saves},0,"none"))'

    inside = f"(years_year>0)*(years_year<={n})"
    first = f"ROUNDUP({kind}_simple_payback,0)"
    below = f"SUMPRODUCT({inside}*(years_year>{first})*(years_{kind}_running<kit_cost))"
    factor, fuel = f"{kind}_price_factor", f"years_{kind}_fuel_worth"
    return {
        "npv": pv,
        "irr": irr,
        "mirr": f"IF(AND({outlay}>0,{receipt}>0),({receipt}*(1+finance_discount_rate)^{n}/"
        f'({outlay}))^(1/{n})-1,"none")',
        "investment": f"kit_cost+{later}-{end}",
        "sir": f"IF({kind}_investment>0,SUMPRODUCT(years_{kind}_saving,years_discount)"
        f'/{kind}_investment,"none")',
        "airr": f"IF(ISNUMBER({kind}_sir),IF({kind}_sir>0,(1+finance_discount_rate)"
        f'*{kind}_sir^(1/{n})-1,"none"),"none")',
        "equivalent_annual": f"{kind}_npv*recovery_factor",
        "simple_payback": payback("reach"),
        "discounted_payback": payback("discounted_reach"),
        "stays_paid": f'IF(ISNUMBER({kind}_simple_payback),IF({below}>0,0,1),"none")',
        "price_factor": f"IF(SUM({fuel})>0,IF(1-{kind}_npv/SUM({fuel})>0,"
        f'1-{kind}_npv/SUM({fuel}),"none"),"none")',
        "break_even_fuel_price": f"IF(AND(ISNUMBER({factor}),typical_fuel_replaced>0),{factor}"
        f'*typical_saving_fuel_not_bought/typical_fuel_replaced,"none")',
    }


def _as_made(result: Answer, kind: LedgerKind, key: str) -> str:
    """Return a measure that has no formula here: as it was when the workbook was made."""
    ledgers: Mapping[str, Mapping[str, Any]] = to_json(result)["ledgers"]
    value = ledgers[kind.key][key]
    return '"none"' if value is None else repr(float(value))


def ledgers_sheet(book: Book, result: Answer, irrs: dict[str, str]) -> None:
    """Write what the plan is worth, in both ledgers side by side.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    irrs : dict
        From `rates_sheet`.
    """
    sheet = book.sheet("Ledgers", (44, 22, 22, 44), frozen=2)
    sheet.text(0, 0, "What the plan is worth", "title")
    sheet.heads(1, ("", *(kind.label for kind in LEDGERS), "Standard term"))
    labels = {row.key: (row.label, row.term) for row in MEASURES if row.on("workbook")}
    labels["investment"] = ("Kit in today's money, less resale, plus the exit", "")
    labels["price_factor"] = ("Factor on fuel prices at which the worth is zero", "")
    fuels = result.expected.inputs.prices
    for column, kind in enumerate(LEDGERS, start=1):
        row = 2
        written = _measures(kind.key, irrs[kind.key])
        for key in labels:
            formula = written.get(key) or _as_made(result, kind, key)
            style = "small" if key in ("irr", "mirr", "airr", "sir", "price_factor") else "number"
            sheet.formula(row, column, formula, style, f"{kind.key}_{key}")
            sheet.text(row, 0, labels[key][0])
            sheet.text(row, 3, labels[key][1])
            row += 1
        row = _stops(sheet, row, column, kind, fuels)
    _timing(sheet, row + 1)


def _stops(sheet: Sheet, row: int, column: int, kind: LedgerKind, fuels: Iterable[str]) -> int:
    """Write below which price not to start, and what stopping loses; give the next row."""
    factor = f"{kind.key}_price_factor"
    rows = [
        (
            f"Do not start below, {FUELS[fuel]}",
            f'IF(ISNUMBER({factor}),price_{fuel}*{factor},"none")',
            f"{kind.key}_break_even_{fuel}",
        )
        for fuel in fuels
    ]
    for year in (1, 2, 3):
        lost = f"INDEX(years_{kind.key}_lost,{year + 1})"
        words = f"Lost by stopping after year {year}"
        formula = f'IF(finance_years>={year},{lost},"none")'
        rows.append((words, formula, f"{kind.key}_lost_{year}"))
    for label, formula, name in rows:
        sheet.text(row, 0, label)
        sheet.formula(row, column, formula, "number", name)
        row += 1
    return row


def _timing(sheet: Sheet, row: int) -> None:
    """Write what joins the year's steps to its worth, and the pay for an hour."""
    ends = {"time_free": "after_kit", "time_paid": "after_labour"}
    sheet.text(row, 0, "Tax and timing: from what is left of the typical year to its worth")
    for column, kind in enumerate(LEDGERS, start=1):
        step = f"typical_saving_{ends[kind.key]}"
        sheet.formula(
            row,
            column,
            f"{kind.key}_equivalent_annual-{step}",
            "number",
            f"tax_and_timing_{kind.key}",
        )
    hours = "IF(years_year=1,first_own_hours,typical_own_hours)"
    inside = "(years_year>0)*(years_year<=finance_years)"
    sheet.text(row + 1, 0, "Your own hours, each an hour's pay after tax in today's money")
    sheet.array(
        row + 1,
        1,
        f"(1-finance_tax_rate*labour_wage_taxed)"
        f"*SUM(IF({inside}>0,{hours}*years_growth*years_discount,0))",
        name="own_hours_worth",
    )
    sheet.text(row + 2, 0, "Pay for an hour of your time")
    sheet.formula(
        row + 2,
        1,
        'IF(own_hours_worth>0,time_free_npv/own_hours_worth,"none")',
        "figure",
        "pay_per_hour",
    )
