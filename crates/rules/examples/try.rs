#[path = "../tests/support/mod.rs"]
mod support;
fn main() {
    let text = std::io::read_to_string(std::io::stdin()).unwrap();
    for f in support::check(&text, &rules::Config::default()) {
        let line = text[..(f.span.start as usize).min(text.len())].matches('\n').count() + 1;
        println!(
            "{line}: {:?} {}: {}\n    {}\n    fixes {:?} related {:?}",
            f.severity,
            f.rule,
            f.message,
            f.help,
            f.fixes
                .iter()
                .map(|x| (&x.title, x.edits.iter().map(|e| e.text.clone()).collect::<Vec<_>>()))
                .collect::<Vec<_>>(),
            f.related.iter().map(|r| &r.message).collect::<Vec<_>>()
        );
    }
}
