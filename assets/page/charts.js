'use strict';

/** The charts as Vega-Lite specifications. Each function takes what it shows and gives a function of theme and width,
 *  so that the same chart serves page, paper and saved picture. */

const schema = 'https://vega.github.io/schema/vega-lite/v6.json';
const ms = 'milliseconds';

function layered(theme, width, height, layer) {
  return {
    $schema: schema, width, height, autosize: {type: 'fit-x', contains: 'padding'}, padding: 4,
    layer: layer.filter(part => !part.data || part.data.values.length), config: config(theme),
  };
}

/** Slanted strokes over a stretch: what the evidence leaves open is never filled. */
function hatch(from, to, step) {
  const strokes = [];
  for (let at = from + step / 2; at < to; at += step) {
    strokes.push(at);
  }
  return strokes;
}

const slant = 'M-0.28,1L0.28,-1';

function hatched(theme, height, offset) {
  const place = {x: {field: 'from', type: 'quantitative'}, x2: {field: 'to'}};
  return [
    {
      transform: [{filter: 'datum.open'}],
      mark: {type: 'bar', height, yOffset: offset, fill: theme.back, stroke: theme.ink, strokeWidth: 1, strokeDash: [3, 2]},
      encoding: {...place, tooltip: {field: 'tip'}},
    },
    {
      transform: [{filter: 'datum.open'}, {flatten: ['strokes']}],
      mark: {type: 'point', shape: slant, size: height * height * 0.8, yOffset: offset, stroke: theme.ink, strokeWidth: 1,
             opacity: 0.75},
      encoding: {x: {field: 'strokes', type: 'quantitative'}, tooltip: {field: 'tip'}},
    },
  ];
}

function x_axis(title, domain) {
  return {
    type: 'quantitative', title,
    scale: {domain, nice: false, zero: false},
    axis: {grid: true, tickCount: 6, domain: false},
  };
}

/** The stretches of one set-up's bar, from press to light. */
function stretches(session) {
  const of = session.portions;
  const total = of.total;
  if (total.kind !== 'value') {
    return [];
  }
  const parts = [];
  let at = 0;
  const add = (part, length, tip, open) => {
    if (length > 0) {
      parts.push({part, from: at, to: at + length, tip, open: Boolean(open)});
      at += length;
    }
  };
  const tip = part => `${session.name}\n${part}: ${of[part].text}`;
  if (of.delivery.kind === 'value' && of.render.kind === 'value' && of.screen.kind === 'value') {
    for (const part of ['delivery', 'render', 'screen']) {
      add(part, of[part].mean, tip(part));
    }
  } else if (of.render.kind === 'value' && of.remainder.kind === 'value') {
    const bounded = of.delivery.kind !== 'unknown' && of.screen.kind !== 'unknown';
    const least = part => (bounded ? Math.max(0, of[part].low) : 0);
    const open = of.remainder.mean - least('delivery') - least('screen');
    add('delivery', least('delivery'), tip('delivery'));
    add('either', open, `${session.name}\ndelivery or screen: ${bounded ? 'the evidence leaves open which'
      : 'not told apart'}\ndelivery: ${of.delivery.text}\nscreen: ${of.screen.text}`, true);
    add('render', of.render.mean, tip('render'));
    add('screen', least('screen'), tip('screen'));
  } else {
    add('total', total.mean, tip('total'));
  }
  return parts;
}

