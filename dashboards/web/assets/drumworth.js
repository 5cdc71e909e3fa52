// What the pages need of the browser itself: scheme, undo, faults at their fields, print.
// No figure is worked out here; watch.js says which of them are true.
(function () {
  "use strict";

  // Undo and redo keep whole states: the farm as it is edited, and the sliders.
  var past = [];
  var future = [];
  var current = null; // { draft, levers }
  var moved = 0; // when the current state was made
  var saved = {}; // JSON of the document as opened or saved, by the draft's "opened"
  var skip = false;
  var turns = 0;
  var shown = null;
  var settledFarm = null; // JSON of the draft that what hangs on the farm alone was asked with
  var focusTurn = null;
  var latest = []; // what is to be said at the boxes
  var pending = null; // what to open once the reader has said that changes may go

  function set(id, props) {
    window.dash_clientside.set_props(id, props);
  }

  function rowsAt(holder, rows) {
    return rows.filter(function (row) {
      return row.kind !== "begun" &&
        (row.path ? row.path === holder.dataset.path : row.where === holder.dataset.where);
    });
  }

  function write(element, text, kind) {
    if (!element) return;
    if (element.textContent !== text) element.textContent = text;
    element.classList.toggle("odd", kind === "warning");
  }

  function paintField(holder, rows) {
    var here = rowsAt(holder, rows);
    holder.classList.toggle("wrong", here.some(function (row) { return row.kind === "fault"; }));
    var whole = here.filter(function (row) { return !row.point; });
    var told = holder.querySelector(".message.whole");
    write(told, whole.map(function (row) { return row.message; }).join(" "),
      whole.length ? whole[0].kind : "");
    var points = holder.querySelectorAll("[data-point]");
    Array.prototype.forEach.call(points, function (box) {
      var mine = here.filter(function (row) {
        return row.point && (row.point === box.dataset.point || points.length === 1);
      });
      var message = box.querySelector(".message");
      write(message, mine.map(function (row) { return row.message; }).join(" "), "");
      var input = box.querySelector("input");
      var fault = mine.length || whole.some(function (row) { return row.kind === "fault"; });
      if (!input) return;
      var by = mine.length ? message.id : whole.length && told ? told.id : "";
      if (fault) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      if (by) input.setAttribute("aria-describedby", by);
      else input.removeAttribute("aria-describedby");
    });
  }

  function paint(rows) {
    rows = rows || [];
    document.querySelectorAll("[data-where]").forEach(function (holder) {
      paintField(holder, rows);
    });
    document.querySelectorAll("[data-begun]").forEach(function (holder) {
      var mine = rows.filter(function (row) {
        return row.kind === "begun" && row.path === holder.dataset.begun;
      });
      write(holder, mine.map(function (row) { return row.message; }).join(" "), "");
    });
  }

  // A new entry is scrolled to and its first box focused, its name marked to be typed over.
  function focusOn(target) {
    if (!target || !target.path || target.turn === focusTurn) return;
    var box = document.getElementById(JSON.stringify({ path: target.path, type: "v" }));
    if (!box) return;
    focusTurn = target.turn;
    box.scrollIntoView({ block: "center" });
    box.focus({ preventScroll: true });
    if (box.select) box.select();
  }

  // What had the focus and was drawn anew gets it back; where it is gone, the nearest thing around
  // it that is still there. The focus never falls to the page's body.
  var focused = null;
  var holder = null;
  var around = [];
  document.addEventListener("focusin", function (event) {
    holder = event.target;
    if (!event.target.id) return;
    focused = event.target.id;
    around = [];
    for (var one = event.target.parentElement; one && one.id !== "page"; one = one.parentElement) {
      if (one.id) around.push(one.id);
    }
  });
  function standing(element) {
    return element && !element.disabled && element.offsetParent ? element : null;
  }
  function refocus() {
    if (document.activeElement && document.activeElement !== document.body) return;
    var again = focused && standing(document.getElementById(focused));
    for (var k = 0; !again && k < around.length; k += 1) {
      var within = "#" + window.CSS.escape(around[k]) + " :is(input, select, button, summary, a[href])";
      again = Array.prototype.find.call(document.querySelectorAll(within), standing);
    }
    again = again || document.getElementById("page");
    if (again) again.focus({ preventScroll: true });
  }

  function travel(from, to, draft, levers) {
    var keep = window.dash_clientside.no_update;
    if (!from.length || !current) return [keep, keep];
    to.push(current);
    var wanted = from.pop();
    skip = true;
    var found = Object.assign({}, wanted.draft, {
      revision: Math.max(wanted.draft.revision, draft.revision) + 1,
    });
    if (wanted.draft.line === draft.line) {
      // Saved since: the file stays what it is, only the farm goes back.
      ["name", "stamp", "opened", "base", "origin"].forEach(function (key) {
        found[key] = draft[key];
      });
    }
    turnSliders(wanted.levers);
    setTimeout(refocus, 120);
    return [found, wanted.levers || {}];
  }

  // How many entries each list of a farm has, and each machine's list of parts.
  function entries(farm) {
    return Object.keys(farm).map(function (table) {
      if (!Array.isArray(farm[table])) return "";
      return table + farm[table].map(function (entry) {
        return entry && Array.isArray(entry.wear) ? entry.wear.length : 0;
      }).join();
    }).join(";");
  }

  // Which lever an input turns, null for any other.
  function leverOf(input) {
    try {
      var id = JSON.parse(input.id);
      return id.type === "lever" ? id.path : null;
    } catch (error) {
      return null;
    }
  }

  function turnSliders(levers) {
    document.querySelectorAll("input[type=range]").forEach(function (input) {
      var key = leverOf(input);
      if (!key) return;
      var value = (levers || {})[key];
      set({ type: "lever", path: key }, { value: value === undefined ? 1 : value });
    });
  }

  function ask(what) {
    if (!document.body.dataset.unsaved) return open(what);
    pending = what;
    var holder = document.getElementById("ask");
    holder.hidden = false;
    document.getElementById("ask-stay").focus();
  }
  function open(what) {
    document.getElementById("ask").hidden = true;
    set("file", { value: what.opens });
    if (what.goes) set("url", { pathname: what.goes });
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

      // Keeps what undo needs and says whether the farm differs from its file.
      remember: function (draft, levers, revision) {
        var keep = window.dash_clientside.no_update;
        if (!draft) return [keep, keep];
        var document_ = JSON.stringify(draft.document);
        var state = { draft: draft, levers: levers || {} };
        var now = JSON.stringify([draft.line, document_, state.levers]);
        if (saved[draft.opened] === undefined) saved[draft.opened] = document_;
        if (current && now !== current.key && !skip) {
          // Signs typed, or steps of a slider, one right after another are one step back.
          var here = state.draft.line === current.draft.line;
          var turned = JSON.stringify(state.levers) !== JSON.stringify(current.levers);
          var grown = entries(state.draft.document) !== entries(current.draft.document);
          state.kind = !here ? "opened" : turned ? "levers" : grown ? "entries" : "typed";
          // An entry added, copied or removed is a step of its own, however soon after.
          var quick = Date.now() - moved < 900 && here && !grown && state.kind === current.kind;
          if (!quick) past.push(current);
          if (past.length > 100) past.shift();
          future = [];
          moved = Date.now();
        }
        skip = false;
        state.key = now;
        current = state;
        var changed = document_ !== saved[draft.opened];
        var text = changed ? "changes not saved" : draft.name === null ? "not saved yet" : "";
        document.body.dataset.unsaved = changed ? text : "";
        ["undo", "redo"].forEach(function (name) {
          var list = name === "undo" ? past : future;
          var button = document.getElementById(name);
          if (button) button.setAttribute("aria-disabled", list.length ? "false" : "true");
        });
        return [draft.revision === revision ? keep : draft.revision, text];
      },

      // The farm stands in the address, so that a reload and a bookmark find it again.
      address: function (path, draft, openYet) {
        var keep = window.dash_clientside.no_update;
        document.body.dataset.page = path;
        if (!draft) return [keep, keep];
        document.body.dataset.open = "yes";
        setTimeout(function () {
          var wanted = window.location.pathname +
            (draft.name === null ? "" : "?farm=" + encodeURIComponent(draft.name));
          if (wanted !== window.location.pathname + window.location.search) {
            window.history.replaceState(window.history.state, "", wanted);
          }
        }, 0);
        return [keep, openYet ? keep : true];
      },

      // Slow answers wait until the farm stops changing; what they showed is greyed meanwhile.
      settle: function (draft, levers) {
        var turn = ++turns;
        var keep = window.dash_clientside.no_update;
        var back = document.getElementById("first-back");
        if (back) back.hidden = !Object.keys(levers || {}).length;
        if (!draft) return [keep, keep];
        window.drumworthWatch.moved(draft, levers);
        document.body.classList.add("settling");
        return new Promise(function (resolve) {
          setTimeout(function () {
            if (turn !== turns) return resolve([keep, keep]);
            document.body.classList.remove("settling");
            window.drumworthWatch.settled();
            var farm = JSON.stringify(draft);
            resolve([{ draft: draft, levers: levers }, farm === settledFarm ? keep : draft]);
            settledFarm = farm;
          }, turns === 1 || draft.opened !== shown ? 0 : 350);
          shown = draft.opened;
        });
      },

      undo: function (clicks, draft, levers) {
        var keep = window.dash_clientside.no_update;
        return clicks && draft ? travel(past, future, draft, levers) : [keep, keep];
      },
      redo: function (clicks, draft, levers) {
        var keep = window.dash_clientside.no_update;
        return clicks && draft ? travel(future, past, draft, levers) : [keep, keep];
      },

      paint: function (form, rows, target) {
        latest = rows; // a later paint never shows what an earlier one was called with
        setTimeout(function () { paint(latest); }, 0);
        setTimeout(function () { paint(latest); focusOn(target); refocus(); }, 150);
        return window.dash_clientside.no_update;
      },

      paintAnswers: function (form, says) {
        setTimeout(function () {
          document.querySelectorAll("[data-answer]").forEach(function (message) {
            var key = message.dataset.answer;
            var text = (says && says.faults[key]) || "";
            write(message, text, "");
            var box = message.parentElement.querySelector("input");
            if (!box) return;
            if (says) {
              box.placeholder = says.usual[key] || "";
              write(message.parentElement.querySelector(".unit"), says.unit[key] || "", "");
            }
            if (text) {
              box.setAttribute("aria-invalid", "true");
              box.setAttribute("aria-describedby", message.id);
            } else {
              box.removeAttribute("aria-invalid");
              box.removeAttribute("aria-describedby");
            }
          });
          refocus();
        }, 80);
        return window.dash_clientside.no_update;
      },

      // A page that is laid out calls it too, its button not pressed.
      back: function (clicks, names) {
        var keep = window.dash_clientside.no_update;
        return [clicks ? {} : keep, names.map(function () { return clicks ? 1 : keep; })];
      },

      tab: function (key) {
        document.querySelectorAll("button.tab").forEach(function (button) {
          button.setAttribute("aria-pressed", String(button.dataset.tab === key));
        });
        return key;
      },

      print: function (clicks) {
        if (clicks) window.print();
        return window.dash_clientside.no_update;
      },
    },
  });

  // A slider's step goes out as it happens, without waiting for its own box to be drawn. Levers
  // that stand at one are left out; the server checks all others.
  document.addEventListener("input", function (event) {
    var key = event.target.type === "range" && leverOf(event.target);
    if (!key || !current) return;
    var factor = Number(event.target.value);
    var levers = Object.assign({}, current.levers);
    delete levers[key];
    if (factor !== 1) levers[key] = factor;
    set("levers", { data: levers });
  }, true);

  // Native choices and on-off buttons hand their value to the hidden input that carries it.
  document.addEventListener("change", function (event) {
    var path = event.target.dataset && event.target.dataset.carries;
    if (path) set({ type: "v", path: path }, { value: event.target.value });
    var answer = event.target.dataset && event.target.dataset.answers;
    if (answer) set({ type: "q", path: answer }, { value: event.target.value });
    var plain = event.target.dataset && event.target.dataset.sets;
    if (plain) set(plain, { value: event.target.value });
    var start = event.target.dataset && event.target.dataset.opensChoice;
    if (start !== undefined && event.target.value) {
      ask({ opens: start + event.target.value });
      event.target.value = "";
    }
  });
  function holderOf(element) {
    var path = element.dataset.carries;
    var answer = element.dataset.answers;
    if (answer) return document.getElementById(JSON.stringify({ path: answer, type: "q" }));
    var id = path ? JSON.stringify({ path: path, type: "v" })
      : element.dataset.picksFor || element.dataset.sets;
    return document.getElementById(id);
  }

  // The hidden inputs hold what is chosen; what is seen follows them, whoever changed it.
  function follow() {
    due = false;
    document.querySelectorAll("[data-carries], [data-picks-for], [data-sets], [data-answers]").forEach(
      function (element) {
        var holder = holderOf(element);
        if (!holder) return;
        if (element.tagName === "SELECT") {
          var wanted = holder.value;
          if (element.dataset.answers && !wanted) wanted = element.options[0].value;
          if (element.value !== wanted) element.value = wanted;
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

  // What opens to ask something takes the focus, and hands it back to Save when it closes.
  var asking = {};
  function reveal() {
    ["saving", "conflict"].forEach(function (id) {
      var element = document.getElementById(id);
      var open = Boolean(element) && !element.hidden;
      if (open === Boolean(asking[id])) return;
      asking[id] = open;
      setTimeout(function () {
        var here = document.activeElement;
        if (open) {
          var first = element.querySelector("input, button");
          first.focus();
          if (first.select) first.select();
        } else if (here === document.body || (element && element.contains(here))) {
          document.getElementById("save").focus({ preventScroll: true });
        }
      }, 0);
    });
  }

  var due = false;
  new MutationObserver(function () {
    fill();
    reveal();
    if (holder && !holder.isConnected && document.activeElement === document.body) {
      holder = null;
      setTimeout(refocus, 0);
    }
    if (due) return;
    due = true;
    requestAnimationFrame(follow);
  }).observe(document.documentElement, {
    subtree: true, childList: true, attributes: true, attributeFilter: ["value", "data-markup", "hidden"],
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

  document.addEventListener("click", function (event) {
    var near = function (selector) {
      return event.target.closest && event.target.closest(selector);
    };
    var opener = near("[data-opens]");
    if (opener) {
      event.preventDefault();
      // One's own farm is changed, an example is left for one of one's own.
      var own = opener.dataset.mine && !document.querySelector(".strip .flag");
      if (own) set("url", { pathname: opener.dataset.mine });
      else ask({ opens: opener.dataset.opens, goes: opener.dataset.goes });
    }
    var tab = near("[data-tab]");
    if (tab) {
      var holder = document.getElementById("tab");
      var same = holder && holder.value === tab.dataset.tab && tab.classList.contains("tab");
      set("tab", { value: same ? "" : tab.dataset.tab });
    }
    var goer = !opener && near("[data-goes]");
    if (goer) {
      event.preventDefault();
      set("url", { pathname: goer.dataset.goes });
    }
    var revealer = near("[data-reveals]");
    if (revealer) {
      var hidden = document.getElementById(revealer.dataset.reveals);
      hidden.hidden = !hidden.hidden;
      revealer.setAttribute("aria-expanded", String(!hidden.hidden));
    }
    var shower = near("[data-shows]");
    if (shower) {
      set(shower.dataset.shows, { hidden: false });
      setTimeout(function () {
        var first = document.getElementById(shower.dataset.shows).querySelector("input");
        if (first) { first.focus(); first.select(); }
      }, 60);
    }
    if (near("#ask-open") && pending) open(pending);
    if (near("#ask-stay")) {
      pending = null;
      document.getElementById("ask").hidden = true;
      document.getElementById("page").focus({ preventScroll: true });
    }
  });

  // Control or command with Z goes back, with shift and Z or with Y forth.
  document.addEventListener("keydown", function (event) {
    if (event.key === "Enter" && event.target.id === "save-name") {
      document.getElementById("save-as").click();
      return;
    }
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    var key = event.key.toLowerCase();
    var name = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : "";
    if (!name || event.target.id === "save-name") return;
    event.preventDefault();
    document.getElementById(name).click();
  });

  window.addEventListener("beforeunload", function (event) {
    if (document.body.dataset.unsaved) event.preventDefault();
  });

  // Charts keep their screen size on paper and get cut off unless they are laid out anew.
  function fit(printing) {
    document.querySelectorAll(".js-plotly-plot").forEach(function (plot) {
      var holder = plot.closest(".chart");
      if (!holder || !window.Plotly || holder.closest(".off-paper")) return;
      if (printing) {
        plot.dataset.height = plot.layout.height || "";
        window.Plotly.relayout(plot, {
          width: 660,
          height: Math.min(220, plot.layout.height || 220),
          "font.size": 11,
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
  // On paper nothing can be clicked: what is folded away is opened, and closed again after.
  var unfolded = [];
  window.addEventListener("beforeprint", function () {
    unfolded = Array.prototype.filter.call(
      document.querySelectorAll(".cautions details"), function (one) { return !one.open; }
    );
    unfolded.forEach(function (one) { one.open = true; });
    fit(true);
  });
  window.addEventListener("afterprint", function () {
    unfolded.forEach(function (one) { one.open = false; });
    fit(false);
  });
})();
