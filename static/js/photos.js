// A photo of a wax: made small on the phone, kept there until the school has it, sent after its wax, once.
// The file of a page is what outbox.js and a page without a script send too; on a desk it is only made small.
(() => {
  const LONG = 1600, SEEN = 240;
  const box = document.getElementById("outbox"), words = box?.dataset, status = document.getElementById("photos");
  // What was chosen on this page: which wax it is of, and whether this phone could keep it.
  let chosen = null, newest = null, choosing = Promise.resolve(), said = "", timer, wait = 2000, busy = 0, sending = false, again = false;

  const field = () => document.querySelector("input[data-photo]");
  const apart = (form) => form?.matches("[data-photo-form]");
  const wax = (form) => apart(form) ? null : form.querySelector("[name=key]").value;
  const id = () => field() && (wax(field().form) || field().form.action);

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
  const waiting = () => store("readonly", (photos) => photos.getAll()).then((all) => all.filter((each) => each.student === words.student), () => []);
  // Only the one that was sent: another may have been chosen meanwhile.
  const drop = (photo) => store("readwrite", (photos) => {
    const request = photos.get(photo.id);
    request.onsuccess = () => request.result?.at === photo.at && photos.delete(photo.id);
    return request;
  }).then(() => true, () => false);

  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const queued = (key) => (read(`outbox:${words.student}`) || []).some((each) => each.key === key);
  // A photo goes after its wax: not while that is typed, in this tab or another, nor while it waits itself.
  const tooSoon = ({ wax }) => wax && (wax === id() || read(`draft:${words.student}:${wax}`) || queued(wax));

  async function drawn(file, long, canvas) {
    const picture = await createImageBitmap(file), less = Math.min(1, long / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * less));
    canvas.height = Math.max(1, Math.round(picture.height * less));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return canvas;
  }

  // Drawn anew it says nothing of where it was taken; what this phone cannot draw goes as it is, and the school says why not.
  async function smaller(file) {
    const canvas = await drawn(file, LONG, document.createElement("canvas"));
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    return new File([blob], "photo.jpg", { type: "image/jpeg" });
  }

  // The file in the box of this page, and to be seen above it; none empties both.
  async function show(file) {
    const input = field(), preview = input?.parentElement.querySelector("[data-preview]"), now = document.querySelector("[data-photo-now]");
    if (!input) return;
    const files = new DataTransfer();
    if (file) files.items.add(file);
    input.files = files.files;
    const seen = Boolean(file) && await drawn(file, SEEN, preview).then(() => true, () => false);
    preview.hidden = !seen;
    if (now) now.hidden = seen;
  }

  async function tell() {
    const n = box ? (await waiting()).filter((each) => each.wax !== id()).length : 0;
    if (status) status.textContent = [said, n && words.photosWait.replace("{n}", n)].filter(Boolean).join(" ");
  }

  async function choose(input) {
    const [file] = input.files, photo = { id: id(), wax: wax(input.form), url: input.form.action + (apart(input.form) ? "" : "photo/"), at: Date.now(), student: words?.student };
    said = "";
    newest = photo;
    const small = file && await smaller(file).catch(() => file);
    // Another was chosen before this one was small.
    if (newest !== photo) return;
    const now = { id: photo.id, file: small };
    chosen = now;
    if (box) {
      try {
        now.kept = await store("readwrite", (photos) => file ? photos.put({ ...photo, file: small }) : photos.delete(photo.id)).then(() => true);
      } catch {
        said = words.photoHere;
      }
    }
    if (id() === photo.id && newest === photo) await show(small);
    tell();
    if (now.kept && !photo.wax) send();
  }

  async function post(photo) {
    const body = new FormData();
    const values = { outbox: "1", csrfmiddlewaretoken: box.querySelector("[name=csrfmiddlewaretoken]").value, key: photo.wax || "", age_ms: Date.now() - photo.at };
    for (const [name, value] of Object.entries(values)) body.append(name, value);
    body.append("photo", photo.file, "photo.jpg");
    return fetch(photo.url, { method: "POST", body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout?.(60000) });
  }

  async function send() {
    if (!box || sending) {
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
        if (answer.ok) said = words.photoSent;
        else if (answer.status !== 404) said = await answer.text().catch(() => "");
        const dropped = await drop(photo);
        await choosing;
        if (dropped && answer.headers.get("Wax-Page") === location.pathname) return location.reload();
        if (document.getElementById("news")) window.htmx?.trigger("#news", "news");
        const of = new URL(photo.url).pathname.replace(/photo\/$/, "");
        navigator.serviceWorker?.controller?.postMessage({ stale: photo.wax ? [] : [of, `${of}tag/`], fresh: words.myWaxes });
      }
    }
    sending = false;
    await tell();
    wait = later ? Math.min(Math.max(wait * 2, busy), 120000) : 2000;
    if (later) timer = setTimeout(send, wait);
    return again && send();
  }

  // Back in the box after the page was loaded again, or another wax was put into the form.
  async function back() {
    const here = id();
    if (!here) return;
    const kept = chosen?.id === here ? chosen : await store("readonly", (photos) => photos.get(here)).catch(() => null);
    if (id() === here) await show(kept?.file);
  }

  // For outbox.js, before it sends a wax: its photo is kept by then, or comes along with it.
  window.waxPhoto = async () => {
    await choosing;
    return chosen && !chosen.kept && chosen.id === id() && !apart(field().form) ? chosen.file : null;
  };

  addEventListener("change", (event) => {
    if (event.target.matches("input[data-photo]")) choosing = choose(event.target);
  });
  // One that is kept here is on its way without the button.
  addEventListener("submit", (event) => {
    if (!apart(event.target) || event.submitter?.name || !chosen?.kept) return;
    event.preventDefault();
    send();
  });
  for (const name of ["wax-shown", "form-replaced"]) document.addEventListener(name, back);
  document.addEventListener("wax-sent", send);
  document.addEventListener("wax-kept", () => {
    if (chosen?.file && !chosen.kept) said = words.photoLost;
    chosen = null;
    send();
  });
  for (const name of ["pageshow", "online"]) addEventListener(name, send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  document.addEventListener("DOMContentLoaded", () => back().then(tell));
})();
