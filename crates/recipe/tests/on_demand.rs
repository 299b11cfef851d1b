//! A definition of the built-in library is parsed when it is first named, and once only. This program holds
//! one test, since the count is of the whole process.

mod support;

use support::World;

#[test]
fn only_what_is_named_is_parsed() {
    assert_eq!(recipe::parsed_built_ins(), 0);
    let text = "recipe \"A\"\n  style     13C\ngrist\n  4 kg      maris otter malt\n  1 kg      brown malt\nboil 60 min\n  20 g      Fuggle at 60 min\n  20 g      fuggles at 10 min\n";
    let world = World::new(text, &["malt \"brown malt\"\n  colour              150 EBC\n"]);
    assert!(world.problems().is_empty());
    // The style, one malt and one hop; brown malt is the cellar's own.
    assert_eq!(recipe::parsed_built_ins(), 3);
    // Again, in another recipe: nothing new.
    let again = World::new(text, &[]);
    assert!(again.problems().is_empty());
    assert_eq!(recipe::parsed_built_ins(), 4, "the built-in brown malt");
    // Completion and suggestions need no bodies.
    assert!(again.scope.names(syntax::vocabulary::BlockKind::Hop).len() > 50);
    assert_eq!(again.scope.nearest(syntax::vocabulary::BlockKind::Hop, "Cascde").as_deref(), Some("Cascade"));
    assert_eq!(recipe::parsed_built_ins(), 4);
    const { assert!(catalogue::DEFINITIONS > 400) };
}
