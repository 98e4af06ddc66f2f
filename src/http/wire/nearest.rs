//! The name that was probably meant.

/// The choice nearest to what was given, when it is near enough to be worth suggesting.
pub fn nearest<'a>(given: &str, choices: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let folded = given.to_lowercase().replace(['-', ' '], "_");
    let allowed = (folded.chars().count() / 3).max(1);
    choices
        .into_iter()
        .map(|choice| {
            let steps =
                strsim::damerau_levenshtein(&folded, &choice.to_lowercase().replace('-', "_"));
            (steps, choice)
        })
        .filter(|(steps, _)| *steps <= allowed)
        .min_by_key(|(steps, _)| *steps)
        .map(|(_, choice)| choice)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn near_names_are_suggested_and_far_ones_are_not() {
        let choices = ["design_pressure", "quantity", "mark"];
        assert_eq!(nearest("designPressure", choices), Some("design_pressure"));
        assert_eq!(nearest("quantiy", choices), Some("quantity"));
        assert_eq!(nearest("colour", choices), None);
    }
}
