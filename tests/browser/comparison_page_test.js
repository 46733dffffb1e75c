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
  for (const width of [390, 1280]) {
    await page.setViewport({width, height: 900});
    const shown = width < 640 ? '.narrow' : '.wide';
    for (const svg of await page.$$(`figure ${shown} svg[role]`)) {
      const {width: svgWidth, height} = await svg.boundingBox();
      assert.ok(height > 200 && svgWidth <= width);
      assert.ok(await svg.evaluate((element) => element.getAttribute('aria-label').length > 10));
      // Letters are at least 11 pixels high as seen.
      const scale = await svg.evaluate((element) => element.getScreenCTM().a);
      assert.ok(15 * scale >= 11, `letters are ${15 * scale} pixels high at ${width}`);
    }
    assert.equal((await page.$$(`figure ${shown === '.wide' ? '.narrow' : '.wide'} svg[role]`)).length,
      (await page.$$('figure')).length);
  }
  if (json.maps) {
    assert.equal(await page.$$eval('figure:last-of-type .wide circle[r="3"]', (dots) => dots.length), json.maps.rows.length);
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
