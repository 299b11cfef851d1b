//! What the editor's user has set.

use serde_json::Value;

/// Settings of the editor; those of the house stand in its `gyle.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Settings {
    /// Hints are shown at all.
    pub(crate) hints: bool,
    /// Kinds of hint that are switched off.
    pub(crate) hints_off: Vec<String>,
    /// Files of the repository that are not open are checked as well.
    pub(crate) whole_repository: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self { hints: true, hints_off: Vec::new(), whole_repository: true }
    }
}

impl Settings {
    /// Reads `{"hints": {"enabled": true, "grist": false, …}, "diagnostics": {"scope": "open"}}`, below
    /// `gyle` or at the top. What is missing or of another type stays at its default.
    pub(crate) fn read(value: &Value) -> Self {
        let value = value.get("gyle").unwrap_or(value);
        let mut settings = Self::default();
        if let Some(hints) = value.get("hints") {
            if let Some(on) = hints.as_bool() {
                settings.hints = on;
            }
            for (kind, on) in hints.as_object().into_iter().flatten() {
                match (kind.as_str(), on.as_bool()) {
                    ("enabled", Some(on)) => settings.hints = on,
                    (kind, Some(false)) => settings.hints_off.push(kind.to_owned()),
                    _ => {}
                }
            }
        }
        if let Some(scope) = value.pointer("/diagnostics/scope").and_then(Value::as_str) {
            settings.whole_repository = scope != "open";
        }
        settings
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn reads_what_is_there_and_keeps_the_rest() {
        let plain = Settings::default();
        let cases = [
            (json!(null), plain.clone()),
            (
                json!({"gyle": {"hints": {"grist": false}}}),
                Settings { hints_off: vec!["grist".into()], ..plain.clone() },
            ),
            (json!({"hints": false}), Settings { hints: false, ..plain.clone() }),
            (json!({"hints": {"enabled": false}}), Settings { hints: false, ..plain.clone() }),
            (
                json!({"diagnostics": {"scope": "open"}}),
                Settings { whole_repository: false, ..plain.clone() },
            ),
            (json!({"hints": 3, "diagnostics": []}), plain.clone()),
        ];
        for (value, expected) in cases {
            assert_eq!(Settings::read(&value), expected, "{value}");
        }
    }
}
