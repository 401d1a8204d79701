// The scanner types like a very fast person and ends with Enter. Here its codes find the scan line, wherever the pen is;
// Enter moves on instead of sending while lines follow; and a code that landed among the figures is moved.
// The pattern decides, not the speed: gloves and radio links vary.

const QUIET_MS = 1500;
const LEAST_SIGNS = 3;
const CODE = /^(?=.*\d)(?:[A-Za-z][0-9A-Za-z]*(?:[^\s0-9A-Za-z][0-9A-Za-z]+)*|https?\W.*)$/;
const FIELDS = 'input[type="text"], textarea';
const scans = [...document.querySelectorAll("[data-scan]")];

const plain = (text) => text.normalize("NFKC").trim();
const isCode = (text) => plain(text).length >= LEAST_SIGNS && CODE.test(plain(text));
const isField = (node) => node instanceof HTMLElement && node.matches("input[type=text], input[type=search], input[type=password], textarea");

// The line that a code belongs to: the one under the pen, else the first empty one, else the list that takes many, else the first.
function scanLine() {
  const here = scans.find((line) => line === document.activeElement);
  return here || scans.find((line) => !line.value) || scans.find((line) => "many" in line.dataset) || scans[0];
}

// Lines that are folded away have a box in some browsers: asking whether they can be seen tells.
const inSight = (line) => (line.checkVisibility ? line.checkVisibility() : line.offsetParent);

// Lines that are seldom typed are no stop on the way; but whoever is at the day of an earlier moment goes on to its clock.
const PASSED = "[data-earlier], [data-passed]";
function following(field) {
  const lines = [...field.form.querySelectorAll(FIELDS)].filter(inSight);
  return lines.slice(lines.indexOf(field) + 1).find((line) => !line.matches(PASSED) || ("earlier" in line.dataset && "earlier" in field.dataset));
}

function moveOn(field) {
  const next = following(field);
  field.dispatchEvent(new Event("change", { bubbles: true }));
  if (next) {
    next.focus();
    next.select();
  } else {
    field.form.requestSubmit();
  }
}

function take(line, code) {
  line.value = plain(code);
  line.focus();
  moveOn(line);
}

function note(form, words) {
  const place = form.querySelector("[data-note]");
  if (place) place.textContent = words;
}

// A code in a figure's line: it goes to the scan line, the figure stays to be typed.
function moveStray(field) {
  const line = scans.find((scan) => scan.form === field.form);
  if (!line || !field.matches("[data-figure]") || !isCode(field.value)) return false;
  line.value = plain(field.value);
  field.value = "";
  note(field.form, field.form.dataset.moved);
  line.dispatchEvent(new Event("change", { bubbles: true }));
  field.focus();
  return true;
}

let caught = "";
let last = 0;
let list = null;

function forget() {
  caught = "";
  list = null;
}

// Outside any line the signs are collected; an Enter after a code is swallowed, so that it presses no button.
function collect(event) {
  if (event.timeStamp - last > QUIET_MS) forget();
  last = event.timeStamp;
  if (event.key.length === 1) {
    if (!caught && event.target instanceof HTMLSelectElement) list = { field: event.target, value: event.target.value };
    caught += event.key;
  } else if (event.key === "Enter" || event.key === "Tab") {
    if (isCode(caught) && scans.length) {
      event.preventDefault();
      event.stopImmediatePropagation();
      if (list) list.field.value = list.value;
      take(scanLine(), caught);
    }
    forget();
  } else if (event.key !== "Shift") {
    forget();
  }
}

addEventListener("keydown", (event) => {
  if (event.isComposing || event.keyCode === 229 || event.ctrlKey || event.altKey || event.metaKey) return;
  const field = event.target;
  if (!isField(field)) {
    collect(event);
    return;
  }
  if (event.key === "Escape") field.blur();
  if (event.key !== "Enter" || field instanceof HTMLTextAreaElement || !field.form) return;
  if (moveStray(field)) {
    event.preventDefault();
  } else if (following(field)) {
    event.preventDefault();
    moveOn(field);
  }
}, true);

// An input method only confirms its text with Enter: a whole code moves on without a second one.
addEventListener("compositionend", (event) => {
  const field = event.target;
  if (!isField(field) || !field.matches("[data-scan], [data-figure]")) return;
  field.value = plain(field.value);
  if (field.matches("[data-scan]") && isCode(field.value)) setTimeout(() => moveOn(field), 0);
});

addEventListener("ledger:scanned", (event) => take(event.target, event.detail));
addEventListener("ledger:next", (event) => moveStray(event.target) || moveOn(event.target));
