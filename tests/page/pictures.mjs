// Pictures of report.html for the README: node pictures.mjs THUMBLIGHT_ANALYSIS CHROMIUM FOLDER
import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';
import {chromium} from 'playwright-core';

const [program, browser_program, pictures] = process.argv.slice(2).map(path => resolve(path));
const folder = mkdtempSync(join(tmpdir(), 'thumblight-pictures-'));
const run = (...words) => execFileSync(program, words, {cwd: folder, encoding: 'utf8'});

/** A session of 40 presses, with a lamp that the harness switches or without. */
function measure(name, preset, lamp, labels = {}) {
  const settings = JSON.parse(run('rehearse', '--preset', preset, '--print-settings'));
  settings.press.count = 40;
  settings.lamp.on_host = lamp;
  Object.assign(settings.setup.labels, labels);
  writeFileSync(join(folder, `${name}.json`), JSON.stringify(settings));
  run('rehearse', name, '--settings', `${name}.json`);
  run('measure', name, '--quiet', ...(lamp ? ['--clock-link', 'lamp'] : []));
  return name;
}

const set_ups = [measure('wired', 'wired-pad', false), measure('wireless', 'wireless-pad', false),
                 measure('lamp', 'wireless-pad', true, {display: 'lamp panel'}),
                 measure('television', 'queueing-television', false)];
run('report', ...set_ups, '--out', 'report.html');

const browser = await chromium.launch({executablePath: browser_program, args: ['--no-sandbox']});
for (const [name, viewport, colorScheme] of [['report-1280x800', {width: 1280, height: 800}, 'light'],
                                             ['report-phone', {width: 400, height: 880}, 'dark']]) {
  const page = await (await browser.newContext({viewport, colorScheme})).newPage();
  await page.goto(pathToFileURL(join(folder, 'report.html')).href);
  await page.waitForLoadState();
  await page.screenshot({path: join(pictures, `${name}.png`)});
}
await browser.close();
rmSync(folder, {recursive: true, force: true});
