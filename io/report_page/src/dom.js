// Elements from plain values. Texts of a case come in as text nodes only, never as HTML.

/** @param {string} tag "p", "p.class.other" */
export function el(tag, attributes = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  return filled(document.createElement(name), classes, attributes, children);
}

const svg_space = "http://www.w3.org/2000/svg";
export function svg(tag, attributes = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  return filled(document.createElementNS(svg_space, name), classes, attributes, children);
}

function filled(element, classes, attributes, children) {
  if (classes.length) element.setAttribute("class", classes.join(" "));
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key === "on") for (const [event, f] of Object.entries(value)) element.addEventListener(event, f);
    else if (key === "style") Object.assign(element.style, value);
    else element.setAttribute(key, value === true ? "" : String(value));
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child instanceof Node ? child : String(child));
  }
  return element;
}

let last_id = 0;
/** An id that no other element has. */
export const new_id = (stem) => `${stem}-${++last_id}`;
