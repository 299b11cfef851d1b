//! Pure functions of brewing science, each with its source and validity range.
