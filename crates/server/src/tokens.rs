//! Semantic tokens: the classes of words, as the protocol counts them.

use std::collections::HashMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

use ide::{Token, TokenClass};
use syntax::Span;
use syntax::vocabulary::BlockKind;
use tower_lsp::lsp_types::{
    SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens, SemanticTokensDelta,
    SemanticTokensEdit, SemanticTokensFullDeltaResult, SemanticTokensFullOptions, SemanticTokensLegend,
    SemanticTokensOptions, SemanticTokensServerCapabilities, Url,
};
use workspace::FileState;

use crate::snapshot::{Snapshot, Text};

/// The types, all of them the protocol's own, so that every theme has colours for them.
const TYPES: [SemanticTokenType; 17] = [
    SemanticTokenType::COMMENT,
    SemanticTokenType::STRING,
    SemanticTokenType::NUMBER,
    SemanticTokenType::TYPE,
    SemanticTokenType::KEYWORD,
    SemanticTokenType::FUNCTION,
    SemanticTokenType::OPERATOR,
    SemanticTokenType::PROPERTY,
    SemanticTokenType::DECORATOR,
    SemanticTokenType::VARIABLE,
    SemanticTokenType::CLASS,
    SemanticTokenType::STRUCT,
    SemanticTokenType::INTERFACE,
    SemanticTokenType::ENUM,
    SemanticTokenType::MACRO,
    SemanticTokenType::NAMESPACE,
    SemanticTokenType::EVENT,
];

const MODIFIERS: [SemanticTokenModifier; 4] = [
    SemanticTokenModifier::DECLARATION,
    SemanticTokenModifier::READONLY,
    SemanticTokenModifier::DOCUMENTATION,
    SemanticTokenModifier::DEFAULT_LIBRARY,
];

/// What is advertised.
pub(crate) fn provider() -> SemanticTokensServerCapabilities {
    SemanticTokensServerCapabilities::SemanticTokensOptions(SemanticTokensOptions {
        legend: SemanticTokensLegend { token_types: TYPES.to_vec(), token_modifiers: MODIFIERS.to_vec() },
        range: Some(true),
        full: Some(SemanticTokensFullOptions::Delta { delta: Some(true) }),
        ..SemanticTokensOptions::default()
    })
}

/// Type and modifier of a class, beside what a token says of itself.
fn type_of(class: TokenClass) -> (SemanticTokenType, Option<SemanticTokenModifier>) {
    use SemanticTokenModifier as M;
    use SemanticTokenType as T;
    match class {
        TokenClass::Comment => (T::COMMENT, None),
        TokenClass::Stamp => (T::COMMENT, Some(M::DOCUMENTATION)),
        TokenClass::Prose => (T::STRING, Some(M::DOCUMENTATION)),
        TokenClass::Quoted | TokenClass::Text => (T::STRING, None),
        TokenClass::Number => (T::NUMBER, None),
        TokenClass::Unit => (T::TYPE, None),
        TokenClass::BlockWord => (T::KEYWORD, None),
        TokenClass::EntryWord => (T::FUNCTION, Some(M::DEFAULT_LIBRARY)),
        TokenClass::Function => (T::FUNCTION, None),
        TokenClass::ClauseWord | TokenClass::Operator => (T::OPERATOR, None),
        TokenClass::Property => (T::PROPERTY, None),
        TokenClass::Flag => (T::DECORATOR, None),
        TokenClass::Figure => (T::VARIABLE, Some(M::DEFAULT_LIBRARY)),
        TokenClass::Let => (T::VARIABLE, Some(M::READONLY)),
        TokenClass::Name => (T::VARIABLE, None),
        TokenClass::Definition(kind) => match kind {
            BlockKind::Malt => (T::CLASS, None),
            BlockKind::Sugar => (T::STRUCT, None),
            BlockKind::Hop => (T::INTERFACE, None),
            BlockKind::Yeast => (T::ENUM, None),
            BlockKind::Addition => (T::MACRO, None),
            // Water, styles and brewhouses: what the beer is made within.
            _ => (T::NAMESPACE, None),
        },
        TokenClass::Log => (T::EVENT, None),
    }
}

fn index_of<T: PartialEq>(legend: &[T], one: &T) -> u32 {
    legend.iter().position(|known| known == one).and_then(|at| u32::try_from(at).ok()).unwrap_or(0)
}

/// Tokens counted from one to the next; what goes over several lines is parted, since many clients take it so
/// only.
fn encoded(tokens: &[Token], text: &Text) -> Vec<SemanticToken> {
    let mut out = Vec::with_capacity(tokens.len());
    let (mut line, mut column) = (0, 0);
    for token in tokens {
        let (kind, modifier) = type_of(token.class);
        let mut bits = modifier.map_or(0, |modifier| 1 << index_of(&MODIFIERS, &modifier));
        if token.declares {
            bits |= 1 << index_of(&MODIFIERS, &SemanticTokenModifier::DECLARATION);
        }
        if token.built_in {
            bits |= 1 << index_of(&MODIFIERS, &SemanticTokenModifier::DEFAULT_LIBRARY);
        }
        let mut rest = token.span;
        while !rest.is_empty() {
            let written = rest.of(&text.text);
            let first = written.find(['\r', '\n']).unwrap_or(written.len());
            let end = rest.start + u32::try_from(first).unwrap_or(0);
            let at = text.position(rest.start);
            let length = text.position(end).character.saturating_sub(at.character);
            if length > 0 {
                out.push(SemanticToken {
                    delta_line: at.line - line,
                    delta_start: if at.line == line { at.character - column } else { at.character },
                    length,
                    token_type: index_of(&TYPES, &kind),
                    token_modifiers_bitset: bits,
                });
                (line, column) = (at.line, at.character);
            }
            let ends = written.get(first..).unwrap_or("");
            let skipped = ends.len() - ends.trim_start_matches(['\r', '\n']).len();
            rest = Span::new(end + u32::try_from(skipped).unwrap_or(0), rest.end);
        }
    }
    out
}

