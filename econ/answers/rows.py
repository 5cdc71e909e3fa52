"""The rows that surfaces list, with their labels, as the model declares them.

A surface reads registries here and nowhere below: a new cost line, rung, saving, measure, ledger,
flow line, headline, lever or advice then reaches every surface from its own row.
"""

from econ.advice.cautions import CLOSING, CLOSING_SHORT, SEVERITIES
from econ.advice.verdict import KINDS
from econ.model.costs import COST_LINES, RUNGS, SAVINGS, CostLine
from econ.model.headlines import HEADLINES
from econ.model.ledger import FLOW_LINES, LEDGERS, TAX, FlowLine, LedgerKind
from econ.model.levers import LEVERS
from econ.model.measures import MEASURES

__all__ = [
    "CLOSING",
    "CLOSING_SHORT",
    "COST_LINES",
    "FLOW_LINES",
    "HEADLINES",
    "KINDS",
    "LEDGERS",
    "LEVERS",
    "MEASURES",
    "RUNGS",
    "SAVINGS",
    "SEVERITIES",
    "TAX",
    "CostLine",
    "FlowLine",
    "LedgerKind",
]
