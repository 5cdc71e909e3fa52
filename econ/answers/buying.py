"""The sentence a buyer wants: which thinner, in which machine, until which price.

>>> from econ import load
>>> from econ.answers.comparison_document import thinners_document
>>> from econ.farm.demos import demo_files
>>> [*_, heater] = thinners_document(load(demo_files()["wrenfold"]))["scopes"]
>>> buying_sentence(heater, Numbers("us", "USD")).startswith(heater["machine"])
True
"""

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from econ.advice.cautions.words import AS_GASOLINE
from econ.answers.buying_keys import LeadDocument, ScopeDocument
from econ.ground.labels import FUELS
from econ.ground.written import Numbers

Json = Mapping[str, Any]


class _Until(Struct, frozen=True):
    """How far a price may move before another offer comes first; None where it never does."""

    upper: float | None
    upper_rival: str | None
    lower: float | None
    lower_rival: str | None


def _fit(scope: Json) -> list[Json]:
    """Return the offers that may be put forward, the best first."""
    return [row for row in scope["rows"] if row["result"] and not row["set_aside"]]


def _worth(row: Json) -> float:
    """Return what the plan is worth a year with an offer, one's time paid."""
    return float(row["result"]["worth"]["time_paid"])


def _has_gasoline(row: Json) -> bool:
    """Return whether any blend of an offer is to be treated as gasoline for want of a number."""
    return any(
        season["flash"] is None and not season["too_thick"]
        for mix in row["mixes"]
        for season in mix["seasons"]
    )


# A lower price than this share of today's is not worth a word.
_FAR_BELOW = 1.0 / 3.0


def _until(scope: Json) -> _Until:
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
    below = [
        t
        for t in ties
        if _FAR_BELOW * t["now"] <= t["price"] <= t["now"] and not t["keeps_more_below"]
    ]
    # Rounded, so that of equals the first stands: offers that the file lists come first.
    upper = min(above, key=lambda tie: round(tie["price"], 6), default=None)
    lower = max(below, key=lambda tie: round(tie["price"], 6), default=None)
    return _Until(
        upper["price"] if upper else None,
        upper["against"] if upper else None,
        lower["price"] if lower else None,
        lower["against"] if lower else None,
    )


def lead_of(scope: ScopeDocument) -> LeadDocument | None:
    """Return what comes first in a plan that is followed, what is next, and how far it leads.

    Parameters
    ----------
    scope : ScopeDocument
        One scope of the thinner document, with its ranking and its ties.

    Returns
    -------
    LeadDocument or None
        ``first`` and ``second`` by name, ``first_kind``, ``ahead`` [currency/yr], ``up_to`` and
        ``down_to`` [currency/volume]; None where no offer can be put forward.
    """
    fit = [row for row in scope["ranking"] if not row["set_aside"]]
    if all(row["kind"] in ("off", "none") for row in fit):
        return None
    # For one machine the choice is made within the plan; no plan at all is the whole farm's.
    whole = scope["machine"] is None
    first, second = [row for row in fit if whole or row["kind"] != "none"][:2]
    listed = any(row["thinner"] == first["name"] and row["listed"] for row in scope["rows"])
    limits = _until(scope) if listed and first["name"] == scope["best"] else None
    keeps, next_keeps = first["kept"], second["kept"]
    return {
        "first": first["name"],
        "first_kind": first["kind"],
        "second": second["name"],
        "ahead": None if keeps is None or next_keeps is None else keeps - next_keeps,
        "up_to": None if limits is None else limits.upper,
        "down_to": None if limits is None else limits.lower,
    }


def _rival(name: str | None, *, farm: bool) -> str:
    if name is not None:
        return f"{name} keeps more"
    return "no plan keeps more" if farm else "it does better on pump fuel"


def _moved(best: Json) -> str:
    return FUELS[best["tied_to"]] if best["tied_to"] else "it"


