"""What to find out first: what knowing one guess before deciding is worth.

A number found out counts for itself, and for what moves with it: a bill for diesel tells of
gasoline too. It does not count for what it says of whoever guessed: else every trifle would be
worth a lot, as a first sign that all guesses lean one way.
"""

from collections.abc import Iterable

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.numbers.quantiles import hermite, normal_score
from econ.questions.guesses import Guess

_BATCHES = 8
_TERMS = 4
# Below this many draws for each term, a batch's fit is no use as a measure of error.
_PER_TERM = 4


def _gain(fitted: Floats) -> Floats:
    """Return E[max(0, x)] - max(0, E[x]) along the last axis."""
    return np.asarray(np.maximum(fitted, 0.0).mean(axis=-1) - np.maximum(fitted.mean(axis=-1), 0.0))


def worth_of_learning(
    coordinate: Floats, worth: Floats, beside: Floats | None = None
) -> tuple[Floats, Floats]:
    """Return the expected value of learning one coordinate before choosing to start or not.

    Not starting is worth zero, so the gain is E[max(0, E[worth | x])] - max(0, E[worth]). The
    inner mean is a least-squares cubic in the coordinate's normal score.

    Parameters
    ----------
    coordinate : ndarray, shape (n,)
        Spread evenly over (0, 1). [-]
    worth : ndarray, shape (n,) or (k, n)
        Net present value of starting. [currency]
    beside : ndarray, shape (n,), optional
        A common factor of which nothing is learned: a cubic in it is fitted along and left out
        of the gain. [-]

    Returns
    -------
    (ndarray, ndarray), shape () or (k,)
        Value and one standard error, from batches; NaN where there are too few draws for it.
        [currency]

    Notes
    -----
    The cubic comes from its normal equations in Hermite polynomials, summed by batch: the same
    as least squares on the powers within 1e-9 of the spread.

    References
    ----------
    .. [1] Source key ``strong_2014``: regression estimator of partial perfect information.
    """
    lean = None if beside is None else normal_score(beside)
    values, errors = _gains([normal_score(coordinate)], np.atleast_2d(worth), lean)
    shape = np.shape(worth)[:-1]
    return values[0].reshape(shape), errors[0].reshape(shape)


def _gains(scores: Iterable[Floats], results: Floats, lean: Floats | None) -> tuple[Floats, Floats]:
    """Return gains and their errors by score, each fitted by itself, shape (scores, results).

    Normal equations are summed by batch, and all scores' solved together.
    """
    beside = [] if lean is None else [hermite(lean)[1:]]
    size = results.shape[1] // _BATCHES
    used = size * _BATCHES

    def batches(rows: Floats) -> Floats:
        return rows[:, :used].reshape(len(rows), _BATCHES, size).transpose(1, 0, 2)

    parts, left = batches(results), results[:, used:]
    grams, sides, whole_grams, whole_sides, bases = [], [], [], [], []
    for score in scores:
        basis = np.concatenate([hermite(score), *beside])
        blocks, rest = batches(basis), basis[:, used:]
        grams.append(blocks @ blocks.transpose(0, 2, 1))
        sides.append(blocks @ parts.transpose(0, 2, 1))
        whole_grams.append(grams[-1].sum(axis=0) + rest @ rest.T)
        whole_sides.append(sides[-1].sum(axis=0) + rest @ left.T)
        bases.append(basis[:_TERMS])
    # Few draws, or draws without any spread, leave the cubic open: take the least one.
    solved = np.linalg.pinv(np.stack(whole_grams), hermitian=True) @ np.stack(whole_sides)
    own = solved[:, :_TERMS].transpose(0, 2, 1)
    whole = np.stack([_gain(fit @ basis) for fit, basis in zip(own, bases, strict=True)])
    if size < _PER_TERM * len(grams[0][0]):
        return whole, np.full(whole.shape, np.nan)
    each = np.linalg.solve(np.stack(grams), np.stack(sides))[:, :, :_TERMS].transpose(0, 1, 3, 2)
    spread = [
        _gain(fit @ batches(basis)).std(axis=0, ddof=1)
        for fit, basis in zip(each, bases, strict=True)
    ]
    return whole, np.stack(spread) / np.sqrt(_BATCHES)


class Learning(Struct, frozen=True):
    """What knowing one guess before deciding is worth."""

    guess: Guess
    value: float
    """Expected gain, as a present value. [currency]"""
    error: float
    """One standard error; NaN where too few draws tell it. [currency]"""

    @property
    def name(self) -> str:
        """Return the guess's name."""
        return self.guess.name

    @property
    def matters(self) -> bool:
        """Say whether it stands clear of its error and is worth at least one unit of money."""
        return self.value >= 1.0 and self.value > 2.0 * self.error


def learning(
    result: tuple[Guess, ...],
    scores: Floats,
    worths: dict[str, Floats],
    lean: Floats | None = None,
) -> dict[str, tuple[Learning, ...]]:
    """Rank what can be found out by what knowing it before deciding is worth.

    Parameters
    ----------
    result : tuple of Guess
        Those that change anything.
    scores : ndarray, shape (guesses, n)
        Their normal scores, tied to each other. [-]
    worths : dict of str to ndarray, shape (n,)
        Net present value by ledger. [currency]
    lean : ndarray, shape (n,), optional
        Normal score of the factor by which guesses lean one way. [-]

    Returns
    -------
    dict of str to tuple of Learning
        By ledger, largest first; without what nobody can know and what is one's own to choose.
    """
    ranked: dict[str, list[Learning]] = {key: [] for key in worths}
    told = [k for k, guess in enumerate(result) if guess.learned_from]
    if told:
        gains = _gains((scores[k] for k in told), np.stack(list(worths.values())), lean)
        for k, values, errors in zip(told, *gains, strict=True):
            for rows, value, error in zip(ranked.values(), values, errors, strict=True):
                rows.append(Learning(result[k], float(value), float(error)))
    return {key: tuple(sorted(rows, key=lambda row: -row.value)) for key, rows in ranked.items()}


def perfect_information(worth: Floats) -> float:
    """Return the expected value of knowing everything before deciding.

    Parameters
    ----------
    worth : ndarray, shape (n,) or (acts, n)
        Net present value of each act; not starting is worth zero and is always one. [currency]

    Returns
    -------
    float
        E[max(0, best act)] - max(0, E[act] of the best). [currency]

    References
    ----------
    .. [1] Source key ``raiffa_schlaifer_1961``.

    Examples
    --------
    >>> perfect_information(np.array([-2.0, 4.0]))
    1.0
    """
    acts = np.atleast_2d(worth)
    informed = np.mean(np.maximum(acts.max(axis=0), 0.0))
    return float(informed - max(0.0, float(acts.mean(axis=1).max())))
