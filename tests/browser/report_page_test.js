// Drives report.html of the demonstration's map in headless Chromium as a person would, and compares what it says with
// the files beside it, and with the plan that the simulated drive was made from. Run by run.sh, which makes the maps:
//   node report_page_test.js CHROMIUM WORK_FOLDER CHECKOUT
// Screenshots for people go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {near, text, numberIn, metres, open, nothingIsWiderThanAPhone, axeFindsNothing, takePictures, firstPicture, main} =
  require('./harness.js');

const [chromium, work] = process.argv.slice(2);
const summary = JSON.parse(fs.readFileSync(path.join(work, 'map/summary.json'), 'utf8'));
const csv = (name) => fs.readFileSync(path.join(work, 'map', name), 'utf8').split('\n')
  .filter((line) => line && !line.startsWith('#')).slice(1).map((line) => line.split(',').map(Number));
const trajectory = csv('trajectory.csv');
const odometry = csv('odometry.csv');

const tests = [];
const test = (name, body) => tests.push({name, body});
const box = async (page) => (await page.$('#map-svg')).boundingBox();
const view = (page) => page.evaluate(() => window.report.view());

async function setTape(page, on) {
  const pressed = await page.$eval('#tape', (button) => button.getAttribute('aria-pressed'));
  if (pressed !== String(on)) await page.click('#tape');
}

async function clickOnMap(page, x_m, y_m) {
  await page.$eval('#map-svg', (map) => map.scrollIntoView({block: 'center'}));
  const [where, seen] = [await box(page), await view(page)];
  await page.mouse.click(where.x + (x_m - seen.x) / seen.w * where.width,
    where.y + (-y_m - seen.y) / seen.h * where.height);
}

// ------------------------------------------------------------------------------------ the script's functions by themselves

test('numbers are unpacked', async (page) => {
  // 100, 5; then 99, 5 (tests/io/packed_numbers_test.cpp); -2^31 and 10^12, beyond what shifts would hold.
  const unpacked = await page.evaluate(() => [
    window.report.unpack([0xc8, 0x01, 10, 1, 0], 2),
    window.report.unpack([0xff, 0xff, 0xff, 0xff, 0x0f], 1),
    window.report.unpack([0x80, 0xc0, 0xca, 0xf3, 0x84, 0x74 & 0x7f], 1),
  ]);
  assert.deepEqual(unpacked[0], [[100, 99], [5, 5]]);
  assert.deepEqual(unpacked[1], [[-2147483648]]);
  assert.ok(unpacked[2][0][0] > 2 ** 31);
});

test('poses compose as in SE(2)', async (page) => {
  const [there, back] = await page.evaluate(() => {
    const {compose, inverse} = window.report;
    return [compose([1, 2, Math.PI / 2], [3, 0, 0.5]), compose(inverse([1, 2, 0.7]), [1, 2, 0.7])];
  });
  [1, 5, Math.PI / 2 + 0.5].forEach((value, i) => near(there[i], value, 1e-12));
  back.forEach((value) => near(value, 0, 1e-12));
});

test('an ellipse has the eigenvalues of its covariance', async (page) => {
  // 4 along 30 degrees and 1 across: xx = 4 cos² + sin², xy = 3 sin cos, yy = 4 sin² + cos².
  const shape = await page.evaluate(() => window.report.ellipse(3.25, 3 * Math.sqrt(3) / 4, 1.75));
  near(shape.major, 2, 1e-12);
  near(shape.minor, 1, 1e-12);
  near(shape.direction_rad, Math.PI / 6, 1e-12);
});

test('a tape between parallel faces is held square', async (page) => {
  const result = await page.evaluate(() => {
    const face = (x_m, normal_rad) => ({x_m, y_m: 0, normal_rad, half_length_m: 0.2, sd_m: 0.003});
    const a = {piece: face(0, 0), foot: [0, 0.1]};
    const b = {piece: face(3.42, Math.PI), foot: [3.42, -0.1]};
    return window.report.tapeBetween(a, b, 0.001, () => 0.002);
  });
  near(result.distance_m, 3.42, 1e-12);
  near(result.sd_m, Math.hypot(0.003, 0.003, 0.00342, 0.002), 1e-12);
  assert.ok(result.parallel);
});

test('gaps are from surfaces, not from returns', async (page) => {
  const gaps = await page.evaluate(() => window.report.gaps([[0.1, 0.02], [0.1, 0.9], [0.9, 0.2]],
    [[0, 0], [0.2, 0], [0.9, 0], [1.5, 0]]).map(String));
  near(Number(gaps[0]), 0.02, 1e-12);
  assert.equal(gaps[1], 'Infinity');
  near(Number(gaps[2]), 0.2, 1e-12);
});

