// A tablet on the bench: a press counts from the moment it was pressed, also while the network is gone. It waits here,
// and the page goes on as if it had arrived. Clocks are reckoned from when a thing began and never counted.
(() => {
  const here = document.getElementById("here"), EVERY = 10000;
  if (!here) return;
  const words = here.dataset, QUEUE = `bench:${words.day}:${words.person}`;
  const status = here.querySelector("[role=status]"), list = here.querySelector("ul");
  const read = () => { try { return JSON.parse(localStorage.getItem(QUEUE)) || []; } catch { return []; } };
  const write = (queue) => { try { localStorage.setItem(QUEUE, JSON.stringify(queue)); return true; } catch { return false; } };
  const bench = () => document.getElementById("bench");
  let chosen = "", ahead = 0, asOf, offline = false, signedOut = false, full = false, sending = false, again = false, asking = false;

  // The school's clock, whatever this tablet's says.
  const now = () => Date.now() + ahead;
  const clock = (at) => at.toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: bench().dataset.zone });
  const span = (ms) => {
    const s = Math.max(0, Math.floor(ms / 1000)), two = (n) => String(n).padStart(2, "0");
    return s < 3600 ? `${Math.floor(s / 60)}:${two(s % 60)}` : `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
  };

  function tickClocks() {
    for (const one of document.querySelectorAll("[data-clock]")) one.textContent = clock(new Date(now()));
    for (const one of document.querySelectorAll("[data-since]")) one.textContent = span(now() - Date.parse(one.dataset.since));
    for (const one of document.querySelectorAll("[data-until]")) {
      const left = Date.parse(one.dataset.until) - now();
      one.textContent = left > 0 ? span(left + 999) : one.dataset.over;
    }
  }

  function show() {
    const queue = read(), said = [];
    if (offline) said.push(words.offline.replace("{time}", clock(asOf)));
    if (queue.length) said.push((signedOut ? words.signedOut : words.waits).replace("{n}", queue.length));
    if (full) said.push(words.full);
    status.hidden = !said.length;
    status.className = said.length ? "status" : "";
    const text = said.join(". ");
    if (status.textContent !== text) status.textContent = text;
    list.hidden = !queue.length;
    list.replaceChildren(...queue.map((one) => {
      const row = document.createElement("li"), name = document.createElement("span"), since = document.createElement("b"), undo = document.createElement("button");
      name.textContent = `${one.said} ${clock(new Date(one.values.at))}`;
      since.dataset.since = one.values.at;
      undo.textContent = words.undo;
      undo.className = "link";
      undo.type = "button";
      undo.onclick = () => { write(read().filter((each) => each.id !== one.id)); asIfSent(); fresh(); };
      row.append(name, " ", since, " ", undo);
      return row;
    }));
    tickClocks();
  }

  // What waits is shown as done; a flask whose turn is over gives its place to the next.
  function asIfSent() {
    const queue = read(), done = bench().dataset.turns, over = queue.filter(({ values }) => values.do === done && !values.undo).map(({ values }) => values.what);
    for (const one of document.querySelectorAll(".waits")) one.classList.remove("waits");
    for (const { values } of queue) document.getElementById(`tick-${values.do}-${values.what}`)?.classList.add("waits");
    const inHand = new URLSearchParams(location.search).get("flask");
    const turns = [...document.querySelectorAll("[data-turn]")], open = turns.filter((turn) => !over.includes(turn.dataset.turn));
    const next = open.find((turn) => turn.dataset.turn === inHand) ?? open[0];
    for (const turn of turns) turn.hidden = turn !== next;
    // Something goes wrong with the flask in front, unless another is chosen.
    if (next && !chosen) for (const one of document.querySelectorAll(".which input")) one.checked = one.value === next.dataset.turn;
    show();
  }

  // What a field holds that is not sent yet.
  const typed = () => [...bench().querySelectorAll("input[id]:not([type=file])")].filter((one) => one.value !== one.defaultValue);

  // What the school said of presses stands until the next is answered; why a day is shut, while it is.
  const answers = (page) => [...page.querySelectorAll("main > p.status[role]")];
  const shut = (page) => [...page.querySelectorAll("main > p.status:not([role])")];
  function replaced(old, by) {
    for (const one of old) one.remove();
    bench().before(...by);
  }

  // Of two kilns each is a page of its own: what is typed for one is not of the other.
  const isHere = (page) => page?.getElementById("bench")?.dataset.page === bench().dataset.page;
  function put(page) {
    const news = page.getElementById("bench"), old = bench();
    if (!news || !old) return false;
    const at = document.activeElement?.id, kept = isHere(page) ? typed().map(({ id, value }) => [id, value]) : [];
    const unfolded = [...old.querySelectorAll("details[open]")].map((one) => `#bench details.${[...one.classList].at(-1)}`);
    replaced(shut(document), shut(page));
    old.replaceWith(document.adoptNode(news));
    document.dispatchEvent(new Event("form-replaced"));
    for (const [id, value] of kept) { const one = document.getElementById(id); if (one) one.value = value; }
    if (chosen) { const one = document.getElementById(chosen); if (one) one.checked = true; else chosen = ""; }
    for (const one of unfolded) document.querySelector(one)?.setAttribute("open", "");
    if (at) document.getElementById(at)?.focus();
    ahead = Date.parse(bench().dataset.now) - Date.now();
    asOf = new Date(now());
    offline = false;
    asIfSent();
    return true;
  }

  // Somebody who types is not disturbed; a field that only has the focus keeps no page old.
  const busy = () => typed().includes(document.activeElement);

  async function fresh(asked = "") {
    if (asking) return;
    asking = true;
    const from = location.href;
    try {
      const address = new URL(from);
      if (asked) address.searchParams.set("version", asked);
      const answer = await fetch(address, { credentials: "same-origin", signal: AbortSignal.timeout?.(8000) });
      if (answer.status === 204) { asOf = new Date(now()); offline = false; show(); }
      else if (!busy() && location.href === from) {
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        if (!answer.ok || !put(page)) { offline = true; show(); }
        else if (answers(page).length) replaced(answers(document), answers(page));
      }
    } catch {
      offline = true;
      show();
    }
    asking = false;
    if (location.href !== from) fresh();
  }

  // In the order in which they were pressed; what the school refuses is told and waits no more.
  async function send() {
    if (sending) { again = true; return; }
    sending = true;
    const told = [];
    let page = null, met = "";
    for (const one of read()) {
      let answer;
      try {
        answer = await fetch(one.url, { method: "POST", body: new URLSearchParams({ ...one.values, csrfmiddlewaretoken: csrf() }), credentials: "same-origin", signal: AbortSignal.timeout?.(15000) });
      } catch {
        offline = true;
        break;
      }
      if (answer.status >= 500 || [401, 403, 408, 429].includes(answer.status) || new URL(answer.url).pathname.startsWith("/sign-in")) {
        signedOut = ![408, 429].includes(answer.status) && answer.status < 500;
        break;
      }
      signedOut = offline = false;
      write(read().filter((each) => each.id !== one.id));
      page = new DOMParser().parseFromString(await answer.text(), "text/html");
      told.push(...answers(page));
      if (one.values.met) met = one.values.met;
    }
    sending = false;
    // The network came back, or something was pressed, while this was under way.
    const more = again && read().length;
    again = false;
    if (page) replaced(answers(document), told);
    // A press that was made on another page of the day, and waited, is answered by that page.
    if (isHere(page)) {
      if (met) folded();
      put(page);
      if (met) document.getElementById("went-wrong")?.scrollIntoView();
    } else {
      asIfSent();
      if (page) fresh();
    }
    if (more) send();
  }

  // What went wrong is noted: its questions are folded away, and the next begins anew.
  function folded() {
    chosen = "";
    for (const one of document.querySelectorAll(".mishap, .mishap details")) one.removeAttribute("open");
  }

  addEventListener("change", (event) => { if (event.target.matches?.(".which input")) chosen = event.target.id; });

  const csrf = () => document.querySelector("[name=csrfmiddlewaretoken]")?.value || "";

  addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-press]")) return;
    event.preventDefault();
    const values = Object.fromEntries([...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken"));
    if (event.submitter?.name) values[event.submitter.name] = event.submitter.value;
    const id = Object.entries(values).filter(([name]) => name !== "seen").join(";");
    // Pressed twice while it waits, it waits once, with its first time.
    const queue = read();
    if (!queue.some((one) => one.id === id)) {
      full = !write([...queue, { id, url: form.action, said: [form.querySelector(".which :checked")?.dataset.said, event.submitter?.dataset.said || form.dataset.said, values.reads].filter(Boolean).join(" "), values: { ...values, at: new Date(now()).toISOString() } }]);
      if (full) {
        if (event.submitter?.name) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: event.submitter.name, value: event.submitter.value }));
        return form.submit();
      }
    }
    if (form.elements.reads) form.reset();
    asIfSent();
    send();
  });

  // Another flask or kiln without leaving: a page that cannot be had now would take this one away.
  addEventListener("click", (event) => {
    const link = event.target.closest?.("#bench a[href^='?']");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    history.replaceState(null, "", link.getAttribute("href"));
    asIfSent();
    fresh();
  });

  addEventListener("online", () => send().then(() => fresh()));
  document.addEventListener("visibilitychange", () => document.hidden || send());
  document.addEventListener("DOMContentLoaded", () => {
    ahead = Date.parse(bench().dataset.now) - Date.now();
    asOf = new Date(now());
    asIfSent();
    if (read().length) send();
    setInterval(tickClocks, 1000);
    setInterval(() => document.hidden || (read().length ? send() : fresh(bench()?.dataset.version)), EVERY);
  });
})();
