"""The loan sheet: its payments, the interest in them, and what the plan leaves after both."""

from dashboards.workbook.kit import LAST, TOP
from dashboards.workbook.sheets import Book
from econ.answers.document import Answer
from econ.answers.rows import LEDGERS


def loan_sheet(book: Book, result: Answer) -> None:
    """Write the loan beside the ledgers, in neither; nothing without a loan.

    Parameters
    ----------
    book : Book
        The workbook, its years sheet written.
    result : Answer
        A farm worked through.
    """
    if result.expected.inputs.loan is None:
        return
    sheet = book.sheet("Loan", (44, 18, 18, 18, 18), frozen=TOP)
    sheet.text(0, 0, "A loan changes no ledger: a plan is worth what it is worth", "title")
    terms = "loan_rate/loan_payments_per_year,loan_payments_per_year*loan_years"
    heads = ("year", "interest", "paid back", *(f"left, {k.short.lower()}" for k in LEDGERS))
    sheet.heads(TOP - 1, heads)
    for year in range(1, LAST + 1):
        row = TOP + year - 1
        sheet.number(row, 0, float(year), "whole")
        at = sheet.at(row, 0)
        first, last = f"({at}-1)*loan_payments_per_year+1", f"{at}*loan_payments_per_year"
        interest = f"IF(loan_rate=0,0,-CUMIPMT({terms},loan_amount,{first},{last},0))"
        sheet.formula(row, 1, f"IF({at}<=loan_years,{interest},0)")
        sheet.formula(row, 2, f"IF({at}<=loan_years,loan_payment_per_year-{sheet.at(row, 1)},0)")
        paid = f"IF({at}<=loan_years,loan_payment_per_year,0)-finance_tax_rate*{sheet.at(row, 1)}"
        for column, kind in enumerate(LEDGERS, start=3):
            flow = f"INDEX(years_{kind.key}_flow,{at}+1)"
            sheet.formula(row, column, f"IF({at}<=finance_years,{flow}-({paid}),0)")
    names = ("interest", "principal", *(f"left_{kind.key}" for kind in LEDGERS))
    for column, name in enumerate(names, start=1):
        book.name(f"loan_{name}", sheet.range((TOP, column), (TOP + LAST - 1, column)))
    years = sheet.range((TOP, 0), (TOP + LAST - 1, 0))
    paid = "loan_principal+(1-finance_tax_rate)*loan_interest"
    worth = f"SUMPRODUCT({paid},(1+finance_discount_rate)^-{years})"
    saving = "INDEX(years_time_free_saving,MIN(2,finance_years)+1)"
    rows = (
        ("One payment", "loan_payment", f"-PMT({terms},loan_amount)"),
        ("Payments a year", "loan_payment_per_year", "loan_payment*loan_payments_per_year"),
        (
            "Year 2's saving, time free, over a year's payments",
            "loan_cover",
            f'IF(loan_payment_per_year>0,{saving}/loan_payment_per_year,"none")',
        ),
        ("What borrowing is worth in today's money", "loan_npv_change", f"loan_amount-{worth}"),
    )
    for k, (label, name, formula) in enumerate(rows):
        sheet.text(TOP + k, 6, label)
        sheet.formula(TOP + k, 10, formula, "figure", name)