test('round steps and quantiles', async (page) => {
  assert.deepEqual(await page.evaluate(() => [0.3, 1, 4.9, 70].map(window.report.roundStep)), [0.2, 1, 2, 50]);
  assert.deepEqual(await page.evaluate(() => [window.report.lastNotAfter([1, 2, 3], 2.5),
    window.report.lastNotAfter([1, 2, 3], 0), window.report.lastNotAfter([1, 2, 3], 9)]), [1, 0, 2]);
});

// -------------------------------------------------------------------------------------------------- the page as a whole

test('figures are those of summary.json', async (page) => {
  const figure = (name) => text(page, `[data-figure="${name}"]`);
  assert.equal(numberIn(await figure('nodes')), summary.graph.nodes);
  assert.equal(numberIn(await figure('match_edges')), summary.graph.match_edges);
  assert.equal(numberIn(await figure('wall_pieces')), summary.quality.wall_pieces);
  assert.equal(numberIn(await figure('scans_used')), summary.drive.scans_used);
  near(metres(await figure('path_length_m')), summary.drive.path_length_m, 0.06);
  near(metres(await figure('position_sd_worst_m')), summary.quality.position_sd_worst_m, 0.0006);
  near(metres(await figure('residual_rms_m')), summary.quality.residual_rms_m, 0.0006);
  near(numberIn(await figure('matched_fraction')), 100 * summary.quality.matched_fraction, 0.6);
  assert.equal(await figure('closures'), `${summary.graph.candidates_accepted} accepted of ${summary.graph.candidates} candidates`);
  assert.equal((await page.$$('ul.warnings li')).length, summary.warnings.length);
  assert.match(await text(page, '.mark'), /simulated/);
});

test('the slider shows the robot where trajectory.csv has it', async (page) => {
  await page.focus('#time');
  await page.keyboard.press('End');
  const last = trajectory.length - 1;
  const check = async (row) => {
    const words = await text(page, '#moment');
    const [, time, x, y] = words.replace(/−/g, '-').match(/^([0-9.]+) s: x (\S+) m, y (\S+) m/);
    near(Number(time), trajectory[row][0], 0.051);
    near(Number(x), trajectory[row][1], 0.0051);
    near(Number(y), trajectory[row][2], 0.0051);
    const off = Math.hypot(trajectory[row][1] - odometry[row][1], trajectory[row][2] - odometry[row][2]);
    near(metres(words.slice(words.indexOf('alone'))), off, 0.0051, 'odometry');
    assert.equal(await page.$eval('#time', (slider) => slider.getAttribute('aria-valuetext')), words);
  };
  await check(last);
  const robotAtEnd = await page.$eval('#robot', (robot) => robot.getAttribute('d'));
  await page.keyboard.press('ArrowLeft');
  await check(last - 1);
  await page.$eval('#time', (element) => element.scrollIntoView({block: 'center'}));
  const slider = await (await page.$('#time')).boundingBox();
  await page.mouse.click(slider.x + slider.width / 2, slider.y + slider.height / 2);
  const middle = Number(await page.$eval('#time', (element) => element.value));
  near(middle, last / 2, last / 20);
  await check(middle);
  assert.notEqual(await page.$eval('#robot', (robot) => robot.getAttribute('d')), robotAtEnd);
});

test('every scan lies on the walls', async (page) => {
  const shares = await page.evaluate(() => {
    const {time_s} = window.report.data.nodes;
    return time_s.filter((_, i) => i % 10 === 0).map((time) => {
      window.report.showTime(time);
      return Number(document.getElementById('moment-fit').textContent.match(/([0-9]+) % of its/)[1]);
    });
  });
  assert.ok(shares.length > 20);
  assert.ok(shares.every((share) => share >= 60), `shares of returns on wall pieces: ${shares}`);
  const scan = await page.$eval('#scan', (element) => element.getAttribute('d'));
  assert.ok(scan.split('M').length > 50);
});

test('play moves and stops', async (page) => {
  await page.evaluate(() => window.report.showTime(0));
  await page.click('#play');
  await page.waitForFunction(() => Number(document.getElementById('time').value) > 5);
  assert.equal(await text(page, '#play'), 'Stop');
  await page.click('#play');
  const value = await page.$eval('#time', (slider) => slider.value);
  await new Promise((done) => { setTimeout(done, 300); });
  assert.equal(await page.$eval('#time', (slider) => slider.value), value);
});

