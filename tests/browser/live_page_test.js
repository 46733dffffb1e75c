// The page of wainscot follow in headless Chromium, while a drive is recorded: it starts, grows and ends; axe-core is
// content; nothing is asked of a network; another page in the same browser can neither read nor stop it.
//   node live_page_test.js CHROMIUM WORK_FOLDER CHECKOUT PROGRAM
// Screenshots for people go to WORK_FOLDER/screenshots.
'use strict';
const assert = require('node:assert/strict');
const {spawn} = require('node:child_process');
const fs = require('node:fs');
const http = require('node:http');
const path = require('node:path');
const {axeFindsNothing, main, metres, nothingIsWiderThanAPhone, setColours, takePictures, text} = require('./harness.js');

const [chromium, work, checkout, program] = process.argv.slice(2);
const drive = path.join(checkout, 'data/demo/drive');
const recorded = path.join(work, 'recorded');
const map = path.join(work, 'followed-map');
const speed = 10;
const seconds = 120;  // of the drive: there and back once

const wait = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));

// Writes the rows of the drive's tables as a robot would, the last of each in two pieces.
async function record() {
  const tables = ['wheels.csv', 'scans.csv'].map((name) => {
    const lines = fs.readFileSync(path.join(drive, name), 'utf8').split('\n').filter((line) => line && !line.startsWith('#'));
    const file = path.join(recorded, name);
    fs.writeFileSync(file, `${lines[0]}\n`);
    return {file, rows: lines.slice(1), next: 0, delay: name === 'scans.csv' ? 0.15 : 0};
  });
  const began = Date.now();
  let now = 0;
  for (; now < seconds; now = (Date.now() - began) / 1000 * speed) {
    for (const table of tables) {
      const first = table.next;
      while (table.next < table.rows.length && parseFloat(table.rows[table.next]) + table.delay < now) ++table.next;
      const came = table.rows.slice(first, table.next).map((row) => `${row}\n`).join('');
      const torn = Math.floor(came.length / 2);
      fs.appendFileSync(table.file, came.slice(0, torn));
      fs.appendFileSync(table.file, came.slice(torn));
    }
    await wait(20);
  }
}

// Starts the program; gives the address that it tells, and how it ended.
function follow() {
  const child = spawn(program, ['follow', recorded, '--out', map, '--replace', '--until-idle', '8'], {stdio: ['ignore', 'pipe', 'pipe']});
  let said = '';
  const address = new Promise((resolve, reject) => {
    child.stderr.on('data', (data) => {
      said += data;
      const found = said.match(/http:\/\/\S+/);
      if (found) resolve(found[0].replace(/;$/, ''));
    });
    child.on('exit', () => reject(new Error(said)));
  });
  address.catch(() => {});
  const ended = new Promise((resolve) => child.on('exit', (status) => resolve({status, said})));
  return {address, ended, child};
}

// As harness.open, of a page that its server may be asked by.
async function watch(browser, address, complaints) {
  const page = await browser.newPage();
  page.setDefaultTimeout(120000);
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) complaints.push(`console: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('request', (request) => {
    if (!request.url().startsWith(address) && !request.url().startsWith('data:')) complaints.push(`request: ${request.url()}`);
  });
  await page.setViewport({width: 1280, height: 900});
  await setColours(page, 'light');
  await page.goto(address, {waitUntil: 'domcontentloaded'});
  return page;
}

const pathLength = (page) => page.$eval('#path', (line) => (line.getAttribute('points') || '').split(' ').length);

// What a page from elsewhere gets that tries all that pages can.
async function hostileTries(browser, address) {
  const server = http.createServer((request, response) => {
    response.setHeader('Content-Type', 'text/html');
    response.end('<!DOCTYPE html><title>elsewhere</title>');
  }).listen(0, '127.0.0.1');
  const page = await browser.newPage();
  await page.goto(`http://127.0.0.1:${server.address().port}/`);
  const tried = await page.evaluate(async (target) => {
    const results = {};
    const read = async (name, request) => {
      try {
        const response = await request();
        results[name] = response.type === 'opaque' ? 'opaque' : `${response.status} ${await response.text()}`;
      } catch (error) {
        results[name] = 'refused';
      }
    };
    await read('page', () => fetch(target));
    await read('opaque', () => fetch(target, {mode: 'no-cors'}));
    await read('post', () => fetch(target, {method: 'POST', mode: 'no-cors', body: 'end'}));
    await read('events', () => fetch(`${target}events?key=0`));
    results.stream = await new Promise((resolve) => {
      const events = new EventSource(`${target}events?key=0`);
      events.onopen = () => resolve('open');
      events.onerror = () => { events.close(); resolve('refused'); };
    });
    results.frame = await new Promise((resolve) => {
      const frame = document.createElement('iframe');
      frame.src = target;
      frame.onload = () => { try { resolve(String(frame.contentDocument && frame.contentDocument.title)); } catch { resolve('null'); } };
      document.body.append(frame);
      setTimeout(() => resolve('null'), 2000);
    });
    return results;
  }, address);
  await page.close();
  server.close();
  return tried;
}

