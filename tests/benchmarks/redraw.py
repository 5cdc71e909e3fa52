"""How long a page takes from an edit to its figures and the advice: prints a table.

Run as ``python tests/benchmarks/redraw.py``. A server in a process of its own, one Chromium, thirty
edits of each kind, one after the other has been drawn. Beside each stands its ratio to a callback
that works nothing out, asked by the same page: machines differ, ratios differ less. No check
depends on it.
"""

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
from browser_screen import CHROMIUM, FLAGS, SCENARIOS, Screen, Served, watched
from playwright.sync_api import sync_playwright

EDITS = 30
_SERVE = (
    "import sys, pathlib; from dashboards.web.serve import serve;"
    "s, a = serve(pathlib.Path(sys.argv[1])); print(a, flush=True); s.run()"
)
# The first answer to each edit, as the page names the callback that gives it; a second one comes
# when chances are counted.
_STEP = '{"path":["ALL"],"type":"first"}.data-markup@'
_FORM, _ANSWER = "head-verdict.children", "so-far-now.children"
# Notes when an answer that writes into a place has been drawn.
_NOTE = """
window.drawnAt = {};
(function () {
  var plain = window.fetch;
  window.fetch = function (resource, options) {
    var address = typeof resource === 'string' ? resource : resource.url;
    var output = '';
    try { output = JSON.parse(options.body).output; } catch (error) { output = ''; }
    var asked = plain.call(window, resource, options);
    if (address.indexOf('_dash-update-component') >= 0) {
      asked.then(function (answer) { return answer.clone().json(); }).then(function () {
        // The page reads the same answer and draws it; what follows a frame comes after painting.
        setTimeout(function () {
          requestAnimationFrame(function () {
            setTimeout(function () { window.drawnAt[output] = performance.now(); }, 0);
          });
        }, 0);
      }, function () {});
    }
    return asked;
  };
})();
"""
_EDIT = """([selector, value, place, answer]) => new Promise((resolve, reject) => {
  const input = document.querySelector(selector);
  const set = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set;
  const shown = () => document.querySelector(place).innerHTML;
  const before = shown();
  const start = performance.now();
  set.call(input, value);
  input.dispatchEvent(new Event('input', { bubbles: true }));
  input.dispatchEvent(new Event('change', { bubbles: true }));
  const look = () => {
    const done = Object.keys(window.drawnAt).find(
      (name) => name.includes(answer) && window.drawnAt[name] > start
        && name.includes(answer + '@') === false);
    if (done && place === '.first-gallon' && shown() === before) reject(new Error('not drawn'));
    else if (done) resolve(window.drawnAt[done] - start);
    else setTimeout(look, 2);
  };
  look();
})"""
_EMPTY = """() => {
  const start = performance.now();
  const body = { output: 'first-most-empty', outputs: {}, inputs: [], changedPropIds: [] };
  body.output = '{"path":"pump_price","type":"lever"}.max';
  body.outputs = { id: { path: 'pump_price', type: 'lever' }, property: 'max' };
  body.inputs = [{ id: 'first-most', property: 'data', value: null }];
  return fetch('/_dash-update-component', {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
  }).then((answer) => { if (!answer.ok) throw new Error(answer.status);
    return performance.now() - start; });
}"""


def selector(path: str, kind: str) -> str:
    return f'[id=\'{{"path":"{path}","type":"{kind}"}}\']'


def edits(
    screen: Screen, where: str, place: str, answer: str, value: Callable[[int], str]
) -> list[float]:
    """Time edits of one box, each after the one before has come to rest. [ms]"""
    page = screen.page
    page.evaluate(_NOTE)
    found = []
    for k in range(-3, EDITS):
        took = float(page.evaluate(_EDIT, [where, value(k), place, answer]))
        if k >= 0:
            found.append(took)
        page.wait_for_timeout(500)
        screen.rests()
    return found


def measured(screen: Screen) -> dict[str, list[float]]:
    """Time the slider, a box of the form and an answer. [ms]"""
    screen.open("?farm=quillmere.toml")
    screen.becomes(".first-boxes", "Up front")
    screen.rests()
    empty = [float(screen.page.evaluate(_EMPTY)) for _ in range(EDITS)]
    slider = edits(
        screen,
        selector("pump_price", "lever"),
        ".first-gallon",
        _STEP,
        lambda k: f"{0.9 + 0.01 * k:.2f}",
    )
    screen.open("farm?farm=quillmere.toml")
    screen.page.click("#section-buttons >> text=Your time")
    wage = selector("labour.wage#likely", "v")
    screen.page.wait_for_selector(wage)
    form = edits(screen, wage, "#head-verdict", _FORM, lambda k: f"{24 + 0.1 * k:.1f}")
    screen.open("questions")
    screen.page.click("text=Begin a farm of my own")
    screen.becomes("#questions", "12. ")
    screen.rests()
    answer = edits(
        screen, selector("wage", "q"), "#so-far-now", _ANSWER, lambda k: f"{24 + 0.1 * k:.1f}"
    )
    return {
        "a callback that works nothing out": empty,
        "slider to figures and advice": slider,
        "box of the form to the advice": form,
        "answer to figures and advice": answer,
    }


def printed(rows: dict[str, list[float]]) -> None:
    base = float(np.median(next(iter(rows.values()))))
    print("| what | median | 95th percentile | median, ratio |\n|---|---|---|---|")
    for name, times in rows.items():
        middle, high = np.median(times), np.quantile(times, 0.95)
        print(f"| {name} | {middle:.0f} ms | {high:.0f} ms | {middle / base:.1f} |")


def main() -> None:
    folder = Path(tempfile.mkdtemp())
    shutil.copy(SCENARIOS / "quillmere.toml", folder)
    words = [sys.executable, "-c", _SERVE, str(folder)]
    server: Any = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)  # noqa: S603
    try:
        served = Served(server.stdout.readline().strip(), folder)
        with sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
            page = browser.new_page(viewport={"width": 1366, "height": 768})
            printed(measured(watched(page, served)))
            browser.close()
    finally:
        server.kill()
        server.communicate()
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
