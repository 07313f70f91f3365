#!/bin/sh
# Proves the two commands of the README on a machine that has nothing: makes a minimal Debian 12 root,
# clones this checkout into it and runs ./bootstrap there. Needs root and the package debootstrap.
#
#   tests/minimal_root.sh ROOT [demo|test …]     ROOT is made where it is not there yet and is kept
set -eu
root=${1:?the folder for the root}
shift
[ $# -gt 0 ] || set -- demo test
checkout=$(cd "$(dirname "$0")/.." && pwd)

if [ ! -x "$root/usr/bin/apt-get" ]; then
  debootstrap --variant=minbase bookworm "$root"
fi

# The machine's own way to the packages: sources, proxy settings and certificate authorities.
cp -a /etc/apt/sources.list "$root/etc/apt/" 2>/dev/null || true
cp -a /etc/apt/sources.list.d /etc/apt/apt.conf.d /etc/apt/keyrings "$root/etc/apt/" 2>/dev/null || true
cp /etc/resolv.conf /etc/hosts "$root/etc/" 2>/dev/null || true
mkdir -p "$root/etc/ssl/certs" "$root/usr/local/share/ca-certificates"
cp /etc/ssl/certs/ca-certificates.crt "$root/etc/ssl/certs/" 2>/dev/null || true
cp /usr/local/share/ca-certificates/* "$root/usr/local/share/ca-certificates/" 2>/dev/null || true
# npm trusts a bundle of its own and asks where its settings say.
cp "$HOME/.npmrc" "$root/root/.npmrc" 2>/dev/null || true

rm -rf "$root/srv/ohmglow"
git clone --quiet "$checkout" "$root/srv/ohmglow"
if [ -d "$checkout/../shared/data/real" ]; then
  mkdir -p "$root/srv/shared/data"
  cp -a "$checkout/../shared/data/real" "$root/srv/shared/data/"
fi

mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"
trap 'umount "$root/proc" "$root/dev"' EXIT
for command in "$@"; do
  chroot "$root" /usr/bin/env -i HOME=/root PATH=/usr/sbin:/usr/bin:/sbin:/bin LANG=C.UTF-8 \
    NODE_EXTRA_CA_CERTS=/etc/ssl/certs/ca-certificates.crt \
    ${https_proxy:+https_proxy="$https_proxy"} ${http_proxy:+http_proxy="$http_proxy"} \
    /srv/ohmglow/bootstrap "$command"
done
