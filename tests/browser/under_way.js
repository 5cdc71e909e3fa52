// Runs in a page before its own scripts and counts what is still to come of itself: answers asked
// for, timers and frames that wait, scripts being fetched. So a test waits as long as the page
// works, and no longer.
(function () {
  "use strict";

  var LONG = 1000; // milliseconds; a timer beyond is a patience, not a step of the work
  var TURNS = 2; // times in a row that the page has nothing to do, before it is at rest
  var plain = {
    fetch: window.fetch, setTimeout: window.setTimeout.bind(window), clearTimeout: window.clearTimeout,
    requestAnimationFrame: window.requestAnimationFrame,
    cancelAnimationFrame: window.cancelAnimationFrame,
  };
  var calls = 0;
  var begun = 0; // all that ever began
  var timers = new Set();
  var frames = new Set();

  window.fetch = function () {
    calls += 1;
    begun += 1;
    var asked = plain.fetch.apply(window, arguments);
    // An answer has come when its last byte has.
    asked.then(function (answer) { return answer.clone().arrayBuffer(); })
      .catch(function () {}).then(function () { calls -= 1; });
    return asked;
  };
  window.setTimeout = function (work, wait) {
    var rest = Array.prototype.slice.call(arguments, 2);
    if (wait > LONG) return plain.setTimeout.apply(null, arguments);
    begun += 1;
    var name = plain.setTimeout(function () {
      timers.delete(name);
      work.apply(window, rest);
    }, wait);
    timers.add(name);
    return name;
  };
  window.clearTimeout = function (name) {
    timers.delete(name);
    plain.clearTimeout.call(window, name);
  };
  window.requestAnimationFrame = function (work) {
    begun += 1;
    var name = plain.requestAnimationFrame.call(window, function (now) {
      frames.delete(name);
      work(now);
    });
    frames.add(name);
    return name;
  };
  window.cancelAnimationFrame = function (name) {
    frames.delete(name);
    plain.cancelAnimationFrame.call(window, name);
  };

  function fetching() {
    return Array.prototype.some.call(document.querySelectorAll("script[src]"), function (script) {
      return !performance.getEntriesByName(script.src).length;
    });
  }
  function idle() {
    return !calls && !timers.size && !frames.size && !fetching()
      && document.readyState === "complete";
  }

  // Answers true when a look does, or false after a time; `look` may run often.
  function until(look, most) {
    var end = performance.now() + most;
    return new Promise(function (resolve, reject) {
      (function again() {
        try {
          if (look()) return resolve(true);
        } catch (error) { return reject(error); }
        if (performance.now() > end) return resolve(false);
        plain.setTimeout(again, 8);
      })();
    });
  }

  // Lets the page draw: what follows a new size or style begins with that. One that is not shown
  // draws nothing.
  function drawn(next) {
    var done = false;
    function once() {
      if (!done) next();
      done = true;
    }
    plain.requestAnimationFrame.call(window, once);
    plain.setTimeout(once, 100);
  }
  // Lets all go first that the page has put in line by now.
  function last(next) {
    window.scheduler.postTask(next, { priority: "background" });
  }

  // Answers true when nothing is to come, nothing began while the page drew itself once more, and
  // nothing after: what an answer leads to begins in the page's next tasks.
  function rests(look, most) {
    var end = performance.now() + most;
    return new Promise(function (resolve) {
      var still = 0;
      var known = -1;
      (function again() {
        still = idle() && begun === known && look() ? still + 1 : 0;
        known = begun;
        if (still > TURNS) return resolve(true);
        if (performance.now() > end) return resolve(false);
        if (still === 1) drawn(function () { last(again); });
        else if (idle()) last(again);
        else plain.setTimeout(again, 8);
      })();
    });
  }

  window.underWay = {
    until: until, rests: rests,
    say: function () {
      return JSON.stringify([calls, timers.size, frames.size, fetching(), document.readyState]);
    },
  };
})();
