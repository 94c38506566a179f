#!/bin/sh
# Installs the programs that the tests ask for a second opinion. Quick where everything is there already.
#
#   tools/test-setup.sh
#
# What it installs: GNU units, and a Python environment in target/referees-venv with the packages of
# crates/referees/requirements.txt. A Python that has them already can be named with FELLMARK_PYTHON instead.
# For the page: Chromium (another can be named with FELLMARK_CHROMIUM), Node.js 20 or later, and the packages of
# web/tests/package.json.
set -eu
cd "$(dirname "$0")/.."

wanted=""
command -v units >/dev/null 2>&1 || wanted="$wanted units"
python3 -c 'import ensurepip, venv' >/dev/null 2>&1 || wanted="$wanted python3-venv"
[ -x "${FELLMARK_CHROMIUM:-/usr/bin/chromium}" ] || wanted="$wanted chromium"
command -v node >/dev/null 2>&1 || wanted="$wanted nodejs"
command -v npm >/dev/null 2>&1 || wanted="$wanted npm"

if [ -n "$wanted" ]; then
    if [ "$(id -u)" -eq 0 ]; then
        as_root=""
    elif command -v sudo >/dev/null 2>&1; then
        as_root="sudo"
    else
        echo "This needs packages that only root can install. As root, type:" >&2
        echo "    apt-get update && apt-get install -y$wanted" >&2
        echo "and then run tools/test-setup.sh again." >&2
        exit 1
    fi
    $as_root apt-get update -q
    # shellcheck disable=SC2086 # a list of packages
    $as_root apt-get install -q -y --no-install-recommends $wanted
fi

requirements=crates/referees/requirements.txt
environment=target/referees-venv
installed="$environment/installed.txt"
if ! cmp -s "$requirements" "$installed" || ! "$environment/bin/python" -c '' >/dev/null 2>&1; then
    rm -rf "$environment"
    python3 -m venv "$environment"
    "$environment/bin/python" -m pip install --quiet --disable-pip-version-check -r "$requirements"
    cp "$requirements" "$installed"
fi
if ! node -e 'process.exit(Number(process.versions.node.split(".")[0]) < 20 ? 1 : 0)' 2>/dev/null || ! command -v npm >/dev/null 2>&1; then
    echo "The page's tests need Node.js 20 or later with npm, and this system's own is older. Install it as" >&2
    echo "https://nodejs.org says for your system, and then run tools/test-setup.sh again." >&2
    exit 1
fi
lock=web/tests/package-lock.json
packages=web/tests/node_modules
if ! cmp -s "$lock" "$packages/.installed-lock.json"; then
    (cd web/tests && npm ci --no-audit --no-fund --loglevel=error)
    cp "$lock" "$packages/.installed-lock.json"
fi
echo "Ready: Chromium, Node.js with the packages of web/tests, units, and Python with the packages of $requirements."
