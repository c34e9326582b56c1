'use strict';

/** Our own sentences: a number keeps its unit on its line, and a minus is a minus. */
function typeset(text) {
  return text.replace(/(\d) (ms|%|Hz|s|ppm)(?![a-z])/g, '$1\u00a0$2').replace(/± (?=\d)/g, '±\u00a0').replace(/(^|[\s(])-(?=\d)/g, '$1\u2212');
}

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
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined && child !== '') {
      made.append(typeof child === 'string' && name !== 'bdi' ? typeset(child) : child);
    }
  }
  return made;
}

function paragraphs(texts, kind) {
  return texts.map(text => element('p', {class: kind}, text));
}

/** A name that somebody else chose: it keeps its own direction and ends there. */
function named(text) {
  return element('bdi', {}, text);
}

const missing = 'not known';
