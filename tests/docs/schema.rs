//! The schema of `gyle.toml`, for editors: made from the tables it is read by, and of one mind with the reader.

use gyle_tests::{current, read, root};
use rules::Level;
use serde_json::{Map, Value, json};
use workspace::{Config, Setting, SettingValue, settings};

const PATH: &str = "crates/gyle/docs/gyle-toml.schema.json";

const LEVELS: &str = "check.rules";
const PARTIAL: &str = "check.override.rules";

/// What a setting may be.
fn form(setting: &Setting) -> Value {
    let mut form = match &setting.value {
        // The same for some hundred rules.
        SettingValue::Word(_) if setting.section.ends_with("rules") => json!({"$ref": "#/$defs/level"}),
        SettingValue::Word(words) => json!({"enum": words}),
        SettingValue::Factor => json!({"type": "number", "minimum": 0}),
        SettingValue::Patterns => json!({"type": "array", "items": {"type": "string"}}),
        SettingValue::Limit(default) => json!({"type": ["string", "number"], "examples": [default]}),
    };
    form["description"] = json!(setting.doc);
    form
}

fn section(doc: &str, settings: &[Setting], name: &str) -> Value {
    let own = settings.iter().filter(|one| one.section == name);
    let properties: Map<String, Value> = own.map(|one| (one.key.to_owned(), form(one))).collect();
    json!({"type": "object", "description": doc, "properties": properties, "additionalProperties": false})
}

fn schema() -> Value {
    let settings = settings();
    let mut whole = section("The settings of a repository of recipes.", &settings, "");
    let mut check = section("What is checked, and how gravely it is taken.", &settings, "check");
    // The levels for all files and those for some are the same keys.
    check["properties"]["rules"] = json!({"$ref": "#/$defs/levels"});
    let mut partial =
        section("Levels that hold for some files, over those for all.", &settings, "check.override");
    // What can hurt somebody is not silenced for whole files.
    let some: Map<String, Value> = settings
        .iter()
        .filter(|one| {
            one.section == PARTIAL
                && !matches!(&one.value, SettingValue::Word(words) if words.contains(&"off"))
        })
        .map(|one| (one.key.to_owned(), json!({"not": {"const": "off"}})))
        .collect();
    partial["properties"]["rules"] = json!({"allOf": [{"$ref": "#/$defs/levels"}, {"properties": some}]});
    partial["required"] = json!(["files"]);
    check["properties"]["override"] = json!({"type": "array", "description": "Levels of some files; the last that speaks of a rule holds.", "items": partial});
    check["properties"]["limits"] = section("Thresholds of the house.", &settings, "check.limits");
    whole["properties"]["figures"] = section("How figures are computed and shown.", &settings, "figures");
    whole["properties"]["check"] = check;
    whole["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    whole["$defs"] = json!({
        "level": {"enum": Level::ALL.map(Level::word)},
        "levels": section("Severity by rule or by group of rules.", &settings, LEVELS),
    });
    whole["title"] = json!("gyle.toml");
    whole
}

#[test]
fn the_schema_is_current() {
    let text = serde_json::to_string_pretty(&schema()).unwrap();
    current(PATH, &format!("{text}\n"), "docs");
}

/// What is wrong with a `gyle.toml`, as it is read.
fn errors(text: &str) -> Vec<String> {
    let config = Config::read("/brewery".into(), "/brewery/gyle.toml".into(), text);
    config.errors.into_iter().map(|error| format!("{} ({})", error.message, error.help)).collect()
}

/// The text of a `gyle.toml` with one setting.
fn with(section: &str, key: &str, value: &str) -> String {
    let header = match section {
        "" => String::new(),
        "check.override" if key == "files" => "[[check.override]]\n".to_owned(),
        "check.override" => "[[check.override]]\nfiles = []\n".to_owned(),
        "check.override.rules" => "[[check.override]]\nfiles = []\n[check.override.rules]\n".to_owned(),
        section => format!("[{section}]\n"),
    };
    format!("{header}{key} = {value}\n")
}

/// Values that a setting takes, and one that it does not.
fn values(setting: &Setting) -> (Vec<String>, &'static str) {
    match &setting.value {
        SettingValue::Word(words) => {
            (words.iter().map(|word| format!("\"{word}\"")).collect(), "\"no word of these\"")
        }
        SettingValue::Factor => (vec!["1.1".into(), "0".into()], "-1"),
        SettingValue::Patterns => (vec!["[]".into(), "[\"cellar/*.gyle\"]".into()], "\"cellar/*.gyle\""),
        SettingValue::Limit(default) => (vec![format!("\"{default}\"")], "[]"),
    }
}

/// Each setting, each section, and keys that are none: the committed schema and the reader agree.
#[test]
fn the_schema_and_the_reader_agree() {
    let schema: Value = serde_json::from_str(&read(&root().join(PATH))).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let mut cases: Vec<(String, bool)> = vec![(String::new(), true)];
    for setting in settings() {
        let (good, bad) = values(&setting);
        cases.extend(good.iter().map(|value| (with(setting.section, setting.key, value), true)));
        cases.push((with(setting.section, setting.key, bad), false));
    }
    let sections = ["", "figures", "check", LEVELS, "check.limits", "check.override", PARTIAL];
    cases.extend(sections.iter().map(|section| (with(section, "no-setting", "\"off\""), false)));
    cases.extend(sections[1..].iter().map(|section| (with("", section, "3"), false)));
    let mut wrong = Vec::new();
    for (text, good) in &cases {
        let read: toml::Table = toml::from_str(text).unwrap();
        let valid = validator.is_valid(&serde_json::to_value(read).unwrap());
        let errors = errors(text);
        if (valid, errors.is_empty()) != (*good, *good) {
            wrong.push(format!("{text}schema {valid}, reader {errors:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(cases.len() > 500, "{}", cases.len());
}

/// A key with a slip in it is an error that names the right one.
#[test]
fn a_slip_in_a_key_has_a_suggestion() {
    for setting in settings() {
        let slip = format!("{}x", setting.key);
        let said = errors(&with(setting.section, &slip, "\"off\"")).join("\n");
        assert!(said.contains(&format!("did you mean `{}`?", setting.key)), "{slip}: {said}");
    }
}
