#!/bin/sh
# Makes its own environment, then runs ruff, mypy and all tests; arguments go on to pytest.
set -eu
. "$(dirname -- "$0")/../examples/environment.sh"
make_environment .venv-test '.[test]'

cd "$root"
failed=
step() {
    echo "== $1"
    shift
    "$python" -m "$@" || failed=yes
}
step 'ruff check' ruff check --quiet .
step 'ruff format' ruff format --quiet --check .
step 'mypy' mypy
step 'pytest' pytest -n auto "$@"
[ -z "$failed" ] || { echo "Something above failed." >&2; exit 1; }
