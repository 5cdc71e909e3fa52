// Which figures are true. What follows from other numbers than those that stand now is greyed until
// it is true again; what failed says so beside itself, with a way to try again. All of it follows
// from the app's own list of callbacks: a new one needs no word here.
(function () {
  "use strict";

  var PATIENCE = 120000; // milliseconds
  var LOST = "Drumworth is no longer running; what you see is old. Start it again, then try again.";
  var LATE = "There was no answer for two minutes, so it was given up.";
  var UNKNOWN = "That could not be worked out.";
  var OLD = " What is greyed belongs to other numbers: undo the last change, or try again.";
  var UNDONE = " Look whether it was done all the same before you try again.";
  var SINCE = "The farm has changed since this was worked out.";

  var rows = []; // the app's callbacks, as it lists them to the page
  var wanted = { farm: null, levers: null }; // as they stand now
  var truth = {}; // by place: the inputs that its figures belong to
  var running = {}; // by kind of call: the latest one, unanswered
  var failed = {}; // by kind of call: the one that failed
  var turn = 0;

  function farmOf(draft) {
    return draft ? JSON.stringify([draft.name, draft.document]) : null;
  }
  function leversOf(levers) {
    return JSON.stringify(levers || {});
  }

  function nameOf(id) {
    if (typeof id === "string") return id;
    var sorted = {};
    Object.keys(id).sort().forEach(function (key) { sorted[key] = id[key]; });
    return JSON.stringify(sorted);
  }

  // A place is an id and a property of it.
  function idOf(place) {
    return place.replace(/\.[A-Za-z_-]+$/, "");
  }

  // What a place's figures belong to: the farm, the sliders, and whatever else the call was given.
  function basisOf(body) {
    var basis = { farm: null, levers: null, rest: [], settled: false, input: false };
    [["inputs", true], ["state", false]].forEach(function (group) {
      [].concat.apply([], body[group[0]] || []).forEach(function (row) {
        var value = row.value;
        if (row.id === "settled" && value) {
          basis.farm = farmOf(value.draft);
          basis.levers = leversOf(value.levers);
          basis.settled = true;
          basis.input = basis.input || group[1];
        } else if ((row.id === "draft" || row.id === "settled-farm") && value) {
          basis.farm = farmOf(value);
          basis.input = basis.input || group[1];
        } else if (row.id === "levers") {
          basis.levers = leversOf(value);
          basis.input = basis.input || group[1];
        } else if (group[1]) basis.rest.push([nameOf(row.id), value]);
      });
    });
    basis.rest = JSON.stringify(basis.rest);
    return basis;
  }

  function callOf(body) {
    var outputs = [].concat.apply([], [].concat(body.outputs));
    // Two callbacks may write one place; the sign behind its name tells them apart.
    var places = outputs.map(function (row) {
      return nameOf(row.id) + "." + row.property.split("@")[0];
    });
    var ids = outputs.map(function (row) { return nameOf(row.id); });
    var changed = (body.changedPropIds || [])[0] || "";
    return {
      turn: ++turn,
      body: body,
      // The same outputs may be written by two callbacks, and each row of a table by one.
      kind: body.output + (body.output.indexOf("MATCH") < 0 ? "" : places.join()),
      places: places,
      ids: ids.filter(function (id, k) { return ids.indexOf(id) === k; }),
      basis: basisOf(body),
      action: /\.n_clicks$/.test(changed),
      drawn: false, // whether a place of it has stood on the page since it failed
    };
  }

  // A call whose figures hang on the farm or the sliders, at once or (the class says so) when they
  // are asked for; one that only edits or writes down does not.
  function follows(call) {
    return call.basis.input || (call.basis.settled && elementsOf(call.ids).some(
      function (element) { return element.classList.contains("on-request"); }
    ));
  }
  function agrees(basis, other) {
    return basis.farm === other.farm && basis.levers === other.levers && basis.rest === other.rest;
  }
  function isOld(call) {
    var basis = call.basis;
    return follows(call) && ((basis.farm !== null && basis.farm !== wanted.farm)
      || (basis.levers !== null && basis.levers !== wanted.levers));
  }

  // Ids of places that hang on the farm: greyed where a change never reached the figures.
  function followers() {
    var result = [];
    rows.forEach(function (row) {
      var figures = !row.clientside_function && (row.inputs || []).some(function (input) {
        return ["draft", "settled", "settled-farm", "levers"].indexOf(input.id) >= 0;
      });
      if (!figures) return;
      var text = row.output;
      (text.indexOf("..") === 0 ? text.slice(2, -2).split("...") : [text]).forEach(function (name) {
        result.push(idOf(name.split("@")[0]));
      });
    });
    return result;
  }

  function elementsOf(ids) {
    return ids.map(function (id) { return document.getElementById(id); }).filter(Boolean);
  }

  function reaches(call) {
    var carries = call.places.some(function (place) {
      return /^(draft|levers|settled|settled-farm)\.data$/.test(place);
    });
    return elementsOf(carries && !call.action ? call.ids.concat(followers()) : call.ids);
  }

  // Asks again, as a change of the same input does.
  function again(call) {
    var inputs = [].concat.apply([], call.body.inputs || []);
    var changed = (call.body.changedPropIds || [])[0];
    var row = inputs.find(function (one) {
      return nameOf(one.id) + "." + one.property === changed;
    }) || inputs[0];
    if (!row) return;
    var props = {};
    props[row.property] = row.value;
    window.dash_clientside.set_props(row.id, props);
  }
  function values(calls) {
    return Object.keys(calls).map(function (kind) { return calls[kind]; });
  }

  function wordsOf(call) {
    if (call.failure === "lost") return LOST;
    var text = call.failure === "late" ? LATE : call.said || UNKNOWN;
    if (call.action) return text + (call.failure === "late" ? UNDONE : "");
    return text + OLD;
  }

  function button(words, press) {
    var result = document.createElement("button");
    result.type = "button";
    result.textContent = words;
    result.addEventListener("click", press);
    return result;
  }

  function tell(holder, words, label, press) {
    if (holder.dataset.said === words) return;
    holder.dataset.said = words;
    holder.textContent = words;
    if (words) holder.append(" ", button(label, press));
  }

  // The banner says it wherever the page is scrolled to; a note says it beside the figures.
  function banner() {
    var holder = document.getElementById("lost");
    if (!holder) return;
    var texts = values(failed).map(wordsOf);
    var text = texts.indexOf(LOST) >= 0 ? LOST : texts[0] || "";
    holder.hidden = !text;
    tell(holder, text, "Try again", function () { values(failed).forEach(again); });
  }

  function noteAt(element) {
    var inside = element.tagName === "TR";
    var spot = inside ? element.lastElementChild : element;
    var note = inside ? spot.querySelector(":scope > .beside-note") : spot.previousElementSibling;
    if (note && note.classList.contains("beside-note")) return note;
    note = document.createElement("div");
    note.className = "beside-note";
    if (inside) spot.append(note);
    else spot.before(note);
    return note;
  }

  function notes() {
    var kept = [];
    function put(call, words, label) {
      var first = elementsOf(call.ids).find(function (element) {
        return element.closest("#page") && element.id !== "page" && element.offsetParent
          && !/^(inline|contents)/.test(getComputedStyle(element).display);
      });
      if (!first) return;
      var note = noteAt(first);
      kept.push(note);
      tell(note, words, label, function () { again(call); });
    }
    values(failed).forEach(function (call) { put(call, wordsOf(call), "Try again"); });
    values(truth).forEach(function (call) {
      var asked = !call.basis.input && isOld(call) && !document.body.matches(".settling");
      if (asked && !failed[call.kind] && !running[call.kind]) {
        put(call, SINCE, "Work it out again");
      }
    });
    document.querySelectorAll(".beside-note").forEach(function (note) {
      if (kept.indexOf(note) < 0) note.remove();
    });
  }

  function mark(name, elements) {
    document.querySelectorAll("." + name).forEach(function (element) {
      if (elements.indexOf(element) < 0) element.classList.remove(name);
    });
    elements.forEach(function (element) { element.classList.add(name); });
  }

  function refresh() {
    var old = [];
    drop();
    document.body.classList.toggle("working", values(running).length > 0);
    // What waits for an answer that failed would wait for ever.
    document.body.classList.toggle("stopped", values(failed).length > 0);
    Object.keys(truth).forEach(function (place) {
      if (isOld(truth[place])) old.push(idOf(place));
    });
    values(running).forEach(function (call) {
      call.places.forEach(function (place) {
        var shown = truth[place];
        if (shown && !agrees(shown.basis, call.basis)) old.push(idOf(place));
      });
    });
    mark("greyed", elementsOf(old));
    mark("out-of-date", [].concat.apply([], values(failed).map(reaches)));
    banner();
    notes();
  }
  var due = false;
  // The answer is drawn first; a place that is new by then is looked at too.
  function soon() {
    if (due) return;
    due = true;
    setTimeout(function () { due = false; refresh(); }, 0);
  }

  // A page that is laid out anew knows nothing of what stood there before.
  function forget() {
    function isHere(call, ids) {
      var asked = [].concat.apply([], call.body.inputs || []).map(function (row) {
        return nameOf(row.id);
      });
      return elementsOf(ids.concat(asked)).some(function (element) {
        return element.id !== "page" && element.closest("#page");
      });
    }
    [running, failed].forEach(function (calls) {
      Object.keys(calls).forEach(function (key) {
        if (isHere(calls[key], calls[key].ids)) delete calls[key];
      });
    });
    // One call may write into the page and above it: what stands above stays known.
    Object.keys(truth).forEach(function (place) {
      if (isHere(truth[place], [idOf(place)])) delete truth[place];
    });
  }
  // What failed in a part of the page that is gone fails no more.
  function drop() {
    values(failed).forEach(function (call) {
      if (elementsOf(call.ids).length) call.drawn = true;
      else if (call.drawn) delete failed[call.kind];
    });
  }

  function ended(call, failure, said) {
    var latest = running[call.kind] === call;
    if (latest) delete running[call.kind];
    if (!latest) return;
    if (failure) {
      failed[call.kind] = Object.assign(call, { failure: failure, said: said });
      return soon();
    }
    if (call.places.indexOf("page.children") >= 0 && said !== "nothing") forget();
    var all = call.places.join();
    values(failed).forEach(function (other) {
      var same = other.places.join() === all && agrees(other.basis, call.basis);
      if (other.kind === call.kind || (same && said !== "nothing")) delete failed[other.kind];
    });
    call.places.forEach(function (place) { truth[place] = call; });
    soon();
  }

  function bodyOf(address, options) {
    if (address.indexOf("_dash-update-component") < 0) return null;
    try { return JSON.parse(options.body); } catch (error) { return null; }
  }

  // Names this tab to the server, also after it is loaded anew: a newer run ends the older.
  function tab() {
    try {
      var name = sessionStorage.getItem("drumworth-page");
      if (!name) sessionStorage.setItem("drumworth-page", name = crypto.randomUUID());
      return name;
    } catch (error) { return "unnamed"; }
  }
  function named(options) {
    var headers = new Headers(options.headers);
    headers.set("Drumworth-Page", tab());
    return headers;
  }

  var plainFetch = window.fetch;
  function listed(answer) {
    answer.clone().json().then(function (list) { rows = list; }, function () {});
    return answer;
  }
  window.fetch = function (resource, options) {
    var address = typeof resource === "string" ? resource : resource.url;
    if (address.indexOf("_dash-dependencies") >= 0) {
      return plainFetch.call(window, resource, options).then(listed);
    }
    var body = bodyOf(address, options);
    if (!body) return plainFetch.call(window, resource, options);
    var call = callOf(body);
    running[call.kind] = call;
    soon();
    var control = new AbortController();
    var late = false;
    var clock = setTimeout(function () { late = true; control.abort(); }, PATIENCE);
    return plainFetch.call(
      window, resource, Object.assign({}, options, { signal: control.signal, headers: named(options) })
    ).then(
      function (answer) {
        clearTimeout(clock);
        if (answer.ok) {
          ended(call, "", answer.status === 204 ? "nothing" : "");
          return answer;
        }
        return answer.clone().json().then(
          function (body) { return body.refused ? "Refused: " + body.refused + "." : ""; },
          function () { return ""; }
        ).then(function (words) {
          ended(call, "refused", answer.status === 400 ? words : "");
          return answer;
        });
      },
      function (error) {
        clearTimeout(clock);
        ended(call, late ? "late" : "lost", "");
        throw error;
      }
    );
  };

  window.drumworthWatch = {
    // The farm or a slider has moved: what follows from them is old until it is answered anew.
    moved: function (draft, levers) {
      wanted = { farm: farmOf(draft), levers: leversOf(levers) };
      soon();
    },
    settled: function () {
      setTimeout(soon, 100);
    },
  };
})();
