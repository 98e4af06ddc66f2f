//! Layouts add up: what is cut is what stands in the run.

use offtake::trade::fitting::centre_to_stop;
use offtake::trade::layout::{Layout, PieceUse};
use offtake::trade::manifold::{Build, Design, EndKind, Manifold};
use offtake::trade::quantity::{Angle, Length, nearest_millimetre, nearest_sixteenth};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::takeoff::Takeoff;
use proptest::prelude::*;

use crate::designs::{catalogue, changed, inches, resolved, row, tube};

fn cut_for_the_run(layout: &Layout) -> Length {
    let pieces = layout.pieces.iter();
    pieces
        .filter(|piece| piece.used_as == PieceUse::Run)
        .map(|piece| piece.length * f64::from(piece.count))
        .sum()
}

fn laid_out(design: Design) -> (Manifold, Layout) {
    let manifold = resolved(design).unwrap();
    let layout = Layout::of(&manifold, catalogue(), &RuleSet::default_set());
    (manifold, layout)
}

prop_compose! {
    /// Rows spaced widely enough for tees of 1 in on 2 in, in runs up to 60 ft.
    fn wide_rows()(count in 1_u32..20, first in 3.0_f64..60.0, pitch in 4.0_f64..30.0, beyond in 3.0_f64..60.0)
        -> Design {
        changed(|d| {
            d.outlets = vec![row("b88-l-1", count, first, pitch)];
            d.run.length = Some(inches(first + pitch * f64::from(count - 1) + beyond));
        })
    }
}

proptest! {
    #[test]
    fn tube_and_tees_make_up_the_run(design in wide_rows(), soldered in any::<bool>()) {
        let mut design = design;
        design.build = if soldered { Build::TeesSoldered } else { Build::TeesBrazed };
        let (manifold, layout) = laid_out(design);
        let tees = centre_to_stop(&tube("b88-l-1")) * (2.0 * manifold.outlets.len() as f64);
        let sum = cut_for_the_run(&layout) + tees;
        // Pieces that differ by less than 0.05 mm are cut alike.
        let allowed = 0.05 * (manifold.outlets.len() + 1) as f64;
        prop_assert!((sum - manifold.run.length).abs().in_millimetres() < allowed);
        prop_assert!(layout.pieces.iter().all(|piece| piece.length <= manifold.run.tube.stick));
    }

    #[test]
    fn formed_runs_are_cut_from_sticks_and_coupled_clear_of_everything(design in wide_rows(), capped in any::<bool>()) {
        let mut design = design;
        if capped {
            design.run.ends = design.run.ends.map(|mut end| { end.kind = EndKind::Cap; end });
        }
        let (manifold, layout) = laid_out(design);
        let sum = cut_for_the_run(&layout);
        prop_assert!((sum - manifold.run.length).abs().in_millimetres() < 0.05 * 5.0);
        let cup = catalogue().cup(manifold.run.tube.nominal).unwrap().depth;
        let ends = if capped { cup } else { Length::ZERO };
        let slip = Length::millimetres(1e-6);
        let mut before = Length::ZERO;
        for coupling in &layout.couplings {
            let at = coupling.station;
            prop_assert!(at - before <= manifold.run.tube.stick + slip);
            prop_assert!(at + slip >= ends + cup && at <= manifold.run.length - ends - cup + slip);
            for outlet in &manifold.outlets {
                let apart = (at - outlet.station).abs() + slip;
                prop_assert!(apart >= cup + outlet.tube.outer_radius());
            }
            before = at;
        }
    }

    #[test]
    fn every_outlet_has_its_hole_at_its_station(design in wide_rows()) {
        let (manifold, layout) = laid_out(design);
        prop_assert_eq!(layout.holes.len(), manifold.outlets.len());
        for (hole, outlet) in layout.holes.iter().zip(&manifold.outlets) {
            prop_assert!((hole.station - outlet.station).abs() < Length::millimetres(1e-9));
        }
    }
}

#[test]
fn a_run_just_over_a_stick_leaves_its_cap_room() {
    // 20 ft 1 in with caps: the rest beyond the coupling must hold two cups of 1.34 in (2 in size,
    // Copper Tube Handbook).
    let (manifold, layout) = laid_out(changed(|d| {
        d.run.length = Some(inches(241.0));
        d.run.ends = d.run.ends.map(|mut end| {
            end.kind = EndKind::Cap;
            end
        });
    }));
    let [coupling] = layout.couplings.as_slice() else {
        panic!("{:?}", layout.couplings);
    };
    let rest = manifold.run.length - coupling.station;
    assert!((rest.in_inches() - 2.68).abs() < 1e-9, "{rest:?}");
}

#[test]
fn each_collar_has_the_filler_of_its_own_height() {
    let manifold = resolved(changed(|d| {
        d.outlets = vec![row("b88-l-1", 1, 4.0, 1.0), row("b88-l-1", 1, 12.0, 1.0)];
        d.outlets[1].collar.height = Some(inches(0.30));
    }))
    .unwrap();
    let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
    let [usual, high] = takeoff.branch_fillers.as_slice() else {
        panic!("{:?}", takeoff.branch_fillers);
    };
    // Three times the branch wall is 0.150 in; twice the lap takes twice the filler.
    assert!((high.mass / usual.mass - 2.0).abs() < 1e-9);
    let sum = usual.mass + high.mass;
    assert!((takeoff.filler_mass() / sum - 1.0).abs() < 1e-12);
    assert_eq!(takeoff.joint_count(), 2);
}

