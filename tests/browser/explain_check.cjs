// Drives a page of `wainscot explain` in headless Chromium: clicks, moves sliders, reads figures from the page.
//   node explain_check.cjs NODE_MODULES PAGE.html [PICTURES_FOLDER]
// Ends with status 1 and says what is wrong. With a folder, leaves a picture of each step at 390 and 1280 px there.
'use strict';
const path = require('path');
const { createRequire } = require('module');

const [modules, file, pictures] = process.argv.slice(2);
const modulesRequire = createRequire(path.resolve(modules, 'none.js'));
const puppeteer = modulesRequire('puppeteer-core');

const wrong = [];
function expect(is, what) {
  if (!is) wrong.push(what);
}

async function move(page, id, value) {
  await page.$eval('#' + id, (range, v) => {
    range.value = v;
    range.dispatchEvent(new Event('input'));
  }, value);
}
const text = (page, id) => page.$eval('#' + id, (e) => e.textContent);
const number = (page, id, key) => page.$eval('#' + id, (e, k) => Number(e.dataset[k]), key);

/// Some pixels of the picture differ from one another: something was drawn.
const isDrawn = (page, id) => page.$eval('#' + id, (canvas) => {
  const pixels = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
  return new Set(new Uint32Array(pixels.buffer)).size > 3;
});

async function checkMatch(page) {
  const runsHere = await page.$eval('#match-sliders', (e) => !e.hidden);
  const asMapper = await number(page, 'match-result', 'apart');
  if (runsHere) {
    // The program and the page run the same code: rounding apart, the same result.
    expect(asMapper < 1e-9, 'the matcher in the page ends ' + asMapper + ' m from the precomputed match');
    await move(page, 'try-ahead', 0.1);
    const near = await number(page, 'match-result', 'apart');
    expect(near > 1e-9 && near < 0.05, 'from 10 cm ahead the match ends ' + near + ' m off');
    await move(page, 'try-gate', 0.02);
    const narrow = await text(page, 'match-result');
    await move(page, 'try-gate', 0.35);
    expect(narrow !== (await text(page, 'match-result')), 'the gate changes nothing');
    await page.click('#try-reset');
    expect((await number(page, 'match-result', 'apart')) < 1e-9, 'the button does not bring the mapper\'s match back');
  } else {
    expect((await text(page, 'match-how')).startsWith('Precomputed'), 'precomputed results are not called so');
    const starts = await page.$$eval('#match-start option', (all) => all.length);
    expect(starts > 1, 'there are no precomputed starts');
    await page.select('#match-start', String(starts - 1));
    expect((await text(page, 'match-result')).includes('precomputed'), 'the result is not called precomputed');
  }
}

async function checkGraph(page) {
  for (let step = 0; step < 4; ++step) await page.click('#graph-next');
  expect(await page.$eval('#graph-next', (b) => b.disabled), 'the last step offers a next one');
  if (!(await page.$eval('#graph-caption', (e) => 'furthest' in e.dataset))) return;
  await move(page, 'graph-iteration', 1000);
  const believed = await number(page, 'graph-caption', 'furthest');
  await page.click('#graph-robust');
  await move(page, 'graph-iteration', 1000);
  const doubted = await number(page, 'graph-caption', 'furthest');
  await page.click('#graph-false');
  await move(page, 'graph-iteration', 1000);
  const without = await number(page, 'graph-caption', 'furthest');
  expect(believed > doubted && doubted >= without - 1e-3, 'furthest nodes: ' + [believed, doubted, without].join(', ') + ' m');
}

async function checkCell(page) {
  const before = await number(page, 'cell-caption', 'logOdds');
  await page.focus('#cell-event');
  await page.keyboard.press('End');
  const after = await number(page, 'cell-caption', 'logOdds');
  expect(after > before && after <= 6, 'the wall\'s log-odds go from ' + before + ' to ' + after);
}

async function takePictures(page) {
  for (const width of [390, 1280]) {
    await page.setViewport({ width, height: 900 });
    for (let step = 0; step < 5; ++step) {
      await page.screenshot({ path: path.join(pictures, 'explain-' + width + '-' + step + '.png'), fullPage: true });
      for (const part of ['match', 'graph', 'cell']) {
        await page.$eval('#' + part + '-next', (b) => b.click());
      }
    }
    for (const part of ['match', 'graph', 'cell']) {
      for (let step = 0; step < 5; ++step) await page.$eval('#' + part + '-back', (b) => b.click());
    }
  }
}

async function main() {
  const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'] });
  const page = await browser.newPage();
  page.setDefaultTimeout(120000);
  page.on('console', (message) => { if (message.type() === 'error') wrong.push('console: ' + message.text()); });
  page.on('pageerror', (error) => wrong.push('error: ' + error.message));
  page.on('request', (request) => { if (!/^(file|data):/.test(request.url())) wrong.push('asked for ' + request.url()); });
  await page.setViewport({ width: 1280, height: 900 });
  await page.goto('file://' + path.resolve(file), { timeout: 120000 });
  await page.waitForFunction(() => document.getElementById('match-result').textContent !== '');
  for (const id of ['match-picture', 'graph-picture', 'cell-picture', 'cell-chart']) {
    expect(await isDrawn(page, id), id + ' is empty');
  }
  const wide = await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);
  expect(!wide, 'the page is wider than the window');
  await checkMatch(page);
  await checkCell(page);
  if (pictures) await takePictures(page);
  await checkGraph(page);
  await page.setViewport({ width: 390, height: 800 });
  expect(!(await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth)), 'at 390 px the page is wider than the window');
  await browser.close();
  for (const what of wrong) console.error(what);
  if (wrong.length === 0) console.log('the page works');
  process.exit(wrong.length > 0 ? 1 : 0);
}
main().catch((error) => { console.error(error); process.exit(1); });
