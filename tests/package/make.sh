#!/usr/bin/env bash
# Makes the Debian package from what is committed, with its own build folder; by hand, because it builds everything.
#   tests/package/make.sh [FOLDER]      the package and a log are left there; build-package without it
# The time in the package is that of the commit, so that the same commit gives the same package.
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
folder=$(realpath -m "${1:-$root/build-package}")
SOURCE_DATE_EPOCH=$(git -C "$root" log -1 --format=%ct 2>/dev/null || stat -c %Y "$root/node/package/changelog")
export SOURCE_DATE_EPOCH
umask 022

# The kind of build that tests/run.sh --plain tests.
cmake -S "$root" -B "$folder" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo -DLADDERLINE_SANITIZE=OFF \
    -DLADDERLINE_REPRODUCIBLE="${LADDERLINE_REPRODUCIBLE:-ON}" --log-level=WARNING
ninja -C "$folder" --quiet ladderline papers
(cd "$folder" && rm -f ./*.deb && cpack --config CPackConfig.cmake >package.log) ||
    { cat "$folder/package.log"; exit 1; }
package=$(ls "$folder"/*.deb)
dpkg-deb --info "$package"
dpkg-deb --contents "$package"
if command -v lintian >/dev/null; then
    lintian --fail-on error --tag-display-limit 0 "$package"
else
    echo "make: lintian is not here, so nobody has looked at the package (Debian package lintian)"
fi
sha256sum "$package"
