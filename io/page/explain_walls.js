// Part 4 of the page of explain: a few pieces of wall, with sliders for the lidar's constants. The same mathematics as
// graph/adjust/adjustment_trace.cpp, whose figures the lessons print; io/page/adjustment_section.cpp writes the data.
//
// Constants are [x_m, y_m, heading_rad, range offset in m, clock's offset in s], of the lidar on the robot.
'use strict';
(() => {
  const {minus, degrees, compose, roundStep, find} = shared;
  const {
    data, starts, redraw, stepOf, makeSteps, floats, rows, boxOf, exponential, colour, sheet, floorView, scaleBar, polyline,
    drawPath, path, scans,
  } = explainParts;
  const {found, stated, found_sd} = data.walls;

  // `scale`: from the constant's unit to the one that people read; `reach`: of the slider to each side, in that unit.
  const sliders = [
    {id: 'walls-x', name: 'lidar ahead', unit: ' mm', scale: 1000, reach: 50, sd: found_sd[0] * 1000},
    {id: 'walls-y', name: 'lidar to the left', unit: ' mm', scale: 1000, reach: 50, sd: found_sd[1] * 1000},
    {id: 'walls-heading', name: 'lidar\'s heading', unit: '°', scale: degrees(1), reach: 3, sd: found_sd[2]},
    {id: 'walls-range', name: 'range offset', unit: ' mm', scale: 1000, reach: 30, sd: found_sd[3] * 1000},
    {id: 'walls-clock', name: 'clock\'s offset', unit: ' ms', scale: 1000, reach: 100, sd: found_sd[4] * 1000},
  ];
  const [heading, clock] = [2, 4];
  sliders.forEach((slider, i) => {
    slider.range = find(slider.id);
    // What robot.yaml said is within reach too.
    slider.reach = Math.max(slider.reach, Math.ceil(1.3 * slider.scale * Math.abs(found[i] - stated[i])));
  });
  const digits = (slider) => (slider.unit === '°' ? 2 : 1);
  // What rounds to nothing has no sign.
  const textOf = (slider, value) => minus((slider.scale * value).toFixed(digits(slider)).replace(/^-(?=[0.]+$)/, '')) + slider.unit;

  // ------------------------------------------------------------------------------------------------ walls and constants

  const pieces = data.walls.pieces.map((piece) => {
    const numbers = floats(piece.shown);
    const seen = rows(numbers, 0, numbers.length / 9, 9).map(([x, y, turned, vx, vy, turning_speed, angle, range, turning]) =>
      ({robot: [x, y, turned], velocity: [vx, vy, turning_speed], angle, range, turning}));
    return {...piece, seen};
  });

  function landing(seen, tried) {
    const later = tried[clock] - found[clock];
    const robot = compose(seen.robot, exponential(seen.velocity.map((v) => later * v)));
    const direction = tried[heading] + seen.angle;
    const range = seen.range + tried[3];
    return compose(robot, [tried[0] + range * Math.cos(direction), tried[1] + range * Math.sin(direction), 0]);
  }

  // Where the returns of one piece lie: along its wall, and how far off a line that is fitted to them.
  // `turning`: 1 left, -1 right, 0 none; null: all.
  function fitted(piece, tried, turning) {
    const [nx, ny] = piece.normal;
    const chosen = turning === null ? piece.seen : piece.seen.filter((one) => one.turning === turning);
    const points = chosen.map((seen) => {
      const place = landing(seen, tried);
      const [dx, dy] = [place[0] - piece.anchor[0], place[1] - piece.anchor[1]];
      return {along: ny * dx - nx * dy, across: nx * dx + ny * dy, turning: seen.turning};
    });
    return leftByLine(points);
  }

  // `off`: what a line through the points (least squares) leaves; none where they are fewer than three.
  function leftByLine(points) {
    if (points.length < 3) return [];
    const mean = (key) => points.reduce((sum, point) => sum + point[key], 0) / points.length;
    const [along, across] = [mean('along'), mean('across')];
    let [squares, products] = [0, 0];
    for (const point of points) {
      squares += (point.along - along) ** 2;
      products += (point.along - along) * (point.across - across);
    }
    const slope = squares > 0 ? products / squares : 0;
    return points.map((point) => ({...point, off: point.across - across - slope * (point.along - along)}));
  }

  for (const piece of pieces) piece.half_m = Math.max(0.05, ...fitted(piece, found, null).map((point) => Math.abs(point.along)));

  const residuals = (tried, turning) => pieces.flatMap((piece) => fitted(piece, tried, turning).map((point) => point.off));

  function thickness(tried, turning) {
    const all = residuals(tried, turning);
    return all.length ? Math.sqrt(all.reduce((sum, off) => sum + off * off, 0) / all.length) : 0;
  }

  const withConstant = (tried, i, value) => tried.map((old, k) => (k === i ? value : old));

  // Gauss-Newton of one unknown, as with_best_heading of graph/adjust/adjustment_trace.cpp.
  function withBestHeading(tried, turning) {
    const aside = 1e-3;
    let best = tried;
    for (let step = 0; step < 4; ++step) {
      const at = (by) => residuals(withConstant(best, heading, best[heading] + by), turning);
      const [here, left, right] = [at(0), at(aside), at(-aside)];
      let [gradient, curvature] = [0, 0];
      here.forEach((off, i) => {
        const by = (left[i] - right[i]) / (2 * aside);
        gradient += by * off;
        curvature += by * by;
      });
      if (curvature <= 0) break;
      best = withConstant(best, heading, best[heading] - gradient / curvature);
    }
    return best;
  }

  const ways = [
    {turning: 1, name: 'left', colour: 'path', dash: [9, 4]},
    {turning: -1, name: 'right', colour: 'path-2', dash: [3, 4]},
    {turning: null, name: 'all', colour: 'ink', dash: []},
  ];
  const seenIn = (turning) => residuals(found, turning).length >= 30;

  // ---------------------------------------------------------------------------------------------------------- sliders

  const triedNow = () => sliders.map((slider, i) => found[i] + Number(slider.range.value) / slider.scale);
  const turningNow = () => {
    const {value} = find('walls-turning');
    return value === '' ? null : Number(value);
  };
  let moved = clock;
  let tried = found;

  function read() {
    tried = triedNow();
    sliders.forEach((slider, i) => {
      const off = Number(slider.range.value);
      const aside = Math.abs(off) < 10 ** -digits(slider) / 2 ? 'as found' :
        `found ${off < 0 ? '−' : '+'} ${Math.abs(off).toFixed(digits(slider))}`;
      const words = `${textOf(slider, tried[i])} (${aside})`;
      find(`${slider.id}-text`).textContent = words;
      slider.range.setAttribute('aria-valuetext', words);
    });
  }

  function moveTo(constants) {
    sliders.forEach((slider, i) => { slider.range.value = slider.scale * (constants[i] - found[i]); });
    read();
    redraw.walls();
  }

  // ---------------------------------------------------------------------------------------------------------- drawing

  // A mark that points to the side the robot turned to; a dot where it went straight.
  function drawMark(pen, x, y, turning) {
    pen.fillStyle = colour(turning === 0 ? 'soft' : turning > 0 ? 'path' : 'path-2');
    pen.beginPath();
    if (turning === 0) {
      pen.arc(x, y, 2, 0, 7);
    } else {
      pen.moveTo(x - 4.5 * turning, y);
      pen.lineTo(x + 3 * turning, y - 3.5);
      pen.lineTo(x + 3 * turning, y + 3.5);
    }
    pen.fill();
  }

  // The part of a picture that a panel has, as a picture of its own.
  function inPanel(page, box, draw) {
    const {pen} = page;
    const [x, y, width, height] = box;
    pen.save();
    pen.beginPath();
    pen.rect(x, y, width, height);
    pen.clip();
    pen.translate(x, y);
    draw({pen, width, height});
    pen.restore();
  }

  function drawOverview(page) {
    const view = floorView(page, boxOf(path.adjusted.concat(pieces.map((piece) => piece.anchor)), 0.6));
    const {pen} = page;
    pen.fillStyle = colour('line');
    path.adjusted.forEach((pose, node) => {
      const [c, s] = [Math.cos(pose[2]), Math.sin(pose[2])];
      // Every fourth return shows the rooms as well.
      for (let i = 0; i < scans[node].length; i += 4) {
        const [x, y] = scans[node][i];
        pen.fillRect(view.x(pose[0] + c * x - s * y) - 0.8, view.y(pose[1] + s * x + c * y) - 0.8, 1.6, 1.6);
      }
    });
    drawPath(page, view, path.adjusted, {colour: 'path', width: 1.5});
    pen.textAlign = 'center';
    pieces.forEach((piece, i) => {
      const [x, y] = [view.x(piece.anchor[0]), view.y(piece.anchor[1])];
      pen.fillStyle = colour('ink');
      pen.beginPath();
      pen.arc(x, y, 10, 0, 7);
      pen.fill();
      pen.fillStyle = colour('card');
      pen.fillText(`${i + 1}`, x, y + 5);
    });
    pen.textAlign = 'left';
    scaleBar(page, view);
  }

  // The wall lies level, its free side above. `reach_m`: what the panel shows to each side of it.
  function drawPiece(page, piece, number, points, reach_m) {
    const {pen, width, height} = page;
    const [top, left] = [24, 8];
    const middle = (top + height) / 2;
    const limited = (value, most) => Math.min(Math.max(value, -most), most);
    const x = (along) => left + (width - 2 * left) * (limited(along / piece.half_m, 1) + 1) / 2;
    const y = (off) => middle - (height - top) / 2 * 0.94 * limited(off / reach_m, 1);
    pen.fillStyle = colour('seen');
    pen.fillRect(0, top, width, height - top);
    for (const off of [-reach_m / 2, reach_m / 2]) polyline(page, [[0, y(off)], [width, y(off)]], {colour: 'line', width: 1});
    polyline(page, [[0, middle], [width, middle]], {colour: 'wall', width: 2});
    pen.globalAlpha = 0.75;
    for (const point of points) drawMark(pen, x(point.along), y(point.off), point.turning);
    pen.globalAlpha = 1;
    for (const {turning, colour: name, dash} of ways.slice(0, 2)) {
      const own = points.filter((point) => point.turning === turning);
      const line = leftByLine(own.map(({along, off}) => ({along, across: off})));
      if (own.length < 10) continue;
      const at = line.map((point) => [x(point.along), y(point.across - point.off)]).sort((a, b) => a[0] - b[0]);
      polyline(page, [at[0], at[at.length - 1]], {colour: name, width: 4, dash});
    }
    pen.fillStyle = colour('ink');
    pen.fillText(`${number}: ${piece.nodes} places`, 2, 15);
    pen.fillStyle = colour('soft');
    const size = `${+(500 * reach_m).toPrecision(3)} mm`;
    pen.fillText(size, width - pen.measureText(size).width - 3, y(reach_m / 2) - 4);
  }

  function drawPanels(all) {
    const page = sheet(find('walls-picture'));
    const columns = page.width > 620 ? 3 : 2;
    const lines = Math.ceil((pieces.length + 1) / columns);
    const gap = 10;
    const [width, height] = [(page.width - (columns - 1) * gap) / columns, (page.height - (lines - 1) * gap) / lines];
    const box = (i) => [(i % columns) * (width + gap), Math.floor(i / columns) * (height + gap), width, height];
    inPanel(page, box(0), drawOverview);
    // Steps of 1, 2, 5, so that the ruler does not change with each move.
    const offs = all.flat().map((point) => Math.abs(point.off)).sort((a, b) => a - b);
    const most = Math.max(0.005, offs[Math.floor(0.99 * offs.length)] || 0);
    const reach_m = [1, 2, 5, 10].map((step) => step * 10 ** Math.floor(Math.log10(most))).find((step) => step >= most);
    pieces.forEach((piece, i) => inPanel(page, box(i + 1), (panel) => drawPiece(panel, piece, i + 1, all[i], reach_m)));
  }

  // Curves over a slider's reach: {x, y: [low, high]; below, above: words; series: [{points, colour, dash, name}]; band,
  // dashed: along x; marks: places}.
  function plot(canvas, options) {
    const page = sheet(canvas);
    const {pen, width, height} = page;
    const [left, right, top, bottom] = [60, 52, 24, 40];
    const [[x0, x1], [y0, y1]] = [options.x, options.y];
    const x = (value) => left + (width - left - right) * (value - x0) / (x1 - x0);
    const y = (value) => height - bottom - (height - top - bottom) * (value - y0) / (y1 - y0);
    if (options.band) {
      const [from, to] = options.band.map(x);
      pen.fillStyle = colour('unseen');
      pen.fillRect(from - 1, top, Math.max(3, to - from + 2), height - top - bottom);
    }
    pen.fillStyle = colour('soft');
    for (const [value, align] of [[x0, 'left'], [(x0 + x1) / 2, 'center'], [x1, 'right']]) {
      pen.textAlign = align;
      pen.fillText(minus(+value.toFixed(1) + ''), x(value), height - bottom + 17);
    }
    pen.textAlign = 'right';
    for (const value of [y0, y1]) {
      polyline(page, [[left, y(value)], [width - right, y(value)]], {colour: 'line', width: 1});
      pen.fillText(minus(+value.toPrecision(2) + ''), left - 6, y(value) + 5);
    }
    pen.textAlign = 'left';
    pen.fillText(options.below, left, height - 6);
    pen.fillText(options.above, 2, 14);
    if (options.dashed !== undefined) {
      polyline(page, [[x(options.dashed), top], [x(options.dashed), height - bottom]], {colour: 'soft', width: 2, dash: [4, 4]});
    }
    pen.save();
    pen.beginPath();
    pen.rect(left, top - 8, width - left, height - top - bottom + 16);
    pen.clip();
    for (const {points, colour: name, dash} of options.series) {
      polyline(page, points.map((point) => [x(point[0]), y(point[1])]), {colour: name, width: 2.5, dash});
    }
    pen.restore();
    const ends = options.series.map(({points, name}) => ({name, at: y(points[points.length - 1][1])})).sort((a, b) => a.at - b.at);
    ends.reduce((before, {name, at}) => {
      const place = Math.max(before + 15, Math.min(at + 5, height - bottom));
      pen.fillStyle = colour('ink');
      pen.fillText(name, width - right + 5, place);
      return place;
    }, -Infinity);
    for (const [placeX, placeY] of options.marks) {
      pen.beginPath();
      pen.arc(x(placeX), y(Math.min(Math.max(placeY, y0), y1)), 6, 0, 7);
      pen.strokeStyle = colour('ink');
      pen.lineWidth = 3;
      pen.stroke();
    }
  }

  const steps = (slider, i, count) => Array.from({length: count + 1}, (_, k) =>
    found[i] + (2 * k / count - 1) * slider.reach / slider.scale);
  const reachOf = (slider, i) => [slider.scale * found[i] - slider.reach, slider.scale * found[i] + slider.reach];
  const highest = (series) => Math.max(...series.flatMap(({points}) => points.map((point) => point[1])));

  function drawCost(turning) {
    const slider = sliders[moved];
    const points = steps(slider, moved, 48).map((value) =>
      [slider.scale * value, 1000 * thickness(withConstant(tried, moved, value), turning)]);
    const middle = slider.scale * found[moved];
    const series = [{points, colour: 'path', dash: [], name: ''}];
    plot(find('walls-chart'), {
      x: reachOf(slider, moved), y: [0, Math.max(10, Math.ceil(highest(series)))], series,
      above: 'thickness, mm', below: `${slider.name},${slider.unit}`,
      band: slider.sd ? [middle - slider.sd, middle + slider.sd] : null, dashed: slider.scale * stated[moved],
      marks: [[slider.scale * tried[moved], 1000 * thickness(tried, turning)]],
    });
  }

  // For each clock the best heading, by turns one way and by all; all else as found.
  let valleys = null;
  function valleysOf() {
    valleys = valleys || ways.filter(({turning}) => turning === null || seenIn(turning)).map((way) => ({
      ...way,
      best: steps(sliders[clock], clock, 40).map((value) => withBestHeading(withConstant(found, clock, value), way.turning)),
    }));
    return valleys;
  }

  function drawValleys() {
    const [clockSlider, headingSlider] = [sliders[clock], sliders[heading]];
    const x = reachOf(clockSlider, clock);
    const below = `clock's offset, ms`;
    const band = [-1, 1].map((side) => clockSlider.scale * found[clock] + side * clockSlider.sd);
    const curves = (value) => valleysOf().map((way) =>
      ({...way, points: way.best.map((best) => [clockSlider.scale * best[clock], value(best, way.turning)])}));
    const headings = curves((best) => headingSlider.scale * best[heading]).filter(({turning}) => turning !== null);
    const spread = headings.flatMap(({points}) => points.map((point) => point[1]));
    plot(find('walls-valley'), {
      x, y: [Math.min(...spread, headingSlider.scale * found[heading] - 1), Math.max(...spread, headingSlider.scale * found[heading] + 1)],
      series: headings, above: 'best heading, °', below, band, marks: [[clockSlider.scale * tried[clock], headingSlider.scale * tried[heading]]],
    });
    const thick = curves((best, turning) => 1000 * thickness(best, turning));
    plot(find('walls-best'), {
      x, y: [0, Math.max(10, Math.ceil(highest(thick)))], series: thick, above: 'thickness with the best heading, mm', below, band,
      dashed: clockSlider.scale * stated[clock], marks: [],
    });
    const at = valleysOf().map(({turning, name}) => {
      const best = withBestHeading(withConstant(found, clock, tried[clock]), turning);
      return `${(1000 * thickness(best, turning)).toFixed(1)} mm by ${name === 'all' ? 'all returns' : `turns to the ${name} alone`}`;
    });
    find('walls-both').textContent = `With this clock (${textOf(clockSlider, tried[clock])}) and the best heading for it: ${at.join(', ')}.`;
  }

  function captionWords(turning) {
    const shown = pieces.reduce((sum, piece) =>
      sum + piece.seen.filter((one) => turning === null || one.turning === turning).length, 0);
    const fast = degrees(data.walls.fast_turn_rad_s).toFixed(0);
    const [all, off] = ['returns', 'left_out'].map((key) => pieces.reduce((sum, piece) => sum + piece[key], 0));
    const few = off > 0 ? `; ${off} more, further than three standard deviations off, are left out` : '';
    return `${pieces.length} pieces of wall of a third of a metre, numbered where they stand, with ${shown} of the ${all} returns on ` +
      `them${few}. Marks that point left: turning left faster than ${fast}° a second (long dashes: where these see the wall); right: ` +
      'turning right as fast (short dashes); dots: else. The free side is above; what lies further off than a panel reaches stands ' +
      'at its edge.';
  }

  redraw.walls = () => {
    if (pieces.length === 0) return;
    const turning = turningNow();
    drawPanels(pieces.map((piece) => fitted(piece, tried, turning)));
    find('walls-caption').textContent = captionWords(turning);
    const asFound = 1000 * thickness(found, turning);
    find('walls-cost').textContent = `The walls are ${(1000 * thickness(tried, turning)).toFixed(2)} mm thick (root mean square); ` +
      `as found ${asFound.toFixed(2)} mm, with what robot.yaml said ${(1000 * thickness(stated, turning)).toFixed(2)} mm.`;
    if (stepOf.walls === 3) drawValleys();
    else drawCost(turning);
  };

  function sayWhatIsMissing() {
    if (pieces.length === 0) {
      find('walls-caption').textContent = 'This drive saw no piece of wall well enough from three places, so that there is nothing to ' +
        'show here; the table below stands.';
      for (const id of ['walls-try', 'walls-turnings', 'walls-picture', 'walls-chart', 'walls-valley', 'walls-best']) find(id).hidden = true;
      return;
    }
    const missing = ways.slice(0, 2).filter(({turning}) => !seenIn(turning));
    if (missing.length === 0) return;
    for (const {turning} of missing) find('walls-turning').querySelector(`option[value="${turning}"]`).disabled = true;
    const sides = missing.map(({name}) => `to the ${name}`).join(' or ');
    find('walls-ways').textContent = `Your drive saw these walls in no fast turn ${sides}, so that this cannot be shown with it: ` +
      'a drive with turns to both sides tells clock and heading apart.';
  }

  starts.push(() => {
    sliders.forEach((slider, i) => {
      Object.assign(slider.range, {min: -slider.reach, max: slider.reach, step: 'any', value: 0});
      slider.range.addEventListener('input', () => {
        moved = i;
        read();
        redraw.walls();
      });
    });
    find('walls-turning').addEventListener('change', redraw.walls);
    find('walls-found').addEventListener('click', () => moveTo(found));
    find('walls-stated').addEventListener('click', () => moveTo(stated));
    read();
    sayWhatIsMissing();
    makeSteps('walls');
  });

  window.explain.walls = {pieces, found, stated, thickness, withBestHeading, landing};
})();
