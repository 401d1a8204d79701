// What was typed stays: through the switches of language and lamp, and through an answer that never came.
// The device keeps it until the next page of the server says how it went. The id of the act is kept with it, so that
// a form that is sent again after a lost answer is the same act.

const KEY = "typed";
const form = document.querySelector("form[data-act]");
const SKIPPED = new Set(["csrfmiddlewaretoken"]);

function typed() {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !SKIPPED.has(name));
}

function remember(switched) {
  try {
    sessionStorage.setItem(KEY, JSON.stringify({ path: location.pathname, switched, typed: typed() }));
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
  for (const radio of form.querySelectorAll('input[type="radio"]')) radio.checked = false;
  kept.typed.forEach(put);
  // A page that was sent before says the same moment again.
  if (!kept.switched) for (const anchor of form.querySelectorAll("[data-anchor]")) anchor.dataset.kept = "yes";
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

const way = performance.getEntriesByType("navigation")[0]?.type;
const kept = JSON.parse(sessionStorage.getItem(KEY) || "null");
const cameBack = way === "back_forward" || way === "reload";
if (form && kept?.path === location.pathname && (kept.switched || cameBack)) giveBack(kept);
else if (!cameBack) sessionStorage.removeItem(KEY);

if (form) {
  form.addEventListener("submit", () => remember(false));
  for (const other of document.querySelectorAll("form[data-keep]")) other.addEventListener("submit", () => remember(true));
}
