// Proposes the browser's own time zone where none is chosen yet. Without this the list is there all the same.
(() => {
  const field = document.querySelector("input[list=zones]");
  if (!field || field.value) return;
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if ([...document.querySelectorAll("#zones option")].some((option) => option.value === zone)) field.value = zone;
})();
