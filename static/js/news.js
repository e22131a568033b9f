// A page in sight asks now and then whether anything is new; a phone in a pocket asks nothing.
(() => {
  const EVERY = 20000;
  const ask = () => {
    const list = document.getElementById("news");
    if (document.visibilityState === "visible" && list && !list.querySelector("details[open]")) htmx.trigger(list, "news");
  };
  setInterval(ask, EVERY);
  document.addEventListener("visibilitychange", ask);
})();
