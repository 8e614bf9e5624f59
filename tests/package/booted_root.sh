#!/usr/bin/env bash
# The units, started by a real systemd with everything that shuts them in: a fresh Debian 12 that is booted in
# namespaces of its own, without network. By hand, as root; some 500 MB below /tmp.
#   tests/package/booted_root.sh PACKAGE [BASE]     BASE: a root that debootstrap has made before; it is copied
set -euo pipefail

package=$(realpath "$1")
base=${2:-}
[ "$(id -u)" = 0 ] || { echo "booted_root: only root can make a root" >&2; exit 2; }
scratch=$(mktemp -d /tmp/ladderline-boot.XXXXXX)
fresh=$scratch/root
outer=
finish() {
    if [ -n "$outer" ]; then
        kill -KILL "$outer" 2>/dev/null || true  # it hears nothing less, and takes the whole namespace with it
        wait "$outer" 2>/dev/null || true
    fi
    rm -rf --one-file-system "$scratch"
}
trap finish EXIT
trap 'exit 130' INT TERM

step() { printf '\n== %s\n' "$*"; }
give_up() {
    printf 'booted_root: %s\n' "$1" >&2
    if [ -n "${first:-}" ]; then
        inside journalctl --no-pager --lines 40 _COMM=systemd + _COMM=ladderline >&2 || true
    fi
    exit 1
}
until_true() {
    local what=$1 _
    shift
    for _ in $(seq 1 150); do
        if "$@" >/dev/null 2>&1; then return 0; fi
        sleep 0.1
    done
    give_up "gave up waiting until $what"
}
plain=(/usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive
    LADDERLINE_PASSPHRASE_MEMORY_MIB=64)

step "A fresh Debian 12 with systemd and the package, in $fresh"
if [ -n "$base" ]; then
    cp -a "$base" "$fresh"
else
    debootstrap --variant=minbase bookworm "$fresh" | tail -n 2
fi
cp /etc/resolv.conf "$fresh/etc/resolv.conf"
cp "$package" "$fresh/root/ladderline.deb"
chroot "$fresh" "${plain[@]}" sh -c 'apt-get -q update && apt-get -q -y install --no-install-recommends systemd \
    systemd-sysv dbus dbus-user-session libpam-systemd && apt-get -q -y install --no-install-recommends \
    /root/ladderline.deb' >"$scratch/apt.log" 2>&1 || give_up "apt: $(tail -n 5 "$scratch/apt.log")"

cat >"$scratch/boot.sh" <<'END'
set -e
fresh=$1
mount --make-rprivate /
mount --bind "$fresh" "$fresh"
mount -t proc proc "$fresh/proc"
mount -t sysfs sys "$fresh/sys"
mount -t cgroup2 groups "$fresh/sys/fs/cgroup"
mount -t tmpfs tmpfs "$fresh/run"
mount -t tmpfs -o mode=755 tmpfs "$fresh/dev"
for name in null zero full random urandom tty; do
    touch "$fresh/dev/$name"
    mount --bind "/dev/$name" "$fresh/dev/$name"
done
mkdir "$fresh/dev/pts" "$fresh/dev/shm"
mount -t devpts -o newinstance,ptmxmode=0666 devpts "$fresh/dev/pts"
mount -t tmpfs tmpfs "$fresh/dev/shm"
ln -s pts/ptmx "$fresh/dev/ptmx"
ln -s /proc/self/fd "$fresh/dev/fd"
ip link set lo up
# The root of the namespace, because a process in a chroot may make no user namespace, which the units ask for.
cd "$fresh"
mkdir .outside
pivot_root . .outside
umount -l /.outside
exec /usr/bin/env -i container=lxc PATH=/usr/sbin:/usr/bin:/sbin:/bin /lib/systemd/systemd
END

step "It is booted"
unshare --fork --kill-child --pid --mount --uts --ipc --net --cgroup bash "$scratch/boot.sh" "$fresh" \
    >"$scratch/boot.log" 2>&1 </dev/null &
outer=$!
until_true "there is a first process" pgrep -P "$outer"
first=$(pgrep -P "$outer")
inside() { nsenter -t "$first" -m -p -u -i -n -C -r -w "${plain[@]}" "$@"; }
until_true "systemd runs" inside systemctl is-system-running
inside systemctl --version | head -n 1

step "A courier's keeper does what the manual says"
store=/var/lib/ladderline-courier/store
inside ls -ld /var/lib/ladderline-courier /etc/ladderline-courier
keeper() { inside runuser -u ladderline-courier -- "$@"; }
inside install -m 600 -o ladderline-courier /dev/null /etc/ladderline-courier/the.passphrase
printf 'a booted root only: seven made-up words\n' >"$fresh/etc/ladderline-courier/the.passphrase"
keeper ladderline --home "$store" --passphrase-file /etc/ladderline-courier/the.passphrase courier begin
keeper ladderline --home "$store" --passphrase-file /etc/ladderline-courier/the.passphrase \
    key-file /etc/ladderline-courier/courier.key
inside systemctl enable --now ladderline-courier
is_up() { inside journalctl --unit ladderline-courier | grep -q 'The courier is reached'; }
until_true "the courier is up" is_up
until_true "the courier answers" inside runuser -u ladderline-courier -- ladderline --home "$store" courier list
keeper ladderline --home "$store" courier place --mebibytes 64 --days 90
keeper ladderline --home "$store" check
inside systemctl --no-pager --lines 5 status ladderline-courier
inside systemd-analyze --no-pager security ladderline-courier | tail -n 1
inside systemctl restart ladderline-courier
until_true "the courier answers again" inside runuser -u ladderline-courier -- ladderline --home "$store" courier list
inside systemctl disable --now ladderline-courier

step "Ada's node starts by itself"
inside useradd --create-home ada
number=$(inside id -u ada)
as_ada() { inside runuser -u ada -- env HOME=/home/ada XDG_RUNTIME_DIR="/run/user/$number" "$@"; }
printf 'a booted root only: seven made-up words\n' >"$fresh/home/ada/the.passphrase"
inside chown ada /home/ada/the.passphrase
as_ada ladderline --passphrase-file /home/ada/the.passphrase begin --name "Ada Finch"
as_ada mkdir -p -m 700 /home/ada/.config/ladderline
as_ada ladderline --passphrase-file /home/ada/the.passphrase key-file /home/ada/.config/ladderline/node.key
inside loginctl enable-linger ada
until_true "Ada's manager runs" inside runuser -u ada -- env "XDG_RUNTIME_DIR=/run/user/$number" \
    systemctl --user is-system-running
as_ada systemctl --user enable --now ladderline
until_true "Ada's node answers" inside runuser -u ada -- env HOME=/home/ada ladderline pages
as_ada ladderline next
as_ada ladderline tick 0.1
as_ada systemctl --user --no-pager --lines 5 status ladderline
as_ada systemd-analyze --user --no-pager security ladderline | tail -n 1

step "The machine says what went wrong"
inside systemctl --no-pager --failed
inside journalctl --no-pager --priority warning --unit ladderline-courier --user-unit ladderline || true
printf '\nBoth units run, shut in as they are.\n'
