// Carries a wax over the board: by pointer, by touch or by keys. Every drop posts the same form as the buttons do, and the
// server answers with the whole board. Without this script the waxes are links and the buttons beside them do it all.
(() => {
  const STILL_PX = 6, EDGE_PX = 70, ARROWS = ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"];
  const board = () => document.getElementById("board");
  // Where keys can put a wax: each flask, and of a tree each tier.
  const places = () => [...document.querySelectorAll("#board [data-flask]:not(.board-loose):not(:has([data-tier])), #board [data-tier]")];
  let held = null; // {tag, link, home, by: "pointer" or "keys", dx, dy, spot, ghost, over, ring, x, y}

  const say = (words) => { const said = document.getElementById("said"); if (said) said.textContent = words; };
  const turned = (link) => Number(link.dataset.spot.split(" ")[2]);
  const flaskOf = (element) => element?.closest?.("#board [data-flask]");

  function named(place) {
    const words = [".name", ".answer"].map((part) => place.querySelector(part).textContent.trim().replace(/\s+/g, " "));
    return words.filter(Boolean).join(": ");
  }

  function post(values) {
    const at = board();
    return htmx.ajax("POST", at.dataset.step, { target: "#board", swap: "outerHTML", values: { revision: at.dataset.revision, away: "yes", ...values } });
  }

  function show(address) {
    history.replaceState(null, "", address || location.pathname);
    return htmx.ajax("GET", board().dataset.page + (address || ""), { target: "#board", swap: "outerHTML" });
  }

  // What every flask says to the wax, asked once when it is picked up.
  async function ask() {
    const carried = held, address = `${board().dataset.page}?wax=${encodeURIComponent(held.tag)}&part=hand`;
    const answer = await fetch(address, { headers: { "HX-Request": "true" } }).catch(() => null), text = await answer?.text();
    if (!answer?.ok || held !== carried) return;
    const page = new DOMParser().parseFromString(text, "text/html");
    const hand = document.getElementById("hand");
    hand.replaceChildren(...page.body.childNodes);
    htmx.process(hand);
    for (const line of hand.querySelectorAll("[data-answer]")) {
      const place = document.querySelector(`#board [data-flask="${CSS.escape(line.dataset.answer)}"]`);
      if (!place) continue;
      place.dataset.verdict = line.dataset.verdict;
      place.querySelector(".answer").textContent = line.dataset.short;
    }
    if (held.by === "keys") say(board().dataset.picked);
  }

  function pickUp(link, by) {
    held = { tag: link.dataset.tag, link, home: flaskOf(link)?.dataset.flask || "out", by };
    showHeld();
  }

  function showHeld() {
    board().dataset.carrying = held.tag;
    if (held.by === "pointer") board().dataset.carries = "";
    held.link.classList.add("in-hand");
    ask();
  }

  // The answer to the step before has come while a wax is carried: it is the same wax on the new board, if it is there.
  document.addEventListener("htmx:afterSwap", () => {
    if (!held || held.link.isConnected) return;
    const link = document.getElementById(`wax-${held.tag}`);
    if (!link || flaskOf(link)?.hasAttribute("data-fixed")) return putBack();
    Object.assign(held, { link, home: flaskOf(link)?.dataset.flask || "out", over: null, ring: null, spot: null });
    if (held.by === "keys") link.focus({ preventScroll: true });
    showHeld();
  });

  function putBack() {
    if (!held) return;
    held.ghost?.remove();
    held.link.classList.remove("in-hand");
    const at = board();
    if (at) {
      delete at.dataset.carrying;
      delete at.dataset.carries;
      for (const place of at.querySelectorAll("[data-flask]")) delete place.dataset.verdict;
      for (const place of at.querySelectorAll(".over-flask")) place.classList.remove("over-flask");
    }
    held = null;
  }

  async function drop() {
    const { tag, home, over, ring, spot, by } = held;
    putBack();
    if (!over) return say(board().dataset.putback);
    const where = over.dataset.flask, tier = ring?.dataset.tier;
    const turn = spot ? { x_mm: spot.x, y_mm: spot.y, turn_deg: spot.turn, tier: spot.tier } : tier && { tier };
    if (where === "out") { if (home === "out") return; await post({ do: "out", tag }); }
    else if (where === home && !tier) { if (!spot || by === "keys") return; await post({ do: "spot", tag, ...turn }); }
    else await post({ do: "carry", tag, to: where, ...turn });
    if (!held) document.getElementById(`wax-${tag}`)?.focus({ preventScroll: true });
  }

  // Where the wax's foot is over a flask, in mm from its axis.
  function spotIn(place, x, y) {
    const drawings = [...place.querySelectorAll("svg[data-spots]")];
    const inside = (one) => { const box = one.getBoundingClientRect(); return x > box.left && x < box.right && y > box.top && y < box.bottom; };
    const drawing = drawings.length > 1 ? drawings.find(inside) : drawings[0];
    if (!drawing) return null;
    const at = new DOMPoint(x, y).matrixTransform(drawing.getScreenCTM().inverse());
    return { x: at.x.toFixed(2), y: (-at.y).toFixed(2), turn: turned(held.link), tier: drawing.dataset.tier ?? "" };
  }

  function hover(x, y) {
    const over = flaskOf(document.elementFromPoint(x, y));
    if (held.over !== over) {
      held.over?.classList.remove("over-flask");
      over?.classList.add("over-flask");
      held.over = over;
    }
    if (over?.matches(".chip")) say(named(over));
    held.spot = over ? spotIn(over, x - held.dx, y - held.dy) : null;
    if (held.spot) look();
  }

  // What is in the way just there: one question at a time, the last one counts.
  async function look() {
    if (held.asking) return;
    const carried = held, { tag, spot, over } = held;
    held.asking = true;
    const given = new URLSearchParams({ wax: tag, flask: over.dataset.flask, x_mm: spot.x, y_mm: spot.y, turn_deg: spot.turn, tier: spot.tier });
    const answer = await fetch(`${board().dataset.at}?${given}`).catch(() => null);
    const said = answer?.ok ? await answer.json() : { takes: false, words: "" };
    if (held !== carried) return;
    held.asking = false;
    if (held.over === over) {
      held.ghost?.classList.toggle("refused", !said.takes);
      over.dataset.verdict = over.dataset.verdict || "here";
      over.querySelector(".answer").textContent = said.words || board().dataset.mayStand;
    }
    if (held.spot && held.spot !== spot) look();
  }

  function lift(event) {
    const from = held.link.querySelector("rect").getBoundingClientRect();
    const scale = held.link.ownerSVGElement.getScreenCTM().a;
    const ghost = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    ghost.classList.add("drawing", "on-board", "ghost");
    const copy = held.link.cloneNode(true);
    const [x, y] = held.link.dataset.spot.split(" ").map(Number);
    copy.removeAttribute("id");
    copy.setAttribute("transform", `scale(${scale}) translate(${-x} ${y})`);
    ghost.append(copy);
    document.body.append(ghost);
    held.ghost = ghost;
    held.dx = held.startX - (from.left + from.width / 2);
    held.dy = held.startY - (from.top + from.height / 2);
    follow(event.clientX, event.clientY);
  }

  function follow(x, y) {
    held.x = x; held.y = y;
    held.ghost.style.transform = `translate(${x - held.dx}px, ${y - held.dy}px)`;
    hover(x, y);
  }

  function scrollAtEdge() {
    if (!held?.ghost) return;
    const down = held.y > innerHeight - EDGE_PX ? 1 : held.y < EDGE_PX ? -1 : 0;
    if (down) { scrollBy(0, 10 * down); hover(held.x, held.y); }
    requestAnimationFrame(scrollAtEdge);
  }

  // Of waxes that stand close, the one whose foot is nearest.
  function nearest(event) {
    const link = event.target.closest?.("#board a.wax");
    if (!link) return null;
    const from = (one) => { const box = one.querySelector("rect").getBoundingClientRect(); return Math.hypot(event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2); };
    return [...link.ownerSVGElement.querySelectorAll("a.wax")].sort((one, other) => from(one) - from(other))[0];
  }

  let pressed = null;
  document.addEventListener("pointerdown", (event) => {
    if (event.button || !event.isPrimary || !("moves" in (board()?.dataset ?? {}))) return;
    const link = nearest(event);
    if (!link) return;
    if (held) putBack();
    if (flaskOf(link)?.hasAttribute("data-fixed")) return;
    pressed = { link, x: event.clientX, y: event.clientY, id: event.pointerId };
    if (event.target.hasPointerCapture?.(event.pointerId)) event.target.releasePointerCapture(event.pointerId);
  });
  document.addEventListener("pointermove", (event) => {
    if (pressed && event.pointerId === pressed.id && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > STILL_PX) {
      pickUp(pressed.link, "pointer");
      held.startX = pressed.x; held.startY = pressed.y;
      pressed = null;
      lift(event);
      requestAnimationFrame(scrollAtEdge);
    } else if (held?.by === "pointer") follow(event.clientX, event.clientY);
  });
  document.addEventListener("pointerup", (event) => {
    if (held?.by === "pointer") {
      follow(event.clientX, event.clientY);
      dropped = performance.now();
      drop();
    }
    pressed = null;
  });
  // A finger on a wax carries it: else a board longer than the screen would scroll away under it.
  document.addEventListener("touchmove", (event) => { if ((pressed || held?.by === "pointer") && event.cancelable) event.preventDefault(); }, { passive: false });
  document.addEventListener("pointercancel", () => { pressed = null; putBack(); });
  document.addEventListener("dragstart", (event) => { if (event.target.closest?.("#board")) event.preventDefault(); });

  let dropped = -1000;
  document.addEventListener("click", (event) => {
    const link = nearest(event) ?? event.target.closest?.("#board a[href^='?']");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (performance.now() - dropped < 300) return;
    if (event.detail === 0 && link.matches(".wax") && "moves" in board().dataset) return; // by keys: carried below
    show(link.getAttribute("href"));
  });

  function step(key) {
    const all = places(), home = held.link.closest("[data-tier]") ?? flaskOf(held.link);
    const now = held.ring ?? held.over ?? home, box = now.getBoundingClientRect();
    if (key === "ArrowLeft" || key === "ArrowRight") return all[(all.indexOf(now) + (key === "ArrowRight" ? 1 : -1) + all.length) % all.length];
    const down = key === "ArrowDown" ? 1 : -1, middle = box.left + box.width / 2;
    const far = (one) => { const its = one.getBoundingClientRect(); return Math.abs(its.top - box.top) * 4 + Math.abs(its.left + its.width / 2 - middle); };
    const there = all.filter((one) => (one.getBoundingClientRect().top - box.top) * down > box.height / 2);
    return there.sort((one, other) => far(one) - far(other))[0] ?? now;
  }

  document.addEventListener("keydown", (event) => {
    const link = event.target.closest?.("#board a.wax");
    if (event.key === "Escape" && held) { putBack(); say(board().dataset.putback); return; }
    if (!link || !("moves" in board().dataset) || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (held?.by === "keys") drop();
      else if (!flaskOf(link)?.hasAttribute("data-fixed")) pickUp(link, "keys");
    } else if (held?.by === "keys" && ARROWS.includes(event.key)) {
      event.preventDefault();
      const place = step(event.key);
      (held.ring ?? held.over)?.classList.remove("over-flask");
      held.ring = place.matches("svg") ? place : null;
      held.over = flaskOf(place);
      place.classList.add("over-flask");
      place.scrollIntoView({ block: "nearest" });
      say([held.ring?.querySelector("title").textContent, named(held.over)].filter(Boolean).join(". "));
    }
  });
  document.addEventListener("focusout", (event) => {
    if (held?.by === "keys" && event.target === held.link && event.relatedTarget && event.relatedTarget !== held.link) putBack();
  });
})();
