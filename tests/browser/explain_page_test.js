// Drives the page of `wainscot explain` in headless Chromium as a person would, and compares what it says with the
// program's own traces and lessons. Run by run.sh, which makes the page:
//   node explain_page_test.js CHROMIUM WORK_FOLDER
// Screenshots of every step go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const fs = require('node:fs');
const path = require('node:path');
const {near, text, numberIn, metres, setColours, open, nothingIsWiderThanAPhone, axeFindsNothing, takePictures, firstPicture,
  main} = require('./harness.js');

const [chromium, work] = process.argv.slice(2);
const lessons = fs.readFileSync(path.join(work, 'lessons.txt'), 'utf8');
const html = fs.readFileSync(path.join(work, 'explain.html'), 'utf8');
const answerTo = (question) => {
  const [, answer] = lessons.match(new RegExp(`Question [0-9]+\\. [^\\n]*${question}[^\\n]*\\n[^\\n]*\\n +Answer: ([^\\n]*)`));
  return answer;
};

const parts = {match: 5, graph: 5, cell: 3, walls: 5};
const tests = [];
const test = (name, body) => tests.push({name, body});

async function goTo(page, part, step) {
  for (let i = 0; i < 5 && !(await page.$eval(`#${part}-back`, (button) => button.disabled)); ++i) await page.click(`#${part}-back`);
  for (let i = 0; i < step; ++i) await page.click(`#${part}-next`);
  assert.equal(await text(page, `#${part}-step`), `Step ${step + 1} of ${parts[part]}`);
}
async function move(page, id, value) {
  await page.$eval(`#${id}`, (range, v) => {
    range.value = v;
    range.dispatchEvent(new Event('input'));
  }, value);
}
const setChecked = async (page, id, on) => {
  if (await page.$eval(`#${id}`, (box) => box.checked) !== on) await page.click(`#${id}`);
};
// Some pixels of the picture differ from one another: something was drawn.
const coloursIn = (page, id) => page.$eval(`#${id}`, (canvas) => {
  const copy = Object.assign(document.createElement('canvas'), {width: canvas.width, height: canvas.height});
  const pen = copy.getContext('2d', {willReadFrequently: true});
  pen.drawImage(canvas, 0, 0);
  const pixels = pen.getImageData(0, 0, copy.width, copy.height).data;
  return new Set(new Uint32Array(pixels.buffer)).size;
});
const pictureOf = (page, id) => page.$eval(`#${id}`, (canvas) => canvas.toDataURL());

test('every step shows its words and draws its picture', async (page) => {
  for (const [part, steps] of Object.entries(parts)) {
    const pictures = new Set();
    for (let step = 0; step < steps; ++step) {
      await goTo(page, part, step);
      assert.ok(await coloursIn(page, `${part}-picture`) > 3, `${part} ${step}`);
      pictures.add(await pictureOf(page, `${part}-picture`));
      const shown = await page.$$eval(`#${part} .step`, (all) => all.filter((article) => !article.hidden).length);
      assert.equal(shown, 1);
      assert.ok((await text(page, `#${part}-caption`)).length > 10);
    }
    if (part === 'match' || part === 'graph') assert.ok(pictures.size >= 4, `${part}: the steps' pictures differ`);
    assert.ok(await page.$eval(`#${part}-next`, (button) => button.disabled));
  }
});

test('the residual falls from iteration to iteration, as the lesson says', async (page) => {
  await goTo(page, 'match', 3);
  const last = Number(await page.$eval('#match-iteration', (range) => range.max));
  const residuals = [];
  for (let i = 0; i < last; ++i) {
    await move(page, 'match-iteration', i);
    residuals.push(numberIn((await text(page, '#match-residual')).split(': ')[1]));
  }
  assert.ok(residuals[residuals.length - 1] < residuals[0], `${residuals}`);
  residuals.slice(1).forEach((residual, i) => assert.ok(residual <= residuals[i] + 0.05, `${residuals}`));
  const [, steps, first, end] = answerTo('How many steps does the match take').match(/^([0-9]+) steps; from ([0-9.]+) to ([0-9.]+) mm/);
  assert.equal(last, Number(steps));
  assert.equal(residuals[0], Number(first));
  assert.equal(residuals[residuals.length - 1], Number(end));
  await move(page, 'match-iteration', last);
  assert.match(await text(page, '#match-caption'), /After the last step/);
});

