// A scan line with room for many codes: each Enter adds one, Enter on an empty line moves on. A code that was caught
// elsewhere on the page joins those that stand there.

const LINES_LEAST = 3;

for (const line of document.querySelectorAll("textarea[data-many]")) {
  let kept = line.value;

  const grow = () => {
    line.rows = Math.max(LINES_LEAST, line.value.split("\n").length);
  };
  const keep = () => {
    kept = line.value;
    grow();
  };
  const join = () => {
    if (line.value === kept) return;
    const before = kept.trimEnd();
    line.value = `${before}${before ? "\n" : ""}${line.value.trim()}\n`;
    keep();
  };

  line.addEventListener("input", keep);
  // Capture: before the live balance reads the form.
  line.addEventListener("change", join, true);
  line.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing) return;
    const from = line.value.lastIndexOf("\n", line.selectionStart - 1) + 1;
    const end = line.value.indexOf("\n", line.selectionStart);
    if (line.value.slice(from, end < 0 ? undefined : end).trim() || !line.value.trim()) return;
    event.preventDefault();
    line.dispatchEvent(new CustomEvent("ledger:next", { bubbles: true }));
  });
  grow();
}
