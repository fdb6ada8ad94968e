#!/bin/sh
# Make .venv-next on the next Django, which needs Python 3.12: next.sh DJANGO [PYTHON]
# The lock gives every other version; its hashes are of the Django that it holds.
set -eu
django=$1
for name in ${2:-} python3.14 python3.13 python3.12; do
    if "$name" -c 'import ensurepip' 2>/dev/null; then python=$name && break; fi
done
[ -n "${python:-}" ] || {
    echo "Django $django needs Python 3.12 or later, with its venv module. None was found."
    exit 1
}
[ -x .venv-next/bin/python ] || "$python" -m venv .venv-next
sed -E '/--hash|^ *#|^django==/d; s/ \\$//' requirements-dev.lock >.venv-next/wanted.txt
.venv-next/bin/python -m pip install --quiet --no-deps -r .venv-next/wanted.txt "django~=$django.0"
.venv-next/bin/python -m django --version
