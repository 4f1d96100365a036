//! How days are called: by weekday, and by date once the date of the prep day is known.

use chrono::{Datelike as _, Days, NaiveDate};

/// The weekdays, as kitchen files, options and screens have them.
pub const WEEKDAYS: [&str; 7] = [
    "Sunday",
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
];

/// The months, as screens have them.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Days of a week.
const SEVEN: i32 = 7;

/// Which weekday, and if known which date, the prep day is. The default is a Sunday.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Calendar {
    weekday: usize,
    prep: Option<NaiveDate>,
}

impl Calendar {
    /// Returns the days counted from a weekday, by its place in [`WEEKDAYS`].
    pub fn of(weekday: usize) -> Self {
        Self {
            weekday: weekday % WEEKDAYS.len(),
            prep: None,
        }
    }

    /// Returns the days counted from a date.
    pub fn from(prep: NaiveDate) -> Self {
        Self {
            weekday: prep.weekday().num_days_from_sunday() as usize,
            prep: Some(prep),
        }
    }

    /// Returns the days of which the first Monday, the prep day's own if it is one, has this date.
    pub fn monday(self, monday: NaiveDate) -> Option<Self> {
        moved(monday, -self.first_monday()).map(Self::from)
    }

    /// Returns the weekday of the prep day, by its place in [`WEEKDAYS`].
    pub fn weekday(self) -> usize {
        self.weekday
    }

    /// Returns the day of the first Monday from the prep day on.
    pub fn first_monday(self) -> i32 {
        (SEVEN + 1 - self.weekday as i32) % SEVEN
    }

    /// Returns the date of the prep day, if it is known.
    pub fn prep(self) -> Option<NaiveDate> {
        self.prep
    }

    /// Returns the date of a day, if that of the prep day is known.
    pub fn date(self, day: i32) -> Option<NaiveDate> {
        self.prep.and_then(|prep| moved(prep, day))
    }

    /// Returns what a day is called in a sentence: `Monday 3 March` where dates are known, with the
    /// year where it is not the prep day's; else `Monday`, `next Monday` a week after,
    /// `Monday in 2 weeks`.
    pub fn name(self, day: i32) -> String {
        let weekday = self.weekday_of(day);
        if let (Some(prep), Some(date)) = (self.prep, self.date(day)) {
            let month = MONTHS[date.month0() as usize];
            let year = if date.year() == prep.year() {
                String::new()
            } else {
                format!(" {}", date.year())
            };
            return format!("{weekday} {} {month}{year}", date.day());
        }
        match day.div_euclid(SEVEN) {
            0 => weekday.to_owned(),
            1 => format!("next {weekday}"),
            ..0 => format!("{weekday} before"),
            weeks => format!("{weekday} in {weeks} weeks"),
        }
    }

    /// Returns a day as kitchen files and options read it: a weekday means the first one, so days
    /// of later weeks are numbers counted from the prep day.
    pub fn key(self, day: i32) -> String {
        match day {
            0..SEVEN => self.weekday_of(day).to_owned(),
            _ => day.to_string(),
        }
    }

    fn weekday_of(self, day: i32) -> &'static str {
        WEEKDAYS[(self.weekday as i32 + day.rem_euclid(SEVEN)) as usize % WEEKDAYS.len()]
    }
}

/// Returns the date so many days after; `None` beyond the dates there are.
pub fn moved(date: NaiveDate, days: i32) -> Option<NaiveDate> {
    let by = Days::new(days.unsigned_abs().into());
    if days < 0 {
        date.checked_sub_days(by)
    } else {
        date.checked_add_days(by)
    }
}

/// Reads a date as ISO 8601 writes it, of the years kitchens live in.
pub fn date(text: &str) -> Option<NaiveDate> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .ok()
        .filter(|date| (1900..=9000).contains(&date.year()) && text.len() == 10)
}

#[cfg(test)]
mod tests {
    //! The truth: a printed calendar of March 2031 (1 March 2031 is a Saturday).
    use super::*;

    #[test]
    fn days_are_called_by_weekday_then_by_week() {
        let sunday = Calendar::of(0);
        let said = [0, 1, 6, 7, 8, 14, 61].map(|day| sunday.name(day));
        assert_eq!(
            said,
            [
                "Sunday",
                "Monday",
                "Saturday",
                "next Sunday",
                "next Monday",
                "Sunday in 2 weeks",
                "Friday in 8 weeks"
            ]
        );
        assert_eq!(sunday.key(5), "Friday");
        assert_eq!(sunday.key(8), "8");
        for day in [i32::MIN, -1, i32::MAX] {
            assert!(!sunday.name(day).is_empty());
        }
    }

    #[test]
    fn days_are_called_by_date_where_it_is_known() {
        let monday = date("2031-03-03").unwrap();
        let dated = Calendar::of(3).monday(monday).unwrap();
        assert_eq!(dated.prep(), date("2031-02-26"));
        assert_eq!(dated.name(0), "Wednesday 26 February");
        assert_eq!(dated.name(5), "Monday 3 March");
        assert_eq!(dated.name(400), "Thursday 1 April 2032");
        assert_eq!(dated.name(7), "Wednesday 5 March");
        assert_eq!(
            Calendar::of(1).monday(monday).unwrap().name(0),
            "Monday 3 March"
        );
        assert!(!dated.name(i32::MAX).is_empty());
        for not in ["2031-3-3", "2031-02-30", "03.03.2031", "1031-03-03", ""] {
            assert_eq!(date(not), None, "{not}");
        }
    }
}