test('the map zooms and moves, by mouse and by keyboard', async (page) => {
  const before = await view(page);
  await page.click('#zoom-in');
  const zoomed = await view(page);
  near(zoomed.w, 0.7 * before.w, 1e-9);
  const where = await box(page);
  await page.mouse.move(where.x + 200, where.y + 200);
  await page.mouse.down();
  await page.mouse.move(where.x + 150, where.y + 170, {steps: 3});
  await page.mouse.up();
  const moved = await view(page);
  near(moved.x - zoomed.x, 50 / where.width * zoomed.w, 0.02);
  near(moved.y - zoomed.y, 30 / where.width * zoomed.w, 0.02);
  await page.focus('#map-view');
  await page.keyboard.press('ArrowRight');
  near((await view(page)).x - moved.x, 0.1 * moved.w, 1e-9);
  for (let i = 0; i < 8; ++i) await page.keyboard.press('+');
  // The bar is as long as it says.
  const bar = await page.$eval('#scale-bar', (element) => element.getBBox().width);
  const said = await text(page, '#scale-text');
  near(bar, numberIn(said) / (said.endsWith('cm') ? 100 : 1), 1e-6);
  assert.ok(bar <= (await view(page)).w / 4 + 1e-9);
  await page.keyboard.press('0');
  near((await view(page)).w, before.w, 1e-6);
});

// The plan's wall faces (data/demo/plan.yaml: middles of walls and thicknesses), seen from where the robot began
// (the first row of data/demo/drive/truth.csv). Simulated.
const start = [3.6, 1.6, -0.110657];
function inMap(x_m, y_m) {
  const [dx, dy] = [x_m - start[0], y_m - start[1]];
  const [c, s] = [Math.cos(start[2]), Math.sin(start[2])];
  return [c * dx + s * dy, -s * dx + c * dy];
}
const planned = [
  {what: 'the hall across', from: [7.65, 3.49], to: [7.65, 4.67], distance_m: (4.8 - 0.2 / 2) - (3.4 + 0.12 / 2)},
  {what: 'the living room along', from: [4.45, 0.17], to: [4.55, 4.67], distance_m: (4.8 - 0.2 / 2) - 0.28 / 2},
];

test('the tape measure gives the distances of the plan', async (page) => {
  await setTape(page, true);
  for (const {what, from, to, distance_m} of planned) {
    await clickOnMap(page, ...inMap(...from));
    await clickOnMap(page, ...inMap(...to));
    const answer = await text(page, '#tape-answer');
    const sd_m = metres(answer.slice(answer.indexOf('±')));
    console.log(`  ${what} (simulated): ${answer}, the plan says ${distance_m.toFixed(3)} m`);
    assert.ok(sd_m > 0 && sd_m < 0.02, answer);
    near(metres(answer), distance_m, 3 * sd_m, what);
  }
  await setTape(page, false);
});

test('the tape measure takes typed places, and says what is wrong with them', async (page) => {
  await setTape(page, true);
  const fill = async (values) => {
    for (const [i, id] of ['tape-x1', 'tape-y1', 'tape-x2', 'tape-y2'].entries()) {
      await page.$eval(`#${id}`, (field) => { field.value = ''; });
      await page.type(`#${id}`, values[i]);
    }
    await page.keyboard.press('Enter');
    return text(page, '#tape-answer');
  };
  const {from, to, distance_m} = planned[0];
  const typed = [...inMap(...from), ...inMap(...to)].map((value) => value.toFixed(2));
  near(metres(await fill(typed)), distance_m, 0.03);
  assert.match(await fill(['50', '50', '51', '51']), /No wall within 0\.4 m of x 50\.00 m/);
  assert.match(await fill(['', '1', '2', '3']), /Give x and y/);
  await page.click('#tape-clear');
  assert.match(await text(page, '#tape-answer'), /first wall/);
  await setTape(page, false);
});

test('the tape measure works by keyboard alone', async (page) => {
  await setTape(page, false);
  await page.focus('#tape');
  await page.keyboard.press('Space');
  await page.focus('#map-view');
  await page.keyboard.press('Escape');
  for (let i = 0; i < 2; ++i) {
    // Beside a wall of the data, moved under the cross.
    await page.evaluate((k) => {
      const {pieces} = window.report.data;
      window.pieceToFind = [pieces.x_m[k], pieces.y_m[k]];
    }, 40 * i);
    for (let step = 0; step < 200; ++step) {
      const key = await page.evaluate(() => {
        const {x, y, w, h} = window.report.view();
        const dx = window.pieceToFind[0] - (x + w / 2);
        const dy = -window.pieceToFind[1] - (y + h / 2);
        if (Math.max(Math.abs(dx), Math.abs(dy)) < 0.2) return null;
        if (w > 3) return '+';
        return Math.abs(dx) > Math.abs(dy) ? (dx > 0 ? 'ArrowRight' : 'ArrowLeft') : (dy > 0 ? 'ArrowDown' : 'ArrowUp');
      });
      if (!key) break;
      await page.keyboard.press(key);
    }
    await page.keyboard.press('Enter');
  }
  assert.match(await text(page, '#tape-answer'), /[0-9.]+ m ± /);
  await page.keyboard.press('0');
  await setTape(page, false);
});

