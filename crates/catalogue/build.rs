//! Makes the index of names: one scan over the headers and alias lines of `data/*.gyle`. Anything that
//! cannot be indexed ends the build with its place.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write as _;
use std::{env, fs, path::Path};

#[path = "src/fold.rs"]
#[allow(dead_code, unreachable_pub)]
mod fold;

/// The kinds in the order of `Kind` in `src/lib.rs`.
const KINDS: [&str; 8] = ["malt", "sugar", "hop", "yeast", "water", "addition", "brewhouse", "style"];

struct Block {
    kind: usize,
    name: String,
    start: usize,
    end: usize,
    /// Written names: the header's first, then the aliases, with whether the alias is loose.
    names: Vec<(String, bool)>,
}

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=data");
    println!("cargo:rerun-if-changed=src/fold.rs");
    let data = Path::new(&env::var("CARGO_MANIFEST_DIR")?).join("data");
    let mut paths = Vec::new();
    for entry in fs::read_dir(&data)? {
        let path = entry?.path();
        if path.extension().is_some_and(|extension| extension == "gyle") {
            paths.push(path);
        }
    }
    paths.sort();

    let mut files = String::new();
    let mut index: Vec<BTreeMap<String, String>> = vec![BTreeMap::new(); KINDS.len()];
    let mut number = 0;
    for (file, path) in paths.iter().enumerate() {
        let file_name =
            path.file_name().and_then(|name| name.to_str()).ok_or("a data file has no readable name")?;
        let text = fs::read_to_string(path)?;
        writeln!(files, "    ({file_name:?}, include_str!({:?})),", path.display().to_string())?;
        for block in blocks(&text).map_err(|why| format!("{file_name}: {why}"))? {
            for (at, (written, loose)) in block.names.iter().enumerate() {
                let folded = fold::fold(written);
                let row = format!(
                    "Row {{ folded: {folded:?}, name: {:?}, written: {written:?}, file: {file}, start: {}, end: {}, number: {number}, loose: {loose}, alias: {} }}",
                    block.name,
                    block.start,
                    block.end,
                    at > 0,
                );
                if folded.is_empty() || index[block.kind].insert(folded, row).is_some() {
                    return Err(
                        format!("{file_name}: {} '{written}' is there twice", KINDS[block.kind]).into()
                    );
                }
            }
            number += 1;
        }
    }

    let mut out = String::new();
    writeln!(out, "pub(crate) static FILES: &[(&str, &str)] = &[\n{files}];")?;
    writeln!(out, "/// How many definitions there are.\npub const DEFINITIONS: usize = {number};")?;
    writeln!(out, "pub(crate) static INDEX: [&[Row]; {}] = [", KINDS.len())?;
    for rows in &index {
        writeln!(out, "    &[")?;
        for row in rows.values() {
            writeln!(out, "        {row},")?;
        }
        writeln!(out, "    ],")?;
    }
    writeln!(out, "];")?;
    fs::write(Path::new(&env::var("OUT_DIR")?).join("index.rs"), out)?;
    Ok(())
}

/// The definitions of one file. A block reaches from its header to the end of its last entry.
fn blocks(text: &str) -> Result<Vec<Block>, String> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut offset = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let start = offset;
        offset += line.len();
        let place = |why: &str| format!("line {}: {why}", number + 1);
        let bare = line.trim_end();
        let end = start + bare.len();
        if bare.is_empty() || bare.starts_with('#') {
            continue;
        }
        if bare.starts_with([' ', '\t']) {
            let block = blocks.last_mut().ok_or_else(|| place("an entry stands above the first header"))?;
            block.end = end;
            if let Some(rest) = bare.trim_start().strip_prefix("alias ") {
                let (name, after) = name(rest).ok_or_else(|| place("this alias cannot be read"))?;
                block.names.push((name, after.starts_with("[loose]")));
            }
            continue;
        }
        let (word, rest) = bare.split_once(' ').ok_or_else(|| place("a header without a name"))?;
        let kind = KINDS.iter().position(|kind| *kind == word).ok_or_else(|| place("an unknown kind"))?;
        let (name, _) = name(rest).ok_or_else(|| place("this name cannot be read"))?;
        blocks.push(Block { kind, name: name.clone(), start, end, names: vec![(name, false)] });
    }
    Ok(blocks)
}

/// The name at the start of a text and what follows it.
fn name(text: &str) -> Option<(String, &str)> {
    let text = text.trim_start();
    let (name, after) = match text.strip_prefix('"') {
        Some(quoted) => quoted.split_once('"')?,
        None => text.split_at(text.find(['[', '#']).unwrap_or(text.len())),
    };
    let name = name.trim();
    (!name.is_empty()).then(|| (name.to_owned(), after.trim_start()))
}
