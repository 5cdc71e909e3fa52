"""At which value the advice flips: found on the model itself, bracketed and vectorised."""

from dataclasses import dataclass

import numpy as np

from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.levers import LEVERS, Lever

_POINTS = 65
_ZOOMS = 10


@dataclass(frozen=True, slots=True)
class Tip:
    """Where one lever brings one ledger's worth to zero."""

    lever: Lever
    ledger: str
    now: float
    """What the farm has, in canonical units."""
    factor: float
    """On what the farm has; NaN where no factor from 0 up to the lever's most does it."""
    rises: bool
    """Whether the plan gains as the lever rises there."""

    @property
    def value(self) -> float:
        """Give the value at the tip, in canonical units; NaN where there is none."""
        return self.now * self.factor


def worth(inputs: Inputs, lever: Lever, factors: Floats) -> dict[str, Floats]:
    """Give each ledger's worth with a lever turned.

    Parameters
    ----------
    inputs : Inputs
        One farm, shape ``()``, with its burn order settled.
    lever : Lever
        What is turned.
    factors : ndarray, shape (n,)
        How far; 1 leaves the farm as it is. [-]

    Returns
    -------
    dict of str to ndarray, shape (n,)
        Net present value by ledger. [currency]
    """
    outcome = evaluate(lever.turn(inputs, factors), by_month=False)
    return {
        kind.key: np.broadcast_to(outcome.ledgers[kind.key].measures["npv"], factors.shape)
        for kind in LEDGERS
    }


def _grid(most: float) -> Floats:
    """Give factors from 0 to `most`, dense near one."""
    return np.unique(
        np.concatenate([[0.0], np.geomspace(0.01, 1.0, 49), np.geomspace(1.0, most, 33)])
    )


def _bracket(factors: Floats, values: Floats) -> tuple[int, bool] | None:
    """Give the crossing nearest to a factor of one: the index of its left end, and whether up."""
    signs = np.sign(values)
    crossings = np.flatnonzero(signs[:-1] * signs[1:] <= 0.0)
    crossings = crossings[(signs[crossings] != 0.0) | (signs[crossings + 1] != 0.0)]
    if not crossings.size:
        return None
    middles = 0.5 * (factors[crossings] + factors[crossings + 1])
    best = int(crossings[np.argmin(np.abs(np.log(np.maximum(middles, 1e-6))))])
    return best, bool(values[best + 1] > values[best])


def _zoom(inputs: Inputs, lever: Lever, ledger: str, low: float, high: float) -> float:
    """Narrow a bracket by rows of points, then straight within the last one."""
    for _ in range(_ZOOMS):
        factors = np.linspace(low, high, _POINTS)
        values = worth(inputs, lever, factors)[ledger]
        signs = np.sign(values)
        place = int(np.flatnonzero(signs[:-1] * signs[1:] <= 0.0)[0])
        low, high = float(factors[place]), float(factors[place + 1])
        left, right = float(values[place]), float(values[place + 1])
        if left == right or high - low <= 1e-15 * high:
            break
    return low if left == right else low - left * (high - low) / (right - left)


def tipping_points(inputs: Inputs) -> tuple[Tip, ...]:
    """Find, for every lever, where each ledger's worth is zero.

    Parameters
    ----------
    inputs : Inputs
        One farm, shape ``()``, with its burn order settled.

    Returns
    -------
    tuple of Tip
        One a lever and ledger, where the lever applies to the farm at all.
    """
    found = []
    for lever in LEVERS:
        now = float(lever.present(inputs))
        if not np.isfinite(now) or now == 0.0:
            continue
        factors = _grid(lever.most)
        values = worth(inputs, lever, factors)
        for kind in LEDGERS:
            bracket = _bracket(factors, values[kind.key])
            if bracket is None:
                found.append(Tip(lever, kind.key, now, np.nan, rises=False))
                continue
            index, rises = bracket
            ends = float(factors[index]), float(factors[index + 1])
            factor = _zoom(inputs, lever, kind.key, *ends)
            found.append(Tip(lever, kind.key, now, factor, rises=rises))
    return tuple(found)


def two_levers(inputs: Inputs, first: Lever, second: Lever, factors: Floats) -> dict[str, Floats]:
    """Give each ledger's worth over a grid of two levers, in one call of the model.

    Parameters
    ----------
    inputs : Inputs
        One farm, shape ``()``, with its burn order settled.
    first, second : Lever
        What is turned.
    factors : ndarray, shape (n,)
        How far each is turned. [-]

    Returns
    -------
    dict of str to ndarray, shape (n, n)
        Net present value by ledger, the first lever on the first axis. [currency]
    """
    rows, columns = np.repeat(factors, factors.size), np.tile(factors, factors.size)
    turned = second.turn(first.turn(inputs, rows), columns)
    outcome = evaluate(turned, by_month=False)
    shape = (factors.size, factors.size)
    return {
        kind.key: np.broadcast_to(outcome.ledgers[kind.key].measures["npv"], rows.shape).reshape(
            shape
        )
        for kind in LEDGERS
    }


@dataclass(frozen=True, slots=True)
class ZeroLine:
    """Where two levers together bring one ledger's worth to zero."""

    first: Lever
    second: Lever
    ledger: str
    now: tuple[float, float]
    """What the farm has of each, in canonical units."""
    factors: tuple[tuple[float, float], ...]
    """Factor on the first, and on the second where the worth is zero; NaN where nowhere."""


def zero_line(
    inputs: Inputs, first: Lever, second: Lever, ledger: str, factors: Floats
) -> ZeroLine:
    """Find the line on a grid of two levers along which a ledger's worth is zero.

    Parameters
    ----------
    inputs : Inputs
        One farm, shape ``()``, with its burn order settled.
    first, second : Lever
        What is turned.
    ledger : str
        Key of the ledger.
    factors : ndarray, shape (n,)
        How far each is turned, rising. [-]

    Returns
    -------
    ZeroLine
        Straight between grid points, at the crossing nearest to the farm as it is.
    """
    rows = two_levers(inputs, first, second, factors)[ledger]
    found = []
    for factor, values in zip(factors, rows, strict=True):
        bracket = _bracket(factors, values)
        if bracket is None:
            found.append((float(factor), float("nan")))
            continue
        k = bracket[0]
        share = values[k] / (values[k] - values[k + 1])
        found.append((float(factor), float(factors[k] + share * (factors[k + 1] - factors[k]))))
    now = float(first.present(inputs)), float(second.present(inputs))
    return ZeroLine(first, second, ledger, now, tuple(found))
