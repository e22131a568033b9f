// The hand-in page a station at a time: Enter goes on to the next field, Back goes back a station, and nothing typed is
// lost. Without this script the stations stand one below the other and the button hands in.
(() => {
  const STATIONS = ["scale", "calipers", "what"];
  const form = () => document.querySelector("form.stations");
  const section = (name) => form().querySelector(`#${name}`);
  const here = () => form()?.dataset.at;
  const last = () => here() === STATIONS.at(-1);

  // Fields of a station in the order of Enter: what can be typed, one radio of each choice.
  const fields = (name) => [...section(name).querySelectorAll("input:not([type=hidden]), select")].filter((field) =>
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

  function begin() {
    if (!form() || form().dataset.at) return;
    const wrong = STATIONS.find((name) => section(name).querySelector(".field-wrong"));
    if (wrong) go(wrong); else show(form().elements.weight.value && history.state?.station || STATIONS[0]);
  }

  // Next, at a station that is not the last; what was left out is asked for by the school at the end.
  addEventListener("submit", (event) => {
    if (event.target !== form() || last() || event.submitter?.name === "key") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    go(STATIONS[STATIONS.indexOf(here()) + 1]);
  }, true);
  addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !form()?.contains(event.target) || !event.target.matches("input, select")) return;
    const all = fields(here()), next = all[all.indexOf(event.target) + 1];
    event.preventDefault();
    if (next) next.focus(); else form().requestSubmit();
  });
  addEventListener("popstate", (event) => form() && show(event.state?.station || STATIONS[0], true));
  document.addEventListener("form-replaced", begin);
  document.addEventListener("wax-kept", () => show(STATIONS[0]));
  begin();
})();
