// Keeps what is typed until it is on record, and sends it when there is a connection again. Every
// page works without this file.
"use strict";
(() => {
  const person = document.querySelector(".who")?.dataset.person || "";
  const ours = "wearbook ";
  const mine = ours + person + " ";
  const OWN = "wearbook own";
  const skipped = new Set(["token", "do", "code"]);
  const today = new Date().toDateString();
  const hour = () => new Date().toTimeString().slice(0, 5);
  const page = location.pathname.slice(1);
  const main = document.querySelector("main");
  const key = (form) => mine + form.dataset.draft;

  // A day ends at midnight, for a night shift when nothing was touched for four hours.
  const NIGHT = 4 * 60 * 60 * 1000;
  const is_over = (it) => it.day !== today && !(Date.now() - it.touched < NIGHT);
  const stamped = (it) => ({ day: today, touched: Date.now(), at: hour(), ...it });

  const { say, made } = globalThis.words;
  const names = (begin) => Object.keys(localStorage).filter((it) => it.startsWith(begin));
  const kept = (name) => {
    try {
      return JSON.parse(localStorage.getItem(name) || "null");
    } catch {
      return null;
    }
  };
  const store = (name, what) => {
    try {
      localStorage.setItem(name, JSON.stringify(what));
      return true;
    } catch {
      return false;
    }
  };

  const is_typed = ([name, value]) => !skipped.has(name) && typeof value === "string";
  const read = (form) => [...new FormData(form)].filter(is_typed);
  const of = (fields, name) => (fields.find((it) => it[0] === name) || [])[1];
  const number_of = (fields) => of(fields, "sheet") || of(fields, "name") || of(fields, "at") || "";
  const waiting_name = (form, fields) =>
    mine + "waiting " + form.dataset.draft + " " + number_of(fields);

  const said = (form, words) => {
    let line = form.querySelector(".kept");
    if (!line) {
      line = made("p", "", { className: "kept" });
      line.setAttribute("role", "status");
      form.append(line);
    }
    line.textContent = words;
    return line;
  };

  const keep = (form) => {
    const is_kept = store(key(form), stamped({ fields: read(form) }));
    said(form, is_kept ? say("kept on this device {}", hour())
      : say("cannot be kept on this device: send it before you leave the page"));
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
    form.querySelectorAll("section").forEach(unfold);
  };

  // Who says that something is not good is asked what it is.
  const unfold = (section) => {
    const chosen = section.querySelector("input[type=radio][name$='.result']:checked");
    const words = section.querySelector("details");
    if (words && chosen && chosen.value !== "good") words.open = true;
  };

  // What is on record is a draft no more, and neither is what is of another day. What waits to be
  // sent stays until it is. Whoever signs out leaves nothing behind; a session that ended by itself
  // keeps its drafts.
  const sent = document.querySelector("[data-sent]");
  const forget = (gone) => {
    for (const name of names(ours)) {
      if (gone(name, kept(name))) localStorage.removeItem(name);
    }
  };
  // Another sheet that is open beside the one that was sent is still a draft.
  const is_sent = (name, draft) => {
    if (!sent || !name.startsWith(mine + page)) return false;
    const number = of(draft.fields || [], "sheet");
    return !number || number === sent.dataset.sent;
  };
  const waits = (it) => Boolean(it.to);
  forget((name, it) => !it || (!waits(it) && is_over(it)) || is_sent(name, it));

  const forget_pages = async () => {
    if (globalThis.caches) await caches.delete(OWN);
  };
  for (const form of document.querySelectorAll("form[action='/sign-out']")) {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const open = names(mine + "waiting ").length;
      const words = say(
        "{} not sent yet. Sign out, and delete what is not sent from this device?", open);
      if (open && !confirm(words)) return;
      forget(() => true);
      await forget_pages();
      form.elements.token.value = await session().catch(() => null) ?? form.elements.token.value;
      form.submit();
    });
  }

  const wait = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));
  const within = (seconds) => ({ cache: "no-store", signal: AbortSignal.timeout(seconds * 1000) });

  // What forms carry now; nothing where the session has ended, or is somebody else's.
  const session = async () => {
    const answer = await fetch("/token", within(15));
    if (answer.status >= 500) throw new Error("busy");
    if (!answer.ok || answer.redirected) return null;
    const it = await answer.json().catch(() => null);
    return it && it.person === person ? it.token : null;
  };

  // A form that is sent twice is the same sheet.
  const post = async (to, fields) => {
    const token = await session();
    if (!token) return [403, ""];
    const body = new URLSearchParams(fields.concat([["token", token], ["do", "send"]]));
    const answer = await fetch(to, { method: "POST", body, ...within(60) });
    if (answer.status >= 500 || answer.status === 408) throw new Error("busy");
    return [answer.status, await answer.text()];
  };

  // Asks until there is an answer, or nobody waits for one any more.
  const asked = async (form, ask, alone) => {
    for (let seconds = 1; form.isConnected; seconds = Math.min(seconds * 2, 30)) {
      try {
        return await ask();
      } catch {
        said(form, say(
          "not sent yet: no connection to the server; kept here, tried again in {} s", seconds));
        form.querySelector(".alone")?.removeAttribute("hidden");
        if (alone) alone(form);
        await wait(seconds);
      }
    }
    return null;
  };

  const sign_in_again = (line, to) => {
    line.textContent =
      say("The session has ended. What was typed is kept on this device:") + " ";
    line.append(made("a", say("sign in again"), { href: "/sign-in?to=" + encodeURIComponent(to) }));
  };

  // It waits on the device before it is sent, so that whoever closes the page loses nothing.
  const let_wait = (form) => {
    const fields = read(form);
    const name = waiting_name(form, fields);
    const title = form.dataset.title + " " + number_of(fields);
    const to = new URL(form.action).pathname;
    if (store(name, stamped({ fields, title, to }))) localStorage.removeItem(key(form));
    return name;
  };

  let sends = "";
  const send = async (form, button) => {
    const fields = read(form);
    const name = sends = let_wait(form);
    button.disabled = true;
    const answer = await asked(form, () => post(form.action, fields));
    if (!answer) return;
    const [status, text] = answer;
    sends = "";
    button.disabled = false;
    if (status === 403) {
      sign_in_again(said(form, ""), location.pathname);
      return;
    }
    localStorage.removeItem(name);
    if (status !== 200) store(key(form), stamped({ fields }));
    document.open();
    document.write(text);
    document.close();
  };

  // A page that would not come is not left for.
  const leave = async (form, button) => {
    const token = await asked(form, session, alone);
    if (!form.isConnected) return;
    if (!token) {
      sign_in_again(said(form, ""), location.pathname);
      return;
    }
    form.elements.token.value = token;
    form.dataset.left = "yes";
    form.requestSubmit(button);
    delete form.dataset.left;
  };

  // Nobody can check it now: it can wait as it stands.
  const alone = (form) => {
    if (form.querySelector(".unchecked") || !form.querySelector(".alone")) return;
    const words = say("Send it unchecked when there is a connection");
    const button = made("button", words, { type: "button", className: "big second unchecked" });
    button.addEventListener("click", () => {
      let_wait(form);
      form.remove();
      flush();
    });
    form.querySelector(".alone").after(button);
  };

  // A copy of what the server said stays readable that day.
  const copy = (of_main, of_sent, to) => {
    const it = stamped({ title: of_sent.innerText.trim(), words: of_main.innerText });
    store(mine + "sent " + to + " " + of_sent.dataset.sent, it);
  };
  const list_sent = () => {
    document.querySelector(".sent-today")?.remove();
    const copies = names(mine + "sent ").map(kept).filter(Boolean);
    if (page !== "" || !copies.length) return;
    const card = made("section", "", { className: "card sent-today" });
    card.append(made("h2", say("Sent today")));
    for (const it of copies.sort((a, b) => a.touched - b.touched)) {
      const one = document.createElement("details");
      one.append(made("summary", it.title + ", " + it.at), made("pre", it.words));
      card.append(one);
    }
    const first = main.querySelector(".card:not(.waiting)");
    if (first) first.before(card);
    else main.append(card);
  };

  // What waits is told at the top of every page and sent when there is a connection.
  const card = made("section", "", { className: "card waiting" });
  card.setAttribute("role", "status");
  const told = (name, words) => {
    if (!card.isConnected) main.prepend(card);
    let line = [...card.children].find((it) => it.dataset.of === name);
    if (!line) {
      line = made("div", "");
      line.dataset.of = name;
      card.append(line);
    }
    line.replaceChildren(made("p", words));
    return line;
  };
  const on_record = (name, it, text) => {
    const its = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    const line = told(name, say("Sent {}: {}", hour(), it.title));
    // It has to be on the page for its lines to be read as lines.
    const shown = document.importNode(its, true);
    shown.className = "away";
    line.append(shown);
    copy(shown, shown.querySelector("[data-sent]"), it.to.slice(1));
    shown.remove();
    its.querySelectorAll(".stop").forEach((stop) => line.append(document.importNode(stop, true)));
    localStorage.removeItem(name);
    list_sent();
  };
  const send_waiting = async (name, it) => {
    const [status, text] = await post(it.to, it.fields);
    if (status === 200) {
      on_record(name, it, text);
    } else if (status === 403) {
      const line = told(name, say("Not sent yet: {}.", it.title) + " ");
      const link = made("p", "");
      line.append(link);
      sign_in_again(link, location.pathname);
    } else {
      store(name, { ...it, refused: true });
      refused(name, it);
    }
  };
  const refused = (name, it) => {
    const line = told(name, say("Not taken, and nothing is written: {}.", it.title) + " ");
    const open = made("a", say("See what is wrong"), { href: it.to, className: "btn" });
    line.append(open);
  };
  let turn = 0;
  const flush = async () => {
    const now = ++turn;
    if (!main?.isConnected) return;
    for (const name of names(mine + "waiting ")) {
      const it = kept(name);
      if (!person || !it || name === sends || now !== turn) continue;
      if (it.refused) {
        refused(name, it);
        continue;
      }
      try {
        await send_waiting(name, it);
      } catch {
        told(name, say(
          "Not sent yet: {}, typed {}. It is sent by itself when there is a connection.",
          it.title, it.at));
        wait(10).then(() => now === turn && flush());
        return;
      }
    }
  };

  // The crew's own pages of the day, so that they open without a connection. Where the browser
  // keeps none, or does not trust the connection, that is said.
  const STALE = 10 * 60 * 1000;
  const keep_pages = async (pages, all) => {
    await navigator.serviceWorker.register("/worker.js");
    const cache = await caches.open(OWN);
    for (const path of pages) {
      const there = await cache.match(path);
      const age = Date.now() - Number(there?.headers.get("x-kept-ms") || 0);
      if (!all && age < STALE) continue;
      const answer = await fetch(path, { redirect: "error", ...within(30) });
      if (!answer.ok) continue;
      const headers = new Headers(answer.headers);
      headers.delete("content-length");
      for (const [name, value] of [
        ["for", person], ["day", today], ["at", hour()], ["ms", Date.now()],
      ]) headers.set("x-kept-" + name, value);
      await cache.put(path, new Response(await answer.blob(), { headers }));
    }
  };
  const look_after_pages = async () => {
    const place = document.querySelector("[data-keep]");
    if (globalThis.caches) {
      const cache = await caches.open(OWN);
      for (const it of await cache.keys()) {
        const { headers } = await cache.match(it);
        const touched = Number(headers.get("x-kept-ms"));
        const of_day = { day: headers.get("x-kept-day"), touched };
        const is_other = person && headers.get("x-kept-for") !== person;
        if (is_other || is_over(of_day)) await cache.delete(it);
      }
    }
    if (!place || main.dataset.kept) return;
    try {
      const pages = place.dataset.keep.split(" ").filter(Boolean);
      await keep_pages(pages, Boolean(sent));
      place.textContent = say("Without a connection these pages open too. They are kept on this "
        + "device until you sign out or the day ends.");
    } catch {
      place.textContent = say("Without a connection this page works only while it stays open.");
    }
  };

  // A page that was kept: its hour is not now, and its number may be used already.
  const of_kept = (form) => {
    if (!main.dataset.kept || !form) return;
    for (const now of form.querySelectorAll("input[name=when][value=now]")) {
      now.closest("label").remove();
    }
    const number = form.elements.sheet || form.elements.name;
    if (!number || !number.value) return;
    const to = new URL(form.action).pathname.slice(1);
    const is_used = localStorage.getItem(mine + "sent " + to + " " + number.value)
      || localStorage.getItem(waiting_name(form, read(form)));
    if (!is_used) return;
    if (form.elements.shift_start?.value) {
      form.replaceWith(made("p", say("The sheet of this shift was handed in on this device. A "
        + "further one needs a connection.")));
      return;
    }
    const digits = crypto.getRandomValues(new Uint8Array(12));
    number.value = number.value.replace(/[0-9a-f]+$/, (old) =>
      [...digits].map((it) => it.toString(16).padStart(2, "0")).join("").slice(0, old.length));
  };

  const offer = (form, words, then) => {
    const button = made("button", words, { type: "button", className: "big second" });
    button.addEventListener("click", () => {
      button.remove();
      then();
    });
    form.prepend(button);
  };

  const take_up = async (form, fields) => {
    // A draft may have more lines than the page: the server makes them.
    const here = form.elements.rows ? form.elements.rows.value : undefined;
    if (of(fields, "rows") === here) {
      put(form, fields);
      keep(form);
      said(form, say("what was typed before is here again"));
      return;
    }
    const token = await asked(form, session);
    const typed = document.createElement("form");
    typed.method = "post";
    typed.action = form.action;
    const more = [["token", token || form.elements.token.value], ["do", "again"]];
    for (const [name, value] of fields.concat(more)) {
      typed.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
    }
    document.body.append(typed);
    typed.submit();
  };

  const has_faults = document.querySelector("[role=alert]");
  const is_shown_again = document.querySelector("input[type=hidden][name=r1\\.end]");
  const take_over = (form) => {
    // What was scanned is newer than the draft.
    if (document.querySelector(".scanned")) return keep(form);
    const draft = kept(key(form));
    const same = draft && JSON.stringify(draft.fields) === JSON.stringify(read(form));
    if (sent || has_faults || is_shown_again) return;
    for (const name of names(mine + "waiting " + form.dataset.draft + " ")) {
      const it = kept(name);
      if (!it?.refused) continue;
      offer(form, say("Take up what was not taken: {}", it.title), () => {
        localStorage.removeItem(name);
        take_up(form, it.fields);
      });
    }
    if (!draft || same) return;
    // Whoever goes back to a form, or loads it again, is in the middle of it.
    const came = performance.getEntriesByType("navigation")[0]?.type;
    if (came === "back_forward" || came === "reload") {
      take_up(form, draft.fields);
    } else {
      offer(form, say("Take up what was typed before"), () => take_up(form, draft.fields));
    }
  };

  if (sent) copy(main, sent, page);
  list_sent();
  for (const form of document.querySelectorAll("form[data-draft]")) {
    of_kept(form);
    if (!form.isConnected) continue;
    take_over(form);
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
  if (main?.dataset.kept) {
    main.prepend(made("p",
      say("No connection. This page was kept on this device at {}.", main.dataset.kept), { className: "small" }));
  }
  const come_back = async () => {
    if (!main?.querySelector("[data-away]")) return;
    const back = await session().catch(() => undefined);
    if (back !== undefined) location.reload();
    else wait(5).then(come_back);
  };
  if (main?.dataset.kept) wait(5).then(come_back);
  addEventListener("online", () => { flush(); come_back(); });
  look_after_pages();
  flush();
})();
