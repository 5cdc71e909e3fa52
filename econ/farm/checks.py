"""What a farm file must hold across fields; each check works whatever else is wrong.

>>> machine = {"name": "Tractor", "fuel_per_year": 200.0, "hours_per_year": 100.0}
>>> [fault] = cross_checks({"machines": [machine]}, Origins("farm.toml"))
>>> fault.where
'[[machines]] "Tractor": fuel_per_year'
"""

import math
import re
from collections.abc import Callable, Iterator
from typing import Any

from econ.farm.bounds import physical
from econ.farm.faults import Finding, Origins, near, problems_of, shown
from econ.farm.fields import PRICE_NAMES
from econ.farm.schema import SOURCE_KINDS, TABLES, WAYS
from econ.farm.setups import laid_processes
from econ.fuel.substances import OILS, REFUSED_OILS, THINNERS, UNWARMED_FUEL, as_gasoline
from econ.ground.errors import Problem
from econ.ground.units import to_canonical
from econ.ground.wording import Wording

Document = dict[str, Any]
# (place, value shown or None, message)


def _table(document: Document, name: str) -> Document:
    value = document.get(name)
    return value if isinstance(value, dict) else {}


def _entries(document: Document, name: str) -> list[Document]:
    value = document.get(name)
    if not isinstance(value, list):
        return []
    return [entry for entry in value if isinstance(entry, dict)]


def _name(entry: Document, position: int = 0) -> str:
    name = entry.get("name")
    return name if isinstance(name, str) else f"#{position + 1}"


def _most(value: Any) -> float:
    """Return the greatest number a quantity may take; 0 where it is none."""
    if isinstance(value, dict):
        value = value.get("high")
    if isinstance(value, bool) or not isinstance(value, int | float):
        return 0.0
    return float(value) if abs(value) < 1e300 else 0.0


def _machines(document: Document) -> Iterator[tuple[str, Document]]:
    for position, machine in enumerate(_entries(document, "machines")):
        yield _name(machine, position), machine


def _lists_needed(document: Document) -> Iterator[Finding]:
    for table in ("machines", "oils"):
        if document.get(table) == []:
            yield (table,), None, "is empty; allowed: at least one entry"


def _fuel_ways(document: Document) -> Iterator[Finding]:
    ways = WAYS["machines.fuel"]
    every = frozenset().union(*ways)
    usual = (
        "give fuel_per_year, or hours_per_year and fuel_per_hour, or distance_per_year and"
        " distance_per_volume, or hours_per_year and rated_power"
    )
    for name, machine in _machines(document):
        given = every & set(machine)
        if given in ways:
            continue
        listed = ", ".join(sorted(given)) or "nothing"
        what = "one way of giving its fuel only" if any(w < given for w in ways) else "half a way"
        message = f"has {listed}: {what if given else 'no fuel'}; allowed: exactly one way: {usual}"
        yield ("machines", name, "fuel_per_year"), None, message


def _energy_ways(document: Document) -> Iterator[Finding]:
    for place, process in laid_processes(document):
        if isinstance(process, dict):
            yield from _energy_way(place, process)


def _energy_way(place: tuple[str, ...], process: Document) -> Iterator[Finding]:
    heating = {"heat_from", "heat_to", "heater_efficiency", "motor_energy_per_volume"}
    given = heating & set(process)
    if "energy_per_volume" in process:
        if given:
            listed = ", ".join(sorted(given))
            yield (
                (*place, "energy_per_volume"),
                None,
                f"stands beside {listed}; allowed: one way: energy_per_volume, or heat_from and"
                " heat_to",
            )
        return
    for key in ("heat_from", "heat_to"):
        if key not in process:
            yield (
                (*place, key),
                None,
                "is missing; allowed: heat_from and heat_to, or energy_per_volume instead",
            )
    if _least(process.get("heat_to")) < _most(process.get("heat_from")) and given >= {
        "heat_from",
        "heat_to",
    }:
        yield (
            (*place, "heat_to"),
            shown(process["heat_to"]),
            f"lies below heat_from = {shown(process['heat_from'])}; allowed: at or above it",
        )


def _least(value: Any) -> float:
    if isinstance(value, dict):
        value = value.get("low")
    if isinstance(value, bool) or not isinstance(value, int | float):
        return math.inf
    return float(value) if abs(value) < 1e300 else math.inf


def _thinner_ways(document: Document) -> Iterator[Finding]:
    for name, machine in _machines(document):
        limit = "viscosity_limit" in machine
        for key in ("thinner_share", "thinner_share_winter"):
            if key in machine and limit:
                yield (
                    ("machines", name, key),
                    shown(machine[key]),
                    "stands beside viscosity_limit; allowed: a share or a limit, not both",
                )
            if key in machine and machine.get("thinner") is None:
                yield (
                    ("machines", name, key),
                    shown(machine[key]),
                    "has no thinner; allowed: only with thinner = the name of one",
                )
        if limit and machine.get("thinner") is None:
            yield (
                ("machines", name, "viscosity_limit"),
                shown(machine["viscosity_limit"]),
                "has no thinner to reach it; allowed: only with thinner = the name of one",
            )
        if "thinner_share_winter" in machine and "thinner_share" not in machine:
            yield (
                ("machines", name, "thinner_share_winter"),
                None,
                "stands alone; allowed: only beside thinner_share",
            )


