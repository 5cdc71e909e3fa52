"""What other sizes of the stores would be worth, all else as it is.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> rooms, worths = tank_sizes(prepare(load(demo_files()["wrenfold"])))
>>> bool((rooms[1:] > rooms[:-1]).all()), rooms.shape == worths.shape
(True, True)
"""

import numpy as np

from econ.ground.units import Floats
from econ.model.changes import with_stores
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs

SIZES = np.asarray([0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0])
"""Sizes looked at, both stores alike; of today's. [-]"""


def tank_sizes(inputs: Inputs) -> tuple[Floats, Floats]:
    """Work out what the plan is worth a year with stores of other sizes, one's time paid.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``.

    Returns
    -------
    rooms : ndarray, shape (sizes,)
        Raw and clean store together. [L]
    worths : ndarray, shape (sizes,)
        Equivalent annual worth; the price of a larger tank is not in it. [currency/yr]
    """
    outcome = evaluate(with_stores(inputs, SIZES), by_month=False, measures=())
    process = inputs.process
    rooms = (process.raw_storage + process.clean_storage) * SIZES
    return rooms, np.broadcast_to(outcome.per_year("time_paid"), SIZES.shape)
