// Asks the server while a form is typed, and shows what it says beside the fields that were
// touched; and how much there is behind a way, once its page stands. The words and the arithmetic
// are the server's. Every page works without this file.
"use strict";
(() => {
  // A pause in the typing, and the least time between two questions.
  const PAUSE = 1200;
  const BETWEEN = 3000;

  const { say, made } = globalThis.words;

  const ask = async (form) => {
    const body = new URLSearchParams(new FormData(form));
    body.set("do", "try");
    const signal = AbortSignal.timeout(20_000);
    const answer = await fetch(form.action, { method: "POST", body, signal });
    if (!answer.ok) return null;
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };

  const field_of = (form, name) => {
    const at = document.getElementById(name);
    return at && form.contains(at) ? at.closest("fieldset, .field") : null;
  };

  const clear = (form, name) => {
    const field = field_of(form, name);
    if (!field) return;
    field.classList.remove("wrong");
    field.querySelectorAll(".fault").forEach((it) => it.remove());
    const input = document.getElementById(name);
    input.removeAttribute("aria-invalid");
    input.removeAttribute("aria-describedby");
  };

  const show = (form, name, words) => {
    const field = field_of(form, name);
    if (!field) return;
    const fault = made("span", words, { className: "fault", id: name + "-fault" });
    fault.setAttribute("role", "status");
    field.classList.add("wrong");
    const label = field.querySelector("legend, label");
    if (label && label.nextSibling) label.after(fault);
    else field.append(fault);
    const input = document.getElementById(name);
    if (input.tagName !== "FIELDSET") input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", fault.id);
  };

  for (const way of document.querySelectorAll("a[data-count]")) {
    const count = fetch(way.dataset.count, { redirect: "error", signal: AbortSignal.timeout(60_000) });
    count.then((it) => (it.ok ? it.text() : "")).then(
      (words) => { if (words) way.textContent = words; },
      () => {},
    );
  }

  for (const form of document.querySelectorAll("form[data-live]")) {
    const touched = new Set();
    const stops = made("div", "", { className: "live" });
    stops.setAttribute("role", "status");
    let [timer, asked, running, last] = [0, 0, false, null];

    const look = async () => {
      if (running || form.dataset.busy) return later(BETWEEN);
      running = true;
      const typed = asked;
      const begun = Date.now();
      const said = await ask(form).catch(() => null);
      running = false;
      // A slow line is asked less.
      if (typed !== asked) later(Math.max(BETWEEN, 2 * (Date.now() - begun)));
      if (!said || !form.isConnected) return;
      for (const name of touched) clear(form, name);
      for (const it of said.querySelectorAll("[data-for]")) {
        if (touched.has(it.dataset.for)) show(form, it.dataset.for, it.textContent);
      }
      const found = said.querySelector("[data-stops]");
      const is_new = found && found.textContent !== stops.textContent;
      if (!is_new) return;
      stops.replaceChildren(...[...found.childNodes].map((it) => document.importNode(it, true)));
      // What stops somebody stands where the thumb is.
      const place = last?.closest(".pair") || last?.closest("fieldset, .field");
      if (place && form.contains(place)) place.after(stops);
      else form.append(stops);
    };
    const later = (pause) => {
      clearTimeout(timer);
      timer = setTimeout(look, pause);
    };
    form.addEventListener("input", (event) => {
      if (!event.target.name) return;
      touched.add(event.target.name);
      last = event.target;
      asked += 1;
      later(PAUSE);
    });

    // One tap for an hour that is now, with the hour on the button.
    const NOW = { start: ["begins"], sheet: ["ends", "device_back"] };
    const hour = () => new Date().toTimeString().slice(0, 5);
    for (const name of NOW[form.dataset.draft] || ["at"]) {
      const input = form.elements[name];
      if (!input || input.type !== "time") continue;
      const button = made("button", say("now"), { type: "button", className: "now" });
      button.setAttribute("aria-label", say("now, for {}", input.labels[0].textContent));
      button.addEventListener("click", () => {
        input.value = hour();
        for (const type of ["input", "change"]) {
          input.dispatchEvent(new Event(type, { bubbles: true }));
        }
      });
      input.closest(".unit").after(button);
    }
  }
})();
