// Copies a field for whoever presses the button; without this the field can be selected by hand.
for (const button of document.querySelectorAll("[data-copies]")) {
  const field = document.getElementById(button.dataset.copies);
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.select();
    try { await navigator.clipboard.writeText(field.value); } catch { document.execCommand("copy"); }
    button.textContent = button.dataset.said;
  });
}