def _thinner_names(document: Document) -> Iterator[Finding]:
    known = [_name(t) for t in _entries(document, "thinners")]
    for name, machine in _machines(document):
        thinner = machine.get("thinner")
        if isinstance(thinner, str) and thinner not in known:
            listed = ", ".join(f'"{word}"' for word in known) or "none is listed"
            yield (
                ("machines", name, "thinner"),
                shown(thinner),
                f"is not among [[thinners]] ({listed}){near(thinner, known)}",
            )


def _burning_gasoline(document: Document) -> Iterator[tuple[str, str, Document]]:
    """Return machines whose thinner is treated as gasoline, each with its kind."""
    kinds = {_name(t): t.get("kind") for t in _entries(document, "thinners")}
    for name, machine in _machines(document):
        kind = kinds.get(str(machine.get("thinner")))
        if isinstance(kind, str) and kind in THINNERS and as_gasoline(kind):
            yield name, kind, machine


def _offered_gasoline(document: Document) -> Iterator[tuple[str, str, Document]]:
    """Return machines that may come to burn it: as their thinner, or among those to choose from."""
    yield from _burning_gasoline(document)
    kinds = {_name(t): t.get("kind") for t in _entries(document, "thinners")}
    for name, machine in _machines(document):
        others = machine.get("thinners")
        for other in others if isinstance(others, list) else []:
            kind = kinds.get(str(other))
            if isinstance(kind, str) and kind in THINNERS and as_gasoline(kind):
                yield name, kind, machine


def _gasoline_in_burner(document: Document) -> Iterator[Finding]:
    for name, kind, machine in _burning_gasoline(document):
        if machine.get("engine") != "burner":
            continue
        if any(_most(machine.get(key)) > 0 for key in ("thinner_share", "thinner_share_winter")):
            yield (
                ("machines", name, "thinner"),
                shown(machine["thinner"]),
                f"{kind} in a burner's blend is refused: it can flash back and explode"
                " (29 CFR 1910.106 flash classes); allowed: a thinner that is not treated as"
                " gasoline",
            )


def _warmed_gasoline(document: Document) -> Iterator[Finding]:
    """Refuse fuel warmed on purpose where a blend is treated as gasoline."""
    units = _table(document, "scenario").get("units")
    burning = [
        (name, kind)
        for name, kind, machine in _offered_gasoline(document)
        if _most(machine.get("blend_share")) > 0
        and (
            "thinner_share" not in machine
            or _most(machine["thinner_share"]) > 0
            or _most(machine.get("thinner_share_winter")) > 0
        )
    ]
    if units not in ("us", "metric") or not burning:
        return
    blending, (name, kind) = _table(document, "blending"), burning[0]
    for field in ("fuel_temperature", "fuel_temperature_winter"):
        warmest = float(to_canonical(_most(blending.get(field)), "temperature", units))
        # A file's own 104 °F is not a hair above 40 °C.
        if field in blending and warmest > UNWARMED_FUEL + 1e-9:
            most = Wording(units, "").temperature(UNWARMED_FUEL)
            yield (
                ("blending", field),
                shown(blending[field]),
                f'machine "{name}" burns a blend with {kind}, and a gasoline blend is never'
                f" warmed; allowed: at most {most}, or a thinner that is not treated as gasoline",
            )


def _road_share(document: Document) -> Iterator[Finding]:
    for name, machine in _machines(document):
        if machine.get("replaces") == "road_diesel" and "road_share" not in machine:
            yield (
                ("machines", name, "road_share"),
                None,
                "is missing; a machine on road diesel must say how much of it is burned on public"
                " roads; allowed: a number from 0 to 1",
            )


def _prices(document: Document) -> Iterator[Finding]:
    prices = _table(document, "prices")
    users: dict[str, str] = {}
    for name, machine in _machines(document):
        fuel = machine.get("replaces")
        if isinstance(fuel, str) and fuel in PRICE_NAMES:
            users.setdefault(fuel, f'machine "{name}"')
        if _most(machine.get("road_share")) > 0 and _most(machine.get("blend_share")) > 0:
            users.setdefault("road_tax", f'machine "{name}" on public roads')
    for thinner in _entries(document, "thinners"):
        price = thinner.get("price")
        if isinstance(price, str) and price in PRICE_NAMES:
            users.setdefault(price, f'thinner "{_name(thinner)}"')
    laid = [process for _, process in laid_processes(document) if isinstance(process, dict)]
    if any("heat_to" in p or _most(p.get("energy_per_volume")) > 0 for p in laid):
        users.setdefault("electricity", "the cleaning")
    for fuel, user in users.items():
        if fuel not in prices:
            yield ("prices", fuel), None, f"is missing, though {user} uses it"