#[test]
fn what_is_bought_is_neither_cut_nor_joined() {
    let (manifold, layout) = laid_out(changed(|d| d.build = Build::Purchased));
    assert!(layout.pieces.is_empty() && layout.holes.is_empty() && layout.formed.is_empty());
    let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
    assert!(takeoff.fittings.is_empty() && takeoff.branch_fillers.is_empty());
    assert_eq!(takeoff.joint_count(), 0);
    // 2 ft of 2 in type L at 1.75 lb/ft and 4 x 3 in of 1 in at 0.655 lb/ft (ASTM B88 weights).
    assert!((takeoff.mass.in_pounds() - 4.155).abs() < 0.02);
}

#[test]
fn a_long_stretch_between_tees_is_coupled_where_both_pieces_can_be_made() {
    // Two tees of 1 in on 2 in, 20 ft and a little apart: what is left beyond the coupling must
    // hold two cups of 1.34 in (2 in size, Copper Tube Handbook).
    let half = centre_to_stop(&tube("b88-l-1")).in_inches();
    let (manifold, layout) = laid_out(changed(|d| {
        d.build = Build::TeesBrazed;
        d.outlets = vec![row("b88-l-1", 2, 10.0, 240.5 + 2.0 * half)];
        d.run.length = Some(inches(300.0));
    }));
    let [coupling] = layout.couplings.as_slice() else {
        panic!("{:?}", layout.couplings);
    };
    let rest = manifold.outlets[1].station - inches(half) - coupling.station;
    assert!((rest.in_inches() - 2.68).abs() < 1e-9, "{rest:?}");
    let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
    let codes: Vec<(String, u32)> = takeoff
        .fittings
        .iter()
        .map(|(fitting, count)| (fitting.code(), *count))
        .collect();
    assert_eq!(
        codes,
        [("tee-2x2x1".to_owned(), 2), ("coupling-2".to_owned(), 1)]
    );
}

#[test]
fn cut_lengths_are_what_is_in_sight_and_what_goes_into_cups() {
    // Cups by the Copper Tube Handbook: 1.34 in at 2 in, 0.91 in at 1 in.
    let (_, layout) = laid_out(changed(|d| {
        d.build = Build::TeesBrazed;
        d.outlets = vec![row("b88-l-1", 3, 6.0, 8.0)];
        d.run.length = Some(inches(29.0));
        d.run.ends[0].kind = EndKind::Cap;
    }));
    let made: Vec<(String, f64)> = layout
        .pieces
        .iter()
        .map(|piece| {
            (
                piece.id.clone(),
                (piece.make_up.in_inches() * 1e6).round() / 1e6,
            )
        })
        .collect();
    // R1 from the cap to a tee, R2 between tees, R3 from a tee to the plain end.
    let wanted = [("R1", 2.68), ("R2", 2.68), ("R3", 1.34), ("B1", 0.91)];
    assert_eq!(made.len(), wanted.len(), "{made:?}");
    for ((id, make_up), (wanted_id, wanted_make_up)) in made.iter().zip(wanted) {
        assert_eq!(id, wanted_id);
        assert!((make_up - wanted_make_up).abs() < 1e-6, "{made:?}");
    }
    let (_, formed) = laid_out(changed(|_| ()));
    let branch = &formed.pieces[1];
    // Wall of the run 0.070 in and notch 0.175 in go out of sight, the stub of 3 in stays.
    assert!((branch.make_up.in_inches() - 0.245).abs() < 5e-4);
    assert!(((branch.length - branch.make_up).in_inches() - 3.0).abs() < 1e-9);
}

#[test]
fn outlets_on_several_lines_have_their_arcs() {
    let (manifold, layout) = laid_out(changed(|d| {
        d.outlets = [0.0, 90.0, 270.0, 360.0, -90.0]
            .into_iter()
            .zip([4.0, 8.0, 12.0, 16.0, 20.0])
            .map(|(clock, first)| {
                let mut one = row("b88-l-1", 1, first, 1.0);
                one.clock = Angle::degrees(clock);
                one
            })
            .collect();
    }));
    let lines: Vec<(i64, Vec<usize>)> = layout
        .lines
        .iter()
        .map(|line| (line.clock.in_degrees().round() as i64, line.outlets.clone()))
        .collect();
    assert_eq!(lines, [(0, vec![0, 3]), (90, vec![1]), (270, vec![2, 4])]);
    let round = std::f64::consts::PI * manifold.run.tube.od.in_inches();
    for line in &layout.lines {
        assert!(((line.arc + line.other_way).in_inches() - round).abs() < 1e-9);
    }
    // A quarter of the way round 2.125 in: 1.6690 in.
    assert!((layout.lines[1].arc.in_inches() - 1.6690).abs() < 1e-4);
    assert_eq!(layout.holes[4].line, 2);
}

#[test]
fn rounding_for_the_bench_never_adds_up() {
    // 199 pitches of 1 7/16 in and a third of a sixteenth: chained rounding would lose 4 in.
    let pitch = 1.4375 + 1.0 / 48.0;
    let (_, layout) = laid_out(changed(|d| {
        d.outlets = vec![row("b88-l-0.5", 200, 4.0, pitch)];
        d.run.length = Some(inches(320.0));
    }));
    for hole in &layout.holes {
        let off = nearest_sixteenth(hole.station) - hole.station;
        assert!(off.abs() <= inches(1.0 / 32.0 + 1e-9));
        let off = nearest_millimetre(hole.station) - hole.station;
        assert!(off.abs() <= Length::millimetres(0.5 + 1e-9));
    }
    let chained = nearest_sixteenth(inches(pitch)) * 199.0 + inches(4.0);
    let last = layout.holes[199].station;
    assert!((last - chained) > inches(4.0));
}
