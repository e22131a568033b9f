// A PDF that takes a while: says at once that it is being made. Without this the button's answer is the PDF all the same.
(() => {
  for (const form of document.querySelectorAll("form[data-making]")) {
    const status = document.getElementById(form.dataset.making);
    form.addEventListener("submit", () => {
      status.hidden = false;
      status.textContent = status.dataset.said;
    });
    // Come back to from the PDF, the page may be as it was left.
    addEventListener("pageshow", () => { status.hidden = true; });
  }
})();
