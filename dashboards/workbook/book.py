"""The whole workbook: a first sheet with figures and charts, then everything behind them."""

from dashboards.workbook.blend import blend_sheet
from dashboards.workbook.cautions import cautions_sheet, first_caution
from dashboards.workbook.inputs import calendar_sheet, inputs_sheet
from dashboards.workbook.kit import kit_sheet
from dashboards.workbook.ledgers import ledgers_sheet, rates_sheet, years_sheet
from dashboards.workbook.loan import loan_sheet
from dashboards.workbook.log import log_sheet
from dashboards.workbook.months import months_sheet, plan_sheet
from dashboards.workbook.sheets import Book, Sheet
from dashboards.workbook.year import year_sheet
from econ.answers.document import Answer
from econ.answers.rows import CLOSING, LEDGERS
from econ.ground.units import unit_label

# Rows of the years sheet that the chart of the running balance shows at least.
_SHOWN_YEARS = 10
_FIGURES = (
    ("time_free_equivalent_annual", "Worth a year, time free", "money_per_year"),
    ("time_paid_equivalent_annual", "Worth a year, time paid", "money_per_year"),
    ("pay_per_hour", "Pay for an hour of your time", "money_per_hour"),
    ("typical_own_hours", "Your own hours a year", "hours"),
    ("kit_to_buy", "Up front", "money"),
    ("time_free_break_even_fuel_price", "Do not start below, time free", "price_per_volume"),
    ("typical_saving_after_wear", "Left after repairs", "money_per_year"),
    ("typical_saving_after_kit", "Left after the kit", "money_per_year"),
    ("typical_saving_after_labour", "Left after your time", "money_per_year"),
    ("typical_fuel_replaced", "Pump fuel replaced", "volume"),
    ("typical_per_replaced_full", "With your time", "price_per_volume"),
    ("time_free_simple_payback", "Paid back in, time free", "years"),
)


def _style(chart: object, title: str) -> None:
    chart.set_title({"name": title, "name_font": {"size": 11}})  # type: ignore[attr-defined]
    chart.set_size({"width": 560, "height": 280})  # type: ignore[attr-defined]


def _ladder_chart(book: Book, sheet: Sheet, unit: str) -> None:
    chart = book.chart({"type": "bar"})
    chart.add_series(
        {
            "name": "Cost of fuel replaced",
            "categories": "=" + book.names["ladder_per_replaced_labels"],
            "values": "=" + book.names["ladder_per_replaced"],
            "fill": {"color": "#8a8a8a"},
            "border": {"color": "#111111"},
            "data_labels": {"value": True, "num_format": "0.00"},
        }
    )
    _style(chart, f"What fuel costs, step by step ({unit} replaced)")
    chart.set_legend({"none": True})
    chart.set_y_axis({"reverse": True})
    sheet.raw.insert_chart(2, 5, chart, {"description": "Cost of fuel replaced by rung"})


def _first_rows(reference: str, count: int) -> str:
    """Cut a column's reference to its first cells."""
    start = reference.split(":")[0]
    title, cell = start.split("!")
    _, column, row = cell.split("$")
    return f"={title}!${column}${row}:${column}${int(row) + count - 1}"


def _balance_chart(book: Book, sheet: Sheet, years: int, unit: str) -> None:
    chart = book.chart({"type": "line"})
    count = max(years, _SHOWN_YEARS) + 1
    for kind, dash in zip(LEDGERS, ("solid", "dash"), strict=True):
        chart.add_series(
            {
                "name": kind.label,
                "categories": _first_rows(book.names["years_year"], count),
                "values": _first_rows(book.names[f"years_{kind.key}_shown"], count),
                "line": {"color": "#111111", "width": 2, "dash_type": dash},
            }
        )
    _style(chart, f"Running balance by year ({unit})")
    chart.set_legend({"position": "bottom"})
    chart.set_x_axis({"label_position": "low"})
    # Years after the last hold no number; a spanned gap at the end draws nothing.
    chart.show_blanks_as("span")
    sheet.raw.insert_chart(16, 5, chart, {"description": "Running balance by year"})


def _months_chart(book: Book, sheet: Sheet, unit: str) -> None:
    chart = book.chart({"type": "column"})
    for name, label, colour in (
        ("wanted", "Clean oil wanted", "#ffffff"),
        ("oil_used", "Clean oil burned", "#8a8a8a"),
    ):
        chart.add_series(
            {
                "name": label,
                "categories": "=Plan!$A$3:$A$14",
                "values": "=" + book.names[f"typical_months_{name}"],
                "fill": {"color": colour},
                "border": {"color": "#111111"},
            }
        )
    _style(chart, f"Typical year by month ({unit})")
    chart.set_legend({"position": "bottom"})
    sheet.raw.insert_chart(29, 5, chart, {"description": "Clean oil wanted and burned by month"})


def _summary(book: Book, sheet: Sheet, result: Answer) -> None:
    header = result.scenario.scenario

    def unit(dimension: str) -> str:
        return unit_label(dimension, header.units, header.currency)

    sheet.text(0, 0, header.title, "title")
    sheet.heads(2, ("At the values on the sheet Inputs", "", "Unit"))
    for k, (name, label, dimension) in enumerate(_FIGURES):
        sheet.text(3 + k, 0, label)
        sheet.formula(3 + k, 1, name, "figure")
        sheet.text(3 + k, 2, f"  {unit(dimension)}")
    row = 5 + len(_FIGURES)
    priced = f"Prices of {header.priced_on.isoformat()}." if header.priced_on else ""
    notes = (
        "The advice when this workbook was made, on average values (it does not follow changes):",
        f"{result.advice.label} {' '.join(result.advice.reasons)}",
        priced,
        "Change yellow cells on the sheets Inputs and Calendar; figures and charts follow. If cells"
        " stay empty, allow editing or recalculate (Ctrl+Shift+F9).",
        header.note,
        first_caution(result),
        CLOSING,
    )
    for note in filter(None, notes):
        sheet.raw.merge_range(row, 0, row, 3, "")
        sheet.text(row, 0, note[:2000], "wrap")
        sheet.raw.set_row(row, 15 * min(12, 1 + len(note[:2000]) // 85))
        row += 1
    _ladder_chart(book, sheet, unit("price_per_volume"))
    _balance_chart(book, sheet, result.scenario.finance.years, unit("money"))
    _months_chart(book, sheet, unit("volume"))


def workbook(result: Answer) -> bytes:
    """Return the workbook of an answer: change an input and every figure follows.

    Parameters
    ----------
    result : Answer
        A farm worked through.

    Returns
    -------
    bytes
        An XLSX file; the same answer gives the same bytes.
    """
    header = result.scenario.scenario
    book = Book(header.title, header.priced_on)
    front = book.sheet("Summary", (48, 16, 10, 4))
    inputs_sheet(book, result)
    calendar_sheet(book, result)
    blend_sheet(book, result)
    plan = plan_sheet(book, result)
    months_sheet(book, result, plan)
    year_sheet(book, result)
    kit_sheet(book, result)
    years_sheet(book, result)
    ledgers_sheet(book, result, rates_sheet(book))
    loan_sheet(book, result)
    cautions_sheet(book, result)
    log_sheet(book, result)
    _summary(book, front, result)
    return book.content()
