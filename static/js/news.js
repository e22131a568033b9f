// A page in sight asks now and then whether anything is new; a phone in a pocket asks nothing. What was unfolded stays so.
(() => {
  const EVERY = 20000;
  const ask = () => {
    const list = document.getElementById("news");
    if (document.visibilityState === "visible" && list) htmx.trigger(list, "news");
  };
  document.addEventListener("htmx:beforeSwap", ({ detail }) => {
    const open = [...document.querySelectorAll("#news details[open] > summary")].map((summary) => summary.id);
    detail.serverResponse = detail.serverResponse.replace(/<details(?=[^>]*><summary id="([^"]+)")/g, (tag, id) => open.includes(id) ? `${tag} open` : tag);
  });
  setInterval(ask, EVERY);
  document.addEventListener("visibilitychange", ask);
})();