def _oils(document: Document) -> Iterator[Finding]:
    for position, oil in enumerate(_entries(document, "oils")):
        kind, name = oil.get("kind"), _name(oil, position)
        if isinstance(kind, str) and kind in REFUSED_OILS:
            yield ("oils", name, "kind"), shown(kind), REFUSED_OILS[kind]
        tested = oil.get("pcb_tested") is True
        if isinstance(kind, str) and kind in OILS and OILS[kind].needs_pcb_test and not tested:
            yield (
                ("oils", name, "pcb_tested"),
                shown(oil.get("pcb_tested", False)),
                f"{kind} without a PCB test is refused (40 CFR 761.20(e), 279.10(i));"
                " allowed: true, with a laboratory's result in hand",
            )
        if (
            "viscosity_40" in oil
            and "viscosity_100" in oil
            and (_least(oil["viscosity_40"]) <= _most(oil["viscosity_100"]))
        ):
            yield (
                ("oils", name, "viscosity_40"),
                shown(oil["viscosity_40"]),
                "is not above viscosity_100; allowed: oil is thicker when colder",
            )


def _header(document: Document) -> Iterator[Finding]:
    currency = _table(document, "scenario").get("currency")
    if isinstance(currency, str) and not re.fullmatch(r"[A-Z]{3}", currency):
        yield (
            ("scenario", "currency"),
            shown(currency),
            "allowed: three capital letters (ISO 4217), such as USD",
        )


def _correlations(document: Document) -> Iterator[Finding]:
    table = _table(document, "uncertainty")
    rho = table.get("fuel_price_correlation", 0.9)
    supply = table.get("supply_correlation", -0.3)
    numbers = all(isinstance(x, int | float) and not isinstance(x, bool) for x in (rho, supply))
    if numbers and 0 <= rho <= 1 and -1 <= supply <= 1 and abs(supply) > math.sqrt(rho):
        yield (
            ("uncertainty", "supply_correlation"),
            shown(supply),
            f"is further from 0 than fuel_price_correlation = {rho:g} lets it be; allowed: from"
            f" {-math.sqrt(rho):.3g} to {math.sqrt(rho):.3g}",
        )


def _loan(document: Document) -> Iterator[Finding]:
    years, horizon = (_table(document, table).get("years") for table in ("loan", "finance"))
    if isinstance(years, int) and isinstance(horizon, int) and years > horizon:
        yield (
            ("loan", "years"),
            shown(years),
            f"is more than the {horizon} years looked at; allowed: from 1 to {horizon}",
        )


def _new_kit(document: Document) -> Iterator[Finding]:
    for position, item in enumerate(_entries(document, "kit")):
        if "new_cost" in item and item.get("owned") is not True:
            yield (
                ("kit", _name(item, position), "new_cost"),
                shown(item["new_cost"]),
                "stands at kit that is not owned, whose cost is a new one's; allowed: only with"
                " owned = true",
            )


def _field_paths(document: Document) -> set[str]:
    """List the dotted paths of fields that a source may be given for."""
    result = set()
    for table, model, is_list in TABLES:
        if table in ("scenario", "machines.wear"):
            continue
        names = [_name(e) for e in _entries(document, table)] if is_list else [""]
        for name in names:
            middle = f"{name}." if is_list else ""
            result |= {f"{table}.{middle}{field}" for field in model.model_fields}
    for name, machine in _machines(document):
        for row in _entries(machine, "wear"):
            result |= {
                f"machines.{name}.wear.{row.get('part')}.{f}" for f in ("cost", "extra_failures")
            }
    return result


def _sources(document: Document) -> Iterator[Finding]:
    sources = _table(document, "scenario").get("sources")
    if not isinstance(sources, dict) or not sources:
        return
    known = _field_paths(document)
    for path, kind in sources.items():
        place = ("scenario", "sources", path)
        if path not in known:
            yield place, None, f"no such field{near(path, known)}"
        if kind not in SOURCE_KINDS:
            words = ", ".join(f'"{word}"' for word in SOURCE_KINDS)
            yield place, shown(kind), f"allowed: one of {words}"


CHECKS: tuple[Callable[[Document], Iterator[Finding]], ...] = (
    _header,
    _lists_needed,
    _fuel_ways,
    _road_share,
    _thinner_ways,
    _thinner_names,
    _gasoline_in_burner,
    _warmed_gasoline,
    _prices,
    _oils,
    _energy_ways,
    _correlations,
    _loan,
    _new_kit,
    _sources,
    physical,
)


def cross_checks(document: Document, origins: Origins) -> list[Problem]:
    """Find what is wrong across the fields of a merged document.

    Parameters
    ----------
    document : dict
        Merged, raw; its fields may be wrong in other ways too.
    origins : Origins
        Where each value stands.

    Returns
    -------
    list of Problem
    """
    return problems_of(document, CHECKS, origins)
