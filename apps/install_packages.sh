#!/bin/sh
# Installs what is missing of the packages in the named sections of packages.txt:
#   sh apps/install_packages.sh program tests
# As root with apt-get, else with sudo; where there is neither, says which packages are missing and ends with status 1.
set -eu
list="$(dirname "$0")/packages.txt"

missing=""
for section in "$@"; do
  for package in $(awk -v section="[$section]" '/^\[/ { on = ($0 == section); next } on && NF && !/^#/ { print $1 }' "$list"); do
    if [ "$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null || true)" != installed ]; then
      missing="$missing $package"
    fi
  done
done
if [ -z "$missing" ]; then
  echo "packages: all installed"
  exit 0
fi

if [ "$(id -u)" = 0 ]; then
  as_root=""
elif command -v sudo >/dev/null; then
  as_root="sudo"
else
  echo "packages: missing:$missing" >&2
  echo "Ask someone who may to run: apt-get install --no-install-recommends$missing" >&2
  exit 1
fi

echo "packages: installing$missing"
log="$(mktemp)"
install() {
  # shellcheck disable=SC2086  # the list is words on purpose
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $missing >>"$log" 2>&1
}
# The package lists on the machine may be old or not there; fetch them once where needed.
if ! install && ! { $as_root apt-get update >>"$log" 2>&1 && install; }; then
  tail -n 20 "$log" >&2
  echo "packages: apt-get could not install them (its words stand above; all of them in $log)" >&2
  exit 1
fi
grep -E '^(Need to get|After this operation)' "$log" | tail -n 2 | sed 's/^/packages: /' || true
rm -f "$log"