// With any head that a program can send.
const askedWith = (address, headers, where = '') => new Promise((resolve, reject) => {
  http.get(new URL(where, address), {headers}, (response) => {
    response.resume();
    resolve(response.statusCode);
  }).on('error', reject);
});

main(chromium, async (browser, complaints, run) => {
  fs.rmSync(recorded, {recursive: true, force: true});
  fs.mkdirSync(recorded, {recursive: true});
  fs.copyFileSync(path.join(drive, 'robot.yaml'), path.join(recorded, 'robot.yaml'));
  const program_ = follow();
  const address = await program_.address;
  const page = await watch(browser, address, complaints);
  await run('it starts: the page is there before the drive', async () => {
    await page.waitForFunction(() => document.getElementById('state').textContent.startsWith('Waiting for the recording'));
    assert.equal(await pathLength(page), 1);
  });
  const recording = record();
  await run('it grows: map, way, robot and what the lidar sees', async () => {
    await page.waitForFunction(() => document.getElementById('grid').getAttribute('href') !== null);
    const early = await pathLength(page);
    const placed = await text(page, '#now-time');
    await page.waitForFunction((before) => document.getElementById('path').getAttribute('points').split(' ').length > before + 50, {}, early);
    assert.notEqual(await text(page, '#now-time'), placed);
    assert.ok(await page.$eval('#seen', (element) => element.getAttribute('d').length > 100));
    assert.match(await text(page, '#now-sure'), /when mapped|not mapped yet/);
  });
  await run('loops are told as they are closed', async () => {
    await page.waitForFunction(() => /loop is closed/.test(document.getElementById('log').textContent));
    await page.waitForFunction(() => document.querySelectorAll('#closures line').length > 0);
    assert.ok(Number(await text(page, '#loops')) > 0);
  });
  await run('other pages can neither read nor stop it', async () => {
    const tried = await hostileTries(browser, address);
    assert.deepEqual(tried, {page: 'refused', opaque: 'refused', post: 'refused', events: 'refused', stream: 'refused', frame: 'null'});
    complaints.splice(0);  // what the browser says of the other page
    const own = new URL(address).host;
    assert.equal(await askedWith(address, {}), 200);
    assert.equal(await askedWith(address, {Host: `localhost:${new URL(address).port}`}), 200);
    assert.equal(await askedWith(address, {Host: 'elsewhere.example'}), 403);
    assert.equal(await askedWith(address, {Host: own, Origin: 'http://elsewhere.example'}), 403);
    assert.equal(await askedWith(address, {Host: own, 'Sec-Fetch-Site': 'cross-site'}), 403);
    assert.equal(await askedWith(address, {}, 'events?key=0'), 403);
    assert.equal(await askedWith(address, {}, 'events'), 403);
    assert.equal(await askedWith(address, {}, 'robot.yaml'), 404);
  });
  await run('a browser that goes away and comes back sees all of it', async () => {
    const other = await watch(browser, address, complaints);
    await other.waitForFunction(() => document.getElementById('path').getAttribute('points') !== null);
    await other.close();
    const again = await watch(browser, address, complaints);
    await again.waitForFunction(() => document.getElementById('path').getAttribute('points').split(' ').length > 20);
    await again.close();
  });
  await recording;
  await run('axe-core is content, and nothing is wider than a phone', async () => {
    await axeFindsNothing(page);
    await nothingIsWiderThanAPhone(page);
  });
  await takePictures(page, path.join(work, 'screenshots'), 'live');
  await run('it ends: the page says where the map is', async () => {
    await page.waitForFunction(() => document.getElementById('state').textContent.startsWith('The map is in '));
    const {status, said} = await program_.ended;
    assert.equal(status, 0, said);
    assert.ok(fs.existsSync(path.join(map, 'report.html')));
    assert.ok(metres(await text(page, '#way')) > 5);
  });
});
