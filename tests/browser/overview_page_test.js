// The page of wainscot overview in headless Chromium: what it tells is what the table has, it sorts, searches and turns
// pages, nothing is loaded, nothing complained of, axe-core content. Run by run.sh, which makes page and table:
//   node overview_page_test.js CHROMIUM WORK_FOLDER
// Screenshots for people go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {axeFindsNothing, firstPicture, main, nothingIsWiderThanAPhone, open, takePictures, text} = require('./harness.js');

const [chromium, work] = process.argv.slice(2);
const hostile = '<img src=x onerror=alert(1)>"\'&amp;';

// A line of the table into cells (RFC 4180).
function cellsOf(line) {
  return [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map(([, quoted, plain]) =>
    quoted === undefined ? plain : quoted.replace(/""/g, '"'));
}

main(chromium, async (browser, complaints, run) => {
  const [header, ...lines] = fs.readFileSync(path.join(work, 'houses.csv'), 'utf8').trim().split('\n').map(cellsOf);
  const column = (name) => lines.map((cells) => cells[header.indexOf(name)]);
  const page = await open(browser, path.join(work, 'houses.html'), complaints, '#rows tr');
  const names = () => page.$$eval('#rows th', (cells) => cells.map((cell) => cell.textContent));
  const press = (label) => page.$$eval('thead button', (buttons, wanted) =>
    buttons.find((button) => button.textContent === wanted).click(), label);
  const sorted = () => page.$$eval('th[aria-sort]', (cells) => cells.map((cell) => [cell.textContent, cell.ariaSort]));
  const look = async (words) => {
    await page.$eval('#filter', (input, value) => {
      input.value = value;
      input.dispatchEvent(new Event('input'));
    }, words);
  };

  await run('a hundred rows at a time, in the order of the table', async () => {
    assert.ok(lines.length > 100);
    assert.deepEqual(await names(), column('name').slice(0, 100));
    assert.equal(await text(page, '#shown'), `Drives 1 to 100 of ${lines.length}.`);
    await page.click('#later');
    assert.deepEqual(await names(), column('name').slice(100, 200));
    await page.click('#earlier');
    assert.equal(await page.$eval('#earlier', (button) => button.disabled), true);
  });
  await run('it sorts by every column, both ways, and says so', async () => {
    const labels = await page.$$eval('thead button', (buttons) => buttons.map((button) => button.textContent));
    assert.ok(labels.length > 15);
    for (const label of labels) {
      await press(label);
      assert.equal((await sorted())[0][0], label);
    }
    await press('A place');
    assert.deepEqual(await sorted(), [['A place', 'ascending']]);
    await press('A place');
    assert.deepEqual(await sorted(), [['A place', 'descending']]);
    assert.equal(await page.evaluate(() => document.activeElement.textContent), 'A place');
    const worst = lines.map((cells) => [Number(cells[header.indexOf('place_sd_m')]), cells[0]])
      .sort(([a], [b]) => b - a)[0][1];
    assert.equal((await names())[0], worst);
    await press('Drive');
  });
  await run('what is not known comes last either way', async () => {
    for (let i = 0; i < 2; ++i) {
      await press('Way driven');
      await page.click('#later');
      assert.equal((await page.$$eval('#rows tr:last-child p', (parts) => parts[0].textContent)).split(',')[0], 'failed');
    }
    await press('Drive');
  });
  await run('it finds words in names, verdicts and differences', async () => {
    await look('failed status');
    const failed = lines.filter((cells) => cells[1] === 'failed').map(([name]) => name);
    assert.ok(failed.length > 0);
    assert.deepEqual(await names(), failed);
    await look('DIFFERS track_width');
    assert.deepEqual(await names(), lines.filter((cells) => cells[header.indexOf('differs')].includes('track_width'))
      .map(([name]) => name));
    assert.ok((await text(page, '#rows td.doubt')).includes("sisters' "), 'outliers are told in words');
    await look('no such words');
    assert.deepEqual(await names(), []);
    assert.ok((await text(page, '#shown')).startsWith('None of '));
    await look('');
  });
  await run('constants can be left out', async () => {
    const count = async () => (await page.$$('thead th')).length;
    const before = await count();
    await page.click('#wide');
    assert.equal(await count(), before - header.filter((name) => name.startsWith('sd_')).length);
    await page.click('#wide');
  });
  await run('plots have words', async () => {
    assert.ok((await page.$$('main ul > li')).length > 0);
    const options = await page.$$eval('#constant option', (all) => all.map((option) => option.value));
    for (const value of options) {
      await page.select('#constant', value);
      assert.ok((await text(page, '#told')).includes('median'));
      assert.ok(await page.$eval('#plot .rod', (rods) => rods.getAttribute('d').split('M').length) > 6);
      assert.ok(!(await page.$eval('#plot', (plot) => plot.innerHTML)).includes('NaN'));
    }
  });
  await run('pictures of the maps', async () => {
    const sizes = await page.$$eval('#rows img', (all) => all.map((image) => Math.max(image.naturalWidth, image.naturalHeight)));
    assert.ok(sizes.length > 90);
    assert.ok(sizes.every((size) => size > 20 && size <= 72));
  });
  await run('hostile names stay text', async () => {
    await look('onerror');
    assert.deepEqual(await names(), [hostile]);
    assert.equal((await page.$$('[onerror], [src="x"]')).length, 0);
    await look('');
  });
  await run('a phone has cards, and a list to sort by', async () => {
    await page.setViewport({width: 390, height: 844});
    assert.equal(await page.$eval('thead', (head) => getComputedStyle(head).display), 'none');
    await page.select('#order', '1');
    await page.click('#turned');
    assert.ok((await page.$eval('#rows tr p', (part) => part.textContent)).startsWith('failed'));
    await page.click('#turned');
    await page.select('#order', '0');
    await page.setViewport({width: 1280, height: 900});
  });
  await run('nothing is wider than a phone', () => nothingIsWiderThanAPhone(page));
  await run('axe-core is content', () => axeFindsNothing(page));
  console.log(await firstPicture(page));
  await takePictures(page, path.join(work, 'screenshots'), 'overview');
});
