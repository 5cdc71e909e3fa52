"""Which plan: the search over sources, machines, thinners and set-ups, asked for by a button."""

import json
from collections.abc import Callable
from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.web import ids
from dashboards.web.documents import Folder
from dashboards.web.draft import checked
from dashboards.web.last_few import Kept
from dashboards.web.log_folder import farm_key, known_farm
from dashboards.web.newest import Newest, OvertakenError, page_of_call
from dashboards.web.parts import card, explain, refusals, table
from econ.answers.plan import (
    PUMP_FUEL,
    CautionDocument,
    PlanDocument,
    WaitingDocument,
    WhichPlanDocument,
    which_plan_document,
)
from econ.ground.errors import ScenarioError
from econ.ground.written import Numbers

Json = dict[str, Any]
FREE, SEARCH, SAID, BODY = "plan-free", "plan-search", "plan-said", "plan-body"
_WORKING = "Trying every plan: a few seconds, longer where there are many sources and machines ..."
_SHOWN_NEAR = 8
_ANSWERS: Kept[WhichPlanDocument] = Kept(8)


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Lay out the page; the search begins when it is asked for."""
    asked = card(
        "Which plan",
        html.P(
            "Start or not is rarely the choice. This tries every set of sources, machines,"
            " thinners and ways of cleaning that the farm's numbers allow; doing nothing is one"
            " of the plans. What hangs on what is said under Its numbers.",
            className="help",
        ),
        html.Div(
            [
                html.Button("Search for the best plan", id=SEARCH, n_clicks=0, className="main"),
                html.Button("Search as if your time were free", id=FREE, n_clicks=0),
            ],
            className="row",
        ),
        html.P("", id=SAID, role="status"),
    )
    return html.Div([html.H1("Which plan"), asked, html.Div(id=BODY, className="on-request")])


def _plan(plan: PlanDocument, write: Numbers) -> Component:
    """Say what the best plan takes, burns and buys."""
    rows = [("Oil from", "; ".join(plan["oils"]))]
    if plan["setup"] is not None:
        rows.insert(0, ("Cleaned with", plan["setup"]))
    rows += list(plan["machines"].items())
    rows += [
        ("Kit to buy", f"{write.money(plan['kit_to_buy'])}: {'; '.join(plan['kit'])}"),
        ("Your own hours a year", write.hours(plan["own_hours"])),
        ("Fuel replaced a year", write.volume(plan["fuel_replaced"])),
    ]
    return card("The best plan", table(("", "in it"), rows, left=(0, 1)))


def _row(name: str, plan: PlanDocument, sure: tuple[str, str], write: Numbers) -> tuple[str, ...]:
    burning = sum(what != PUMP_FUEL for what in plan["machines"].values())
    return (
        name,
        write.money(plan["equivalent_annual"]),
        *sure,
        write.money(plan["kit_to_buy"]),
        write.hours(plan["own_hours"]),
        str(len(plan["oils"])),
        str(burning),
    )


def _others(doc: WhichPlanDocument, write: Numbers) -> Component:
    """Set the best plan, those next to it, the file's and nothing side by side."""
    rows, best, drawn = [], doc["best"], doc["best_drawn"]
    if best["oils"]:
        sure = (write.percent(drawn["ahead"]), write.money(drawn["p5"]))
        rows.append(_row("best", best, sure, write))
    for near in doc["near"][:_SHOWN_NEAR]:
        sure = (write.percent(near["drawn"]["ahead"]), write.money(near["drawn"]["p5"]))
        name = near["differs"] or "next best"
        rows.append(_row(f"{name} (as good)" if near["tie"] else name, near, sure, write))
    rows.append(_row("the file's", doc["file"], ("", ""), write))
    zero = write.money(0.0)
    rows.append(("nothing", zero, "", "", zero, write.hours(0.0), "", ""))
    heads = (
        "plan",
        "worth a year",
        "ahead",
        "1 in 20 below",
        "kit to buy",
        "own hours",
        "sources",
        "machines",
    )
    words = [text for text in (doc["says"]["ties"], doc["says"]["draws"]) if text is not None]
    return card("Beside the others", table(heads, rows), *(html.P(text) for text in words))


