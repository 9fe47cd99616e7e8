//! Which days of the week: sessions spread as evenly as a week allows, the others are rest days.

use jiff::civil::Weekday;

/// Days from Monday on which the program is done, for so many days a week (clamped to 1-7).
pub fn week_days(days_a_week: u32) -> Vec<Weekday> {
    const ALL: [Weekday; 7] = [
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];
    let n = days_a_week.clamp(1, 7);
    // Bresenham's even spread: day i is chosen when the running share passes a whole number.
    (0..7u32).filter(|i| (i * n) % 7 < n).map(|i| ALL[i as usize]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn so_many_days_and_never_more_rest_in_a_row_than_needed() {
        for n in 1..=7u32 {
            let days = week_days(n);
            assert_eq!(days.len(), n as usize);
            let at: Vec<i32> = days.iter().map(|it| i32::from(it.to_monday_zero_offset())).collect();
            let mut gaps: Vec<i32> = at.windows(2).map(|it| it[1] - it[0]).collect();
            gaps.push(at[0] + 7 - at[at.len() - 1]);
            let most = gaps.iter().max().unwrap();
            assert!(*most as u32 <= 7u32.div_ceil(n), "{n}: {gaps:?}");
        }
    }
}
