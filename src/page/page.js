// Keeps what is typed until it is on record, and sends it again when there was no answer. Every
// page works without this file.
"use strict";
(() => {
  const who = (document.querySelector(".who") || {}).textContent || "";
  const ours = "wearbook ";
  const mine = ours + who.trim() + " ";
  const key = (form) => mine + form.dataset.draft;
  const skipped = new Set(["token", "do"]);
  const today = new Date().toDateString();
  const hour = () => new Date().toTimeString().slice(0, 5);

  const read = (form) => {
    const all = [];
    for (const [name, value] of new FormData(form)) {
      if (!skipped.has(name)) all.push([name, value]);
    }
    return all;
  };

  const keep = (form) => {
    const draft = { day: today, fields: read(form) };
    try {
      localStorage.setItem(key(form), JSON.stringify(draft));
      said(form, "kept on this device " + hour());
    } catch {
      said(form, "cannot be kept on this device: send it before you leave the page");
    }
  };

  const said = (form, words) => {
    let line = form.querySelector(".kept");
    if (!line) {
      line = document.createElement("p");
      line.className = "kept";
      line.setAttribute("role", "status");
      form.append(line);
    }
    line.textContent = words;
  };

  const kept = (name) => {
    try {
      return JSON.parse(localStorage.getItem(name) || "null");
    } catch {
      return null;
    }
  };

  const of = (fields, name) => (fields.find((it) => it[0] === name) || [])[1];

  const put = (form, fields) => {
    for (const input of form.elements) {
      if (!input.name || skipped.has(input.name) || input.tagName === "BUTTON") continue;
      const values = fields.filter((it) => it[0] === input.name).map((it) => it[1]);
      if (input.type === "checkbox" || input.type === "radio") {
        input.checked = values.includes(input.value);
      } else if (values.length) {
        input.value = values[0];
      }
    }
    form.querySelectorAll("section").forEach(unfold);
  };

  // Who says that something is not good is asked what it is.
  const unfold = (section) => {
    const chosen = section.querySelector("input[type=radio][name$='.result']:checked");
    const words = section.querySelector("details");
    if (words && chosen && chosen.value !== "good") words.open = true;
  };

  // What is on record is a draft no more, and neither is what is of another day. Whoever signs out
  // leaves nothing behind; a session that ended by itself keeps its drafts.
  const sent = document.querySelector("[data-sent]");
  const page = location.pathname.slice(1);
  const forget = (gone) => {
    for (const name of Object.keys(localStorage)) {
      if (name.startsWith(ours) && gone(name, kept(name))) localStorage.removeItem(name);
    }
  };
  // Another sheet that is open beside the one that was sent is still a draft.
  const is_sent = (name, draft) => {
    if (!sent || !name.startsWith(mine + page)) return false;
    const number = of(draft.fields || [], "sheet");
    return !number || number === sent.dataset.sent;
  };
  forget((name, draft) => !draft || draft.day !== today || is_sent(name, draft));
  for (const form of document.querySelectorAll("form[action='/sign-out']")) {
    form.addEventListener("submit", () => forget(() => true));
  }

  // What was sent stays readable on this device that day.
  const main = document.querySelector("main");
  if (sent) {
    const copy = { day: today, at: hour(), title: sent.innerText, words: main.innerText };
    try {
      localStorage.setItem(mine + "sent " + page + " " + sent.dataset.sent, JSON.stringify(copy));
    } catch { /* a device that keeps nothing has the page on the screen alone */ }
  } else if (page === "") {
    const names = Object.keys(localStorage).filter((it) => it.startsWith(mine + "sent "));
    const copies = names.map(kept).sort((a, b) => (a.at < b.at ? -1 : 1));
    const card = document.createElement("section");
    card.className = "card";
    card.append(Object.assign(document.createElement("h2"), { textContent: "Sent today" }));
    for (const copy of copies) {
      const one = document.createElement("details");
      const title = copy.title + ", " + copy.at;
      one.append(Object.assign(document.createElement("summary"), { textContent: title }));
      one.append(Object.assign(document.createElement("pre"), { textContent: copy.words }));
      card.append(one);
    }
    if (copies.length) main.querySelector(".card").before(card);
  }

  const wait = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));
  // Asks until there is an answer.
  const asked = async (form, ask) => {
    for (let seconds = 1; ; seconds = Math.min(seconds * 2, 30)) {
      try {
        return await ask();
      } catch {
        said(form, "not sent yet: no connection to the server; kept here, tried again in "
          + seconds + " s");
        await wait(seconds);
      }
    }
  };

  // A form that is sent twice is the same sheet; a connection that is gone is waited for.
  const send = async (form, button) => {
    const data = new URLSearchParams(new FormData(form));
    data.set("do", "send");
    button.disabled = true;
    const [status, text] = await asked(form, async () => {
      const answer = await fetch(form.action, { method: "POST", body: data });
      return [answer.status, await answer.text()];
    });
    if (status === 403) {
      said(form, "The session has ended. What was typed is kept on this device: ");
      const again = document.createElement("a");
      again.href = "/sign-in?to=" + encodeURIComponent(location.pathname);
      again.textContent = "sign in again";
      form.querySelector(".kept").append(again);
      button.disabled = false;
      return;
    }
    document.open();
    document.write(text);
    document.close();
  };

  // A page that would not come is not left for.
  const leave = async (form, button) => {
    await asked(form, () => fetch("/page.js", { method: "HEAD", cache: "no-store" }));
    form.dataset.left = "yes";
    form.requestSubmit(button);
    delete form.dataset.left;
  };

  for (const form of document.querySelectorAll("form[data-draft]")) {
    const draft = kept(key(form));
    const came = performance.getEntriesByType("navigation")[0]?.type;
    const same = draft && JSON.stringify(draft.fields) === JSON.stringify(read(form));
    const is_form = !sent && !document.querySelector("[role=alert], input[type=hidden][name=r1\\.end]");
    const take_up = () => {
      // A draft may have more lines than the page: the server makes them.
      const here = form.elements.rows ? form.elements.rows.value : undefined;
      if (of(draft.fields, "rows") === here) {
        put(form, draft.fields);
        said(form, "what was typed before is here again");
        return;
      }
      const typed = document.createElement("form");
      typed.method = "post";
      typed.action = form.action;
      const more = [["token", form.elements.token.value], ["do", "again"]];
      for (const [name, value] of draft.fields.concat(more)) {
        typed.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
      }
      document.body.append(typed);
      typed.submit();
    };
    if (draft && !same && is_form) {
      // Whoever goes back to a form, or loads it again, is in the middle of it.
      if (came === "back_forward" || came === "reload") {
        take_up();
      } else {
        const offer = document.createElement("button");
        offer.type = "button";
        offer.className = "big second";
        offer.textContent = "Take up what was typed before";
        offer.addEventListener("click", () => {
          offer.remove();
          take_up();
        });
        form.prepend(offer);
      }
    }
    form.addEventListener("input", () => keep(form));
    form.addEventListener("change", (event) => {
      keep(form);
      const section = event.target.closest("section");
      if (section) unfold(section);
    });
    form.addEventListener("submit", (event) => {
      const button = event.submitter;
      if (form.dataset.left) return;
      event.preventDefault();
      keep(form);
      if (form.dataset.busy) return;
      form.dataset.busy = "yes";
      const done = button && button.value === "send" ? send : leave;
      done(form, button).finally(() => delete form.dataset.busy);
    });
  }
})();
