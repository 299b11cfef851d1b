//! Dates: whether they exist, and the days between them.

use jiff::civil;
use syntax::Span;
use syntax::ast::Date;
use syntax::{Fault, FaultFix};

fn civil(date: Date) -> Option<civil::Date> {
    let part = |value: u8| i8::try_from(value).ok();
    civil::Date::new(date.year, part(date.month)?, part(date.day)?).ok()
}

/// Days from one date to another; nothing where one of them does not exist.
#[must_use]
pub fn days_between(from: Date, to: Date) -> Option<i32> {
    civil(from)?.until(civil(to)?).ok().map(|span| span.get_days())
}

/// The date some days later; nothing where there is none.
#[must_use]
pub fn later(date: Date, days: i32) -> Option<Date> {
    let moved = civil(date)?.checked_add(jiff::Span::new().try_days(days).ok()?).ok()?;
    Some(Date {
        year: moved.year(),
        month: u8::try_from(moved.month()).ok()?,
        day: u8::try_from(moved.day()).ok()?,
    })
}

/// The problem of a date that no calendar has.
pub(crate) fn impossible(date: Date, span: Span) -> Option<Fault> {
    if civil(date).is_some() {
        return None;
    }
    let written = date.to_string();
    let month = part_of_year(date);
    let (message, fixes) = match month {
        Some(last) => {
            let meant = Date { day: last, ..date }.to_string();
            (
                format!(
                    "there is no {written}: that month has {last} days. Ages and times are counted from dates, and none can be counted from this one"
                ),
                vec![FaultFix { title: format!("write {meant}"), safe: false, edits: vec![(span, meant)] }],
            )
        }
        None => (
            format!(
                "there is no {written}: months go from 01 to 12. Ages and times are counted from dates, and none can be counted from this one"
            ),
            Vec::new(),
        ),
    };
    Some(Fault {
        rule: "date-impossible",
        span,
        message,
        help: "write the date as year, month and day: 2026-03-14".into(),
        fixes,
    })
}

/// The number of days of the date's month, where the month exists.
fn part_of_year(date: Date) -> Option<u8> {
    let first = civil(Date { day: 1, ..date })?;
    u8::try_from(first.days_in_month()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(year: i16, month: u8, day: u8) -> Date {
        Date { year, month, day }
    }

    #[test]
    fn days_are_counted_over_leap_years() {
        for (from, to, days) in [
            (date(2026, 3, 14), date(2026, 3, 14), Some(0)),
            (date(2028, 2, 28), date(2028, 3, 1), Some(2)),
            (date(2026, 2, 28), date(2026, 3, 1), Some(1)),
            (date(2026, 1, 1), date(2025, 12, 31), Some(-1)),
            (date(2026, 2, 30), date(2026, 3, 1), None),
        ] {
            assert_eq!(days_between(from, to), days, "{from:?} {to:?}");
        }
        assert_eq!(later(date(2026, 12, 31), 1), Some(date(2027, 1, 1)));
        assert_eq!(later(date(9999, 12, 31), 1), None);
    }

    #[test]
    fn a_date_that_no_calendar_has() {
        let span = Span::new(3, 13);
        assert_eq!(impossible(date(2028, 2, 29), span), None);
        let fault = impossible(date(2026, 2, 30), span).expect("a problem");
        assert_eq!(fault.fixes[0].edits, [(span, "2026-02-28".to_owned())]);
        for bad in [date(2026, 13, 1), date(2026, 0, 1), date(2026, 4, 31), date(2026, 4, 0)] {
            assert!(impossible(bad, span).is_some(), "{bad:?}");
        }
    }
}
