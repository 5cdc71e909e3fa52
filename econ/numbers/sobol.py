"""Scrambled Sobol points, any block of them alone, in plain NumPy.

The sequence and its scrambling (linear matrix scramble and digital shift) are those of
`scipy.stats.qmc.Sobol` with the same seed, bit for bit, which a test holds. It is written out
here for two reasons: importing `scipy.stats` takes longer than a whole decision, and any block
of points can be made by itself, so that results depend neither on chunks nor on workers.

>>> points = sobol(2, 8, np.random.default_rng(1)).points(0)
>>> np.sort((8.0 * points).astype(int)).tolist()
[[0, 1, 2, 3, 4, 5, 6, 7], [0, 1, 2, 3, 4, 5, 6, 7]]
"""

from functools import lru_cache
from pathlib import Path

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.units import Floats

BITS = 30
"""Bits of each coordinate; the sequence has 2^30 points."""
MOST_DIMENSIONS = 2048

_Words = NDArray[np.uint32]


@lru_cache(maxsize=1)
def _direction_numbers() -> tuple[NDArray[np.uint16], NDArray[np.uint16]]:
    """Read the primitive polynomials and initial numbers of Joe and Kuo (2008)."""
    with np.load(Path(__file__).with_name("sobol.npz")) as data:
        return data["poly"], data["initial"]


def _generators(dimensions: int) -> _Words:
    """Return the direction numbers, shape (dimensions, BITS), by the recurrence of Sobol.

    Dimensions whose polynomials share a degree are worked together.
    """
    polynomials, initial = _direction_numbers()
    degrees = np.array([p.bit_length() - 1 for p in polynomials[:dimensions].tolist()])
    v = np.zeros((dimensions, BITS), dtype=np.uint64)
    v[0] = 1
    for degree in sorted(set(degrees[1:].tolist())):
        rows = 1 + np.flatnonzero(degrees[1:] == degree)
        words = np.zeros((BITS, rows.size), dtype=np.uint64)
        words[:degree] = initial[rows, :degree].T
        back = np.arange(1, degree + 1, dtype=np.uint64)[:, None]
        taps = (polynomials[rows].astype(np.uint64) >> (np.uint64(degree) - back)) & np.uint64(1)
        for j in range(degree, BITS):
            tapped = taps * (words[j - degree : j][::-1] << back)
            words[j] = words[j - degree] ^ np.bitwise_xor.reduce(tapped, axis=0)
        v[rows] = words.T
    shifts = np.arange(BITS - 1, -1, -1, dtype=np.uint64)
    return (v << shifts).astype(np.uint32)


def _scrambled(v: _Words, rng: np.random.Generator) -> tuple[_Words, _Words]:
    """Scramble direction numbers by random lower triangular matrices; give them and the shift."""
    dimensions = v.shape[0]
    powers = 2 ** np.arange(BITS, dtype=np.uint32)
    shift = np.dot(rng.integers(2, size=(dimensions, BITS), dtype=np.uint32), powers)
    lower = np.tril(rng.integers(2, size=(dimensions, BITS, BITS), dtype=np.uint32))
    lower[:, np.arange(BITS), np.arange(BITS)] = 1
    # Bit k (from the top) of a scrambled word is the parity of row k against the word's bits.
    rows = np.bitwise_or.reduce(lower << np.arange(BITS - 1, -1, -1, dtype=np.uint32), axis=2)
    result = np.zeros_like(v)
    for bit in range(BITS):
        parity = np.bitwise_count(rows[:, bit, None] & v) & 1
        result |= parity.astype(np.uint32) << np.uint32(BITS - 1 - bit)
    return result, shift.astype(np.uint32)


class Sobol(Struct, frozen=True):
    """A scrambled sequence, ready to give any aligned block of its points."""

    directions: _Words
    shift: _Words
    block: _Words
    """The first points without their shift, shape (dimensions, block length)."""

    @property
    def block_length(self) -> int:
        """Return the number of points in a block."""
        return int(self.block.shape[1])

    def points(self, block: int) -> Floats:
        """Return one block of points.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        ndarray, shape (dimensions, block_length)
            Coordinates strictly between 0 and 1: half a lattice step is added. [-]

        Notes
        -----
        In Gray-code order the points of an aligned block are those of the first block, each
        exclusive-or one word: gray(start + i) = gray(start) ^ gray(i).
        """
        result = np.empty(self.block.shape)
        self.fill(block, result)
        return result

    def fill(self, block: int, into: Floats) -> None:
        """Write the first points of a block where they are wanted.

        Parameters
        ----------
        block : int
            Which block, from 0.
        into : ndarray, shape (dimensions, up to block_length)
            Takes what `points` gives. [-]
        """
        start = block * self.block_length
        word = self.shift.copy()
        gray = start ^ (start >> 1)
        for bit in range(BITS):
            if (gray >> bit) & 1:
                word ^= self.directions[:, bit]
        np.multiply(self.block[:, : into.shape[1]] ^ word[:, None], 2.0**-BITS, out=into)
        into += 0.5 * 2.0**-BITS


def sobol(dimensions: int, block_length: int, rng: np.random.Generator) -> Sobol:
    """Prepare a scrambled Sobol sequence.

    Parameters
    ----------
    dimensions : int
        From 1 to `MOST_DIMENSIONS`.
    block_length : int
        Points in a block, a power of two.
    rng : numpy.random.Generator
        Scrambles the sequence.

    Returns
    -------
    Sobol

    Raises
    ------
    ValueError
        If there are more dimensions than direction numbers, or the block length is no power
        of two.

    References
    ----------
    .. [1] Source key ``joe_kuo_2008``: the direction numbers.
    """
    if not 1 <= dimensions <= MOST_DIMENSIONS:
        msg = f"dimensions = {dimensions}; Sobol points have 1 to {MOST_DIMENSIONS}"
        raise ValueError(msg)
    if block_length < 1 or block_length & (block_length - 1):
        msg = f"block_length = {block_length}; a block has a power of two of points"
        raise ValueError(msg)
    # scipy scrambles with a child of the generator it is given; so do we, to stay its equal.
    directions, shift = _scrambled(_generators(dimensions), rng.spawn(1)[0])
    block = np.zeros((dimensions, block_length), dtype=np.uint32)
    filled = 1
    for bit in range(block_length.bit_length() - 1):
        step = directions[:, bit].copy()
        if bit > 0:
            step ^= directions[:, bit - 1]
        block[:, filled : 2 * filled] = block[:, :filled] ^ step[:, None]
        filled *= 2
    return Sobol(directions, shift, block)
