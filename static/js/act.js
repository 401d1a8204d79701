// One act, sent once. A form that carries an act gets its id here if the page came without one; a second press is
// ignored while the first is under way; and nothing leaves the page while the server is not reached.
// F1 opens the help of the page. No single key does anything: a scanner is a fast typist.

const forms = document.querySelectorAll("form[data-act]");
const WAIT_MS = 4000;

function freshId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Without https the browser has no randomUUID, but it has random bytes: RFC 9562, version 4.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function say(form, words) {
  const note = form.querySelector("[data-note]");
  if (note) note.textContent = words || "";
}

function tellHead(reached) {
  const place = document.querySelector("[data-sending]");
  if (!place) return;
  place.dataset.words ??= place.textContent;
  const clock = new Date().toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  place.dataset.since = reached ? "" : place.dataset.since || clock;
  const words = reached ? place.dataset.words : place.dataset.lost.replace("{clock}", place.dataset.since);
  if (place.textContent !== words) place.textContent = words;
}

async function reached() {
  const stop = new AbortController();
  const clock = setTimeout(() => stop.abort(), WAIT_MS);
  try {
    // This file itself: every server has it, and asking for its head costs nothing.
    await fetch(import.meta.url, { method: "HEAD", cache: "no-store", signal: stop.signal });
    return true;
  } catch {
    return false;
  } finally {
    clearTimeout(clock);
  }
}

async function send(form) {
  form.dataset.sent = "yes";
  say(form, form.dataset.sendWords);
  const there = await reached();
  tellHead(there);
  if (there) {
    form.submit();
  } else {
    delete form.dataset.sent;
    say(form, form.dataset.unsent);
  }
}

for (const form of forms) {
  const id = form.elements.namedItem("act_id");
  if (id && !id.value) id.value = freshId();
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!form.dataset.sent) send(form);
  });
}

// A page that the browser kept may be sent again: it still carries the id of its act.
addEventListener("pageshow", () => {
  for (const form of forms) {
    delete form.dataset.sent;
    say(form, "");
  }
});
addEventListener("offline", () => tellHead(false));
addEventListener("online", async () => tellHead(await reached()));

addEventListener("keydown", (event) => {
  if (event.key !== "F1") return;
  const help = document.getElementById("help");
  if (!help) return;
  event.preventDefault();
  help.open = true;
  help.querySelector("summary").focus();
});
