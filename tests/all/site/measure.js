// Measures the page it stands in, as it is laid out, and tells the page around it what is wrong with it.
// Runs in a copy of a page whose content policy was taken out; the pages themselves hold no script.
"use strict";
addEventListener("load", () => {
  const wrong = [];
  const say = (what, element, more) => {
    const words = (element?.textContent ?? "").trim().replace(/\s+/g, " ").slice(0, 50);
    wrong.push(`${what}: <${element?.tagName.toLowerCase() ?? "page"}> ${words}${more ? ` (${more})` : ""}`);
  };
  // What is folded away is measured unfolded: nothing may be wrong in there either.
  for (const folded of document.querySelectorAll("details")) folded.open = true;
  const width = document.documentElement.clientWidth;
  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  // What stands above the page until it has the focus is not laid out with it.
  const aside = (element) => element.closest(".skip") !== null;

  // 1. Nothing is wider than the window; what scrolls by itself may be.
  const scrolls = (element) => {
    for (let at = element; at; at = at.parentElement) {
      if (["auto", "scroll"].includes(getComputedStyle(at).overflowX)) return true;
    }
    return false;
  };
  if (document.documentElement.scrollWidth > width) say("wider than the window", null, `${document.documentElement.scrollWidth} px`);
  for (const element of document.body.querySelectorAll("*")) {
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.right > width + 0.5 || box.left < -0.5) && shown(element) && !scrolls(element) && !aside(element)) {
      say("out of the window", element, `${box.left.toFixed(0)} to ${box.right.toFixed(0)} px`);
    }
    if (element.scrollWidth > element.clientWidth + 1 && getComputedStyle(element).overflowX === "hidden") say("cut off", element);
  }

  // 2. No text on other text; line by line, the letters themselves, not the room above and below them.
  const lines = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let letters = 0;
  for (let node = texts.nextNode(); node; node = texts.nextNode()) {
    const element = node.parentElement;
    if (!node.data.trim() || ["SCRIPT", "STYLE"].includes(element.tagName) || !shown(element) || aside(element)) continue;
    letters += node.data.trim().length;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const { left, right, top, bottom } of range.getClientRects()) {
      const off = (bottom - top) * 0.12;
      if (right - left > 1) lines.push({ left, right, top: top + off, bottom: bottom - off, element });
    }
    const style = getComputedStyle(element);
    const size = parseFloat(style.fontSize);
    if (size < 12) say("smaller than 12 px", element, `${size} px`);
    // 3. Contrast after WCAG 2.2, 1.4.3: 4.5 to 1 for all text, large text too.
    const ink = colour(style.color);
    let ground = null;
    for (let at = element; at && !ground; at = at.parentElement) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (found.alpha === 1) ground = found;
      else if (found.alpha > 0) say("see-through ground", at);
    }
    const [a, b] = [light(ink), light(ground ?? { rgb: [255, 255, 255] })];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ink.alpha < 1 || ratio < 4.5) say("contrast", element, ratio.toFixed(2));
  }
  lines.sort((a, b) => a.top - b.top);
  for (let one = 0; one < lines.length; one++) {
    for (let other = one + 1; other < lines.length && lines[other].top < lines[one].bottom - 0.5; other++) {
      const across = Math.min(lines[one].right, lines[other].right) - Math.max(lines[one].left, lines[other].left);
      if (across > 1) say("text on text", lines[one].element, lines[other].element.textContent.trim().slice(0, 40));
    }
  }
  function colour(text) {
    const [r, g, b, alpha = 1] = text.match(/[\d.]+/g).map(Number);
    return { rgb: [r, g, b], alpha };
  }
  function light({ rgb }) {
    const [r, g, b] = rgb.map((c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  }

  // 4. What is tapped is 24 px high and wide (WCAG 2.2, 2.5.8, without its exceptions), and a tap in its middle is its own.
  const links = [...document.querySelectorAll("a[href]")].filter((link) => !aside(link));
  for (const link of links) {
    // A link that breaks over two lines is tapped on one of them: each line is high enough, one is wide enough.
    const boxes = [...link.getClientRects()];
    if (boxes.length === 0) {
      say("not shown", link);
      continue;
    }
    const [high, wide] = [Math.min(...boxes.map((box) => box.height)), Math.max(...boxes.map((box) => box.width))];
    if (high < 23.95 || wide < 23.95) say("small to tap", link, `${wide.toFixed(1)} by ${high.toFixed(1)} px`);
    const box = boxes.reduce((a, b) => (b.width > a.width ? b : a));
    const hit = document.elementFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
    if (!hit || !link.contains(hit)) say("covered", link, hit?.tagName);
    // 5. Every link within the page lands on something that is shown.
    const [, id] = link.getAttribute("href").split("#");
    if (link.getAttribute("href").startsWith("#")) {
      const end = document.getElementById(decodeURIComponent(id));
      if (!end || !shown(end) || end.getClientRects().length === 0) say("leads nowhere", link, `#${id}`);
    }
  }

  // 6. One first heading, none left out below it; the language; something to read.
  const headings = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")];
  if (document.querySelectorAll("h1").length !== 1) say("not one first heading", null, `${document.querySelectorAll("h1").length}`);
  let before = 0;
  for (const heading of headings) {
    const level = Number(heading.tagName[1]);
    if (level > before + 1) say("heading out of order", heading);
    before = level;
  }
  if (document.documentElement.lang !== "en") say("no language", null);
  if (!document.title.trim()) say("no title", null);
  for (const picture of document.images) if (!picture.alt || picture.naturalWidth === 0) say("picture", picture, picture.src);
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  parent.postMessage({ wrong, width, dark, letters, links: links.length, headings: headings.length }, "*");
});
