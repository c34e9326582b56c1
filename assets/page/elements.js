'use strict';

/** An element with attributes and children; text never becomes markup. */
function element(name, attributes, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes || {})) {
    if (key === 'onclick') {
      made.addEventListener('click', value);
    } else if (value !== null && value !== undefined && value !== false) {
      made.setAttribute(key, value === true ? '' : value);
    }
  }
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== '') {
      made.append(child);
    }
  }
  return made;
}

function paragraphs(texts, kind) {
  return texts.map(text => element('p', {class: kind, dir: 'auto'}, text));
}

/** A name that somebody else chose: it keeps its own direction and ends there. */
function named(text) {
  return element('bdi', {}, text);
}

const missing = 'not known';
