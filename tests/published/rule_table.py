"""Which blending rule meets measured blends best: prints a table.

Run as ``python tests/published/rule_table.py``.
"""

import math
import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

import numpy as np
from test_oil_physics import DILUTIONS, MIDDLE, MIXTURES, volume_index

from econ.fuel.viscosity import pool_w, viscosity_of, w_of

Rule = Callable[[tuple[float, float], tuple[float, float]], float]


def refutas(shares: tuple[float, float], viscosities: tuple[float, float]) -> float:
    """Blend by the Refutas index: Maples, Petroleum Refinery Process Economics, 2nd ed."""
    index = [14.534 * math.log(math.log(v + 0.8)) + 10.975 for v in viscosities]
    mixed = sum(s * i for s, i in zip(shares, index, strict=True))
    return math.exp(math.exp((mixed - 10.975) / 14.534)) - 0.8


def double_log(shares: tuple[float, float], viscosities: tuple[float, float]) -> float:
    """Blend as the model does: W of ASTM D7152, linear in the shares."""
    return float(viscosity_of(pool_w(list(shares), [w_of(v) for v in viscosities])))


RULES: dict[str, Rule] = {
    "double log (ASTM D7152)": double_log,
    "Refutas": refutas,
    "log v/(3 + log v) index": volume_index,
}


def errors(rule: Rule) -> tuple[list[float], list[float]]:
    """Return relative errors on the binary liquid and on the dilution charts."""
    binary = [
        rule((mass, 1 - mass), (thick, thin)) / measured - 1
        for share, mass in MIDDLE.items()
        for thick, thin, measured in zip(
            MIXTURES[0.9189], MIXTURES[0.3610], MIXTURES[share], strict=True
        )
    ]
    charts = [
        rule((1 - row.share, row.share), (row.oil, row.fuel)) / row.expected - 1
        for row in DILUTIONS
    ]
    return binary, charts


if __name__ == "__main__":
    print("| rule | 20 binary blends: mean, worst | 2 dilution charts |")
    print("|---|---|---|")
    for name, rule in RULES.items():
        binary, charts = errors(rule)
        worst = max(binary, key=abs)
        listed = ", ".join(f"{100 * e:+.1f} %" for e in charts)
        print(f"| {name} | {100 * np.mean(binary):+.2f} %, {100 * worst:+.2f} % | {listed} |")