/** A bar for each set-up, with the interval of its total beneath it. */
function answer_chart(sessions) {
  const known = sessions.filter(session => session.portions.total.kind === 'value');
  const ends = known.map(session => session.portions.total.high ?? session.portions.total.mean);
  const top = Math.max(...ends, ...known.map(session => session.portions.total.mean)) * 1.03;
  const parts = [...new Set(known.flatMap(session => stretches(session).map(stretch => stretch.part)))];
  const solid = ['delivery', 'render', 'screen', 'total'].filter(part => parts.includes(part));
  return (theme, width) => {
    const step = top / width * 7;
    const bars = known.flatMap((session, row) => stretches(session).map(
      stretch => ({...stretch, row, strokes: stretch.open ? hatch(stretch.from, stretch.to, step) : []})));
    const heads = known.map((session, row) => ({
      row, name: session.name, value: session.portions.total.short, mean: session.portions.total.mean,
      low: session.portions.total.low, high: session.portions.total.high,
      tip: `${session.name}\ntotal: ${session.portions.total.text}`,
    }));
    const whole = {y: {field: 'row', type: 'ordinal', axis: null, scale: {paddingInner: 0, paddingOuter: 0}}};
    const interval = {data: {values: heads.filter(head => head.low !== null)}};
    return layered(theme, width, known.length * 66, [
      {
        data: {values: bars}, encoding: whole,
        layer: [
          {
            transform: [{filter: '!datum.open'}],
            mark: {type: 'bar', height: 24, yOffset: 4, stroke: theme.back, strokeWidth: 1},
            encoding: {
              x: {field: 'from', ...x_axis(`${ms} from press to light, mean`, [0, top])}, x2: {field: 'to'},
              color: {field: 'part', type: 'nominal', scale: {domain: solid, range: solid.map(part => theme[part])},
                      legend: {symbolType: 'square', direction: 'horizontal'}},
              tooltip: {field: 'tip'},
            },
          },
          ...hatched(theme, 24, 4),
        ],
      },
      {
        ...interval,
        mark: {type: 'rule', yOffset: 24, strokeWidth: 2},
        encoding: {...whole, x: {field: 'low', type: 'quantitative'}, x2: {field: 'high'}, tooltip: {field: 'tip'}},
      },
      ...['low', 'high', 'mean'].map(field => ({
        ...interval,
        mark: {type: 'tick', orient: 'vertical', yOffset: 24, size: field === 'mean' ? 5 : 11, thickness: 2, color: theme.ink},
        encoding: {...whole, x: {field, type: 'quantitative'}, tooltip: {field: 'tip'}},
      })),
      {
        data: {values: heads},
        mark: {type: 'text', align: 'left', baseline: 'bottom', dy: -13, fontWeight: 600, limit: Math.max(120, width - 150)},
        encoding: {...whole, x: {value: 0}, text: {field: 'name'}},
      },
      {
        data: {values: heads},
        mark: {type: 'text', align: 'right', baseline: 'bottom', dy: -13},
        encoding: {...whole, x: {value: 'width'}, text: {field: 'value'}},
      },
    ]);
  };
}

const portion_order = ['total', 'delivery', 'render', 'screen', 'display', 'remainder'];

/** Each portion of one session: a mean with its interval, a hatched stretch for bounds, or words. */
function portions_chart(session) {
  const rows = portion_order.map(part => ({part, ...session.portions[part]}));
  const ends = rows.flatMap(row => [row.mean ?? 0, row.high ?? 0]);
  const lows = rows.flatMap(row => [row.mean ?? 0, row.low ?? 0]);
  const domain = [Math.min(0, ...lows), Math.max(...ends, 1) * 1.05];
  return (theme, width) => {
    const step = (domain[1] - domain[0]) / Math.max(100, width - 80) * 7;
    const shown = rows.map(row => {
      const open = row.kind === 'bounds' || row.kind === 'carried';
      return {...row, open, from: row.low ?? null, to: row.high ?? null, tip: `${row.part}: ${row.text}`,
              strokes: open ? hatch(row.low, row.high, step) : []};
    });
    const y = {field: 'part', type: 'nominal', sort: portion_order, title: null,
               axis: {labelFontSize: 13, labelColor: theme.ink, ticks: false, domain: false, labelPadding: 8}};
    return layered(theme, width, portion_order.length * 32, [
      {
        data: {values: shown}, encoding: {y},
        layer: [
          {
            transform: [{filter: 'datum.kind === "value" && isValid(datum.low)'}],
            mark: {type: 'rule', strokeWidth: 2},
            encoding: {x: {field: 'low', ...x_axis(`${ms}, mean over the presses`, domain)}, x2: {field: 'high'}, tooltip: {field: 'tip'}},
          },
          {
            transform: [{filter: 'datum.kind === "value"'}],
            mark: {type: 'point', filled: true, size: 90, opacity: 1, stroke: theme.ink, strokeWidth: 1.5},
            encoding: {
              x: {field: 'mean', type: 'quantitative'}, tooltip: {field: 'tip'},
              fill: {field: 'part', type: 'nominal', legend: null,
                     scale: {domain: portion_order, range: portion_order.map(part => theme[part] || theme.ink)}},
            },
          },
          ...hatched(theme, 16, 0),
          {
            transform: [{filter: 'datum.kind === "unknown"'}],
            mark: {type: 'text', align: 'left', fontStyle: 'italic', color: theme.quiet},
            encoding: {x: {value: 6}, text: {value: missing}},
          },
        ],
      },
    ]);
  };
}

