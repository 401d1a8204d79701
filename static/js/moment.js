// "Now" stays now: the clock at the head, the times beside the answers, and the moment that goes with the form. The
// mill's clock is the server's; the device only counts how long the page has been open.

const MINUTE_MS = 60000;
const opened = Date.now();
const open = () => Date.now() - opened;
const pad = (n) => String(n).padStart(2, "0");

// "2026-07-14T08:10:00+09:00" as a moment, and a moment as the mill's own clock shows it.
function parts(text) {
  const [, sign, hours, minutes] = text.match(/([+-])(\d\d):?(\d\d)$/) || ["", "+", "00", "00"];
  const ahead = (sign === "-" ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * MINUTE_MS;
  return { at: Date.parse(text), ahead, zone: `${sign}${hours}:${minutes}` };
}

function local(at, { ahead, zone }) {
  const day = new Date(at + ahead);
  return { iso: `${day.toISOString().slice(0, 19)}${zone}`, clock: `${pad(day.getUTCHours())}:${pad(day.getUTCMinutes())}` };
}

const anchors = [...document.querySelectorAll("[data-anchor]")].map((field) => ({ field, shown: parts(field.value) }));
const head = document.querySelector("[data-now]");

function tick() {
  if (head) {
    const shown = parts(head.dateTime);
    const { clock } = local(shown.at + open(), shown);
    head.textContent = head.textContent.replace(/\d\d:\d\d$/, clock);
  }
  for (const { field, shown } of anchors) {
    if (field.dataset.kept) continue;
    for (const words of field.parentElement.querySelectorAll("[data-ago]")) {
      words.textContent = local(shown.at + open() - Number(words.dataset.ago) * MINUTE_MS, shown).clock;
    }
  }
}

// The first press fixes the moment; a second press of the same page says the same, so that it is the same act.
for (const { field, shown } of anchors) {
  field.form.addEventListener("submit", () => {
    if (!field.dataset.kept) field.value = local(shown.at + open(), shown).iso;
    field.dataset.kept = "yes";
  });
}
setInterval(tick, 10000);

// Whoever types a time means earlier.
for (const typed of document.querySelectorAll("[data-earlier]")) {
  typed.addEventListener("input", () => {
    const earlier = typed.closest("fieldset").querySelector('input[type="radio"][value="earlier"]');
    if (earlier) earlier.checked = true;
  });
}
