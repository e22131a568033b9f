// Photos: made small here, kept until the school has them, sent once; the photo of a wax goes after its wax.
// The file of a page is what outbox.js and a page without a script send too; where nothing waits it is only made small.
(() => {
  const LONG = 1600, SEEN = 240;
  const status = document.getElementById("photos"), words = status?.dataset;
  // By what it is of: what was chosen on this page and whether it could be kept here; the newest, small or not yet.
  const chosen = new Map(), newest = new Map(), making = new Set();
  let choosing = Promise.resolve(), said = "", timer, wait = 2000, busy = 0, sending = false, again = false;

  const fields = () => [...document.querySelectorAll("input[data-photo]")];
  const apart = (form) => form?.matches("[data-photo-form]");
  const wax = (form) => apart(form) ? null : form.querySelector("[name=key]").value;
  const idOf = (input) => wax(input.form) || input.form.action;
  const field = (id) => fields().find((input) => idOf(input) === id);
  const withWax = () => fields().find((input) => !apart(input.form));

  // What waits, by the key of its wax or by the address that takes it: too large for the store of texts.
  const store = (mode, ask) => new Promise((done, fail) => {
    const open = indexedDB.open("photos", 1);
    open.onupgradeneeded = () => open.result.createObjectStore("waiting", { keyPath: "id" });
    open.onerror = () => fail(open.error);
    open.onsuccess = () => {
      const asked = open.result.transaction("waiting", mode), request = ask(asked.objectStore("waiting"));
      const end = (go) => () => { open.result.close(); go(); };
      asked.oncomplete = end(() => done(request.result));
      asked.onabort = end(() => fail(asked.error));
    };
  });
  const waiting = () => store("readonly", (photos) => photos.getAll()).then((all) => all.filter((each) => each.owner === words.owner), () => []);
  // Only the one that was sent: another may have been chosen meanwhile.
  const drop = (photo) => store("readwrite", (photos) => {
    const request = photos.get(photo.id);
    request.onsuccess = () => request.result?.at === photo.at && photos.delete(photo.id);
    return request;
  }).then(() => true, () => false);

  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const queued = (key) => (read(`outbox:${words.owner}`) || []).some((each) => each.key === key);
  // A photo goes after its wax: not while that is typed, in this tab or another, nor while it waits itself.
  const tooSoon = ({ wax }) => wax && (field(wax) || read(`draft:${words.owner}:${wax}`) || queued(wax));

  async function drawn(file, long, canvas) {
    const picture = await createImageBitmap(file), less = Math.min(1, long / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * less));
    canvas.height = Math.max(1, Math.round(picture.height * less));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return canvas;
  }

  // Drawn anew it says nothing of where it was taken; what cannot be drawn here goes as it is, and the school says why not.
  async function smaller(file) {
    const canvas = await drawn(file, LONG, document.createElement("canvas"));
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    return new File([blob], "photo.jpg", { type: "image/jpeg" });
  }

  // The file in a box of this page, and to be seen above it; none empties both.
  async function show(input, file) {
    const preview = input.parentElement.querySelector("[data-preview]"), now = input.closest("[data-photo-of]")?.querySelector("[data-photo-now]");
    const files = new DataTransfer();
    if (file) files.items.add(file);
    input.files = files.files;
    const seen = Boolean(file) && await drawn(file, SEEN, preview).then(() => true, () => false);
    preview.hidden = !seen;
    if (now) now.hidden = seen;
  }

  async function tell() {
    const n = status ? (await waiting()).filter((each) => !each.wax || !field(each.wax)).length : 0;
    const text = [said, n && words.wait.replace("{n}", n)].filter(Boolean).join(" ");
    if (status && status.textContent !== text) status.textContent = text;
  }

  async function choose(input) {
    const [file] = input.files, id = idOf(input), of = wax(input.form);
    const photo = { id, wax: of, url: input.form.action + (of ? "photo/" : ""), at: Date.now(), owner: words?.owner };
    said = "";
    newest.set(id, photo);
    making.add(id);
    const small = file && await smaller(file).catch(() => file);
    // Another was chosen before this one was small.
    if (newest.get(id) !== photo) return;
    making.delete(id);
    const now = { wax: of, at: photo.at, file: small };
    chosen.set(id, now);
    if (status) {
      try {
        now.kept = await store("readwrite", (photos) => file ? photos.put({ ...photo, file: small }) : photos.delete(id)).then(() => true);
      } catch {
        said = words.here;
      }
    }
    const here = field(id);
    if (here && newest.get(id) === photo) await show(here, small);
    tell();
    if (now.kept && !of) send();
  }

  async function post(photo) {
    const body = new FormData();
    const values = { outbox: "1", csrfmiddlewaretoken: document.querySelector("[name=csrfmiddlewaretoken]")?.value || "", key: photo.wax || "", age_ms: Date.now() - photo.at };
    for (const [name, value] of Object.entries(values)) body.append(name, value);
    body.append("photo", photo.file, "photo.jpg");
    return fetch(photo.url, { method: "POST", body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout?.(60000) });
  }

  // The photo as the school has it, in place of the one that waited; whatever else is typed on the page stays.
  async function renew(id) {
    const answer = await fetch(location.href, { credentials: "same-origin" }).catch(() => null);
    const page = answer?.ok && new DOMParser().parseFromString(await answer.text(), "text/html");
    const at = (where) => [...where.querySelectorAll("[data-photo-of]")].find((each) => [null, each.querySelector("form").action].includes(id));
    if (!page || !at(page) || making.has(id)) return;
    at(document)?.replaceWith(document.adoptNode(at(page)));
    await back();
  }

  async function send() {
    if (!status || sending) {
      again = sending;
      return undefined;
    }
    sending = true;
    again = false;
    clearTimeout(timer);
    let later = false;
    for (const photo of (await waiting()).filter((each) => !tooSoon(each))) {
      const answer = await post(photo).catch(() => null);
      busy = 1000 * answer?.headers.get("Retry-After") || 0;
      if (!answer || answer.status >= 500 || [401, 403, 408, 429].includes(answer.status) || answer.type === "opaqueredirect") later = true;
      else {
        if (answer.ok) said = words.sent;
        else if (answer.status !== 404) said = await answer.text().catch(() => "");
        const dropped = await drop(photo);
        await choosing;
        if (chosen.get(photo.id)?.at === photo.at) chosen.delete(photo.id);
        const of = new URL(photo.url).pathname.replace(/photo\/$/, "");
        navigator.serviceWorker?.controller?.postMessage({ stale: photo.wax ? [] : [of, `${of}tag/`], fresh: words.myWaxes });
        if (dropped && field(photo.id)) await renew(photo.id);
        else if (dropped && answer.headers.get("Photo-Page") === location.pathname) await renew(null);
        if (document.getElementById("news")) window.htmx?.trigger("#news", "news");
      }
    }
    sending = false;
    await tell();
    wait = later ? Math.min(Math.max(wait * 2, busy), 120000) : 2000;
    if (later) timer = setTimeout(send, wait);
    return again && send();
  }

  // Back in its box after the page was loaded again, or another wax or another page was put here.
  async function back() {
    for (const input of fields()) {
      const id = idOf(input);
      const kept = chosen.get(id) ?? await store("readonly", (photos) => photos.get(id)).catch(() => null);
      if (input.isConnected && idOf(input) === id && !making.has(id)) await show(input, kept?.file);
    }
  }

  // For outbox.js, before it sends a wax: its photo is kept by then, or comes along with it.
  window.waxPhoto = async () => {
    await choosing;
    const input = withWax(), one = input && chosen.get(idOf(input));
    return one && !one.kept ? one.file : null;
  };

  addEventListener("change", (event) => {
    if (event.target.matches("input[data-photo]")) choosing = Promise.all([choosing, choose(event.target)]);
  });
  // One that is kept here is on its way without the button.
  addEventListener("submit", (event) => {
    if (!apart(event.target) || event.submitter?.name || !chosen.get(event.target.action)?.kept) return;
    event.preventDefault();
    send();
  });
  for (const name of ["wax-shown", "form-replaced"]) document.addEventListener(name, back);
  document.addEventListener("wax-sent", send);
  document.addEventListener("wax-kept", () => {
    for (const [id, one] of chosen) {
      if (one.file && !one.kept) said = words.lost;
      chosen.delete(id);
    }
    send();
  });
  for (const name of ["pageshow", "online"]) addEventListener(name, send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  document.addEventListener("DOMContentLoaded", () => back().then(tell));
})();
