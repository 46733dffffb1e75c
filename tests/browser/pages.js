// What the tests of all pages share: a browser, a page that may load nothing and complain of nothing, and axe-core.
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

// Light or dark; and always without smooth scrolling, for a click would meet the page while it still moves.
const setColours = (page, scheme) => page.emulateMediaFeatures([{name: 'prefers-color-scheme', value: scheme},
  {name: 'prefers-reduced-motion', value: 'reduce'}]);

// Opens a file; what its console says, what goes wrong in it and what it asks of the network goes to `complaints`.
async function openPage(browser, file, complaints, script = true) {
  const page = await browser.newPage();
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) complaints.push(`console: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { complaints.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  const own = pathToFileURL(file).href;
  page.on('request', (request) => {
    if (request.url() !== own && !request.url().startsWith('data:')) complaints.push(`request: ${request.url()}`);
  });
  await page.setJavaScriptEnabled(script);
  await page.setViewport({width: 1280, height: 900});
  await setColours(page, 'light');
  await page.goto(own);
  return page;
}

async function expectAccessible(page) {
  // Over the browser's own channel: the page's policy would not let it in otherwise.
  await page.evaluate(axe);
  for (const width of [1280, 390]) {
    for (const scheme of ['light', 'dark']) {
      await page.setViewport({width, height: 900});
      await setColours(page, scheme);
      const found = await page.evaluate(() => window.axe.run());
      assert.ok(found.passes.length > 15);
      assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 200)}`), [], `${width} ${scheme}`);
    }
  }
}

// PREFIX-WIDTH-SCHEME.png, for people to look at.
async function takeScreenshots(page, prefix) {
  fs.mkdirSync(path.dirname(prefix), {recursive: true});
  for (const width of [390, 1280, 2560]) {
    for (const scheme of ['light', 'dark']) {
      await page.setViewport({width, height: {390: 844, 1280: 900, 2560: 1440}[width]});
      await setColours(page, scheme);
      await page.screenshot({path: `${prefix}-${width}-${scheme}.png`, fullPage: true});
    }
  }
}

// `body(browser, complaints, run)` calls `run(name, test)` for each test; the process fails where one fails or where
// a page has complained during it.
async function runTests(chromium, body) {
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

module.exports = {expectAccessible, near, numberIn, openPage, runTests, setColours, takeScreenshots, text};
