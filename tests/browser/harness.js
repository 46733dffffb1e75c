// What the tests of the pages share: a page opened in headless Chromium with an eye on all that it says and asks for, the
// checks that hold for every page, and the runner. Smooth scrolling is off throughout, for a click would meet the page
// while it still moves.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {pathToFileURL} = require('node:url');
const puppeteer = require('puppeteer-core');
const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const near = (found, wanted, within, what = '') =>
  assert.ok(Math.abs(found - wanted) <= within, `${what} ${found} is not within ${within} of ${wanted}`);
const text = (page, selector) => page.$eval(selector, (element) => element.textContent);
const numberIn = (words) => Number(words.replace('−', '-').replace(/,/g, '').match(/-?[0-9.]+/)[0]);
// A length for people, back to metres.
const metres = (words) => {
  const [, value, unit] = words.replace('−', '-').match(/(-?[0-9.]+) (mm|m)\b/);
  return Number(value) / (unit === 'mm' ? 1000 : 1);
};

const setColours = (page, scheme) => page.emulateMediaFeatures([{name: 'prefers-color-scheme', value: scheme},
  {name: 'prefers-reduced-motion', value: 'reduce'}]);

// `complaints` gets what a page says in error or asks for beside itself; `ready`: a selector, or null where no script runs.
async function open(browser, file, complaints, ready) {
  const page = await browser.newPage();
  page.setDefaultTimeout(120000);
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) complaints.push(`console: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { complaints.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  const own = pathToFileURL(file).href;
  page.on('request', (request) => {
    if (request.url() !== own && !request.url().startsWith('data:')) complaints.push(`request: ${request.url()}`);
  });
  await page.setJavaScriptEnabled(ready !== null);
  await page.setViewport({width: 1280, height: 900});
  await setColours(page, 'light');
  await page.goto(own);
  if (ready) await page.waitForSelector(ready);
  return page;
}

async function nothingIsWiderThanAPhone(page) {
  await page.setViewport({width: 390, height: 844, deviceScaleFactor: 1});
  const wide = await page.$$eval('main *, header *', (all) => all.filter((element) => !element.closest('.table, svg') &&
    element.getBoundingClientRect().right > 390).map((element) => `${element.tagName} ${element.id} ${element.className}`));
  assert.deepEqual(wide, []);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= 390);
  await page.setViewport({width: 1280, height: 900});
}

const allLooks = [[1280, 'light'], [1280, 'dark'], [390, 'light'], [390, 'dark']];
async function axeFindsNothing(page, looks = allLooks) {
  // Over the browser's own channel: the page's policy would not let it in otherwise.
  await page.evaluate(axe);
  for (const [width, scheme] of looks) {
    await page.setViewport({width, height: 900});
    await setColours(page, scheme);
    const found = await page.evaluate(() => window.axe.run());
    assert.ok(found.passes.length > 15);
    assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 200)}`), [], `${width} ${scheme}`);
  }
}

// For people, at three widths, light and dark: FOLDER/NAME-WIDTH-SCHEME.png.
async function takePictures(page, folder, name) {
  fs.mkdirSync(folder, {recursive: true});
  for (const width of [390, 1280, 2560]) {
    for (const scheme of ['light', 'dark']) {
      await page.setViewport({width, height: {390: 844, 1280: 900, 2560: 1440}[width]});
      await setColours(page, scheme);
      await page.screenshot({path: path.join(folder, `${name}-${width}-${scheme}.png`), fullPage: true});
    }
  }
}

// The browser records its first paint only when it has drawn a frame, which a busy machine may do after the page has
// loaded: wait for the record, and on a machine that draws none say so, since the time is printed and never judged.
async function firstPicture(page) {
  const milliseconds = await page.evaluate(() => new Promise((resolve) => {
    new PerformanceObserver((list, observer) => {
      for (const entry of list.getEntriesByName('first-contentful-paint')) {
        observer.disconnect();
        resolve(entry.startTime);
      }
    }).observe({type: 'paint', buffered: true});
    setTimeout(() => resolve(null), 10000);
  }));
  return milliseconds === null ? 'the browser recorded no first picture' : `first picture after ${milliseconds.toFixed(0)} ms`;
}

// Runs `body(browser, complaints, run)`; each `run(name, test)` fails by an exception or by what the pages complained of.
async function main(chromium, body) {
  const browser = await puppeteer.launch({executablePath: chromium, args: ['--no-sandbox', '--disable-gpu'],
    timeout: 120000, protocolTimeout: 600000});
  const complaints = [];
  let failed = 0;
  const run = async (name, test) => {
    try {
      await test();
      assert.deepEqual(complaints.splice(0), []);
      console.log(`ok: ${name}`);
    } catch (error) {
      ++failed;
      console.log(`FAILED: ${name}\n${error.stack}`);
    }
  };
  try {
    await body(browser, complaints, run);
  } finally {
    await browser.close();
  }
  console.log(failed ? `${failed} failed` : 'all passed');
  process.exitCode = failed ? 1 : 0;
}

module.exports = {near, text, numberIn, metres, setColours, open, nothingIsWiderThanAPhone, axeFindsNothing, takePictures,
  firstPicture, main};
