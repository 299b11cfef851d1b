//! What the tests that cross crates share.
