#!/bin/sh
# Make a virtual environment from a hashed lock: venv.sh PYTHON VENV LOCK
set -eu
python=$1 venv=$2 lock=$3
"$python" - <<'PY' || { echo "Between Lessons needs Python 3.11 or later. On Debian: apt-get install python3 python3-venv"; exit 1; }
import sys
sys.exit(sys.version_info < (3, 11))
PY
if ! "$python" -c 'import ensurepip' 2>/dev/null; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        apt-get update -qq && apt-get install -y -qq python3-venv >/dev/null
    else
        echo "Python's venv module is missing. On Debian: sudo apt-get install python3-venv"
        exit 1
    fi
fi
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv"
"$venv/bin/python" "$(dirname "$0")/install.py" "$lock"
