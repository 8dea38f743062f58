# Sourced by examples/run.sh and tests/run.sh; POSIX sh.
#
# make_environment NAME WHAT   makes the folder NAME in the checkout a Python environment that holds
#                              WHAT ("." or ".[test]"), once; sets $python to its interpreter.
#
# It is made anew when pyproject.toml changes or the checkout moves, and a half-made one is removed.
# uv makes it where uv is installed (uv can bring a Python along); else the first Python that is new
# enough does, with its own venv and pip. CHARTSCAN_PYTHON names the Python to take instead.

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd) || exit 1

make_environment() {
    environment=$root/$1
    python=$environment/bin/python
    stamp="$root $2 ${CHARTSCAN_PYTHON:-} $(cksum < "$root/pyproject.toml")"
    if [ -x "$python" ] && [ "$(cat "$environment/made-for" 2>/dev/null)" = "$stamp" ]; then
        return 0
    fi
    echo "Making the environment $1 (once; takes a minute or two) ..." >&2
    rm -rf "$environment"
    trap 'rm -rf "$environment"' EXIT
    trap 'exit 130' INT
    trap 'exit 143' TERM
    made_with_uv "$2" || made_with_python "$2"
    printf '%s\n' "$stamp" > "$environment/made-for"
    trap - EXIT INT TERM
}

made_with_uv() {
    command -v uv >/dev/null 2>&1 || return 1
    uv venv --quiet --python "${CHARTSCAN_PYTHON:->=3.11}" "$environment" &&
        (cd "$root" && uv pip install --quiet --python "$python" -e "$1") && return 0
    echo "uv could not do it; trying Python's own venv and pip." >&2
    rm -rf "$environment"
    return 1
}

made_with_python() {
    found=$(newest_python) ||
        give_up "no Python 3.11 or newer was found; install one (or uv, which brings its own)"
    if "$found" -m venv "$environment" >/dev/null 2>&1; then
        (cd "$root" && "$python" -m pip install --quiet --disable-pip-version-check -e "$1") ||
            give_up "the packages could not be installed; the reason stands above"
        return 0
    fi
    # Some systems ship venv without ensurepip; a pip of their own can still fill the environment.
    rm -rf "$environment"
    if "$found" -m pip --version >/dev/null 2>&1 &&
        "$found" -m venv --without-pip "$environment" >/dev/null 2>&1; then
        (cd "$root" && "$found" -m pip --python "$python" install --quiet \
            --disable-pip-version-check -e "$1") ||
            give_up "the packages could not be installed; the reason stands above"
        return 0
    fi
    give_up "$found can't make an environment; install its venv package (on Debian and Ubuntu: python3-venv)"
}

newest_python() {
    for name in ${CHARTSCAN_PYTHON:-} python3.13 python3.12 python3.11 python3 python3.14 python; do
        if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
            echo "$name"
            return 0
        fi
    done
    return 1
}

give_up() {
    echo "Error: $1" >&2
    exit 1
}
