//! What is advertised is served, and what is served is advertised.
#![allow(clippy::unwrap_used, clippy::panic)]

mod support;

use serde_json::{Value, json};
use support::Client;

const URI: &str = "file:///r/a.gyle";
const TEXT: &str = "recipe \"Größe\"\n  batch 20 L\ngrist\n  4.5 kg pale ale malt # é\n";

/// Every request a client may send, where its capability stands, and params for it.
fn requests() -> Vec<(&'static str, &'static str, Value)> {
    let document = json!({"uri": URI});
    let at = json!({"textDocument": document, "position": {"line": 3, "character": 4}});
    let range = json!({"start": {"line": 0, "character": 0}, "end": {"line": 3, "character": 4}});
    let whole = json!({"textDocument": document});
    let ranged = json!({"textDocument": document, "range": range});
    let options = json!({"tabSize": 2, "insertSpaces": true});
    let with = |base: &Value, more: Value| {
        let mut base = base.clone();
        for (key, value) in more.as_object().unwrap() {
            base[key] = value.clone();
        }
        base
    };
    let item = json!({"name": "x", "kind": 1, "uri": URI, "range": range, "selectionRange": range});
    vec![
        ("textDocument/hover", "hoverProvider", at.clone()),
        ("textDocument/completion", "completionProvider", at.clone()),
        ("completionItem/resolve", "completionProvider/resolveProvider", json!({"label": "x"})),
        ("textDocument/signatureHelp", "signatureHelpProvider", at.clone()),
        ("textDocument/declaration", "declarationProvider", at.clone()),
        ("textDocument/definition", "definitionProvider", at.clone()),
        ("textDocument/typeDefinition", "typeDefinitionProvider", at.clone()),
        ("textDocument/implementation", "implementationProvider", at.clone()),
        (
            "textDocument/references",
            "referencesProvider",
            with(&at, json!({"context": {"includeDeclaration": true}})),
        ),
        ("textDocument/documentHighlight", "documentHighlightProvider", at.clone()),
        ("textDocument/documentSymbol", "documentSymbolProvider", whole.clone()),
        (
            "textDocument/codeAction",
            "codeActionProvider",
            with(&ranged, json!({"context": {"diagnostics": []}})),
        ),
        ("codeAction/resolve", "codeActionProvider/resolveProvider", json!({"title": "x"})),
        ("textDocument/codeLens", "codeLensProvider", whole.clone()),
        ("codeLens/resolve", "codeLensProvider/resolveProvider", json!({"range": range})),
        ("textDocument/documentLink", "documentLinkProvider", whole.clone()),
        ("documentLink/resolve", "documentLinkProvider/resolveProvider", json!({"range": range})),
        ("textDocument/documentColor", "colorProvider", whole.clone()),
        (
            "textDocument/colorPresentation",
            "colorProvider",
            with(&ranged, json!({"color": {"red": 0, "green": 0, "blue": 0, "alpha": 1}})),
        ),
        ("textDocument/formatting", "documentFormattingProvider", with(&whole, json!({"options": options}))),
        (
            "textDocument/rangeFormatting",
            "documentRangeFormattingProvider",
            with(&ranged, json!({"options": options})),
        ),
        (
            "textDocument/onTypeFormatting",
            "documentOnTypeFormattingProvider",
            with(&at, json!({"ch": "\n", "options": options})),
        ),
        ("textDocument/rename", "renameProvider", with(&at, json!({"newName": "y"}))),
        ("textDocument/prepareRename", "renameProvider/prepareProvider", at.clone()),
        ("textDocument/foldingRange", "foldingRangeProvider", whole.clone()),
        (
            "textDocument/selectionRange",
            "selectionRangeProvider",
            with(&whole, json!({"positions": [{"line": 3, "character": 4}]})),
        ),
        ("textDocument/linkedEditingRange", "linkedEditingRangeProvider", at.clone()),
        ("textDocument/prepareCallHierarchy", "callHierarchyProvider", at.clone()),
        ("callHierarchy/incomingCalls", "callHierarchyProvider", json!({"item": item})),
        ("textDocument/prepareTypeHierarchy", "typeHierarchyProvider", at.clone()),
        ("textDocument/semanticTokens/full", "semanticTokensProvider/full", whole.clone()),
        (
            "textDocument/semanticTokens/full/delta",
            "semanticTokensProvider/full/delta",
            with(&whole, json!({"previousResultId": "1"})),
        ),
        ("textDocument/semanticTokens/range", "semanticTokensProvider/range", ranged.clone()),
        ("textDocument/moniker", "monikerProvider", at),
        ("textDocument/inlayHint", "inlayHintProvider", ranged.clone()),
        (
            "inlayHint/resolve",
            "inlayHintProvider/resolveProvider",
            json!({"position": {"line": 0, "character": 0}, "label": "x"}),
        ),
        (
            "textDocument/inlineValue",
            "inlineValueProvider",
            with(&ranged, json!({"context": {"frameId": 1, "stoppedLocation": range}})),
        ),
        ("textDocument/diagnostic", "diagnosticProvider", whole),
        ("workspace/diagnostic", "diagnosticProvider/workspaceDiagnostics", json!({"previousResultIds": []})),
        ("workspace/symbol", "workspaceSymbolProvider", json!({"query": ""})),
        (
            "workspaceSymbol/resolve",
            "workspaceSymbolProvider/resolveProvider",
            json!({"name": "x", "kind": 1, "location": {"uri": URI, "range": range}}),
        ),
        ("workspace/executeCommand", "executeCommandProvider", json!({"command": "x"})),
        ("workspace/willCreateFiles", "workspace/fileOperations/willCreate", json!({"files": []})),
        ("workspace/willRenameFiles", "workspace/fileOperations/willRename", json!({"files": []})),
        ("workspace/willDeleteFiles", "workspace/fileOperations/willDelete", json!({"files": []})),
    ]
}

