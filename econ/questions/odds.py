"""How likely a plan comes out ahead, and no more: what advice and a table of farms ask of draws.

Examples
--------
>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.questions.chances import chances
>>> farm = load(demo_files()["wrenfold"])
>>> likely(farm).odds == chances(farm).odds
True
"""

import numpy as np
from msgspec import Struct

from econ.advice.verdict import Odds
from econ.farm.prepare import settle
from econ.farm.schema import Scenario
from econ.model.ledger import LEDGERS
from econ.numbers.quantiles import levels_of
from econ.questions.chances import KEPT_BLOCKS, TOGETHER, chances, parts_of
from econ.questions.drawn_block import Run, rows_of
from econ.questions.draws import sampler
from econ.questions.tally import LEVELS


class Likely(Struct, frozen=True):
    """What advice rests on."""

    odds: Odds
    ahead: dict[str, float]
    """Chance that a ledger's worth is above zero. [-]"""


def likely(scenario: Scenario) -> Likely:
    """Draw a scenario's guesses for its odds alone, with nothing that only pages show.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Likely
        What `chances` gives, to the bit, in about half its time.

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    given = scenario.uncertainty
    run = Run(scenario, settle(scenario), sampler(scenario, given.draws, given.seed))
    if run.sampler.blocks > KEPT_BLOCKS:
        # So many draws are counted in bins, whose levels are not quite those of the draws.
        drawn = chances(scenario)
        return Likely(drawn.odds, drawn.ahead)
    parts = [run.worths(together) for together in parts_of(range(run.sampler.blocks), TOGETHER)]
    worths = {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}
    ahead = {
        kind.key: float(np.count_nonzero(worths[kind.key] > 0.0)) / given.draws for kind in LEDGERS
    }
    paid = worths["time_paid"]
    mean = sum(float(paid[rows].sum()) for rows in rows_of(given.draws)) / given.draws
    one_in_twenty = float(levels_of(worths["stopping"], LEVELS)[0])
    return Likely(Odds(mean, ahead["time_paid"], one_in_twenty), ahead)
