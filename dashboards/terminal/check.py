"""What `check` says of a farm that can be worked with."""

import datetime

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, page, paragraph
from econ.farm.overlooked import odd_prices, overlooked
from econ.farm.prepare import prepare
from econ.farm.review import Note, assumed, defaults_used, odd_outcome, odd_values
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate


def _section(title: str, notes: tuple[Note, ...], none: str) -> list[RenderableType]:
    if not notes:
        return [heading(f"{title}: {none}")]
    return [heading(title), *(bullet(f"{note.where}: {note.text}") for note in notes)]


def render(scenario: Scenario, today: datetime.date) -> RenderableType:
    """Return what is assumed and what looks odd in a farm.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    today : date
        To tell how old its prices are.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    odd = (
        *odd_prices(scenario, today),
        *odd_values(scenario),
        *odd_outcome(scenario, evaluate(prepare(scenario))),
    )
    return page(
        [
            paragraph(f"{scenario.path}: nothing is wrong with it", indent=0, style="bold"),
            *_section("Looks odd", odd, "nothing"),
            *_section("Usually there, and left out", overlooked(scenario), "nothing"),
            *_section("Taken from usual values", assumed(scenario), "nothing"),
            *_section("Left to defaults", defaults_used(scenario), "nothing"),
        ]
    )
