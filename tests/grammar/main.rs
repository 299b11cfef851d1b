//! The grammars of the editors against the reader of the language.

mod colours;
mod tables;
mod textmate;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use tree_sitter::{Parser, StreamingIterator as _, Tree, TreeCursor};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every file in the language that the repository holds.
fn corpus() -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join("tests"), root().join("crates")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "gyle") {
                let text = fs::read_to_string(&path).expect("a text");
                found.push((path.display().to_string(), text));
            }
        }
    }
    found.sort();
    assert!(found.len() > 40, "the corpus is gone: {}", found.len());
    found
}

fn parser() -> Parser {
    let mut parser = Parser::new();
    parser.set_language(&tree_sitter_gyle::LANGUAGE.into()).expect("a grammar this library reads");
    parser
}

/// The lines on which the reader of the language finds something wrong.
fn faulty_lines(text: &str) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    for placed in syntax::parse(text).blocks {
        for fault in &placed.block.faults {
            // A place at the very end of a line belongs to it.
            let line = placed.block.lines.iter().position(|line| fault.span.start <= line.span.end);
            found.insert(placed.line as usize + line.unwrap_or(0));
        }
    }
    found
}

/// The lines that tree-sitter could not read.
fn error_lines(text: &str, tree: &Tree) -> BTreeSet<usize> {
    fn visit(cursor: &mut TreeCursor<'_>, visit_node: &mut impl FnMut(tree_sitter::Node<'_>)) {
        visit_node(cursor.node());
        if cursor.goto_first_child() {
            loop {
                visit(cursor, visit_node);
                if !cursor.goto_next_sibling() {
                    break;
                }
            }
            cursor.goto_parent();
        }
    }
    let ends = line_starts(text);
    let line_of = |byte: usize| ends.partition_point(|&start| start <= byte) - 1;
    let mut found = BTreeSet::new();
    visit(&mut tree.walk(), &mut |node| {
        if node.is_error() || node.is_missing() {
            let last = node.end_byte().max(node.start_byte() + 1) - 1;
            found.extend(line_of(node.start_byte())..=line_of(last));
        }
    });
    found
}

/// Line starts, with `\n`, `\r\n` and `\r` as line ends.
fn line_starts(text: &str) -> Vec<usize> {
    let bytes = text.as_bytes();
    let ends = (0..bytes.len()).filter(|&at| match bytes[at] {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    });
    std::iter::once(0).chain(ends.map(|at| at + 1)).collect()
}

fn compare(parser: &mut Parser, what: &str, text: &str) -> Option<String> {
    let tree = parser.parse(text, None).expect("a tree");
    let (faults, errors) = (faulty_lines(text), error_lines(text, &tree));
    let line = *faults.symmetric_difference(&errors).next()?;
    let starts = line_starts(text);
    let end = starts.get(line + 1).copied().unwrap_or(text.len());
    let rules: Vec<String> = syntax::parse(text)
        .blocks
        .iter()
        .flat_map(|placed| placed.block.faults.iter().map(|fault| fault.message.clone()))
        .collect();
    let side =
        if faults.contains(&line) { "only the reader objects to" } else { "only tree-sitter objects to" };
    Some(format!("{what}: {side} line {}: {:?} {rules:?}", line + 1, &text[starts[line]..end]))
}

fn assert_none(differences: &[String], of: usize) {
    assert!(
        differences.is_empty(),
        "{} of {of} differ:\n{}",
        differences.len(),
        differences[..differences.len().min(40)].join("\n")
    );
}

fn assert_current(path: &str, made: &str) {
    let path = root().join(path);
    if std::env::var_os("UPDATE_GRAMMAR").is_some() {
        fs::write(&path, made).expect("a file that can be written");
    }
    let found = fs::read_to_string(&path).unwrap_or_default();
    assert!(found == made, "run UPDATE_GRAMMAR=1 cargo test -p gyle-tests --test grammar");
}

#[test]
fn tables_of_the_scanner_are_current() {
    assert_current("grammar/tree-sitter/src/words.h", &tables::scanner_tables());
}