test('play moves the iterations and stops', async (page) => {
  await goTo(page, 'match', 3);
  await move(page, 'match-iteration', 0);
  await page.click('#match-play');
  await page.waitForFunction(() => Number(document.getElementById('match-iteration').value) > 0);
  assert.equal(await text(page, '#match-play'), 'Stop');
  await page.click('#match-play');
  assert.equal(await text(page, '#match-play'), 'Play');
});

test('the matcher in the page gives what the program gave', async (page) => {
  const pairs = await page.evaluate(() => {
    const {precomputed, problem, option, runMatcher} = window.explain;
    return precomputed.map(({shift, trace}) => [trace, runMatcher(shift, problem[option.first], problem[option.robust])]);
  });
  if (pairs[0][1] === null) {
    console.log('  this build has no WebAssembly: nothing to compare');
    return;
  }
  assert.equal(pairs.length, 6);
  for (const [program, inPage] of pairs) {
    assert.equal(inPage.iterations.length, program.iterations.length);
    assert.equal(inPage.pairs, program.pairs);
    // Sine and cosine of the two C libraries may differ in the last bit.
    program.pose.forEach((value, i) => near(inPage.pose[i], value, 1e-9));
    program.information.forEach((value, i) => near(inPage.information[i], value, 1e-6 * Math.abs(program.information[0])));
    near(inPage.residual, program.residual, 1e-9);
  }
});

