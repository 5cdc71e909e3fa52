"""Kit, years, rates and ledgers: what is bought and sold when, and what the plan is worth."""

from dashboards.workbook.sheets import Book, Sheet
from econ.answers.document import Answer
from econ.finance.worth import depreciation_shares
from econ.ground.labels import FUELS
from econ.model.ledger import LEDGERS
from econ.model.measures import MEASURES

# Years that the sheets hold; a farm file may look no further.
LAST = 50
_TOP = 3
_GRID = 200
_HALVINGS = 56
_SPLIT = ("start", "age", "bought", "depreciation", "sold", "resale")
_TOTALS = ("bought", "resale", "depreciation", "sold")


def _kit_item(sheet: Sheet, k: int, column: int, row: int) -> None:
    """Write one item's year: when bought, how old, what is deducted, what it would fetch."""
    n, year = f"kit_{k + 1}", f"$A{row + 1}"
    start, age, sold = (sheet.at(row, column + _SPLIT.index(s)) for s in ("start", "age", "sold"))
    inside = f"{year}<=finance_years"
    swap = f"AND({year}>0,{year}<finance_years,MOD({year},{n}_life_years)=0)"
    untaxed = f"AND({n}_owned=1,{start}=0)"
    price = f"{n}_cost*(1+finance_inflation)^"
    method, life = "finance_depreciation", f"{n}_life_years"
    share = (
        f'IF({method}="expensed",IF({age}=1,1,0),IF({method}="straight line",1/{life},'
        f'IF({method}="macrs 5",IF({age}<=6,INDEX(macrs_5,{age}),0),'
        f'IF({method}="macrs 7",IF({age}<=8,INDEX(macrs_7,{age}),0),0))))'
    )
    taken = (
        f'IF({method}="expensed",1,IF({method}="straight line",{age}/{life},'
        f'IF({method}="macrs 5",INDEX(macrs_5_sum,MIN({age},6)),'
        f"INDEX(macrs_7_sum,MIN({age},8)))))"
    )
    fetched = f"{price}{year}*{n}_resale_share"
    gain = f"finance_tax_rate*({fetched}-{price}{start}*MAX(0,1-{taken}))"
    free = f'OR({method}="none",{untaxed})'
    formulas = (
        f"IF({year}=0,0,INT(({year}-1)/{life})*{life})",
        f"IF({year}=0,1,{year}-{start})",
        f"IF({swap},{price}{year},0)",
        f"IF(OR({year}=0,NOT({inside}),{untaxed}),0,{price}{start}*{share})",
        f"IF(OR({year}=0,NOT({inside})),0,{fetched}-IF({free},0,{gain}))",
        f"IF({swap},{sold},0)",
    )
    for j, formula in enumerate(formulas):
        sheet.formula(row, column + j, formula)


def _tables(book: Book, sheet: Sheet, column: int) -> None:
    """Write the half-year depreciation tables of IRS Publication 946."""
    for method in ("macrs 5", "macrs 7"):
        shares = depreciation_shares(method, 1)
        name = method.replace(" ", "_")
        sheet.heads(_TOP - 1, (method, "summed"), column)
        for k, share in enumerate(shares):
            sheet.number(_TOP + k, column, share, "fixed")
            above = sheet.range((_TOP, column), (_TOP + k, column))
            sheet.formula(_TOP + k, column + 1, f"SUM({above})")
        last = _TOP + len(shares) - 1
        book.name(name, sheet.range((_TOP, column), (last, column)))
        book.name(f"{name}_sum", sheet.range((_TOP, column + 1), (last, column + 1)))
        column += 2


def kit_sheet(book: Book, found: Answer) -> None:
    """Write what every item of kit costs, deducts and fetches, year by year.

    Parameters
    ----------
    book : Book
        The workbook.
    found : Answer
        A farm worked through.
    """
    kit = found.expected.inputs.kit
    sheet = book.sheet("Kit", (7,), frozen=_TOP)
    sheet.text(0, 0, "Kit over the years: bought again at each multiple of its life")
    sheet.heads(_TOP - 1, ("year", *_TOTALS))
    first, width = 1 + len(_TOTALS), len(_SPLIT)
    for k, item in enumerate(kit):
        sheet.text(1, first + k * width, item.name, "bold")
        sheet.heads(_TOP - 1, _SPLIT, first + k * width)
    for year in range(LAST + 1):
        row = _TOP + year
        sheet.number(row, 0, float(year), "whole")
        for k in range(len(kit)):
            _kit_item(sheet, k, first + k * width, row)
        for j, name in enumerate(_TOTALS, start=1):
            cells = [sheet.at(row, first + k * width + _SPLIT.index(name)) for k in range(len(kit))]
            sheet.formula(row, j, "+".join(cells) or "0")
    for j, name in enumerate(_TOTALS, start=1):
        book.name(f"kit_{name}_by_year", sheet.range((_TOP, j), (_TOP + LAST, j)))
    tables = first + width * len(kit) + 1
    _tables(book, sheet, tables)
    _kit_per_year(sheet, found, tables + 5)


