//! The columns of a schedule: what people call them, and where in a manifold they belong.

use super::super::sheet::column_name;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// A text.
    Text,
    /// One of some words: spaces and hyphens in it are as good as underscores.
    Word,
    /// A whole number.
    Whole,
    /// A quantity with its unit, in the cell or in the heading.
    Quantity,
    /// Texts parted by semicolons or plus signs.
    Texts,
}

/// A column.
#[derive(Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading.
    pub name: &'static str,
    /// Other headings that mean it.
    pub also: &'static [&'static str],
    /// Where its cells belong in a manifold; `*` stands for the place of the outlet group.
    pub pointer: &'static str,
    /// What its cells hold.
    pub holds: Holds,
    /// Whether there must be such a column.
    pub required: bool,
    /// What it is, for the notes of a blank sheet.
    pub says: &'static str,
}

macro_rules! columns {
    ($($name:literal $also:tt => $pointer:literal, $holds:ident, $required:literal, $says:literal;)+) => {
        /// Every column, in the order of a blank sheet.
        pub const COLUMNS: &[Column] = &[$(Column {
            name: $name,
            also: &$also,
            pointer: $pointer,
            holds: Holds::$holds,
            required: $required,
            says: $says,
        }),+];
    };
}

columns! {
    "mark" ["tag", "manifold", "item"] => "/mark", Text, true,
        "Its mark on drawings. Rows of the same mark are outlet groups of one manifold.";
    "quantity" ["qty", "pieces"] => "/quantity", Whole, false, "How many alike; 1 when blank.";
    "service" [] => "/service", Word, true, "What it carries.";
    "design_pressure" ["pressure"] => "/design_pressure", Quantity, true,
        "Gauge, with its unit: 75 psi, 5 bar.";
    "design_temperature" ["temperature", "temp"] => "/design_temperature", Quantity, true,
        "With its unit: 180 degF, 80 degC.";
    "build" ["method"] => "/build", Word, true, "How it is made.";
    "run_tube" ["run"] => "/run/tube", Text, true, "Tube id of the run: b88-l-2, en1057-54x1.2.";
    "temper" ["run_temper"] => "/run/temper", Word, false, "Temper of the run; the usual one when blank.";
    "first_end" ["end_1"] => "/run/ends/0/kind", Word, false, "What closes the first end; plain when blank.";
    "first_beyond" ["beyond_1"] => "/run/ends/0/beyond", Quantity, false,
        "Tube beyond the first outlet; places it where `first` is blank.";
    "second_end" ["end_2"] => "/run/ends/1/kind", Word, false, "What closes the second end; plain when blank.";
    "second_beyond" ["beyond_2", "beyond"] => "/run/ends/1/beyond", Quantity, false,
        "Tube beyond the last outlet; gives the run its length.";
    "run_length" ["length"] => "/run/length", Quantity, false, "Finished length, where it is given.";
    "branch_tube" ["branch", "outlet_tube"] => "/outlets/*/tube", Text, true, "Tube id of the branches.";
    "outlets" ["count", "outlet_count", "number_of_outlets"] => "/outlets/*/count", Whole, false,
        "How many outlets of this group.";
    "first" ["first_station"] => "/outlets/*/first", Quantity, false,
        "From the first end's finished face to the centre of the first outlet.";
    "pitch" ["spacing", "centres", "centers"] => "/outlets/*/pitch", Quantity, false, "From centre to centre.";
    "station" [] => "/outlets/*/station", Quantity, false, "Of a single outlet, instead of outlets, first and pitch.";
    "clock" ["angle"] => "/outlets/*/clock", Quantity, false, "Turned about the run: 0 deg when blank.";
    "stub" ["branch_length"] => "/outlets/*/stub", Quantity, true, "Length of the branch above the outside of the run.";
    "flow" [] => "/outlets/*/flow", Quantity, false, "Flow wanted through each outlet: 6 gpm, 0.4 l/s.";
    "filler" [] => "/filler", Text, false, "Brazing filler or solder; the usual one when blank.";
    "filler_wire" [] => "/filler_wire", Quantity, false, "Diameter of its wire.";
    "conditions" [] => "/conditions", Texts, false,
        "Conditions of the work by the names of the labour model, parted by semicolons.";
}

/// Columns that the answer adds; they may stand in a sheet that comes back, and are made anew.
pub const RESULTS: [&str; 10] = [
    "verdict",
    "stops",
    "cautions",
    "hours",
    "cost",
    "unit_price",
    "price",
    "mass",
    "joints",
    "faults",
];

impl Column {
    /// Whether its cells say something of an outlet group, rather than of the whole manifold.
    pub fn of_group(&self) -> bool {
        self.pointer.starts_with("/outlets/")
    }

    /// The column of a name, in any of its spellings.
    pub fn named(name: &str) -> Option<&'static Self> {
        let of = |column: &&Self| column.name == name || column.also.contains(&name);
        COLUMNS.iter().find(of)
    }

    /// The column that a pointer into a manifold belongs to.
    pub fn at(pointer: &str) -> Option<&'static Self> {
        let generic = match pointer.strip_prefix("/outlets/") {
            Some(rest) => match rest.split_once('/') {
                Some((_, field)) => format!("/outlets/*/{field}"),
                None => "/outlets/*/tube".to_owned(),
            },
            None => pointer.to_owned(),
        };
        let exact = COLUMNS.iter().find(|column| column.pointer == generic);
        // A fault of a whole part is shown where the part begins.
        let within = |column: &&Self| column.pointer.starts_with(&format!("{generic}/"));
        exact.or_else(|| COLUMNS.iter().find(within))
    }
}

/// A heading: the name it says, and the unit of the cells below, as in `Pitch (mm)`.
pub fn heading(cell: &str) -> (String, Option<String>) {
    let cell = cell.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, unit)) = cell
            .strip_suffix(close)
            .and_then(|cell| cell.rsplit_once(open))
        {
            let unit = unit.trim();
            return (
                column_name(name),
                (!unit.is_empty()).then(|| unit.to_owned()),
            );
        }
    }
    match cell.split_once(',') {
        Some((name, unit)) if !unit.trim().is_empty() => {
            (column_name(name), Some(unit.trim().to_owned()))
        }
        _ => (column_name(cell), None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_read_as_people_write_them() {
        for (cell, name, unit) in [
            ("Pitch (mm)", "pitch", Some("mm")),
            ("Design pressure, psi", "design_pressure", Some("psi")),
            ("Run length [in]", "run_length", Some("in")),
            (" Mark ", "mark", None),
            ("first-beyond", "first_beyond", None),
        ] {
            assert_eq!(
                heading(cell),
                (name.to_owned(), unit.map(str::to_owned)),
                "{cell}"
            );
        }
    }

    #[test]
    fn every_pointer_of_a_column_leads_back_to_it() {
        for column in COLUMNS {
            let pointer = column.pointer.replace('*', "7");
            assert_eq!(Column::at(&pointer).map(|it| it.name), Some(column.name));
            assert_eq!(Column::named(column.name), Some(column));
            assert!(!RESULTS.contains(&column.name));
        }
        assert_eq!(Column::at("/run/ends").map(|it| it.name), Some("first_end"));
        assert_eq!(
            Column::at("/outlets/2").map(|it| it.name),
            Some("branch_tube")
        );
        assert_eq!(Column::at("/supply"), None);
    }
}
