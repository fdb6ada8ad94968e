#!/bin/sh
# Make sure Debian's Chromium is there for the browser tests, whole and without windows.
set -eu
command -v chromium >/dev/null && command -v chromium-headless-shell >/dev/null && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "Installing Chromium for the browser tests …"
    apt-get update -qq
    apt-get install -y -qq --no-install-recommends chromium chromium-headless-shell >/dev/null
else
    echo "The browser tests need Chromium. On Debian: sudo apt-get install chromium chromium-headless-shell"
    exit 1
fi
