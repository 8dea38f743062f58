#!/bin/sh
# Runs all tests with the oldest releases of the dependencies that pyproject.toml allows, on Python 3.11,
# the oldest that it allows (later ones have no builds of such old packages); arguments go on to pytest.
set -eu
. "$(dirname -- "$0")/../examples/environment.sh"
: "${CHARTSCAN_PYTHON:=python3.11}"
export CHARTSCAN_PYTHON

folder=$(mktemp -d)
"$CHARTSCAN_PYTHON" "$root/tests/release/oldest.py" > "$folder/oldest.txt"
PIP_CONSTRAINT=$folder/oldest.txt
UV_CONSTRAINT=$folder/oldest.txt
export PIP_CONSTRAINT UV_CONSTRAINT
make_environment .venv-oldest '.[test]'
rm -r "$folder"

cd "$root"
exec "$python" -m pytest -n auto "$@"
