// The page of a drive that is being recorded: shows what the program sends, as it sends it.
(() => {
  const { find, lengthText, angleText } = shared;
  const data = JSON.parse(find('data').textContent);
  const svgNames = 'http://www.w3.org/2000/svg';
  const margin_m = 0.5;
  let tail = [];

  const points = (places) => places.map(([x, y]) => `${x.toFixed(3)},${(-y).toFixed(3)}`).join(' ');

  function drawLines(group, className, lines) {
    group.replaceChildren(...lines.map(([x1, y1, x2, y2]) => {
      const line = document.createElementNS(svgNames, 'line');
      line.setAttribute('class', className);
      for (const [name, value] of [['x1', x1], ['y1', -y1], ['x2', x2], ['y2', -y2]]) line.setAttribute(name, value);
      return line;
    }));
  }

  // Shows the grid, and all of the way.
  function frame(grid, way) {
    const xs = way.map(([x]) => x).concat(grid ? [grid.left, grid.left + grid.width] : []);
    const ys = way.map(([, y]) => y).concat(grid ? [grid.top - grid.height, grid.top] : []);
    if (xs.length === 0) return;
    const [left, right] = [Math.min(...xs) - margin_m, Math.max(...xs) + margin_m];
    const [low, high] = [Math.min(...ys) - margin_m, Math.max(...ys) + margin_m];
    find('map').setAttribute('viewBox', `${left} ${-high} ${right - left} ${high - low}`);
  }

  function showMap(map) {
    const image = find('grid');
    for (const [name, value] of [['x', map.grid.left], ['y', -map.grid.top], ['width', map.grid.width],
      ['height', map.grid.height], ['href', `data:image/png;base64,${map.grid.png}`]]) image.setAttribute(name, value);
    frame(map.grid, map.path.concat(map.tail));
    find('path').setAttribute('points', points(map.path));
    tail = map.tail;
    find('tail').setAttribute('points', points(tail));
    drawLines(find('closures'), 'closure', map.closures);
    drawLines(find('edges'), 'edge', map.edges);
    find('verdict').textContent = map.verdict;
    find('way').textContent = lengthText(map.way_m);
    find('loops').textContent = String(map.closures.length);
    find('since-loop').textContent = lengthText(map.since_loop_m);
    find('unseen').textContent = String(map.edges.length);
  }

  function showHere(here) {
    const [x, y, heading] = here.pose;
    tail.push([x, y]);
    find('tail').setAttribute('points', points(tail));
    const [c, s] = [Math.cos(heading), Math.sin(heading)];
    const corners = [[0.25, 0], [-0.15, 0.15], [-0.15, -0.15]].map(([ahead, left]) =>
      `${(x + c * ahead - s * left).toFixed(3)} ${(-(y + s * ahead + c * left)).toFixed(3)}`);
    find('robot').setAttribute('d', `M${corners.join('L')}Z`);
    find('seen').setAttribute('d', here.seen.map(([px, py]) => `M${px} ${-py}h0`).join(''));
    find('now-time').textContent = `${here.time_s.toFixed(1)} s`;
    find('now-place').textContent = `${x.toFixed(2)} m, ${y.toFixed(2)} m`;
    find('now-heading').textContent = angleText(heading);
    find('now-sure').textContent = here.sure;
    find('now-speed').textContent = `${lengthText(here.speed_m_s)}/s, ${angleText(here.turn_rad_s)}/s`;
  }

  function showMoment(moment) {
    find('state').textContent = moment.state;
    const list = find('moment');
    list.className = moment.warnings.length > 0 ? 'some' : '';
    const lines = moment.warnings.length > 0 ? moment.warnings : ['None.'];
    const items = (texts) => texts.map((text) => {
      const item = document.createElement('li');
      item.textContent = text;
      return item;
    });
    list.replaceChildren(...items(lines));
    find('log').replaceChildren(...items([...moment.log].reverse()));
  }

  const events = new EventSource(`events?key=${encodeURIComponent(data.key)}`);
  const on = (kind, show) => events.addEventListener(kind, (event) => show(JSON.parse(event.data)));
  on('map', showMap);
  on('here', showHere);
  on('moment', showMoment);
  on('end', (end) => {
    events.close();
    find('state').textContent = end.words;
    find('moment').replaceChildren();
  });
  events.addEventListener('error', () => {
    if (events.readyState === EventSource.CLOSED) {
      find('state').textContent = 'The program has ended, or another page took its place.';
    } else {
      find('state').textContent = 'The program does not answer; trying again.';
    }
  });
})();
