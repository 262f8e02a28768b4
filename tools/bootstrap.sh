#!/bin/sh
# Makes the environment that every make target uses, exactly as the lock file says.
#
#   tools/bootstrap.sh          what is needed to run, test, check and document
#   tools/bootstrap.sh peers    also the libraries that benchmarks compare with
#
# VENV names the folder (default .venv), PYTHON the interpreter to start from (default: the first of 3.11 or newer).
set -eu
cd "$(dirname "$0")/.."

venv=${VENV:-.venv}
lock=requirements.lock
stamp="$venv/umbo-environment"
if [ "${1:-}" = peers ]; then
    lock=requirements-peers.lock
    stamp="$venv/umbo-peers"
    "$0"
fi

stop() {
    echo "umbo: $1" >&2
    exit 3
}

find_python() {
    for name in ${PYTHON:-python3.11 python3.12 python3.13 python3.14 python3}; do
        if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
            echo "$name"
            return
        fi
    done
    stop "no Python 3.11 or newer was found; install one (Debian 12: 'apt-get install python3 python3-venv' as root) \
or name it with PYTHON=/path/to/python, then run the same command again."
}

need_venv_module() {
    "$1" -c 'import ensurepip, venv' >/dev/null 2>&1 && return
    package=$("$1" -c 'import sys; print(f"python3.{sys.version_info.minor}-venv")')
    if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
        stop "$1 cannot make a virtual environment because its module 'ensurepip' is missing; \
run 'apt-get install $package' as root, then the same command again."
    fi
    echo "umbo: installing $package"
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "$package" >/dev/null
}

wanted=$(cat "$lock" pyproject.toml tools/bootstrap.sh | sha256sum)
python="$venv/bin/python"
if "$python" -c '' 2>/dev/null && [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ]; then
    exit 0
fi

if ! "$python" -m pip --version >/dev/null 2>&1; then
    start=$(find_python)
    need_venv_module "$start"
    echo "umbo: making the environment $venv with $start (once; a minute or two)"
    "$start" -m venv --clear "$venv"
fi
echo "umbo: installing $lock into $venv"
pip() { "$python" -m pip --disable-pip-version-check -qq install "$@"; }
pip --only-binary :all: --require-hashes -r "$lock"
if [ "$lock" = requirements.lock ]; then
    pip --no-index --no-deps --no-build-isolation -e .
    # a start takes half the time with compiled modules, also where Python may not keep its own
    "$python" -m compileall -q src
fi
echo "$wanted" >"$stamp"
