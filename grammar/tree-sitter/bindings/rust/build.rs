//! Builds the generated parser and its scanner.

fn main() {
    let files = ["src/parser.c", "src/scanner.c"];
    cc::Build::new()
        .std("c11")
        .include("src")
        .warnings(false)
        .opt_level(2)
        .files(files)
        .compile("tree-sitter-gyle");
    for file in files.iter().chain(&["src/words.h"]) {
        println!("cargo:rerun-if-changed={file}");
    }
}
