// The live balance: what is typed goes to the server 600 ms after the last key, and its sentence stands under the form.
// It is information, not a check: nothing is coloured, nothing is held back, and a server that is not reached is no fault.

const QUIET_MS = 600;

for (const form of document.querySelectorAll("form[data-live]")) {
  const place = form.querySelector("[data-live-here]");
  let clock = 0;
  let under = null;

  const show = (html) => {
    const page = new DOMParser().parseFromString(html, "text/html");
    for (const read of page.querySelectorAll("template[data-read-for]")) {
      const line = form.querySelector(`[data-read="${CSS.escape(read.dataset.readFor)}"]`);
      if (line && line.textContent !== read.innerHTML) line.innerHTML = read.innerHTML;
      read.remove();
    }
    // The same sentence again would be read aloud again.
    if (place.innerHTML.trim() !== page.body.innerHTML.trim()) place.replaceChildren(...page.body.childNodes);
  };

  const ask = async () => {
    under?.abort();
    under = new AbortController();
    try {
      const answer = await fetch(form.dataset.live, {
        method: "POST", body: new FormData(form), redirect: "error", signal: under.signal,
      });
      if (answer.ok) show(await answer.text());
    } catch {
      // The last sentence stays. Sending says itself when the server is not reached.
    }
  };

  const soon = () => {
    clearTimeout(clock);
    clock = setTimeout(ask, QUIET_MS);
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", soon);
}
