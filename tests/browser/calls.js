// Runs in a page before its own scripts. Lets the calls of some callbacks fail and holds others
// back, as asked by a test, and says where on the page the app's callbacks read and write. What
// the page gets for a failed call is what it would get from the server: an answer with status 500.
(function () {
  "use strict";

  var plainFetch = window.fetch;
  var held = [];
  var calls = { seen: [], refused: [], holds: false };

  // Names one row of a table by the pattern of all its rows.
  function general(output) {
    if (output[0] !== "{") return output;
    var cut = output.lastIndexOf(".");
    var id = JSON.parse(output.slice(0, cut));
    if (!("name" in id)) return output;
    return JSON.stringify({ name: ["MATCH"], type: id.type }) + output.slice(cut);
  }

  // What fails stands in the tab, so that it fails from a page's first call on.
  calls.fails = function (outputs) {
    calls.refused = [];
    sessionStorage.setItem("fails", JSON.stringify(outputs));
  };
  calls.release = function () {
    calls.holds = false;
    held.splice(0).forEach(function (go) { go(); });
  };

  window.fetch = function (resource, options) {
    var address = typeof resource === "string" ? resource : resource.url;
    if (address.indexOf("_dash-update-component") < 0) return plainFetch.apply(window, arguments);
    var output = general(JSON.parse(options.body).output);
    calls.seen.push(output);
    if (JSON.parse(sessionStorage.getItem("fails") || "[]").indexOf(output) >= 0) {
      calls.refused.push(output);
      return Promise.resolve(new Response('{"refused": "on purpose"}', { status: 500 }));
    }
    var go = function () { return plainFetch.call(window, resource, options); };
    if (!calls.holds) return go();
    return new Promise(function (resolve) { held.push(resolve); }).then(go);
  };

  // The ids on the page that a callback means by a name, which may be a pattern.
  function meant(wanted) {
    if (wanted[0] !== "{") return document.getElementById(wanted) ? [wanted] : [];
    var one = JSON.parse(wanted);
    return Array.from(document.querySelectorAll('[id^="{"]'), function (element) {
      return element.id;
    }).filter(function (id) {
      var other = JSON.parse(id);
      return Object.keys(one).length === Object.keys(other).length
        && Object.keys(one).every(function (key) {
          return Array.isArray(one[key]) ? key in other : one[key] === other[key];
        });
    });
  }

  // The ids of a callback's outputs that stand on the page now.
  calls.placed = function (output) {
    var names = output.indexOf("..") === 0 ? output.slice(2, -2).split("...") : [output];
    return [].concat.apply([], names.map(function (name) {
      return meant(name.split("@")[0].replace(/\.[A-Za-z_-]+$/, ""));
    }));
  };

  // The first of some callbacks that has an input on the page, or figures that hang on the farm;
  // with that input.
  calls.next = function (rows, feeds) {
    for (var k = 0; k < rows.length; k += 1) {
      var here = rows[k].inputs.filter(function (one) { return meant(one.id).length; })[0];
      var name = here && meant(here.id)[0];
      if (!here && calls.placed(rows[k].output).length) {
        here = rows[k].inputs.filter(function (one) { return feeds.indexOf(one.id) >= 0; })[0];
        name = here && here.id;
      }
      if (here) return { output: rows[k].output, id: name, property: here.property };
    }
    return null;
  };

  // Sets an input anew to what it is, or presses it, whichever it is made for.
  calls.ask = function (one) {
    var box = document.getElementById(one.id);
    var value = one.property === "n_clicks" ? 1 : box ? box.value : null;
    var id = one.id[0] === "{" ? JSON.parse(one.id) : one.id;
    window.dash_clientside.set_props(id, Object.fromEntries([[one.property, value]]));
  };

  calls.marked = function (name) {
    return Array.from(document.querySelectorAll("." + name), function (one) { return one.id; });
  };

  function noted(element) {
    var before = element.previousElementSibling;
    var row = element.querySelector(":scope > :last-child > .beside-note button");
    return Boolean(row || (before && before.matches(".beside-note") && before.querySelector("button")));
  }

  // How a page looks that waits for no call any more, by each of its callbacks that has failed:
  // what of it is not marked, whether figures of it are shown, and whether a note is beside them.
  calls.failures = function () {
    var marked = calls.marked("out-of-date");
    return Array.from(new Set(calls.refused), function (output) {
      var placed = calls.placed(output);
      var figures = placed.map(function (id) { return document.getElementById(id); })
        .filter(function (element) {
          return element.id !== "page" && element.offsetParent && element.closest("#page")
            && !/^(inline|contents)/.test(getComputedStyle(element).display);
        });
      return {
        output: output,
        unmarked: placed.filter(function (id) { return marked.indexOf(id) < 0; }),
        figures: figures.length > 0,
        noted: figures.some(noted),
      };
    });
  };
  window.calls = calls;
})();
