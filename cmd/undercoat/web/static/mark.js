// Draws a rectangle on a picture: pointer or arrow keys fill the number fields
// of the form, which works without this as well.
"use strict";
(() => {
  const svg = document.getElementById("draw"), spot = document.getElementById("spot"), form = document.getElementById("spotform");
  if (!svg || !spot || !form) return;
  const W = svg.viewBox.baseVal.width, H = svg.viewBox.baseVal.height;
  const field = (n) => form.elements[n];
  const clamp = (v, low, high) => Math.min(high, Math.max(low, Math.round(v)));
  const get = () => ({ x: +field("x").value, y: +field("y").value, w: +field("w").value, h: +field("h").value });
  const show = () => { for (const [k, a] of [["x", "x"], ["y", "y"], ["w", "width"], ["h", "height"]]) spot.setAttribute(a, field(k).value || 0); };
  const put = (r) => {
    const w = clamp(r.w, 1, W), h = clamp(r.h, 1, H);
    field("w").value = w; field("h").value = h;
    field("x").value = clamp(r.x, 0, W - w); field("y").value = clamp(r.y, 0, H - h);
    show();
  };
  const at = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { x: clamp(p.x, 0, W), y: clamp(p.y, 0, H) };
  };
  let from = null;
  svg.addEventListener("pointerdown", (e) => { if (e.button === 0) { from = at(e); svg.setPointerCapture(e.pointerId); e.preventDefault(); svg.focus(); } });
  svg.addEventListener("pointermove", (e) => {
    if (!from) return;
    const to = at(e);
    put({ x: Math.min(from.x, to.x), y: Math.min(from.y, to.y), w: Math.abs(to.x - from.x), h: Math.abs(to.y - from.y) });
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { from = null; });
  svg.addEventListener("keydown", (e) => {
    const step = e.ctrlKey ? 1 : Math.max(1, Math.round(Math.min(W, H) / 100));
    const move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
    if (!move) { if (e.key === "Enter") form.requestSubmit(); return; }
    e.preventDefault();
    const r = get();
    if (e.shiftKey) { r.w += move[0]; r.h += move[1]; } else { r.x += move[0]; r.y += move[1]; }
    put(r);
  });
  form.addEventListener("input", show);
})();
