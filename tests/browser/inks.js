/* Marks one text of each ink that is not known yet (a line each), for axe-core's contrast: of texts that lie in like elements, painted
   alike, one tells for all, on this page and on any other. What stands out of the flow may lie over anything, so each of
   it is marked. Returns the inks that it marked. */
(known) => {
  const ways = new Map(), marked = new Set(known.split('\n')), found = [];
  let apart = 0;
  const short = (text) => { // cyrb53
    let high = 0xdeadbeef, low = 0x41c6ce57;
    for (let at = 0; at < text.length; at += 1) {
      high = Math.imul(high ^ text.charCodeAt(at), 2654435761);
      low = Math.imul(low ^ text.charCodeAt(at), 1597334677);
    }
    return ((high >>> 0).toString(36) + (low >>> 0).toString(36));
  };
  ways.set(null, String(matchMedia('(prefers-color-scheme: dark)').matches));
  for (const one of document.querySelectorAll('html, body, body *')) {
    const style = getComputedStyle(one);
    const aside = ['absolute', 'fixed', 'sticky'].includes(style.position) ? `aside ${apart += 1}` : '';
    const way = (aside || (ways.get(one.parentElement).startsWith('aside') ? 'aside' : '')) + short([
      ways.get(one.parentElement), aside, one.localName, one.getAttribute('class'), one.disabled, one.ariaDisabled,
      one.open, one.checkVisibility(), style.visibility, style.display, style.clip, style.clipPath, style.overflow,
      style.transform, style.marginTop, style.marginLeft, style.color, style.fill, style.backgroundColor,
      style.backgroundImage, style.opacity, style.filter, style.mixBlendMode, style.fontSize, style.fontWeight,
      style.textShadow, one.control?.disabled,
    ].join('|'));
    ways.set(one, way);
    const text = [...one.childNodes].map((node) => node.nodeType === Node.TEXT_NODE ? node.data : '').join('').trim();
    const box = one.matches('input, select, textarea') ? `${one.type} ${Boolean(one.value || one.placeholder)}` : '';
    const ink = `${way}|${box}|${Math.min(text.length, 2)}`;
    const first = (text || box) && !marked.has(ink);
    one.toggleAttribute('data-ink', first);
    if (!first) continue;
    one.dataset.ink = ink;
    marked.add(ink);
    if (!way.startsWith('aside')) found.push(ink);
  }
  return found;
}
