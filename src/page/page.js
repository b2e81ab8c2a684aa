// Keeps what is typed until it is on record, and sends it again when there was no answer. Every
// page works without this file.
"use strict";
(() => {
  const who = (document.querySelector(".who") || {}).textContent || "";
  const key = (form) => "wearbook " + who.trim() + " " + form.dataset.draft;
  const skipped = new Set(["token", "do"]);

  const read = (form) => {
    const all = [];
    for (const [name, value] of new FormData(form)) {
      if (!skipped.has(name)) all.push([name, value]);
    }
    return all;
  };

  const keep = (form) => {
    const draft = { day: new Date().toDateString(), fields: read(form) };
    try {
      localStorage.setItem(key(form), JSON.stringify(draft));
      said(form, "kept on this device " + new Date().toTimeString().slice(0, 5));
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

  const drafted = (form) => {
    try {
      return JSON.parse(localStorage.getItem(key(form)) || "null");
    } catch {
      return null;
    }
  };

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
  };

  // What is on record is a draft no more, and neither is what is of another day. Whoever signs out
  // leaves nothing behind; a session that ended by itself keeps its drafts.
  const sent = document.querySelector("[data-sent]");
  const page = location.pathname.slice(1);
  const forget = (gone) => {
    for (const name of Object.keys(localStorage)) {
      if (!name.startsWith("wearbook ")) continue;
      let draft = null;
      try { draft = JSON.parse(localStorage.getItem(name)); } catch { /* no draft of ours */ }
      if (gone(name, draft)) localStorage.removeItem(name);
    }
  };
  const today = new Date().toDateString();
  const mine = "wearbook " + who.trim() + " " + page;
  forget((name, draft) => !draft || draft.day !== today || (sent && name.startsWith(mine)));
  for (const form of document.querySelectorAll("form[action='/sign-out']")) {
    form.addEventListener("submit", () => forget(() => true));
  }

  for (const form of document.querySelectorAll("form[data-draft]")) {
    const draft = drafted(form);
    const fresh = !document.querySelector("[role=alert]") && performance
      .getEntriesByType("navigation")[0]?.type !== "back_forward";
    const same = draft && JSON.stringify(draft.fields) === JSON.stringify(read(form));
    if (draft && !same && fresh && !form.querySelector("input[type=hidden][name=r1\\.end]")) {
      const offer = document.createElement("button");
      offer.type = "button";
      offer.className = "big second";
      offer.textContent = "Take up what was typed before";
      offer.addEventListener("click", async () => {
        // A draft may have more lines than the page: the server makes them.
        const data = new URLSearchParams(draft.fields);
        data.set("token", form.elements.token.value);
        data.set("do", "again");
        const rows = (draft.fields.find((it) => it[0] === "rows") || [])[1];
        const here = form.elements.rows ? form.elements.rows.value : rows;
        if (rows !== here) {
          const typed = document.createElement("form");
          typed.method = "post";
          typed.action = form.action;
          for (const [name, value] of data) {
            const input = document.createElement("input");
            input.type = "hidden";
            input.name = name;
            input.value = value;
            typed.append(input);
          }
          document.body.append(typed);
          typed.submit();
          return;
        }
        put(form, draft.fields);
        offer.remove();
      });
      form.prepend(offer);
    }
    form.addEventListener("input", () => keep(form));
    form.addEventListener("submit", async (event) => {
      keep(form);
      const button = event.submitter;
      if (!button || button.value !== "send") return;
      // A form that is sent twice is the same sheet; a connection that is gone is waited for.
      event.preventDefault();
      const data = new URLSearchParams(new FormData(form));
      data.set("do", "send");
      button.disabled = true;
      for (let wait = 1; ; wait = Math.min(wait * 2, 30)) {
        try {
          const answer = await fetch(form.action, { method: "POST", body: data });
          const text = await answer.text();
          if (answer.status === 403) {
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
          return;
        } catch {
          said(form, "not sent yet: no connection to the server, tried again in " + wait + " s");
          await new Promise((done) => setTimeout(done, wait * 1000));
        }
      }
    });
  }
})();