/** What a press says when it is pointed at. */
function press_tip(session, place) {
  const press = session.presses[place];
  const parts = portion_order.filter(part => press.cells[part] !== null).map(part => `${part} ${press.cells[part]} ms`);
  const flags = press.flags.length ? `\n${press.flags.join(', ')}` : '';
  return `press ${press.name}: ${parts.join(', ')}${flags}`;
}

function totals(session) {
  return session.result.presses.map((press, place) => ({place, ms: press.left_out === null ? press.total_ms : null}))
    .filter(press => press.ms !== null);
}

/** Dots that do not cover one another: each as near the middle line as there is room. */
function swarm(values, domain, width, radius) {
  const scale = width / (domain[1] - domain[0] || 1);
  const most = Math.floor(70 / (2 * radius + 1));
  const last = new Map();
  const levels = new Map();
  let overflows = false;
  for (const value of [...values].sort((a, b) => a.ms - b.ms)) {
    const x = value.ms * scale;
    let level = 0;
    let tried = 0;
    for (; tried <= 2 * most; ++tried) {
      level = tried % 2 ? (tried + 1) / 2 : -tried / 2;
      if (!(x - (last.get(level) ?? -Infinity) < 2 * radius + 1)) {
        break;
      }
    }
    overflows = overflows || tried > 2 * most;
    last.set(level, x);
    levels.set(value.place, level);
  }
  return {levels, overflows, radius};
}

/** The largest dots of which all sessions' find room. */
function swarms(lists, domain, width) {
  const made = radius => lists.map(list => swarm(list, domain, width, radius));
  const radii = lists.length === 1 && lists[0].length <= 100 ? [6, 4.5, 3, 2, 1.2] : [4.5, 3, 2, 1.2];
  return radii.map(made).find(all => !all.some(one => one.overflows)) ?? made(1.2);
}

function domain_of(values) {
  const low = Math.min(...values);
  const high = Math.max(...values);
  const margin = Math.max((high - low) * 0.06, 0.5);
  return [low - margin, high + margin];
}

function least_and_most(lists) {
  let low = Infinity;
  let high = -Infinity;
  for (const list of lists) {
    for (const value of list) {
      low = Math.min(low, value.ms);
      high = Math.max(high, value.ms);
    }
  }
  return [low, high];
}

