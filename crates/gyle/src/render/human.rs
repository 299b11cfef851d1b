//! Findings for people, with the lines they are about.

use std::collections::HashMap;
use std::sync::Arc;

use ariadne::{CharSet, Color, Config, IndexType, Label, Report, ReportKind, Source};
use rayon::prelude::*;
use rules::Severity;
use syntax::Span;

use crate::args::Colour;
use crate::check::Checked;
use crate::output::Output;
use crate::render::Shown;

type Key = String;

/// Texts by the path they are shown under, each indexed once.
struct Texts {
    by_path: HashMap<Key, Source<Arc<str>>>,
}

impl ariadne::Cache<Key> for &mut Texts {
    type Storage = Arc<str>;

    fn fetch(&mut self, id: &Key) -> Result<&Source<Arc<str>>, impl core::fmt::Debug> {
        self.by_path.get(id).ok_or_else(|| format!("no text of {id}"))
    }

    fn display<'a>(&self, id: &'a Key) -> Option<impl core::fmt::Display + 'a> {
        Some(id.clone())
    }
}

/// A range that begins and ends at characters, as the drawing wants it, and is never empty where there is
/// text to show.
fn snapped(text: &str, span: Span) -> core::ops::Range<usize> {
    let down = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = down(span.start as usize);
    let mut end = down(span.end as usize).max(start);
    // A range over several lines is shown on its first.
    if let Some(line_end) = text[start..end].find(['\n', '\r']) {
        end = start + line_end;
    }
    if start == end {
        end += text[end..].chars().next().filter(|c| !matches!(c, '\n' | '\r')).map_or(0, char::len_utf8);
    }
    start..end
}

/// `gyle check`.
pub(crate) fn findings(checked: &Checked, colour: Colour, to_file: bool, output: &mut Output) {
    let terminal = !to_file && Output::is_terminal();
    let coloured = match colour {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()),
    };
    let config = Config::default()
        .with_index_type(IndexType::Byte)
        .with_color(coloured)
        .with_char_set(if terminal { CharSet::Unicode } else { CharSet::Ascii });
    // Drawn side by side, so many at a time that little of it waits to be written.
    for some in checked.findings.chunks(1024) {
        let drawn: Vec<String> =
            some.par_chunks(16).map(|findings| drawn_together(findings, coloured, config)).collect();
        for text in drawn {
            output.text(&text);
        }
    }
    for note in &checked.notes {
        output.line(&format!("note: {note}"));
    }
    output.line(&summary(checked));
}

/// `gyle check --statistics`: how often each rule spoke, the most frequent first.
pub(crate) fn statistics(checked: &Checked, output: &mut Output) {
    for row in checked.statistics() {
        let fixes = match row.fixes {
            0 => String::new(),
            some => format!("  {some} with a safe fix"),
        };
        output.line(format!("{:>6}  {:<36}{fixes}", row.findings, row.rule).trim_end());
    }
    output.line(&summary(checked));
}

/// Findings one after the other, those of one file with its text indexed once.
fn drawn_together(findings: &[Shown], coloured: bool, config: Config) -> String {
    let mut texts = Texts { by_path: HashMap::new() };
    let mut out = String::new();
    for one in findings {
        for file in core::iter::once(&one.file).chain(&one.related) {
            if !texts.by_path.contains_key(&file.path) {
                texts.by_path.insert(file.path.clone(), Source::from(Arc::clone(&file.text)));
            }
        }
        let drawn = drawn(one, &mut texts, config);
        if coloured {
            out.push_str(&drawn);
        } else {
            push_plain(&drawn, &mut out);
        }
        out.push('\n');
    }
    out
}

fn drawn(one: &Shown, texts: &mut Texts, config: Config) -> String {
    let finding = &one.finding;
    let path = &one.file.path;
    let tint = match finding.severity {
        Severity::Error => Color::Red,
        Severity::Warning => Color::Yellow,
        Severity::Hint => Color::Blue,
    };
    let range = snapped(&one.file.text, finding.span);
    let kind = ReportKind::Custom(finding.severity.word(), tint);
    let mut report = Report::build(kind, (path.clone(), range.clone()))
        .with_config(config)
        .with_code(finding.rule)
        .with_message(&finding.message)
        .with_label(Label::new((path.clone(), range)).with_color(tint).with_message("here"));
    for (place, file) in one.places() {
        let range = snapped(&file.text, place.span);
        report = report.with_label(
            Label::new((file.path.clone(), range)).with_color(Color::Cyan).with_message(&place.message),
        );
    }
    if !finding.help.is_empty() {
        report = report.with_help(&finding.help);
    }
    let fixes: Vec<String> = finding
        .fixes
        .iter()
        .map(|fix| if fix.safe { format!("{} (`--fix` does it)", fix.title) } else { fix.title.clone() })
        .collect();
    if !fixes.is_empty() {
        report = report.with_note(format!("can be mended: {}", fixes.join("; or ")));
    }
    let mut out = Vec::new();
    if report.finish().write(texts, &mut out).is_err() {
        return format!("{path}: {} {}: {}\n", finding.severity.word(), finding.rule, finding.message);
    }
    String::from_utf8_lossy(&out).into_owned()
}

fn counted(number: usize, one: &str) -> String {
    match number {
        0 => format!("no {one}s"),
        1 => format!("1 {one}"),
        many => format!("{many} {one}s"),
    }
}

/// The last line.
pub(crate) fn summary(checked: &Checked) -> String {
    let counts = checked.counts();
    let files = match checked.files.len() {
        0 => "no files checked".to_owned(),
        1 => "1 file checked".to_owned(),
        many => format!("{many} files checked"),
    };
    format!(
        "{files}: {}, {}, {}",
        counted(counts[2], "error"),
        counted(counts[1], "warning"),
        counted(counts[0], "hint")
    )
}

/// Adds text without colours. The title line of a report is coloured whatever its configuration says.
fn push_plain(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some(at) = rest.find("\u{1b}[") {
        out.push_str(&rest[..at]);
        let after = &rest[at + 2..];
        rest = after.find('m').map_or("", |end| &after[end + 1..]);
    }
    out.push_str(rest);
}
