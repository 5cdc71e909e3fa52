"""Work spread over a Dask cluster, where folders are larger than one machine likes.

Dask is an optional extra, ``many``; nothing else needs it. It gives a task of a worker that died to
another one, which is why no farm is lost with its worker.
"""

import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, TypeVar

from econ.ground.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from distributed import Client

T = TypeVar("T")
R = TypeVar("R")

LOCAL = "local"
"""The address that stands for workers started here, for this run."""

_PATIENCE = 10
"""[s] How long an address may take to answer."""


def _refusal(address: str, message: str) -> ScenarioError:
    return ScenarioError((Problem("--cluster", address, None, message),))


@contextmanager
def _connected(address: str, workers: int) -> "Iterator[Client]":
    """Connect to a scheduler, or start one here with its workers, and end what was started."""
    try:
        from distributed import Client, LocalCluster
    except ImportError as error:
        message = "needs the optional extra `many`: pip install 'drumworth[many]'"
        raise _refusal(address, message) from error
    with ExitStack() as ends:
        if address == LOCAL:
            # One thread each: a farm is worked by one core. No status page: nothing listens but
            # the scheduler, on this machine alone.
            cluster = LocalCluster(
                n_workers=workers,
                threads_per_worker=1,
                host="127.0.0.1",
                dashboard_address=None,
                silence_logs=logging.CRITICAL,
            )
            yield ends.enter_context(Client(ends.enter_context(cluster)))
            return
        try:
            client = Client(address, timeout=_PATIENCE)
        except (OSError, ValueError) as error:
            message = f"no Dask scheduler answers there; allowed: {LOCAL}, or one's address"
            raise _refusal(address, message) from error
        yield ends.enter_context(client)


def spread(work: Callable[[T], R], items: Sequence[T], address: str, workers: int) -> Iterator[R]:
    """Do the same work on many things, on the workers of a cluster.

    Parameters
    ----------
    work : callable
        A function that workers can import.
    items : sequence
        What it is done on; files among it must be found by workers under the same name.
    address : str
        ``local`` for workers of this run, else a scheduler's, such as ``tcp://10.0.0.5:8786``.
    workers : int
        How many to start, if local.

    Yields
    ------
    object
        What `work` returned, in the order of `items`; a worker that ends loses none.

    Raises
    ------
    ScenarioError
        If Dask is not installed, nothing answers, or one item ends every worker that takes it.
    """
    with _connected(address, workers) as client:
        from distributed import KilledWorker

        try:
            # Two equal files are two farms: nothing is looked up by what it was called with.
            for future in client.map(work, items, pure=False):
                yield future.result()
        except KilledWorker as error:
            message = "a farm ended each worker that took it; decide it alone to see why"
            raise _refusal(address, message) from error
