'use strict';

/** A chart on the page: its figure, its pictures to save, its dots under mouse, finger and keyboard. */

const tip_box = () => document.getElementById('tip');

function show_tip(text, x, y) {
  const box = tip_box();
  box.textContent = text;
  box.hidden = !text;
  if (text) {
    const room = document.documentElement.clientWidth;
    const {width, height} = box.getBoundingClientRect();
    box.style.left = `${Math.max(4, Math.min(x + 12, room - width - 4))}px`;
    box.style.top = `${y - height - 12 < 4 ? y + 16 : y - height - 12}px`;
  }
}

function hide_tip() {
  tip_box().hidden = true;
}

function tooltip(handler, event, item, value) {
  if (value === null || value === undefined || value === '') {
    hide_tip();
  } else {
    show_tip(String(value), event.clientX, event.clientY);
  }
}

/** Words as lines of a picture's title. */
function lines(text, width, size) {
  const most = Math.max(20, Math.floor(width / (size * 0.54)));
  const found = [''];
  for (const word of text.split(/\s+/)) {
    const last = found[found.length - 1];
    if (last && last.length + word.length + 1 > most) {
      found.push(word);
    } else {
      found[found.length - 1] = last ? `${last} ${word}` : word;
    }
  }
  return found;
}

function offer(href, name) {
  const link = element('a', {href, download: name});
  document.body.append(link);
  link.click();
  link.remove();
}

function file_name(chart, ending) {
  return `${chart}.${ending}`;
}

/** The chart on paper, with its finding as title; at a size of its own, so that all who save it get the same. */
async function save(chart, ending) {
  const width = 880;
  const spec = chart.make(paper, width);
  spec.title = {text: lines(chart.finding, width, 15), subtitle: lines(chart.reading_of_picture ?? chart.reading, width, 12)};
  spec.padding = 16;
  const {view, finalize} = await vegaEmbed(element('div'), spec, {actions: false, renderer: 'svg', ast: true, loader: {}});
  if (ending === 'svg') {
    const svg = await view.toSVG();
    const url = URL.createObjectURL(new Blob([svg], {type: 'image/svg+xml'}));
    offer(url, file_name(chart.id, 'svg'));
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  } else {
    offer(await view.toImageURL('png', 2), file_name(chart.id, 'png'));
  }
  finalize();
}

/** The drawn dots of the presses, as they stand in the chart. */
function dots_of(box) {
  return [...box.querySelectorAll('.mark-symbol path')]
    .filter(path => path.__data__ && path.__data__.datum && path.__data__.datum.place !== undefined
      && path.__data__.mark && /presses/.test(path.__data__.mark.name || ''));
}

/** One stop of the tab key for all dots; the arrow keys go from dot to dot, session by session, Enter opens the frames. */
function reach_by_keys(box, open) {
  const dots = dots_of(box).sort((a, b) => a.__data__.datum.session - b.__data__.datum.session || a.__data__.x - b.__data__.x);
  dots.forEach((dot, order) => {
    const datum = dot.__data__.datum;
    dot.setAttribute('tabindex', order === 0 ? '0' : '-1');
    dot.setAttribute('role', 'button');
    dot.setAttribute('aria-label', `${datum.tip}. Show its frames`);
    dot.addEventListener('keydown', event => {
      const towards = {ArrowRight: 1, ArrowLeft: -1, ArrowDown: 1, ArrowUp: -1, Home: -Infinity, End: Infinity}[event.key];
      if (towards !== undefined) {
        event.preventDefault();
        const next = dots[Math.max(0, Math.min(dots.length - 1, order + towards))];
        dot.setAttribute('tabindex', '-1');
        next.setAttribute('tabindex', '0');
        next.focus();
      } else if (event.key === 'Enter' || event.key === ' ') {
        event.preventDefault();
        open(datum.session, datum.place, dot);
      }
    });
    dot.addEventListener('focus', () => {
      const at = dot.getBoundingClientRect();
      show_tip(datum.tip, at.right, at.top);
    });
    dot.addEventListener('blur', hide_tip);
    dot.addEventListener('click', () => open(datum.session, datum.place, dot));
  });
}

const drawn = [];

/** How wide a chart may be: as its column, also where that is folded away. */
function column_width() {
  return Math.max(240, document.getElementById('main').clientWidth - column_padding());
}

function column_padding() {
  const style = getComputedStyle(document.getElementById('main'));
  return parseFloat(style.paddingLeft) + parseFloat(style.paddingRight);
}

async function draw(chart) {
  const width = column_width();
  const spec = chart.make(onPage, width);
  if (chart.view) {
    chart.view.finalize();
  }
  const result = await vegaEmbed(chart.box, spec, {actions: false, renderer: 'svg', ast: true, tooltip, loader: {}});
  chart.view = result.view;
  chart.width = width;
  const svg = chart.box.querySelector('svg');
  for (const named of svg.querySelectorAll('[role], [aria-hidden]')) {
    for (const attribute of ['role', 'aria-hidden', 'aria-label', 'aria-roledescription']) {
      named.removeAttribute(attribute);
    }
  }
  const dots = chart.open ? dots_of(chart.box) : [];
  svg.setAttribute('role', dots.length ? 'group' : 'img');
  svg.setAttribute('aria-label', `${chart.finding} ${chart.reading}`);
  svg.removeAttribute('aria-roledescription');
  if (dots.length) {
    reach_by_keys(chart.box, chart.open);
  }
}

/** A figure with its finding above and how to read it beneath; `chart` is {id, finding, reading, make} and, where its dots
 *  open the frames, {open}; `reading_of_picture` is for one that is saved, which can neither be pointed at nor opened. */
function chart_figure(chart, level) {
  chart.box = element('div', {class: 'chart', id: `chart-${chart.id}`});
  const button = ending => element('button', {
    type: 'button', class: 'save', 'aria-label': `Save as ${ending.toUpperCase()}: ${chart.finding}`,
    onclick: () => save(chart, ending),
  }, ending.toUpperCase());
  drawn.push(chart);
  return element('figure', {},
    element(level || 'h2', {class: 'finding'}, chart.finding),
    chart.box,
    element('figcaption', {}, element('p', {}, chart.reading),
      element('p', {class: 'saves'}, 'Save the chart as ', button('svg'), ' or ', button('png'))));
}

async function draw_all() {
  for (const chart of drawn) {
    await draw(chart);
    await new Promise(go_on => setTimeout(go_on));  // so that what is drawn can be seen meanwhile
  }
  document.documentElement.dataset.ready = 'true';
}

let waiting = 0;
addEventListener('resize', () => {
  clearTimeout(waiting);
  waiting = setTimeout(async () => {
    for (const chart of drawn) {
      if (chart.width !== column_width()) {
        await draw(chart);
      }
    }
  }, 150);
});