/** Every press as a dot, a band for each session, its mean and interval beneath. */
function presses_chart(sessions) {
  const lists = sessions.map(totals);
  const domain = domain_of(least_and_most(lists));
  return (theme, width) => {
    const found = swarms(lists, domain, width);
    const {radius} = found[0];
    const dots = [];
    const heads = [];
    let height = 0;
    sessions.forEach((session, row) => {
      const {levels} = found[row];
      const reach = Math.max(1, ...[...levels.values()].map(Math.abs));
      const middle = height + 34 + reach * (2 * radius + 1);
      for (const {place, ms: value} of lists[row]) {
        dots.push({session: session.place, place, ms: value, y: middle + levels.get(place) * (2 * radius + 1),
                   apart: session.outliers.includes(place), tip: press_tip(session, place)});
      }
      const beneath = middle + reach * (2 * radius + 1) + 14;
      heads.push({name: session.name, count: `${lists[row].length} ${lists[row].length === 1 ? 'press' : 'presses'}`,
                  top: height + 16, beneath, ...session.portions.total, tip: `mean: ${session.portions.total.text}`});
      height = beneath + 16;
    });
    const y = field => ({field, type: 'quantitative', axis: null, scale: {domain: [height, 0], nice: false, zero: false}});
    const x = field => ({field, type: 'quantitative'});
    return layered(theme, width, height, [
      {
        name: 'presses', data: {values: dots},
        mark: {type: 'point', filled: true, opacity: 1, strokeWidth: radius > 2 ? 1 : 0, size: Math.PI * radius * radius, cursor: 'pointer'},
        encoding: {
          x: {field: 'ms', ...x_axis(`total, ${ms} from press to light`, domain)}, y: y('y'),
          shape: {condition: {test: 'datum.apart', value: 'diamond'}, value: 'circle'},
          fill: {condition: {test: 'datum.apart', value: theme.render}, value: theme.delivery},
          stroke: {value: theme.back},
          tooltip: {field: 'tip'},
        },
      },
      {
        data: {values: heads.filter(head => (head.low ?? null) !== null)},
        mark: {type: 'rule', strokeWidth: 2},
        encoding: {x: x('low'), x2: {field: 'high'}, y: y('beneath'), tooltip: {field: 'tip'}},
      },
      {
        data: {values: heads.filter(head => head.kind === 'value')},
        mark: {type: 'tick', orient: 'vertical', thickness: 2, size: 10, color: theme.ink},
        encoding: {x: x('mean'), y: y('beneath'), tooltip: {field: 'tip'}},
      },
      {
        data: {values: heads},
        mark: {type: 'text', align: 'left', fontWeight: 600, limit: Math.max(120, width - 110)},
        encoding: {x: {value: 0}, y: y('top'), text: {field: 'name'}},
      },
      {
        data: {values: heads},
        mark: {type: 'text', align: 'right', color: theme.quiet},
        encoding: {x: {value: 'width'}, y: y('top'), text: {field: 'count'}},
      },
    ]);
  };
}

/** Values in order, each with the share of presses up to it. */
function steps(session) {
  const sorted = totals(session).sort((a, b) => a.ms - b.ms);
  return sorted.map((press, k) => ({
    session: session.place, name: session.name, place: press.place, ms: press.ms, share: (k + 1) / sorted.length,
    tip: `${session.name}: ${Math.round(100 * (k + 1) / sorted.length)} % of the presses take no longer\n${press_tip(session, press.place)}`,
  }));
}

/** Camera's frame and display's refresh, where they are known and the same for all. */
function lengths_of(sessions) {
  return [['one frame of the camera', sessions.map(session => session.frame)],
          ['one refresh of the display', sessions.map(session => session.refresh)]]
    .filter(([, all]) => all[0] !== null && all.every(length => length !== null && Math.abs(length.ms - all[0].ms) < 0.02 * all[0].ms))
    .map(([name, all]) => ({name, ms: all[0].ms, text: all[0].text}));
}

/** As many curves as can be told apart. */
const most_curves = 6;

function quantile(sorted, share) {
  const at = (sorted.length - 1) * share;
  const low = Math.floor(at);
  return sorted[low] + (at - low) * ((sorted[low + 1] ?? sorted[low]) - sorted[low]);
}

