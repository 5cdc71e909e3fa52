"""The comparison of thinners of each open farm, worked out once while pages look at it."""

import json

from dashboards.web.last_few import LastFew
from dashboards.web.log_folder import farm_key
from econ.answers.thinner_curves import ThinnerView, thinner_view
from econ.answers.turned import Results


def _factors(result: Results) -> dict[str, float]:
    return {row.key: row.factor for row in result.levers}


def _compared(result: Results) -> ThinnerView:
    return thinner_view(result.scenario, _factors(result))


_COMPARED = LastFew(_compared, 8)


def view_of(result: Results) -> ThinnerView:
    """Return a farm's comparison, levers turned as they are."""
    key = json.dumps([farm_key(result.scenario), sorted(_factors(result).items())])
    return _COMPARED.of(key, result)
