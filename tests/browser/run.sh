#!/bin/sh
# Makes the pages of one kind with the program and tests them in headless Chromium:
#   sh tests/browser/run.sh report|comparison|explain|location|live|overview PROGRAM CHECKOUT WORK_FOLDER
# Ends with status 77, which ctest counts as skipped, where a browser, node, or (the first time) the network is missing.
set -eu
kind="$1"
program="$2"
checkout="$3"
work="$4"

skip() {
  echo "browser tests skipped: $1"
  exit 77
}
chromium="$(command -v chromium || command -v chromium-browser || true)"
[ -n "$chromium" ] || skip "there is no chromium; sh apps/install_packages.sh browser installs it"
command -v node >/dev/null || skip "there is no node; sh apps/install_packages.sh node installs it"
command -v npm >/dev/null || skip "there is no npm; sh apps/install_packages.sh node installs it"

mkdir -p "$work"
cp "$checkout/tests/browser/package.json" "$work/package.json"
if [ ! -d "$work/node_modules/axe-core" ] || [ ! -d "$work/node_modules/puppeteer-core" ]; then
  (cd "$work" && npm install --no-audit --no-fund --ignore-scripts >npm.log 2>&1) ||
    skip "npm could not fetch puppeteer-core and axe-core (no network?); its words are in $work/npm.log"
fi

# The drive under a name that tries to become a part of the page.
drive="$checkout/data/demo/drive"
hostile="$work/<img src=x onerror=alert(1)>\"'&amp;"
rm -rf "$hostile"
cp -r "$drive" "$hostile"
log="$work/$kind.log"

case "$kind" in
  report)
    "$program" build "$drive" --out "$work/map" --replace >"$log" 2>&1
    "$program" build "$hostile" --out "$work/hostile-map" --no-loop-closure --replace >>"$log" 2>&1
    ;;
  comparison)
    # Odometry against the map, both against the truth, and two maps, the first with a name that tries to become a part
    # of the page.
    other="$work/<svg onload=alert(1)>\"'&amp;"
    "$program" build "$drive" --out "$work/compared-map" --replace >"$log" 2>&1
    "$program" build "$hostile" --out "$other" --no-loop-closure --replace >>"$log" 2>&1
    # NAME MAP [OTHER]: makes $work/NAME.html and NAME.json.
    compare() {
      name="$1"
      shift
      "$program" compare "$@" --page "$work/$name.html" --json "$work/$name.json" --replace >>"$log" 2>&1
    }
    compare drift "$work/compared-map"
    compare errors "$work/compared-map" --truth "$drive/truth.csv"
    compare loops "$other" "$work/compared-map"
    ;;
  explain)
    "$program" explain "$drive" --out "$work/explain.html" --replace >"$log" 2>&1
    "$program" explain "$hostile" --out "$work/hostile-explain.html" --replace >>"$log" 2>&1
    for lesson in 2 4 5 6 7; do
      "$program" explain "$drive" --lesson "$lesson" --answers --quiet
    done >"$work/lessons.txt"
    ;;
  location)
    "$program" build "$drive" --out "$work/located-map" --replace >"$log" 2>&1
    "$program" locate "$work/located-map" "$hostile" --csv "$work/where.csv" --page "$work/where.html" --replace >>"$log" 2>&1
    ;;
  overview)
    # Some two hundred jobs made of one map, with other figures: one drive that differs, a wheel that wears, failures, a
    # damaged summary, a hostile name.
    "$program" build "$drive" --out "$work/overview-map" --replace >"$log" 2>&1
    rm -rf "$work/houses"
    node "$checkout/tests/browser/overview_jobs.js" "$work/overview-map" "$work/houses"
    "$program" overview "$work/houses" --page "$work/houses.html" --csv "$work/houses.csv" --replace >>"$log" 2>&1
    ;;
esac

NODE_PATH="$work/node_modules" node "$checkout/tests/browser/${kind}_page_test.js" "$chromium" "$work" "$checkout" "$program"