/** Where there are too many set-ups for curves: a row each, with the middle press, the middle half and nine in ten. */
function ranges_chart(sessions) {
  const rows = sessions.map((session, row) => {
    const sorted = totals(session).map(press => press.ms).sort((a, b) => a - b);
    const {median, p05, p95} = session.portions.total;
    return {row, name: session.name, p05: quantile(sorted, 0.05), p25: quantile(sorted, 0.25), p50: quantile(sorted, 0.5),
            p75: quantile(sorted, 0.75), p95: quantile(sorted, 0.95),
            tip: `${session.name}\nhalf of the presses take no longer than ${median} ms; nine in ten lie between ${p05} and ${p95} ms`};
  });
  const domain = domain_of([Math.min(...rows.map(row => row.p05)), Math.max(...rows.map(row => row.p95))]);
  return (theme, width) => {
    const y = {field: 'row', type: 'ordinal', axis: null, scale: {paddingInner: 0, paddingOuter: 0}};
    const x = field => ({field, type: 'quantitative'});
    return layered(theme, width, rows.length * 40, [
      {
        data: {values: rows}, encoding: {y, tooltip: {field: 'tip'}},
        layer: [
          {mark: {type: 'rule', yOffset: 8, strokeWidth: 2, color: theme.delivery},
           encoding: {x: {field: 'p05', ...x_axis(`total, ${ms} from press to light`, domain)}, x2: {field: 'p95'}}},
          {mark: {type: 'bar', yOffset: 8, height: 9, fill: theme.delivery}, encoding: {x: x('p25'), x2: {field: 'p75'}}},
          {mark: {type: 'tick', orient: 'vertical', yOffset: 8, size: 17, thickness: 3, color: theme.ink}, encoding: {x: x('p50')}},
          {mark: {type: 'text', align: 'left', dy: -9, fontWeight: 600, limit: width - 20}, encoding: {x: {value: 0}, text: {field: 'name'}}},
        ],
      },
    ]);
  };
}

/** The empirical distribution, with the camera's frame and the display's refresh as lengths to hold against it. */
function distribution_chart(sessions) {
  const lists = sessions.map(steps);
  const lengths = lengths_of(sessions);
  const [low, high] = least_and_most(lists);
  const margin = Math.max((high - low) * 0.04, 0.5);
  const most = high + margin;
  const domain = [Math.min(low - margin, ...lengths.map(length => most - length.ms * 1.02)), most];
  const names_shown = sessions.map(session => session.name);
  return (theme, width) => {
    const pick = list => sessions.map((_, k) => list[k % list.length]);
    const several = sessions.length > 1;
    const curves = lists.flatMap(list => (list.length ? [{...list[0], share: 0, tip: null}, ...list] : []));
    const bars = lengths.map((length, k) => ({from: most - length.ms, to: most, y: 1.07 + 0.15 * k,
                                              text: `${length.name}, ${length.text}`}));
    const scale = {domain: names_shown};
    const y = {field: 'share', type: 'quantitative', title: 'share of the presses', scale: {domain: [0, 1 + 0.16 * bars.length], nice: false},
               axis: {format: '%', values: [0, 0.2, 0.4, 0.6, 0.8, 1], domain: false, titleAnchor: 'start'}};
    return layered(theme, width, 280, [
      {
        data: {values: curves},
        mark: {type: 'line', interpolate: 'step-after', strokeWidth: 2},
        encoding: {
          x: {field: 'ms', ...x_axis(`total, ${ms} from press to light`, domain)}, y,
          color: {field: 'name', type: 'nominal', scale: {...scale, range: pick(theme.series)},
                  legend: several ? {symbolType: 'stroke', symbolStrokeWidth: 3, symbolSize: 400, columns: width < 500 ? 1 : 3} : {disable: true}},
          strokeDash: {field: 'name', type: 'nominal', scale: {...scale, range: pick(dashes)}, legend: {disable: !several}},
        },
      },
      {
        data: {values: lists.flat()},
        mark: {type: 'point', filled: true, size: 26, opacity: lists.every(list => list.length <= 200) ? 1 : 0},
        encoding: {x: {field: 'ms', type: 'quantitative'}, y: {field: 'share', type: 'quantitative'},
                   color: {field: 'name', type: 'nominal', scale: {...scale, range: pick(theme.series)}},
                   tooltip: {field: 'tip'}},
      },
      {
        data: {values: bars},
        mark: {type: 'rule', strokeWidth: 3, color: theme.quiet},
        encoding: {x: {field: 'from', type: 'quantitative'}, x2: {field: 'to'}, y: {field: 'y', type: 'quantitative'}},
      },
      {
        data: {values: bars},
        mark: {type: 'text', align: 'right', baseline: 'bottom', dy: -5, fontSize: 12, color: theme.quiet},
        encoding: {x: {field: 'to', type: 'quantitative'}, y: {field: 'y', type: 'quantitative'}, text: {field: 'text'}},
      },
    ]);
  };
}

