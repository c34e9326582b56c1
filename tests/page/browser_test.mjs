// report.html in a browser: node browser_test.mjs THUMBLIGHT_ANALYSIS CHROMIUM
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {after, before, test} from 'node:test';
import {pathToFileURL} from 'node:url';
import {chromium} from 'playwright-core';

const [, , program, browser_program] = process.argv;
const axe_source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const hostile = '<script>alert(1)</script>"\'><img src=x onerror=alert(2)>\n\u202Eright\u202C \u{1F3AE}';
const phone = {width: 360, height: 740};
const desktop = {width: 1280, height: 900};
const portions = ['total', 'delivery', 'render', 'screen', 'display', 'remainder'];

let folder;
let browser;

const run = (...words) => execFileSync(program, words, {cwd: folder, encoding: 'utf8'});
const file = name => join(folder, name);
const result_of = name => JSON.parse(readFileSync(join(folder, name, 'result.json'), 'utf8'));
const totals_of = result => result.presses.filter(press => press.total_ms !== null);

/** A film of 12 presses, read and measured; `labels` in place of the preset's. */
function make_session(name, preset, labels, lamp) {
  const settings = JSON.parse(run('rehearse', '--preset', preset, '--print-settings'));
  settings.press.count = 12;
  settings.press.gap_min_s = 0.5;
  settings.press.gap_max_s = 0.7;
  settings.lamp.on_host = lamp;
  Object.assign(settings.setup.labels, labels);
  writeFileSync(file(`${name}.json`), JSON.stringify(settings));
  run('rehearse', name, '--settings', `${name}.json`);
  run('measure', name, '--quiet', ...(lamp ? ['--clock-link', 'lamp'] : []));
}

/** Timings made by hand, without a log. */
function make_table(name, rows) {
  mkdirSync(file(name));
  writeFileSync(join(file(name), 'timings.csv'), ['press_s,light_s', ...rows, ''].join('\n'));
  run('report', name);
}

before(async () => {
  folder = mkdtempSync(join(tmpdir(), 'thumblight-page-'));
  make_session('wireless', 'wireless-pad', {controller: hostile}, false);
  make_session('lamp', 'wired-pad', {controller: 'heron', display: 'lamp panel'}, true);
  run('report', 'wireless', 'lamp', '--out', 'both.html');
  make_table('single', ['1,1.0421']);
  make_table('dark', ['1,', '2,']);
  make_table('thousands', Array.from({length: 2000}, (_, k) => `${k + 1},${(k + 1.04 + 0.004 * Math.sin(k * k)).toFixed(5)}`));
  const some = Array.from({length: 9}, (_, k) => `several-${k}`);
  some.forEach((name, k) => make_table(name, Array.from({length: 10}, (_, press) => `${press + 1},${(press + 1.03 + 0.002 * k + 0.0001 * press).toFixed(5)}`)));
  run('report', ...some, '--out', 'several.html');
  browser = await chromium.launch({executablePath: browser_program, args: ['--no-sandbox']});
});

after(async () => {
  await browser?.close();
  rmSync(folder, {recursive: true, force: true});
});

