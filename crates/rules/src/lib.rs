//! The checks, one file a rule.
