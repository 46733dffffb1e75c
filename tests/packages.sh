#!/bin/bash
# The Debian packages as people get them: installed by apt into a Debian 12 that has nothing else, used, and taken away
# again without a trace. As root, with a network; minutes. Beside continuous integration, which has neither.
set -euo pipefail
cd "$(dirname "$0")/.."
started=$SECONDS
step() { echo "== $1 ($((SECONDS - started)) s)"; }
if [ "$(id -u)" != 0 ]; then
  echo "packages.sh: run it as root, which debootstrap and chroot ask for" >&2
  exit 2
fi
packages=build/packages
root=build/packages/root
log=build/packages/root.log
work=srv/trial  # inside of it

bash apps/packages.sh

step "a bare Debian 12 in $root/"
# From where this machine has its own packages.
mirror=$(find /etc/apt -name sources.list -o -name '*.sources' -o -name '*.list' | sort | xargs cat |
  sed -n -e 's/^URIs: *\([^ ]*\).*/\1/p' -e 's/^deb \(\[[^]]*\] *\)\?\([^ ]*\) .*/\2/p' | sed -n 1p)
rm -rf "$root"
debootstrap --variant=minbase bookworm "$root" "$mirror" >"$log" 2>&1 || { tail -n 20 "$log" >&2; exit 1; }
echo "deb $mirror bookworm main" >"$root/etc/apt/sources.list"
apt-config dump Acquire | grep -E '^Acquire::(Check|http|https)' >"$root/etc/apt/apt.conf.d/90like-the-machine" || true
inside() { chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive "$@"; }
apt_inside() { inside apt-get -y --no-install-recommends "$@" >>"$log" 2>&1 || { tail -n 20 "$log" >&2; exit 1; }; }
# All files but what apt, dpkg and ld.so note for themselves.
files() { (cd "$root" && find . -xdev \( -path ./proc -o -path ./sys -o -path ./dev -o -path ./tmp -o -path "./$work" -o -path ./root -o -path ./var/log -o -path ./var/cache -o -path ./var/lib/apt -o -path ./var/lib/dpkg \) -prune -o -print | sort); }
apt_inside update
apt_inside install gcc libc6-dev pkgconf man-db
mkdir "$root/$work"
cp "$packages"/*.deb "$root/$work"
files >"$packages/before.txt"

step "installing"
mapfile -t debs < <(find "$root/$work" -name '*.deb' -printf "/$work/%f\n" | sort)
apt_inside install "${debs[@]}"

step "the program"
inside wainscot --version
doc=/usr/share/doc/wainscot
inside wainscot build $doc/data/demo/drive --out /$work/map --quiet
inside wainscot compare /$work/map --truth $doc/data/demo/drive/truth.csv
inside man -P cat wainscot-build | grep -q -- --cell-size
inside bash -c 'test -e /usr/share/bash-completion/completions/wainscot -a -e /usr/share/zsh/vendor-completions/_wainscot'

step "the library, from C and from Python"
examples=/usr/share/doc/libwainscot-dev/examples
inside sh -c "cc -std=c99 $examples/where.c \$(pkg-config --cflags --libs wainscot) -o /$work/where"
inside /$work/where /$work/map $doc/data/demo/drive 0.15 >"$packages/where-c.txt"
inside python3 $examples/where.py /$work/map $doc/data/demo/drive 0.15 >"$packages/where-py.txt"
head -n 3 "$packages/where-c.txt"
grep -q "the nearest wall" "$packages/where-c.txt"
cmp "$packages/where-c.txt" "$packages/where-py.txt"

step "taking all of it away"
apt_inside purge --autoremove wainscot libwainscot1 libwainscot-dev python3-wainscot
files >"$packages/after.txt"
if ! diff "$packages/before.txt" "$packages/after.txt" >"$packages/left.txt"; then
  cat "$packages/left.txt" >&2
  echo "packages.sh: the packages left something, or took something away" >&2
  exit 1
fi
rm -rf "$root"
step "nothing is left of them; all passed"
