//! Markdown fixtures: prose, texts, and what is found in them marked on the line under it.
//!
//! A block ```` ```toml ```` is the `gyle.toml` of the texts below it; a block ```` ```gyle ```` is a text. Under a line
//! stand its findings: `^^^^ warning rule-id`, as wide as the place. `GYLE_WRITE` writes them anew; read what it writes.

use std::path::Path;

use crate::bench::Bench;

/// Whether a line marks a finding of the line above it.
fn is_marker(line: &str) -> bool {
    line.trim_start().starts_with('^')
}

/// The text with a marker under each line that something was found on.
fn marked(text: &str, config: &str) -> String {
    let bench = Bench::new(text, config);
    let mut findings = bench.findings();
    findings.sort_by_key(|finding| (finding.span.start, finding.rule));
    let mut out = String::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        out.push_str(line);
        if !line.ends_with('\n') {
            out.push('\n');
        }
        let end = start + line.len();
        for finding in &findings {
            let from = finding.span.start as usize;
            if !(start..end).contains(&from) {
                continue;
            }
            let width =
                |bytes: std::ops::Range<usize>| text.get(bytes).map_or(0, |part| part.chars().count());
            let to = (finding.span.end as usize).min(start + line.trim_end().len()).max(from + 1);
            out.push_str(&" ".repeat(width(start..from)));
            out.push_str(&"^".repeat(width(from..to).max(1)));
            out.push_str(&format!(" {} {}\n", finding.severity.word(), finding.rule));
        }
        start = end;
    }
    out
}

/// A fixture with its markers as they should be.
fn current(fixture: &str) -> String {
    let mut out = String::new();
    let mut config = String::new();
    let mut lines = fixture.split_inclusive('\n');
    while let Some(line) = lines.next() {
        out.push_str(line);
        let kind = line.trim_end();
        if kind != "```gyle" && kind != "```toml" {
            continue;
        }
        let body: String = lines.by_ref().take_while(|line| line.trim_end() != "```").collect();
        if kind == "```toml" {
            config.clone_from(&body);
            out.push_str(&body);
        } else {
            let text: String = body.split_inclusive('\n').filter(|line| !is_marker(line)).collect();
            out.push_str(&marked(&text, &config));
        }
        out.push_str("```\n");
    }
    out
}

#[test]
fn fixtures_say_what_is_found() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/fixtures");
    let mut seen = 0;
    let mut paths: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let text = std::fs::read_to_string(&path).unwrap();
        let now = current(&text);
        if std::env::var_os("GYLE_WRITE").is_some() {
            std::fs::write(&path, &now).unwrap();
        }
        let old = std::fs::read_to_string(&path).unwrap();
        let differs = old.lines().zip(now.lines()).find(|(old, now)| old != now);
        assert!(old == now, "{}: {differs:#?}", path.display());
        seen += 1;
    }
    assert!(seen > 0, "no fixtures in {}", folder.display());
}