test('sliders run the matcher again', async (page) => {
  if (await page.$eval('#match-sliders', (sliders) => sliders.hidden)) return;
  const result = () => text(page, '#match-result');
  const asMapper = await result();
  assert.match(asMapper, /^Settled after [0-9]+ steps.*0\.0 mm and [−-]?0\.00° from where the mapper's match ended \(run in this page\)/);
  await page.focus('#try-ahead');
  for (let i = 0; i < 10; ++i) await page.keyboard.press('ArrowRight');
  assert.equal(await text(page, '#try-ahead-text'), '100 mm');
  const near10cm = await result();
  assert.ok(metres(near10cm.split('partner; ')[1]) < 0.05, `from 10 cm ahead it still finds the place: ${near10cm}`);
  await move(page, 'try-left', 1);
  await move(page, 'try-turn', 60);
  assert.ok(metres((await result()).split('partner; ')[1]) > 0.1, 'from far away it does not');
  const [, ahead, left, turn] = lessons.match(/Begin the match ([0-9.]+) m further ahead, ([0-9.]+) m to the left and turned by ([0-9.]+)°/);
  for (const [id, value] of [['try-ahead', ahead], ['try-left', left], ['try-turn', turn]]) await move(page, id, Number(value));
  const [, away_m, away_deg] = answerTo('Begin the match').match(/it ends ([0-9.]+) m and ([0-9.]+)°/);
  const far = (await result()).split('partner; ')[1];
  near(metres(far), Number(away_m), 0.006, far);
  near(Math.abs(numberIn(far.split(' and ')[1])), Number(away_deg), 0.06, far);
  await page.click('#try-reset');
  assert.equal(await result(), asMapper);
  await move(page, 'try-gate', 0.02);
  const narrow = await result();
  assert.ok(numberIn(narrow.split('steps: ')[1]) < numberIn(asMapper.split('steps: ')[1]), 'a narrow gate leaves fewer pairs');
  await page.click('#try-reset');
  await move(page, 'try-robust', 0.5);
  assert.notEqual(await result(), asMapper);
  await page.click('#try-reset');
  assert.equal(await result(), asMapper);
});

test('the ellipse is that of the inverse of the information', async (page) => {
  // Information diag(400, 100, 25) joined by nothing: 95 % half axes of 2.4477 sd, and 1.96 sd of the heading.
  const simple = await page.evaluate(() => window.explain.whatRemains([400, 0, 0, 0, 100, 0, 0, 0, 25]));
  near(simple.long_m, Math.sqrt(5.991) / 10, 1e-4);
  near(simple.short_m, Math.sqrt(5.991) / 20, 1e-4);
  near(Math.abs(simple.direction_rad), Math.PI / 2, 1e-6);
  near(simple.turn_rad, 1.96 / 5, 1e-4);
  // [[2, 0, 1], [0, 2, 0], [1, 0, 2]]: its inverse is [[2/3, 0, -1/3], [0, 1/2, 0], [-1/3, 0, 2/3]].
  const joined = await page.evaluate(() => window.explain.whatRemains([2, 0, 1, 0, 2, 0, 1, 0, 2]));
  near(joined.long_m, Math.sqrt(5.991 * 2 / 3), 1e-4);
  near(joined.short_m, Math.sqrt(5.991 / 2), 1e-4);
  near(joined.turn_rad, 1.96 * Math.sqrt(2 / 3), 1e-4);
});

test('every pair of places is there with its reason and its tests', async (page) => {
  await goTo(page, 'graph', 2);
  const [, tried, believed] = answerTo('pairs of places were tried').match(/^([0-9]+) tried, ([0-9]+) believed/);
  const options = await page.$$eval('#graph-candidate option', (all) => all.map((option) => [option.value, option.text]));
  assert.equal(options.length, Number(tried));
  assert.equal(options.filter(([, words]) => words.startsWith('✓')).length, Number(believed));
  const reasons = new Set();
  for (const [value, words] of options) {
    await page.select('#graph-candidate', value);
    const caption = await text(page, '#graph-caption');
    assert.ok(caption.startsWith(words.startsWith('✓') ? 'Accepted: ' : 'Rejected: '), caption);
    reasons.add(caption);
    const verdicts = await page.$$eval('#graph-tests tr:not(:first-child) td:last-child', (all) => all.map((cell) => cell.textContent));
    assert.equal(verdicts.length, 3);
    if (caption.includes('too few walls coincide')) assert.match(verdicts[0], /fails|not measured/);
  }
  assert.ok(reasons.size > 2);
  const commonest = answerTo('Why were most of the others not').replace(/ \([0-9]+ times\)$/, '');
  assert.ok([...reasons].some((caption) => caption.includes(commonest)), commonest);
});

const furthest = async (page) => metres((await text(page, '#graph-caption')).split('lies ')[1]);

test('the optimiser pulls the wheels\' path straight', async (page) => {
  await goTo(page, 'graph', 3);
  await page.select('#graph-from', 'odometry');
  const before = await furthest(page);
  const cost = async () => numberIn((await text(page, '#graph-cost')).split(': ')[1]);
  const costBefore = await cost();
  await page.focus('#graph-iteration');
  await page.keyboard.press('End');
  assert.ok(await furthest(page) < 0.2 * before);
  assert.ok(await cost() < 0.1 * costBefore);
});

test('the switches of true and false closures work, as the lesson says', async (page) => {
  await goTo(page, 'graph', 4);
  const at = async (isTrue, isFalse, robust) => {
    await setChecked(page, 'graph-true', isTrue);
    await setChecked(page, 'graph-false', isFalse);
    await setChecked(page, 'graph-robust', robust);
    return furthest(page);
  };
  const believed = await at(true, true, false);
  const doubted = await at(true, true, true);
  const right = await at(true, false, true);
  const none = await at(false, false, false);
  const alone = await at(false, true, false);
  near(believed, numberIn(answerTo('How far would one false closure move')), 0.006);
  near(doubted, numberIn(answerTo('if closures that do not fit lose weight')), 0.006);
  near(none, numberIn(answerTo('How far had matching alone drifted')) / 1000, 0.0006);
  assert.ok(believed > 0.5 && believed > 5 * doubted, `${believed} ${doubted}`);
  assert.ok(right <= doubted + 1e-3 && none < 0.5, `${right} ${none}`);
  assert.ok(alone > 0.5, `${alone}`);
  await at(true, true, false);
});

test('nodes appear with the slider', async (page) => {
  await goTo(page, 'graph', 0);
  const whole = await pictureOf(page, 'graph-picture');
  await page.focus('#graph-nodes');
  await page.keyboard.press('Home');
  assert.match(await text(page, '#graph-nodes-text'), /^1 of /);
  assert.notEqual(await pictureOf(page, 'graph-picture'), whole);
  await page.keyboard.press('End');
});

test('log-odds follow the beams, as the lesson says', async (page) => {
  for (const what of ['wall', 'floor']) {
    const value = await page.$$eval('#cell-which option', (all, name) => all.find((o) => o.text.startsWith(name)).value, what);
    await page.select('#cell-which', value);
    await page.focus('#cell-event');
    await page.keyboard.press('End');
    const [, scans, odds] = answerTo(`the cell "${what}"`).match(/^([0-9,]+) scans?; (-?[0-9.]+)/);
    assert.equal(await text(page, '#cell-event-text'), `${numberIn(scans)} of ${numberIn(scans)}`);
    near(numberIn((await text(page, '#cell-odds')).split(': ')[1]), Number(odds), 0.006);
  }
  await page.select('#cell-which', '0');
  assert.match(await text(page, '#cell-event-text'), /^1 of/);
  // One hit: the prior and the vote of a hit (core/rasteriser.hpp).
  assert.match(await text(page, '#cell-odds'), /−0\.70; probability of wall: 33 %/);
});

// "The walls are 12.96 mm thick ...; as found 12.96 mm, with what robot.yaml said 16.38 mm."
const thicknesses = async (page) => (await text(page, '#walls-cost')).match(/[0-9]+\.[0-9]+(?= mm)/g).map(Number);
const offset = (page, id) => page.$eval(`#walls-${id}`, (range) => Number(range.value));

test('walls come together as found and thicken with what robot.yaml said, as the lesson says', async (page) => {
  await goTo(page, 'walls', 1);
  const [, asFound, asStated] = answerTo('How thick are the walls of the page').match(/^([0-9.]+) mm as found, ([0-9.]+) mm with/);
  await page.click('#walls-found');
  assert.deepEqual(await thicknesses(page), [asFound, asFound, asStated].map(Number));
  const together = await pictureOf(page, 'walls-picture');
  await page.click('#walls-stated');
  assert.deepEqual(await thicknesses(page), [asStated, asFound, asStated].map(Number));
  assert.ok(Number(asStated) > Number(asFound));
  assert.notEqual(await pictureOf(page, 'walls-picture'), together);
  assert.match(await text(page, '#walls-heading-text'), /^0\.00° \(found − 0\.3[0-9]\)$/, 'the demonstration\'s robot.yaml says 0');
  await page.click('#walls-found');
  assert.equal(await pictureOf(page, 'walls-picture'), together);
});

test('each slider thickens the walls, and works by keys', async (page) => {
  await goTo(page, 'walls', 2);
  await page.click('#walls-found');
  const [asFound] = await thicknesses(page);
  const chart = await pictureOf(page, 'walls-chart');
  for (const id of ['x', 'y', 'heading', 'range', 'clock']) {
    await page.focus(`#walls-${id}`);
    await page.keyboard.press('End');
    assert.ok((await thicknesses(page))[0] > 1.1 * asFound, id);
    assert.match(await text(page, `#walls-${id}-text`), /\(found \+ /);
    assert.equal(await page.$eval(`#walls-${id}`, (range) => range.getAttribute('aria-valuetext')), await text(page, `#walls-${id}-text`));
    if (id !== 'clock') assert.notEqual(await pictureOf(page, 'walls-chart'), chart, 'the curve is that of the slider that moved');
    await page.click('#walls-found');
    assert.equal(await offset(page, id), 0);
  }
});

test('a wrong clock is made good by the heading in turns one way only, as the lesson says', async (page) => {
  await goTo(page, 'walls', 3);
  await page.click('#walls-found');
  const thin = (await text(page, '#walls-both')).match(/[0-9]+\.[0-9]+(?= mm by)/g).map(Number);
  await move(page, 'walls-clock', 50);
  const [left, right, all] = (await text(page, '#walls-both')).match(/[0-9]+\.[0-9]+(?= mm by)/g).map(Number);
  const answer = answerTo("Move the clock's offset to 50 ms more than found").match(/^([0-9.]+) mm, ([0-9.]+) mm and ([0-9.]+) mm/);
  [left, right, all].forEach((found, i) => near(found, Number(answer[i + 1]), 0.051));
  // In the demonstration the turns on the spot have one speed: nearly all is made good.
  assert.ok(left < 1.5 * thin[0] && right < 1.5 * thin[1] && all > 2 * thin[2], `${left} ${right} ${all}, as found ${thin}`);
  // The valleys cross: the heading goes down with the clock in turns to the left, up in turns to the right.
  const headings = await page.evaluate(() => {
    const {found, withBestHeading} = window.explain.walls;
    const late = found.map((value, i) => (i === 4 ? value + 0.05 : value));
    return [1, -1].map((turning) => withBestHeading(late, turning)[2] - found[2]);
  });
  assert.ok(headings[0] < -0.01 && headings[1] > 0.01, `${headings}`);
  await page.click('#walls-found');
});

test('turns one way alone can be looked at', async (page) => {
  await goTo(page, 'walls', 0);
  const shown = async () => numberIn((await text(page, '#walls-caption')).split('with ')[1]);
  const all = await shown();
  const counts = [];
  for (const turning of ['1', '-1']) {
    await page.select('#walls-turning', turning);
    counts.push(await shown());
  }
  assert.ok(counts.every((count) => count > 50 && count < all) && counts[0] + counts[1] <= all, `${counts} of ${all}`);
  await page.select('#walls-turning', '');
});

test('the table says of each constant whether the drive could tell it', async (page) => {
  const words = await page.$$eval('#walls tbody tr', (all) => all.map((row) => [row.cells[0].textContent, row.cells[3].textContent]));
  const [, tried, told] = answerTo('How many of the robot').match(/^([0-9]+) tried, ([0-9]+) told/);
  assert.equal(words.length, Number(tried));
  assert.equal(words.filter(([, verdict]) => verdict.startsWith('yes')).length, Number(told));
  assert.ok(words.some(([name]) => name === 'lidar.time_offset_s'));
});

test('the page stays small', async () => {
  const walls = html.match(/"walls":\{.*?"found_sd":\[[^\]]*\]\}/)[0];
  assert.ok(walls.length < 100e3 && html.length < 2e6, `${walls.length} ${html.length}`);
});

test('nothing is wider than a phone', nothingIsWiderThanAPhone);

test('axe-core finds nothing, wide and narrow, light and dark, at every step', async (page) => {
  for (let step = 0; step < 5; ++step) {
    for (const [part, steps] of Object.entries(parts)) await goTo(page, part, Math.min(step, steps - 1));
    await axeFindsNothing(page, [[1280, step % 2 ? 'dark' : 'light'], [390, step % 2 ? 'light' : 'dark']]);
  }
});

test('screenshots of every step', async (page) => {
  for (let step = 0; step < 5; ++step) {
    await page.setViewport({width: 1280, height: 900});
    for (const [part, steps] of Object.entries(parts)) await goTo(page, part, Math.min(step, steps - 1));
    await takePictures(page, path.join(work, 'screenshots'), `explain-${step + 1}`);
  }
  await page.setViewport({width: 1280, height: 900});
  await setColours(page, 'light');
});

// ------------------------------------------------------------------------------------------------------------ the runner

// The page as a build without a compiler for WebAssembly makes it.
async function testWithoutWebAssembly(browser, complaints) {
  const file = path.join(work, 'explain-precomputed.html');
  const without = html.replace(/"matcher":"[^"]*"/, '"matcher":""').replace(" 'wasm-unsafe-eval'", '');
  fs.writeFileSync(file, without);
  const page = await open(browser, file, complaints, 'html.complete');
  assert.match(await text(page, '#match-how'), /^Precomputed: this build of the program found no compiler/);
  assert.ok(await page.$eval('#match-sliders', (sliders) => sliders.hidden));
  assert.equal((await page.$$('#match-start option')).length, 6);
  await page.select('#match-start', '5');
  assert.match(await text(page, '#match-result'), /\(precomputed\)\.$/);
  assert.ok(metres((await text(page, '#match-result')).split('partner; ')[1]) > 0.1);
  await axeFindsNothing(page, [[1280, 'light'], [390, 'dark']]);
  await takePictures(page, path.join(work, 'screenshots'), 'explain-precomputed');
  await page.close();
}

async function testWithoutScript(browser, complaints) {
  const page = await open(browser, path.join(work, 'explain.html'), complaints, null);
  assert.equal((await page.$$('noscript p')).length, 1);
  const shown = await page.$$eval('.step', (all) => all.filter((article) => article.getBoundingClientRect().height > 0).length);
  assert.equal(shown, 18);
  for (const tool of await page.$$('.script-only, canvas')) assert.equal(await tool.boundingBox(), null);
  await page.close();
}

// A drive that turned one way only, and one whose walls were seen from too few places.
async function testWithoutTurns(browser, complaints) {
  const changed = (name, change) => {
    const file = path.join(work, name);
    fs.writeFileSync(file, html.replace(/(<script type="application\/json" id="data">)([^]*?)(<\/script>)/, (_, begin, json, end) => {
      const data = JSON.parse(json);
      change(data.walls);
      return begin + JSON.stringify(data) + end;
    }));
    return file;
  };
  const oneWay = await open(browser, changed('explain-one-way.html', ({pieces}) => {
    for (const piece of pieces) {
      const numbers = new Float32Array(Uint8Array.from(Buffer.from(piece.shown, 'base64')).buffer);
      const kept = [];
      for (let i = 0; i < numbers.length; i += 9) if (numbers[i + 8] >= 0) kept.push(...numbers.slice(i, i + 9));
      piece.shown = Buffer.from(Float32Array.from(kept).buffer).toString('base64');
    }
  }), complaints, 'html.complete');
  await goTo(oneWay, 'walls', 3);
  assert.match(await text(oneWay, '#walls-ways'), /in no fast turn to the right, so that this cannot be shown/);
  assert.doesNotMatch(await text(oneWay, '#walls-both'), /right/);
  assert.ok(await oneWay.$eval('#walls-turning option[value="-1"]', (option) => option.disabled));
  await axeFindsNothing(oneWay, [[1280, 'light']]);
  await oneWay.close();
  const none = await open(browser, changed('explain-no-walls.html', (walls) => { walls.pieces = []; }), complaints, 'html.complete');
  await goTo(none, 'walls', 3);
  assert.match(await text(none, '#walls-caption'), /^This drive saw no piece of wall well enough/);
  assert.ok(await none.$eval('#walls-try', (sliders) => sliders.hidden));
  assert.ok((await none.$$('#walls tbody tr')).length > 5);
  await axeFindsNothing(none, [[390, 'dark']]);
  await none.close();
}

async function testHostileName(browser, complaints) {
  const page = await open(browser, path.join(work, 'hostile-explain.html'), complaints, 'html.complete');
  assert.equal(await text(page, 'h1'), 'How the map from the drive “<img src=x onerror=alert(1)>"\'&amp;” came about');
  assert.equal((await page.$$('img')).length, 0);
  await page.close();
}

main(chromium, async (browser, complaints, run) => {
  const page = await open(browser, path.join(work, 'explain.html'), complaints, 'html.complete');
  console.log(`${await firstPicture(page)}, ${html.length} bytes`);
  for (const {name, body} of tests) await run(name, () => body(page));
  await run('without WebAssembly, precomputed matches are shown and called so', () => testWithoutWebAssembly(browser, complaints));
  await run('without script, the words are there', () => testWithoutScript(browser, complaints));
  await run('what a drive without turns both ways cannot show is said', () => testWithoutTurns(browser, complaints));
  await run('a hostile name stays text', () => testHostileName(browser, complaints));
});
