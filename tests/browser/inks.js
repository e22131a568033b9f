/* Marks one text of each ink, for axe-core's contrast: of texts that lie in like elements, painted alike, one tells for
   all. What stands out of the flow may lie over anything, so each of it is marked, and each box of a form. */
() => {
  const ways = new Map(), numbers = new Map(), marked = new Set();
  const numberOf = (looks) => numbers.get(looks) ?? numbers.set(looks, numbers.size).get(looks);
  for (const one of document.querySelectorAll('body, body *')) {
    const style = getComputedStyle(one);
    const apart = ['absolute', 'fixed', 'sticky'].includes(style.position) ? numbers.size : '';
    const way = numberOf([
      ways.get(one.parentElement), apart, one.localName, one.getAttribute('class'), one.disabled, one.ariaDisabled,
      one.open, one.checkVisibility(), style.visibility, style.display, style.clip, style.clipPath, style.overflow,
      style.transform, style.marginTop, style.marginLeft, style.color, style.fill, style.backgroundColor,
      style.backgroundImage, style.opacity, style.filter, style.mixBlendMode, style.fontSize, style.fontWeight,
      style.textShadow,
    ].join('|'));
    ways.set(one, way);
    const text = [...one.childNodes].map((node) => node.nodeType === Node.TEXT_NODE ? node.data : '').join('').trim();
    const ink = `${way}|${Math.min(text.length, 2)}`;
    const first = text && !marked.has(ink);
    one.toggleAttribute('data-ink', first || one.matches('input, select, textarea, label'));
    if (first) marked.add(ink);
  }
}
