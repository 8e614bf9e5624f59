#!/usr/bin/env bash
# Whether the same sources give the same package, wherever they lie: two copies of what is committed, in folders of
# different length, built without ccache, compared byte by byte. By hand: it builds everything twice.
#   tests/package/twice.sh [FOLDER]     an empty folder for both; one below /tmp without it
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
scratch=${1:-$(mktemp -d /tmp/ladderline-twice.XXXXXX)}
mkdir -p "$scratch"
export CCACHE_DISABLE=1
commit=$(git -C "$root" rev-parse HEAD)
time=$(git -C "$root" log -1 --format=%ct)

packages=()
for place in a another/and-a-longer/one; do
    tree=$scratch/$place
    mkdir -p "$tree"
    git -C "$root" archive "$commit" | tar -x -C "$tree"
    echo "Building in $tree"
    (
        umask 022
        export SOURCE_DATE_EPOCH=$time
        cmake -S "$tree" -B "$tree/out-${#place}" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo \
            -DLADDERLINE_REPRODUCIBLE=ON -DLADDERLINE_COMMIT="${commit:0:12}" --log-level=WARNING
        ninja -C "$tree/out-${#place}" --quiet ladderline papers
        cd "$tree/out-${#place}" && cpack --config CPackConfig.cmake >package.log
    )
    packages+=("$(ls "$tree/out-${#place}"/*.deb)")
done
sha256sum "${packages[@]}"
if cmp "${packages[@]}"; then
    echo "The two packages are the same."
else
    for i in 0 1; do dpkg-deb --raw-extract "${packages[i]}" "$scratch/extracted-$i"; done
    diff -rq "$scratch/extracted-0" "$scratch/extracted-1" || true
    echo "The two packages differ."
    exit 1
fi
