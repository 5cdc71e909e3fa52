"""At which value the advice flips: on the model itself, all levers in one batch of rows.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> from econ.model.levers import turned
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> tip = next(tip for tip in tipping_points(inputs) if tip.factor > 0.0)
>>> at_tip = evaluate(turned(inputs, {tip.lever.key: tip.factor}))
>>> bool(abs(at_tip.per_year(tip.ledger)) < 1e-6)
True
"""

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.levers import LEVERS, Lever

_ROUNDS = 12
# Where a round looks within a bracket: even steps, which always narrow it, and ever closer to
# where a straight line would cross, which finds the root where the worth is nearly straight.
_EVEN = np.array([0.25, 0.5, 0.75])
_NEAR = np.array([-1e-1, -1e-3, -1e-6, -1e-10, 0.0, 1e-10, 1e-6, 1e-3, 1e-1])
_NARROW = 4.0 * np.finfo(np.float64).eps


class Tip(Struct, frozen=True):
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
        """Return the value at the tip, in canonical units; NaN where there is none."""
        return self.now * self.factor


def _grid(most: float) -> Floats:
    """Return factors from 0 to `most`, dense near one."""
    parts = [np.zeros(1), np.geomspace(0.01, 1.0, 49), np.geomspace(1.0, most, 33)]
    points = np.concatenate(parts)
    return np.asarray(points[np.append(True, points[1:] > points[:-1])])


def _bracket(factors: Floats, values: Floats) -> tuple[int, bool] | None:
    """Return the crossing nearest to a factor of one: the index of its left end, and whether up."""
    signs = np.sign(values)
    crossings = np.flatnonzero(signs[:-1] * signs[1:] <= 0.0)
    crossings = crossings[(signs[crossings] != 0.0) | (signs[crossings + 1] != 0.0)]
    if not crossings.size:
        return None
    middles = 0.5 * (factors[crossings] + factors[crossings + 1])
    best = int(crossings[np.argmin(np.abs(np.log(np.maximum(middles, 1e-6))))])
    return best, bool(values[best + 1] > values[best])


def _rows(inputs: Inputs, levers: list[Lever], factors: Floats) -> dict[str, Floats]:
    """Return each ledger's worth with lever k alone turned by row k of `factors`, in one batch."""
    whole = inputs
    for k, lever in enumerate(levers):
        alone = np.ones(factors.shape)
        alone[k] = factors[k]
        whole = lever.turn(whole, alone.ravel())
    outcome = evaluate(whole, by_month=False, measures=())
    return {
        kind.key: np.broadcast_to(
            outcome.ledgers[kind.key].measures["npv"], (factors.size,)
        ).reshape(factors.shape)
        for kind in LEDGERS
    }


class _Bracket(Struct):
    """Between two factors a ledger's worth changes sign."""

    lever: int
    ledger: str
    low: float
    high: float
    left: float
    """Worth at the low end. [currency]"""
    right: float

    @property
    def crossing(self) -> float:
        """Return where a straight line between the ends is zero."""
        if self.left == self.right:
            return self.low
        return self.low - self.left * (self.high - self.low) / (self.right - self.left)

    @property
    def narrow(self) -> bool:
        """Say whether there is nothing left to look for."""
        width = self.high - self.low
        return bool(self.left * self.right == 0.0 or width <= _NARROW * self.high)

    def points(self) -> Floats:
        """Return where to look next, ends included, rising."""
        width = self.high - self.low
        inner = np.concatenate([self.low + width * _EVEN, self.crossing + width * _NEAR])
        return np.sort(
            np.clip(np.concatenate([[self.low], inner, [self.high]]), self.low, self.high)
        )

    def narrow_to(self, factors: Floats, values: Floats) -> None:
        """Keep the first interval in which the sign changes."""
        signs = np.sign(values)
        k = int(np.flatnonzero(signs[:-1] * signs[1:] <= 0.0)[0])
        self.low, self.high = float(factors[k]), float(factors[k + 1])
        self.left, self.right = float(values[k]), float(values[k + 1])


def _zoom(inputs: Inputs, levers: list[Lever], brackets: list[_Bracket]) -> None:
    """Narrow all brackets together until each is as narrow as numbers allow."""
    for _ in range(_ROUNDS):
        wide = [bracket for bracket in brackets if not bracket.narrow]
        if not wide:
            return
        factors = np.stack([bracket.points() for bracket in wide])
        worths = _rows(inputs, [levers[bracket.lever] for bracket in wide], factors)
        for k, bracket in enumerate(wide):
            bracket.narrow_to(factors[k], worths[bracket.ledger][k])


def tipping_points(inputs: Inputs) -> tuple[Tip, ...]:
    """Find, for every lever, where each ledger's worth is zero.

    Parameters
    ----------
    inputs : Inputs
        One farm, shape ``()``, with its burn order settled.

    Returns
    -------
    tuple of Tip
        One a lever and ledger, where the lever applies to the farm at all; each factor is exact
        to a few units in its last place.
    """
    present = {lever.key: float(lever.present(inputs)) for lever in LEVERS}
    levers = [lever for lever in LEVERS if np.isfinite(present[lever.key]) and present[lever.key]]
    if not levers:
        return ()
    grids = np.stack([_grid(lever.most) for lever in levers])
    worths = _rows(inputs, levers, grids)
    result: list[tuple[int, str, _Bracket | None, bool]] = []
    for k in range(len(levers)):
        for kind in LEDGERS:
            factors, values = grids[k], worths[kind.key][k]
            place = _bracket(factors, values)
            if place is None:
                result.append((k, kind.key, None, False))
                continue
            j, rises = place
            ends = (
                float(factors[j]),
                float(factors[j + 1]),
                float(values[j]),
                float(values[j + 1]),
            )
            result.append((k, kind.key, _Bracket(k, kind.key, *ends), rises))
    _zoom(inputs, levers, [bracket for _, _, bracket, _ in result if bracket is not None])
    return tuple(
        Tip(
            levers[k],
            ledger,
            present[levers[k].key],
            np.nan if bracket is None else bracket.crossing,
            rises=rises,
        )
        for k, ledger, bracket, rises in result
    )


def two_levers(inputs: Inputs, first: Lever, second: Lever, factors: Floats) -> dict[str, Floats]:
    """Return each ledger's worth over a grid of two levers, in one call of the model.

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
    outcome = evaluate(turned, by_month=False, measures=())
    shape = (factors.size, factors.size)
    return {
        kind.key: np.broadcast_to(outcome.ledgers[kind.key].measures["npv"], rows.shape).reshape(
            shape
        )
        for kind in LEDGERS
    }


class ZeroLine(Struct, frozen=True):
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
    result = []
    for factor, values in zip(factors, rows, strict=True):
        bracket = _bracket(factors, values)
        if bracket is None:
            result.append((float(factor), float("nan")))
            continue
        k = bracket[0]
        share = values[k] / (values[k] - values[k + 1])
        result.append((float(factor), float(factors[k] + share * (factors[k + 1] - factors[k]))))
    now = float(first.present(inputs)), float(second.present(inputs))
    return ZeroLine(first, second, ledger, now, tuple(result))
