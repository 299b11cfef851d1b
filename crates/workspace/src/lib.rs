//! Files by id, overlays, use and library, configuration.
