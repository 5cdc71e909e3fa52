"""Reading a workbook that LibreOffice has recalculated, and comparing it with the model."""

import math
import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from html import escape
from pathlib import Path
from typing import Any

from openpyxl.utils import range_boundaries

from econ.answers.document import Json

# Both sides work in doubles; formulas only group sums otherwise.
RTOL = 1e-6
MONTHS = {
    "wanted": "wanted",
    "collected": "collected",
    "processed": "processed",
    "raw_end": "raw_end",
    "clean_end": "clean_end",
    "oil_used": "oil_used",
    "thinner": "thinner",
    "blend": "blend",
    "fuel_replaced": "fuel_replaced",
    "hours": "hours",
    "bottleneck": "bottleneck",
}


# LibreOffice's filter for text: comma, double quotes, UTF-8; every sheet a file of its own. Numbers
# keep all their digits and stand in quotes, texts only where they hold a comma, a quote or a line.
_AS_TEXT = "44,34,76,1,,0,false,false,false,false,false,-1"
_CELL = re.compile(r'(?:"((?:[^"]|"")*)"|([^,\n]*))(,|\n|\Z)')
_NUMBER = re.compile(r"-?\d+(\.\d+)?(E[+-]?\d+)?")
_SHEET = re.compile(r'<sheet name="([^"]+)"')
_NAME = re.compile(r"<definedName name=\"([^\"]+)\"[^>]*>'?([^'!<]+)'?!([$\w:]+)</definedName>")

