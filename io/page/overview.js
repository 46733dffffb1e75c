// The page of many maps: a table of drives, a hundred at a time, sorted and searched, and constants over the drives.
(() => {
  const { find, lengthText, minus, roundStep } = shared;
  const data = JSON.parse(find('data').textContent);
  const rows = data.rows;
  const rowsAtATime = 100;
  const mostRobots = 500;  // in the list of robots
  const verdicts = ['good', 'usable', 'map without a verdict', 'not to be used', 'damaged', 'failed'];

  rows.forEach((row, i) => { row.place_in_order = i; row.odd = []; });
  for (const odd of data.odd) rows[odd.row].odd.push(odd);

  // --------------------------------------------------------------------------------------------------- words and parts

  function element(name, className, text) {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  }
  const counted = (count) => count.toLocaleString('en');
  function durationText(seconds) {
    const whole = Math.round(seconds);
    if (whole < 60) return `${whole} s`;
    if (whole < 3600) return `${Math.floor(whole / 60)} min ${whole % 60} s`;
    return `${Math.floor(whole / 3600)} h ${String(Math.floor(whole % 3600 / 60)).padStart(2, '0')} min`;
  }
  const perCent = (fraction) => `${(100 * fraction).toFixed(fraction < 0.1 ? 2 : 0)} %`;
  // Value and standard uncertainty, both to the uncertainty's second digit (JCGM 100:2008, 7.2.6).
  function decimalsOf(sd) {
    return Math.min(12, Math.max(0, 1 - Math.floor(Math.log10(sd))));
  }
  const valueText = (value, sd) => minus(value.toFixed(decimalsOf(sd)));
  const withUnit = (text, unit) => unit === '' || unit === '1' ? text : `${text} ${unit}`;

  // Many words behind a line that opens.
  function folded(summary, texts) {
    const details = element('details');
    details.append(element('summary', 'doubt', summary));
    const list = element('ul');
    for (const text of texts) list.append(element('li', '', text));
    details.append(list);
    return details;
  }

  // ---------------------------------------------------------------------------------------------------------- columns

  // Each with its heading, what it sorts by (undefined: last, either way), and what it shows: text or an element.
  function figure(label, key, show) {
    return { label, className: 'n', value: (row) => row[key], show: (row) => show(row[key]) };
  }
  function verdictCell(row) {
    const cell = element('div');
    const good = row.verdict === 'good';
    cell.append(element('p', good ? 'good' : 'doubt', row.verdict));
    if (row.said) cell.append(element('p', 'soft', row.said));
    return cell;
  }
  function warningCell(row) {
    const texts = [...row.warnings];
    if (row.more) texts.push(`and ${counted(row.more)} more`);
    return folded(counted(row.warnings.length + (row.more || 0)), texts);
  }
  function constantColumn(constant, index) {
    const part = (row) => row.constants && row.constants[index];
    const unit = constant.unit === '1' || constant.unit === '' ? '' : `, ${constant.unit}`;
    return {
      label: constant.name + unit, className: 'wide-only', constant: true,
      value: (row) => part(row) ? part(row)[0] : undefined,
      show: (row) => {
        const [value, sd, unseen] = part(row);
        const odd = row.odd.some((other) => other.constant === index) ? ' differs' : '';
        return `${valueText(value, sd)} (${valueText(sd, sd)})${unseen === 0 ? ' not observed' : ''}${odd}`;
      },
    };
  }
  const verdictRank = (row) => verdicts.findIndex((word) => row.verdict.startsWith(word));
  const allColumns = [
    { label: 'Drive', name: true, value: (row) => row.place_in_order },
    { label: 'Verdict', className: 'says', value: verdictRank, show: verdictCell },
    { label: 'Differs from its sisters', className: 'doubt', value: (row) => row.odd.length || undefined,
      show: (row) => row.odd.map((odd) => odd.said).join('; ') },
    { label: 'Warnings', value: (row) => row.warnings && row.warnings.length + (row.more || 0), show: warningCell },
    figure('Way driven', 'way', lengthText),
    figure('Time', 'time', durationText),
    figure('Loops closed', 'loops', counted),
    figure('A place', 'place', lengthText),
    figure('Scale', 'scale', perCent),
    { label: 'Scale set by', value: (row) => row.by, show: (row) => row.by },
    figure('Against tapes', 'tape', lengthText),
    figure('Path against the truth', 'truth', lengthText),
    figure('Its largest error', 'worst', lengthText),
    figure('Heading against the truth', 'turned', (degrees) => `${degrees.toFixed(3)}°`),
    ...data.constants.map(constantColumn),
  ].filter((column) => rows.some((row) => column.value(row) !== undefined));

  // ------------------------------------------------------------------------------------------------------------ table

  const state = { sort: 0, largestFirst: false, from: 0, rows, words: '', constants: false };
  let columns = [];

  function compare(a, b) {
    if (a === b) return 0;
    return a < b ? -1 : 1;
  }
  // The rows that are shown, in their order; equal ones as in the folder.
  function chosen() {
    const words = state.words.toLowerCase().split(/\s+/).filter(Boolean);
    const column = allColumns[state.sort];
    const sign = state.largestFirst ? -1 : 1;
    const keyed = rows.filter((row) => words.every((word) => haystack(row).includes(word)))
      .map((row) => [column.value(row), row]);
    keyed.sort(([a, rowA], [b, rowB]) => {
      if ((a === undefined) !== (b === undefined)) return a === undefined ? 1 : -1;
      return sign * compare(a, b) || rowA.place_in_order - rowB.place_in_order;
    });
    return keyed.map(([, row]) => row);
  }
  function haystack(row) {
    if (row.haystack === undefined) {
      row.haystack = [row.name, row.verdict, row.said || '', row.by || '', ...(row.warnings || []),
        ...row.odd.map((odd) => `differs ${odd.said}`)].join('\n').toLowerCase();
    }
    return row.haystack;
  }

  function nameCell(row) {
    const cell = element('th');
    cell.scope = 'row';
    if (row.png) {
      const frame = element('span', 'small-map');
      const image = element('img');
      image.alt = `Map of ${row.name}`;
      image.src = `data:image/png;base64,${row.png}`;
      frame.append(image);
      cell.append(frame);
    }
    if (row.link) {
      const link = element('a', '', row.name);
      link.href = row.link;
      cell.append(link);
    } else {
      cell.append(row.name);
    }
    return cell;
  }
  function bodyRow(row) {
    const line = element('tr');
    for (const column of columns) {
      if (column.name) {
        line.append(nameCell(row));
        continue;
      }
      const known = column.value(row) !== undefined;
      const cell = element('td', known ? column.className : 'none');
      cell.dataset.label = column.label;
      if (known) cell.append(column.show(row));
      line.append(cell);
    }
    return line;
  }
  function headRow() {
    const line = element('tr');
    for (const column of columns) {
      const cell = element('th');
      cell.scope = 'col';
      const index = allColumns.indexOf(column);
      if (index === state.sort) cell.setAttribute('aria-sort', state.largestFirst ? 'descending' : 'ascending');
      const button = element('button', '', column.label);
      button.type = 'button';
      button.addEventListener('click', () => {
        sortBy(index, index === state.sort ? !state.largestFirst : false);
        find('head').querySelectorAll('button')[columns.indexOf(column)].focus();
      });
      cell.append(button);
      line.append(cell);
    }
    return line;
  }
  function showRows() {
    const until = Math.min(state.rows.length, state.from + rowsAtATime);
    find('rows').replaceChildren(...state.rows.slice(state.from, until).map(bodyRow));
    const of = state.rows.length === rows.length ? counted(rows.length)
      : `${counted(state.rows.length)} with these words, of ${counted(rows.length)}`;
    find('shown').textContent = state.rows.length === 0 ? `None of ${counted(rows.length)} drives has these words.`
      : `Drives ${counted(state.from + 1)} to ${counted(until)} of ${of}.`;
    find('earlier').disabled = state.from === 0;
    find('later').disabled = until === state.rows.length;
  }
  function showTable() {
    columns = allColumns.filter((column) => state.constants || !column.constant);
    find('head').replaceChildren(headRow());
    state.rows = chosen();
    state.from = 0;
    find('order').value = String(state.sort);
    find('turned').checked = state.largestFirst;
    showRows();
  }
  function sortBy(index, largestFirst) {
    state.sort = index;
    state.largestFirst = largestFirst;
    showTable();
  }

  function beginTable() {
    find('order').replaceChildren(...allColumns.map((column, index) => {
      const option = element('option', '', column.label);
      option.value = String(index);
      return option;
    }));
    find('order').addEventListener('change', () => sortBy(Number(find('order').value), state.largestFirst));
    find('turned').addEventListener('change', () => sortBy(state.sort, find('turned').checked));
    find('filter').addEventListener('input', () => {
      state.words = find('filter').value;
      showTable();
    });
    find('wide').addEventListener('change', () => {
      state.constants = find('wide').checked;
      if (allColumns[state.sort].constant && !state.constants) state.sort = 0;
      showTable();
    });
    const turnPage = (by) => {
      state.from += by;
      showRows();
    };
    find('earlier').addEventListener('click', () => turnPage(-rowsAtATime));
    find('later').addEventListener('click', () => turnPage(rowsAtATime));
    if (data.constants.length === 0) find('wide').parentElement.hidden = true;
    showTable();
  }

  // ------------------------------------------------------------------------------------------------------------ plots

  const svgNames = 'http://www.w3.org/2000/svg';
  const plotHeight_px = 320;
  const edge_px = { left: 84, right: 12, top: 14, bottom: 44 };

  function shape(name, className, attributes, text) {
    const made = document.createElementNS(svgNames, name);
    if (className) made.setAttribute('class', className);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    return made;
  }
  // The drives of a robot that observed a constant, in their order.
  function pointsOf(robot, constant) {
    return rows.filter((row) => row.robot === robot && row.constants && row.constants[constant] &&
      row.constants[constant].length === 2 && row.verdict !== 'not to be used').map((row) => ({ row,
      value: row.constants[constant][0], sd: row.constants[constant][1],
      odd: row.odd.some((other) => other.constant === constant) }));
  }
  function medianOf(values) {
    const sorted = [...values].sort((a, b) => a - b);
    const half = Math.floor(sorted.length / 2);
    return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }
  function ticks(low, high, most) {
    let step = roundStep((high - low) / most);
    while ((high - low) / step > 2 * most) step *= 2;
    const all = [];
    for (let tick = Math.ceil(low / step); tick * step <= high; ++tick) all.push(tick * step);
    return [all, Math.max(0, -Math.floor(Math.log10(step) + 1e-9))];
  }
  function drawAxes(points, low, high, x, y, width) {
    const parts = [];
    const [values, decimals] = ticks(low, high, 5);
    for (const value of values) {
      parts.push(shape('path', 'rule', { d: `M${edge_px.left} ${y(value).toFixed(1)}H${width - edge_px.right}` }));
      parts.push(shape('text', '', { x: edge_px.left - 6, y: (y(value) + 4).toFixed(1), 'text-anchor': 'end' },
        minus(value.toFixed(decimals))));
    }
    const every = Math.max(1, roundStep(points.length / Math.max(2, width / 90)));
    for (let i = 0; i < points.length; i += every) {
      parts.push(shape('text', '', { x: x(i).toFixed(1), y: plotHeight_px - edge_px.bottom + 18, 'text-anchor': 'middle' },
        String(i + 1)));
    }
    parts.push(shape('text', '', { x: (edge_px.left + width) / 2, y: plotHeight_px - 6, 'text-anchor': 'middle' },
      'drive, in the order of names'));
    return parts;
  }
  function drawPlot(points) {
    const plot = find('plot');
    const width = Math.max(280, plot.parentElement.clientWidth - 26);
    plot.setAttribute('viewBox', `0 0 ${width} ${plotHeight_px}`);
    let low = Infinity;
    let high = -Infinity;
    for (const { value, sd } of points) {
      low = Math.min(low, value - sd);
      high = Math.max(high, value + sd);
    }
    const inner = width - edge_px.left - edge_px.right - 16;
    const x = (i) => edge_px.left + 8 + (points.length > 1 ? inner * i / (points.length - 1) : inner / 2);
    const tall = plotHeight_px - edge_px.top - edge_px.bottom;
    const y = (value) => edge_px.top + tall * (high - value) / (high - low);
    const at = (i) => `${x(i).toFixed(1)} ${y(points[i].value).toFixed(1)}`;
    const indices = points.map((_, i) => i);
    const rods = indices.map((i) => `M${x(i).toFixed(1)} ${y(points[i].value - points[i].sd).toFixed(1)}V${
      y(points[i].value + points[i].sd).toFixed(1)}`).join('');
    const rings = indices.filter((i) => points[i].odd).map((i) => `M${at(i)}m-8 0a8 8 0 1 0 16 0a8 8 0 1 0 -16 0`).join('');
    const middle = y(medianOf(points.map(({ value }) => value))).toFixed(1);
    plot.replaceChildren(...drawAxes(points, low, high, x, y, width),
      shape('path', 'middle-line', { d: `M${edge_px.left} ${middle}H${width - edge_px.right}` }),
      shape('path', 'rod', { d: rods }), shape('path', 'dot', { d: indices.map((i) => `M${at(i)}h0`).join('') }),
      shape('path', 'odd', { d: rings }));
  }
  function showPlot() {
    const robot = Number(find('robot').value);
    const series = data.robots[robot].series[Number(find('constant').value)];
    const constant = data.constants[series.constant];
    const points = pointsOf(robot, series.constant);
    if (points.length === 0) return;
    drawPlot(points);
    const sd = medianOf(points.map((point) => point.sd));
    const middle = withUnit(valueText(medianOf(points.map(({ value }) => value)), sd), constant.unit);
    const odd = points.filter((point) => point.odd);
    const mostNamed = 5;
    const words = [`${constant.name}${withUnit('', constant.unit) && ` in ${constant.unit}`} of ${
      counted(points.length)} drives, 1 ${points[0].row.name} to ${counted(points.length)} ${
      points[points.length - 1].row.name}: median ${middle} (dashed). Bars are one standard uncertainty to each side.`,
    series.said ? `It changed: ${series.said}.` : 'No step and no drift is more than chance.'];
    for (const { row } of odd.slice(0, mostNamed)) {
      words.push(`${row.name} differs (ringed): ${row.odd.find((o) => o.constant === series.constant).said}.`);
    }
    if (odd.length > mostNamed) words.push(`And ${counted(odd.length - mostNamed)} more that differ: ringed.`);
    find('told').textContent = words.join(' ');
    find('plot').setAttribute('aria-label', words.slice(0, 2).join(' '));
  }
  function showConstants() {
    const { series } = data.robots[Number(find('robot').value)];
    find('constant').replaceChildren(...series.map(({ constant, said }, index) => {
      const option = element('option', '', data.constants[constant].name + (said ? ' (changed)' : ''));
      option.value = String(index);
      return option;
    }));
    const changed = series.findIndex(({ said }) => said);
    if (changed > 0) find('constant').value = String(changed);
    showPlot();
  }
  function beginPlots() {
    const shown = data.robots.map((robot, index) => ({ ...robot, index }))
      .filter(({ drives, series }) => drives > 1 && series.length > 0).slice(0, mostRobots);
    find('plots').hidden = shown.length === 0;
    if (shown.length === 0) return;
    find('robot').replaceChildren(...shown.map(({ drives, first, index }) => {
      const option = element('option', '', `${index + 1}: ${counted(drives)} drives, first ${first}`);
      option.value = String(index);
      return option;
    }));
    find('robot').addEventListener('change', showConstants);
    find('constant').addEventListener('change', showPlot);
    window.addEventListener('resize', showPlot);
    showConstants();
  }

  state.constants = window.matchMedia('(min-width: 40.01rem)').matches;
  find('wide').checked = state.constants;
  beginTable();
  beginPlots();
})();
