//! Numbers as text.

/// The shortest decimal that reads back as the same number, without an exponent and never `-0`.
#[must_use]
pub fn format_plain(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    format!("{value}")
}

#[cfg(test)]
mod tests {
    use super::format_plain;

    #[test]
    fn plain_decimals() {
        for (value, want) in
            [(0.0, "0"), (-0.0, "0"), (1.5, "1.5"), (20.0, "20"), (1e-7, "0.0000001"), (-2.25, "-2.25")]
        {
            assert_eq!(format_plain(value), want);
        }
        assert_eq!(format_plain(1e21), "1000000000000000000000");
    }
}