test('every candidate is there, with its reason and both scans', async (page) => {
  const options = () => page.$$eval('#candidate option', (all) => all.length);
  assert.equal(await options(), summary.graph.candidates);
  await page.select('#candidate-filter', 'rejected');
  assert.equal(await options(), summary.graph.candidates_rejected);
  assert.equal(await text(page, '#candidate-verdict'), 'Rejected');
  assert.ok((await text(page, '#candidate-reason')).length > 10);
  await page.select('#candidate-filter', 'accepted');
  assert.equal(await options(), summary.graph.candidates_accepted);
  // What an accepted one moved brought the scans together: of all of them, the median gap is not larger afterwards.
  const medians = [];
  for (let i = 0; i < summary.graph.candidates_accepted; ++i) {
    const words = await Promise.all(['before', 'after'].map((when) => text(page, `#overlay-${when}-words`)));
    medians.push(words.map((sentence) => (sentence.startsWith('half') ? metres(sentence) : 0.5)));
    await page.click('#candidate-next');
  }
  const sum = (k) => medians.reduce((total, pair) => total + pair[k], 0);
  assert.ok(sum(1) < sum(0), `gaps before ${sum(0)} and after ${sum(1)}`);
  assert.ok(sum(1) / medians.length < 0.04);
  await page.click('#candidate-again');
  const time = numberIn(await text(page, '#moment'));
  const wanted = numberIn((await page.$eval('#candidate', (list) => list.selectedOptions[0].text)).split(' and ')[1]);
  near(time, wanted, 0.2);
  await page.select('#candidate-filter', 'all');
});

test('residuals are drawn, and a click on them moves the slider', async (page) => {
  const drawn = await page.$eval('#chart-shift .edge-match', (element) => element.getAttribute('d').split('M').length - 1);
  assert.equal(drawn, summary.graph.match_edges);
  await page.$eval('#chart-shift', (element) => element.scrollIntoView({block: 'center'}));
  const where = await (await page.$('#chart-shift')).boundingBox();
  await page.mouse.click(where.x + where.width - 12, where.y + where.height / 2);
  assert.ok(numberIn(await text(page, '#moment')) > 0.9 * trajectory[trajectory.length - 1][0]);
});

test('layers come and go', async (page) => {
  for (const [id, layer] of [['sure', 'sure'], ['passing', 'passing'], ['closures', 'closure'], ['path', 'path']]) {
    const shown = () => page.$eval(`.${layer}-layer`, (element) => getComputedStyle(element).display !== 'none');
    const before = await shown();
    await page.click(`#show-${id}`);
    assert.equal(await shown(), !before, id);
    await page.click(`#show-${id}`);
  }
  assert.ok((await page.$eval('#sure', (element) => element.getAttribute('d'))).includes('A'));
});

test('nothing is wider than a phone', nothingIsWiderThanAPhone);

test('axe-core finds nothing, wide and narrow, light and dark', async (page) => {
  await page.$$eval('details', (all) => all.forEach((element) => { element.open = true; }));
  await setTape(page, true);
  await axeFindsNothing(page);
  await setTape(page, false);
  await page.$$eval('details', (all) => all.forEach((element) => { element.open = false; }));
});

test('screenshots', async (page) => {
  await page.evaluate(() => window.report.showTime(120));
  await takePictures(page, path.join(work, 'screenshots'), 'report');
});

// ------------------------------------------------------------------------------------------------------------ the runner

const openMap = (browser, folder, complaints, ready = 'html.complete') =>
  open(browser, path.join(work, folder, 'report.html'), complaints, ready);

async function testWithoutScript(browser, complaints) {
  const page = await openMap(browser, 'map', complaints, null);
  assert.ok((await box(page)).height > 200);
  assert.equal(numberIn(await text(page, '[data-figure="nodes"]')), summary.graph.nodes);
  assert.equal((await page.$$('noscript p')).length, 1);
  for (const tool of await page.$$('.script-only')) assert.equal(await tool.boundingBox(), null);
  await page.close();
}

async function testHostileName(browser, complaints) {
  const page = await openMap(browser, 'hostile-map', complaints);
  assert.equal(await text(page, 'h1'), 'Map from the drive “<img src=x onerror=alert(1)>"\'&amp;”');
  assert.equal((await page.$$('img')).length, 0);
  await page.close();
}

main(chromium, async (browser, complaints, run) => {
  const page = await openMap(browser, 'map', complaints);
  console.log(`${await firstPicture(page)}, ${fs.statSync(path.join(work, 'map/report.html')).size} bytes`);
  for (const {name, body} of tests) await run(name, () => body(page));
  await run('without script, map and figures are there', () => testWithoutScript(browser, complaints));
  await run('a hostile name stays text', () => testHostileName(browser, complaints));
});
