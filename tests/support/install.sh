#!/usr/bin/env bash
# What Ladderline is built with, as Debian 12 packages. Installs only what is missing and says what.
#   tests/support/install.sh build     to build and run it
#   tests/support/install.sh test      to build, run and test it
# Nothing is removed to make room unless LADDERLINE_ALLOW_REMOVE=1 or CI=true says that it may.
set -euo pipefail

build_packages=(g++ cmake ninja-build ccache pkg-config libboost1.81-dev libsqlite3-dev libsodium-dev libcereal-dev
    libcli11-dev libqrencode-dev libssl-dev
    doctest-dev libhowardhinnant-date-dev libgeographiclib-dev tzdata)
test_packages=(nlohmann-json3-dev zbar-tools liblemon-dev)

case "${1:-build}" in
    build) wanted=("${build_packages[@]}") ;;
    test) wanted=("${build_packages[@]}" "${test_packages[@]}") ;;
    *) echo "usage: install.sh [build|test]" >&2; exit 2 ;;
esac

is_installed() {
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$1" 2>/dev/null || true)" = installed ]
}

if ! command -v dpkg-query >/dev/null; then
    echo "This is not a Debian system: please see to it yourself that these are there: ${wanted[*]}"
    exit 0
fi
missing=()
for package in "${wanted[@]}"; do
    is_installed "$package" || missing+=("$package")
done
if [ "${#missing[@]}" -eq 0 ]; then
    exit 0
fi

as_root=()
if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
        echo "These packages are missing, and only root can install them: ${missing[*]}" >&2
        exit 1
    fi
    as_root=(sudo)
fi
apt() {
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -q -y "$@"
}

echo "Installing ${missing[*]}"
apt update >/dev/null
if apt install --no-remove --no-install-recommends "${missing[@]}" >/dev/null; then
    exit 0
fi
leaving=$(apt-get -s install --no-install-recommends "${missing[@]}" 2>/dev/null |
    sed -n 's/^Remv \([^ ]*\).*/\1/p' | tr '\n' ' ')
if [ -z "$leaving" ]; then
    echo "apt-get could not install ${missing[*]}; its own words stand above." >&2
    exit 1
fi
echo "To make room, these packages would have to go: $leaving"
if [ "${LADDERLINE_ALLOW_REMOVE:-}" != 1 ] && [ "${CI:-}" != true ]; then
    echo "Nothing was changed. Run again with LADDERLINE_ALLOW_REMOVE=1 if they may go." >&2
    exit 1
fi
apt install --no-install-recommends "${missing[@]}" >/dev/null
