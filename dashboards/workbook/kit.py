"""The kit sheet: what every item costs, deducts and fetches, year by year, and in a level year."""

from dashboards.workbook.sheets import Book, Sheet
from econ.answers.document import Answer
from econ.answers.workbook_facts import half_year_shares

# Years that the sheets hold; a farm file may look no further.
LAST = 50
TOP = 3
TOTALS = ("bought", "resale", "fetched", "depreciation", "sold")
_SPLIT = ("start", "age", "bought", "depreciation", "before_tax", "sold", "resale", "fetched")


def _kit_item(sheet: Sheet, k: int, column: int, row: int) -> None:
    """Write one item's year: when bought, how old, what is deducted, what it would fetch."""
    n, year = f"kit_{k + 1}", f"$A{row + 1}"
    start, age, before_tax, sold = (
        sheet.at(row, column + _SPLIT.index(s)) for s in ("start", "age", "before_tax", "sold")
    )
    method, life = "finance_depreciation", f"{n}_life_years"
    inside = f"{year}<=finance_years"
    swap = f"AND({year}>0,{year}<finance_years,MOD({year},{life})=0)"
    kept = f"AND({n}_owned=1,{start}=0)"
    grown = "(1+finance_inflation)^"
    first = f"IF({n}_owned=1,{n}_cost,{n}_cost*(1+finance_kit_contingency))"
    price = f"IF({start}=0,{first},{n}_new_cost)"
    kept_share = f"IF({n}_owned=1,1,{n}_resale_share)"
    fetches = f"IF({start}=0,{n}_cost*{kept_share},{n}_new_cost*{n}_resale_share)"
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
    book = f"{price}*{grown}{start}*MAX(0,1-{taken})"
    gain = f'IF(OR({method}="none",{kept}),0,finance_tax_rate*({before_tax}-{book}))'
    out = f"OR({year}=0,NOT({inside}))"
    formulas = (
        f"IF({year}=0,0,INT(({year}-1)/{life})*{life})",
        f"IF({year}=0,1,{year}-{start})",
        f"IF({swap},{n}_new_cost*{grown}{year},0)",
        f"IF(OR({out},{kept}),0,{price}*{grown}{start}*{share})",
        f"IF({out},0,{grown}{year}*{fetches}*(1-{age}/{life}))",
        f"IF({out},0,{before_tax}-{gain})",
        f"IF({swap},{sold},0)",
        f"IF(OR({swap},{year}=finance_years),{before_tax},0)",
    )
    for j, formula in enumerate(formulas):
        sheet.formula(row, column + j, formula)


def _tables(book: Book, sheet: Sheet, column: int) -> None:
    """Write the half-year depreciation tables of IRS Publication 946."""
    for method in ("macrs 5", "macrs 7"):
        shares = half_year_shares(method)
        name = method.replace(" ", "_")
        sheet.heads(TOP - 1, (method, "summed"), column)
        for k, share in enumerate(shares):
            sheet.number(TOP + k, column, share, "fixed")
            above = sheet.range((TOP, column), (TOP + k, column))
            sheet.formula(TOP + k, column + 1, f"SUM({above})")
        last = TOP + len(shares) - 1
        book.name(name, sheet.range((TOP, column), (last, column)))
        book.name(f"{name}_sum", sheet.range((TOP, column + 1), (last, column + 1)))
        column += 2


def kit_sheet(book: Book, result: Answer) -> None:
    """Write what every item of kit costs, deducts and fetches, year by year.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    """
    kit = result.expected.inputs.kit
    sheet = book.sheet("Kit", (7,), frozen=TOP)
    sheet.text(0, 0, "Kit over the years: bought again at each multiple of its life")
    sheet.heads(TOP - 1, ("year", *TOTALS))
    first, width = 1 + len(TOTALS), len(_SPLIT)
    for k, item in enumerate(kit):
        sheet.text(1, first + k * width, item.name, "bold")
        sheet.heads(TOP - 1, _SPLIT, first + k * width)
    for year in range(LAST + 1):
        row = TOP + year
        sheet.number(row, 0, float(year), "whole")
        for k in range(len(kit)):
            _kit_item(sheet, k, first + k * width, row)
        for j, name in enumerate(TOTALS, start=1):
            cells = [sheet.at(row, first + k * width + _SPLIT.index(name)) for k in range(len(kit))]
            sheet.formula(row, j, "+".join(cells) or "0")
    book.name("kit_year", sheet.range((TOP, 0), (TOP + LAST, 0)))
    for j, name in enumerate(TOTALS, start=1):
        book.name(f"kit_{name}_by_year", sheet.range((TOP, j), (TOP + LAST, j)))
    tables = first + width * len(kit) + 1
    _tables(book, sheet, tables)
    _kit_per_year(sheet, result, tables + 5)


def _kit_per_year(sheet: Sheet, result: Answer, column: int) -> None:
    """Write the kit, and what ending the plan costs, as a level yearly cost at the real rate."""
    inputs = result.expected.inputs
    kit = [f"kit_{k + 1}" for k in range(len(inputs.kit))]
    leaving = ["finance_exit_cost", *(f"{n}_exit_cost" for n in kit)]
    leaving += [
        f"IF(AND({n}_may_burn=1,{n}_blend_share>0),{n}_resale_loss,0)"
        for n in (f"machine_{k + 1}" for k in range(len(inputs.machines)))
    ]
    first = [f"IF({n}_owned=1,{n}_cost,{n}_cost*(1+finance_kit_contingency))" for n in kit]
    buy = [f"(1-{n}_owned)*{n}_cost*(1+finance_kit_contingency)" for n in kit]
    rows = (
        ("All kit at its first purchase", "kit_cost", "+".join(first) or "0", "figure"),
        ("Of it still to buy", "kit_to_buy", "+".join(buy) or "0", "figure"),
        ("What ending the plan costs today", "exit_total", "+".join(leaving), "figure"),
        ("Real rate", "real_rate", "(1+finance_discount_rate)/(1+finance_inflation)-1", "small"),
        # Near a rate of zero the closed form loses its digits; its first two terms do not.
        (
            "Capital recovery factor of the plan's years",
            "recovery_factor",
            "IF(ABS(real_rate)<1E-7,1/finance_years+real_rate*(finance_years+1)/(2*finance_years),"
            "real_rate/(1-(1+real_rate)^-finance_years))",
            "small",
        ),
        (
            "Kit, its resale and the exit in today's money, before tax",
            "kit_worth",
            "kit_cost+SUMPRODUCT(kit_bought_by_year-kit_fetched_by_year,"
            "(1+finance_discount_rate)^-kit_year)"
            "+exit_total*((1+finance_inflation)/(1+finance_discount_rate))^finance_years",
            "number",
        ),
        ("Kit cost per year", "kit_per_year", "recovery_factor*kit_worth", "number"),
    )
    for k, (label, name, formula, style) in enumerate(rows):
        sheet.text(TOP + k, column, label)
        sheet.formula(TOP + k, column + 1, formula, style, name)
