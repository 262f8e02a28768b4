#!/bin/sh
# Writes requirements.lock and requirements-peers.lock anew from pyproject.toml, keeping the versions that still fit.
#
#   tools/lock.sh              keep what fits
#   tools/lock.sh --upgrade    take the newest of everything
#
# The locks must be the same wherever they are made: settings of this machine's pip are set aside, and the oldest
# Python that umbo supports (Debian 12's) makes them, because newer ones pick releases that do not run there.
set -eu
cd "$(dirname "$0")/.."

start=${PYTHON:-/usr/bin/python3.11}
tool=.cache/lock
if ! "$start" -c 'import ensurepip, sys; sys.exit(not (3, 11) <= sys.version_info[:3] <= (3, 11, 2))' 2>/dev/null; then
    echo "umbo: locks are made with Python 3.11.0 to 3.11.2 and its venv module, which $start does not offer; \
run this on Debian 12 with python3-venv installed, or name one with PYTHON=/path/to/python3.11." >&2
    exit 3
fi

unset PIP_INDEX_URL PIP_EXTRA_INDEX_URL PIP_FIND_LINKS PIP_NO_INDEX PIP_CONSTRAINT PIP_REQUIREMENT PIP_PRE
export PIP_CONFIG_FILE=/dev/null
[ -x "$tool/bin/pip-compile" ] || "$start" -m venv --clear "$tool"
"$tool/bin/python" -m pip --disable-pip-version-check -qq install pip-tools==7.6.2

# compile LOCK GROUPS [OPTION...]: the groups of pyproject.toml into one lock
compile() {
    lock=$1 groups=$2
    shift 2
    # shellcheck disable=SC2086  # the groups are words
    "$tool/bin/python" tools/wanted.py $groups >"$tool/pyproject.in"
    if [ -f "$lock" ]; then cp "$lock" "$tool/$lock"; fi
    "$tool/bin/pip-compile" --quiet --generate-hashes --strip-extras --no-config --no-header --no-emit-options \
        --no-emit-index-url --no-emit-trusted-host --no-emit-find-links \
        --output-file "$tool/$lock" "$@" "$tool/pyproject.in"
    {
        echo "# Written by 'make lock' from pyproject.toml ($groups). Do not edit."
        sed -e "s|-r $tool/pyproject.in|pyproject.toml|" -e 's|-c requirements.lock|requirements.lock|' "$tool/$lock"
    } >"$lock"
    echo "umbo: wrote $lock"
}

compile requirements.lock "run test check docs build" "$@"
compile requirements-peers.lock "peers" --constraint requirements.lock "$@"
