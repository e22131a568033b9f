// The hand-in page a station at a time: Enter goes on to what is not answered yet, Back goes back a station, and nothing
// typed is lost. Without this script the stations stand one below the other and the button hands in.

// The fields of a part of the form that the school would send back at once: left out, or no number.
const lackingIn = (part) => {
  // What the server reads as a number: digits, one comma or point at most, or inches with a fraction; perhaps a unit.
  const NUMBER = /^((?=[.,]?\d)\d{0,7}([.,]\d{0,6})?|(\d{1,3}[ -]+)?\d{1,3}\/\d{1,2})( ?[a-z]{1,3})?$/i;
  const values = Object.fromEntries(new FormData(part.closest("form"))), ring = Boolean(values.ring_size?.trim());
  return [...part.querySelectorAll("input:not([type=hidden], [type=file]), select")].filter((field) => {
    const text = (values[field.name] || "").normalize("NFKC").replace("\u2044", "/").trim();
    if (text) return field.inputMode === "decimal" && !NUMBER.test(text);
    if (/^(width|depth|height)_mm$/.test(field.name)) return !ring;
    if (/^(band|wall|sprue_long)_mm$/.test(field.name)) return ring;
    if (field.name === "section") return !values.thinnest_mm?.trim();
    return field.required || (field.name === "base" && values.on_base === "yes");
  });
};

