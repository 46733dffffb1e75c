// The page of wainscot locate in headless Chromium: nothing loaded, nothing complained of, axe-core content, and what it
// tells is what the table has. Run by run.sh, which makes both:
//   node location_page_test.js CHROMIUM WORK_FOLDER
// Screenshots for people go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {axeFindsNothing, main, nothingIsWiderThanAPhone, numberIn, open, takePictures, text} = require('./harness.js');

const [chromium, work] = process.argv.slice(2);

main(chromium, async (browser, complaints, run) => {
  const rows = fs.readFileSync(path.join(work, 'where.csv'), 'utf8').trim().split('\n').slice(1).map((row) => row.split(','));
  const page = await open(browser, path.join(work, 'where.html'), complaints, null);
  await run('the share found is that of the table', async () => {
    const found = rows.filter((row) => row[7] === 'found').length;
    const told = numberIn((await text(page, '.lead')).split(' was found in ')[1].split(' at ').slice(-3)[0]);
    assert.ok(Math.abs(told - 100 * found / rows.length) <= 0.5 + 0.01 * told, `${told} of ${found}`);
  });
  await run('a stretch in the table for each change of the answer', async () => {
    const changes = rows.filter((row, i) => i === 0 || row[7] !== rows[i - 1][7]).length;
    assert.equal((await page.$$('tbody tr')).length, changes);
  });
  await run('the pictures say what they are', async () => {
    assert.equal((await page.$$('figure .wide svg[role]')).length, 2);
    for (const svg of await page.$$('figure .wide svg[role]')) {
      assert.ok(await svg.evaluate((element) => element.getAttribute('aria-label').length > 10));
    }
  });
  await run('hostile names stay text', async () => {
    assert.equal(await text(page, 'h1'), 'Where the robot was: <img src=x onerror=alert(1)>"\'&amp; in located-map');
    assert.equal((await page.$$('[onerror], img, script')).length, 0);
  });
  await run('nothing is wider than a phone', () => nothingIsWiderThanAPhone(page));
  await run('axe-core is content', async () => {
    await page.setJavaScriptEnabled(true);
    await axeFindsNothing(page);
  });
  await takePictures(page, path.join(work, 'screenshots'), 'location');
});
