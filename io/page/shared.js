// What the scripts of the pages share: numbers, words for people, geometry. It stands before each page's own script.
//
// Poses are [x_m, y_m, heading_rad] in the map frame, x to the right and y up.
'use strict';
const shared = (() => {
  function bytesOf(base64) {
    return Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  }

  // ------------------------------------------------------------------------------------------------ words for people

  const minus = (text) => text.replace('-', '−');
  function lengthText(metres) {
    if (!Number.isFinite(metres)) return 'unknown';
    const size = Math.abs(metres);
    if (size < 0.00995) return minus((metres * 1000).toFixed(1)) + ' mm';
    if (size < 0.995) return minus((metres * 1000).toFixed(0)) + ' mm';
    return minus(metres.toFixed(2)) + ' m';
  }
  const degrees = (radians) => radians * 180 / Math.PI;
  function angleText(radians) {
    if (!Number.isFinite(radians)) return 'unknown';
    return minus(degrees(wrap(radians)).toFixed(Math.abs(degrees(radians)) < 10 ? 2 : 1)) + '°';
  }
  const percentText = (fraction) => (100 * fraction).toFixed(0) + ' %';

  // -------------------------------------------------------------------------------------------------------- geometry

  const wrap = (angle) => Math.atan2(Math.sin(angle), Math.cos(angle));

  function transformed(pose, points) {
    const c = Math.cos(pose[2]);
    const s = Math.sin(pose[2]);
    return points.map(([x, y]) => [pose[0] + c * x - s * y, pose[1] + s * x + c * y]);
  }

  function compose(a, b) {
    const [[x, y]] = transformed(a, [[b[0], b[1]]]);
    return [x, y, a[2] + b[2]];
  }

  // Axes and direction of the ellipse of a covariance (xx, xy, yy), one standard uncertainty: its eigenvalues.
  function ellipse(xx, xy, yy) {
    const middle = (xx + yy) / 2;
    const half = Math.hypot((xx - yy) / 2, xy);
    return {
      major: Math.sqrt(Math.max(0, middle + half)),
      minor: Math.sqrt(Math.max(0, middle - half)),
      direction_rad: 0.5 * Math.atan2(2 * xy, xx - yy),
    };
  }
  // The 95 % region of a place: square root of chi squared at 0.95 with 2 degrees of freedom, 5.991 (NIST/SEMATECH
  // e-Handbook of Statistical Methods, table 1.3.6.7.4).
  const factor95 = Math.sqrt(5.991);

  // The largest of 1, 2, 5 times a power of ten that is at most `most`.
  function roundStep(most) {
    const decade = 10 ** Math.floor(Math.log10(most));
    return [5, 2, 1].find((step) => step * decade <= most * (1 + 1e-9)) * decade;
  }

  // ------------------------------------------------------------------------------------------------ parts of a page

  const find = (id) => document.getElementById(id);
  // A button that moves a range from where it is, or from its start if it stands at its end, to its end within about
  // `duration_ms`, and stops it when pressed again.
  function makePlayer(button, range, duration_ms) {
    let timer = null;
    const stop = () => {
      clearInterval(timer);
      timer = null;
      button.textContent = 'Play';
    };
    button.addEventListener('click', () => {
      if (timer) {
        stop();
        return;
      }
      const [first, last] = [Number(range.min), Number(range.max)];
      if (Number(range.value) >= last) range.value = first;
      const stride = Math.max(1, Math.round((last - first) / (duration_ms / 50)));
      button.textContent = 'Stop';
      timer = setInterval(() => {
        range.value = Math.min(last, Number(range.value) + stride);
        range.dispatchEvent(new Event('input'));
        if (Number(range.value) >= last) stop();
      }, Math.max(50, duration_ms * stride / Math.max(1, last - first)));
    });
  }

  return {
    bytesOf, minus, lengthText, degrees, angleText, percentText, wrap, transformed, compose, ellipse, factor95, roundStep, find,
    makePlayer,
  };
})();