def _waiting(waiting: WaitingDocument) -> Component:
    """Say what small first and then choosing is worth, and what to do in each future."""
    words = {"bigger": "buy bigger", "carry on": "stay small", "stop": "stop"}
    rows = [
        (f"fuel {cell['fuel']}", f"oil {cell['oil']}", words[cell["then"]])
        for cell in waiting["cells"]
    ]
    known = table(("after a year", "", "then"), rows, left=(0, 1, 2))
    return card("Small first, then choose", html.P(waiting["text"]), explain(known, title="When"))


def _regret(doc: WhichPlanDocument, write: Numbers) -> Component:
    heads = ("fuel costs", *(f"x {x:g}" for x in doc["regret_factors"]), "most behind")
    names = {"best": "best", "file": "the file's", "nothing": "nothing"}
    rows = [
        (names[row["plan"]], *map(write.money, row["worth"]), write.money(row["worst"]))
        for row in doc["regret"]
    ]
    says = doc["says"]
    return card("If fuel costs more or less", table(heads, rows), html.P(says["regret"]))


def _cautions(cautions: list[CautionDocument]) -> Component:
    rows = [
        html.Li([row["text"], html.Small(f" Basis: {row['basis']}", className="basis")])
        for row in cautions
    ]
    return card("Before you do any of it", html.Ul(rows))


def _listed(texts: list[str]) -> Component:
    return html.Ol([html.Li(text) for text in texts])


def _answer(draft: Json, ledger: str, tell: Callable[[int, int], None]) -> WhichPlanDocument:
    """Search, or remember; two that search alike both do, for either may be ended by a newer."""
    farm = known_farm(draft)
    key = json.dumps([farm_key(farm), ledger])
    answer = _ANSWERS.known(key)
    if answer is None:
        answer, _ = which_plan_document(farm, ledger, tell)
        _ANSWERS.keep(key, answer)
    return answer


def body(draft: Json, ledger: str, tell: Callable[[int, int], None]) -> list[Component]:
    """Search and lay the answer out.

    Parameters
    ----------
    draft : dict
        Checked.
    ledger : str
        "time_paid" or "time_free".
    tell : callable
        Told (done, in all) between steps of the search.

    Returns
    -------
    list of components
        Faults instead, where the farm cannot be worked through.
    """
    try:
        doc = _answer(draft, ledger, tell)
    except ScenarioError as error:
        return [refusals(error)]
    write, says = Numbers(doc["units"], doc["currency"]), doc["says"]
    notes = [*(row["text"] for row in doc["limits"]), *doc["notes"]]
    first = [html.P(html.Strong(says["best"])), html.P(says["file"]), html.P(says["tried"])]
    parts = [card("Answer", *first, html.Ul([html.Li(text) for text in notes]) if notes else None)]
    if doc["best"]["oils"]:
        parts.append(_plan(doc["best"], write))
    parts.append(_others(doc, write))
    if doc["stair"]:
        steps = _listed([step["text"] for step in doc["stair"]])
        parts.append(card("From nothing, one source at a time", steps))
    if doc["waiting"] is not None:
        parts.append(_waiting(doc["waiting"]))
    if doc["one_more"]:
        rows = html.Ul([html.Li(row["text"]) for row in doc["one_more"]])
        timing = None if says["timing"] is None else html.P(says["timing"])
        parts.append(card("One more, one less", rows, timing))
    parts.append(_regret(doc, write))
    if doc["cautions"]:
        parts.append(_cautions(doc["cautions"]))
    return parts


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callback."""
    searches = Newest()

    @app.callback(
        Output(BODY, "children"),
        Input(SEARCH, "n_clicks"),
        Input(FREE, "n_clicks"),
        State(ids.SETTLED, "data"),
        running=[
            (Output(SEARCH, "disabled"), True, False),
            (Output(FREE, "disabled"), True, False),
            (Output(SAID, "children"), _WORKING, ""),
        ],
        prevent_initial_call=True,
    )
    def _search(paid: Any, free: Any, settled: Any) -> Any:
        draft = checked(settled.get("draft")) if isinstance(settled, dict) else None
        if draft is None or not (paid or free):
            return no_update
        ledger = "time_free" if ctx.triggered_id == FREE else "time_paid"
        try:
            with searches.run(page_of_call()) as tell:
                return body(draft, ledger, tell)
        except OvertakenError:
            raise PreventUpdate from None
