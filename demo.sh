#!/usr/bin/env bash
# Builds Handrail and opens an invented clinic: bash demo.sh [OPTIONS OF `handrail demo`]
# Needs a Rust toolchain; what else the build needs is installed by apt (as root).
set -euo pipefail
cd "$(dirname "$0")"
. tests/packages.sh
install_packages gcc libc6-dev pkg-config libssl-dev
exec cargo run --release --quiet -p handrail-cli -- demo "$@"