#[test]
fn tables_of_the_textmate_grammar_are_current() {
    assert_current("grammar/textmate/gyle.tmLanguage.json", &textmate::textmate());
}

/// With `GYLE_COLOURS` set to a file, the colours are written there for the test of the TextMate grammar.
#[test]
fn same_colours_in_the_corpus() {
    let mut parser = parser();
    let mut differences = Vec::new();
    let mut coloured = Vec::new();
    let files = corpus();
    for (path, text) in &files {
        let tree = parser.parse(text, None).expect("a tree");
        let found = colours::of_tree(text, tree.root_node());
        let wanted = colours::of_tokens(text);
        let errors = error_lines(text, &tree);
        let starts = line_starts(text);
        for (line, &start) in starts.iter().enumerate().filter(|(line, _)| !errors.contains(line)) {
            let end = starts.get(line + 1).copied().unwrap_or(text.len());
            // Blanks have no colour.
            let differs = |at: usize| found[at] != wanted[at] && !text.as_bytes()[at].is_ascii_whitespace();
            if (start..end).any(differs) {
                let show = |colours: &[u8]| String::from_utf8_lossy(&colours[start..end]).into_owned();
                differences.push(format!(
                    "{path}:{}\n{}{}\n{}",
                    line + 1,
                    &text[start..end],
                    show(&found),
                    show(&wanted)
                ));
            }
        }
        let lines: Vec<usize> = errors.into_iter().collect();
        coloured.push(serde_json::json!({
            "path": path, "text": text, "colours": String::from_utf8_lossy(&found), "broken": lines,
        }));
    }
    if let Some(path) = std::env::var_os("GYLE_COLOURS") {
        fs::write(path, serde_json::Value::from(coloured).to_string()).expect("a file that can be written");
    }
    assert_none(&differences, files.len());
}

#[test]
fn same_lines_are_wrong_in_the_corpus() {
    let mut parser = parser();
    let files = corpus();
    let differences: Vec<String> =
        files.iter().filter_map(|(path, text)| compare(&mut parser, path, text)).collect();
    assert_none(&differences, files.len());
}

/// Numbers that look random and are the same each time (xorshift).
struct Random(u64);

impl Random {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % most.max(1)
    }
}

/// What a slip of the keyboard, a paste or a merge makes of a file.
fn mutated(text: &str, random: &mut Random) -> String {
    const BITS: &[&str] = &[
        "#",
        "#= ",
        "\"",
        "[",
        "]",
        "(",
        ")",
        " ",
        ",",
        ".",
        "..",
        "-",
        "|",
        "?",
        "=",
        "\r",
        "\0",
        "\u{feff}",
        "\u{2212}",
        "\u{3000}",
        "\n",
        "\n  ",
        "\r\n",
        "at ",
        "to ",
        "for ",
        "5 g",
        "20 C",
        "1,5",
        "12",
        "%",
        " L",
        "ML",
        "wk",
        "\u{201c}",
        "\u{a0}",
        "\u{e9}",
        "\u{b1} 0.2",
        "alpha 4 %",
        " [leaf]",
        "let x = 2 * 3 g",
        "boil 60 min",
        "day 3",
        "10:05 ",
        "2026-03-14",
        "<<<<<<< ours\n",
        "? batch / 2",
        "recipe \"X\"",
        " < ",
        " in ",
        "^2",
        "1 lb 2 oz ",
        "\t",
        "/",
    ];
    let mut text = text.to_owned();
    for _ in 0..1 + random.below(4) {
        let places: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let at = random.below(places.len());
        let to = (at + random.below(6)).min(places.len() - 1);
        match random.below(4) {
            0 => text.replace_range(places[at]..places[to], ""),
            1 => text.insert_str(places[at], BITS[random.below(BITS.len())]),
            2 => text.replace_range(places[at]..places[to], BITS[random.below(BITS.len())]),
            _ => {
                let taken = text[places[at]..places[(at + 12).min(places.len() - 1)]].to_owned();
                let there = places[random.below(places.len())];
                text.insert_str(there, &taken);
            }
        }
    }
    text
}

