#!/usr/bin/env bash
# Everything that must hold, in one command:
#
#     tests/all.sh
#
# Needs a Rust toolchain; what else is missing is installed: Debian packages (as root), one Python environment in
# target/outside/venv and one Node folder in target/outside/node. At their first run two of the outside checks fetch
# more by pip: arms_myosim.py makes an environment of its own (target/outside/venv-myosim; the muscle models pin
# another MuJoCo), and gait_cycle.py downloads two packages to read the measured data in them (target/outside/gait;
# held against their SHA-256). Cargo fetches crates that are not there yet. Nothing else leaves the machine.
# What cargo built of other people's crates is kept for the next clean checkout (tests/dependencies.sh).
# For two cores: Python and Node packages come while cargo works, the outside checks go two at a time. Ends with
# `N passed, M failed` of the outside checks; any failure ends it with an exit code other than 0.
set -euo pipefail
cd "$(dirname "$0")/.."

began=$SECONDS
step() { # step NAME COMMAND...: runs it and tells its seconds
    local name=$1 from=$SECONDS
    shift
    printf '\n== %s\n' "$name"
    "$@"
    printf -- '-- %s: %d s\n' "$name" $((SECONDS - from))
}

# ---- what the checks need --------------------------------------------------------------------------------

PACKAGES=(
    gcc libc6-dev pkg-config libssl-dev postgresql ca-certificates chromium poppler-utils qpdf librsvg2-bin python3 python3-venv
    libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core
)

. tests/packages.sh
. tests/dependencies.sh

install_debian() {
    # Node may have come another way.
    local node=()
    command -v node >/dev/null || node+=(nodejs)
    command -v npm >/dev/null || node+=(npm)
    install_packages "${PACKAGES[@]}" "${node[@]}"
}

# Lists of pinned versions decide whether an earlier install still serves.
stamp_of() { cat "$@" | sha256sum | cut -d' ' -f1; }

install_python() {
    local list=tests/outside/requirements.txt venv=target/outside/venv
    if [ "$(cat "$venv/stamp" 2>/dev/null)" = "$(stamp_of "$list")" ] && "$venv/bin/python" -c '' 2>/dev/null; then
        echo "all there"
        return
    fi
    rm -rf "$venv"
    python3 -m venv "$venv"
    "$venv/bin/pip" install --quiet --disable-pip-version-check -r "$list"
    stamp_of "$list" >"$venv/stamp"
}

install_node() {
    local list=tests/outside/package.json folder=target/outside/node
    if [ "$(cat "$folder/stamp" 2>/dev/null)" = "$(stamp_of "$list")" ]; then
        echo "all there"
        return
    fi
    rm -rf "$folder"
    mkdir -p "$folder"
    cp "$list" "$folder/package.json"
    (cd "$folder" && npm install --silent --no-audit --no-fund --no-package-lock --ignore-scripts)
    stamp_of "$list" >"$folder/stamp"
}

mkdir -p target/outside
step "Debian packages" install_debian
step "built dependencies" take_dependencies
# Waiting for the network goes beside compiling; the output comes when it is waited for.
(
    step "Python packages" install_python
    step "Node packages" install_node
) >target/outside/install.txt 2>&1 &
installing=$!
trap 'kill "$installing" 2>/dev/null || true' EXIT

# ---- the workspace's own tests ---------------------------------------------------------------------------

step "cargo fmt" cargo fmt --all --check
step "cargo clippy" cargo clippy --quiet --release --workspace --all-targets -- -D warnings
# Without the examples: the linter has read them, and those that the outside checks run are built below.
TESTS=(--quiet --release --workspace --lib --bins --tests)
step "compiling the tests" cargo test "${TESTS[@]}" --no-run
# Many tests are one long thread or wait for the disk: the other database and documentation go beside them, in this
# order, because documentation keeps the build folder to itself while it is made.
(
    step "store on PostgreSQL" python3 tests/outside/postgres.py \
        cargo test --quiet --release --workspace --test both --test crash --test chain --test backups --test tls
    step "cargo doc" env RUSTDOCFLAGS="-D warnings" cargo doc --quiet --release --no-deps --workspace
    step "tests in the documentation" cargo test --quiet --release --workspace --doc
) >target/outside/beside.txt 2>&1 &
beside=$!
trap 'kill "$installing" "$beside" 2>/dev/null || true' EXIT
step "cargo test" cargo test "${TESTS[@]}"
wait "$beside" || { cat target/outside/beside.txt; exit 1; }
cat target/outside/beside.txt
step "cargo build" python3 -c 'import sys; sys.path.insert(0, "tests/outside"); import common; common.build()'
step "built dependencies" keep_dependencies

# ---- what others say of our files and numbers ------------------------------------------------------------

wait "$installing" || { cat target/outside/install.txt; exit 1; }
cat target/outside/install.txt
printf '\n== outside checks\n'
from=$SECONDS
status=0
target/outside/venv/bin/python tests/outside/run.py | tee target/outside/log.txt || status=$?
printf -- '-- outside checks: %d s\n-- all: %d s\n' $((SECONDS - from)) $((SECONDS - began))
tail -n 1 target/outside/log.txt
exit "$status"
