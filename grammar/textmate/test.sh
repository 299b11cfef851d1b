#!/usr/bin/env bash
# Compares the TextMate grammar with the tree-sitter grammar over every .gyle file of the repository.
# Needs cargo; node 20 is installed where it is missing.
set -euo pipefail
cd "$(dirname "$0")"
target=$(realpath -m "${CARGO_TARGET_DIR:-../../target}")
bin=$(../../editors/node20 "$target/editors/node")
export PATH=$bin:$PATH
../../editors/fetch npm install --no-audit --no-fund --ignore-scripts
colours=$(mktemp)
trap 'rm -f "$colours"' EXIT
# As the whole test run builds it, so that nothing is built twice.
GYLE_COLOURS=$colours cargo test -q --workspace --locked --test grammar same_colours_in_the_corpus
GYLE_COLOURS=$colours node --test test.mjs
