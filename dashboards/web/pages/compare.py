"""Side by side: other farm files beside the farm that is open, edits and all."""

from typing import Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.decided import MOST_DRAWS
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import checked, draft_of
from dashboards.web.log_folder import known_farm
from dashboards.web.parts import card, cautions, explain, not_offered, refusals, table
from econ.answers.compare import compare_document
from econ.answers.compare_keys import BesideDocument, CompareDocument, IncrementDocument
from econ.ground.errors import ScenarioError
from econ.ground.written import Numbers

Json = dict[str, Any]
BODY = "compare-body"
CHOICES = {
    "compare-first": "Beside it",
    "compare-second": "and",
    "compare-third": "and",
}
_SHOWN_CHANGES = 12


def _choice(name: str, label: str, options: list[Component]) -> Component:
    """Make a native choice; the hidden input beside it carries the file's name."""
    shown = f"{name}-choice"
    return html.Div(
        [
            html.Label(label, htmlFor=shown),
            html.Select(options, id=shown, **{"data-sets": name}),
            dcc.Input(id=name, type="hidden", value=""),
        ],
        className="one",
    )


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Lay out the page; it answers once a plan is chosen."""
    options = [html.Option("choose a plan ...", value="")]
    listing = folder.listing()
    options += [html.Option(name, value=name) for name in listing.names]
    asked = card(
        "Another plan beside this one",
        html.P(
            "Save a copy of the farm under another name, leave out what you doubt (a centrifuge, a"
            " source, a machine), change what follows from it (loss, filters, hours), and choose"
            " it here. The farm that is open stands with the edits you have made.",
            className="help",
        ),
        html.Div(
            [_choice(name, label, options) for name, label in CHOICES.items()], className="row"
        ),
        not_offered(listing.left_out),
    )
    return html.Div([html.H1("Side by side"), asked, html.Div(id=BODY, className="on-request")])


def _changes(beside: BesideDocument) -> Component:
    """List what differs: the first few in sight, all of them on a click."""
    rows = beside["changed"]
    if not rows:
        return html.P("No input differs.")
    cells = [(row["place"], row["before"], row["after"], row["unit"] or "") for row in rows]
    heads = ("what differs", "before", "after", "unit")
    shown = table(heads, cells[:_SHOWN_CHANGES], left=(0, 1, 2, 3))
    if len(rows) <= _SHOWN_CHANGES:
        return shown
    more = table(heads, cells[_SHOWN_CHANGES:], left=(0, 1, 2, 3))
    return html.Div([shown, explain(more, title=f"{len(rows) - _SHOWN_CHANGES} more")])


def _increment(result: IncrementDocument, write: Numbers) -> Component | None:
    if not result["rows"]:
        return None
    rows = [
        (
            row["label"],
            write.of(row["dimension"], row["time_paid"]),
            write.of(row["dimension"], row["time_free"]),
        )
        for row in result["rows"]
    ]
    extra = write.money(result["kit_cost"])
    caption = f"{extra} more kit, {result['bigger']} less {result['smaller']}"
    return table(("the increment", "time paid", "time free"), rows, caption=caption)


def _beside(doc: CompareDocument, beside: BesideDocument, write: Numbers) -> Component:
    """Set one plan beside the open farm: in words, what differs, the year, the bigger kit."""
    budget = beside["budget"]["rows"]
    year = table(
        ("a typical year", "changes by"),
        [(row["label"], write.money(row["amount"])) for row in budget],
        strong=(len(budget) - 1,),
    )
    return card(
        f"{beside['name']}, set against {doc['against']}",
        html.Ul([html.Li(text) for text in beside["says"]]),
        _changes(beside),
        year,
        _increment(beside["increment"], write),
        wide=True,
    )


def _all(doc: CompareDocument, write: Numbers) -> Component:
    """Set the figures that decide, and the chances, side by side."""
    names = [plan["name"] for plan in doc["plans"]]
    rows = [
        (row["label"], *(write.of(row["dimension"], value) for value in row["values"]))
        for row in doc["figures"]
        if row["main"]
    ]
    rows += [
        (
            f"Draws in which it beats nothing, {words}",
            *(write.percent(p["ahead"][key]) for p in doc["plans"]),
        )
        for key, words in (("time_paid", "time paid"), ("time_free", "time free"))
    ]
    return card("All plans", table(("", *names), rows), html.P(doc["note"]), wide=True)


def _cautions(doc: CompareDocument) -> Component | None:
    """Set the cautions of all plans, those of one alone under its name."""
    rows: list[Json] = [
        {**row, "text": f"{row['of'][0].upper()}{row['of'][1:]}: {row['text']}"}
        if row["of"]
        else {**row}
        for row in doc["cautions"]
    ]
    return cautions(rows, "Before you do any of it")


def body(folder: Folder, draft: Json, names: list[str]) -> list[Component | None]:
    """Set the chosen plans beside the open farm and lay the answer out.

    Parameters
    ----------
    folder : Folder
        Where the others lie.
    draft : dict
        The open farm, checked.
    names : list of str
        The others' files.

    Returns
    -------
    list of components
        Faults instead, in words, where plans cannot be set side by side.
    """
    try:
        plans = [known_farm(draft)]
        plans += [known_farm(draft_of(open_farm(folder, name), 1)) for name in names]
        draws = min(plans[0].uncertainty.draws, MOST_DRAWS)
        doc = compare_document(plans, draws=draws)
    except ScenarioError as error:
        return [refusals(error)]
    write = Numbers(doc["units"], doc["currency"])
    besides = [_beside(doc, beside, write) for beside in doc["beside"]]
    return [*besides, _all(doc, write), _cautions(doc)]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callback."""

    @app.callback(
        Output(BODY, "children"),
        [Input(name, "value") for name in CHOICES],
        State(ids.SETTLED, "data"),
        prevent_initial_call=True,
    )
    def _set(*given: Any) -> Any:
        *chosen, settled = given
        draft = checked(settled.get("draft")) if isinstance(settled, dict) else None
        names = list(dict.fromkeys(name for name in chosen if isinstance(name, str) and name))
        if draft is None or not names:
            return None
        return body(folder, draft, names)
