"""Every key of the JSON that the commands print, with its unit and meaning.

The counterpart of the list of fields: documents declare their keys beside their types, and what
a registry adds (cost lines, measures) is listed from its rows.
"""

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from econ.answers.buying_keys import OilsDocument, ThinnersDocument
from econ.answers.card_keys import CardsDocument, HandDocument
from econ.answers.chance_keys import OutlookDocument
from econ.answers.compare_keys import CompareDocument
from econ.answers.decision_keys import DecisionDocument
from econ.answers.folder import FolderDocument
from econ.answers.keys import Described, Key, described
from econ.answers.plan import WhichPlanDocument
from econ.answers.records_document import RecordsDocument
from econ.farm.faults import near
from econ.ground.errors import Problem, ScenarioError
from econ.ground.labels import FUEL
from econ.ground.units import unit_label
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.ledger import FLOW_LINES, TAX, TAX_LABEL
from econ.model.measures import MEASURES

_PLAIN = ("text", "choice")


class Printed(Struct, frozen=True):
    """What one command prints with ``--json``."""

    command: str
    """As it is typed."""
    document: Any
    """The class that declares its keys."""


PRINTED = (
    Printed("decide FILE", DecisionDocument),
    Printed("decide FOLDER", FolderDocument),
    Printed("chances FILE", OutlookDocument),
    Printed("thinners FILE", ThinnersDocument),
    Printed("oils FILE", OilsDocument),
    Printed("plan FILE", WhichPlanDocument),
    Printed("compare FILE FILE", CompareDocument),
    Printed("records FILE LOG", RecordsDocument),
    Printed("cards FILE", CardsDocument),
    Printed("cards FILE, measured", HandDocument),
)


def _from_rows(path: str) -> Iterator[tuple[str, Key]]:
    """List the keys that registries put below a key of the decision, by its place."""
    above, _, last = path.rpartition(".")
    if above not in ("", "first_year", "likely", "ledgers{}", "likely.ledgers{}"):
        return
    if last == "fuel":
        yield from ((row.key, Key(row.dimension, row.help)) for row in FUEL)
    elif last == "costs":
        yield from ((line.key, Key("money_per_year", line.label)) for line in COST_LINES)
    elif last == "savings":
        yield from ((row.key, Key("money_per_year", row.label)) for row in SAVINGS)
        if "first_year" not in path:
            yield "pay_per_hour", Key("money_per_hour", "Worth of the plan for each own hour")
            yield "tax_and_timing", Key("money_per_year", "From the last step to the worth")
    elif last == "rungs":
        for per, of in (("per_blend", "blend burned"), ("per_replaced", "fuel replaced")):
            yield per, Key("price_per_volume", f"Of {of}, step by step")
            for rung in RUNGS:
                yield f"{per}.{rung.key}", Key("price_per_volume", f"{rung.label}, of {of}")
    elif last == "ledgers":
        yield from ((f"{{}}.{row.key}", Key(row.dimension, row.label)) for row in MEASURES)
    elif last == "lines":
        labels = {line.key: line.label for line in FLOW_LINES if line.part != "loan"}
        for key, label in {**labels, TAX: TAX_LABEL}.items():
            yield key, Key("money", label)


def keys_of(printed: Printed) -> list[Described]:
    """List every key of what a command prints.

    Parameters
    ----------
    printed : Printed
        A row of `PRINTED`.

    Returns
    -------
    list of Described
        ``[]`` in a path stands for each of a list, ``{}`` for a name or a key of the farm.

    Examples
    --------
    >>> [row.path for row in keys_of(PRINTED[0]) if row.path.startswith("costs.w")]
    ['costs.wear']
    """
    rows: list[Described] = []
    for row in described(printed.document):
        rows.append(row)
        if printed.document is DecisionDocument:
            rows += [
                Described(f"{row.path}.{key}".replace(".{}", "{}"), meant)
                for key, meant in _from_rows(row.path)
            ]
    return rows


def rows_of(
    command: str | None, units: str, currency: str = "USD"
) -> dict[str, list[dict[str, str]]]:
    """Return the keys of one command, or of all, with their units and meanings.

    Parameters
    ----------
    command : str or None
        First word of a command that prints JSON; None for all.
    units : {"us", "metric"}
        Unit system of the units.
    currency : str
        ISO 4217 code, for units of money.

    Returns
    -------
    dict
        By command as it is typed, rows of ``key``, ``unit`` and ``meaning``.

    Raises
    ------
    ScenarioError
        If no command of that name prints JSON.
    """
    names = list(dict.fromkeys(printed.command.split()[0] for printed in PRINTED))
    if command is not None and command not in names:
        message = f"prints no such JSON{near(command, names)}; there are {', '.join(names)}"
        raise ScenarioError((Problem("keys", "", f'"{command}"', message),))
    return {
        printed.command: [
            {
                "key": row.path,
                "unit": ""
                if row.key.dimension in _PLAIN
                else unit_label(row.key.dimension, units, currency),
                "meaning": row.key.meaning.removesuffix("."),
            }
            for row in keys_of(printed)
        ]
        for printed in PRINTED
        if command in (None, printed.command.split()[0])
    }
