"""Data that a specialist might dispute: TOML with a source on every value."""
