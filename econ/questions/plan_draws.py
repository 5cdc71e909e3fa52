"""Plans on the same draws: what one earns where another loses, future by future.

>>> import numpy as np
>>> drawn_of(np.array([-20.0, -10.0, 10.0, 20.0])).ahead
0.5
"""

from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct

from econ.farm.prepare import Choices, settle, whole_inputs_at
from econ.ground.units import Floats
from econ.model.changes import as_planned_in_draws, only_what_serves
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.questions.draws import BLOCK, Sampler, pick_from, sampler
from econ.questions.plan_space import Decision, Space

LOW = 0.05
Tell = Callable[[int, int], None]


class Drawn(Struct, frozen=True):
    """What the draws say of one plan, in worth a year by one ledger. [currency/yr]"""

    mean: float
    low: float
    """One draw in twenty is worse."""
    ahead: float
    """Share of draws in which it is worth more than nothing. [-]"""


def drawn_of(worth: Floats) -> Drawn:
    """Sum up a plan's draws.

    Parameters
    ----------
    worth : ndarray, shape (draws,)
        Worth a year. [currency/yr]

    Returns
    -------
    Drawn
    """
    return Drawn(
        float(np.mean(worth)),
        float(np.sort(worth)[max(0, int(np.ceil(LOW * worth.size)) - 1)]),
        float(np.mean(worth > 0.0)),
    )


def worth_in_draws(
    space: Space,
    plans: Sequence[tuple[Decision, Inputs, frozenset[str]]],
    ledger: str,
    tell: Tell,
) -> Floats:
    """Work plans through on the same draws of the file's guesses.

    Parameters
    ----------
    space : Space
        Of the farm.
    plans : sequence of (Decision, Inputs, names)
        Each with its inputs at expected values, order of serving settled, and what is in it.
    ledger : str
        "time_free" or "time_paid".
    tell : callable
        Told (plans worked through times draws, in all).

    Returns
    -------
    ndarray, shape (plans, draws)
        Worth a year, the path of fuel prices in it. [currency/yr]
    """
    given = space.scenario.uncertainty
    drawn = sampler(space.scenario, given.draws, given.seed)
    choices: dict[int, Choices] = {
        decision.setup: settle(space.scenario, decision.setup) for decision, _, _ in plans
    }
    result = np.empty((len(plans), drawn.draws))
    for block in range(drawn.blocks):
        rows = slice(block * BLOCK, min((block + 1) * BLOCK, drawn.draws))
        raw = drawn.raw(block)
        pick = pick_from(drawn.values_of(raw))
        path = multipliers_of(drawn, raw)
        wholes = {k: whole_inputs_at(space.scenario, pick, c) for k, c in choices.items()}
        for k, (decision, planned, names) in enumerate(plans):
            inputs = only_what_serves(as_planned_in_draws(wholes[decision.setup], planned), names)
            outcome = evaluate(inputs, by_month=False, path=path, measures=())
            result[k, rows] = outcome.ledgers[ledger].measures["equivalent_annual"]
            tell(
                block * BLOCK * len(plans) + (k + 1) * (rows.stop - rows.start),
                drawn.draws * len(plans),
            )
    return result


def multipliers_of(drawn: Sampler, raw: Floats) -> Sequence[Floats] | None:
    """Return what multiplies each year's fuel prices in a block of draws.

    Parameters
    ----------
    drawn : Sampler
        Of the farm.
    raw : ndarray, shape (dimensions, n)
        From `Sampler.raw`. [-]

    Returns
    -------
    sequence of ndarray, one a year, or None
        None where prices hold still.
    """
    if drawn.path.swing == 0.0:
        return None
    return tuple(drawn.path.multipliers(drawn.states(raw))[1:])