/** Delivery, or how far it lies from its middle, against the place of the submit in a refresh. */
function phase_chart(session) {
  const refresh = session.refresh;
  const values = session.phase.rows.map(row => {
    const turns = row.turns - Math.floor(row.turns);
    return {place: row.press, x: refresh ? turns * refresh.ms : turns, ms: row.ms, session: session.place,
            tip: `press ${session.presses[row.press].name}: delivery ${session.phase.known ? '' : 'about its middle '}${row.text} ms`};
  });
  const y_title = session.phase.known ? `delivery, ${ms}` : `delivery about its middle, ${ms}`;
  return (theme, width) => layered(theme, width, 220, [
    {
      name: 'presses', data: {values},
      mark: {type: 'point', filled: true, size: 64, opacity: 1, color: theme.delivery, stroke: theme.back, strokeWidth: 1, cursor: 'pointer'},
      encoding: {
        x: {field: 'x', ...x_axis(refresh ? `${ms} from the refresh to the submit` : 'share of a refresh before the submit',
                                  [0, refresh ? refresh.ms : 1])},
        y: {field: 'ms', type: 'quantitative', title: y_title, scale: {zero: false}, axis: {tickCount: 5, domain: false}},
        tooltip: {field: 'tip'},
      },
    },
  ]);
}

/** The session in the order of its presses. */
function course_chart(session) {
  const values = totals(session).map((press, order) => ({
    ...press, order, number: order + 1, session: session.place, apart: session.outliers.includes(press.place),
    tip: press_tip(session, press.place),
  }));
  const {slope, intercept} = session.course;
  const line = slope === null ? [] : [0, values.length - 1].map(order => ({number: order + 1, ms: intercept + slope * order}));
  const mean = session.portions.total.mean;
  return (theme, width) => layered(theme, width, 220, [
    {
      data: {values: line}, mark: {type: 'line', strokeWidth: 2, strokeDash: [6, 3], color: theme.quiet},
      encoding: {x: {field: 'number', type: 'quantitative'}, y: {field: 'ms', type: 'quantitative'}},
    },
    {
      data: {values: [{ms: mean}]}, mark: {type: 'rule', strokeWidth: 1, color: theme.quiet},
      encoding: {y: {field: 'ms', type: 'quantitative'}},
    },
    {
      name: 'presses', data: {values},
      mark: {type: 'point', filled: true, size: 64, opacity: 1, strokeWidth: 1, cursor: 'pointer'},
      encoding: {
        x: {field: 'number', ...x_axis('press, in order', [0, values.length + 1])},
        y: {field: 'ms', type: 'quantitative', title: `total, ${ms}`, scale: {zero: false}, axis: {tickCount: 5, domain: false}},
        shape: {condition: {test: 'datum.apart', value: 'diamond'}, value: 'circle'},
        fill: {condition: {test: 'datum.apart', value: theme.render}, value: theme.delivery},
        stroke: {value: theme.back},
        tooltip: {field: 'tip'},
      },
    },
  ]);
}
