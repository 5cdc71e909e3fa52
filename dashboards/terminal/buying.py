"""The sentence a buyer wants: which thinner, in which machine, until which price."""

from dataclasses import dataclass

from dashboards.terminal.numbers import Numbers
from econ.comparison_document import Json
from econ.labels import FUELS


@dataclass(frozen=True, slots=True)
class Until:
    """How far a price may move before another offer comes first; None where it never does."""

    upper: float | None
    upper_rival: str | None
    lower: float | None
    lower_rival: str | None


def row_of(scope: Json, name: str | None) -> Json | None:
    """Find an offer of a scope by its name."""
    return next((row for row in scope["rows"] if row["thinner"] == name), None)


def _fit(scope: Json) -> list[Json]:
    """Give the offers that may be put forward, the best first."""
    return [row for row in scope["rows"] if row["result"] and not row["set_aside"]]


def saving(row: Json) -> float:
    """Give the year's saving after one's own labour."""
    return float(row["result"]["savings"]["after_labour"])


def has_gasoline(row: Json) -> bool:
    """Give whether any blend of an offer is to be treated as gasoline for want of a number."""
    return any(
        season["flash"] is None and not season["too_thick"]
        for mix in row["mixes"]
        for season in mix["seasons"]
    )


def until(scope: Json) -> Until:
    """Read from the ties how far the best offer's price may move."""
    set_aside = {row["thinner"] for row in scope["rows"] if row["set_aside"]}
    ties = [
        tie
        for tie in scope["ties"]
        if tie["moved"] == scope["best"]
        and tie["price"] is not None
        and tie["against"] not in set_aside
    ]
    above = [t for t in ties if t["price"] >= t["now"] and t["keeps_more_below"]]
    below = [t for t in ties if t["price"] <= t["now"] and not t["keeps_more_below"]]
    upper = min(above, key=lambda tie: tie["price"], default=None)
    lower = max(below, key=lambda tie: tie["price"], default=None)
    return Until(
        upper["price"] if upper else None,
        upper["against"] if upper else None,
        lower["price"] if lower else None,
        lower["against"] if lower else None,
    )


def _rival(name: str | None, *, farm: bool) -> str:
    if name is not None:
        return f"{name} keeps more"
    return "no plan at all keeps more" if farm else "it does better on pump fuel"


def _price_words(scope: Json, best: Json, show: Numbers) -> str:
    """Say until which price the best offer stays the best."""
    farm, limits = scope["machine"] is None, until(scope)
    what = FUELS[best["tied_to"]] if best["tied_to"] else "it"
    now = f"now {show.price(best['price'])}"
    if not best["listed"]:
        return " Its price is that of the fuel it replaces."
    if limits.upper is None and limits.lower is None:
        return f" At no price looked at does that change ({now})."
    parts = []
    if limits.upper is not None:
        rival = _rival(limits.upper_rival, farm=farm)
        parts.append(f"above {show.price(limits.upper)} {rival}")
    if limits.lower is not None:
        rival = _rival(limits.lower_rival, farm=farm)
        parts.append(f"below {show.price(limits.lower)} {rival}")
    return f" So long as {what} costs what it does ({now}): {', '.join(parts)}."


def _lead(best: Json, others: list[Json], show: Numbers) -> str:
    """Say by how much the best leads the next."""
    if not others:
        return f"{best['thinner']} is the only one that does the job."
    gap = saving(best) - saving(others[0])
    if round(gap) == 0:
        return f"{best['thinner']}; {others[0]['thinner']} keeps as much."
    return f"{best['thinner']}, {show.money(gap)} a year ahead of {others[0]['thinner']}."


def _safety(best: Json, others: list[Json], show: Numbers) -> str:
    """Say what a blend without gasoline costs."""
    if not has_gasoline(best):
        return ""
    text = " It is gasoline: treat the whole blend as gasoline."
    other = next((row for row in others if not has_gasoline(row)), None)
    if other is None:
        return text
    cost = show.money(saving(best) - saving(other))
    return f"{text} {other['thinner']} spares you that for {cost} a year."


def _nothing_pays(scope: Json, best: Json, show: Numbers) -> str | None:
    """Say so where even the best offer does worse than no blend."""
    gap = saving(best) - float(scope["saving_without"])
    if gap > 0.0:
        return None
    if scope["machine"] is None:
        return (
            f"No thinner makes the plan pay for your time: with the best, {best['thinner']}, it"
            f" loses {show.money(-gap)} a year."
        )
    return (
        f"Leave it on pump fuel: with the best, {best['thinner']}, the farm keeps"
        f" {show.money(-gap)} a year less."
    )


def sentence(scope: Json, show: Numbers) -> str:
    """Give the buyer's sentence for a machine or the whole farm.

    Parameters
    ----------
    scope : dict
        One scope of the thinner document.
    show : Numbers
        How the file's numbers are written.

    Returns
    -------
    str
    """
    name = scope["machine"] or "Whole farm"
    if not scope["oil_reaches_it"]:
        return f"{name}: no oil is left for it, so no thinner matters."
    fit = _fit(scope)
    if not fit:
        return f"{name}: no thinner listed does the job."
    best, others = fit[0], fit[1:]
    verdict = _nothing_pays(scope, best, show)
    if verdict is None or scope["machine"] is None:
        lead = _lead(best, others, show) + _price_words(scope, best, show)
        verdict = f"{verdict} {lead}" if verdict else lead
        verdict += _safety(best, others, show)
    average = scope["best_on_average_values"]
    if average is not None and average != best["thinner"]:
        verdict += f" On average values {average} comes first."
    return f"{name}: {verdict}"