def _kit_per_year(sheet: Sheet, found: Answer, column: int) -> None:
    """Write each item's level yearly cost at the real rate."""
    sheet.heads(_TOP - 1, ("item", "recovery factor", "per year"), column)
    sheet.text(0, column, "Real rate")
    sheet.formula(0, column + 1, "(1+finance_discount_rate)/(1+finance_inflation)-1", "small",
                  "real_rate")  # fmt: skip
    for k, item in enumerate(found.expected.inputs.kit):
        row, n = _TOP + k, f"kit_{k + 1}"
        life = f"{n}_life_years"
        sheet.text(row, column, item.name)
        # Near a rate of zero the closed form loses its digits; its first two terms do not.
        sheet.formula(
            row, column + 1,
            f"IF(ABS(real_rate)<1E-7,1/{life}+real_rate*({life}+1)/(2*{life}),"
            f"real_rate/(1-(1+real_rate)^-{life}))", "small", f"{n}_recovery_factor",
        )  # fmt: skip
        worth = f"{n}_cost*{n}_resale_share"
        formula = f"({n}_cost-{worth})*{n}_recovery_factor+{worth}*real_rate"
        sheet.formula(row, column + 2, formula, "number", f"{n}_per_year")
    costs = [f"kit_{k + 1}_cost" for k in range(len(found.expected.inputs.kit))]
    buy = [f"kit_{k + 1}_cost*(1-kit_{k + 1}_owned)" for k in range(len(costs))]
    row = _TOP + len(costs) + 1
    sheet.text(row, column, "All kit")
    sheet.formula(row, column + 1, "+".join(costs) or "0", "figure", "kit_cost")
    sheet.text(row + 1, column, "Still to buy")
    sheet.formula(row + 1, column + 1, "+".join(buy) or "0", "figure", "kit_to_buy")


_SHARED = ("growth", "fuel_growth", "discount", "exit", "fuel_worth")
_OWN = ("saving", "flow", "balance", "running", "discounted", "reach", "discounted_reach",
        "lost", "shown")  # fmt: skip


def _shared(year: str) -> dict[str, str]:
    """Give the formulas of a year that both ledgers use."""
    y = f"IF({year}=1,first_{{0}},typical_{{0}})"
    fuel, tied = y.format("saving_fuel_not_bought"), y.format("thinner_tied")
    keep = "(1-finance_tax_rate)"
    grown = f"(1+finance_fuel_inflation)^{year}"
    inside = f"AND({year}>0,{year}<=finance_years)"
    return {
        "growth": f"(1+finance_inflation)^{year}",
        "fuel_growth": grown,
        "discount": f"(1+finance_discount_rate)^-{year}",
        "exit": f"finance_exit_cost*(1+finance_inflation)^{year}*{keep}",
        "fuel_worth": f"IF({inside},({fuel}-{tied})*{grown}*{keep}"
        f"*(1+finance_discount_rate)^-{year},0)",
    }


class _Years:
    """The years sheet; a series is a column, a year a row."""

    def __init__(self, book: Book, sheet: Sheet, series: list[str]) -> None:
        self.sheet = sheet
        self.columns = {name: column for column, name in enumerate(series)}
        sheet.heads(_TOP - 1, tuple(series))
        for name, column in self.columns.items():
            book.name(f"years_{name}", sheet.range((_TOP, column), (_TOP + LAST, column)))

    def at(self, name: str, year: int) -> str:
        return self.sheet.at(_TOP + year, self.columns[name])

    def put(self, name: str, year: int, formula: str) -> None:
        self.sheet.formula(_TOP + year, self.columns[name], formula)


