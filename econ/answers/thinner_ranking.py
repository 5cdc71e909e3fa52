"""Every thinner beside what is done now and no plan at all: the ranking, and what it comes to.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> from econ.questions.thinners import compare
>>> gathered = compare(prepare(load(demo_files()["wrenfold"])))
>>> ranking = ranking_of(gathered.scopes[0], gathered)
>>> [row["kept"] for row in ranking if row["kind"] == "none"]
[0.0]
"""

from collections.abc import Mapping, Sequence
from typing import Any

from econ.answers.buying_keys import MonthCostDocument, RankDocument
from econ.answers.document import number
from econ.ground.labels import NO_PLAN
from econ.ground.written import Numbers
from econ.model.evaluate import evaluate
from econ.questions.thinners import Comparison, Scope

Json = Mapping[str, Any]


def ranking_of(scope: Scope, gathered: Comparison) -> list[RankDocument]:
    """Rank every offer with what is done now and with doing nothing, by worth a year.

    Parameters
    ----------
    scope : Scope
        One machine, or the whole farm.
    result : Comparison
        The comparison it belongs to.

    Returns
    -------
    list of RankDocument
        ``name``, ``kind`` ("offer", "now", "off" for one machine left on pump fuel, or "none" for
        no plan at all), ``kept`` a year with one's time paid [currency/yr], ``set_aside``; the one
        that keeps most first.
    """
    able = [row for row in scope.rows if row.result is not None]
    rows: list[RankDocument] = [
        {
            "name": row.offer.name,
            "kind": "now" if row.present else "offer",
            "kept": number(row.result.worth) if row.result else None,
            "set_aside": row.set_aside is not None,
        }
        for row in able
    ]
    if not any(row.present for row in able):
        rows.append(
            {
                "name": "As you do it now",
                "kind": "now",
                "set_aside": False,
                "kept": number(gathered.present.per_year("time_paid")),
            }
        )
    if scope.machine is not None:
        rows.append(
            {
                "name": "This machine on pump fuel",
                "kind": "off",
                "set_aside": False,
                "kept": number(scope.worth_without),
            }
        )
    rows.append({"name": NO_PLAN, "kind": "none", "set_aside": False, "kept": 0.0})
    return sorted(rows, key=lambda row: -(row["kept"] or 0.0))


def finding(
    ranking: Sequence[Json], numbers: Numbers, machine: str | None, *, reached: bool = True
) -> str:
    """Say what the ranking comes to; no thinner "keeps most" where every one loses.

    Parameters
    ----------
    ranking : sequence of dict
        From `ranking_of`.
    numbers : Numbers
        How the farm's numbers are written.
    machine : str or None
        Name of the machine; None for the whole farm.
    reached : bool
        Whether any oil is left for it.

    Returns
    -------
    str
    """
    if not reached:
        return "No oil is left for it, so its thinner does not matter."
    fit = [row for row in ranking if not row["set_aside"]]
    best = next((row for row in fit if row["kind"] not in ("off", "none")), None)
    nothing = next(row for row in fit if row["kind"] == ("none" if machine is None else "off"))
    if best is None:
        return "None can be put forward."
    ahead = best["kept"] - nothing["kept"]
    less = numbers.spoken(abs(ahead))
    of = "the plan" if machine is None else f"blend in {machine}"
    name = (
        best["name"]
        if best["kind"] == "offer" or not best["name"].startswith("As you")
        else ("as you do it now")
    )
    if ahead <= 0.0:
        return (
            f"With your time paid no thinner makes {of} pay: {name} loses least,"
            f" {less} a year more than {nothing['name'].lower()}."
        )
    if best["kept"] < 0.0:
        return (
            f"With your time paid the plan loses either way. {name} loses least in {machine}:"
            f" {less} a year less than {nothing['name'].lower()}."
        )
    return f"{best['name']} keeps most: {less} a year more than {nothing['name'].lower()}."


def thinner_by_month(scope: Scope, gathered: Comparison) -> list[MonthCostDocument] | None:
    """Spread the best offer's thinner over the months.

    Parameters
    ----------
    scope : Scope
        One machine, or the whole farm.
    result : Comparison
        The comparison it belongs to.

    Returns
    -------
    list of MonthCostDocument or None
        Twelve of ``month``, ``cost`` [currency] and ``winter``; None for one machine, and where
        several thinners are burned.
    """
    row = scope.best
    if scope.machine is not None or row is None or row.result is None or len(row.offer.used) != 1:
        return None
    price = row.inputs.thinners[next(iter(row.offer.used))].price
    winter = gathered.inputs.winter_months
    return [
        {
            "month": month.month,
            "cost": number(month.thinner * price),
            "winter": bool(winter[month.month - 1]),
        }
        for month in evaluate(row.inputs, measures=()).typical.months
    ]


def thinner_bill(scope: Json, numbers: Numbers) -> str | None:
    """Say what the best offer's thinner costs a year, and how much of it in winter.

    Parameters
    ----------
    scope : dict
        One scope of the document, with its ``thinner_by_month``.
    numbers : Numbers
        How the farm's numbers are written.

    Returns
    -------
    str or None
        None where nothing is bought.
    """
    months = scope["thinner_by_month"] or []
    total = sum(month["cost"] for month in months)
    if not total:
        return None
    winter = sum(month["cost"] for month in months if month["winter"])
    text = f"{scope['best']} costs {numbers.money(total)} a year"
    of_it = f", {numbers.money(winter)} of it in the winter months" if winter else ""
    return f"{text}{of_it}."
