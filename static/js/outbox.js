// A wax typed on weak Wi-Fi: the draft stays on the phone while it is typed, the wax until the
// school has said that it has it. The key in the form sees to it that it arrives once. A change of a
// wax or its withdrawal waits too, with the version that was looked at: the last wish for a wax counts.
(() => {
  const box = document.getElementById("outbox");
  if (!box) return;
  const words = box.dataset;
  const status = box.querySelector("[role=status]"), back = box.querySelector("[data-back]");
  const QUEUE = `outbox:${words.student}`;
  const SENT = `sent:${words.student}`;
  const DRAFTS = `draft:${words.student}:`;
  // What stays the same from one wax to the next.
  const BENCH = ["pattern", "alloy", "unit", "on_base", "base", "shape"];
  // What those that wait are told to wait for: their turn, Wi-Fi, the school's answer, or the return code.
  let wait = 2000, sending = false, waitsFor = navigator.onLine ? "going" : "waiting", note = "", timer;
  // How long a busy school asks to be left alone, in ms.
  let busy = 0;
  // What was thrown away while this page is open, each with the way back.
  let thrown = [];
  // Full or blocked, as in a private window of some browsers: what is typed, and what waits, is then on this page alone.
  let keepsNothing = false, here = [];
  // What the school took by itself, until the next save or page: it was seen then.
  let told = [];
  // When this page was kept, if it comes from the phone and not from the school.
  let keptAt = document.body.dataset.keptAt;

  const uuid = () => crypto.randomUUID ? crypto.randomUUID() : "10000000-1000-4000-8000-100000000000".replace(/[018]/g,
    (digit) => (digit ^ (crypto.getRandomValues(new Uint8Array(1))[0] & (15 >> (digit / 4)))).toString(16));
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const write = (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } };
  // Read afresh each time: another tab of this phone may have sent some meanwhile.
  const kept = () => read(QUEUE) || [];
  const queue = () => [...kept(), ...here];
  const without = (...keys) => {
    const others = (wax) => !keys.includes(wax.key);
    here = here.filter(others);
    write(QUEUE, kept().filter(others));
  };
  const change = (key, news) => {
    const changed = (wax) => wax.key === key ? { ...wax, ...news } : wax;
    here = here.map(changed);
    write(QUEUE, kept().map(changed));
  };
  const form = () => document.querySelector("form[data-outbox]");
  const changes = () => Boolean(form()?.matches("[data-change]"));
  const key = () => changes() ? null : form()?.querySelector("[name=key]");
  // The address of the wax that a change or a withdrawal is about; a new wax has none yet.
  const waxOf = (url) => new URL(url, location).pathname.replace(/[a-z-]+\/$/, "");
  const onForm = (wax) => !wax.verb || wax.verb === "change";
  const waits = (wax) => !wax.refused || wax.closed;
  const inForm = (wax) => changes() ? wax.verb === "change" && wax.of === waxOf(form().action) : wax.key === key()?.value;
  // The refused wax that stands in the form; what is typed then belongs to it, and the draft is left alone.
  const held = () => queue().find((wax) => wax.refused && inForm(wax));
  // A draft belongs to one wax: this tab knows which by the key in its form, another tab has another key.
  const draftOf = (of) => read(DRAFTS + of);
  const drop = (of) => { try { localStorage.removeItem(DRAFTS + of); } catch { /* then nothing was kept */ } };
  const drafts = () => { try { return Object.keys(localStorage).filter((name) => name.startsWith(DRAFTS)).map(read); } catch { return []; } };
  const tab = (of) => { try { if (of) sessionStorage.setItem(DRAFTS, of); return sessionStorage.getItem(DRAFTS); } catch { return null; } };
  const typed = () => Object.fromEntries([...new FormData(form())].filter(([name]) => !["csrfmiddlewaretoken", "seen", "photo"].includes(name)));

  // These values alone in the form: nothing of what stood there before.
  function put(values) {
    for (const old of form().querySelectorAll("#_echo > *, .errors, .wrong:not(#_count), .status")) old.remove();
    // Nor of what the school understood of it.
    for (const said of form().querySelectorAll(".takes, #_advice, #_letters")) said.replaceChildren();
    if (!changes()) form().querySelector("#_verb").textContent = form().dataset.handIn;
    for (const field of form().elements) {
      if (["radio", "checkbox"].includes(field.type)) field.checked = field.value === values[field.name];
      else if (field.name in values) field.value = values[field.name];
      else if (field.type === "text" || field.options?.[0].value === "") field.value = "";
    }
    // What was answered under a fold is seen; so is the question about stones, if it was opened and not answered.
    const answers = ({ name }) => name === "stones" ? values.stones !== "none" : name !== "ring_scale" && values[name];
    for (const fold of form().querySelectorAll("details")) fold.open = [...fold.querySelectorAll("input, select")].some(answers);
    document.dispatchEvent(new Event("wax-shown"));
    if ("what" in values) form().dispatchEvent(new Event("input", { bubbles: true }));
  }

  // An empty form, or the draft of this tab that waited while something else stood in it.
  function giveBack(before = {}) {
    history.replaceState(history.state, "", location.pathname + location.search);
    const draft = tab() && draftOf(tab());
    note = draft ? words.draft : "";
    const same = BENCH.filter((name) => name in before).map((name) => [name, before[name]]);
    put({ key: uuid(), ...draft ? {} : { stones: "none" }, ...Object.fromEntries(same), ...draft });
  }

  // A row of the list: what it is, why it is there, a link that leads on, a button that does away with it.
  function row(what, why, lead, leads, away) {
    const made = box.querySelector("template").content.cloneNode(true);
    const [name, reason, link, button] = made.querySelectorAll("b, span, a, button");
    name.textContent = what;
    reason.textContent = why;
    [link.textContent, link.href] = lead;
    link.onclick = leads;
    link.hidden = !lead[0];
    button.onclick = () => { away(); show(); };
    return made;
  }

  const thrownRow = (one) => {
    const made = row(one.what, words.thrown, ["", location.href], null, () => { thrown = thrown.filter((each) => each !== one); one.undo(); });
    made.querySelector("button").textContent = words.undo;
    return made;
  };

  const leads = (wax) => [wax.closed || !onForm(wax) ? "" : words.look, `${wax.url}#fix-${wax.key}`];
  const refusedRow = (wax) => row(wax.what || wax.values.what, wax.why || "", leads(wax), () => setTimeout(() => fix() && show()), () => {
    const stands = inForm(wax);
    without(wax.key);
    thrown.push({ what: wax.what || wax.values.what, undo: () => add(wax) });
    if (stands && !changes()) giveBack();
  });

  // What was begun elsewhere on this phone and is in no form now.
  function begunRow(draft) {
    const what = draft.what || `${draft.weight} ${draft.unit}`;
    const made = row(what, words.begun, [words.goOn, location.href], (event) => {
      event.preventDefault();
      tab(draft.key);
      giveBack();
      show();
    }, () => {
      drop(draft.key);
      thrown.push({ what, undo: () => write(DRAFTS + draft.key, draft) });
    });
    made.firstElementChild.classList.add("begun");
    return made;
  }

  // Kept on the phone, or at least on this page.
  function add(wax) {
    without(...queue().filter((each) => each.key === wax.key || wax.of && each.of === wax.of).map((each) => each.key));
    const stays = write(QUEUE, [...kept(), wax]);
    if (!stays) here.push(wax);
    return stays;
  }

  const moment = (at) => at.toLocaleString(document.documentElement.lang, {
    hour: "2-digit", minute: "2-digit", hourCycle: "h23", ...at.toDateString() === new Date().toDateString() ? {} : { weekday: "short", day: "numeric", month: "short" },
  });

  // What was sent is forgotten once it has stood before somebody's eyes with its tag; a kept list makes way for the new one.
  function seen() {
    const { top, bottom } = status.getBoundingClientRect();
    if ((form() || !keptAt) && !document.hidden && bottom > 0 && top < innerHeight && read(SENT)?.length) write(SENT, []);
  }

  function show() {
    const waxes = queue(), refused = waxes.filter((wax) => wax.refused), closed = refused.filter((wax) => wax.closed);
    const n = kept().filter((wax) => !wax.refused).length, out = waitsFor === "signedOut" && waxes.some((wax) => !wax.refused);
    const counted = [[n, words[waitsFor]], [refused.length - closed.length, words.refused], [closed.length, words.closed]];
    const asOf = keptAt && words.kept.replace("{time}", moment(new Date(keptAt)));
    const stay = here.some(waits) ? words[out ? "fullSignedOut" : "full"] : keepsNothing ? words.forgets : note;
    told.push(...(read(SENT) || []).filter((wax) => !told.some((one) => one.at === wax.at)));
    const said = [asOf, stay, ...counted.map(([many, text]) => many && text.replace("{n}", many)),
      ...told.map((wax) => words[wax.verb || "sent"].replace("{what}", wax.what).replace("{tag}", wax.tag))].filter(Boolean);
    back.hidden = !out;
    back.firstElementChild.target = here.length ? "_blank" : "";
    status.className = said.length ? "status" : "hint";
    // Plain http has no worker: said where nothing else is, since all the rest works.
    status.textContent = said.join(". ") || (form() && !navigator.serviceWorker ? words.plain : "");
    const begun = key() ? drafts().filter((draft) => draft && ![key()?.value, tab()].includes(draft.key) && (draft.what || draft.weight)) : [];
    box.querySelector("[data-list]").replaceChildren(...refused.map(refusedRow), ...begun.map(begunRow), ...thrown.map(thrownRow));
    for (const each of document.querySelectorAll("form[data-verb] [type=submit]")) each.disabled = waxes.some((wax) => !wax.refused && wax.url === each.form.action);
    seen();
  }

  function fix() {
    const wax = queue().find((each) => each.refused && location.hash === `#fix-${each.key}`);
    if (!wax || form()?.action !== wax.url) return false;
    note = "";
    put(wax.values);
    return true;
  }

  const news = () => document.getElementById("news") && window.htmx?.trigger("#news", "news");

  // The worker that keeps this student's pages for a phone without Wi-Fi; plain http has none, and nothing is promised.
  const tell = (what) => navigator.serviceWorker?.controller?.postMessage(what);

  function keepPages() {
    if (!navigator.serviceWorker) return;
    const first = !navigator.serviceWorker.controller;
    navigator.serviceWorker.register(words.worker).then(() => navigator.serviceWorker.ready).then((ready) => first && ready.active.postMessage({ fresh: location.pathname })).catch(() => null);
  }

  // A photo that this phone could not keep comes along with its wax; any other is sent after it, by photos.js.
  async function post(url, values, photo) {
    const all = { ...values, outbox: "1", csrfmiddlewaretoken: box.querySelector("[name=csrfmiddlewaretoken]").value };
    const body = photo ? new FormData() : new URLSearchParams(all);
    if (photo) for (const [name, value] of Object.entries({ ...all, photo })) body.append(name, value);
    const answer = await fetch(url, { method: "POST", body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout?.(15000) });
    const text = await answer.text(), page = new DOMParser().parseFromString(text.replace(/<style.*?<\/style>/gs, ""), "text/html");
    const errors = answer.headers.get("Content-Type")?.startsWith("text/plain") ? [text] : [...page.querySelectorAll(".errors p, .field p.wrong, main .empty, #_echo .wrong")].map((each) => each.textContent.trim());
    const later = answer.status >= 500 || [401, 403, 408, 429].includes(answer.status) || answer.type === "opaqueredirect";
    if (later) waitsFor = answer.status >= 500 || [408, 429].includes(answer.status) ? "later" : "signedOut";
    busy = later && 1000 * answer.headers.get("Retry-After") || 0;
    return { tag: answer.headers.get("Wax-Tag"), goes: answer.headers.get("Wax-Page"), version: answer.headers.get("Wax-Version"), later, page, status: answer.status, why: errors.join(" ") };
  }

  // Hand-in was closed meanwhile: the page has no form. What was typed stays here and is sent again, in case it opens.
  const closes = (answer) => !answer.page.querySelector("form[data-outbox]");

  const inReach = () => fetch(words.worker, { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout?.(15000) }).then((answer) => answer.ok).catch(() => false);

  // The school's answer, or none while it is out of reach.
  const reach = (url, values, photo) => post(url, values, photo).catch(() => { waitsFor = "waiting"; return null; });

  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    let later = false, sent = false;
    for (const wax of queue().filter(waits)) {
      // What waits on this page alone still stands in its form, with its photo, unless it is being changed.
      const stands = () => !changes() && inForm(wax) && here.some((each) => each.key === wax.key);
      const answer = await reach(wax.url, { ...wax.values, later: "1" }, stands() && await window.waxPhoto?.());
      if (answer?.tag) {
        const stood = stands(), one = { what: wax.what || wax.values.what, tag: answer.tag, verb: wax.verb, at: uuid() };
        without(wax.key);
        note = "";
        if (!write(SENT, [...(read(SENT) || []), one])) told.push(one);
        if (inForm(wax) && answer.version) form().elements.version.value = answer.version;
        if (stood) {
          giveBack(wax.values);
          document.dispatchEvent(new Event("wax-gone"));
        }
        if (wax.of) tell({ stale: [wax.of, `${wax.of}tag/`] });
        sent = true;
      } else if (!answer || answer.later) later = true;
      else change(wax.key, { refused: answer.status, why: answer.why, closed: onForm(wax) && closes(answer) });
    }
    sending = false;
    if (sent) {
      tell({ fresh: words.myWaxes });
      news();
      document.dispatchEvent(new Event("wax-sent"));
    }
    // Once all is sent, a list from the phone is fetched anew; a form stays as it is typed.
    if (keptAt && !later) {
      if (await inReach()) {
        if (!form()) return location.reload();
        keptAt = "";
      } else later = !document.hidden;
    }
    show();
    wait = later ? Math.min(Math.max(wait * 2, busy), 120000) : 2000;
    clearTimeout(timer);
    if (later) timer = setTimeout(send, wait);
    return undefined;
  }

  function keep(url, values, mending) {
    const wish = changes() ? { key: mending?.key || uuid(), of: waxOf(url), verb: "change" } : { key: values.key };
    note = "";
    told = [];
    if (add({ ...wish, url, values }) && !changes()) {
      if (!mending) drop(values.key);
      giveBack(values);
      document.dispatchEvent(new Event("wax-kept"));
    }
    timer = setTimeout(send, Math.max(wait, busy));
    show();
    status.scrollIntoView();
  }

  // What is typed, as another wax: its draft, and what waits to be mended, go on under the new key.
  function rename(another) {
    const mending = held();
    drop(key().value);
    if (mending) change(mending.key, { key: another });
    key().value = another;
    if (!mending) write(DRAFTS + tab(another), typed());
  }

  async function handIn(event) {
    const target = event.target, button = target.querySelector(".bar [type=submit]");
    if (target !== form()) return;
    event.preventDefault();
    if (button.disabled) return;
    const verb = button.innerHTML;
    button.disabled = true;
    button.textContent = target.dataset.sending;
    here = here.filter((wax) => wax.refused || !inForm(wax));
    const photo = await window.waxPhoto?.();
    if (event.submitter?.name === "key") rename(event.submitter.value);
    const values = typed(), mending = held(), seen = { seen: target.querySelector("[name=seen]")?.value || "" };
    const answer = await reach(target.action, { ...values, ...seen }, photo);
    button.disabled = false;
    button.innerHTML = verb;
    if (answer?.tag) {
      if (mending) without(mending.key);
      if (changes()) without(...queue().filter(inForm).map((wax) => wax.key));
      else drop(values.key);
      tell({ stale: [waxOf(target.action), answer.goes] });
      location.assign(answer.goes);
    } else if (answer && !answer.later) {
      if (mending) change(mending.key, { values, why: answer.why });
      else if (!changes() && answer.status === 409 && closes(answer) && add({ key: values.key, url: target.action, values, refused: 409, why: answer.why, closed: true })) drop(values.key);
      take(target, answer.page);
      note = "";
      show();
    } else keep(target.action, { ...values, ...seen }, mending);
  }

  // What the school says of it: a question in the bar, or the whole form with what is wrong.
  function take(target, page) {
    const mended = page.querySelector("form[data-outbox]");
    if (!mended) return location.reload();
    document.title = page.title;
    if (!mended.querySelector(".errors") && !mended.querySelector(":scope > .status")) {
      for (const part of ["#_echo", "#_verb"]) target.querySelector(part).replaceWith(document.adoptNode(mended.querySelector(part)));
      return undefined;
    }
    target.replaceWith(document.adoptNode(mended));
    window.htmx?.process(document.body);
    document.dispatchEvent(new Event("form-replaced"));
    const first = form().querySelector("[autofocus]") || form().querySelector(".errors");
    first?.focus();
    return first?.scrollIntoView({ block: "center" });
  }

  // Withdrawn, or handed in again: at once where the school is in reach, later where it is not.
  async function wish(event) {
    const target = event.target, { verb, what } = target.dataset;
    if (!verb) return;
    event.preventDefault();
    const button = event.submitter || target.querySelector("[type=submit]");
    button.disabled = true;
    const url = target.action, values = { version: target.elements.version.value };
    const answer = await reach(url, values);
    if (answer && !answer.later) {
      tell({ stale: [waxOf(url), `${waxOf(url)}tag/`] });
      if (answer.tag) without(...queue().filter((each) => each.of === waxOf(url)).map((wax) => wax.key));
      if (answer.tag || !answer.why) return location.assign(words.myWaxes);
      note = answer.why;
      news();
    } else {
      add({ key: uuid(), of: waxOf(url), verb, what, url, values });
      timer = setTimeout(send, Math.max(wait, busy));
    }
    button.disabled = false;
    show();
    return status.scrollIntoView();
  }

  // Leaving takes a second press while a wax is still here.
  function leave(event) {
    const n = queue().length, button = event.target.querySelector("[type=submit]");
    if (event.target.getAttribute("action") !== words.leave || !n || button.textContent === words.leaveAll) return;
    event.preventDefault();
    button.textContent = words.leaveAll;
    note = n === 1 ? words.unsent : words.unsentMany.replace("{n}", n);
    show();
  }

  for (const each of [handIn, wish, leave]) addEventListener("submit", each);
  addEventListener("input", () => {
    if (!form()) return;
    // What is changed while it waits on this page alone is handed in by its button again.
    const n = here.length;
    here = here.filter((wax) => wax.refused || !inForm(wax));
    if (n > here.length) show();
    if (held()) change(held().key, { values: typed() });
    else if (key()) {
      const kept = write(DRAFTS + tab(key().value), typed());
      if (kept === keepsNothing) {
        keepsNothing = !kept;
        show();
      }
    }
  });
  addEventListener("pageshow", send);
  addEventListener("online", () => {
    wait = 2000;
    send();
  });
  document.addEventListener("visibilitychange", () => document.hidden || send());
  document.addEventListener("htmx:afterSwap", (event) => event.target.id === "news" && (show(), tell({ fresh: words.myWaxes })));
  // Once htmx listens: what is put into the form asks the school what it understands.
  document.addEventListener("DOMContentLoaded", () => {
    keepPages();
    // What the school said when the page was kept is over, and its key may be used.
    if (keptAt) for (const said of document.querySelectorAll("main > p.status[role=status]")) said.remove();
    if (keptAt && key()) key().value = uuid();
    const waiting = changes() && queue().find((wax) => !wax.refused && inForm(wax));
    const fixed = fix();
    if (!fixed && waiting) put(waiting.values);
    else if (!fixed && key() && tab() && draftOf(tab()) && form() && !form().querySelector(".errors") && !location.search.includes("like=")) giveBack();
    show();
  });
})();
