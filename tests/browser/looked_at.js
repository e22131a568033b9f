/* What is wrong with the page as it stands: each complaint a line. `width` is that of the screen. */
(width) => {
  const said = [], MOST = 6;
  const named = (one) => one.tagName.toLowerCase() + (one.id ? '#' + one.id : '') +
    (typeof one.className === 'string' && one.className ? '.' + one.className.trim().replaceAll(' ', '.') : '') +
    ' "' + (one.innerText || one.value || '').trim().slice(0, 30) + '"';
  const seen = (one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest('.hidden, .skip') && getComputedStyle(one).clipPath === 'none';
  const font = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const over = (one) => one.getBoundingClientRect().right > width + 1;
  const wide = document.documentElement.scrollWidth;
  if (wide > width) {
    said.push(`the page is ${wide} px wide on a screen of ${width}`);
  }
  for (const one of document.querySelectorAll('body *')) {
    if (!seen(one) || one.closest('svg')) continue;
    const box = one.getBoundingClientRect();
    const style = getComputedStyle(one);
    const rolls = one.closest('.scroll, .way, .who nav');
    if (over(one) && !rolls && box.width > 0 && ![...one.children].some(over)) said.push(`over the right edge: ${named(one)}`);
    if (one.matches('.scroll, .way, .who nav') && one.scrollWidth > one.clientWidth + 1 && width / font >= 48) {
      said.push(`scrolls sideways at ${width}: ${named(one)}`);
    }
    if (['hidden', 'clip'].includes(style.overflowX) && one.scrollWidth > one.clientWidth + 1 && !one.matches('input, select')) {
      said.push(`clipped: ${named(one)}`);
    }
    if (one.matches('button, .button, summary') && one.scrollHeight > one.clientHeight + 2) {
      said.push(`taller than its box: ${named(one)}`);
    }
  }
  return said.slice(0, MOST);
}
