//! Paths and addresses that lead elsewhere.

use recipe::FileId;
use syntax::Span;
use syntax::vocabulary::Keyword;
use workspace::Workspace;

use crate::names::{Target, mentions};

/// A place that leads somewhere else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The words, in bytes of the file.
    pub span: Span,
    /// Where they lead.
    pub to: LinkTo,
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkTo {
    /// To a file of the workspace.
    File(FileId),
    /// To an address written on a `link` line.
    Address(String),
}

/// Links of a file: paths, and addresses on `link` lines.
#[must_use]
pub fn links(workspace: &Workspace, file: FileId) -> Vec<Link> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let paths = mentions(workspace, state).into_iter().filter_map(|mention| match mention.target {
        Target::File(to) => Some(Link { span: mention.span, to: LinkTo::File(to) }),
        _ => None,
    });
    let addresses = state.tree.blocks.iter().flat_map(|placed| {
        let entries = placed
            .block
            .entries()
            .filter(|(_, entry)| entry.keyword.is_some_and(|word| word.node == Keyword::Link));
        entries.filter_map(|(_, entry)| {
            let span = entry.text()?;
            let text = placed.block.slice(span);
            let is_address = ["https://", "http://"].iter().any(|scheme| text.starts_with(scheme));
            let to = LinkTo::Address(text.to_owned());
            (is_address && !text.contains(char::is_whitespace))
                .then(|| Link { span: span.shift(placed.start), to })
        })
    });
    let mut links: Vec<Link> = paths.chain(addresses).collect();
    links.sort_by_key(|link| link.span);
    links
}

#[cfg(test)]
mod tests {
    use crate::fixture::{Fixture, OTHER};

    use super::*;

    #[test]
    fn links_lead_to_files_and_addresses() {
        let fixture = Fixture::with(
            "# é\nuse \"b.gyle\"\nuse \"none.gyle\"\nrecipe \"É\"\n  link https://example.org/é\n",
            &[OTHER],
        );
        let text = fixture.text();
        let found: Vec<(&str, bool)> = links(&fixture.workspace, fixture.file)
            .iter()
            .map(|link| (link.span.of(&text), matches!(link.to, LinkTo::File(_))))
            .collect();
        assert_eq!(found, [("b.gyle", true), ("https://example.org/é", false)]);
    }
}
