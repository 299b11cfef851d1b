#!/usr/bin/env bash
# Compares the TextMate grammar with the tree-sitter grammar over every .gyle file of the repository.
# Needs cargo, node 20 and npm.
set -euo pipefail
cd "$(dirname "$0")"
npm install --silent --no-audit --no-fund --ignore-scripts
colours=$(mktemp)
trap 'rm -f "$colours"' EXIT
GYLE_COLOURS=$colours cargo test -q -p gyle-tests --test grammar same_colours_in_the_corpus
GYLE_COLOURS=$colours node --test test.mjs