def _own_year(years: _Years, kind: str, labour: bool, year: int) -> None:
    """Write one ledger's year."""
    row = f"$A{_TOP + year + 1}"
    inside = f"AND({row}>0,{row}<=finance_years)"
    kit = {name: f"INDEX(kit_{name}_by_year,{row}+1)" for name in _TOTALS}
    s, before = f"{kind}_", max(year - 1, 0)

    def amount(key: str) -> str:
        return f"IF({row}=1,first_{key},typical_{key})"

    other = amount("other_costs") + (f"+{amount('cost_labour')}" if labour else "")
    fuel = f"({amount('saving_fuel_not_bought')}-{amount('cost_thinner')})"
    general = f"({other})*{years.at('growth', year)}"
    taxed = f"({fuel}*{years.at('fuel_growth', year)}-{general})*(1-finance_tax_rate)"
    years.put(f"{s}saving", year, f"IF({inside},{taxed}+finance_tax_rate*{kit['depreciation']},0)")
    saving, exit_cost = years.at(f"{s}saving", year), years.at("exit", year)
    end = f"IF({row}=finance_years,{kit['sold']}-{exit_cost},0)"
    flow = f"{saving}-{kit['bought']}+{kit['resale']}+{end}"
    years.put(f"{s}flow", year, f"IF({row}=0,-kit_cost,IF({inside},{flow},0))")
    now = f"{saving}-{kit['bought']}+{kit['resale']}"
    last = {name: "0" if year == 0 else years.at(f"{s}{name}", before) for name in _OWN}
    years.put(f"{s}balance", year, f"{last['balance']}+{years.at(f'{s}flow', year)}")
    years.put(f"{s}running", year, f"{last['running']}+{now}")
    years.put(f"{s}discounted", year, f"{last['discounted']}+({now})*{years.at('discount', year)}")
    for name, reach in (("running", "reach"), ("discounted", "discounted_reach")):
        here, gone = years.at(f"{s}{name}", year), last[name]
        crossed = f"AND({inside},{here}>=kit_cost,{gone}<kit_cost)"
        within = f"{row}-1+(kit_cost-{gone})/({here}-{gone})"
        years.put(f"{s}{reach}", year, '""' if year == 0 else f'IF({crossed},{within},"")')
    kept = f"{years.at(f'{s}running', year)}+{kit['bought']}-{kit['resale']}+{kit['sold']}"
    years.put(f"{s}lost", year, f'IF({inside},MAX(0,kit_cost-({kept}-{exit_cost})),"")')
    years.put(f"{s}shown", year, f"IF({row}<=finance_years,{years.at(f'{s}balance', year)},NA())")


def years_sheet(book: Book) -> None:
    """Write both ledgers year by year.

    Parameters
    ----------
    book : Book
        The workbook, its kit sheet written.
    """
    sheet = book.sheet("Years", (7,), frozen=_TOP)
    sheet.text(0, 0, "Money over the years: year 0 is today, amounts fall at each year's end")
    series = ["year", *_SHARED]
    for kind in LEDGERS:
        series += [f"{kind.key}_{name}" for name in _OWN]
    years = _Years(book, sheet, series)
    for year in range(LAST + 1):
        sheet.number(_TOP + year, 0, float(year), "whole")
        for name, formula in _shared(f"$A{_TOP + year + 1}").items():
            years.put(name, year, formula)
        for kind in LEDGERS:
            _own_year(years, kind.key, kind.counts_labour, year)


def _search(book: Book, sheet: Sheet, kind: str, part: str, column: int) -> None:
    """Write the worth at many rates, and mark between which it changes its sign."""
    sheet.heads(_TOP - 1, ("1/(1+rate)", "worth", "root"), column)
    for k in range(_GRID + 1):
        row = _TOP + k
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
        reference = sheet.range((_TOP, column + j), (_TOP + _GRID, column + j))
        book.name(f"{kind}_{part}_{name}", reference)


def _halve(sheet: Sheet, kind: str, column: int) -> str:
    """Write the halving of the one interval that holds the rate; give the cell of the root."""
    gains, losses = f"SUM({kind}_gains_root)", f"SUM({kind}_losses_root)"
    part = f"IF({gains}>0,1,2)"
    sheet.heads(_TOP - 1, ("low", "high", "middle", "worth"), column)
    first = f"IFERROR(IF({gains}>0,MATCH(1,{kind}_gains_root,0),MATCH(1,{kind}_losses_root,0)),1)"
    sheet.text(0, column, f"{kind}: first interval")
    index = sheet.formula(0, column + 1, first, "whole")
    sheet.text(1, column, "sign at its low end")

    def pick(name: str, at: str) -> str:
        return f"IF({part}=1,INDEX({kind}_gains_{name},{at}),INDEX({kind}_losses_{name},{at}))"

    sign = sheet.formula(1, column + 1, f"SIGN({pick('worth', index)})", "whole")
    for step in range(_HALVINGS):
        row = _TOP + step
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
    root = sheet.cell(_TOP + _HALVINGS - 1, column)
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
    sheet = book.sheet("Rates", (), frozen=_TOP)
    found, column = {}, 0
    for kind in LEDGERS:
        for part in ("gains", "losses"):
            _search(book, sheet, kind.key, part, column)
            column += 3
        found[kind.key] = _halve(sheet, kind.key, column)
        column += 5
    return found