(() => {
  const STATIONS = ["scale", "calipers", "what"];
  // What the school said last of answers that cannot be, by name; nothing once one of them is another.
  let known = {};
  // What is marked because it was left out or no number: the phone itself sees when it is right.
  let lacked = new Set();
  const form = () => document.querySelector("form.stations");
  const section = (name) => form().querySelector(`#${name}`);
  const here = () => form()?.dataset.at;
  const last = () => here() === STATIONS.at(-1);
  const boxOf = (field) => field.closest(".field");
  const marked = () => [...form().querySelectorAll(".field-wrong")];

  const count = () => form().querySelector("#_count");
  const answered = (field) => field.type !== "checkbox" && Boolean(form().elements[field.name].value.trim());

  // Fields of a station in the order of Enter: what can be typed, one radio of each choice.
  const fields = (name) => [...section(name).querySelectorAll("input:not([type=hidden], [name=shape], [type=file]), select")].filter((field) =>
    (field.checkVisibility?.() ?? field.offsetParent) && (field.type !== "radio" || field.checked || !form().elements[field.name].value));
  function show(name, focus) {
    if (!form()) return;
    form().dataset.at = name;
    if (focus) {
      scrollTo(0, 0);
      (section(name).querySelector(".field-wrong input, .field-wrong select") || fields(name)[0])?.focus({ preventScroll: true });
    }
  }

  function go(name) {
    history.pushState({ station: name }, "");
    show(name, true);
  }

  // A ring round what is wrong, with its sentence if one is known.
  function mark(box, sentence) {
    let said = box.querySelector(":scope > .wrong");
    if (!said) {
      said = box.querySelector(":scope > :is(input, select, .choices, .weight-in-unit)").insertAdjacentElement("beforebegin", document.createElement("p"));
      said.className = "wrong";
    }
    said.textContent = sentence || "";
    said.hidden = !sentence;
    box.classList.add("field-wrong");
    for (const field of box.querySelectorAll("input, select")) field.setAttribute("aria-invalid", "true");
  }

  function unmark(box) {
    for (const said of box.querySelectorAll(":scope > .wrong")) said.remove();
    box.classList.remove("field-wrong");
    for (const field of box.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  }

  // How many are missing or wrong, in the bar and in the title of the page.
  function tell(n, missing) {
    const { dataset } = form(), kind = missing ? "missing" : "wrong";
    const said = n && (n === 1 ? dataset[`${kind}One`] : dataset[`${kind}Many`].replace("{n}", n)) || "";
    if (count().textContent !== said) count().textContent = said;
    document.title = `${said} ${dataset.title}`.trim();
  }

  // Counted down as they are answered, with no alarm; once nothing is marked, nothing is counted.
  function recount() {
    const left = marked();
    if (!left.length || count().textContent) form().querySelector("#_wrong").textContent = "";
    count().setAttribute("role", "status");
    tell(left.length, left.every((box) => !answered(box.querySelector("input, select"))));
  }

  // What is being typed stays above the bar, however much that says.
  function above() {
    const field = document.activeElement, { top } = form().querySelector(".bar").getBoundingClientRect();
    if (field.closest(".station") && field.getBoundingClientRect().bottom > top) field.scrollIntoView({ block: "nearest" });
    // What scrolls is scrolled by the keyboard too.
    const said = form().querySelector(".said");
    said.scrollTop = 0;
    said.tabIndex = said.scrollHeight > said.clientHeight ? 0 : -1;
  }

  // Stay where an answer is missing or wrong: how many stands in the bar, the first of them is in focus.
  function holds(part) {
    const lacking = lackingIn(part), empty = (field) => field.type === "radio" || !field.value.trim();
    const wrong = [...part.querySelectorAll("input, select")].filter((field) => lacking.includes(field) || known[field.name]);
    const boxes = new Map(wrong.map((field) => [boxOf(field), field]));
    if (!boxes.size) return false;
    for (const [box, field] of boxes) mark(box, known[field.name] || (empty(field) && field.dataset.missing));
    lacked = new Set(lacking.map(boxOf));
    count().setAttribute("role", "alert");
    tell(boxes.size, wrong.every(empty));
    show(wrong[0].closest(".station").id);
    wrong[0].closest("details")?.setAttribute("open", "");
    wrong[0].focus({ preventScroll: true });
    boxOf(wrong[0]).scrollIntoView({ block: "center" });
    return true;
  }

  function begin() {
    if (!form() || form().dataset.at) return;
    known = {};
    lacked = new Set(lackingIn(form()).map(boxOf));
    const wrong = STATIONS.find((name) => section(name).querySelector(".field-wrong"));
    if (wrong) go(wrong); else show(form().elements.weight.value && history.state?.station || STATIONS[0]);
  }

  // Next, at a station that is not the last; at the last, what the phone itself sees is told without the school.
  addEventListener("submit", (event) => {
    if (event.target !== form() || event.submitter?.name === "key") return;
    const at = STATIONS.indexOf(here()), held = holds(last() ? form() : section(here()));
    if (last() && !held) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!held) go(STATIONS[at + 1]);
  }, true);
  addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !form()?.contains(event.target) || !event.target.matches("input, select")) return;
    const all = fields(here()), next = all.slice(all.indexOf(event.target) + 1).find((field) => field.name !== event.target.name && !answered(field));
    event.preventDefault();
    if (next) next.focus(); else form().requestSubmit();
  });
  addEventListener("input", (event) => {
    if (!form()?.contains(event.target)) return;
    known = {};
    const lacking = new Set(lackingIn(form()).map(boxOf));
    for (const box of marked()) if (lacked.has(box) && !lacking.has(box)) unmark(box);
    recount();
  });
  // A mark stays until the school has nothing against the figure, with what it says of it now.
  document.addEventListener("htmx:afterSwap", (event) => {
    const echo = form()?.querySelector("#_echo[data-wrong]");
    if (!echo || event.target.id !== "_echo") return;
    above();
    known = JSON.parse(echo.dataset.wrong);
    const lacking = new Set(lackingIn(form()).map(boxOf));
    for (const box of marked()) {
      const sentence = known[box.querySelector("input, select").name];
      if (sentence) mark(box, sentence);
      else if (!lacking.has(box)) unmark(box);
    }
    recount();
  });
  // Without an answer the bar says nothing rather than what was understood of other figures.
  for (const failed of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) document.addEventListener(failed, ({ target }) => {
    if (target.matches?.("form.stations > .bar")) for (const said of form().querySelectorAll("#_echo, .takes")) said.replaceChildren();
  });
  // A base that was remembered is not in the way of a wax that was weighed alone, nor of a numbered base.
  addEventListener("change", ({ target }) => {
    if (target.name !== "on_base" || !form()?.contains(target)) return;
    const { base } = form().elements, waits = base.dataset.waits || "";
    if (target.value === "yes") base.value ||= waits;
    else [base.dataset.waits, base.value] = [base.value || waits, ""];
  });
  // Whoever opens the question about stones answers it: "no stones" stands there only while nobody has asked.
  addEventListener("click", (event) => {
    const fold = event.target.closest?.("summary")?.parentElement, none = fold?.querySelector("[name=stones][value=none]");
    if (none && (!fold.open || !form().elements.stones.value)) none.checked = fold.open;
  });
  addEventListener("popstate", (event) => form() && show(event.state?.station || STATIONS[0], true));
  document.addEventListener("form-replaced", begin);
  for (const gone of ["wax-kept", "wax-gone"]) document.addEventListener(gone, () => show(STATIONS[0]));
  begin();
})();
