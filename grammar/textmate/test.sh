#!/usr/bin/env bash
# Compares the TextMate grammar with the tree-sitter grammar over every .gyle file of the repository.
# Needs cargo, node 20 and npm.
set -euo pipefail
cd "$(dirname "$0")"
command -v node >/dev/null && command -v npm >/dev/null || { echo "missing: node 20 with npm" >&2; exit 2; }
npm install --silent --no-audit --no-fund --ignore-scripts
colours=$(mktemp)
trap 'rm -f "$colours"' EXIT
# As the whole test run builds it, so that nothing is built twice.
GYLE_COLOURS=$colours cargo test -q --workspace --locked --test grammar same_colours_in_the_corpus
GYLE_COLOURS=$colours node --test test.mjs
