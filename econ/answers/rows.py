"""The rows that surfaces list, with their labels, as the model declares them.

A surface reads registries here and nowhere below: a new cost line, rung, saving, measure, ledger
or advice then reaches every surface from its own row.
"""

from econ.advice.cautions import CLOSING, CLOSING_SHORT, SEVERITIES
from econ.advice.verdict import KINDS
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.ledger import LEDGERS
from econ.model.measures import MEASURES

__all__ = [
    "CLOSING",
    "CLOSING_SHORT",
    "COST_LINES",
    "KINDS",
    "LEDGERS",
    "MEASURES",
    "RUNGS",
    "SAVINGS",
    "SEVERITIES",
]
