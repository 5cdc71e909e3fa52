"""The comparison of thinners of each open farm, worked out once while pages look at it."""

import json
import threading
from collections import OrderedDict

from dashboards.web.log_folder import farm_key
from econ.answers.thinner_curves import ThinnerView, thinner_view
from econ.answers.turned import Results

_MOST = 8
_LOCK = threading.Lock()
_KEPT: OrderedDict[str, ThinnerView] = OrderedDict()


def view_of(result: Results) -> ThinnerView:
    """Return a farm's comparison, levers turned as they are."""
    factors = {row.key: row.factor for row in result.levers}
    key = json.dumps([farm_key(result.scenario), sorted(factors.items())])
    with _LOCK:
        if key not in _KEPT:
            _KEPT[key] = thinner_view(result.scenario, factors)
            if len(_KEPT) > _MOST:
                _KEPT.popitem(last=False)
        return _KEPT[key]