def _price_words(scope: Json, best: Json, write: Numbers) -> str:
    """Say until which price the best offer stays the best, after its lead."""
    if not best["listed"]:
        return "; its price is that of the fuel it replaces."
    farm, limits, what = scope["machine"] is None, _until(scope), _moved(best)
    now = f"(now {write.price(best['price'])})"
    parts = []
    if limits.upper is not None:
        rival = _rival(limits.upper_rival, farm=farm)
        parts.append(f"until {what} costs {write.price(limits.upper)} {now}; above that {rival}")
    if limits.lower is not None:
        rival = _rival(limits.lower_rival, farm=farm)
        floor = write.price(limits.lower)
        parts.append(f"as long as {what} stays above {floor} {now}; below that {rival}")
    return f", {'; and '.join(parts)}." if parts else f", at any price looked at {now}."


def _lead(best: Json, others: list[Json], write: Numbers) -> str:
    """Say by how much the best leads the next."""
    if not others:
        return f"{best['thinner']}, the only one listed that does the job"
    gap = _worth(best) - _worth(others[0])
    if round(gap) == 0:
        return f"{best['thinner']}, level with {others[0]['thinner']}"
    return f"{best['thinner']}, {write.money(gap)} a year ahead of {others[0]['thinner']}"


def _safety(best: Json, others: list[Json], write: Numbers) -> str:
    """Say what a blend without gasoline costs."""
    if not _has_gasoline(best):
        return ""
    text = f" {AS_GASOLINE}"
    other = next((row for row in others if not _has_gasoline(row)), None)
    if other is None:
        return text
    cost = _worth(best) - _worth(other)
    if round(cost) == 0:
        return f"{text} {other['thinner']} keeps as much without it."
    return f"{text} {other['thinner']} spares you that for {write.money(cost)} a year."


def _begins(scope: Json, best: Json, write: Numbers) -> str:
    """Say at which price the best offer would begin to pay."""
    for tie in scope["ties"]:
        if tie["moved"] != best["thinner"] or tie["against"] is not None or tie["price"] is None:
            continue
        side = "below" if tie["keeps_more_below"] else "above"
        if (tie["price"] < tie["now"]) == tie["keeps_more_below"]:
            what = _moved(best) if best["tied_to"] else "its price"
            return f" It would pay with {what} {side} {write.price(tie['price'])}."
    return ""


def _nothing_pays(scope: Json, best: Json, write: Numbers) -> str | None:
    """Say so where even the best offer does worse than no blend."""
    gap = _worth(best) - float(scope["worth_without"])
    if gap > 0.0:
        return None
    begins = _begins(scope, best, write)
    if scope["machine"] is None:
        return (
            f"no thinner makes the plan pay for your time; with the best, {best['thinner']}, it"
            f" loses {write.money(-gap)} a year.{begins}"
        )
    return (
        f"leave it on pump fuel. With the best, {best['thinner']}, the farm keeps"
        f" {write.money(-gap)} a year less.{begins}"
    )


def buying_sentence(scope: Json, write: Numbers) -> str:
    """Return the buyer's sentence for a machine or the whole farm.

    Parameters
    ----------
    scope : dict
        One scope of the thinner document.
    write : Numbers
        How the file's numbers are written.

    Returns
    -------
    str
    """
    name = scope["machine"] or "Whole farm"
    fit = _fit(scope)
    if not fit:
        return f"{name}: no thinner listed does the job."
    if not scope["oil_reaches_it"]:
        return f"{name}: no oil is left for it, so its thinner does not matter."
    best, others = fit[0], fit[1:]
    verdict = _nothing_pays(scope, best, write)
    if verdict is None:
        verdict = _lead(best, others, write) + _price_words(scope, best, write)
        verdict += _safety(best, others, write)
    elif scope["machine"] is None:
        verdict += f" Of them: {_lead(best, others, write)}{_price_words(scope, best, write)}"
        verdict += _safety(best, others, write)
    return f"{name}: {verdict}"
