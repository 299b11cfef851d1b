//! The built-in library of ingredients, waters and styles.
