// A link to a line in a fold opens the fold, also in browsers that do not do so by themselves.
function unfold() {
  const line = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const fold = line && line.closest("details:not([open])");
  if (fold) {
    fold.open = true;
    line.scrollIntoView();
  }
}
addEventListener("hashchange", unfold);
unfold();
