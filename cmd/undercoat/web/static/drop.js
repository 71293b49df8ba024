// Takes pictures that are dropped on the page or pasted into it; the form takes
// files without this as well.
"use strict";
(() => {
  const form = document.getElementById("dropform"), hint = document.getElementById("drophint");
  if (!form || !hint) return;
  hint.hidden = false;
  const field = form.elements["picture"][0] || form.elements["picture"];
  const take = (list) => {
    const files = [...list].filter((f) => f.type.startsWith("image/") || /\.(heic|heif|avif)$/i.test(f.name));
    if (!files.length) return false;
    const all = new DataTransfer();
    for (const f of files) all.items.add(f);
    field.files = all.files;
    form.requestSubmit();
    return true;
  };
  document.addEventListener("dragover", (e) => { e.preventDefault(); form.classList.add("over"); });
  document.addEventListener("dragleave", () => form.classList.remove("over"));
  document.addEventListener("drop", (e) => { e.preventDefault(); form.classList.remove("over"); take(e.dataTransfer.files); });
  document.addEventListener("paste", (e) => { if (take(e.clipboardData.files)) e.preventDefault(); });
})();
