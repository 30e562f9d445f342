/* What is measured in the page; looks.py gives it to the browser. Each returns a list of faults in words. */
(() => {
  const name = (node) => {
    const words = node.textContent.replace(/\s+/g, " ").trim().slice(0, 50);
    const owner = node.nodeType === 3 ? node.parentElement : node;
    return `“${words}” (${owner.tagName.toLowerCase()}.${owner.getAttribute("class") || ""})`;
  };
  const seen = (owner) => owner.checkVisibility({ opacityProperty: true, visibilityProperty: true })
    && !owner.closest(".unseen, .skip, option, [aria-hidden=true].bar");
  /* What stays at its place while the page scrolls lies over it on purpose. */
  const floats = (owner) => owner.closest(".thumb, .trouble, .bar, .stay, .jump");

  /* Boxes of every line of text, trimmed to the height of its letters. */
  const lines = () => {
    const found = [];
    const walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const owner = node.parentElement;
      if (!node.data.trim() || !owner || /^(SCRIPT|STYLE|TITLE|DESC|OPTION|TEXTAREA)$/i.test(owner.tagName)) continue;
      if (!seen(owner) || floats(owner)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const box of range.getClientRects()) {
        const trim = box.height * 0.22;
        if (box.width > 2 && box.height > 2) {
          found.push({ node, left: box.left + 1, right: box.right - 1, top: box.top + trim, bottom: box.bottom - trim });
        }
      }
    }
    return found.sort((one, other) => one.top - other.top);
  };

  const overlaps = () => {
    const all = lines();
    const faults = [];
    let open = [];
    for (const line of all) {
      open = open.filter((each) => each.bottom > line.top);
      for (const each of open) {
        const wide = Math.min(each.right, line.right) - Math.max(each.left, line.left);
        const high = Math.min(each.bottom, line.bottom) - line.top;
        if (each.node !== line.node && wide > 1 && high > 1) {
          faults.push(`${name(each.node)} and ${name(line.node)} lie over each other by ${Math.round(wide)} x ${Math.round(high)}`);
        }
      }
      open.push(line);
    }
    return faults;
  };

  /* Text cut off at the edge of a box that hides what is too much. */
  const cut = () => [...document.querySelectorAll("main *")].filter((each) => {
    if (each.closest("svg, .unseen, .scroll, .finder__narrow label") || !seen(each) || !each.textContent.trim()) return false;
    const style = getComputedStyle(each);
    const hides = (side) => side === "hidden" || side === "clip";
    return hides(style.overflowX) && each.scrollWidth > each.clientWidth + 1
      || hides(style.overflowY) && each.scrollHeight > each.clientHeight + 1;
  }).map((each) => `${name(each)} is cut off`);

  /* Words of buttons against what lies behind them in forced colours: the plate that the browser lays under words in the
     colour of the page, and the button itself. */
  const light = (colour) => {
    const [r, g, b] = colour.match(/[\d.]+/g).slice(0, 3).map((part) => {
      const share = Number(part) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const plate = () => {
    const probe = document.createElement("i");
    probe.className = "looks-plate";
    probe.setAttribute("popover", "");
    document.body.append(probe);
    const colour = getComputedStyle(probe).backgroundColor;
    probe.remove();
    return colour;
  };
  const behind = (node) => {
    for (let each = node; each; each = each.parentElement) {
      const colour = getComputedStyle(each).backgroundColor;
      const alpha = Number((colour.match(/rgba\(.*,\s*([\d.]+)\)/) || [0, 1])[1]);
      if (alpha > 0.99) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const faint = () => [...document.querySelectorAll("a.button, button, .choice, summary, .thumb a, .bar a, .filters a")]
    .filter((each) => each.textContent.trim() && seen(each))
    .flatMap((each) => {
      const inner = [...each.querySelectorAll("span, b")].find((part) => part.textContent.trim() && seen(part)) || each;
      const hasPlate = getComputedStyle(inner).forcedColorAdjust !== "none";
      const words = light(getComputedStyle(inner).color);
      const grounds = [behind(inner), ...(hasPlate ? [plate()] : [])].map(light);
      const ratio = Math.min(...grounds.map((ground) => (Math.max(words, ground) + 0.05) / (Math.min(words, ground) + 0.05)));
      return ratio < 4.5 ? [`${name(each)} stands out by ${ratio.toFixed(1)} only`] : [];
    });
  /* A button must keep an edge where its own colours are taken away. */
  const edgeless = () => [...document.querySelectorAll("a.button, button.button")]
    .filter((each) => seen(each) && each.getBoundingClientRect().width > 0)
    .filter((each) => getComputedStyle(each).borderTopStyle === "none" || getComputedStyle(each).borderTopWidth === "0px")
    .map((each) => `${name(each)} has no edge`);

  return { overlaps, cut, faint, edgeless };
})()
