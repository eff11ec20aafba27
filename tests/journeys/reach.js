// What a page is like to somebody who sees little, uses a keyboard or wears gloves: measured in the page as it is drawn.
// `what` is "texts" for the contrast of texts, which depends on the light, or "shape" for all that depends on the width.
(what) => {
  const seen = (e) => {
    const box = e.getBoundingClientRect(), style = getComputedStyle(e);
    return box.width > 1 && box.height > 1 && style.visibility !== "hidden" && style.display !== "none" && style.clipPath === "none" && e.checkVisibility();
  };
  const name = (e) => `${e.tagName.toLowerCase()}${e.id ? "#" + e.id : ""}${e.getAttribute("class") ? "." + e.getAttribute("class").split(" ").join(".") : ""} “${(e.textContent || e.value || "").trim().slice(0, 40)}”`;
  const parse = (text) => { const m = text.match(/rgba?\(([^)]+)\)/); if (!m) return null; const [r, g, b, a = "1"] = m[1].split(/[ ,/]+/); return { r: +r, g: +g, b: +b, a: parseFloat(a) }; };
  const light = (c) => { const part = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * part(c.r) + 0.7152 * part(c.g) + 0.0722 * part(c.b); };
  const ratio = (one, other) => { const [a, b] = [light(one), light(other)].sort((x, y) => y - x); return (a + 0.05) / (b + 0.05); };
  // Each element is asked once what it stands on: thousands of texts share the few behind them.
  const grounds = new Map();
  const ground = (e) => {
    if (!e) return { r: 255, g: 255, b: 255, a: 1 };
    if (!grounds.has(e)) {
      const style = getComputedStyle(e);
      const drawn = style.backgroundImage !== "none" && !e.matches("input") ? parse(style.backgroundImage) : null;
      const flat = parse(style.backgroundColor);
      grounds.set(e, drawn && drawn.a > 0 ? drawn : flat && flat.a > 0 ? flat : ground(e.parentElement));
    }
    return grounds.get(e);
  };
  const texts = [];
  for (const e of what === "texts" ? document.querySelectorAll("body *") : []) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !seen(e) || e.closest("option, datalist, title, desc")) continue;
    const style = getComputedStyle(e);
    const colour = parse(e instanceof SVGElement ? (style.fill === "none" ? style.color : style.fill) : style.color);
    const found = ratio(colour, ground(e));
    if (found < 7) texts.push(`${name(e)} ${found.toFixed(2)}`);
  }
  for (const e of what === "texts" ? document.querySelectorAll("input, textarea, select") : []) {
    if (!seen(e) || e.type === "hidden") continue;
    const style = getComputedStyle(e);
    if (ratio(parse(style.color), ground(e)) < 7) texts.push(`${name(e)} typed`);
    if (e.placeholder && ratio(parse(getComputedStyle(e, "::placeholder").color), ground(e)) < 7) texts.push(`${name(e)} placeholder`);
  }
  if (what === "texts") return { texts: texts.slice(0, 12) };
  // Targets: what can be pressed, but for links in a sentence and boxes that are pressed by their label.
  const targets = [];
  for (const e of document.querySelectorAll("a[href], button, input, select, textarea, summary, label.tick")) {
    if (!seen(e) || e.type === "hidden" || e.matches(".tick input") || e.matches(".skip")) continue;
    const style = getComputedStyle(e);
    const words = (n) => n.nodeType === 3 ? n.textContent : n.nodeType === 1 && !n.matches("svg, a") ? n.textContent : "";
    const sentence = e.tagName === "A" && style.display === "inline" && (e.closest("dd, td, th, h1, h2, h3") || [...e.parentElement.childNodes].some((n) => n !== e && words(n).trim()));
    if (sentence) continue;
    const box = e.getBoundingClientRect();
    if (box.width < 43.5 || box.height < 43.5) targets.push(`${name(e)} ${box.width.toFixed(0)}×${box.height.toFixed(0)}`);
  }
  const labelled = (e) => (e.labels && [...e.labels].some((l) => l.textContent.trim())) || e.getAttribute("aria-label") || e.getAttribute("aria-labelledby");
  return {
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    beyond: [...document.querySelectorAll("main *, header *, footer *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && seen(e) && !e.closest(".scroll, svg")).map(name).slice(0, 5),
    headings: [...document.querySelectorAll("h1")].filter(seen).length,
    targets: targets.slice(0, 12),
    unlabelled: [...document.querySelectorAll("input, select, textarea")].filter((e) => e.type !== "hidden" && !labelled(e)).map(name),
    unnamed: [...document.querySelectorAll("a[href], button")].filter((e) => seen(e) && !e.textContent.trim() && !e.getAttribute("aria-label")).map(name),
    drawings: [...document.querySelectorAll("svg, img")].filter((e) => e.getAttribute("aria-hidden") !== "true" && !(e.getAttribute("role") === "img" && e.getAttribute("aria-label")) && !e.alt).map(name),
  };
}
