"""Speed of chances against a general sampler around the plain loop: prints a table.

Run as ``python tests/benchmarks/peers.py`` after ``pip install '.[benchmarks]'``. SALib's
sampling and indices [1]_ drive `tests/reference/`, a run at a time, as a script would.

References
----------
.. [1] SALib, https://salib.readthedocs.io, MIT licence.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
import reference
from benchmarks.measuring import ROOT, Row, printed, seconds
from reference.chances import Chances

from econ.answers.outlook import outlook
from econ.farm.files import load

LARGEST = ROOT / "scenarios" / "quillmere.toml"
_ROWS = 8


def rows() -> list[Row]:
    """Measure a draw with indices and all that is told of it, by either way."""
    # Here, as no test needs it: what looks through all files for examples has none of it.
    from SALib.analyze import sobol as indices
    from SALib.sample import sobol as sampling

    scenario, plain = load(LARGEST), Chances(reference.read(LARGEST))
    count = plain.dimensions
    problem = {
        "num_vars": count,
        "names": [f"x{k}" for k in range(count)],
        "bounds": [[0.0, 1.0]] * count,
        "dists": ["norm"] * count,
    }
    start = time.process_time()
    scores = sampling.sample(problem, _ROWS, calc_second_order=False)
    worths = [plain.outcome(list(one))["ledgers"]["time_paid"]["npv"] for one in scores]
    indices.analyze(problem, np.array(worths), calc_second_order=False)
    theirs = (time.process_time() - start) / len(scores)
    draws = scenario.uncertainty.draws
    ours = seconds(lambda: outlook(scenario), 3) / draws
    return [
        (
            f"a draw of {draws:,}, indices and all that is told of them",
            f"SALib around the plain loop, a run of {len(scores):,}",
            f"{theirs / ours:,.0f} times faster ({1e6 * ours:.0f} µs against {1e6 * theirs:,.0f})",
        )
    ]


if __name__ == "__main__":
    printed(rows())
