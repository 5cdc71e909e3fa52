// What the pages need of the browser itself: scheme, undo, faults at their fields, print,
// and a banner when the server is gone. No figure is worked out here.
(function () {
  "use strict";

  var past = [];
  var last = null; // JSON of the document on screen
  var saved = null; // JSON of the document as opened or saved
  var opened = null;
  var skip = false;
  var turns = 0;
  var shown = null;

  function say(text) {
    var holder = document.getElementById("lost");
    if (!holder) return;
    holder.textContent = text;
    holder.hidden = !text;
    document.body.classList.toggle("stale", Boolean(text));
  }

  // A value never sent, a failed callback, a stopped server: figures must not look current.
  var plainFetch = window.fetch;
  window.fetch = function (resource, options) {
    var address = typeof resource === "string" ? resource : resource.url;
    var ours = address.indexOf("_dash-update-component") >= 0;
    return plainFetch.call(window, resource, options).then(
      function (answer) {
        if (ours && !answer.ok) {
          say("That could not be worked out; what you see may be old. Undo the last change.");
        } else if (ours) {
          say("");
        }
        return answer;
      },
      function (error) {
        if (ours) say("Drumworth is no longer running; what you see is old. Start it again.");
        throw error;
      }
    );
  };

  function set(id, props) {
    window.dash_clientside.set_props(id, props);
  }

  function paint(problems) {
    document.querySelectorAll("[data-where]").forEach(function (holder) {
      var here = (problems || []).filter(function (problem) {
        return problem.where === holder.dataset.where;
      });
      var text = here.map(function (problem) { return problem.message; }).join(" ");
      var message = holder.querySelector(".message");
      if (message && message.textContent !== text) message.textContent = text;
      holder.classList.toggle("wrong", Boolean(text));
      holder.querySelectorAll("input, select").forEach(function (input) {
        if (text) {
          input.setAttribute("aria-invalid", "true");
          if (message && message.id) input.setAttribute("aria-describedby", message.id);
        } else {
          input.removeAttribute("aria-invalid");
          input.removeAttribute("aria-describedby");
        }
      });
    });
  }

  window.dash_clientside = Object.assign({}, window.dash_clientside, {
    drumworth: {
      scheme: function (clicks, stored) {
        var dark = window.matchMedia("(prefers-color-scheme: dark)").matches;
        var now = stored || (dark ? "dark" : "light");
        if (clicks) now = now === "dark" ? "light" : "dark";
        document.documentElement.dataset.scheme = now;
        return now;
      },

      // Keeps what undo needs and tells whether the farm differs from its file.
      remember: function (draft, headline, revision) {
        var keep = window.dash_clientside.no_update;
        if (!draft) return [keep, keep];
        var now = JSON.stringify(draft.document);
        if (draft.opened !== opened) {
          if (opened === null || draft.fresh) past = [];
          opened = draft.opened;
          saved = now;
          if (draft.fresh !== false) past = [];
        } else if (last !== null && now !== last && !skip) {
          past.push(last);
          if (past.length > 100) past.shift();
        }
        skip = false;
        last = now;
        var text = draft.name === null ? "not saved yet"
          : now === saved ? "" : "changes not saved";
        document.body.dataset.unsaved = text;
        return [draft.revision === revision ? keep : draft.revision, text];
      },

      // Slow answers wait until the farm stops changing; what they showed is dimmed meanwhile.
      settle: function (draft, levers) {
        var turn = ++turns;
        var keep = window.dash_clientside.no_update;
        if (!draft) return keep;
        document.body.classList.add("settling");
        return new Promise(function (resolve) {
          setTimeout(function () {
            if (turn !== turns) return resolve(keep);
            document.body.classList.remove("settling");
            resolve({ draft: draft, levers: levers });
          }, turns === 1 || draft.opened !== shown ? 0 : 350);
          shown = draft.opened;
        });
      },

      undo: function (clicks, draft) {
        var keep = window.dash_clientside.no_update;
        if (!clicks || !past.length) return keep;
        skip = true;
        return Object.assign({}, draft, {
          document: JSON.parse(past.pop()), revision: draft.revision + 1,
        });
      },

      paint: function (form, problems) {
        setTimeout(function () { paint(problems); }, 0);
        setTimeout(function () { paint(problems); }, 150);
        return window.dash_clientside.no_update;
      },

      print: function (clicks) {
        if (clicks) window.print();
        return window.dash_clientside.no_update;
      },
    },
  });

  // Native choices and on-off buttons hand their value to the hidden input that carries it.
  document.addEventListener("change", function (event) {
    var path = event.target.dataset && event.target.dataset.carries;
    if (path) set({ type: "v", path: path }, { value: event.target.value });
    var plain = event.target.dataset && event.target.dataset.sets;
    if (plain) set(plain, { value: event.target.value });
  });
  function holderOf(element) {
    var path = element.dataset.carries;
    var id = path ? JSON.stringify({ path: path, type: "v" })
      : element.dataset.picksFor || element.dataset.sets;
    return document.getElementById(id);
  }

  // The hidden inputs hold what is chosen; what is seen follows them, whoever changed it.
  function follow() {
    due = false;
    document.querySelectorAll("[data-carries], [data-picks-for], [data-sets]").forEach(
      function (element) {
        var holder = holderOf(element);
        if (!holder) return;
        if (element.tagName === "SELECT") {
          if (element.value !== holder.value) element.value = holder.value;
          return;
        }
        var several = element.dataset.carries ? holder.value.split("|") : [holder.value];
        element.querySelectorAll("button").forEach(function (button) {
          var value = button.dataset.toggles || button.dataset.picks;
          var pressed = String(several.indexOf(value) >= 0);
          if (button.getAttribute("aria-pressed") !== pressed) {
            button.setAttribute("aria-pressed", pressed);
          }
        });
      }
    );
  }

  // Pieces that only read come as HTML; what was open or had the focus stays so.
  function fill() {
    document.querySelectorAll("[data-markup]").forEach(function (element) {
      if (element.filled === element.dataset.markup) return;
      var open = Array.prototype.map.call(
        element.querySelectorAll("details"), function (one) { return one.open; }
      );
      var focus = Array.prototype.indexOf.call(
        element.querySelectorAll("summary"), document.activeElement
      );
      element.filled = element.dataset.markup;
      element.innerHTML = element.filled;
      element.querySelectorAll("details").forEach(function (one, k) { one.open = Boolean(open[k]); });
      if (focus >= 0) {
        var summary = element.querySelectorAll("summary")[focus];
        if (summary) summary.focus({ preventScroll: true });
      }
    });
  }

  var due = false;
  new MutationObserver(function () {
    fill();
    if (due) return;
    due = true;
    requestAnimationFrame(follow);
  }).observe(document.documentElement, {
    subtree: true, childList: true, attributes: true, attributeFilter: ["value", "data-markup"],
  });

  document.addEventListener("click", function (event) {
    var pick = event.target.closest && event.target.closest("button[data-picks]");
    if (!pick) return;
    set(pick.closest("[data-picks-for]").dataset.picksFor, { value: pick.dataset.picks });
  });
  document.addEventListener("click", function (event) {
    var button = event.target.closest && event.target.closest("button[data-toggles]");
    if (!button) return;
    button.setAttribute(
      "aria-pressed", button.getAttribute("aria-pressed") === "true" ? "false" : "true"
    );
    var group = button.closest("[data-carries]");
    var on = Array.prototype.filter.call(
      group.querySelectorAll("button[data-toggles]"),
      function (one) { return one.getAttribute("aria-pressed") === "true"; }
    ).map(function (one) { return one.dataset.toggles; });
    set({ type: "v", path: group.dataset.carries }, { value: on.join("|") });
  });

  window.addEventListener("beforeunload", function (event) {
    if (document.body.dataset.unsaved === "changes not saved") event.preventDefault();
  });

  // Charts keep their screen size on paper and get cut off unless they are laid out anew.
  function fit(printing) {
    document.querySelectorAll(".js-plotly-plot").forEach(function (plot) {
      var holder = plot.closest(".chart");
      if (!holder || !window.Plotly) return;
      if (printing) {
        plot.dataset.height = plot.layout.height || "";
        window.Plotly.relayout(plot, {
          width: holder.closest(".asks") ? 220 : 660,
          height: holder.closest(".asks") ? 105 : Math.min(220, plot.layout.height || 220),
          "font.size": holder.closest(".asks") ? 7 : 11,
          "font.color": "#1d2a2f",
        });
      } else {
        window.Plotly.relayout(plot, {
          width: null, height: Number(plot.dataset.height) || null, autosize: true,
          "font.size": 13,
        });
      }
    });
  }
  window.addEventListener("beforeprint", function () { fit(true); });
  window.addEventListener("afterprint", function () { fit(false); });
})();
