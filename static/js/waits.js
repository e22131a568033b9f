// Whoever is to come back reads that something on this phone waits for it; outbox.js wrote it there.
(() => {
  const said = document.getElementById("waits");
  let n = 0;
  try {
    for (const name of Object.keys(localStorage).filter((each) => each.startsWith("outbox:"))) n += JSON.parse(localStorage.getItem(name)).filter((wax) => !wax.refused || wax.closed).length;
  } catch { /* blocked: nothing was kept */ }
  said.hidden = !n;
  if (n) said.textContent = n === 1 ? said.dataset.one : said.dataset.many.replace("{n}", n);
})();
