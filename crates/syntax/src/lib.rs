//! Text to lossless blocks and entries with spans.
