'use strict';

/** The page, from its data: the answer first, then what it rests on. */

const page = JSON.parse(document.getElementById('data').textContent);
page.sessions.forEach((session, place) => {
  session.place = place;
});
const open_frames = frames_opener(page.sessions);
const with_total = page.sessions.filter(session => session.portions.total.kind === 'value')
  .sort((a, b) => a.portions.total.mean - b.portions.total.mean);
const is_one = page.sessions.length === 1;

function head() {
  const session = page.sessions[0];
  const date = session.started ? session.started.slice(0, 10) : '';
  return element('header', {class: 'head'},
    element('p', {class: 'kicker'}, is_one ? named(session.name) : page.title, is_one && date ? `, measured ${date}` : ''),
    element('h1', {}, page.answer));
}

function reading_of_answer() {
  const texts = [`The bar is the mean from press to light${is_one ? '' : ', one for each set-up'}; the bracket beneath is the 95 % interval of its whole length.`];
  const parts = page.sessions.flatMap(stretches);
  if (parts.some(part => part.open)) {
    texts.push('Where a stretch is hatched, the filled delivery and screen beside it are the least that each can be; the hatched stretch belongs to the one or the other, and the evidence does not say to which.');
  }
  if (parts.some(part => part.part === 'total')) {
    texts.push('Where only the whole is known, the bar is not split.');
  }
  return texts.join(' ');
}

function why_of_answer() {
  const reasons = new Map();
  for (const session of page.sessions.filter(other => other.why)) {
    reasons.set(session.why, [...(reasons.get(session.why) || []), session.name]);
  }
  return [...reasons].map(([why, whose]) => element('p', {},
    is_one ? why : [whose.flatMap((name, k) => (k ? ['; ', named(name)] : [named(name)])), `: ${why}`]));
}

function answer_section() {
  if (!with_total.length) {
    return element('section', {class: 'answer'}, element('p', {class: 'note'},
      'There is nothing to draw: no press was seen together with its light. The warnings below say what to do about it.'), ...why_of_answer());
  }
  const finding = page.portions_finding;
  const left_out = page.sessions.length - with_total.length;
  return element('section', {class: 'answer'},
    chart_figure({id: 'answer', finding, reading: reading_of_answer(), make: answer_chart(with_total)}),
    left_out ? element('p', {class: 'note'}, `${left_out} of the set-ups ${left_out === 1 ? 'has' : 'have'} no total and so no bar: ${
      page.sessions.filter(session => !with_total.includes(session)).map(session => session.name).join('; ')}.`) : '',
    ...why_of_answer());
}

/** Details that are made when they are first opened: of many set-ups there are very many pairs. */
function folded(summary, make) {
  const details = element('details', {}, element('summary', {}, summary));
  details.fill = () => {
    details.fill = () => {};
    details.append(...make());
  };
  details.addEventListener('toggle', () => details.open && details.fill());
  return details;
}

function comparison_section() {
  const {pairs, notes} = page.comparison;
  const box = element('section', {}, element('h2', {}, 'Whether they differ'));
  const name = place => page.sessions[place].name;
  if (pairs.length > 1) {
    const totals_table = table('The totals, A less B in milliseconds: negative where A answers sooner',
      ['A', 'B', 'difference of the means', '95 % interval', 'verdict'],
      pairs.map(pair => [named(name(pair.a)), named(name(pair.b)), ...pair.rows[0].slice(1)]), [2, 3]);
    const most_rows = 30;
    box.append(pairs.length > most_rows ? element('details', {}, element('summary', {}, `All ${pairs.length} pairs, by their totals`), totals_table) : totals_table,
    element('p', {class: 'quiet'}, 'A pair is resolved where the difference is greater than its own interval, instruments included, and stays so after Holm over all pairs.'));
  }
  const shown = pair => {
    const columns = ['portion', 'difference of the means', '95 % interval', 'verdict'];
    return element('div', {class: 'pair'}, element('h3', {}, named(name(pair.a)), ' less ', named(name(pair.b))),
      ...paragraphs(pair.sentences),
      table(`Difference in milliseconds: negative where ${name(pair.a)} answers sooner`, columns, pair.rows, [1, 2]));
  };
  box.append(...paragraphs(notes), ...(pairs.length === 1 ? pairs.map(shown)
    : [folded(`The ${pairs.length} pairs, portion by portion`, () => pairs.map(shown))]));
  return box;
}

function presses_section() {
  if (!with_total.length) {
    return '';
  }
  const reading_of_picture = 'Each dot is one press; a diamond lies outside the fences of Tukey and is counted all the same. Beneath the dots is the mean with its 95 % interval.';
  const reading = `${reading_of_picture} Point at a dot for its values; click it, or press Enter on it, for the frames that prove it. The arrow keys go from dot to dot.`;
  const lengths = lengths_of(with_total);
  const distribution = with_total.length > most_curves
    ? 'The stroke is the middle press, the bar holds the middle half of the presses, the line nine in ten.'
    : `The curve climbs by one step at each press: at its height so many of the presses take no longer. ${lengths.length
      ? `For comparison, at the upper right: ${lengths.map(length => length.name).join(' and ')}.`
      : 'The frame of the camera and the refresh of the display are not known, or not the same for all, and so not drawn beside it.'}`;
  return element('section', {},
    chart_figure({id: 'presses', finding: page.presses_finding, reading, reading_of_picture,
      make: presses_chart(with_total), open: open_frames}),
    is_one && with_total[0].portions.total.n < 2 ? element('p', {class: 'note'}, page.distribution_finding)
      : chart_figure({id: 'distribution', finding: page.distribution_finding, reading: distribution, make: (with_total.length > most_curves ? ranges_chart : distribution_chart)(with_total)}));
}

