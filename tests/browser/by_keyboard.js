/* What a keyboard cannot do on this page: each complaint a line. A key was pressed before. */
() => {
  const said = [];
  const named = (one) => one.tagName.toLowerCase() + (one.id ? '#' + one.id : '') + ' "' +
    (one.innerText || one.value || one.name || '').trim().slice(0, 30) + '"';
  const seen = (one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest('.hidden');
  const drawn = (one) => {
    const style = getComputedStyle(one);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  };
  // In a drawing the thing itself is drawn bolder, in the ink of links.
  const inked = (one) => {
    const lines = one.closest('svg') ? [...one.querySelectorAll('*')].map((line) => getComputedStyle(line)) : [];
    return lines.map((line) => line.stroke + line.strokeWidth).join(' ');
  };
  for (const one of document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, summary, [onclick], [hx-get], [hx-post]')) {
    if (!seen(one) || one.disabled || one.matches('form, div, [hx-trigger]')) continue;
    if (one.tabIndex !== 0) {
      said.push(`not reached by Tab in its turn: ${named(one)}`);
      continue;
    }
    const before = inked(one);
    one.focus();
    if (document.activeElement !== one) said.push(`takes no focus: ${named(one)}`);
    else if (!drawn(one) && inked(one) === before) said.push(`its focus is not seen: ${named(one)}`);
  }
  for (const one of document.querySelectorAll('body, body *')) {
    const style = getComputedStyle(one);
    if (style.order !== '0' || /reverse/.test(style.flexDirection + style.flexWrap) || /dense/.test(style.gridAutoFlow)) {
      said.push(`is seen in another order than Tab goes: ${named(one)}`);
    }
  }
  return said;
}
