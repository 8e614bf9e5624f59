#!/usr/bin/env bash
# Whether the program can be built for a small board with a 64-bit ARM processor: cross-compiled in a root of its own,
# because the packages of another architecture would push out those of this machine. By hand, as root; it needs
# qemu-user inside the root to ask the cross-compiled program for its papers.
#   tests/package/arm64.sh ROOT         ROOT: a Debian 12 made by debootstrap, for this alone
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
other=$(realpath "$1")
[ "$(id -u)" = 0 ] || { echo "arm64: only root can work in another root" >&2; exit 2; }
inside() {
    chroot "$other" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive \
        "$@"
}
finish() { if mountpoint -q "$other/proc"; then umount "$other/proc"; fi; }
trap finish EXIT
trap 'exit 130' INT TERM
mountpoint -q "$other/proc" || mount -t proc proc "$other/proc"
cp /etc/resolv.conf "$other/etc/resolv.conf"

inside dpkg --add-architecture arm64
inside apt-get -q update >/dev/null
inside apt-get -q -y install --no-install-recommends cmake ninja-build pkg-config crossbuild-essential-arm64 \
    qemu-user-static gzip file dpkg-dev libcli11-dev doctest-dev nlohmann-json3-dev tzdata \
    {libcereal,libsodium,libsqlite3,libqrencode,libssl,libgeographiclib}-dev:arm64 \
    {libhowardhinnant-date,libboost1.81}-dev:arm64 >/dev/null

rm -rf "$other/ladderline"
mkdir "$other/ladderline"
git -C "$root" archive HEAD | tar -x -C "$other/ladderline"
cat >"$other/ladderline.cmake" <<'END'
set(CMAKE_SYSTEM_NAME Linux)
set(CMAKE_SYSTEM_PROCESSOR aarch64)
set(CMAKE_CXX_COMPILER aarch64-linux-gnu-g++)
# The wrapper of that name for the other architecture is not everywhere; it would say the same.
set(PKG_CONFIG_EXECUTABLE /usr/bin/pkg-config)
set(ENV{PKG_CONFIG_LIBDIR} /usr/lib/aarch64-linux-gnu/pkgconfig:/usr/share/pkgconfig)
set(CMAKE_LIBRARY_ARCHITECTURE aarch64-linux-gnu)
set(CMAKE_CROSSCOMPILING_EMULATOR /usr/bin/qemu-aarch64-static)
END
inside env SOURCE_DATE_EPOCH="$(git -C "$root" log -1 --format=%ct)" \
    cmake -S /ladderline -B /ladderline/build -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo \
    -DLADDERLINE_REPRODUCIBLE=ON -DCMAKE_TOOLCHAIN_FILE=/ladderline.cmake -DCPACK_DEBIAN_PACKAGE_ARCHITECTURE=arm64 \
    --log-level=WARNING
inside nice ninja -C /ladderline/build --quiet ladderline papers
inside file /ladderline/build/node/ladderline
inside qemu-aarch64-static /ladderline/build/node/ladderline --version
