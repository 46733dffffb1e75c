// The script of report.html: what moves on the page. The page shows the map and its figures without it.
//
// It reads the page's own data (io/page/report_data.hpp says what they are), asks no network for anything, and puts text into
// the page as text only. Poses are [x_m, y_m, heading_rad] in the map frame, x to the right and y up; in the pictures y
// grows downwards, so every y changes its sign on the way there.
'use strict';
(() => {
  const {
    bytesOf, minus, lengthText, degrees, angleText, percentText, wrap, transformed, compose, ellipse, factor95, roundStep, find,
    makePlayer,
  } = shared;

  // ---------------------------------------------------------------------------------------------- numbers and tables

  // Varints of the differences between rows (io/packed_numbers.hpp), as one array a column. Counted with products rather
  // than shifts, since a browser shifts 32 bits only.
  function unpack(bytes, columns) {
    const numbers = Array.from({length: columns}, () => []);
    const last = new Array(columns).fill(0);
    let column = 0;
    let value = 0;
    let weight = 1;
    for (const byte of bytes) {
      value += (byte & 127) * weight;
      weight *= 128;
      if (byte & 128) continue;
      last[column] += value % 2 ? -(value + 1) / 2 : value / 2;
      numbers[column].push(last[column]);
      column = (column + 1) % columns;
      value = 0;
      weight = 1;
    }
    return numbers;
  }

  const unknown = -1e9;

  // {rows, name: [values], ...}; NaN where a value is not known.
  function table(packed) {
    const numbers = unpack(bytesOf(packed.packed), packed.columns.length);
    const result = {rows: packed.rows};
    packed.columns.forEach(([name, unit], i) => {
      result[name] = numbers[i].map((number) => (number === unknown ? NaN : number * unit));
    });
    return result;
  }

  function quantile(values, share) {
    if (values.length === 0) return NaN;
    const sorted = [...values].sort((a, b) => a - b);
    return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  }

  // The index of the last time that is not after `time_s`; 0 where there is none.
  function lastNotAfter(times_s, time_s) {
    let low = 0;
    let high = times_s.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (times_s[middle] <= time_s) low = middle + 1;
      else high = middle;
    }
    return Math.max(0, low - 1);
  }

  // ------------------------------------------------------------------------------------------------ words for people

  const placeText = (x_m, y_m) => `x ${minus(x_m.toFixed(2))} m, y ${minus(y_m.toFixed(2))} m`;

  // -------------------------------------------------------------------------------------------------------- geometry

  function inverse(a) {
    const c = Math.cos(a[2]);
    const s = Math.sin(a[2]);
    return [-c * a[0] - s * a[1], s * a[0] - c * a[1], -a[2]];
  }

  // The point of a wall piece that is nearest to (x, y).
  function footOn(piece, x_m, y_m) {
    const tangent = [-Math.sin(piece.normal_rad), Math.cos(piece.normal_rad)];
    const along = (x_m - piece.x_m) * tangent[0] + (y_m - piece.y_m) * tangent[1];
    const kept = Math.max(-piece.half_length_m, Math.min(piece.half_length_m, along));
    return [piece.x_m + kept * tangent[0], piece.y_m + kept * tangent[1]];
  }

  // Squares of `cell_m` that hold the indices of the points in them.
  function bins(xs, ys, cell_m) {
    const held = new Map();
    const key = (x, y) => `${Math.floor(x / cell_m)},${Math.floor(y / cell_m)}`;
    xs.forEach((x, i) => {
      const k = key(x, ys[i]);
      if (held.has(k)) held.get(k).push(i);
      else held.set(k, [i]);
    });
    return (x, y, visit) => {
      for (let dx = -1; dx <= 1; ++dx) {
        for (let dy = -1; dy <= 1; ++dy) (held.get(key(x + dx * cell_m, y + dy * cell_m)) || []).forEach(visit);
      }
    };
  }

  const pieceAt = (pieces, i) => ({
    index: i, x_m: pieces.x_m[i], y_m: pieces.y_m[i], normal_rad: pieces.normal_rad[i],
    half_length_m: pieces.half_length_m[i], sd_m: pieces.sd_m[i],
  });

  // The wall piece nearest to (x, y) within `within_m`, which is at most the bins' size: {piece, foot, distance_m}, or
  // null where there is none.
  function nearestPiece(pieces, near, x_m, y_m, within_m) {
    let best = null;
    near(x_m, y_m, (i) => {
      const piece = pieceAt(pieces, i);
      const foot = footOn(piece, x_m, y_m);
      const distance_m = Math.hypot(foot[0] - x_m, foot[1] - y_m);
      if (distance_m <= within_m && (!best || distance_m < best.distance_m)) best = {piece, foot, distance_m};
    });
    return best;
  }

  // The distance between two ends, each a wall piece and a foot on it. Between faces that are parallel to 10 degrees it is
  // measured across them, as a tape held square would; else straight from foot to foot. `scale_sd` is relative;
  // `between_sd_m(u)` says how far the two places may lie wrong against each other in direction u.
  function tapeBetween(a, b, scale_sd, between_sd_m) {
    const normal = (end) => [Math.cos(end.piece.normal_rad), Math.sin(end.piece.normal_rad)];
    const n1 = normal(a);
    const n2 = normal(b);
    const cosine = n1[0] * n2[0] + n1[1] * n2[1];
    const parallel = Math.abs(cosine) > Math.cos(10 * Math.PI / 180);
    const way = [b.foot[0] - a.foot[0], b.foot[1] - a.foot[1]];
    let u = parallel ? [n1[0] + Math.sign(cosine) * n2[0], n1[1] + Math.sign(cosine) * n2[1]] : way;
    const size = Math.hypot(u[0], u[1]) || 1;
    u = [u[0] / size, u[1] / size];
    const distance_m = Math.abs(way[0] * u[0] + way[1] * u[1]);
    const share = (end, n) => end.piece.sd_m * (n[0] * u[0] + n[1] * u[1]);
    const sd_m = Math.hypot(share(a, n1), share(b, n2), scale_sd * distance_m, between_sd_m(u));
    return {distance_m, sd_m, parallel, direction: u};
  }

  // The distances from each of `points` to what one scan saw, m; Infinity beyond 0.5 m. Neighbouring returns of `scan` no
  // more than 0.3 m apart are taken for one surface, so that a return between them is not far from it.
  function gaps(points, scan) {
    const surfaces = {x_m: [], y_m: [], normal_rad: [], half_length_m: [], sd_m: []};
    scan.forEach(([x, y], i) => {
      const [nextX, nextY] = scan[i + 1] || [x, y];
      const length = Math.hypot(nextX - x, nextY - y);
      const joined = length <= 0.3 ? 1 : 0;
      surfaces.x_m.push(x + joined * (nextX - x) / 2);
      surfaces.y_m.push(y + joined * (nextY - y) / 2);
      surfaces.normal_rad.push(Math.atan2(nextY - y, nextX - x) - Math.PI / 2);
      surfaces.half_length_m.push(joined * length / 2);
    });
    const near = bins(surfaces.x_m, surfaces.y_m, 0.5);
    return points.map(([x, y]) => {
      const hit = nearestPiece(surfaces, near, x, y, 0.5);
      return hit ? hit.distance_m : Infinity;
    });
  }

  // -------------------------------------------------------------------------------------------------------- pictures

  function drawn(parent, name, attributes) {
    const element = document.createElementNS('http://www.w3.org/2000/svg', name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    parent.append(element);
    return element;
  }
  const dots = (points) => points.map(([x, y]) => `M${x.toFixed(3)} ${(-y).toFixed(3)}h0`).join('');
  const line = (a, b) => `M${a[0].toFixed(3)} ${(-a[1]).toFixed(3)}L${b[0].toFixed(3)} ${(-b[1]).toFixed(3)}`;
  // An arrowhead half as wide as it is long.
  function arrow(pose, length_m) {
    const outline = transformed(pose, [[0.6, 0], [-0.4, 0.3], [-0.25, 0], [-0.4, -0.3]].map(
      ([x, y]) => [x * length_m, y * length_m]));
    return 'M' + outline.map(([x, y]) => `${x.toFixed(3)} ${(-y).toFixed(3)}`).join('L') + 'z';
  }

  // ------------------------------------------------------------------------------------------------------- the data

  const data = JSON.parse(find('data').textContent);
  const trajectory = table(data.trajectory);
  const nodes = table(data.nodes);
  const pieces = table(data.pieces);
  const edges = table(data.edges);
  const candidates = table(data.candidates);
  const passing = table(data.passing);
  const nearPieces = bins(pieces.x_m, pieces.y_m, 0.5);
  // Without the faces of things that have gone since: the map shows free floor there.
  const nearStanding = (x_m, y_m, visit) => nearPieces(x_m, y_m, (i) => pieces.stands[i] && visit(i));
  const nodePose = (i) => [nodes.x_m[i], nodes.y_m[i], nodes.heading_rad[i]];

  // Decoded when first asked for, so that the page is there at once.
  const scans = (() => {
    let bytes = null;
    let starts = null;
    const begin = () => {
      bytes = bytesOf(data.scans.packed);
      starts = [0];
      table(data.scans.bytes_of_node).bytes.forEach((length) => starts.push(starts[starts.length - 1] + length));
    };
    return (node) => {
      if (!bytes) begin();
      const [xs, ys] = unpack(bytes.subarray(starts[node], starts[node + 1]), 2);
      return xs.map((x, i) => [x / 100, ys[i] / 100]);
    };
  })();

  // The node with a scan whose time is the last one not after `time_s`.
  function nodeAt(time_s) {
    const node = lastNotAfter(nodes.time_s, time_s);
    return node - node % data.scans.every;
  }

  // How well a scan lies on the walls: the share of its returns within 5 cm of a wall piece, and those returns' RMS.
  function fitOfScan(points) {
    const off = points.map(([x, y]) => nearestPiece(pieces, nearPieces, x, y, 0.05)).filter((hit) => hit);
    const sum = off.reduce((total, hit) => total + hit.distance_m ** 2, 0);
    return {share: points.length ? off.length / points.length : NaN, rms_m: Math.sqrt(sum / off.length)};
  }

  // ------------------------------------------------------------------------------------------- the map: zoom and pan

  const svg = find('map-svg');
  const mapView = find('map-view');
  const whole = svg.viewBox.baseVal;
  const home = {x: whole.x, y: whole.y, w: whole.width, h: whole.height};
  let view = {...home};
  const gridImages = [...svg.querySelectorAll('.grid')];

  function showView() {
    svg.setAttribute('viewBox', `${view.x} ${view.y} ${view.w} ${view.h}`);
    svg.style.setProperty('--width', `${view.w}px`);
    mapView.classList.toggle('zoomed', view.w < 0.98 * fitted().w);
    const bar_m = roundStep(view.w / 4);
    const x = view.x + 0.02 * view.w;
    const y = view.y + view.h - 0.025 * Math.max(view.w, view.h);
    ['scale-bar', 'scale-halo'].forEach((id) => find(id).setAttribute('d', `M${x} ${y}h${bar_m}`));
    const text = find('scale-text');
    text.setAttribute('x', x);
    text.setAttribute('y', y - 0.01 * view.w);
    text.textContent = bar_m < 0.1 ? `${+(100 * bar_m).toFixed(3)} cm` : `${+bar_m.toFixed(3)} m`;
    const [cx, cy] = [view.x + view.w / 2, view.y + view.h / 2];
    const arm = 0.02 * view.w;
    find('cross').setAttribute('d', `M${cx - arm} ${cy}h${2 * arm}M${cx} ${cy - arm}v${2 * arm}`);
    showRobots();
    showGrid();
  }

  // Of the pictures of the grid the finest whose pixels are at least a pixel of the screen each.
  function showGrid() {
    const cell_px = data.cell_size_m * svg.getBoundingClientRect().width / view.w * (window.devicePixelRatio || 1);
    const enough = gridImages.find((image) => image.dataset.cells * cell_px >= 0.99) || gridImages[gridImages.length - 1];
    gridImages.forEach((image) => { image.style.display = image === enough ? '' : 'none'; });
  }

  // The whole map in the picture's own proportions.
  function fitted() {
    const box = svg.getBoundingClientRect();
    const ratio = (box.width || home.w) / (box.height || home.h);
    const w = Math.max(home.w, home.h * ratio);
    const h = w / ratio;
    return {x: home.x + (home.w - w) / 2, y: home.y + (home.h - h) / 2, w, h};
  }

  // Zooms so that the point (x, y) of the picture stays where it is on the screen.
  function zoom(factor, x = view.x + view.w / 2, y = view.y + view.h / 2) {
    const most = 1.5 * fitted().w;
    const w = Math.min(most, Math.max(0.5, view.w * factor));
    const f = w / view.w;
    view = {x: x + (view.x - x) * f, y: y + (view.y - y) * f, w, h: view.h * f};
    showView();
  }

  function pan(dx, dy) {
    view = {...view, x: view.x + dx * view.w, y: view.y + dy * view.w};
    showView();
  }

  function fit() {
    view = fitted();
    showView();
  }

  function placeOf(event) {
    const box = svg.getBoundingClientRect();
    return [view.x + (event.clientX - box.left) / box.width * view.w,
      view.y + (event.clientY - box.top) / box.height * view.h];
  }

  function followPointers() {
    const held = new Map();
    let moved = 0;
    const spread = () => {
      const [a, b] = [...held.values()];
      return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
    };
    mapView.addEventListener('pointerdown', (event) => {
      if (event.button !== 0) return;
      if (held.size === 0) moved = 0;
      held.set(event.pointerId, event);
      mapView.setPointerCapture(event.pointerId);
    });
    mapView.addEventListener('pointermove', (event) => {
      const before = held.get(event.pointerId);
      if (!before) return;
      const width = svg.getBoundingClientRect().width;
      if (held.size === 2) {
        const was = spread();
        held.set(event.pointerId, event);
        zoom(was / Math.max(1, spread()), ...placeOf(event));
        moved += 100;
      } else {
        held.set(event.pointerId, event);
        moved += Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY);
        pan((before.clientX - event.clientX) / width, (before.clientY - event.clientY) / width);
      }
    });
    mapView.addEventListener('pointerup', (event) => {
      if (!held.delete(event.pointerId) || moved > 5 || held.size > 0) return;
      const [x, y] = placeOf(event);
      if (tape.on) markEnd(x, -y);
    });
    mapView.addEventListener('pointercancel', (event) => held.delete(event.pointerId));
    // A wheel scrolls the page, as everywhere, unless the map was clicked or Ctrl is held.
    mapView.addEventListener('wheel', (event) => {
      if (!event.ctrlKey && document.activeElement !== mapView) return;
      event.preventDefault();
      zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004), ...placeOf(event));
    }, {passive: false});
  }

  function followKeys() {
    const actions = {
      ArrowLeft: () => pan(-0.1, 0), ArrowRight: () => pan(0.1, 0), ArrowUp: () => pan(0, -0.1),
      ArrowDown: () => pan(0, 0.1), '+': () => zoom(0.8), '=': () => zoom(0.8), '-': () => zoom(1.25), 0: fit,
      Escape: () => clearTape(),
      Enter: () => tape.on && markEnd(view.x + view.w / 2, -(view.y + view.h / 2)),
    };
    mapView.addEventListener('keydown', (event) => {
      const action = actions[event.key];
      if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      action();
    });
  }

  // ------------------------------------------------------------------------------------------------ the tape measure

  const tape = {on: false, ends: []};

  // The nodes whose scans have a return within 15 cm of each of the places; for each place also those that see it alone.
  function nodesThatSee(places) {
    const together = [];
    const alone = places.map(() => []);
    for (let node = 0; node < nodes.rows; node += data.scans.every) {
      const points = transformed(nodePose(node), scans(node));
      const sees = places.map(([x, y]) => points.some((p) => Math.abs(p[0] - x) < 0.15 && Math.abs(p[1] - y) < 0.15));
      sees.forEach((seen, i) => { if (seen) alone[i].push(node); });
      if (sees.every((seen) => seen)) together.push(node);
    }
    return {together, alone};
  }

  // How far two places that no scan saw together may lie wrong against each other along u: the places from which each was
  // seen, the surest ones, taken as independent.
  function betweenSd(alone, u) {
    const variance = (node) => u[0] ** 2 * nodes.xx_m2[node] + 2 * u[0] * u[1] * nodes.xy_m2[node] +
      u[1] ** 2 * nodes.yy_m2[node];
    const least = alone.map((list) => Math.min(...list.map(variance)));
    return Math.sqrt(Math.max(0, least[0] + least[1]));
  }

  function measure([a, b]) {
    const seen = nodesThatSee([a.foot, b.foot]);
    const together = seen.together.length > 0;
    const known = together || seen.alone.every((list) => list.length > 0);
    const between = (u) => (together ? 0 : known ? betweenSd(seen.alone, u) : NaN);
    return {...tapeBetween(a, b, data.scale_sd, between), together, known};
  }

  function tapeSentence(result) {
    const distance = `${result.distance_m.toFixed(3)} m ± ${Number.isFinite(result.sd_m) ? lengthText(result.sd_m) : '?'}`;
    const way = result.parallel ? 'across from wall face to wall face' :
      'straight from point to point; the walls are not parallel, so it depends on where you clicked';
    const basis = result.together ? 'both were seen from one place' :
      result.known ? 'they were not seen from one place, so the way between them counts too' :
        'the scans on this page do not show from where they were seen';
    return [distance, `One standard uncertainty; ${way}; ${basis}.`];
  }

  function showTape() {
    const layer = find('tape-layer');
    layer.replaceChildren();
    const face = (end) => {
      const t = [-Math.sin(end.piece.normal_rad), Math.cos(end.piece.normal_rad)];
      const to = (side) => [end.piece.x_m + side * t[0] * end.piece.half_length_m,
        end.piece.y_m + side * t[1] * end.piece.half_length_m];
      return line(to(-1), to(1));
    };
    tape.ends.forEach((end) => drawn(layer, 'path', {class: 'tape-face', d: face(end)}));
    if (tape.ends.length < 2) return null;
    const result = measure(tape.ends);
    const from = tape.ends[0].foot;
    const sign = Math.sign((tape.ends[1].foot[0] - from[0]) * result.direction[0] +
      (tape.ends[1].foot[1] - from[1]) * result.direction[1]);
    const to = [0, 1].map((i) => from[i] + sign * result.distance_m * result.direction[i]);
    drawn(layer, 'path', {class: 'tape halo', d: line(from, to)});
    drawn(layer, 'path', {class: 'tape', d: line(from, to)});
    [find('tape-answer').textContent, find('tape-basis').textContent] = tapeSentence(result);
    return result;
  }

  function sayOfTape(answer, basis = '') {
    find('tape-answer').textContent = answer;
    find('tape-basis').textContent = basis;
  }

  function markEnd(x_m, y_m) {
    const end = nearestPiece(pieces, nearStanding, x_m, y_m, 0.4);
    if (!end) {
      sayOfTape(`No wall within 0.4 m of ${placeText(x_m, y_m)}: choose a point nearer to one.`);
      return;
    }
    if (tape.ends.length === 2) tape.ends = [];
    tape.ends.push(end);
    const n = tape.ends.length;
    find(`tape-x${n}`).value = end.foot[0].toFixed(2);
    find(`tape-y${n}`).value = end.foot[1].toFixed(2);
    if (n === 1) sayOfTape('Now the second wall.', `The first is at ${placeText(...end.foot)}.`);
    showTape();
  }

  function clearTape() {
    tape.ends = [];
    find('tape-layer').replaceChildren();
    sayOfTape(tape.on ? 'Click the first wall.' : '');
  }

  function measureTyped(event) {
    event.preventDefault();
    tape.ends = [];
    for (const n of [1, 2]) {
      const [x, y] = [find(`tape-x${n}`).valueAsNumber, find(`tape-y${n}`).valueAsNumber];
      if (!Number.isFinite(x) || !Number.isFinite(y)) {
        find('tape-layer').replaceChildren();
        sayOfTape('Give x and y of both points, in metres.');
        return;
      }
      const before = tape.ends.length;
      markEnd(x, y);
      if (tape.ends.length === before) return;
    }
  }

  function startTape() {
    find('tape').addEventListener('click', () => {
      tape.on = !tape.on;
      find('tape').setAttribute('aria-pressed', tape.on);
      mapView.classList.toggle('measuring', tape.on);
      find('tape-panel').hidden = !tape.on;
      clearTape();
    });
    find('tape-form').addEventListener('submit', measureTyped);
    find('tape-clear').addEventListener('click', clearTape);
  }

  // ------------------------------------------------------------------------------------------------- the time slider

  let row = 0;
  let shownNode = -1;
  const time = find('time');
  const posed = (i) => [trajectory.x_m[i], trajectory.y_m[i], trajectory.heading_rad[i]];
  const odometryPosed = (i) =>
    [trajectory.odometry_x_m[i], trajectory.odometry_y_m[i], trajectory.odometry_heading_rad[i]];

  // The robots are as large as can be seen, whatever the zoom.
  function showRobots() {
    if (trajectory.rows === 0) return;
    const size_m = Math.max(0.25, 0.028 * view.w);
    find('robot').setAttribute('d', arrow(posed(row), size_m));
    find('odometry-robot').setAttribute('d', arrow(odometryPosed(row), size_m));
    svg.querySelectorAll('.start').forEach((ring) => ring.setAttribute('r', 0.75 * size_m));
  }

  function showMoment(newRow) {
    row = Math.max(0, Math.min(trajectory.rows - 1, newRow));
    const time_s = trajectory.time_s[row];
    const node = nodeAt(time_s);
    if (node !== shownNode) {
      shownNode = node;
      const points = transformed(nodePose(node), scans(node));
      find('scan').setAttribute('d', dots(points));
      const fit = fitOfScan(points);
      find('moment-fit').textContent = `Scan of ${nodes.time_s[node].toFixed(1)} s: ${percentText(fit.share)} of its ` +
        `returns lie on wall pieces, ${lengthText(fit.rms_m)} off (RMS). ` + (node === 0 ? 'The map begins at this place.' :
        `This place is right within ${lengthText(Math.sqrt(nodes.xx_m2[node] + nodes.yy_m2[node]))} and ` +
        `${angleText(nodes.heading_sd_rad[node])} (one standard uncertainty).`);
    }
    const [x, y, heading] = posed(row);
    const off_m = Math.hypot(x - trajectory.odometry_x_m[row], y - trajectory.odometry_y_m[row]);
    const words = `${time_s.toFixed(1)} s: ${placeText(x, y)}, heading ${angleText(heading)}; ` +
      `odometry alone is ${lengthText(off_m)} off`;
    find('moment').textContent = words;
    time.value = row;
    time.setAttribute('aria-valuetext', words);
    showRobots();
    showNowInCharts(time_s);
  }

  const showTime = (time_s) => showMoment(lastNotAfter(trajectory.time_s, time_s));

  function startTime() {
    time.max = Math.max(0, trajectory.rows - 1);
    time.addEventListener('input', () => showMoment(time.valueAsNumber));
    makePlayer(find('play'), time, 40000);  // the whole drive in 40 seconds
  }

  // ------------------------------------------------------------------------------------------------ layers of the map

  // The least certain node of each half metre, so that ellipses do not hide each other.
  function ellipseNodes() {
    const size = (i) => nodes.xx_m2[i] + nodes.yy_m2[i];
    const order = Array.from({length: nodes.rows}, (_, i) => i).sort((a, b) => size(b) - size(a) || a - b);
    const taken = new Set();
    return order.filter((i) => {
      const key = `${Math.floor(nodes.x_m[i] / 0.5)},${Math.floor(nodes.y_m[i] / 0.5)}`;
      return !taken.has(key) && taken.add(key);
    });
  }

  function drawUncertainty() {
    const shapes = ellipseNodes().map((i) => ({i, ...ellipse(nodes.xx_m2[i], nodes.xy_m2[i], nodes.yy_m2[i])}));
    const usual = factor95 * quantile(shapes.map((s) => s.major).filter((m) => m > 0), 0.5);
    const times = usual > 0 ? Math.max(1, roundStep(0.3 / usual)) : 1;
    const path = shapes.map((s) => {
      const [a, b] = [s.major, s.minor].map((axis) => Math.max(1e-4, axis * factor95 * times));
      const [dx, dy] = [a * Math.cos(s.direction_rad), -a * Math.sin(s.direction_rad)];
      const turn = -degrees(s.direction_rad);
      const arc = (x, y) => `A${a} ${b} ${turn} 0 1 ${x} ${y}`;
      const [x, y] = [nodes.x_m[s.i], -nodes.y_m[s.i]];
      return `M${x - dx} ${y - dy}${arc(x + dx, y + dy)}${arc(x - dx, y - dy)}`;
    });
    find('sure').setAttribute('d', path.join(''));
    find('sure-label').textContent = times === 1 ? 'uncertainty (95 %)' :
      `uncertainty (95 %, drawn ${times} times as large)`;
  }

  function drawLayers() {
    drawUncertainty();
    data.changes.forEach((change) => {
      const shape = drawn(find('changes'), 'path',
        {class: `change ${change.kind}${change.door ? '' : ' thing'}`, d: line(change.from_m, change.to_m)});
      drawn(shape, 'title', {}).textContent = change.text;
    });
    find('passing').setAttribute('d', dots(passing.x_m.map((x, i) => [x, passing.y_m[i]])));
    find('passing-count').textContent = `people and other things that passed (${passing.rows})`;
    const accepted = Array.from({length: candidates.rows}, (_, i) => i).filter((i) => candidates.accepted[i]);
    find('closures').setAttribute('d', accepted.map(
      (i) => line(nodePose(candidates.from[i]), nodePose(candidates.to[i]))).join(''));
  }

  // ------------------------------------------------------------------------------------------ where warnings happened

  // The map on all places of a warning, not closer than 6 m across.
  function showPlaces(warning) {
    const boxes = [...svg.querySelectorAll(`.place[data-warning="${warning}"]`)].map((place) => place.getBBox());
    const low = [Math.min(...boxes.map((b) => b.x)), Math.min(...boxes.map((b) => b.y))];
    const high = [Math.max(...boxes.map((b) => b.x + b.width)), Math.max(...boxes.map((b) => b.y + b.height))];
    const ratio = view.w / view.h;
    const w = Math.min(fitted().w, Math.max(6, 1.3 * (high[0] - low[0]), 1.3 * ratio * (high[1] - low[1])));
    const h = w / ratio;
    view = {x: (low[0] + high[0] - w) / 2, y: (low[1] + high[1] - h) / 2, w, h};
    showView();
    mapView.scrollIntoView({block: 'center'});
    mapView.focus({preventScroll: true});
  }

  function startPlaces() {
    const items = [...document.querySelectorAll('ul.warnings > li')];
    const placed = new Set([...svg.querySelectorAll('.place')].map((place) => Number(place.dataset.warning)));
    items.forEach((item, i) => {
      if (!placed.has(i)) return;
      const button = document.createElement('button');
      button.type = 'button';
      button.textContent = 'Show on the map';
      button.setAttribute('aria-label', `Show on the map where warning ${i + 1} happened`);
      button.addEventListener('click', () => {
        find('show-places').checked = true;
        showPlaces(i);
      });
      item.append(button);
    });
  }

  // --------------------------------------------------------------------------------------------------- loop candidates

  function candidateWords(i) {
    const times = [candidates.from[i], candidates.to[i]].map((node) => nodes.time_s[node].toFixed(1));
    return `${i + 1}: ${times[0]} s and ${times[1]} s, ${candidates.accepted[i] ? 'accepted' : 'rejected'}`;
  }

  // Accepted before rejected, the largest correction first: it tells the most.
  function candidateOrder() {
    const moved_m = (i) => Math.hypot(candidates.found_x_m[i] - candidates.predicted_x_m[i],
      candidates.found_y_m[i] - candidates.predicted_y_m[i]);
    return Array.from({length: candidates.rows}, (_, i) => i).sort(
      (a, b) => candidates.accepted[b] - candidates.accepted[a] || moved_m(b) - moved_m(a) || a - b);
  }

  function listCandidates() {
    const wanted = find('candidate-filter').value;
    const list = find('candidate');
    list.replaceChildren();
    for (const i of candidateOrder()) {
      const verdict = candidates.accepted[i] ? 'accepted' : 'rejected';
      if (wanted !== 'all' && wanted !== verdict && wanted !== `reason ${candidates.reason[i]}`) continue;
      list.append(new Option(candidateWords(i), i));
    }
    if (list.options.length > 0) showCandidate(Number(list.value));
  }

  // One picture of two scans, turned as the map is. Returns the median gap, m.
  function overlay(id, caption, earlier, laterPoints, relative, turn_rad) {
    const up = [0, 0, turn_rad];
    const first = transformed(up, earlier);
    const second = transformed(compose(up, relative), laterPoints);
    const picture = find(id);
    const all = first.concat(second);
    const low = [0, 1].map((k) => Math.min(...all.map((p) => p[k])));
    const high = [0, 1].map((k) => Math.max(...all.map((p) => p[k])));
    const size = 1.06 * Math.max(1, high[0] - low[0], high[1] - low[1]);
    const middle = [0, 1].map((k) => (low[k] + high[k]) / 2);
    picture.setAttribute('viewBox', `${middle[0] - size / 2} ${-middle[1] - size / 2} ${size} ${size}`);
    picture.querySelector('.earlier').setAttribute('d', dots(first));
    picture.querySelector('.later').setAttribute('d', dots(second));
    const gap_m = quantile(gaps(second, first), 0.5);
    const words = Number.isFinite(gap_m) ? `half of the later returns lie within ${lengthText(gap_m)} of what the earlier one saw` :
      'more than half of the later returns lie further than 0.5 m from what the earlier one saw';
    picture.setAttribute('aria-label', `${caption}: ${words}`);
    find(`${id}-words`).textContent = words;
    return gap_m;
  }

  // A place about as it was tested (graph/close/place, which takes more way where a scan shows a part of the circle
  // only): what the scans within 1.5 m of way around a node saw, in its frame.
  function placeAround(node, scanOf) {
    const within = [node];
    [-1, 1].forEach((step) => {
      let way_m = 0;
      for (let other = node + step; other >= 0 && other < nodes.rows; other += step) {
        const moved = compose(inverse(nodePose(other - step)), nodePose(other));
        way_m += Math.hypot(moved[0], moved[1]);
        if (way_m > 1.5) break;
        if (other % data.scans.every === 0) within.push(other);
      }
    });
    return within.flatMap((other) => transformed(compose(inverse(nodePose(node)), nodePose(other)), scanOf(other)));
  }

  function showCandidate(i) {
    const [from, to] = [candidates.from[i], candidates.to[i]];
    const pose = (kind) => ['x_m', 'y_m', 'heading_rad'].map((key) => candidates[`${kind}_${key}`][i]);
    const [predicted, found] = [pose('predicted'), pose('found')];
    // Where a node's own scan was left out, the one of the node before it, from its place in the finished map.
    const scanOf = (node) => {
      const kept = node - node % data.scans.every;
      return transformed(compose(inverse(nodePose(node)), nodePose(kept)), scans(kept));
    };
    const [first, second] = [placeAround(from, scanOf), placeAround(to, scanOf)];
    const turn = nodes.heading_rad[from];
    overlay('overlay-before', 'Before the search', first, second, predicted, turn);
    overlay('overlay-after', 'After the search', first, second, found, turn);
    overlay('overlay-final', 'In the finished map', first, second, compose(inverse(nodePose(from)), nodePose(to)), turn);
    const moved = compose(inverse(predicted), found);
    const nothing = moved.every((part) => Math.abs(part) < 1e-9);
    const verdict = find('candidate-verdict');
    verdict.textContent = candidates.accepted[i] ? 'Accepted' : 'Rejected';
    verdict.className = candidates.accepted[i] ? 'accepted' : 'rejected';
    find('candidate-reason').textContent = `: ${data.reasons[candidates.reason[i]]}.`;
    const chi = candidates.chi_squared[i];
    find('candidate-figures').textContent = `Overlap ${percentText(candidates.overlap[i])}, seen through ` +
      `${percentText(candidates.contradiction[i])}, ` + (nothing ? 'the search found no better place' :
      `moved by ${lengthText(Math.hypot(moved[0], moved[1]))} and ${angleText(moved[2])}`) +
      (Number.isFinite(chi) ? `, χ² against the drift ${chi.toFixed(1)} (3 degrees of freedom).` : '.');
    find('candidate-first').onclick = () => showTime(nodes.time_s[from]);
    find('candidate-again').onclick = () => showTime(nodes.time_s[to]);
  }

  function startCandidates() {
    if (candidates.rows === 0) return;  // the page has no viewer then
    const filter = find('candidate-filter');
    data.reasons.forEach((reason, k) => filter.append(new Option(`only: ${reason}`, `reason ${k}`)));
    filter.addEventListener('change', listCandidates);
    const list = find('candidate');
    list.addEventListener('change', () => showCandidate(Number(list.value)));
    const step = (by) => {
      list.selectedIndex = Math.max(0, Math.min(list.options.length - 1, list.selectedIndex + by));
      if (list.value !== '') showCandidate(Number(list.value));
    };
    find('candidate-before').addEventListener('click', () => step(-1));
    find('candidate-next').addEventListener('click', () => step(1));
    listCandidates();
  }

  // -------------------------------------------------------------------------------------------------------- residuals

  const chart = {height: 230, left: 62, right: 10, top: 12, bottom: 30};
  const charts = [];
  const kinds = ['odometry', 'match', 'closure'];

  // Dots over the drive's time, as wide as there is room, so that letters keep their size; clicking moves the slider.
  function drawChart(id, values, unit) {
    const picture = find(id);
    const times = edges.to.map((node) => nodes.time_s[node]);
    const [first, last] = [nodes.time_s[0], nodes.time_s[nodes.rows - 1]];
    const span = Math.max(1e-9, last - first);
    const most = Math.max(1e-9, ...values);
    const innerHeight = chart.height - chart.top - chart.bottom;
    let innerWidth = 0;
    const x = (time_s) => chart.left + (time_s - first) / span * innerWidth;
    const y = (value) => chart.top + innerHeight * (1 - value / most);
    let now = null;
    const draw = () => {
      const width = Math.max(240, picture.getBoundingClientRect().width);
      innerWidth = width - chart.left - chart.right;
      picture.replaceChildren();
      picture.setAttribute('viewBox', `0 0 ${width} ${chart.height}`);
      const step = roundStep(most / 2.5);
      for (let value = 0; value <= most; value += step) {
        drawn(picture, 'path', {class: 'axis', d: `M${chart.left} ${y(value)}h${innerWidth}`});
        drawn(picture, 'text', {x: chart.left - 6, y: y(value) + 4, 'text-anchor': 'end'}).textContent =
          `${+value.toPrecision(3)} ${unit}`;
      }
      const timeStep = roundStep(span / 4);
      for (let t = Math.ceil(first / timeStep) * timeStep; t <= last; t += timeStep) {
        drawn(picture, 'text', {x: Math.min(x(t), width - 24), y: chart.height - 8, 'text-anchor': 'middle'}).textContent =
          `${+t.toPrecision(6)} s`;
      }
      kinds.forEach((kind, k) => {
        const path = values.map((v, i) => (edges.kind[i] === k ? `M${x(times[i]).toFixed(1)} ${y(v).toFixed(1)}h0` : ''));
        drawn(picture, 'path', {class: `edge-${kind}`, d: path.join('')});
      });
      now = drawn(picture, 'path', {class: 'now', d: ''});
    };
    const showNow = (time_s) => now.setAttribute('d', `M${x(time_s)} ${chart.top}v${innerHeight}`);
    draw();
    charts.push(showNow);
    let drawnWidth = picture.getBoundingClientRect().width;
    new ResizeObserver(() => {
      const {width} = picture.getBoundingClientRect();
      if (width === drawnWidth || width === 0) return;
      drawnWidth = width;
      draw();
      if (trajectory.rows > 0) showNow(trajectory.time_s[row]);
    }).observe(picture);
    picture.addEventListener('click', (event) => {
      const box = picture.getBoundingClientRect();
      const at = event.clientX - box.left;
      showTime(first + (at - chart.left) / innerWidth * span);
    });
  }

  function showNowInCharts(time_s) {
    charts.forEach((showNow) => showNow(time_s));
  }

  function startResiduals() {
    if (edges.rows === 0) {
      find('residuals-live').remove();
      return;
    }
    drawChart('chart-shift', edges.along_m.map((along, i) => 1000 * Math.hypot(along, edges.across_m[i])), 'mm');
    drawChart('chart-turn', edges.turn_rad.map((turn) => degrees(Math.abs(turn))), '°');
  }

  // ------------------------------------------------------------------------------------------------------------ start

  document.documentElement.classList.add('scripted');
  mapView.tabIndex = 0;
  followPointers();
  followKeys();
  find('zoom-in').addEventListener('click', () => zoom(0.7));
  find('zoom-out').addEventListener('click', () => zoom(1 / 0.7));
  find('zoom-fit').addEventListener('click', fit);
  new ResizeObserver(() => {
    // Keeps the middle and the scale when the picture's proportions change.
    const box = svg.getBoundingClientRect();
    if (box.width === 0) return;
    const h = view.w * box.height / box.width;
    if (mapView.classList.contains('zoomed')) view = {...view, y: view.y + (view.h - h) / 2, h};
    else view = fitted();
    showView();
  }).observe(svg);
  fit();
  startTape();
  startTime();
  // After the first picture.
  setTimeout(() => {
    drawLayers();
    startResiduals();
    if (trajectory.rows > 0 && nodes.rows > 0) showMoment(0);
    startCandidates();
    startPlaces();
    document.documentElement.classList.add('complete');
  }, 0);

  // For the page's tests, and for curious people at the browser's console.
  window.report = {
    unpack, table, quantile, lastNotAfter, lengthText, angleText, compose, inverse, transformed, ellipse, footOn, bins,
    nearestPiece, tapeBetween, gaps, roundStep, measure, scans, showTime,
    data: {trajectory, nodes, pieces, edges, candidates, passing},
    view: () => ({...view}),
  };
})();
