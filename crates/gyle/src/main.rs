//! The `gyle` command.
fn main() {}
