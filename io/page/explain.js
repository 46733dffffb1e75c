// Steps through one drive: one match, the graph, one cell. All figures come from the program's own traces in the page's
// data (io/page/explain_page.cpp writes them); the match is run again here by the program's own matcher where the page carries
// it as WebAssembly.
//
// Poses are [x_m, y_m, heading_rad] in the map frame, x to the right and y up; a view turns y to the canvas's way.
//
// Part 4 stands in io/page/explain_walls.js, which takes what it shares with the others from here.
'use strict';
const explainParts = (() => {
  const {
    bytesOf, minus, lengthText, degrees, angleText, percentText, transformed, compose, ellipse, factor95, roundStep, find,
    makePlayer,
  } = shared;
  const data = JSON.parse(find('data').textContent);

  // ---------------------------------------------------------------------------------------------------------- numbers

  const doubles = (base64) => new Float64Array(bytesOf(base64).buffer);
  const floats = (base64) => new Float32Array(bytesOf(base64).buffer);
  const shorts = (base64) => new Int16Array(bytesOf(base64).buffer);
  const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const times1000 = (metres) => (1000 * metres).toFixed(2);

  // The motion along one arc; core/pose2.cpp, exp.
  function exponential([x, y, turn]) {
    const small = Math.abs(turn) < 1e-9;
    const a = small ? 1 : Math.sin(turn) / turn;
    const b = small ? turn / 2 : (1 - Math.cos(turn)) / turn;
    return [a * x - b * y, b * x + a * y, turn];
  }

  // [left, bottom, right, top] of points, with a margin.
  function boxOf(points, margin_m = 0) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (const [x, y] of points) {
      box[0] = Math.min(box[0], x - margin_m);
      box[1] = Math.min(box[1], y - margin_m);
      box[2] = Math.max(box[2], x + margin_m);
      box[3] = Math.max(box[3], y + margin_m);
    }
    return box;
  }

  // ---------------------------------------------------------------------------------------------------------- drawing

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
  const odometryDash = () => colour('odometry-dash').split(' ').map(Number);

  // A cleared canvas: its pen, and its size in CSS pixels.
  function sheet(canvas) {
    const ratio = window.devicePixelRatio || 1;
    const width = canvas.clientWidth;
    const height = canvas.clientHeight;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const pen = canvas.getContext('2d');
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.font = '14px system-ui, sans-serif';
    pen.lineJoin = 'round';
    return {pen, width, height};
  }

  // Fits a box of the floor into a canvas, above the scale bar.
  function floorView(page, box) {
    // A window that is being resized may be smaller than the margins for a moment.
    const scale = Math.max(1e-3, Math.min((page.width - 24) / Math.max(0.1, box[2] - box[0]),
      (page.height - 44) / Math.max(0.1, box[3] - box[1])));
    const left = page.width / 2 - scale * (box[0] + box[2]) / 2;
    const bottom = (page.height - 20) / 2 + scale * (box[1] + box[3]) / 2;
    return {scale, x: (x) => left + scale * x, y: (y) => bottom - scale * y};
  }

  function scaleBar(page, view) {
    const {pen, height} = page;
    const length_m = roundStep(page.width / 5 / view.scale);
    const text = length_m < 1 ? `${+(100 * length_m).toFixed(3)} cm` : `${+length_m.toFixed(3)} m`;
    pen.fillStyle = colour('card');
    pen.fillRect(6, height - 32, Math.max(length_m * view.scale, pen.measureText(text).width) + 12, 30);
    polyline(page, [[12, height - 8], [12 + length_m * view.scale, height - 8]], {colour: 'ink', width: 3});
    pen.fillStyle = colour('ink');
    pen.fillText(text, 12, height - 15);
  }

  function polyline(page, points, style) {
    const {pen} = page;
    pen.beginPath();
    points.forEach(([x, y], i) => (i ? pen.lineTo(x, y) : pen.moveTo(x, y)));
    pen.strokeStyle = colour(style.colour);
    pen.lineWidth = style.width || 2;
    pen.setLineDash(style.dash || []);
    pen.stroke();
    pen.setLineDash([]);
  }

  function dots(page, view, points, name, radius = 2.5) {
    const {pen} = page;
    pen.fillStyle = colour(name);
    for (const [x, y] of points) {
      pen.beginPath();
      pen.arc(view.x(x), view.y(y), radius, 0, 7);
      pen.fill();
    }
  }

  function squares(page, view, points) {
    const {pen} = page;
    pen.strokeStyle = colour('soft');
    pen.lineWidth = 1;
    for (const [x, y] of points) pen.strokeRect(view.x(x) - 3.5, view.y(y) - 3.5, 7, 7);
  }

  function robotMark(page, view, pose, name) {
    const {pen} = page;
    const [x, y] = [view.x(pose[0]), view.y(pose[1])];
    pen.beginPath();
    for (const [radius, angle] of [[15, 0], [11, 2.5], [4, Math.PI], [11, -2.5]]) {
      pen.lineTo(x + radius * Math.cos(pose[2] + angle), y - radius * Math.sin(pose[2] + angle));
    }
    pen.closePath();
    pen.fillStyle = colour(name);
    pen.fill();
    pen.strokeStyle = colour('card');
    pen.lineWidth = 1.5;
    pen.stroke();
  }

  // Values along a row, the one at hand marked, with the range at the left. `marks`: vertical strokes before indices.
  function chart(canvas, values, at, options) {
    const page = sheet(canvas);
    const {pen, width, height} = page;
    if (values.length === 0) return;
    const of = (v) => (options.logarithmic ? Math.log10(Math.max(v, options.least || 1e-3)) : v);
    const all = values.map(of);
    let low = options.low ?? Math.min(...all);
    let high = options.high ?? Math.max(...all);
    if (high - low < 1e-9) [low, high] = [low - 0.5, high + 0.5];
    const left = 66;
    const x = (i) => left + (width - left - 14) * i / Math.max(1, values.length - 1);
    const y = (v) => height - 26 - (height - 40) * (of(v) - low) / (high - low);
    const shown = (v) => (v >= 1e6 ? `${+(v / 1e6).toPrecision(3)} M` : minus(`${+v.toPrecision(3)}`));
    pen.fillStyle = colour('soft');
    pen.textAlign = 'right';
    const ends = options.ends || (options.logarithmic ? [10 ** low, 10 ** high] : [low, high]);
    for (const end of ends) {
      polyline(page, [[left, y(end)], [width - 8, y(end)]], {colour: 'line', width: 1});
      pen.fillText(shown(end), left - 8, y(end) + 5);
    }
    pen.textAlign = 'left';
    pen.fillText(options.below, left, height - 6);
    for (const i of options.marks || []) {
      polyline(page, [[x(i - 0.5), 14], [x(i - 0.5), height - 26]], {colour: 'line', width: 1});
    }
    polyline(page, values.map((v, i) => [x(i), y(v)]), {colour: 'soft'});
    const flat = {x: (v) => v, y: (v) => v};
    if (values.length < 40) dots(page, flat, values.map((v, i) => [x(i), y(v)]), 'soft', 3);
    const i = Math.min(at, values.length - 1);
    pen.beginPath();
    pen.arc(x(i), y(values[i]), 6, 0, 7);
    pen.lineWidth = 3;
    pen.strokeStyle = colour('ink');
    pen.stroke();
  }

  // ------------------------------------------------------------------------------------------------- parts and steps

  const redraw = {};
  const stepOf = {match: 0, graph: 0, cell: 0, walls: 0};
  const entered = {match: () => {}, graph: () => {}, cell: () => {}, walls: () => {}};

  // Shows one article of a part at a time, with buttons to go on and back.
  function makeSteps(part) {
    const words = document.querySelector(`.words[data-part="${part}"]`);
    const articles = [...words.querySelectorAll('.step')];
    const button = (textContent, name) =>
      Object.assign(document.createElement('button'), {type: 'button', textContent, id: `${part}-${name}`});
    const [back, next] = [button('Back', 'back'), button('Next', 'next')];
    const where = Object.assign(document.createElement('span'), {id: `${part}-step`});
    where.setAttribute('role', 'status');
    const bar = Object.assign(document.createElement('div'), {className: 'steps'});
    bar.append(back, next, where);
    words.append(bar);
    function show(step) {
      stepOf[part] = step;
      articles.forEach((article, i) => { article.hidden = i !== step; });
      for (const only of document.querySelectorAll(`#${part} .only`)) {
        only.hidden = !only.dataset.steps.split(' ').includes(String(step));
      }
      back.disabled = step === 0;
      next.disabled = step === articles.length - 1;
      where.textContent = `Step ${step + 1} of ${articles.length}`;
      entered[part](step);
      redraw[part]();
    }
    back.addEventListener('click', () => show(stepOf[part] - 1));
    next.addEventListener('click', () => show(stepOf[part] + 1));
    show(0);
  }

  // --------------------------------------------------------------------------------------------------------- one match

  // The rows of numbers are described in scanmatch/match_numbers.hpp.
  const problem = doubles(data.match.problem);
  const layout = data.match.layout;
  const option = {prior: 5, first: 17, last: 18, robust: 19};
  const predicted = [...problem.subarray(2, 5)];
  const rows = (numbers, begin, count, size) =>
    Array.from({length: count}, (_, i) => numbers.subarray(begin + i * size, begin + (i + 1) * size));
  const returns = rows(problem, layout.problem, problem[0], layout.point).map((p) => [p[0], p[1]]);
  // Each line's ends, along its fit from the first to the last return on it, and its normal.
  const lines = rows(problem, layout.problem + problem[0] * layout.point, problem[1], layout.line).map((line) => {
    const [ax, ay, , , nx, ny, offset, first, last] = line;
    const end = (along) => [ax + ny * along + nx * offset, ay - nx * along + ny * offset];
    return {from: end(first), to: end(last), nx, ny};
  });

  function traceOf(numbers) {
    const iterations = [];
    let at = layout.trace;
    for (let i = 0; i < numbers[0]; ++i) {
      const count = numbers[at + 8];
      iterations.push({
        pose: [...numbers.subarray(at, at + 3)], gate: numbers[at + 3], residual: numbers[at + 4],
        step: [...numbers.subarray(at + 5, at + 8)],
        pairs: rows(numbers, at + layout.iteration, count, layout.pair).map(
          ([point, line, distance_m, weight]) => ({point, line, distance_m, weight})),
      });
      at += layout.iteration + count * layout.pair;
    }
    return {
      pose: [...numbers.subarray(1, 4)], information: [...numbers.subarray(4, 13)], overlap: numbers[13],
      residual: numbers[14], pairs: numbers[15], converged: numbers[16] === 1, iterations,
    };
  }

  const precomputed = data.match.matches.map((match) => ({shift: match.shift, trace: traceOf(doubles(match.trace))}));
  const mapper = precomputed[0].trace;
  let trace = mapper;
  let begun = predicted;
  let matcher = null;

  function runMatcher(shift, gate, robust) {
    const numbers = Float64Array.from(problem);
    numbers.set(compose(predicted, exponential(shift)), 2);
    // As in the precomputed ones: the wheels' word would hold the scan where the shift put it.
    if (shift.some((part) => part !== 0)) numbers.fill(0, option.prior, option.prior + 9);
    numbers[option.first] = gate;
    numbers[option.last] = Math.min(gate, problem[option.last]);
    numbers[option.robust] = robust;
    const address = matcher.problem_at(numbers.length);
    new Float64Array(matcher.memory.buffer, address, numbers.length).set(numbers);
    const count = matcher.solve();
    return traceOf(Float64Array.from(new Float64Array(matcher.memory.buffer, matcher.trace_at(), count)));
  }

  const before = (() => {
    const numbers = floats(data.match.before);
    return transformed(data.match.before_pose, rows(numbers, 0, numbers.length / 2, 2).map(([x, y]) => [x, y]));
  })();
  const wholeMatch = boxOf(before, 0.1);
  // 1.5 m around the pair whose neighbourhood lies worst where the wheels put the scan.
  const closeUp = (() => {
    const {pose, pairs} = mapper.iterations[0];
    const at = transformed(pose, pairs.map((pair) => returns[pair.point]));
    let [worst, best] = [-1, at[0] || [0, 0]];
    at.forEach((middle) => {
      const sum = at.reduce((total, place, i) =>
        total + (distance(place, middle) < 0.6 ? pairs[i].weight * Math.abs(pairs[i].distance_m) : 0), 0);
      if (sum > worst) [worst, best] = [sum, middle];
    });
    return boxOf([best], 0.75);
  })();

  function drawPairs(page, view, iteration) {
    const at = transformed(iteration.pose, iteration.pairs.map((pair) => returns[pair.point]));
    iteration.pairs.forEach(({line, distance_m, weight}, i) => {
      const [x, y] = at[i];
      const {nx, ny} = lines[line];
      page.pen.globalAlpha = 0.3 + 0.7 * weight;
      polyline(page, [[view.x(x), view.y(y)], [view.x(x - distance_m * nx), view.y(y - distance_m * ny)]],
        {colour: 'warn', width: 2.5});
    });
    page.pen.globalAlpha = 1;
  }

  // The ellipse of 95 %, in the robot's frame; the heading is eliminated (Schur complement).
  function whatRemains(information) {
    const [a, b, c, , d, e, , , f] = information.map((value, i) => value + (i % 4 === 0 ? 1e-6 : 0));
    const [xx, xy, yy] = [a - c * c / f, b - c * e / f, d - e * e / f];
    const determinant = Math.max(1e-12, xx * yy - xy * xy);
    const shape = ellipse(yy / determinant, -xy / determinant, xx / determinant);
    // The heading's own, whatever the place: of the whole covariance.
    const inner = a * d - b * b;
    const turn_variance = inner / (f * inner - (c * (d * c - b * e) + e * (a * e - b * c)));
    return {long_m: factor95 * shape.major, short_m: factor95 * shape.minor, direction_rad: shape.direction_rad,
      turn_rad: 1.96 * Math.sqrt(Math.max(0, turn_variance))};
  }

  function drawEllipse(page, view) {
    const {long_m, short_m, direction_rad, turn_rad} = whatRemains(trace.information);
    const times = Math.max(1, roundStep(Math.min(500, 0.7 / Math.min(long_m, 0.7))));
    const {pen} = page;
    pen.beginPath();
    pen.ellipse(view.x(trace.pose[0]), view.y(trace.pose[1]), Math.min(times * long_m, 50) * view.scale,
      times * short_m * view.scale, -(trace.pose[2] + direction_rad), 0, 7);
    pen.strokeStyle = colour('ellipse');
    pen.lineWidth = 3;
    pen.stroke();
    const long = long_m < 20 ? lengthText(long_m) : 'without end (the walls leave this direction open)';
    const turn = turn_rad < 1 ? `known to ±${angleText(turn_rad)}` : 'left open by the walls';
    return `The ellipse is drawn ${times} times as large: in truth its half axes are ${long} and ${lengthText(short_m)}; the ` +
      `heading is ${turn} (95 %, noise of the pairs alone).`;
  }

  const iterationRange = find('match-iteration');
  redraw.match = () => {
    const page = sheet(find('match-picture'));
    const step = stepOf.match;
    const at = Math.min(Number(iterationRange.value), trace.iterations.length);
    const iteration = trace.iterations[Math.min(at, trace.iterations.length - 1)];
    const iterating = step === 2 || step === 3;
    const pose = step < 2 ? begun : iterating && at < trace.iterations.length ? iteration.pose : trace.pose;
    const view = floorView(page, find('match-close').checked ? closeUp : wholeMatch);
    for (const {from, to} of lines) {
      polyline(page, [from, to].map(([x, y]) => [view.x(x), view.y(y)]),
        {colour: step >= 1 ? 'wall' : 'line', width: step >= 1 ? 3 : 2});
    }
    if (step === 0) squares(page, view, before);
    if (iterating && at < trace.iterations.length) drawPairs(page, view, iteration);
    dots(page, view, transformed(pose, returns), 'scan');
    robotMark(page, view, pose, 'path');
    const moved = [Math.hypot(iteration.step[0], iteration.step[1]), iteration.step[2]];
    const captions = [
      'Squares: the scan before. Dots: the new scan where it begins. Arrow: the robot.',
      `${lines.length} lines of walls seen lately, and the scan where it begins.`,
      `${iteration.pairs.length} pairs within ${lengthText(iteration.gate)}.`,
      at === trace.iterations.length ? 'After the last step.' :
        `${iteration.pairs.length} pairs; this step moves by ${lengthText(moved[0])} and turns by ${angleText(moved[1])}.`,
    ];
    find('match-caption').textContent = step === 4 ? drawEllipse(page, view) : captions[step];
    scaleBar(page, view);
    if (!iterating) return;
    find('match-iteration-text').textContent =
      at < trace.iterations.length ? `before step ${at + 1} of ${trace.iterations.length}` : 'after the last step';
    find('match-residual').textContent =
      `Residual (weighted RMS of the pairs) before step ${Math.min(at + 1, trace.iterations.length)}: ` +
      `${times1000(iteration.residual)} mm`;
    chart(find('match-chart'), trace.iterations.map((i) => 1000 * i.residual), at, {below: 'mm, by iteration', low: 0});
  };

  // Pairs are best seen from near by, the rest as a whole.
  entered.match = (step) => { find('match-close').checked = step === 2 || step === 3; };

  function showTrace(found, start, how) {
    trace = found;
    begun = start;
    iterationRange.max = trace.iterations.length;
    iterationRange.value = Math.min(Number(iterationRange.value), trace.iterations.length);
    const apart = distance(trace.pose, mapper.pose);
    find('match-result').textContent =
      `${trace.converged ? 'Settled' : 'Not settled'} after ${trace.iterations.length} steps: ${trace.pairs} pairs, residual ` +
      `${times1000(trace.residual)} mm, ${percentText(trace.overlap)} of the returns found a partner; ${lengthText(apart)} ` +
      `and ${angleText(trace.pose[2] - mapper.pose[2])} from where the mapper's match ended (${how}).`;
    redraw.match();
  }

  const tries = ['ahead', 'left', 'turn', 'gate', 'robust'].map((name) => find(`try-${name}`));
  function rerun() {
    const [ahead, left, turn_deg, gate, robust] = tries.map((range) => Number(range.value));
    const shift = [ahead, left, turn_deg * Math.PI / 180];
    const texts = [lengthText(ahead), lengthText(left), angleText(shift[2]), lengthText(gate), lengthText(robust)];
    tries.forEach((range, i) => {
      find(`${range.id}-text`).textContent = texts[i];
      range.setAttribute('aria-valuetext', texts[i]);
    });
    showTrace(runMatcher(shift, gate, robust), compose(predicted, exponential(shift)), 'run in this page');
  }

  function offerSliders() {
    find('match-how').textContent = 'The project\'s own matcher (core/pose2.cpp, scanmatch/icp.cpp, scanmatch/line_map.cpp), ' +
      'compiled to WebAssembly, runs in this page at each move of a slider. Where you shift the start, the wheels\' word is ' +
      'left out, for it would hold the scan there.';
    find('match-sliders').hidden = false;
    const reset = () => {
      [0, 0, 0, problem[option.first], problem[option.robust]].forEach((value, i) => { tries[i].value = value; });
      rerun();
    };
    tries.forEach((range) => range.addEventListener('input', rerun));
    find('try-reset').addEventListener('click', reset);
    reset();
  }

  function offerStarts(why) {
    find('match-how').textContent =
      `Precomputed: ${why}, so the program ran its matcher from a few starts when it made this page.`;
    const select = find('match-start');
    precomputed.forEach(({shift}, i) => {
      const [ahead, left, turn] = shift;
      select.append(new Option(i === 0 ? 'where the wheels say (as the mapper did it)' :
        `${lengthText(ahead)} ahead, ${lengthText(left)} to the left, turned by ${angleText(turn)}`, i));
    });
    find('match-starts').hidden = false;
    const show = () => {
      const chosen = precomputed[Number(select.value)];
      showTrace(chosen.trace, compose(predicted, exponential(chosen.shift)), 'precomputed');
    };
    select.addEventListener('change', show);
    show();
  }

  function startMatch() {
    find('match-time').textContent = `${data.match.time_s.toFixed(1)} s`;
    const {before_pose: from, kept} = data.match;
    find('match-moved').textContent = `${lengthText(distance(from, kept))} and ${angleText(kept[2] - from[2])}` +
      (distance(mapper.pose, kept) > 1e-3 ? ' (the mapper found it by a wider search; below is the match that it tried first)' : '');
    iterationRange.addEventListener('input', redraw.match);
    iterationRange.max = trace.iterations.length;
    find('match-close').addEventListener('change', redraw.match);
    makePlayer(find('match-play'), iterationRange, 5000);
    makeSteps('match');
    if (!data.matcher) {
      offerStarts('this build of the program found no compiler for WebAssembly');
      return;
    }
    WebAssembly.instantiate(bytesOf(data.matcher), {}).then((made) => {
      matcher = made.instance.exports;
      matcher._initialize();
      offerSliders();
    }).catch(() => offerStarts('this browser runs no WebAssembly')).then(complete);
  }

  // --------------------------------------------------------------------------------------------------------- the graph

  const graph = data.graph;
  const posesIn = (base64) => {
    const numbers = floats(base64);
    return rows(numbers, 0, numbers.length / 3, 3);
  };
  const path = {odometry: posesIn(graph.odometry), tracked: posesIn(graph.tracked), adjusted: posesIn(graph.adjusted)};
  const nodeCount = path.tracked.length;
  const scans = (() => {
    const numbers = shorts(graph.points);
    let begin = 0;
    return graph.counts.map((count) => {
      const points = rows(numbers, begin, count, 2).map(([x, y]) => [x * graph.point_unit_m, y * graph.point_unit_m]);
      begin += 2 * count;
      return points;
    });
  })();
  // Not more points than a phone draws smoothly.
  const everyPoint = Math.max(1, Math.ceil(scans.reduce((total, scan) => total + scan.length, 0) / 40000));
  const unpackReplay = (replay) => {
    const all = posesIn(replay.poses);
    return {...replay, poses: replay.shown.map((_, i) => all.slice(i * nodeCount, (i + 1) * nodeCount))};
  };
  const replays = graph.replays.map((replay) => {
    let unpacked = null;
    return () => (unpacked = unpacked || unpackReplay(replay));
  });
  const wholeGraph = boxOf(path.odometry.concat(path.tracked), 1.5);

  function drawScans(page, view, poses) {
    const {pen} = page;
    pen.fillStyle = colour('soft');
    poses.forEach((pose, node) => {
      const points = everyPoint === 1 ? scans[node] : scans[node].filter((_, i) => i % everyPoint === 0);
      for (const [x, y] of transformed(pose, points)) pen.fillRect(view.x(x) - 0.8, view.y(y) - 0.8, 1.6, 1.6);
    });
  }
  const drawPath = (page, view, poses, style) => polyline(page, poses.map(([x, y]) => [view.x(x), view.y(y)]), style);
  const drawEdge = (page, view, poses, from, to, style) => drawPath(page, view, [poses[from], poses[to]], style);

  function drawGrowing(page) {
    const count = Number(find('graph-nodes').value);
    const view = floorView(page, wholeGraph);
    const [odometry, tracked] = [path.odometry.slice(0, count), path.tracked.slice(0, count)];
    drawScans(page, view, tracked);
    drawPath(page, view, odometry, {colour: 'odometry', dash: odometryDash()});
    drawPath(page, view, tracked, {colour: 'path'});
    robotMark(page, view, odometry[count - 1], 'odometry');
    robotMark(page, view, tracked[count - 1], 'path');
    scaleBar(page, view);
    find('graph-nodes-text').textContent = `${count} of ${nodeCount}`;
    const [a, b] = [odometry[count - 1], tracked[count - 1]];
    find('graph-caption').textContent = `After ${(graph.times[count - 1] - graph.times[0]).toFixed(0)} s: wheels (dashed) ` +
      `and matching (full line) are ${lengthText(distance(a, b))} and ${angleText(a[2] - b[2])} apart.`;
  }

  const candidateAtHand = () => graph.candidates[Number(find('graph-candidate').value)];
  // Some pairs are rejected before anything is measured.
  const wasMeasured = (candidate) => candidate.chi_squared !== null && candidate.overlap > 0;
  const verdict = (candidate) => `${candidate.accepted ? 'Accepted' : 'Rejected'}: ${candidate.reason}.`;

  function drawCandidate(page) {
    const candidate = candidateAtHand();
    if (!candidate) {
      find('graph-caption').textContent = 'This drive came back to no place that could be tried.';
      return;
    }
    const share = Number(find('graph-moved').value);
    const mixed = candidate.predicted.map((value, i) => value + share * (candidate.found[i] - value));
    const earlier = scans[candidate.from];
    const later = (pose) => transformed(pose, scans[candidate.to]);
    const view = floorView(page, boxOf(earlier.concat(later(candidate.found), later(candidate.predicted)), 0.1));
    squares(page, view, earlier);
    dots(page, view, later(mixed), 'scan');
    robotMark(page, view, [0, 0, 0], 'soft');
    robotMark(page, view, mixed, 'path');
    scaleBar(page, view);
    const text = share === 0 ? 'as predicted' : share === 1 ? 'as found' : percentText(share);
    find('graph-moved-text').textContent = text;
    find('graph-moved').setAttribute('aria-valuetext', text);
    find('graph-caption').textContent =
      `${verdict(candidate)} Shown is one scan of each place; the tests take all walls seen around both.`;
  }

  function showTests() {
    const candidate = candidateAtHand();
    const host = find('graph-tests');
    host.replaceChildren();
    if (!candidate || stepOf.graph !== 2) return;
    const measured = wasMeasured(candidate);
    const {limits} = graph;
    const row = (name, text, limit, passes) =>
      [name, measured ? text : '—', limit, !measured ? 'not measured' : passes ? '✓ passes' : '✗ fails'];
    const rowsOfTests = [
      ['test', 'found', 'limit', 'verdict'],
      row('walls that coincide', percentText(candidate.overlap), `at least ${percentText(limits.overlap)}`,
        candidate.overlap >= limits.overlap),
      row('walls in free space', percentText(candidate.contradiction), `at most ${percentText(limits.contradiction)}`,
        candidate.contradiction <= limits.contradiction),
      row('χ² against the drift', measured ? candidate.chi_squared.toFixed(1) : '', `at most ${limits.chi_squared.toFixed(1)}`,
        candidate.chi_squared <= limits.chi_squared),
    ];
    const table = document.createElement('table');
    rowsOfTests.forEach((cells, r) => {
      const line = table.insertRow();
      cells.forEach((text, i) => {
        const head = r === 0 || i === 0;
        const cell = document.createElement(head ? 'th' : 'td');
        if (head) cell.scope = r === 0 ? 'col' : 'row';
        cell.textContent = text;
        line.append(cell);
      });
    });
    host.append(table);
  }

  function replayAtHand() {
    const checked = (name) => find(`graph-${name}`).checked;
    const wanted = stepOf.graph === 3 ?
      {from_odometry: find('graph-from').value === 'odometry', true_closures: true, false_closure: false} :
      {from_odometry: false, true_closures: checked('true'), false_closure: checked('false')};
    // Whether closures lose weight tells apart only the replays with the false one.
    if (wanted.false_closure) wanted.robust = checked('robust');
    const at = graph.replays.findIndex((replay) => Object.entries(wanted).every(([key, value]) => replay[key] === value));
    return at < 0 ? null : replays[at]();
  }

  function drawReplay(page) {
    const replay = replayAtHand();
    const caption = find('graph-caption');
    if (!replay || replay.shown.length === 0) {
      caption.textContent = replay ? 'There is nothing to optimise: the path is the one by matching alone.' :
        'The drive stayed too near its beginning for a false closure to be made up.';
      return;
    }
    const range = find('graph-iteration');
    const last = replay.shown.length - 1;
    range.max = last;
    const at = Math.min(Number(range.value), last);
    const iteration = replay.shown[at];
    const poses = replay.poses[at];
    const view = floorView(page, stepOf.graph === 4 ? boxOf(path.tracked.concat(replay.poses[last]), 1.5) : wholeGraph);
    drawScans(page, view, poses);
    drawPath(page, view, path.adjusted, {colour: 'ink', dash: [2, 4]});
    drawPath(page, view, poses, {colour: 'path'});
    const closures = replay.true_closures ? graph.edges.filter(([kind]) => kind === 'closure') : [];
    for (const [, from, to] of closures) drawEdge(page, view, poses, from, to, {colour: 'closure', width: 2});
    if (replay.false_closure) {
      const {from, to} = graph.false_closure;
      drawEdge(page, view, poses, from, to, {colour: 'warn', width: 4, dash: [9, 6]});
    }
    scaleBar(page, view);
    const furthest_m = Math.max(...poses.map((pose, i) => distance(pose, path.adjusted[i])));
    find('graph-iteration-text').textContent = `${iteration} of ${replay.cost.length - 1}`;
    const keys = [closures.length > 0 ? 'straight lines: true closures' : '',
      replay.false_closure ? 'broad dashes: the false closure' : ''];
    caption.textContent = `The node furthest off lies ${lengthText(furthest_m)} from where the finished map has it. ` +
      ['Full line: the path at this iteration', 'dotted: in the finished map', ...keys].filter((key) => key).join('; ') + '.';
    find('graph-cost').textContent = `Cost (half of the weighted squares) at iteration ${iteration}: ${+replay.cost[iteration].toPrecision(4)}`;
    chart(find('graph-chart'), replay.cost, iteration, {below: 'by iteration, logarithmic', logarithmic: true});
  }

  redraw.graph = () => {
    const page = sheet(find('graph-picture'));
    if (stepOf.graph === 0) drawGrowing(page);
    else if (stepOf.graph < 3) drawCandidate(page);
    else drawReplay(page);
    showTests();
  };

  // To the first iteration or the last one; the drawing sets how many there are.
  function rewind(toEnd) {
    const range = find('graph-iteration');
    range.max = 1000;
    range.value = toEnd ? 1000 : 0;
  }
  entered.graph = (step) => rewind(step === 4);

  function listCandidates() {
    const select = find('graph-candidate');
    const moved = (candidate) => distance(candidate.found, candidate.predicted);
    for (const accepted of [true, false]) {
      const group = Object.assign(document.createElement('optgroup'), {label: accepted ? 'accepted' : 'rejected'});
      graph.candidates.map((candidate, i) => ({candidate, i})).filter(({candidate}) => candidate.accepted === accepted)
        .sort((a, b) => moved(b.candidate) - moved(a.candidate)).forEach(({candidate, i}) => {
          const times = [candidate.from, candidate.to].map((node) => `${graph.times[node].toFixed(0)} s`).join(' and ');
          const fit = wasMeasured(candidate) ? `moved by ${lengthText(moved(candidate))}` : 'no fit';
          group.append(new Option(`${accepted ? '✓' : '✗'} ${times}, ${fit}`, i));
        });
      if (group.children.length > 0) select.append(group);
    }
  }

  function startGraph() {
    find('graph-nodes').max = nodeCount;
    find('graph-nodes').value = nodeCount;
    listCandidates();
    const wrong = graph.false_closure;
    find('graph-false-words').textContent += wrong ?
      ` Asked about it, the mapper's own tests say ${wrong.accepted ? 'yes' : 'no'}: ${wrong.reason}; the two places are ` +
      `${lengthText(wrong.distance_m)} apart.` : ' This drive stayed too near its beginning for one to be made up.';
    for (const id of ['graph-nodes', 'graph-moved', 'graph-iteration']) find(id).addEventListener('input', redraw.graph);
    find('graph-candidate').addEventListener('change', redraw.graph);
    for (const id of ['graph-from', 'graph-true', 'graph-false', 'graph-robust']) {
      find(id).addEventListener('change', () => { rewind(id !== 'graph-from'); redraw.graph(); });
    }
    makePlayer(find('graph-play'), find('graph-nodes'), 12000);
    makePlayer(find('graph-run'), find('graph-iteration'), 6000);
    makeSteps('graph');
  }

  // ---------------------------------------------------------------------------------------------------------- one cell

  const cellRange = find('cell-event');
  const cells = data.cells.map((cell) => ({
    ...cell,
    events: cell.events.map(([time_s, visit, hit, visit_hits, visit_crossings, log_odds, beam]) =>
      ({time_s, visit, hit, visit_hits, visit_crossings, log_odds, beam})),
  }));
  const cellAtHand = () => cells[Number(find('cell-which').value)];
  const probabilityOf = (logOdds) => 1 / (1 + Math.exp(-logOdds));

  // The finished map around the cell, pale, under the lattice of cells.
  function drawSurroundings(page, view, cell) {
    const {pen} = page;
    const side = Math.round(Math.sqrt(cell.around.length));
    const size = data.cell_size_m;
    const corner = [cell.middle[0] - side * size / 2, cell.middle[1] - side * size / 2];
    cell.around.forEach((hundredths, i) => {
      const [x, y] = [corner[0] + (i % side) * size, corner[1] + Math.floor(i / side) * size];
      pen.globalAlpha = hundredths < 0 ? 1 : 0.45 * hundredths / 100;
      pen.fillStyle = colour(hundredths < 0 ? 'unseen' : 'ink');
      pen.fillRect(view.x(x), view.y(y + size), size * view.scale + 0.5, size * view.scale + 0.5);
    });
    pen.globalAlpha = 1;
    for (let i = 0; i <= side; ++i) {
      const at = i * size;
      const [right, top] = [corner[0] + side * size, corner[1] + side * size];
      for (const [from, to] of [[[corner[0] + at, corner[1]], [corner[0] + at, top]],
        [[corner[0], corner[1] + at], [right, corner[1] + at]]]) {
        polyline(page, [from, to].map(([x, y]) => [view.x(x), view.y(y)]), {colour: 'line', width: 1});
      }
    }
  }

  // The latest beams up to the event, the older the paler.
  function drawBeams(page, view, cell, at) {
    const latest = cell.events.slice(0, at + 1).filter((event) => event.beam).slice(-24);
    latest.forEach(({beam}, i) => {
      const [fromX, fromY, toX, toY, hit] = beam;
      const newest = i === latest.length - 1;
      page.pen.globalAlpha = newest ? 1 : 0.1 + 0.3 * i / latest.length;
      polyline(page, [[view.x(fromX), view.y(fromY)], [view.x(toX), view.y(toY)]], {colour: 'scan', width: newest ? 3 : 1.5});
      if (hit) dots(page, view, [[toX, toY]], 'scan', newest ? 6 : 3);
    });
    page.pen.globalAlpha = 1;
  }

  redraw.cell = () => {
    const cell = cellAtHand();
    const at = Number(cellRange.value);
    const event = cell.events[at];
    const page = sheet(find('cell-picture'));
    const half = data.cell_size_m / 2;
    const [x, y] = cell.middle;
    const view = floorView(page, [x - 8 * half * 2, y - 6 * half * 2, x + 8 * half * 2, y + 6 * half * 2]);
    drawSurroundings(page, view, cell);
    const logOdds = event ? event.log_odds : data.voting.prior;
    const probability = probabilityOf(logOdds);
    const {pen} = page;
    const square = [view.x(x - half), view.y(y + half), 2 * half * view.scale, 2 * half * view.scale];
    pen.fillStyle = colour('card');
    pen.fillRect(...square);
    pen.globalAlpha = probability;
    pen.fillStyle = colour('ink');
    pen.fillRect(...square);
    pen.globalAlpha = 1;
    if (event) drawBeams(page, view, cell, at);
    pen.strokeStyle = colour('warn');
    pen.lineWidth = 4;
    pen.strokeRect(...square);
    scaleBar(page, view);
    find('cell-event-text').textContent = event ? `${at + 1} of ${cell.events.length}` : 'none';
    find('cell-caption').textContent = (event ? `At ${event.time_s.toFixed(1)} s a beam ${event.hit ? 'ended in' : 'crossed'} ` +
      `the cell. This visit so far: scans that hit it ${event.visit_hits}, that only crossed it ${event.visit_crossings}. ` :
      'No beam touched this cell. ') + finishedWords(cell);
    find('cell-odds').textContent =
      `Log-odds after this scan: ${minus(logOdds.toFixed(2))}; probability of wall: ${percentText(probability)}`;
    const visits = cell.events.map((e) => e.visit);
    const marks = visits.map((visit, i) => i).filter((i) => i > 0 && visits[i] !== visits[i - 1]);
    const most = data.voting.most;
    chart(find('cell-chart'), cell.events.map((e) => e.log_odds), at,
      {below: 'scans; strokes part visits', low: -most, high: most, ends: [-most, 0, most], marks});
  };

  function finishedWords(cell) {
    const last = cell.events[cell.events.length - 1];
    const gathered = last && Math.abs(cell.probability - probabilityOf(last.log_odds)) > 0.02;
    return `In the finished map: ${percentText(cell.probability)}` +
      (gathered ? ' (a wall\'s face is gathered into one row of cells at the end, and doors are softened).' : '.');
  }

  function startCells() {
    cells.forEach((cell, i) => find('cell-which').append(new Option(`${cell.what} (${cell.events.length} scans)`, i)));
    const choose = () => {
      cellRange.max = Math.max(0, cellAtHand().events.length - 1);
      cellRange.value = 0;
      redraw.cell();
    };
    find('cell-which').addEventListener('change', choose);
    cellRange.addEventListener('input', redraw.cell);
    makePlayer(find('cell-play'), cellRange, 10000);
    makeSteps('cell');
    choose();
  }

  // ------------------------------------------------------------------------------------------------------------- start

  function complete() {
    document.documentElement.classList.add('complete');
  }

  const starts = [startMatch, startGraph, startCells];
  document.documentElement.classList.add('scripted', 'starting');
  const redrawAll = () => Object.values(redraw).forEach((draw) => draw());
  // After the first picture.
  setTimeout(() => {
    document.documentElement.classList.remove('starting');
    window.addEventListener('resize', redrawAll);
    window.matchMedia('screen and (prefers-color-scheme: dark)').addEventListener('change', redrawAll);  // paper is light
    for (const start of starts) start();
    if (!data.matcher) complete();
  }, 0);

  // For the page's tests, and for curious people at the browser's console.
  window.explain = {
    data, mapper, precomputed, problem, option, whatRemains, exponential, trace: () => trace, replay: replayAtHand,
    runMatcher: (...start) => (matcher ? runMatcher(...start) : null),
  };
  return {
    data, starts, redraw, stepOf, makeSteps, floats, rows, boxOf, exponential, colour, sheet, floorView, scaleBar, polyline, dots, drawPath,
    path, scans,
  };
})();
