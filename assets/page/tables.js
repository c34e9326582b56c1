'use strict';

let tables = 0;

/** A table in a box of its own, which scrolls sideways where the table is wider; `numbers` are the columns ranged right. */
function table(caption, columns, rows, numbers) {
  const id = `table-${++tables}`;
  const kind = place => (numbers.includes(place) ? 'number' : null);
  const last = columns[columns.length - 1] === 'evidence' ? columns.length - 1 : -1;
  const cell = (value, place) => (place === 0
    ? element('th', {scope: 'row', class: kind(place)}, value)
    : element('td', {class: place === last ? 'evidence' : kind(place)}, value));
  return element('div', {class: 'scroll', tabindex: '0', role: 'group', 'aria-labelledby': id},
    element('table', {}, element('caption', {id}, element('span', {}, caption)),
      element('thead', {}, element('tr', {}, columns.map((name, place) => element('th', {scope: 'col', class: place === last ? 'evidence' : kind(place)}, name)))),
      element('tbody', {}, rows.map(row => element('tr', {}, row.map(cell))))));
}

function summary_table(session) {
  const rows = portion_order.map(part => {
    const found = session.portions[part];
    return found.kind === 'value'
      ? [part, String(found.n), found.mean_text, found.interval_text, found.median, found.sd, found.p05, found.p95]
      : [part, '–', '–', found.interval_text ?? missing, '–', '–', '–', '–'];
  });
  return table('Each portion in milliseconds', ['portion', 'n', 'mean', '95 % interval', 'median', 'SD', '5 %', '95 %'], rows,
    [1, 2, 3, 4, 5, 6, 7]);
}

function budget_table(budget) {
  const rows = budget.rows.map(row => row.slice());
  rows.push(['combined standard uncertainty', '', '', '', budget.combined, '']);
  rows.push(['half-width of the 95 % interval', '', '', '', budget.expanded, '']);
  return table(`Uncertainty of the mean of ${budget.portion}, in milliseconds`,
    ['source', 'type', 'distribution', 'of one press', 'in the mean', 'share'], rows, [3, 4, 5]);
}

const rows_at_first = 300;

/** Every press as it stands; thousands of them are shown on demand. */
function press_table(session, open) {
  const parts = portion_order.filter(part => session.presses.some(press => press.cells[part] !== null));
  const has_flags = session.presses.some(press => press.flags.length);
  const row = (press, place) => [
    press.name, ...parts.map(part => press.cells[part] ?? missing), ...(has_flags ? [press.flags.join(', ')] : []),
    element('button', {type: 'button', class: 'small', 'aria-label': `Frames of press ${press.name}`,
      onclick: event => open(session.place, place, event.currentTarget)}, session.strips[place] ? 'frames' : 'details'),
  ];
  const made = count => table('Every press in milliseconds, each to the digits that its own uncertainty carries',
    ['press', ...parts, ...(has_flags ? ['noted'] : []), 'evidence'], session.presses.slice(0, count).map(row),
    parts.map((_, place) => place + 1));
  const holder = element('div', {}, made(rows_at_first));
  if (session.presses.length > rows_at_first) {
    holder.append(element('button', {type: 'button', onclick: () => holder.replaceChildren(made(session.presses.length))},
      `Show all ${session.presses.length} presses; the first ${rows_at_first} are shown`));
  }
  return holder;
}