function phase_part(session, suffix) {
  if (!session.phase) {
    return element('p', {class: 'note'}, 'Delivery against the refresh is not shown: it takes a log, presses paired with it, and a refresh that is known.');
  }
  const reading = session.phase.known
    ? 'Each dot is one press: how long delivery took, against how long after a refresh the frame was submitted.'
    : 'Each dot is one press. The clocks are not tied, so delivery is shown as what it is more or less than its middle, which needs no tie; across, how long after a refresh the frame was submitted.';
  return chart_figure({id: `phase${suffix}`, finding: session.phase.finding, reading, make: phase_chart(session), open: open_frames}, 'h3');
}

function course_part(session, suffix) {
  if (session.portions.total.kind !== 'value') {
    return '';
  }
  if (session.portions.total.n < 2) {
    return element('p', {class: 'note'}, session.course.finding);
  }
  const reading = 'The presses in the order in which they were made; the thin line is the mean, the dashed one the slope through all pairs of presses.';
  return chart_figure({id: `course${suffix}`, finding: session.course.finding, reading, make: course_chart(session), open: open_frames}, 'h3');
}

function budget_part(session) {
  const note = session.budgets.length ? 'What falls with the number of presses stands beside what no number of presses lessens. Type A is evaluated from the presses themselves, type B from other knowledge.'
    : 'There is no uncertainty budget: it takes two presses, and something that states how uncertain they are.';
  const [first, ...rest] = session.budgets;
  return element('div', {}, element('h3', {}, 'How sure that is'), element('p', {}, note), first ? budget_table(first) : '',
    rest.length ? element('details', {}, element('summary', {}, 'The budgets of the other portions'), ...rest.map(budget_table)) : '');
}

function warnings_part(session) {
  if (!session.warnings.length) {
    return element('p', {}, 'Nothing made the reading doubtful: no warnings.');
  }
  return element('ul', {class: 'warnings'}, session.warnings.map(warning => element('li', {},
    element('p', {}, element('strong', {}, 'Warning: '), warning.text),
    warning.remedy ? element('p', {class: 'remedy'}, `To try: ${warning.remedy}`) : '')));
}

function method_part(session) {
  const labels = Object.entries(session.labels).map(([key, value]) => [named(`${key} (label)`), named(value)]);
  return element('div', {}, element('h3', {}, 'How it was measured'),
    element('dl', {class: 'method'}, [...labels, ...session.method].map(([term, text]) => element('div', {},
      element('dt', {dir: 'auto'}, term), element('dd', {dir: 'auto'}, text)))),
    element('h4', {}, 'Supposed'),
    session.assumptions.length ? element('ul', {}, session.assumptions.map(text => element('li', {}, text)))
      : element('p', {}, 'Nothing beyond what the recording and the log show.'),
    element('h4', {}, 'Doubts'), warnings_part(session), regions_part(session));
}

function regions_part(session) {
  return session.regions ? element('figure', {class: 'regions'},
    element('img', {src: session.regions, alt: 'A frame of the recording with the patch and the place of the press outlined'}),
    element('figcaption', {}, element('p', {}, 'Where patch and press were found in the picture.'))) : '';
}

function says_part(session) {
  return session.says.length ? element('div', {}, element('h3', {}, 'What varies'), ...paragraphs(session.says)) : '';
}

function session_parts(session) {
  const suffix = is_one ? '' : `-${session.place + 1}`;
  return [
    is_one || session.portions.total.kind !== 'value' ? '' : element('p', {}, session.portions_finding),
    session.portions.total.kind === 'value' ? chart_figure({
      id: `portions${suffix}`, finding: session.largest_finding,
      reading: 'A dot is the mean with its 95 % interval; a hatched stretch holds the mean somewhere within it, no place in it likelier than another.',
      make: portions_chart(session)}, 'h3') : '',
    summary_table(session), says_part(session), course_part(session, suffix), phase_part(session, suffix),
    budget_part(session), method_part(session),
    element('h3', {}, 'The raw table'), press_table(session, open_frames),
  ];
}

function session_section(session) {
  if (is_one) {
    return element('section', {class: 'session'}, element('h2', {}, 'The portions, and how sure they are'), ...session_parts(session));
  }
  return element('details', {class: 'session'}, element('summary', {}, element('h2', {}, named(session.name)), element('span', {class: 'quiet'}, ` ${session.portions.total.short ?? 'no total'}`)), ...session_parts(session));
}

function foot() {
  return element('footer', {}, element('p', {}, `Made by thumblight-analysis ${page.version}. `,
    'The words: delivery, from the contact to the arrival of the event; render, from there to the refresh with which the frame can first be scanned out; screen, from there to the light; display is render and screen, remainder delivery and screen.'));
}

/** On paper nothing stays folded. */
function unfold() {
  for (const details of document.querySelectorAll('details')) {
    details.open = true;
    if (details.fill) {
      details.fill();
    }
  }
}

document.getElementById('main').replaceChildren(...[
  head(), answer_section(), page.comparison ? comparison_section() : '', presses_section(),
  ...page.sessions.map(session_section), foot(),
].filter(part => part !== ''));
addEventListener('beforeprint', unfold);
matchMedia('print').addEventListener('change', event => event.matches && unfold());
addEventListener('scroll', hide_tip, {passive: true});
draw_all();
