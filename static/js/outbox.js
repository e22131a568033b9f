// A wax typed on weak Wi-Fi: the draft stays on the phone while it is typed, the wax until the
// school has said that it has it. The key in the form sees to it that it arrives once.
(() => {
  const box = document.getElementById("outbox");
  if (!box) return;
  const words = box.dataset;
  const status = box.querySelector("[role=status]");
  const QUEUE = `outbox:${words.student}`;
  const DRAFT = `draft:${words.student}`;
  // What the server reads as a number: digits, one comma or point at most, or inches with a fraction; perhaps a unit.
  const NUMBER = /^((?=[.,]?\d)\d{0,7}([.,]\d{0,6})?|(\d{1,3}[ -])?\d{1,2}\/\d{1,2})( ?[a-z]{1,3})?$/i;
  let wait = 2000, sending = false, note = "", timer;

  const uuid = () => crypto.randomUUID ? crypto.randomUUID() : "10000000-1000-4000-8000-100000000000".replace(/[018]/g,
    (digit) => (digit ^ (crypto.getRandomValues(new Uint8Array(1))[0] & (15 >> (digit / 4)))).toString(16));
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const write = (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } };
  const queue = () => read(QUEUE) || [];
  // Read afresh each time: another tab of this phone may have sent some meanwhile.
  const without = (key) => write(QUEUE, queue().filter((wax) => wax.key !== key));
  const change = (key, news) => write(QUEUE, queue().map((wax) => wax.key === key ? { ...wax, ...news } : wax));
  const form = () => document.querySelector("form[data-outbox]:not([data-change])");
  const key = () => form()?.querySelector("[name=key]");
  // The refused wax that stands in the form; what is typed then belongs to it, and the draft is left alone.
  const held = () => queue().find((wax) => wax.refused && wax.key === key()?.value);
  const typed = () => Object.fromEntries([...new FormData(form())].filter(([name]) => !["csrfmiddlewaretoken", "seen"].includes(name)));

  // These values alone in the form: nothing of what stood there before.
  function put(values) {
    for (const old of form().querySelectorAll("#_echo > *, .errors, .wrong, .status")) old.remove();
    for (const field of form().elements) {
      if (["radio", "checkbox"].includes(field.type)) field.checked = field.value === values[field.name];
      else if (field.name in values) field.value = values[field.name];
      else if (field.type === "text" || field.options?.[0].value === "") field.value = "";
    }
    if ("what" in values) form().dispatchEvent(new Event("input", { bubbles: true }));
  }

  // An empty form, or the draft that waited while something else stood in it.
  function giveBack() {
    history.replaceState(null, "", location.pathname + location.search);
    const draft = read(DRAFT);
    note = draft ? words.draft : "";
    put({ key: uuid(), ...draft });
  }

  function row(wax) {
    const made = box.querySelector("template").content.cloneNode(true);
    const [what, why, look, away] = made.querySelectorAll("b, span, a, button");
    what.textContent = wax.values.what;
    why.textContent = wax.why || "";
    look.href = `${wax.url}#fix-${wax.key}`;
    look.onclick = () => setTimeout(() => fix() && show());
    away.onclick = () => {
      without(wax.key);
      if (key()?.value === wax.key) giveBack();
      show();
    };
    return made;
  }

  function show() {
    const waxes = queue(), refused = waxes.filter((wax) => wax.refused);
    const counted = [[waxes.length - refused.length, words.waiting], [refused.length, words.refused]];
    const said = [note, ...counted.map(([n, text]) => n && text.replace("{n}", n))].filter(Boolean);
    status.className = said.length ? "status" : "hint";
    status.textContent = said.join(". ");
    box.querySelector("[data-list]").replaceChildren(...refused.map(row));
  }

  function fix() {
    const wax = queue().find((each) => each.refused && location.hash === `#fix-${each.key}`);
    if (!wax || form()?.action !== wax.url) return false;
    note = "";
    put(wax.values);
    return true;
  }

  async function post(url, values) {
    const body = new URLSearchParams({ ...values, outbox: "1", csrfmiddlewaretoken: box.querySelector("[name=csrfmiddlewaretoken]").value });
    const answer = await fetch(url, { method: "POST", body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout?.(15000) });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const errors = [...page.querySelectorAll(".errors li, main .empty, #_echo .wrong")].map((each) => each.textContent.trim());
    const later = answer.status >= 500 || [401, 403, 408, 429].includes(answer.status) || answer.type === "opaqueredirect";
    return { tag: answer.headers.has("Wax-Tag"), later, page, status: answer.status, why: errors.join(" ") };
  }

  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    let later = false;
    for (const wax of queue().filter((each) => !each.refused)) {
      const answer = await post(wax.url, { ...wax.values, later: "1" }).catch(() => null);
      if (answer?.tag) without(wax.key);
      else if (!answer || answer.later) later = true;
      else change(wax.key, { refused: answer.status, why: answer.why });
    }
    sending = false;
    show();
    wait = later ? Math.min(wait * 2, 120000) : 2000;
    if (later) timer = setTimeout(send, wait);
  }

  // What the school would send back at once: left out, or no number.
  function missing(values) {
    const lacking = [...form().querySelectorAll("input:not([type=hidden])")].filter((field) => {
      const text = (values[field.name] || "").normalize("NFKC").trim();
      if (text) return field.inputMode === "decimal" && !NUMBER.test(text);
      return field.required || (field.name === "base" && values.on_base === "yes");
    });
    const label = (field) => field.type === "radio" ? field.closest("fieldset").querySelector("legend") : field.labels[0];
    return [...new Set(lacking.map((field) => label(field).textContent.trim()))].join("; ");
  }

  function keep(url, values, mending) {
    const lacking = missing(values);
    if (lacking) note = words.missing.replace("{what}", lacking);
    else if (!write(QUEUE, [...queue().filter((wax) => wax.key !== values.key), { key: values.key, url, values }])) note = words.full;
    else {
      if (!mending) localStorage.removeItem(DRAFT);
      giveBack();
      timer = setTimeout(send, wait);
    }
    show();
    status.scrollIntoView();
  }

  async function handIn(event) {
    const target = event.target, button = target.querySelector("[type=submit]");
    if (target !== form()) return;
    event.preventDefault();
    if (button.disabled) return;
    button.disabled = true;
    const values = typed(), mending = held(), seen = { seen: target.querySelector("[name=seen]")?.value || "" };
    const answer = await post(target.action, { ...values, ...seen }).catch(() => null);
    button.disabled = false;
    if (answer?.tag) {
      if (mending) without(values.key);
      else localStorage.removeItem(DRAFT);
      location.assign(words.myWaxes);
    } else if (answer && !answer.later) {
      if (mending) change(values.key, { values, why: answer.why });
      else if (answer.status === 409) localStorage.removeItem(DRAFT);
      const mended = answer.page.querySelector("form[data-outbox]");
      if (mended) target.replaceWith(document.adoptNode(mended)); else location.reload();
      window.htmx?.process(document.body);
      note = "";
      show();
      document.querySelector("form[data-outbox] [autofocus]")?.focus();
    } else keep(target.action, { ...values, ...seen }, mending);
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

  for (const each of [handIn, leave]) addEventListener("submit", each);
  addEventListener("input", () => form() && (held() ? change(key().value, { values: typed() }) : write(DRAFT, typed())));
  for (const name of ["online", "pageshow"]) addEventListener(name, send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  if (!fix() && read(DRAFT) && form() && !form().querySelector(".errors")) giveBack();
  show();
})();
