// A wax typed on weak Wi-Fi: the draft stays on the phone while it is typed, the wax until the
// school has said that it has it. The key in the form sees to it that it arrives once.
(() => {
  const box = document.getElementById("outbox");
  if (!box) return;
  const words = box.dataset;
  const status = box.querySelector("[role=status]");
  const QUEUE = `outbox:${words.student}`;
  const DRAFT = `draft:${words.student}`;
  const AGAIN = [401, 403, 408, 429];
  let wait = 2000;
  let sending = false;
  let timer;
  let restored = false;

  const uuid = () => crypto.randomUUID ? crypto.randomUUID() : "10000000-1000-4000-8000-100000000000".replace(/[018]/g,
    (digit) => (digit ^ (crypto.getRandomValues(new Uint8Array(1))[0] & (15 >> (digit / 4)))).toString(16));
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const write = (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } };
  const queue = () => read(QUEUE) || [];
  // Read afresh each time: another tab of this phone may have sent some meanwhile.
  const without = (key) => write(QUEUE, queue().filter((wax) => wax.key !== key));
  const form = () => document.querySelector("form[data-outbox]");
  const typed = () => Object.fromEntries([...new FormData(form())].filter(([name]) => !["csrfmiddlewaretoken", "seen"].includes(name)));

  function fill(values) {
    for (const [name, value] of Object.entries(values)) {
      for (const field of form().querySelectorAll(`[name="${name}"]`)) {
        if (["radio", "checkbox"].includes(field.type)) field.checked = field.value === value;
        else field.value = value;
      }
    }
    form().dispatchEvent(new Event("input", { bubbles: true }));
  }

  function show() {
    const waxes = queue();
    const refused = waxes.filter((wax) => wax.refused);
    const lines = [[waxes.length - refused.length, words.waiting], [refused.length, words.refused]];
    const said = lines.filter(([n]) => n).map(([n, text]) => text.replace("{n}", n));
    status.className = said.length ? "status" : "hint";
    status.textContent = (restored ? [words.draft, ...said] : said).join(". ");
    if (!refused.length) return;
    const look = document.createElement("a");
    look.href = `${words.handIn}#fix`;
    look.textContent = words.fix;
    status.append(" ", look);
    look.addEventListener("click", () => setTimeout(fix));
  }

  function fix() {
    const wax = queue().find((each) => each.refused);
    if (location.hash !== "#fix" || !wax || !form() || "change" in form().dataset) return;
    without(wax.key);
    fill(wax.values);
    show();
  }

  function post(url, values) {
    const body = new URLSearchParams({ ...values, outbox: "1", csrfmiddlewaretoken: box.querySelector("[name=csrfmiddlewaretoken]").value });
    return fetch(url, { method: "POST", body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout?.(15000) });
  }

  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    let later = false;
    for (const wax of queue().filter((each) => !each.refused)) {
      const answer = await post(wax.url, { ...wax.values, later: "1" }).catch(() => null);
      if (answer?.headers.has("Wax-Tag")) without(wax.key);
      else if (!answer || answer.status >= 500 || AGAIN.includes(answer.status) || answer.type === "opaqueredirect") later = true;
      else write(QUEUE, queue().map((each) => each.key === wax.key ? { ...each, refused: answer.status } : each));
    }
    sending = false;
    show();
    if (later) timer = setTimeout(send, wait = Math.min(wait * 2, 120000));
    else wait = 2000;
  }

  async function handIn(event) {
    const target = event.target;
    if (!target.matches("form[data-outbox]") || "change" in target.dataset) return;
    event.preventDefault();
    const button = target.querySelector("[type=submit]");
    if (button.disabled) return;
    button.disabled = true;
    const values = typed();
    const seen = target.querySelector("[name=seen]")?.value || "";
    const answer = await post(target.action, { ...values, seen }).catch(() => null);
    button.disabled = false;
    if (answer?.headers.has("Wax-Tag")) {
      localStorage.removeItem(DRAFT);
      location.assign(words.myWaxes);
    } else if (answer && answer.status < 500 && !AGAIN.includes(answer.status) && answer.type !== "opaqueredirect") {
      if (answer.status === 409) localStorage.removeItem(DRAFT);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const mended = page.querySelector("form[data-outbox]");
      if (mended) target.replaceWith(document.adoptNode(mended)); else location.reload();
      window.htmx?.process(document.body);
      document.querySelector("form[data-outbox] [autofocus]")?.focus();
    } else if (write(QUEUE, [...queue(), { key: values.key, url: target.action, values }])) {
      localStorage.removeItem(DRAFT);
      restored = false;
      for (const field of target.elements) {
        if (["radio", "checkbox"].includes(field.type)) field.checked = false;
        else if (field.type === "text") field.value = "";
      }
      target.querySelector("[name=key]").value = uuid();
      target.querySelector("[name=seen]")?.remove();
      show();
      status.scrollIntoView();
      timer = setTimeout(send, wait);
    } else status.textContent = words.full;
  }

  addEventListener("submit", handIn);
  addEventListener("input", () => form() && !("change" in form().dataset) && write(DRAFT, typed()));
  for (const name of ["online", "pageshow"]) addEventListener(name, send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  const draft = read(DRAFT);
  if (draft && form() && !("change" in form().dataset) && !form().querySelector(".errors")) {
    fill(draft);
    restored = true;
  }
  show();
  fix();
})();
