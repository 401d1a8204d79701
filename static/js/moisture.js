// The trade says moisture per 100 wet and per 100 dry. Whatever is typed, both are shown; the typed one first.

const figure = (text) => Number(text.normalize("NFKC").trim().replace(",", "."));

for (const place of document.querySelectorAll("[data-both]")) {
  const name = place.dataset.both;
  const form = place.closest("form");
  const show = () => {
    const typed = figure(form.elements.namedItem(name).value);
    const basis = form.querySelector(`[name="${CSS.escape(name)}_basis"]:checked`)?.value;
    if (!basis || !(typed > 0) || (basis === "wet" && typed >= 100)) {
      place.textContent = "";
      return;
    }
    const other = basis === "wet" ? (100 * typed) / (100 - typed) : (100 * typed) / (100 + typed);
    const words = basis === "wet" ? [place.dataset.wet, place.dataset.dry] : [place.dataset.dry, place.dataset.wet];
    place.textContent = `${typed} ${words[0]} = ${other.toFixed(1)} ${words[1]}`;
  };
  form.addEventListener("input", show);
  form.addEventListener("change", show);
  show();
}
