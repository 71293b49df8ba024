// Clocks beside steps: how long the hands have been at it, and how long until
// it is dry. They live in this browser only; what counts is recorded by Done.
"use strict";
(() => {
  const key = (id) => "step " + location.pathname.split("/")[2] + " " + id;
  const span = (min) => { min = Math.max(0, Math.round(min)); const d = Math.floor(min / 1440), h = Math.floor(min / 60) % 24, m = min % 60; return (d ? d + " d " : "") + (h ? h + " h " : "") + (d ? "" : m + " min"); };
  const clocks = [...document.querySelectorAll("[data-clock]")], drying = [...document.querySelectorAll("[data-dry]")];
  const show = () => {
    for (const b of clocks) {
      const from = +localStorage.getItem(key(b.dataset.clock));
      b.hidden = false;
      if (!from) continue;
      const min = (Date.now() - from) / 60000, of = +b.dataset.hands;
      b.textContent = "At it " + span(min) + " of " + span(of) + (min > of ? ", over" : "") + ": stop the clock";
    }
    for (const d of drying) {
      const left = (Date.parse(d.dataset.dry) - Date.now()) / 60000;
      d.textContent = left > 0 ? "dry in " + span(left) + ": touch-test first" : "dry by the clock: touch-test first";
    }
  };
  for (const b of clocks) {
    const label = b.innerHTML;
    b.addEventListener("click", () => {
      const k = key(b.dataset.clock);
      if (localStorage.getItem(k)) { localStorage.removeItem(k); b.innerHTML = label; } else localStorage.setItem(k, Date.now());
      show();
    });
    if (b.form) b.form.addEventListener("submit", () => localStorage.removeItem(key(b.dataset.clock)));
  }
  if (clocks.length || drying.length) { show(); setInterval(show, 15000); }
})();