#[test]
fn same_lines_are_wrong_in_mutated_files() {
    const FILES: usize = 5000;
    let files: Vec<(String, String)> = corpus().into_iter().filter(|(_, text)| text.len() < 6000).collect();
    let mut parser = parser();
    let mut random = Random(0x5a17_0a25);
    let mut differences = Vec::new();
    let mut wrong = 0;
    for number in 0..FILES {
        let (path, text) = &files[number % files.len()];
        let text = mutated(text, &mut random);
        wrong += usize::from(!faulty_lines(&text).is_empty());
        differences.extend(compare(&mut parser, path, &text));
    }
    assert!(wrong > FILES / 2, "the changes break too little: {wrong}");
    assert_none(&differences, FILES);
}

#[test]
fn an_edit_gives_the_tree_of_the_whole_text() {
    let files = corpus();
    let mut parser = parser();
    let mut random = Random(0x6d61_7273);
    let mut differences = Vec::new();
    for number in 0..600 {
        let (path, before) = &files[number % files.len()];
        if before.len() > 6000 {
            continue;
        }
        let after = mutated(before, &mut random);
        let same = |left: &[u8], right: &[u8]| left.iter().zip(right).take_while(|(a, b)| a == b).count();
        let boundary = |at: usize| before.is_char_boundary(at) && after.is_char_boundary(at);
        let mut start = same(before.as_bytes(), after.as_bytes());
        while !boundary(start) {
            start -= 1;
        }
        // What is the same at the end is left out, so that the tree behind the change is used again.
        let most = before.len().min(after.len()) - start;
        let tail =
            before.bytes().rev().zip(after.bytes().rev()).take(most).take_while(|(a, b)| a == b).count();
        let (mut old, mut new) = (before.len() - tail, after.len() - tail);
        while !(before.is_char_boundary(old) && after.is_char_boundary(new)) {
            (old, new) = (old + 1, new + 1);
        }
        let edit = tree_sitter::InputEdit {
            start_byte: start,
            old_end_byte: old,
            new_end_byte: new,
            start_position: point(before, start),
            old_end_position: point(before, old),
            new_end_position: point(&after, new),
        };
        let mut tree = parser.parse(before, None).expect("a tree");
        tree.edit(&edit);
        let edited = parser.parse(&after, Some(&tree)).expect("a tree");
        let whole = parser.parse(&after, None).expect("a tree");
        if edited.root_node().to_sexp() != whole.root_node().to_sexp() {
            differences.push(path.clone());
        }
    }
    assert_none(&differences, 600);
}

fn point(text: &str, at: usize) -> tree_sitter::Point {
    let before = &text[..at];
    let line = before.rfind('\n').map_or(0, |end| end + 1);
    tree_sitter::Point { row: before.matches('\n').count(), column: at - line }
}

#[test]
fn queries_are_of_this_grammar_and_find_something() {
    let language = tree_sitter_gyle::LANGUAGE.into();
    let text = "# a\nlet x = 2\nrecipe \"X\"\n  ? x\nboil 60 min\n  20 g Fuggle [alpha 4 %, leaf] at 5 min\n";
    let tree = parser().parse(text, None).expect("a tree");
    let folder = root().join("grammar/tree-sitter/queries");
    let files: Vec<PathBuf> =
        fs::read_dir(folder).expect("a folder").flatten().map(|file| file.path()).collect();
    assert!(files.len() >= 6, "{files:?}");
    for file in files {
        let query = tree_sitter::Query::new(&language, &fs::read_to_string(&file).expect("a text"));
        let query = query.unwrap_or_else(|error| unreachable!("{}: {error}", file.display()));
        let mut cursor = tree_sitter::QueryCursor::new();
        let mut found = cursor.captures(&query, tree.root_node(), text.as_bytes());
        assert!(found.next().is_some(), "{} finds nothing", file.display());
    }
}
