"""Pages made light: what only reads is sent as one piece of HTML, not as hundreds of components.

Every Dash component costs the browser a subscription of its own; a page of tables took a second
to redraw, and takes a tenth of that as HTML. All text is escaped here, and the pages' content
security policy runs no script that is not a file of ours.
"""

from html import escape
from typing import Any

from dash import html
from dash.development.base_component import Component

_RENAMED = {"className": "class", "tabIndex": "tabindex", "htmlFor": "for"}
_SKIPPED = {"children", "n_clicks"}


def _attributes(part: Component) -> str:
    result = []
    for name in part._prop_names + [key for key in vars(part) if "-" in key]:
        value = getattr(part, name, None)
        if name in _SKIPPED or value is None or value is False:
            continue
        result.append(f' {_RENAMED.get(name, name)}="{escape(str(value), quote=True)}"')
    return "".join(result)


def markup(part: Any) -> str:
    """Return a piece of a page as HTML.

    Parameters
    ----------
    part : object
        Text, a number, a list, None, or an element of `dash.html`; an id serves labels and
        scripts then, and no callback.

    Returns
    -------
    str
        With all text escaped.
    """
    if part is None:
        return ""
    if isinstance(part, list | tuple):
        return "".join(markup(item) for item in part)
    if not isinstance(part, Component):
        return escape(str(part))
    held = getattr(part, "data-markup", None)
    if held is not None:
        return str(held)
    tag = type(part).__name__.lower()
    inner = markup(getattr(part, "children", None))
    return f"<{tag}{_attributes(part)}>{inner}</{tag}>"


def _alive(part: Any) -> bool:
    """Say whether something in a piece is more than words: a chart, an input, an id."""
    if isinstance(part, list | tuple):
        return any(_alive(item) for item in part)
    if not isinstance(part, Component):
        return False
    if part._namespace != "dash_html_components" or getattr(part, "id", None) is not None:
        return True
    return _alive(getattr(part, "children", None))


def flat(part: Any) -> Any:
    """Return a piece of a page with all that only reads made HTML.

    Parameters
    ----------
    part : object
        As `dash` takes it.

    Returns
    -------
    object
        Charts and inputs as they were, all else as few components as can be.
    """
    if part is None or isinstance(part, str):
        return part
    if isinstance(part, list | tuple):
        return [flat(item) for item in part] if _alive(part) else held(part)
    if not _alive(part):
        return held(part)
    if part._namespace == "dash_html_components":
        part.children = flat(getattr(part, "children", None))
    return part


def held(*parts: Any) -> Component:
    """Return pieces of a page that no callback reads or writes as one component of HTML.

    Parameters
    ----------
    *parts : object
        As `markup` takes them.

    Returns
    -------
    Component
    """
    return html.Div(className="flat", **{"data-markup": markup(parts)})
