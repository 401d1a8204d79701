// What was typed stays: through the switches of language and lamp, through a look at another page and back, and through
// an answer that never came. The device keeps it for this page until the server answers with the page anew. The id of
// the act is kept with it, so that a form that is sent again after a lost answer is the same act.

const KEY = `typed ${location.pathname}`;
const form = document.querySelector("form[data-act]");
const SKIPPED = new Set(["csrfmiddlewaretoken"]);

function typed() {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !SKIPPED.has(name));
}

function remember(how) {
  try {
    sessionStorage.setItem(KEY, JSON.stringify({ how, typed: typed() }));
  } catch {
    // A browser that keeps nothing still sends the form.
  }
}

function put([name, value]) {
  for (const field of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
    if (field.type === "radio" || field.type === "checkbox") field.checked = field.checked || field.value === value;
    else field.value = value;
  }
}

function giveBack(kept) {
  const anchors = [...form.querySelectorAll("[data-anchor]")];
  const now = new Set(anchors.map((anchor) => anchor.name));
  for (const radio of form.querySelectorAll('input[type="radio"]')) radio.checked = false;
  // A page that was sent before says the same moment again; one that was only left says the moment of today.
  kept.typed.filter(([name]) => kept.how === "sent" || !now.has(name)).forEach(put);
  if (kept.how === "sent") for (const anchor of anchors) anchor.dataset.kept = "yes";
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

const way = performance.getEntriesByType("navigation")[0]?.type;
const kept = JSON.parse(sessionStorage.getItem(KEY) || "null");
const cameBack = way === "back_forward" || way === "reload";
if (form && kept && (kept.how === "switched" || cameBack)) giveBack(kept);
sessionStorage.removeItem(KEY);

// How the page was left last: sent, switched to another language or lamp, or just left.
let how = kept?.how === "sent" && cameBack ? "sent" : "left";

if (form) {
  form.addEventListener("submit", () => { how = "sent"; remember(how); });
  addEventListener("pagehide", () => how && remember(how));
}
for (const other of document.querySelectorAll("form[data-keep]")) other.addEventListener("submit", () => { how = "switched"; });
// Whoever comes in or goes out leaves nothing to the next person.
for (const other of document.querySelectorAll("form[data-forget]")) {
  other.addEventListener("submit", () => {
    how = "";
    sessionStorage.clear();
  });
}
