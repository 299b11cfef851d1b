//! Names resolved: the typed recipe, library and log.
