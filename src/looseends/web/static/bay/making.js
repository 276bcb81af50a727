// Small tools of the pages' scripts.

const SVG = "http://www.w3.org/2000/svg";

/** An element with attributes, listeners (on...) and children; text is text, never markup. */
export function make(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

/** The same in a drawing. */
export function draw(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return element;
}

/** The block that the page hands over. */
export function handed() {
  return JSON.parse(document.getElementById("handed").textContent);
}

/** A sentence with its fields filled. */
export function fill(sentence, values = {}) {
  return sentence.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
}
