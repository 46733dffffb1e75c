// Steps through one drive: one match, the graph, one cell. All figures come from the program's own traces in #data; the
// match is run again here by the program's own matcher where the page carries it as WebAssembly.
'use strict';
(function () {
  const data = JSON.parse(document.getElementById('data').textContent);
  const $ = (id) => document.getElementById(id);

  // ---- numbers -------------------------------------------------------------------------------------------------------
  function bytesOf(base64) {
    const text = atob(base64);
    const bytes = new Uint8Array(text.length);
    for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
    return bytes;
  }
  const doubles = (base64) => new Float64Array(bytesOf(base64).buffer);
  const floats = (base64) => new Float32Array(bytesOf(base64).buffer);
  const shorts = (base64) => new Int16Array(bytesOf(base64).buffer);
  const degrees = (radians) => (radians * 180) / Math.PI;
  function lengthText(metres) {
    const size = Math.abs(metres);
    return size < 0.01 ? (1000 * metres).toFixed(2) + ' mm' : size < 1 ? (1000 * metres).toFixed(0) + ' mm' : metres.toFixed(2) + ' m';
  }
  const turnText = (radians) => degrees(radians).toFixed(2) + '°';
  const compose = (a, b) => {
    const c = Math.cos(a[2]);
    const s = Math.sin(a[2]);
    return [a[0] + c * b[0] - s * b[1], a[1] + s * b[0] + c * b[1], a[2] + b[2]];
  };
  /// The motion along one arc; core/pose2.cpp, exp.
  function exponential(t) {
    const w = t[2];
    const a = Math.abs(w) < 1e-9 ? 1 : Math.sin(w) / w;
    const b = Math.abs(w) < 1e-9 ? w / 2 : (1 - Math.cos(w)) / w;
    return [a * t[0] - b * t[1], b * t[0] + a * t[1], w];
  }
  const apply = (pose, x, y) => {
    const c = Math.cos(pose[2]);
    const s = Math.sin(pose[2]);
    return [pose[0] + c * x - s * y, pose[1] + s * x + c * y];
  };

  // ---- drawing -------------------------------------------------------------------------------------------------------
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue('--' + name).trim();
  function sheet(canvas) {
    const ratio = window.devicePixelRatio || 1;
    const width = canvas.clientWidth;
    const height = canvas.clientHeight;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const pen = canvas.getContext('2d');
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, width, height);
    pen.font = '13px system-ui, sans-serif';
    pen.lineJoin = 'round';
    return { pen, width, height };
  }
  /// Fits a box of the floor (metres, y upwards) into a canvas.
  function floorView(page, box) {
    const scale = Math.min((page.width - 24) / (box[2] - box[0]), (page.height - 44) / (box[3] - box[1]));
    const left = page.width / 2 - (scale * (box[0] + box[2])) / 2;
    const bottom = (page.height - 16) / 2 + (scale * (box[1] + box[3])) / 2;
    return { scale, x: (x) => left + scale * x, y: (y) => bottom - scale * y };
  }
  function scaleBar(page, view) {
    const wanted = page.width / 5 / view.scale;
    const length = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].reduce((best, l) => (l <= wanted ? l : best), 0.02);
    const { pen, height } = page;
    pen.strokeStyle = pen.fillStyle = colour('ink');
    pen.lineWidth = 2;
    pen.beginPath();
    pen.moveTo(12, height - 10);
    pen.lineTo(12 + length * view.scale, height - 10);
    pen.stroke();
    pen.fillText(length < 1 ? Math.round(100 * length) + ' cm' : length + ' m', 12, height - 16);
  }
  function polyline(page, points, style) {
    const { pen } = page;
    pen.beginPath();
    points.forEach(([x, y], i) => (i ? pen.lineTo(x, y) : pen.moveTo(x, y)));
    pen.strokeStyle = style.colour;
    pen.lineWidth = style.width || 2;
    pen.setLineDash(style.dash || []);
    pen.stroke();
    pen.setLineDash([]);
  }
  function robotMark(page, view, pose, name) {
    const { pen } = page;
    const x = view.x(pose[0]);
    const y = view.y(pose[1]);
    pen.fillStyle = name;
    pen.beginPath();
    for (const [r, a] of [[11, 0], [8, 2.5], [8, -2.5]]) {
      pen.lineTo(x + r * Math.cos(pose[2] + a), y - r * Math.sin(pose[2] + a));
    }
    pen.closePath();
    pen.fill();
  }
  /// A chart of values, the one at hand marked. `marks`: vertical strokes at indices.
  function chart(canvas, values, at, options) {
    const page = sheet(canvas);
    const { pen, width, height } = page;
    const logarithmic = options.logarithmic === true;
    const of = (v) => (logarithmic ? Math.log10(Math.max(v, 1e-12)) : v);
    let low = options.low !== undefined ? options.low : Math.min(...values.map(of));
    let high = options.high !== undefined ? options.high : Math.max(...values.map(of));
    if (high - low < 1e-9) { high += 0.5; low -= 0.5; }
    const x = (i) => 12 + ((width - 30) * i) / Math.max(1, values.length - 1);
    const y = (v) => height - 22 - ((height - 50) * (of(v) - low)) / (high - low);
    pen.fillStyle = colour('soft');
    pen.fillText(options.title, 12, 14);
    pen.fillText(options.below, 12, height - 4);
    if (options.zero) polyline(page, [[12, y(0)], [width - 18, y(0)]], { colour: colour('line'), width: 1 });
    for (const i of options.marks || []) polyline(page, [[x(i - 0.5), 20], [x(i - 0.5), height - 22]], { colour: colour('line'), width: 1 });
    polyline(page, values.map((v, i) => [x(i), y(v)]), { colour: colour('one') });
    if (values.length < 40) {
      pen.fillStyle = colour('one');
      values.forEach((v, i) => { pen.beginPath(); pen.arc(x(i), y(v), 3, 0, 7); pen.fill(); });
    }
    if (values.length === 0) return;
    const i = Math.min(at, values.length - 1);
    pen.beginPath();
    pen.arc(x(i), y(values[i]), 6, 0, 7);
    pen.lineWidth = 3;
    pen.strokeStyle = colour('two');
    pen.stroke();
  }

  // ---- parts, steps, players -----------------------------------------------------------------------------------------
  const redraw = {};
  const stepOf = { match: 0, graph: 0, cell: 0 };
  /// Shows one article of a part at a time, with buttons to go on and back.
  function makeSteps(part) {
    const words = document.querySelector('.words[data-part="' + part + '"]');
    const articles = [...words.querySelectorAll('.step')];
    const bar = document.createElement('div');
    bar.className = 'steps';
    const back = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Back', id: part + '-back' });
    const next = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Next', id: part + '-next' });
    const where = document.createElement('span');
    where.setAttribute('role', 'status');
    bar.append(back, next, where);
    words.append(bar);
    function show(step) {
      stepOf[part] = step;
      articles.forEach((article, i) => { article.hidden = i !== step; });
      for (const only of document.querySelectorAll('#' + part + ' .only')) {
        only.hidden = !only.dataset.steps.split(' ').includes(String(step));
      }
      back.disabled = step === 0;
      next.disabled = step === articles.length - 1;
      if (part === 'graph') rewind(step === 4);
      where.textContent = 'Step ' + (step + 1) + ' of ' + articles.length;
      redraw[part]();
    }
    back.addEventListener('click', () => show(stepOf[part] - 1));
    next.addEventListener('click', () => show(stepOf[part] + 1));
    return show;
  }
  /// The optimiser's iterations, to the first or the last one; the next drawing sets how many there are.
  function rewind(toEnd) {
    const range = $('graph-iteration');
    range.max = 1000;
    range.value = toEnd ? 1000 : 0;
  }
  /// A button that moves a range from its start (or where it is) to its end.
  function makePlayer(button, range, duration_ms) {
    let timer = 0;
    const stop = () => { clearInterval(timer); timer = 0; button.textContent = 'Play'; };
    button.addEventListener('click', () => {
      if (timer) { stop(); return; }
      const last = Number(range.max);
      if (Number(range.value) >= last) range.value = range.min;
      const ticks = Math.max(1, last - Number(range.min));
      const stride = Math.max(1, Math.ceil(ticks / 120));
      button.textContent = 'Stop';
      timer = setInterval(() => {
        range.value = Math.min(last, Number(range.value) + stride);
        range.dispatchEvent(new Event('input'));
        if (Number(range.value) >= last) stop();
      }, Math.max(30, duration_ms / (ticks / stride)));
    });
  }

  // ---- one match -----------------------------------------------------------------------------------------------------
  // The rows of numbers are described in scanmatch/match_numbers.hpp.
  const problem = doubles(data.match.problem);
  const layout = data.match.layout;
  const option = { iterations: 16, first: 17, last: 18, robust: 19 };
  const pointCount = problem[0];
  const lineCount = problem[1];
  const pointAt = (i) => problem.subarray(layout.problem + i * layout.point, layout.problem + (i + 1) * layout.point);
  const lineAt = (i) => {
    const begin = layout.problem + pointCount * layout.point + i * layout.line;
    return problem.subarray(begin, begin + layout.line);
  };
  function traceOf(numbers) {
    const trace = {
      pose: [...numbers.subarray(1, 4)], information: [...numbers.subarray(4, 13)], overlap: numbers[13], residual: numbers[14],
      pairs: numbers[15], converged: numbers[16] === 1, iterations: [],
    };
    let at = layout.trace;
    for (let i = 0; i < numbers[0]; ++i) {
      const count = numbers[at + 8];
      trace.iterations.push({
        pose: [...numbers.subarray(at, at + 3)], gate: numbers[at + 3], residual: numbers[at + 4],
        step: [...numbers.subarray(at + 5, at + 8)], count,
        pairs: numbers.subarray(at + layout.iteration, at + layout.iteration + count * layout.pair),
      });
      at += layout.iteration + count * layout.pair;
    }
    return trace;
  }
  const precomputed = data.match.matches.map((m) => ({ shift: m.shift, trace: traceOf(doubles(m.trace)) }));
  let trace = precomputed[0].trace;
  let begun = [problem[2], problem[3], problem[4]];
  let matcher = null;

  function runMatcher(shift, gate, robust) {
    const numbers = Float64Array.from(problem);
    numbers.set(compose([problem[2], problem[3], problem[4]], exponential(shift)), 2);
    // As in the precomputed ones: odometry's word would hold the scan where the shift put it.
    if (shift.some((v) => v !== 0)) numbers.fill(0, 5, 14);
    numbers[option.first] = gate;
    numbers[option.last] = Math.min(gate, problem[option.last]);
    numbers[option.robust] = robust;
    const address = matcher.problem_at(numbers.length);
    new Float64Array(matcher.memory.buffer, address, numbers.length).set(numbers);
    const count = matcher.solve();
    return traceOf(Float64Array.from(new Float64Array(matcher.memory.buffer, matcher.trace_at(), count)));
  }

  const before = floats(data.match.before);
  const iterationRange = $('match-iteration');
  function matchBox() {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < before.length; i += 2) {
      const [x, y] = apply(data.match.before_pose, before[i], before[i + 1]);
      box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    }
    return box;
  }
  const theMatchBox = matchBox();
  function drawLines(page, view, strong) {
    for (let i = 0; i < lineCount; ++i) {
      const line = lineAt(i);
      // Along the fitted line, from the first to the last return on it.
      const end = (u) => [view.x(line[0] + line[5] * u + line[4] * line[6]), view.y(line[1] - line[4] * u + line[5] * line[6])];
      polyline(page, [end(line[7]), end(line[8])], { colour: colour(strong ? 'three' : 'line'), width: strong ? 3 : 2 });
    }
  }
  function drawPairs(page, view, iteration) {
    const { pen } = page;
    for (let k = 0; k < iteration.count; ++k) {
      const [index, which, distance, weight] = iteration.pairs.subarray(k * layout.pair, (k + 1) * layout.pair);
      const p = pointAt(index);
      const line = lineAt(which);
      const [x, y] = apply(iteration.pose, p[0], p[1]);
      pen.globalAlpha = 0.25 + 0.75 * weight;
      polyline(page, [[view.x(x), view.y(y)], [view.x(x - distance * line[4]), view.y(y - distance * line[5])]], { colour: colour('two'), width: 2.5 });
    }
    pen.globalAlpha = 1;
  }
  /// Half axes and direction of the ellipse of 95 % (chi squared 5.991 of 2 degrees of freedom: NIST/SEMATECH 1.3.6.7.4).
  function ellipseOf(information) {
    const [a, b, c, , d, e, , , f] = information;
    // The heading is eliminated (Schur complement): what is left tells the place alone.
    const xx = a - (c * c) / f, xy = b - (c * e) / f, yy = d - (e * e) / f;
    const middle = (xx + yy) / 2;
    const root = Math.hypot((xx - yy) / 2, xy);
    const axis = (value) => Math.sqrt(5.991 / Math.max(value, 1e-6));
    return { long: axis(middle - root), short: axis(middle + root), angle: 0.5 * Math.atan2(2 * xy, xx - yy) + Math.PI / 2, turn: 1.96 * Math.sqrt(1 / Math.max(f, 1e-6)) };
  }
  function drawEllipse(page, view) {
    const ellipse = ellipseOf(trace.information);
    const magnified = Math.min(500, Math.max(1, Math.round(0.6 / Math.min(ellipse.long, 0.6))));
    const { pen } = page;
    pen.beginPath();
    pen.ellipse(view.x(trace.pose[0]), view.y(trace.pose[1]), Math.min(magnified * ellipse.long, 50) * view.scale,
      magnified * ellipse.short * view.scale, -(trace.pose[2] + ellipse.angle), 0, 7);
    pen.strokeStyle = colour('four');
    pen.lineWidth = 3;
    pen.stroke();
    return 'The ellipse is drawn ' + magnified + ' times as large: in truth its half axes are ' + lengthText(ellipse.long) + ' and ' +
      lengthText(ellipse.short) + '; the heading is known to ±' + turnText(ellipse.turn) + ' (95 %, noise of the pairs alone).';
  }
  redraw.match = function () {
    const page = sheet($('match-picture'));
    const step = stepOf.match;
    const at = Math.min(Number(iterationRange.value), trace.iterations.length);
    const iteration = trace.iterations[Math.min(at, trace.iterations.length - 1)];
    const pose = step < 2 ? begun : at < trace.iterations.length ? iteration.pose : trace.pose;
    const view = floorView(page, theMatchBox);
    drawLines(page, view, step >= 1);
    const { pen } = page;
    if (step === 0) {
      pen.strokeStyle = colour('soft');
      pen.lineWidth = 1;
      for (let i = 0; i < before.length; i += 2) {
        const [x, y] = apply(data.match.before_pose, before[i], before[i + 1]);
        pen.strokeRect(view.x(x) - 3, view.y(y) - 3, 6, 6);
      }
    }
    if (step === 2 || step === 3) drawPairs(page, view, iteration);
    pen.fillStyle = colour('one');
    for (let i = 0; i < pointCount; ++i) {
      const p = pointAt(i);
      const [x, y] = apply(step === 4 ? trace.pose : pose, p[0], p[1]);
      pen.beginPath();
      pen.arc(view.x(x), view.y(y), 2.5, 0, 7);
      pen.fill();
    }
    robotMark(page, view, step === 4 ? trace.pose : pose, colour('two'));
    scaleBar(page, view);
    const captions = [
      'Squares: the scan before. Dots: the new scan where the wheels put it. Arrow: the robot.',
      lineCount + ' lines of walls seen lately.',
      iteration.count + ' pairs within ' + lengthText(iteration.gate) + '.',
      iteration.count + ' pairs; the step moves by ' + lengthText(Math.hypot(iteration.step[0], iteration.step[1])) + ' and turns by ' + turnText(iteration.step[2]) + '.',
    ];
    $('match-caption').textContent = step === 4 ? drawEllipse(page, view) : captions[step];
    $('match-iteration-text').textContent = at < trace.iterations.length ? 'before step ' + (at + 1) + ' of ' + trace.iterations.length : 'after the last step';
    if (step === 2 || step === 3) chart($('match-chart'), trace.iterations.map((i) => 1000 * i.residual), at, {
      title: 'residual (weighted RMS): ' + (1000 * iteration.residual).toFixed(2) + ' mm', below: 'iteration', low: 0,
    });
  };
  function showTrace(found, start, how) {
    trace = found;
    begun = start;
    iterationRange.max = trace.iterations.length;
    iterationRange.value = Math.min(Number(iterationRange.value), trace.iterations.length);
    const mapper = precomputed[0].trace.pose;
    const apart = Math.hypot(trace.pose[0] - mapper[0], trace.pose[1] - mapper[1]);
    const result = $('match-result');
    result.textContent = (trace.converged ? 'Settled' : 'Not settled') + ' after ' + trace.iterations.length + ' steps: ' + trace.pairs +
      ' pairs, residual ' + (1000 * trace.residual).toFixed(2) + ' mm, ' + (100 * trace.overlap).toFixed(0) +
      ' % of the returns found a partner; ' + lengthText(apart) + ' and ' + turnText(trace.pose[2] - mapper[2]) +
      ' from where the mapper put it' + (how ? ' (' + how + ').' : '.');
    result.dataset.pose = trace.pose.join(' ');
    result.dataset.apart = apart;
    redraw.match();
  }
  function rerun() {
    const shift = [Number($('try-ahead').value), Number($('try-left').value), (Number($('try-turn').value) * Math.PI) / 180];
    const gate = Number($('try-gate').value);
    const robust = Number($('try-robust').value);
    $('try-ahead-text').textContent = lengthText(shift[0]);
    $('try-left-text').textContent = lengthText(shift[1]);
    $('try-turn-text').textContent = turnText(shift[2]);
    $('try-gate-text').textContent = lengthText(gate);
    $('try-robust-text').textContent = lengthText(robust);
    showTrace(runMatcher(shift, gate, robust), compose([problem[2], problem[3], problem[4]], exponential(shift)), 'run in this page');
  }
  function offerSliders() {
    $('match-how').textContent = 'The project\'s own matcher (core/pose2.cpp, scanmatch/icp.cpp, scanmatch/line_map.cpp), compiled to WebAssembly, ' +
      'runs in this page at each move of a slider. Where you shift the start, the wheels\' word is left out, for it would hold the scan there.';
    $('match-sliders').hidden = false;
    const reset = () => {
      for (const id of ['try-ahead', 'try-left', 'try-turn']) $(id).value = 0;
      $('try-gate').value = problem[option.first];
      $('try-robust').value = problem[option.robust];
      rerun();
    };
    for (const id of ['try-ahead', 'try-left', 'try-turn', 'try-gate', 'try-robust']) $(id).addEventListener('input', rerun);
    $('try-reset').addEventListener('click', reset);
    reset();
  }
  function offerStarts(why) {
    $('match-how').textContent = 'Precomputed: ' + why + ', so the program ran its matcher from a few starts when it made this page.';
    const select = $('match-start');
    precomputed.forEach((m, i) => {
      const [x, y, turn] = m.shift;
      const text = i === 0 ? 'where the wheels say (as the mapper did it)' : lengthText(x) + ' ahead, ' + lengthText(y) + ' to the left, turned by ' + turnText(turn);
      select.append(new Option(text, i));
    });
    $('match-starts').hidden = false;
    const show = () => {
      const chosen = precomputed[Number(select.value)];
      showTrace(chosen.trace, compose([problem[2], problem[3], problem[4]], exponential(chosen.shift)), 'precomputed');
    };
    select.addEventListener('change', show);
    show();
  }

  // ---- the graph -----------------------------------------------------------------------------------------------------
  const graph = data.graph;
  const path = { odometry: floats(graph.odometry), tracked: floats(graph.tracked), adjusted: floats(graph.adjusted) };
  const nodeCount = path.tracked.length / 3;
  const poseIn = (poses, i) => [poses[3 * i], poses[3 * i + 1], poses[3 * i + 2]];
  const scanPoints = shorts(graph.points);
  const firstPoint = [0];
  for (const count of graph.counts) firstPoint.push(firstPoint[firstPoint.length - 1] + count);
  const thinning = Math.max(1, Math.ceil(scanPoints.length / 2 / 40000));
  const replays = graph.replays.map((r) => ({ ...r, poses: floats(r.poses) }));
  const replayed = (r, iteration) => r.poses.subarray(3 * nodeCount * iteration, 3 * nodeCount * (iteration + 1));
  function boxOf(all) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (const poses of all) {
      for (let i = 0; i < poses.length; i += 3) {
        box[0] = Math.min(box[0], poses[i] - 1.5); box[1] = Math.min(box[1], poses[i + 1] - 1.5);
        box[2] = Math.max(box[2], poses[i] + 1.5); box[3] = Math.max(box[3], poses[i + 1] + 1.5);
      }
    }
    return box;
  }
  const theGraphBox = boxOf([path.odometry, path.tracked]);
  function drawScans(page, view, poses, count, name) {
    const { pen } = page;
    pen.fillStyle = name;
    for (let node = 0; node < count; ++node) {
      const pose = poseIn(poses, node);
      const c = Math.cos(pose[2]) * graph.point_unit_m;
      const s = Math.sin(pose[2]) * graph.point_unit_m;
      for (let k = firstPoint[node]; k < firstPoint[node + 1]; k += thinning) {
        const x = scanPoints[2 * k];
        const y = scanPoints[2 * k + 1];
        pen.fillRect(view.x(pose[0] + c * x - s * y) - 0.7, view.y(pose[1] + s * x + c * y) - 0.7, 1.4, 1.4);
      }
    }
  }
  function drawPath(page, view, poses, count, style) {
    const points = [];
    for (let i = 0; i < count; ++i) points.push([view.x(poses[3 * i]), view.y(poses[3 * i + 1])]);
    polyline(page, points, style);
  }
  function drawClosures(page, view, poses) {
    for (const [kind, from, to] of graph.edges) {
      if (kind !== 'closure') continue;
      const a = poseIn(poses, from);
      const b = poseIn(poses, to);
      polyline(page, [[view.x(a[0]), view.y(a[1])], [view.x(b[0]), view.y(b[1])]], { colour: colour('four'), width: 2 });
    }
  }
  function drawGrowing(page) {
    const count = Number($('graph-nodes').value);
    const view = floorView(page, theGraphBox);
    drawScans(page, view, path.tracked, count, colour('soft'));
    drawPath(page, view, path.odometry, count, { colour: colour('two'), dash: [6, 5] });
    drawPath(page, view, path.tracked, count, { colour: colour('one') });
    robotMark(page, view, poseIn(path.tracked, count - 1), colour('one'));
    scaleBar(page, view);
    $('graph-nodes-text').textContent = count + ' of ' + nodeCount;
    const a = poseIn(path.odometry, count - 1);
    const b = poseIn(path.tracked, count - 1);
    $('graph-caption').textContent = 'After ' + (graph.times[count - 1] - graph.times[0]).toFixed(0) + ' s: wheels (dashed) and matching (full line) are ' +
      lengthText(Math.hypot(a[0] - b[0], a[1] - b[1])) + ' and ' + turnText(a[2] - b[2]) + ' apart.';
  }
  function drawCandidate(page) {
    const candidate = graph.candidates[Number($('graph-candidate').value)];
    if (!candidate) {
      $('graph-caption').textContent = 'This drive came back to no place that could be tried.';
      return;
    }
    const share = Number($('graph-moved').value);
    const mixed = candidate.predicted.map((v, i) => v + share * (candidate.found[i] - v));
    const points = (node) => scanPoints.subarray(2 * firstPoint[node], 2 * firstPoint[node + 1]);
    const placed = (node, pose) => {
      const result = [];
      const p = points(node);
      for (let k = 0; k < p.length; k += 2) result.push(apply(pose, p[k] * graph.point_unit_m, p[k + 1] * graph.point_unit_m));
      return result;
    };
    const earlier = placed(candidate.from, [0, 0, 0]);
    const later = placed(candidate.to, mixed);
    const ends = earlier.concat(placed(candidate.to, candidate.found), placed(candidate.to, candidate.predicted));
    const view = floorView(page, [Math.min(...ends.map((p) => p[0])), Math.min(...ends.map((p) => p[1])), Math.max(...ends.map((p) => p[0])) + 0.01, Math.max(...ends.map((p) => p[1])) + 0.01]);
    const { pen } = page;
    pen.strokeStyle = colour('soft');
    pen.lineWidth = 1;
    for (const [x, y] of earlier) pen.strokeRect(view.x(x) - 3, view.y(y) - 3, 6, 6);
    pen.fillStyle = colour('one');
    for (const [x, y] of later) { pen.beginPath(); pen.arc(view.x(x), view.y(y), 2.6, 0, 7); pen.fill(); }
    robotMark(page, view, [0, 0, 0], colour('soft'));
    robotMark(page, view, mixed, colour('one'));
    scaleBar(page, view);
    $('graph-moved-text').textContent = share === 0 ? 'as predicted' : share === 1 ? 'as found' : Math.round(100 * share) + ' %';
    $('graph-caption').textContent = (candidate.accepted ? 'Accepted: ' : 'Rejected: ') + candidate.reason + '.';
  }
  function showTests() {
    const candidate = graph.candidates[Number($('graph-candidate').value)];
    const host = $('graph-tests');
    host.replaceChildren();
    if (!candidate || stepOf.graph !== 2) return;
    const table = document.createElement('table');
    // Some pairs are rejected before anything is measured.
    const measured = candidate.overlap > 0 && candidate.chi_squared !== null;
    const row = (name, text, limit, passes) => [name, measured ? text() : '—', limit, measured ? passes : 'not measured'];
    const rows = [
      ['test', 'found', 'limit', 'verdict'],
      row('walls that coincide', () => percent(candidate.overlap), 'at least ' + percent(graph.limits.overlap), candidate.overlap >= graph.limits.overlap),
      row('walls in free space', () => percent(candidate.contradiction), 'at most ' + percent(graph.limits.contradiction), candidate.contradiction <= graph.limits.contradiction),
      row('χ² against the drift', () => candidate.chi_squared.toFixed(1), 'at most ' + graph.limits.chi_squared.toFixed(1), candidate.chi_squared <= graph.limits.chi_squared),
    ];
    rows.forEach((cells, r) => {
      const line = table.insertRow();
      cells.forEach((cell, i) => {
        const box = document.createElement(r === 0 || i === 0 ? 'th' : 'td');
        if (r === 0 || i === 0) box.scope = r === 0 ? 'col' : 'row';
        box.textContent = cell === true ? '✓ passes' : cell === false ? '✗ fails' : cell;
        line.append(box);
      });
    });
    host.append(table);
    const note = document.createElement('p');
    note.textContent = (candidate.accepted ? 'Accepted: ' : 'Rejected: ') + candidate.reason + '.';
    host.append(note);
  }
  const percent = (fraction) => (100 * fraction).toFixed(0) + ' %';
  function replayAtHand() {
    if (stepOf.graph === 3) return replays.find((r) => !r.false_closure && r.from_odometry === ($('graph-from').value === 'odometry'));
    const wrong = $('graph-false').checked;
    return replays.find((r) => (wrong ? r.false_closure && r.robust === $('graph-robust').checked : !r.false_closure && !r.from_odometry));
  }
  function drawReplay(page) {
    const replay = replayAtHand();
    if (!replay) {
      $('graph-caption').textContent = 'The drive stayed too near its beginning for a false closure to be made up.';
      return;
    }
    const range = $('graph-iteration');
    const last = replay.cost.length - 1;
    range.max = Math.max(0, last);
    const at = Math.min(Number(range.value), last);
    const poses = replayed(replay, Math.max(0, at));
    const view = floorView(page, stepOf.graph === 4 ? boxOf([path.tracked, replayed(replay, Math.max(0, last))]) : theGraphBox);
    drawScans(page, view, poses, nodeCount, colour('soft'));
    drawPath(page, view, path.adjusted, nodeCount, { colour: colour('three'), dash: [3, 4], width: 1.5 });
    drawPath(page, view, poses, nodeCount, { colour: colour('one') });
    drawClosures(page, view, poses);
    if (replay.false_closure) {
      const a = poseIn(poses, graph.false_closure.from);
      const b = poseIn(poses, graph.false_closure.to);
      polyline(page, [[view.x(a[0]), view.y(a[1])], [view.x(b[0]), view.y(b[1])]], { colour: colour('two'), width: 4, dash: [8, 4] });
    }
    scaleBar(page, view);
    let furthest = 0;
    for (let i = 0; i < nodeCount; ++i) furthest = Math.max(furthest, Math.hypot(poses[3 * i] - path.adjusted[3 * i], poses[3 * i + 1] - path.adjusted[3 * i + 1]));
    $('graph-iteration-text').textContent = at + ' of ' + last;
    const caption = $('graph-caption');
    caption.textContent = 'The node furthest off lies ' + lengthText(furthest) + ' from where the finished map has it (dotted). Violet: closures' + (replay.false_closure ? '; broad dashes: the false one.' : '.');
    caption.dataset.furthest = furthest;
    chart($('graph-chart'), replay.cost, at, { title: 'cost: ' + replay.cost[Math.max(0, at)].toPrecision(4) + ' (half of the weighted squares; logarithmic)', below: 'iteration', logarithmic: true });
  }
  redraw.graph = function () {
    const page = sheet($('graph-picture'));
    const step = stepOf.graph;
    $('graph-chart').hidden = step < 3;
    if (step === 0) drawGrowing(page);
    else if (step < 3) drawCandidate(page);
    else drawReplay(page);
    showTests();
  };
  function setUpGraph() {
    $('graph-nodes').max = nodeCount;
    $('graph-nodes').value = nodeCount;
    const select = $('graph-candidate');
    const moved = (c) => Math.hypot(c.found[0] - c.predicted[0], c.found[1] - c.predicted[1]);
    const order = graph.candidates.map((c, i) => i).sort((a, b) => Number(graph.candidates[b].accepted) - Number(graph.candidates[a].accepted) || moved(graph.candidates[b]) - moved(graph.candidates[a]));
    for (const i of order) {
      const c = graph.candidates[i];
      select.append(new Option((c.accepted ? '✓ ' : '✗ ') + graph.times[c.from].toFixed(0) + ' s and ' + graph.times[c.to].toFixed(0) + ' s, moved by ' + lengthText(moved(c)), i));
    }
    const wrong = graph.false_closure;
    $('graph-false-words').textContent = wrong
      ? 'Asked about it, the mapper\'s own tests say ' + (wrong.accepted ? 'yes' : 'no') + ': ' + wrong.reason + '. The two places are ' + lengthText(wrong.distance_m) + ' apart.'
      : 'The drive stayed too near its beginning for one to be made up.';
    for (const id of ['graph-nodes', 'graph-moved', 'graph-iteration']) $(id).addEventListener('input', redraw.graph);
    for (const id of ['graph-candidate', 'graph-from', 'graph-false', 'graph-robust']) {
      $(id).addEventListener('change', () => { if (id !== 'graph-candidate') rewind(id !== 'graph-from'); redraw.graph(); });
    }
    makePlayer($('graph-play'), $('graph-nodes'), 12000);
    makePlayer($('graph-run'), $('graph-iteration'), 6000);
  }

  // ---- one cell ------------------------------------------------------------------------------------------------------
  const cellRange = $('cell-event');
  const cellAtHand = () => data.cells[Number($('cell-which').value)];
  function nearestBeam(cell, at) {
    for (let i = at; i >= 0; --i) if (cell.events[i].beam) return { beam: cell.events[i].beam, exact: i === at };
    return null;
  }
  redraw.cell = function () {
    const cell = cellAtHand();
    const at = Number(cellRange.value);
    const event = cell.events[at];
    const page = sheet($('cell-picture'));
    const half = data.cell_size_m / 2;
    const [cx, cy] = cell.middle;
    const view = floorView(page, [cx - 0.5, cy - 0.4, cx + 0.5, cy + 0.4]);
    const { pen } = page;
    pen.strokeStyle = colour('line');
    pen.lineWidth = 1;
    for (let i = -10; i <= 10; ++i) {
      const u = (2 * i + 1) * half;
      polyline(page, [[view.x(cx + u), view.y(cy - 0.5)], [view.x(cx + u), view.y(cy + 0.5)]], { colour: colour('line'), width: 1 });
      polyline(page, [[view.x(cx - 0.6), view.y(cy + u)], [view.x(cx + 0.6), view.y(cy + u)]], { colour: colour('line'), width: 1 });
    }
    const logOdds = event ? event.log_odds : data.voting.prior;
    const probability = 1 / (1 + Math.exp(-logOdds));
    pen.globalAlpha = probability;
    pen.fillStyle = colour('ink');
    pen.fillRect(view.x(cx - half), view.y(cy + half), 2 * half * view.scale, 2 * half * view.scale);
    pen.globalAlpha = 1;
    pen.strokeStyle = colour('one');
    pen.lineWidth = 3;
    pen.strokeRect(view.x(cx - half), view.y(cy + half), 2 * half * view.scale, 2 * half * view.scale);
    const shown = event ? nearestBeam(cell, at) : null;
    if (shown) {
      const [ox, oy, ex, ey, hit] = shown.beam;
      polyline(page, [[view.x(ox), view.y(oy)], [view.x(ex), view.y(ey)]], { colour: colour('two'), width: 2, dash: shown.exact ? [] : [5, 5] });
      if (hit) { pen.fillStyle = colour('two'); pen.beginPath(); pen.arc(view.x(ex), view.y(ey), 5, 0, 7); pen.fill(); }
    }
    scaleBar(page, view);
    $('cell-event-text').textContent = event ? (at + 1) + ' of ' + cell.events.length : 'none';
    $('cell-caption').textContent = event
      ? 'At ' + event.time_s.toFixed(1) + ' s a beam ' + (event.hit ? 'ended in' : 'crossed') + ' the cell; this visit: ' + event.visit_hits + ' hits, ' + event.visit_crossings +
        ' crossings; log-odds ' + logOdds.toFixed(2) + ', probability of wall ' + percent(probability) + '. In the finished map: ' + percent(cell.probability) +
        (Math.abs(cell.probability - cellEnd(cell)) > 0.02 ? ' (a wall\'s face is gathered into one row of cells at the end, and doors are softened).' : '.')
      : 'No beam touched this cell.';
    $('cell-caption').dataset.logOdds = logOdds;
    const marks = [];
    cell.events.forEach((e, i) => { if (i > 0 && e.visit !== cell.events[i - 1].visit) marks.push(i); });
    chart($('cell-chart'), cell.events.map((e) => e.log_odds), at, { title: 'log-odds: ' + logOdds.toFixed(2), below: 'scans that touched the cell; strokes part visits', low: -6.5, high: 6.5, zero: true, marks });
  };
  function cellEnd(cell) {
    const last = cell.events[cell.events.length - 1];
    return last ? 1 / (1 + Math.exp(-last.log_odds)) : cell.probability;
  }
  function setUpCells() {
    data.cells.forEach((cell, i) => $('cell-which').append(new Option(cell.what + ' (' + cell.events.length + ' scans)', i)));
    const choose = () => { cellRange.max = Math.max(0, cellAtHand().events.length - 1); cellRange.value = 0; redraw.cell(); };
    $('cell-which').addEventListener('change', choose);
    cellRange.addEventListener('input', redraw.cell);
    makePlayer($('cell-play'), cellRange, 10000);
    choose();
  }

  // ---- begin ---------------------------------------------------------------------------------------------------------
  function begin() {
    $('match-time').textContent = data.match.time_s.toFixed(1) + ' s';
    iterationRange.addEventListener('input', redraw.match);
    makePlayer($('match-play'), iterationRange, 5000);
    iterationRange.max = trace.iterations.length;
    setUpGraph();
    setUpCells();
    for (const part of ['match', 'graph', 'cell']) makeSteps(part)(0);
    window.addEventListener('resize', () => Object.values(redraw).forEach((draw) => draw()));
    window.matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => Object.values(redraw).forEach((draw) => draw()));
    if (!data.matcher) {
      offerStarts('this build of the program found no compiler for WebAssembly');
      return;
    }
    WebAssembly.instantiate(bytesOf(data.matcher), {}).then((made) => {
      matcher = made.instance.exports;
      matcher._initialize();
      offerSliders();
    }).catch(() => offerStarts('this browser runs no WebAssembly'));
  }
  begin();
})();
