// Makes a folder of jobs from one map, for the page of wainscot overview. Figures are made up by a small generator, the
// same on every run:
//   node overview_jobs.js MAP FOLDER
'use strict';
const fs = require('node:fs');
const path = require('node:path');

const [map, folder] = process.argv.slice(2);
const drives = 180;
const summary = JSON.parse(fs.readFileSync(path.join(map, 'summary.json'), 'utf8'));

// D. H. Lehmer's generator with the constants of S. K. Park and K. W. Miller, CACM 31(10), 1988: from memory, and anything
// that scatters would do.
let state = 7;
const uniform = () => (state = state * 16807 % 2147483647) / 2147483647;
const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());

function figuresOf(drive) {
  const own = structuredClone(summary);
  for (const constant of own.constants) {
    constant.observed = true;
    constant.found += normal() * constant.found_sd;
    if (constant.name === 'drive.track_width_m' && drive === 36) constant.found += 30 * constant.found_sd;
    if (constant.name === 'drive.left_m_per_tick') constant.found -= 0.1 * drive * constant.found_sd;
  }
  own.quality.place_sd_m = Number((own.quality.place_sd_m * (0.7 + uniform())).toFixed(5));
  if (drive % 13 === 5) {
    own.verdict = 'usable';
    own.warnings = ['the walls left a direction open along 3.2 m of the way'];
  }
  return own;
}

function makeJob(name, drive) {
  const failed = drive % 50 === 49;
  const job = path.join(folder, name);
  fs.mkdirSync(path.join(job, 'map'), {recursive: true});
  fs.writeFileSync(path.join(job, 'job.json'), JSON.stringify({wainscot_job: 1, program_version: '1', name, command: ['build'],
    drive: `drives/${name}`, files: 'f', checksum: 'c', status: failed ? 2 : 0, sentence: failed ? 'wheels.csv:12: the time goes back' : '',
    ...(failed ? {} : {truth: {path_rmse_m: 0.002 * (0.5 + uniform()), path_worst_m: 0.008, heading_rmse_deg: 0.06}})}));
  const figures = figuresOf(drive);
  if (failed) return;
  fs.writeFileSync(path.join(job, 'map', 'summary.json'), drive === 40 ? '{' : JSON.stringify(figures));
  for (const file of ['grid.pgm', 'grid.yaml']) fs.copyFileSync(path.join(map, file), path.join(job, 'map', file));
}

makeJob('<img src=x onerror=alert(1)>"\'&amp;', 0);
for (let drive = 1; drive <= drives; ++drive) makeJob(`house-${drive}`, drive);
