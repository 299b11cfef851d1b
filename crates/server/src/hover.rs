//! What is said of a place.

use tower_lsp::lsp_types::{Hover, HoverContents, MarkupContent, MarkupKind, Position};
use workspace::FileState;

use crate::snapshot::{Snapshot, Text};

/// What is said of a position.
pub(crate) fn at(snapshot: &Snapshot, state: &FileState, text: &Text, position: Position) -> Option<Hover> {
    let analysis = snapshot.analysis(state.id)?;
    let found = ide::hover(&snapshot.workspace, &analysis, text.offset(position))?;
    let (kind, value) = if snapshot.client.markdown {
        (MarkupKind::Markdown, found.text)
    } else {
        (MarkupKind::PlainText, plain(&found.text))
    };
    let contents = HoverContents::Markup(MarkupContent { kind, value });
    Some(Hover { contents, range: Some(text.range(found.span)) })
}

/// Our own markdown for a client that shows text as it is.
fn plain(markdown: &str) -> String {
    let mut out = String::with_capacity(markdown.len());
    let mut fenced = false;
    for line in markdown.lines() {
        if line.starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            out.push_str(line);
        } else {
            let mut letters = line.chars().peekable();
            while let Some(letter) = letters.next() {
                match letter {
                    '\\' => out.extend(letters.next()),
                    '*' if letters.peek() == Some(&'*') => {
                        letters.next();
                    }
                    other => out.push(other),
                }
            }
        }
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_text_has_no_marks() {
        let markdown = "**og 1.048**, likely 1.046\n\n```text\n4 kg * 80 %\n```\n\n- a \\*b\\_c \\<d\\>";
        assert_eq!(plain(markdown), "og 1.048, likely 1.046\n\n4 kg * 80 %\n\n- a *b_c <d>");
    }
}
