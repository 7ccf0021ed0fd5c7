// Is the sheet somebody holds the current print? Its code says which revision it is; only eight letters are believed.
(function () {
  "use strict";
  var asked = new URLSearchParams(location.search), held = asked.get("r") || "", page = asked.get("p") || "";
  var box = document.getElementById("held"), line = document.getElementById("sheet");
  if (!/^[A-Z2-7]{8}$/.test(held)) { return; }
  var same = held === document.body.dataset.revision;
  box.textContent = held + ": " + (same ? box.dataset.same : box.dataset.old);
  if (same) { box.className += " same"; }
  box.hidden = false;
  var names = JSON.parse(line.dataset.sheets);
  if (same && /^[1-9][0-9]?$/.test(page) && names[page - 1]) {
    line.querySelector("span").textContent = page + " – " + names[page - 1];
    line.hidden = false;
  }
})();
