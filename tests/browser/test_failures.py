"""Each callback fails in turn: what it shows is dimmed until it answers; it can be tried again."""

import json
import re
from typing import Any

import pytest
from browser_screen import Served, watched

pytestmark = pytest.mark.browser
UPDATE = re.compile("_dash-update-component")


class Failing:
    """Lets calls of one callback fail, and all others through."""

    def __init__(self, page: Any) -> None:
        self.output: str | None = None
        self.seen: list[str] = []
        page.route(UPDATE, self._answer)

    def _answer(self, route: Any) -> None:
        output = json.loads(route.request.post_data)["output"]
        self.seen.append(output)
        if output == self.output:
            route.fulfill(status=500, body='{"refused": "on purpose"}')
        else:
            route.continue_()


def placed(page: Any, output: str) -> list[str]:
    """Return the ids of a callback's outputs that stand on the page now."""
    names = output[2:-2].split("...") if output.startswith("..") else [output]
    ids = [name.split("@")[0].rpartition(".")[0] for name in names]
    return [ident for ident in ids if not ident.startswith("{") and page.evaluate(
        "id => Boolean(document.getElementById(id))", ident)]  # fmt: skip


def dimmed(page: Any) -> set[str]:
    result = page.evaluate("[...document.querySelectorAll('.out-of-date')].map(one => one.id)")
    return set(result)


@pytest.mark.parametrize("path", ["", "thinners", "present"])
def test_every_callback_that_fails_says_so_until_it_answers(
    desktop: Any, demos: Served, path: str
) -> None:
    page = desktop.new_page()
    screen = watched(page, demos)
    failing = Failing(page)
    screen.open(path)
    screen.rests()
    outputs = list(dict.fromkeys(failing.seen))
    assert len(outputs) > 3
    for output in outputs:
        failing.output, failing.seen = output, []
        page.goto("about:blank")
        page.goto(f"{demos.address}{path}?farm=quillmere.toml")
        screen.until("document.getElementById('lost') && !document.getElementById('lost').hidden")
        page.wait_for_timeout(300)
        # Other calls that answer take nothing away from it.
        assert not page.evaluate("document.getElementById('lost').hidden"), output
        assert set(placed(page, output)) <= dimmed(page), output
        waiting = page.evaluate(
            "[...document.querySelectorAll('.out-of-date .waiting')]"
            ".filter(one => one.offsetParent).length"
        )
        assert waiting == 0, output
        failing.output = None
        # The button may be set anew while it is aimed at: what counts is that it was pressed.
        page.evaluate("document.querySelector('#lost button').click()")
        screen.until("document.getElementById('lost').hidden")
        assert dimmed(page) == set(), output
    page.close()
