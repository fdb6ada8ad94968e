#!/bin/sh
# Make sure Debian's Chromium is there for the browser tests, whole and without windows, and what
# Playwright's own program needs of the system.
set -eu
needed="chromium chromium-headless-shell libatomic1"
command -v chromium >/dev/null && command -v chromium-headless-shell >/dev/null &&
    PATH="$PATH:/sbin:/usr/sbin" ldconfig -p | grep -q 'libatomic\.so\.1 ' && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "Installing Chromium for the browser tests …"
    apt-get update -qq
    # shellcheck disable=SC2086 (one word a package)
    apt-get install -y -qq --no-install-recommends $needed >/dev/null
else
    echo "The browser tests need Chromium. On Debian: sudo apt-get install $needed"
    exit 1
fi
