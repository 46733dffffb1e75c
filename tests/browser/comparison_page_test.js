// The pages of wainscot compare in headless Chromium: nothing loaded, nothing complained of, axe-core content, and the
// figures those of --json. Run by run.sh, which makes the comparisons:
//   node comparison_page_test.js CHROMIUM WORK_FOLDER
// Screenshots for people go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {axeFindsNothing, firstPicture, main, near, nothingIsWiderThanAPhone, open, takePictures, text} = require('./harness.js');

const [chromium, work] = process.argv.slice(2);
const wanted = (name) => JSON.parse(fs.readFileSync(path.join(work, `${name}.json`), 'utf8'));

// Every table of figures on the page, in its order: [{name: value}].
const figuresOn = (page) => page.$$eval('details', (all) => all.map((element) => Object.fromEntries(
  [...element.querySelectorAll('tbody tr')].map((row) => [row.cells[0].textContent, Number(row.cells[1].textContent)]))));

async function testFigures(page, name) {
  const json = wanted(name);
  const tables = [...json.paths, ...(json.maps ? [json.maps] : [])];
  const found = await figuresOn(page);
  assert.equal(found.length, tables.length);
  assert.ok(tables.length > 0);
  tables.forEach(({figures}, i) => {
    assert.deepEqual(Object.keys(found[i]), Object.keys(figures));
    for (const [figure, value] of Object.entries(figures)) near(found[i][figure], value, 1e-6, figure);
  });
}

async function testPictures(page, name) {
  const json = wanted(name);
  assert.equal((await page.$$('figure')).length, (json.paths.length ? 4 : 0) + (json.maps ? 2 : 0));
  for (const svg of await page.$$('figure svg[role]')) {
    assert.ok((await svg.boundingBox()).height > 200);
    assert.ok(await svg.evaluate((element) => element.getAttribute('aria-label').length > 10));
  }
  if (json.maps) {
    assert.equal(await page.$$eval('figure:last-of-type circle[r="3"]', (dots) => dots.length), json.maps.rows.length);
  }
}

main(chromium, async (browser, complaints, run) => {
  for (const name of ['drift', 'errors', 'loops']) {
    const page = await open(browser, path.join(work, `${name}.html`), complaints);
    console.log(`${name}: ${await firstPicture(page)}`);
    await run(`${name}: figures are those of --json`, () => testFigures(page, name));
    await run(`${name}: pictures of all that is there`, () => testPictures(page, name));
    await run(`${name}: nothing is wider than a phone`, () => nothingIsWiderThanAPhone(page));
    await run(`${name}: figures unfold`, async () => {
      await page.click('summary');
      assert.ok(await page.$eval('details', (element) => element.open));
    });
    await page.$$eval('details', (all) => all.forEach((element) => { element.open = true; }));
    await run(`${name}: axe-core finds nothing, wide and narrow, light and dark`, () => axeFindsNothing(page));
    await run(`${name}: screenshots`, () => takePictures(page, path.join(work, 'screenshots'), `compare-${name}`));
    await page.close();
  }
  const page = await open(browser, path.join(work, 'loops.html'), complaints);
  await run('hostile names stay text', async () => {
    assert.equal(await text(page, 'h1'), '<svg onload=alert(1)>"\'&amp; and compared-map compared');
    assert.equal((await page.$$('[onload], img, script')).length, 0);
  });
});