# What LibreOffice finds of its own at its first start, and then a library of orders.
_PROFILE = {
    "registrymodifications.xcu": """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/Office">
<prop oor:name="ooSetupInstCompleted" oor:op="fuse"><value>true</value></prop></item></oor:items>
""",
    "basic/script.xlc": """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:libraries PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "libraries.dtd">
<library:libraries xmlns:library="http://openoffice.org/2000/library">
<library:library library:name="Standard" library:link="false"/></library:libraries>
""",
    "basic/Standard/script.xlb": """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard">
<library:element library:name="Orders"/></library:library>
""",
    "basic/Standard/Orders.xba": f"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Orders"
script:language="StarBasic">{escape(Path(__file__).with_name("orders.bas").read_text())}
</script:module>
""",
}

Cells = dict[str, float | str]


def _office(out: Path, *words: str) -> None:
    """Run LibreOffice without a screen, its profile beside what it makes."""
    program = shutil.which("soffice")
    assert program is not None, "LibreOffice Calc is needed (Debian: libreoffice-calc)"
    profile = f"-env:UserInstallation={(out / 'profile').as_uri()}"
    command = [program, profile, "--headless", *words]
    subprocess.run(command, check=True, capture_output=True, timeout=300)  # noqa: S603


def recalculate(file: Path, out: Path) -> None:
    """Let LibreOffice open and recalculate a workbook, and save it."""
    _office(out, "--convert-to", "xlsx", "--outdir", str(out), str(file))


def recalculate_changed(books: dict[Path, dict[str, Cells]], out: Path) -> None:
    """Let LibreOffice open workbooks and write their values, as they stand and changed.

    Opening takes most of the time, so each is opened once; every change starts from the workbook
    as it was written.

    Parameters
    ----------
    books : dict
        By workbook, its changes by name: what goes into which cells of the sheet "Inputs".
    out : Path
        Where each sheet's values go, behind the workbook's or the change's name.
    """
    orders: list[tuple[str, ...]] = []
    for book, changes in books.items():
        orders += [("open", book.as_uri()), ("write", (out / f"{book.stem}.csv").as_uri())]
        for name, cells in changes.items():
            orders += [
                ("change", "Inputs", cell, value if isinstance(value, str) else repr(float(value)))
                for cell, value in cells.items()
            ]
            orders += [("write", (out / f"{name}.csv").as_uri()), ("put back",)]
        orders += [("close",)]
    for name, text in _PROFILE.items():
        file = out / "profile" / "user" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    told = out / "orders"
    told.write_text("".join("\t".join(order) + "\n" for order in orders), encoding="utf-8")
    _office(out, f'macro:///Standard.Orders.Main("{told}", "{_AS_TEXT}")')


def _read(text: str) -> list[list[Any]]:
    """Read a sheet's values: numbers, texts, None where nothing stands."""
    rows: list[list[Any]] = [[]]
    for cell in _CELL.finditer(text):
        quoted, bare, end = cell.groups()
        if quoted is not None:
            number = _NUMBER.fullmatch(quoted)
            rows[-1].append(float(quoted) if number else quoted.replace('""', '"'))
        else:
            rows[-1].append(bare or None)
        if end == "\n":
            rows.append([])
    return rows


class Recalculated:
    """A recalculated workbook, read by its names."""

    def __init__(self, path: Path, out: Path, name: str) -> None:
        """Take the workbook as it was written, and where its sheets' values are, by their name."""
        names = zipfile.ZipFile(path).read("xl/workbook.xml").decode()
        self._names = {name: place for name, *place in _NAME.findall(names)}
        start = f"{name}-"
        self._sheets = {
            file.stem.removeprefix(start): _read(file.read_text(encoding="utf-8"))
            for file in out.glob(f"{start}*.csv")
            if file.stem.removeprefix(start) in _SHEET.findall(names)
        }

    def column(self, name: str) -> list[Any]:
        """Return the cells of a name."""
        return self.cells(*self._names[name])

    def cells(self, sheet: str, reference: str) -> list[Any]:
        """Return the cells of a range."""
        left, top, right, bottom = range_boundaries(reference)
        return [
            self._cell(sheet, row, column)
            for row in range(top - 1, bottom)
            for column in range(left - 1, right)
        ]

    def _cell(self, sheet: str, row: int, column: int) -> Any:
        rows = self._sheets[sheet]
        return rows[row][column] if row < len(rows) and column < len(rows[row]) else None

    def value(self, name: str) -> Any:
        """Return the one cell of a name, "none" as None."""
        [value] = self.column(name)
        return None if value == "none" else value

    def errors(self) -> list[str]:
        """Return every cell that holds an error, but those that a chart leaves out."""
        return [
            f"{sheet}, row {row}: {cell}"
            for sheet, rows in self._sheets.items()
            for row, cells in enumerate(rows, start=1)
            for cell in cells
            if isinstance(cell, str)
            and cell.startswith(("#", "Err:"))
            and not (sheet == "Years" and cell == "#N/A")
        ]


def _pairs(book: Recalculated, doc: Json) -> Iterator[tuple[str, Any, Any]]:
    for year, part in (("first", doc["first_year"]), ("typical", doc)):
        for key, value in part["fuel"].items():
            yield f"{year}_{key}", book.value(f"{year}_{key}"), value
        for key, value in part["costs"].items():
            yield f"{year}_cost_{key}", book.value(f"{year}_cost_{key}"), value
        for key, value in part["savings"].items():
            if key not in ("pay_per_hour", "tax_and_timing"):
                yield f"{year}_saving_{key}", book.value(f"{year}_saving_{key}"), value
    yield "pay per hour", book.value("pay_per_hour"), doc["savings"]["pay_per_hour"]
    for kind, value in doc["savings"]["tax_and_timing"].items():
        yield f"tax and timing {kind}", book.value(f"tax_and_timing_{kind}"), value
    for ladder, rungs in doc["rungs"].items():
        for key, value in rungs.items():
            yield f"{ladder}_{key}", book.value(f"typical_{ladder}_{key}"), value
    for key, name in MONTHS.items():
        shown = book.column(f"typical_months_{name}")
        for month, value in zip(doc["months"], shown, strict=True):
            yield f"month {month['month']} {key}", value, month[key]
    for k, machine in enumerate(doc["machines"], start=1):
        yield f"machine {k} saving", book.value(f"machine_{k}_saving"), machine["saving"]
    for name in ("kit_cost", "kit_to_buy"):
        yield name, book.value(name), doc[name]
    for kind, ledger in doc["ledgers"].items():
        yield from _ledger(book, kind, ledger)
    if doc["loan"] is not None:
        yield from _loan(book, doc["loan"])


def _loan(book: Recalculated, loan: Json) -> Iterator[tuple[str, Any, Any]]:
    for key in ("payment", "payment_per_year", "cover", "npv_change"):
        yield f"loan {key}", book.value(f"loan_{key}"), loan[key]
    columns = {"interest": loan["interest"]}
    columns |= {f"left_{kind}": rows for kind, rows in loan["left_after_payment"].items()}
    for key, rows in columns.items():
        shown = book.column(f"loan_{key}")
        for year, value in enumerate(rows, start=1):
            yield f"loan {key} {year}", shown[year - 1], value


def _ledger(book: Recalculated, kind: str, ledger: Json) -> Iterator[tuple[str, Any, Any]]:
    flows = book.column(f"years_{kind}_flow")
    for year, flow in enumerate(ledger["flows"]):
        yield f"{kind} flow {year}", flows[year], flow
    for year, flow in enumerate(flows[len(ledger["flows"]) :], start=len(ledger["flows"])):
        yield f"{kind} flow {year} after the end", flow, 0.0
    for year, lost in enumerate(ledger["lost_if_stopped"], start=1):
        yield f"{kind} lost {year}", book.value(f"{kind}_lost_{year}"), lost
    for fuel, price in ledger["break_even_by_fuel"].items():
        yield f"{kind} {fuel}", book.value(f"{kind}_break_even_{fuel}"), price
    stops = book.column(f"years_{kind}_stop_below")
    for year, price in enumerate(ledger["stop_below"], start=1):
        yield f"{kind} stop below {year}", None if stops[year] == "none" else stops[year], price
    for key, series in ledger["lines"].items():
        column = book.column(f"years_{kind}_line_{key}")
        for year, amount in enumerate(series):
            yield f"{kind} {key} of year {year}", column[year], amount
    for key, value in ledger.items():
        if key not in ("flows", "lost_if_stopped", "break_even_by_fuel", "stop_below", "lines"):
            yield f"{kind} {key}", book.value(f"{kind}_{key}"), value


def _same(shown: Any, wanted: Any, scale: float) -> bool:
    if wanted is None or isinstance(wanted, str) or shown is None or isinstance(shown, str):
        return bool(shown == wanted)
    return math.isclose(float(shown), float(wanted), rel_tol=RTOL, abs_tol=scale)


def differences(book: Recalculated, doc: Json) -> list[str]:
    """Return every figure of the document that the workbook has otherwise.

    Figures that are rounding residues of sums (a flow that cancels) are held to a millionth of
    a thousandth of the kit and the yearly fuel bill, not of themselves.
    """
    scale = 1e-9 * max(1.0, doc["kit_cost"], doc["savings"]["fuel_not_bought"])
    return [
        f"{name}: workbook {shown!r}, model {wanted!r}"
        for name, shown, wanted in _pairs(book, doc)
        if not _same(shown, wanted, scale)
    ]
