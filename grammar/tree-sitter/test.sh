#!/usr/bin/env bash
# The grammar's own samples, and its build for the web, loaded in web-tree-sitter.
# Needs cargo; node 20, and for the web clang 19 with the libraries of WASI, are installed where they are missing.
set -euo pipefail
cd "$(dirname "$0")"
target=$(realpath -m "${CARGO_TARGET_DIR:-../../target}")
folder=$target/editors/tree-sitter
version=0.27.1
../../editors/need 'command -v clang-19 && command -v wasm-ld-19 && [ -e /usr/lib/wasm32-wasi/libc.a ]' clang-19 lld-19 wasi-libc
bin=$(../../editors/node20 "$target/editors/node")
export PATH=$bin:$PATH
mkdir -p "$folder/wasi/bin" "$folder/binaryen/bin"
cli=${TREE_SITTER:-$folder/bin/tree-sitter}
[ -x "$cli" ] ||
  CARGO_TARGET_DIR=$folder/build CARGO_PROFILE_DEV_DEBUG=0 \
    ../../editors/fetch cargo install -q --debug tree-sitter-cli --version "$version" --locked --no-default-features --root "$folder" ||
  { echo "cargo install tree-sitter-cli@$version failed; else set TREE_SITTER to one" >&2; exit 2; }
"$cli" test
# The command line would fetch a compiler; it takes the system's, which spells the target otherwise.
cat >"$folder/wasi/bin/clang" <<'CLANG'
#!/bin/sh
for word; do
  shift
  case $word in
    --target=wasm32-wasip1) set -- "$@" --target=wasm32-unknown-wasi ;;
    --no-wasm-opt) ;;
    *) set -- "$@" "$word" ;;
  esac
done
exec clang-19 --sysroot=/usr "$@"
CLANG
# Nothing is made smaller.
printf '#!/bin/sh\nexit 0\n' >"$folder/binaryen/bin/wasm-opt"
chmod +x "$folder/wasi/bin/clang" "$folder/binaryen/bin/wasm-opt"
TREE_SITTER_WASI_SDK_PATH=$folder/wasi TREE_SITTER_BINARYEN_PATH=$folder/binaryen \
  "$cli" build --wasm -o "$folder/tree-sitter-gyle.wasm" .
# In the folder and not by --prefix, with which npm leaves the settings of the machine unread.
echo '{"private": true}' >"$folder/package.json"
(fetch=$PWD/../../editors/fetch && cd "$folder" && "$fetch" npm install --no-audit --no-fund --ignore-scripts web-tree-sitter@0.27.2)
GYLE_WEB=$folder node --test test/web.mjs
