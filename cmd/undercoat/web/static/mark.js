// Draws spots on a picture: what the pointer or the keys draw fills the text
// fields of the form, which works without this as well.
"use strict";
(() => {
  const svg = document.getElementById("draw"), spots = document.getElementById("spots"), form = document.getElementById("spotform");
  if (!svg || !spots || !form) return;
  const W = svg.viewBox.baseVal.width, H = svg.viewBox.baseVal.height, step0 = Math.max(1, Math.round(Math.min(W, H) / 100));
  const fields = [...form.querySelectorAll("[data-spot]")], shapes = form.querySelector(".shapes");
  if (shapes) shapes.hidden = false;
  const clamp = (v, low, high) => Math.min(high, Math.max(low, Math.round(v)));
  const now = () => { const r = form.elements["draw"]; return fields.find((f) => f.name === (r ? r.value : "")) || fields[0]; };
  const outline = () => shapes && form.elements["shape"].value === "outline";
  const corners = (s) => s.trim().split(/\s+/).filter((p) => /^\d+,\d+$/.test(p)).map((p) => p.split(",").map(Number));
  const rect = (s) => { const v = s.split(",").map(Number); return v.length === 4 && v.every(Number.isFinite) ? { x: v[0], y: v[1], w: v[2], h: v[3] } : null; };
  const cursor = { x: Math.round(W / 2), y: Math.round(H / 2) };
  const make = (name, of) => { const e = document.createElementNS("http://www.w3.org/2000/svg", name); for (const k in of) e.setAttribute(k, of[k]); return e; };
  const show = () => {
    spots.replaceChildren();
    for (const f of fields) {
      const r = rect(f.value), c = corners(f.value), is = f === now() ? "spot" : "spot rest";
      if (r) spots.append(make("rect", { x: r.x, y: r.y, width: Math.max(0, r.w), height: Math.max(0, r.h), class: is }));
      else if (c.length) spots.append(make(c.length > 2 ? "polygon" : "polyline", { points: c.map((p) => p.join(",")).join(" "), class: is }));
      const at = r ? [r.x, r.y] : c[0];
      if (at && fields.length > 1) { const t = make("text", { x: at[0], y: at[1], dy: -6, class: "spotname" }); t.textContent = f.name; t.style.fontSize = Math.max(W, H) / 40 + "px"; spots.append(t); }
    }
    if (outline()) for (const d of [[1, 0], [0, 1]]) spots.append(make("line", { x1: cursor.x - d[0] * step0 * 2, x2: cursor.x + d[0] * step0 * 2, y1: cursor.y - d[1] * step0 * 2, y2: cursor.y + d[1] * step0 * 2, class: "spot" }));
  };
  const put = (r) => {
    const w = clamp(r.w, 1, W), h = clamp(r.h, 1, H);
    now().value = [clamp(r.x, 0, W - w), clamp(r.y, 0, H - h), w, h].join(",");
    show();
  };
  const corner = (p) => {
    const c = corners(now().value), first = c[0];
    if (c.length > 2 && Math.hypot(first[0] - p.x, first[1] - p.y) < step0 * 2) return show();
    c.push([p.x, p.y]);
    now().value = c.map((q) => q.join(",")).join(" ");
    show();
  };
  const at = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { x: clamp(p.x, 0, W), y: clamp(p.y, 0, H) };
  };
  let from = null;
  svg.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    e.preventDefault(); svg.focus();
    if (outline()) { Object.assign(cursor, at(e)); return corner(cursor); }
    from = at(e); svg.setPointerCapture(e.pointerId);
  });
  svg.addEventListener("pointermove", (e) => {
    if (!from) return;
    const to = at(e);
    put({ x: Math.min(from.x, to.x), y: Math.min(from.y, to.y), w: Math.abs(to.x - from.x), h: Math.abs(to.y - from.y) });
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { from = null; });
  svg.addEventListener("keydown", (e) => {
    const step = e.ctrlKey ? 1 : step0, move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
    if (e.key === "Enter") return form.requestSubmit();
    if (outline()) {
      if (move) { cursor.x = clamp(cursor.x + move[0], 0, W); cursor.y = clamp(cursor.y + move[1], 0, H); }
      else if (e.key === " ") corner(cursor);
      else if (e.key === "Backspace") now().value = corners(now().value).slice(0, -1).map((q) => q.join(",")).join(" ");
      else return;
      e.preventDefault();
      return show();
    }
    if (!move) return;
    e.preventDefault();
    const r = rect(now().value) || { x: W / 2 - step0 * 4, y: H / 2 - step0 * 4, w: step0 * 8, h: step0 * 8 };
    if (e.shiftKey) { r.w += move[0]; r.h += move[1]; } else { r.x += move[0]; r.y += move[1]; }
    put(r);
  });
  form.addEventListener("input", (e) => {
    if (e.target.name === "shape" && outline()) now().value = "";
    show();
  });
  if (shapes && !rect(now().value) && corners(now().value).length > 2) form.elements["shape"].value = "outline";
  show();
})();