def _measures(kind: str, irr: str) -> dict[str, str]:
    """Give every measure of a ledger as a formula."""
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
    factor = f"{kind}_price_factor"
    return {
        "npv": pv,
        "irr": irr,
        "mirr": f'IF(AND({outlay}>0,{receipt}>0),({receipt}*(1+finance_discount_rate)^{n}/'
        f'({outlay}))^(1/{n})-1,"none")',
        "investment": f"kit_cost+{later}-{end}",
        "sir": f"IF({kind}_investment>0,SUMPRODUCT(years_{kind}_saving,years_discount)"
        f'/{kind}_investment,"none")',
        "airr": f'IF(ISNUMBER({kind}_sir),IF({kind}_sir>0,(1+finance_discount_rate)'
        f'*{kind}_sir^(1/{n})-1,"none"),"none")',
        "equivalent_annual": f"{kind}_npv*IF(ABS(finance_discount_rate)<1E-7,1/{n}"
        f"+finance_discount_rate*({n}+1)/(2*{n}),"
        f"finance_discount_rate/(1-(1+finance_discount_rate)^-{n}))",
        "simple_payback": payback("reach"),
        "discounted_payback": payback("discounted_reach"),
        "stays_paid": f'IF(ISNUMBER({kind}_simple_payback),IF({below}>0,0,1),"none")',
        "price_factor": f"IF(SUM(years_fuel_worth)>0,IF(1-{kind}_npv/SUM(years_fuel_worth)>0,"
        f'1-{kind}_npv/SUM(years_fuel_worth),"none"),"none")',
        "break_even_fuel_price": f'IF(AND(ISNUMBER({factor}),typical_fuel_replaced>0),{factor}'
        f'*typical_saving_fuel_not_bought/typical_fuel_replaced,"none")',
    }  # fmt: skip


def ledgers_sheet(book: Book, found: Answer, irrs: dict[str, str]) -> None:
    """Write what the plan is worth, in both ledgers side by side.

    Parameters
    ----------
    book : Book
        The workbook.
    found : Answer
        A farm worked through.
    irrs : dict
        From `rates_sheet`.
    """
    sheet = book.sheet("Ledgers", (44, 22, 22, 44), frozen=2)
    sheet.text(0, 0, "What the plan is worth", "title")
    sheet.heads(1, ("", *(kind.label for kind in LEDGERS), "Standard term"))
    labels = {row.key: (row.label, row.term) for row in MEASURES}
    labels["investment"] = ("Kit in today's money, less resale, plus the exit", "")
    labels["price_factor"] = ("Factor on fuel prices at which the worth is zero", "")
    fuels = found.expected.inputs.prices
    for column, kind in enumerate(LEDGERS, start=1):
        row = 2
        for key, formula in _measures(kind.key, irrs[kind.key]).items():
            style = "small" if key in ("irr", "mirr", "airr", "sir", "price_factor") else "number"
            sheet.formula(row, column, formula, style, f"{kind.key}_{key}")
            sheet.text(row, 0, labels[key][0])
            sheet.text(row, 3, labels[key][1])
            row += 1
        factor = f"{kind.key}_price_factor"
        for fuel in fuels:
            sheet.text(row, 0, f"Must stay above, {FUELS[fuel]}")
            sheet.formula(row, column, f'IF(ISNUMBER({factor}),price_{fuel}*{factor},"none")',
                          "number", f"{kind.key}_break_even_{fuel}")  # fmt: skip
            row += 1
        for year in (1, 2, 3):
            sheet.text(row, 0, f"Lost by stopping after year {year}")
            lost = f"INDEX(years_{kind.key}_lost,{year + 1})"
            sheet.formula(row, column, f'IF(finance_years>={year},{lost},"none")', "number",
                          f"{kind.key}_lost_{year}")  # fmt: skip
            row += 1
