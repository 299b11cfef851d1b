//! Recipe and settings to figures with their explanations.