/// The tokens of a range.
pub(crate) fn within(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    within: Span,
) -> Vec<SemanticToken> {
    encoded(&ide::tokens(&snapshot.workspace, state.id, within), text)
}

/// The tokens that clients have of whole documents, to tell them what has changed.
#[derive(Default)]
pub(crate) struct Given {
    last: AtomicU64,
    of: Mutex<HashMap<Url, (String, Vec<SemanticToken>)>>,
}

impl Given {
    /// Forgets a document that was closed.
    pub(crate) fn close(&self, uri: &Url) {
        if let Ok(mut of) = self.of.lock() {
            of.remove(uri);
        }
    }

    /// All tokens of a document.
    pub(crate) fn full(&self, uri: Url, data: Vec<SemanticToken>) -> SemanticTokens {
        let result_id = self.last.fetch_add(1, Ordering::Relaxed).to_string();
        if let Ok(mut of) = self.of.lock() {
            of.insert(uri, (result_id.clone(), data.clone()));
        }
        SemanticTokens { result_id: Some(result_id), data }
    }

    /// What has changed since a result, or all where that is not the last one.
    pub(crate) fn since(
        &self,
        uri: Url,
        before: &str,
        data: Vec<SemanticToken>,
    ) -> SemanticTokensFullDeltaResult {
        let known = self.of.lock().ok().and_then(|mut of| of.remove(&uri));
        let old = known.filter(|(id, _)| id == before).map(|(_, old)| old);
        let edits = old.map(|old| changed(&old, &data));
        let all = self.full(uri, data);
        match edits {
            Some(edits) => SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta {
                result_id: all.result_id,
                edits,
            }),
            None => SemanticTokensFullDeltaResult::Tokens(all),
        }
    }
}

/// One edit from the first token that is another to the last.
fn changed(old: &[SemanticToken], new: &[SemanticToken]) -> Vec<SemanticTokensEdit> {
    let start = old.iter().zip(new).take_while(|(old, new)| old == new).count();
    let (old, new) = (old.get(start..).unwrap_or_default(), new.get(start..).unwrap_or_default());
    let end = old.iter().rev().zip(new.iter().rev()).take_while(|(old, new)| old == new).count();
    let (gone, come) = (old.len() - end, new.get(..new.len() - end).unwrap_or_default());
    if gone == 0 && come.is_empty() {
        return Vec::new();
    }
    // Counted in numbers, of which a token has five.
    let numbers = |tokens: usize| u32::try_from(tokens * 5).unwrap_or(u32::MAX);
    vec![SemanticTokensEdit { start: numbers(start), delete_count: numbers(gone), data: Some(come.to_vec()) }]
}

#[cfg(test)]
mod tests {
    use syntax::Encoding;

    use super::*;

    #[test]
    fn columns_are_counted_as_asked_and_lines_are_parted() {
        let text = "🌾é \"a\r\nüb\"\r\n\r\nx";
        let token =
            Token { span: Span::new(7, 15), class: TokenClass::Quoted, declares: false, built_in: false };
        for (encoding, column, second) in
            [(Encoding::Utf8, 7, 4), (Encoding::Utf16, 4, 3), (Encoding::Utf32, 3, 3)]
        {
            let made = encoded(&[token], &Text::new(text.into(), encoding));
            let seen: Vec<[u32; 3]> =
                made.iter().map(|one| [one.delta_line, one.delta_start, one.length]).collect();
            assert_eq!(seen, [[0, column, 2], [1, 0, second]], "{encoding:?}");
        }
    }

    #[test]
    fn a_change_is_one_edit_that_makes_the_new_of_the_old() {
        let token = |length| SemanticToken {
            delta_line: 1,
            delta_start: 2,
            length,
            token_type: 0,
            token_modifiers_bitset: 0,
        };
        let list = |lengths: &[u32]| lengths.iter().map(|length| token(*length)).collect::<Vec<_>>();
        for (old, new) in [
            (&[1, 2, 3][..], &[1, 2, 3][..]),
            (&[1, 2, 3], &[1, 3]),
            (&[1, 1], &[1, 1, 1]),
            (&[], &[1]),
            (&[1, 2, 3], &[4, 2, 5]),
            (&[1], &[]),
        ] {
            let (mut tokens, new) = (list(old), list(new));
            let edits = changed(&tokens, &new);
            assert_eq!(edits.is_empty(), tokens == new);
            for edit in edits {
                let start = edit.start as usize / 5;
                let range = start..start + edit.delete_count as usize / 5;
                tokens.splice(range, edit.data.unwrap_or_default());
            }
            assert_eq!(tokens, new);
        }
    }
}