/** Opens the page with the network cut; whatever it complains of, asks for or pops up fails the test. */
async function visit(name, work, options = {}) {
  const context = await browser.newContext({viewport: desktop, acceptDownloads: true, ...options});
  await context.setOffline(true);
  const page = await context.newPage();
  const complaints = [];
  page.on('console', message => complaints.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', error => complaints.push(String(error)));
  page.on('dialog', dialog => { complaints.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', request => {
    if (!/^(file|data|blob):/.test(request.url())) {
      complaints.push(`request: ${request.url()}`);
    }
  });
  await page.goto(pathToFileURL(file(name)).href);
  await page.waitForFunction(() => document.documentElement.dataset.ready === 'true');
  await work(page);
  await context.close();
  assert.deepEqual(complaints, []);
}

const dots = (page, chart) => page.locator(`#chart-${chart} path[role=button]`);
const plain = text => text.replaceAll('\u2212', '-').replaceAll('\u00a0', ' ');

test('opens without network or complaint, with a mark for each press', async () => {
  await visit('wireless/report.html', async page => {
    const n = totals_of(result_of('wireless')).length;
    assert.ok(n >= 10);
    assert.equal(await dots(page, 'presses').count(), n);
    assert.equal(await dots(page, 'course').count(), n);
    assert.ok(await dots(page, 'phase').count() >= 10);
    for (const chart of ['answer', 'presses', 'distribution', 'portions', 'course', 'phase']) {
      const svg = page.locator(`#chart-${chart} svg`);
      assert.equal(await svg.count(), 1, chart);
      assert.ok((await svg.getAttribute('aria-label')).length > 40, chart);
    }
    assert.equal(await page.locator('script').count(), 3, 'a name has become a script');
    assert.equal(await page.locator('img[src=x]').count(), 0);
    assert.match(await page.locator('main').innerText(), /<script>alert\(1\)<\/script>/);
    assert.doesNotMatch(await page.locator('h1, .kicker, .finding').allInnerTexts().then(all => all.join()), /\u202E/);
  });
});

test('one press, none with a light, and thousands', async () => {
  await visit('single/report.html', async page => {
    assert.equal(await dots(page, 'presses').count(), 1);
    assert.equal(await page.locator('#chart-distribution, #chart-course').count(), 0);
  });
  await visit('dark/report.html', async page => {
    assert.equal(await page.locator('svg').count(), 0);
    assert.match(await page.locator('main').innerText(), /There is nothing to draw/);
  });
  await visit('thousands/report.html', async page => {
    assert.equal(await dots(page, 'presses').count(), 2000);
    const rows = page.locator('table', {hasText: 'Every press in milliseconds'}).locator('tbody tr');
    assert.equal(await rows.count(), 300);
    await page.getByRole('button', {name: 'Show all 2000 presses'}).click();
    assert.equal(await rows.count(), 2000);
  });
});

test('more set-ups than curves can show have a row each, and their pairs are folded', async () => {
  await visit('several.html', async page => {
    const rows = await page.locator('#chart-distribution path').evaluateAll(
      all => new Set(all.map(path => path.__data__.datum?.row).filter(row => row !== undefined)).size);
    assert.equal(rows, 9);
    assert.equal(await dots(page, 'presses').count(), 90);
    const pairs = page.locator('.pair');
    assert.equal(await pairs.count(), 0);
    await page.getByText('The 36 pairs, portion by portion').click();
    await pairs.nth(35).waitFor();
    assert.equal(await pairs.count(), 36);
  });
});

test('shows the numbers of result.json', async () => {
  await visit('lamp/report.html', async page => {
    const result = result_of('lamp');
    const rows = await page.locator('table', {hasText: 'Every press in milliseconds'}).locator('tbody tr').evaluateAll(
      all => all.map(row => [...row.children].map(cell => cell.textContent)));
    assert.equal(rows.length, result.presses.length);
    result.presses.forEach((press, k) => portions.forEach((portion, column) => {
      const shown = plain(rows[k][column + 1]);
      const digits = (shown.split('.')[1] || '').length;
      assert.ok(Math.abs(Number(shown) - press[`${portion}_ms`]) <= 0.5000001 * 10 ** -digits, `${portion} of press ${k}: ${shown}`);
    }));
    const summary = await page.locator('table', {hasText: 'Each portion in milliseconds'}).locator('tbody tr').evaluateAll(
      all => all.map(row => [...row.children].map(cell => cell.textContent)));
    portions.forEach((portion, k) => {
      const {mean, ci95} = result.summary[`${portion}_ms`];
      const digits = (summary[k][2].split('.')[1] || '').length;
      assert.equal(plain(summary[k][2]), mean.toFixed(digits), portion);
      assert.equal(plain(summary[k][3]), `${ci95[0].toFixed(digits)} to ${ci95[1].toFixed(digits)}`, portion);
    });
  });
});

test('the bar of the answer is as long as its portions', async () => {
  await visit('lamp/report.html', async page => {
    const {summary} = result_of('lamp');
    const widths = await page.locator('#chart-answer .mark-rect path').evaluateAll(
      all => all.filter(path => path.__data__.datum?.part).map(path => path.getBBox().width));
    const means = ['delivery', 'render', 'screen'].map(portion => summary[`${portion}_ms`].mean);
    assert.equal(widths.length, means.length);
    widths.forEach((width, k) => assert.ok(Math.abs(width / widths[0] / (means[k] / means[0]) - 1) < 0.02, `${widths} ${means}`));
  });
});

test('bounds are drawn as hatched stretches, and never as points', async () => {
  await visit('wireless/report.html', async page => {
    const drawn = await page.evaluate(() => {
      const shown = [...document.querySelectorAll('#chart-portions path')].map(path => path.__data__?.datum).filter(datum => datum?.part);
      return {points: shown.filter(datum => datum.kind !== 'value' && !datum.open).map(datum => datum.part),
        hatched: [...new Set(shown.filter(datum => datum.open).map(datum => datum.part))]};
    });
    assert.deepEqual(drawn.points, []);
    assert.deepEqual(drawn.hatched.sort(), ['delivery', 'display', 'screen']);
  });
});

test('hover shows a press, a click its frames, and Escape goes back', async () => {
  await visit('wireless/report.html', async page => {
    const dot = dots(page, 'presses').first();
    const label = await dot.getAttribute('aria-label');
    await dot.hover();
    const tip = page.locator('#tip');
    await tip.waitFor({state: 'visible'});
    assert.ok(label.startsWith(await tip.innerText()));
    assert.match(label, /^press \d+: total \d+\.\d+ ms/);
    await dot.click();
    const picture = page.locator('#frames img');
    assert.ok(await picture.evaluate(img => img.decode().then(() => img.naturalWidth)) > 300);
    assert.match(await page.locator('#frames-title').innerText(), new RegExp(`^Press ${label.match(/\d+/)[0]}$`));
    await page.keyboard.press('Escape');
    assert.equal(await page.locator('#frames[open]').count(), 0);
  });
});

async function saved(page, chart, ending) {
  const [download] = await Promise.all([page.waitForEvent('download'),
    page.locator(`figure:has(#chart-${chart}) button.save`, {hasText: ending.toUpperCase()}).click()]);
  assert.equal(download.suggestedFilename(), `${chart}.${ending}`);
  return readFileSync(await download.path());
}

test('charts save as PNG and as SVG, with their finding, in colours of their own', async () => {
  await visit('wireless/report.html', async page => {
    const png = await saved(page, 'answer', 'png');
    assert.equal(png.subarray(1, 4).toString(), 'PNG');
    assert.ok(png.readUInt32BE(16) >= 1700);
    assert.ok(png.readUInt32BE(20) >= 400, 'the title has squeezed the chart');
    for (const chart of ['answer', 'distribution']) {
      const svg = (await saved(page, chart, 'svg')).toString();
      assert.match(svg, /^<svg/);
      assert.doesNotMatch(svg, /var\(--|<script/);
      const finding = await page.locator(`figure:has(#chart-${chart}) .finding`).innerText();
      assert.ok(svg.includes(plain(finding).split(' ').slice(0, 3).join(' ')), finding);
    }
  }, {colorScheme: 'dark'});
});

test('a phone of 360 px scrolls downwards alone', async () => {
  for (const name of ['wireless/report.html', 'both.html']) {
    await visit(name, async page => {
      await page.evaluate(() => document.querySelectorAll('details').forEach(details => { details.open = true; }));
      const width = () => page.evaluate(() => document.documentElement.scrollWidth);
      assert.equal(await width(), phone.width);
      const wide = await page.evaluate(() => [...document.querySelectorAll('main *')].filter(
        found => !found.closest('.scroll, svg, .skip') && found.getBoundingClientRect().right > innerWidth + 1).map(found => found.outerHTML.slice(0, 80)));
      assert.deepEqual(wide, []);
      await dots(page, 'presses').first().click();
      assert.equal(await width(), phone.width);
      assert.ok(await page.locator('#frames').evaluate(dialog => dialog.scrollWidth <= dialog.clientWidth));
    }, {viewport: phone});
  }
});

test('on paper nothing is folded or cut', async () => {
  await visit('both.html', async page => {
    const pdf = await page.pdf({format: 'A4', margin: {left: '15mm', right: '15mm', top: '15mm', bottom: '15mm'}});
    assert.equal(pdf.subarray(0, 5).toString(), '%PDF-');
    assert.equal(await page.locator('details:not([open])').count(), 0);
    await page.setViewportSize({width: 680, height: 900});
    await page.emulateMedia({media: 'print'});
    const cut = await page.evaluate(() => [...document.querySelectorAll('main *')].filter(
      found => !found.closest('svg') && found.getBoundingClientRect().right > innerWidth + 1).map(found => found.outerHTML.slice(0, 80)));
    assert.deepEqual(cut, []);
  }, {colorScheme: 'dark'});
});

test('the keyboard alone reaches everything', async () => {
  await visit('wireless/report.html', async page => {
    const wanted = await page.evaluate(() => {
      const all = [...document.querySelectorAll('a.skip, main button, main summary, main .scroll, main [tabindex="0"]')]
        .filter(found => found.checkVisibility());
      all.forEach((found, k) => { found.dataset.stop = k; });
      return all.length;
    });
    const reached = new Set();
    for (let k = 0; k < wanted + 5; ++k) {
      await page.keyboard.press('Tab');
      reached.add(await page.evaluate(() => document.activeElement.dataset.stop));
    }
    reached.delete(undefined);
    assert.equal(reached.size, wanted);

    await dots(page, 'presses').first().evaluate(() => document.querySelector('#chart-presses [tabindex="0"]').focus());
    const first = await page.evaluate(() => document.activeElement.getAttribute('aria-label'));
    await page.keyboard.press('ArrowRight');
    const second = await page.evaluate(() => document.activeElement.getAttribute('aria-label'));
    assert.notEqual(first, second);
    assert.ok(second.startsWith(await page.locator('#tip').innerText()));
    await page.keyboard.press('Enter');
    assert.equal(await page.locator('#frames[open] img').count(), 1);
    await page.keyboard.press('Escape');
    assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-label')), second);
  });
});

for (const colorScheme of ['light', 'dark']) {
  test(`axe finds no violation (${colorScheme})`, async () => {
    for (const name of ['wireless/report.html', 'both.html']) {
      await visit(name, async page => {
        await page.evaluate(() => document.querySelectorAll('details').forEach(details => { details.open = true; }));
        const check = async where => {
          const found = await page.evaluate(async () => (await axe.run(document)).violations.map(
            violation => `${violation.id}: ${violation.nodes.slice(0, 3).map(node => node.html.slice(0, 160)).join(' | ')}`));
          assert.deepEqual(found, [], `${name}, ${where}`);
        };
        await page.evaluate(source => { (0, eval)(source); }, axe_source);
        await check('page');
        await dots(page, 'presses').first().click();
        await check('frames');
      }, {colorScheme, bypassCSP: true});
    }
  });
}
