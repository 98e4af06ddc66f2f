//! Dimensions as text, and where their labels stand.

use super::figure_style::FigureStyle;
use crate::shop::settings::Units;
use crate::trade::quantity::{Angle, Length, bench_inches};

/// A length for the bench: `4 1/2 (4.500)` in inches, `114.3` in millimetres.
pub fn bench(length: Length, figures: impl Into<FigureStyle>) -> String {
    let figures = figures.into();
    match figures.units {
        Units::Imperial => format!("{} ({})", bench_inches(length), fine(length, figures)),
        Units::Metric => figures.written(places(length.in_millimetres(), 1)),
    }
}

/// A number to some decimals, half away from zero, whatever dust its unit conversion left.
fn places(value: f64, decimals: usize) -> String {
    let shift = 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    let rounded = (value * shift + 1e-6_f64.copysign(value)).round() / shift;
    // Adding zero turns -0 into 0.
    format!("{:.decimals$}", rounded + 0.0)
}

/// A length that a tape measure cannot show: `0.921` in inches, `23.4` in millimetres.
pub fn fine(length: Length, figures: impl Into<FigureStyle>) -> String {
    let figures = figures.into();
    figures.written(match figures.units {
        Units::Imperial => places(length.in_inches(), 3),
        Units::Metric => places(length.in_millimetres(), 2),
    })
}

/// The word for the unit of both.
pub const fn unit(units: Units) -> &'static str {
    match units {
        Units::Imperial => "in",
        Units::Metric => "mm",
    }
}

/// An angle in degrees: `90°`, `22.5°`.
pub fn degrees(angle: Angle) -> String {
    let tenths = (angle.in_degrees() * 10.0).round() / 10.0;
    // Adding zero turns -0 into 0.
    format!("{}°", tenths + 0.0)
}

/// Numbers as people list them: `1–6, 9`, and `2, 4, … 10` where they go up by even steps.
pub fn ranges(numbers: &[usize]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut rest = numbers;
    while let [first, tail @ ..] = rest {
        let step = tail
            .first()
            .map_or(1, |second| second.saturating_sub(*first));
        let count = 1 + tail
            .iter()
            .zip(1..)
            .take_while(|(number, place)| **number == first + step * place)
            .count();
        let last = first + step * (count - 1);
        let taken = match (step, count) {
            (1, 3..) => {
                parts.push(format!("{first}–{last}"));
                count
            }
            (2.., 5..) => {
                parts.push(format!("{first}, {}, … {last}", first + step));
                count
            }
            _ => {
                parts.push(first.to_string());
                1
            }
        };
        rest = rest.get(taken..).unwrap_or_default();
    }
    parts.join(", ")
}

/// Moves wanted places (in order) apart until neighbours are `gap` from each other, as little as
/// possible, within bounds. They fit when there are at most `(high - low) / gap + 1` of them.
pub fn spread(wanted: &[f64], gap: f64, (low, high): (f64, f64)) -> Vec<f64> {
    // With i * gap taken off, "apart by gap" becomes "not falling": pool those that fall.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (index, place) in wanted.iter().enumerate() {
        let mut pool = (place - index as f64 * gap, 1);
        while let Some((mean, count)) = pools.pop_if(|(mean, _)| *mean > pool.0) {
            let total = mean * count as f64 + pool.0 * pool.1 as f64;
            pool = (total / (count + pool.1) as f64, count + pool.1);
        }
        pools.push(pool);
    }
    let room = (high - low - wanted.len().saturating_sub(1) as f64 * gap).max(0.0);
    pools
        .into_iter()
        .flat_map(|(mean, count)| std::iter::repeat_n(mean.clamp(low, low + room), count))
        .enumerate()
        .map(|(index, place)| place + index as f64 * gap)
        .collect()
}

/// Breaks a text at spaces into lines of at most `most` characters; longer words are cut.
pub fn wrap(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().collect();
        while !rest.is_empty() {
            let line = lines.len() - 1;
            let used = lines[line].chars().count();
            let space = usize::from(used > 0);
            if used + space + rest.len() <= most {
                if used > 0 {
                    lines[line].push(' ');
                }
                lines[line].extend(rest.drain(..));
            } else if used > 0 {
                lines.push(String::new());
            } else {
                lines[line].extend(rest.drain(..most.clamp(1, rest.len())));
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::settings::DecimalMark;
    use proptest::prelude::*;

    #[test]
    fn dimensions_read_as_the_bench_reads_them() {
        assert_eq!(bench(Length::inches(4.5), Units::Imperial), "4 1/2 (4.500)");
        assert_eq!(bench(Length::inches(4.5), Units::Metric), "114.3");
        assert_eq!(
            bench(Length::inches(60.9375), Units::Imperial),
            "60 15/16 (60.938)"
        );
        assert_eq!(bench(Length::inches(5.25), Units::Metric), "133.4");
        assert_eq!(fine(Length::inches(0.9213), Units::Imperial), "0.921");
        let comma = |units| FigureStyle::on_paper(units, DecimalMark::Comma);
        assert_eq!(
            bench(Length::inches(4.5), comma(Units::Imperial)),
            "4 1/2 (4,500)"
        );
        assert_eq!(bench(Length::inches(4.5), comma(Units::Metric)), "114,3");
        assert_eq!(degrees(Angle::degrees(22.5)), "22.5°");
        assert_eq!(degrees(Angle::degrees(-0.0)), "0°");
        assert_eq!(ranges(&[1, 2, 3, 5, 7, 8]), "1–3, 5, 7, 8");
        assert_eq!(ranges(&[1, 3, 5, 7, 9, 12, 13]), "1, 3, … 9, 12, 13");
        assert_eq!(ranges(&[]), "");
    }

    #[test]
    fn long_words_are_cut_and_others_kept_whole() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh ij", 3), ["abc", "def", "gh", "ij"]);
    }

    #[test]
    fn spread_labels_keep_apart_and_inside() {
        proptest!(|(mut wanted in prop::collection::vec(0.0f64..600.0, 1..45))| {
            wanted.sort_by(f64::total_cmp);
            let placed = spread(&wanted, 13.0, (0.0, 600.0));
            prop_assert_eq!(placed.len(), wanted.len());
            for pair in placed.windows(2) { prop_assert!(pair[1] - pair[0] > 12.999); }
            prop_assert!(placed.iter().all(|x| (-0.001..=600.001).contains(x)));
        });
        assert_eq!(spread(&[10.0, 50.0], 13.0, (0.0, 600.0)), [10.0, 50.0]);
    }
}