fn is_on(capabilities: &Value, place: &str) -> bool {
    match capabilities.pointer(&format!("/{place}")) {
        None | Some(Value::Null | Value::Bool(false)) => false,
        Some(_) => true,
    }
}

#[test]
fn each_capability_has_a_handler_and_each_handler_a_capability() {
    let mut client = Client::start(&[]);
    let capabilities = json!({"textDocument": {"diagnostic": {}}, "workspace": {"applyEdit": true}});
    let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities});
    let capabilities = client.request("initialize", params)["capabilities"].clone();
    client.notify("initialized", json!({}));
    client.open(URI, TEXT);
    let mut known: Vec<&str> = vec!["textDocumentSync", "positionEncoding", "workspace"];
    for (method, place, params) in requests() {
        let id = client.ask(method, params);
        let answer = client.response(id);
        let served = answer["error"]["code"] != json!(-32601);
        assert_ne!(answer["error"]["code"], json!(-32602), "{method}: {answer}");
        assert_eq!(served, is_on(&capabilities, place), "{method} and {place}: {answer}");
        known.push(place.split('/').next().unwrap());
    }
    for (name, value) in capabilities.as_object().unwrap() {
        assert!(known.contains(&name.as_str()), "{name} is advertised and not tried here: {value}");
    }
    assert_eq!(client.end(), 0);
}

#[test]
fn diagnostics_are_pushed_or_pulled() {
    for (capabilities, pulls) in [(json!({}), false), (json!({"textDocument": {"diagnostic": {}}}), true)] {
        let mut client = Client::start(&[]);
        let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities});
        let advertised = client.request("initialize", params)["capabilities"].clone();
        assert_eq!(is_on(&advertised, "diagnosticProvider"), pulls);
        client.notify("initialized", json!({}));
        client.open(URI, TEXT);
        client.change(URI, 2, json!([{"text": TEXT}]));
        let messages = client.collect(std::time::Duration::from_millis(500));
        let pushed =
            messages.iter().filter(|one| one["method"] == json!("textDocument/publishDiagnostics")).count();
        assert_eq!(pushed > 0, !pulls, "{messages:?}");
        assert_eq!(client.end(), 0);
    }
}
