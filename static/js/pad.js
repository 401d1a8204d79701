// Figures for gloves: a pad of large keys that writes into the line where the pen is. Without scripts there is no pad,
// and the keys of the device do.

const pad = document.querySelector(".t-pad");
const figures = [...document.querySelectorAll("[data-figure]")];

if (pad && figures.length) {
  let line = figures[0];
  pad.hidden = false;

  for (const figure of figures) figure.addEventListener("focus", () => { line = figure; });
  // The pen stays in its line while the keys are pressed.
  pad.addEventListener("pointerdown", (event) => event.preventDefault());
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (key) press(key);
  });

  const press = (key) => {
    if (document.activeElement !== line) line.focus();
    // Among many figures the next one begins a new row, until an empty row moves on.
    if (key === "next" && "many" in line.dataset && line.value && !line.value.endsWith("\n")) {
      press("\n");
      return;
    }
    if (key === "next") {
      line.dispatchEvent(new CustomEvent("ledger:next", { bubbles: true }));
      return;
    }
    const from = line.selectionStart;
    const to = line.selectionEnd;
    if (key !== "back") line.setRangeText(key, from, to, "end");
    else if (from !== to) line.setRangeText("", from, to, "end");
    else if (from > 0) line.setRangeText("", from - 1, from, "end");
    line.dispatchEvent(new Event("input", { bubbles: true }));
  };

  // Where the pad is in sight and fingers point, the device's own keys would only cover it.
  if (pad.offsetParent && matchMedia("(pointer: coarse)").matches) {
    for (const figure of figures) figure.inputMode = "none";
  }
}
