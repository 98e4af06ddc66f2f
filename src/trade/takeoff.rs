//! The material take-off: what one manifold needs bought, cut and joined.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::catalogue::Catalogue;
use super::fitting::{Fitting, FittingKind, stand_in_mass};
use super::joint::{JointFill, JointMethod, LeastLap, wire_length};
use super::layout::{Layout, Piece};
use super::manifold::{Build, EndKind, Manifold};
use super::metal::Metal;
use super::quantity::{Length, Mass, Volume};
use super::rule_set::RuleSet;
use super::tube::Tube;

/// What a joint joins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointPlace {
    /// A branch in a formed collar.
    Collar,
    /// A tube in the cup of a fitting.
    Cup,
}

/// Joints made alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Joints {
    /// How.
    pub method: JointMethod,
    /// Where.
    pub place: JointPlace,
    /// The tube that goes in.
    pub tube: Arc<Tube>,
    /// The metal it goes into.
    pub metal: Metal,
    /// How many in one manifold.
    pub count: u32,
    /// Filler of one joint, before the shop's allowance.
    pub fill: JointFill,
    /// How far it must lap.
    pub least_lap: LeastLap,
}

/// What one manifold needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Takeoff {
    /// The layout it follows.
    pub layout: Layout,
    /// Fittings to buy, with counts.
    pub fittings: BTreeMap<Fitting, u32>,
    /// Joints to make.
    pub joints: Vec<Joints>,
    /// Filler of each outlet's branch joint, in the order of the outlets and before the shop's
    /// allowance; empty when nothing is joined here.
    pub branch_fillers: Vec<JointFill>,
    /// Copper of the finished manifold: tube, and fittings by their stand-in mass.
    pub mass: Mass,
    /// What it holds when full.
    pub contents: Volume,
}

impl Takeoff {
    /// Takes off one manifold.
    pub fn of(manifold: &Manifold, catalogue: &Catalogue, rules: &RuleSet) -> Self {
        let layout = Layout::of(manifold, catalogue, rules);
        let fittings = fittings(manifold, &layout);
        let branch_fillers = branch_fillers(manifold, catalogue, rules, &layout);
        let joints = joints(manifold, catalogue, &branch_fillers, &fittings);
        let mass = mass(manifold, catalogue, &layout, &fittings);
        Self {
            contents: contents(manifold),
            layout,
            fittings,
            joints,
            branch_fillers,
            mass,
        }
    }

    /// Joints of one manifold.
    pub fn joint_count(&self) -> u32 {
        self.joints.iter().map(|joints| joints.count).sum()
    }

    /// Filler of one manifold, before the shop's allowance.
    pub fn filler_mass(&self) -> Mass {
        self.joints
            .iter()
            .map(|joints| joints.fill.mass * f64::from(joints.count))
            .sum()
    }

    /// Volume of that filler.
    pub fn filler_volume(&self) -> Volume {
        self.joints
            .iter()
            .map(|joints| joints.fill.volume * f64::from(joints.count))
            .sum()
    }

    /// Length of wire or rod of a diameter that holds it.
    pub fn filler_wire(&self, diameter: Length) -> Length {
        wire_length(self.filler_volume(), diameter)
    }

    /// Net tube of one manifold, by tube.
    pub fn tube_lengths(&self) -> Vec<(Arc<Tube>, Length)> {
        let mut lengths: Vec<(Arc<Tube>, Length)> = Vec::new();
        for Piece {
            tube,
            length,
            count,
            ..
        } in &self.layout.pieces
        {
            let cut = *length * f64::from(*count);
            match lengths.iter_mut().find(|(known, _)| known.id == tube.id) {
                Some((_, total)) => *total += cut,
                None => lengths.push((Arc::clone(tube), cut)),
            }
        }
        lengths
    }
}

fn fittings(manifold: &Manifold, layout: &Layout) -> BTreeMap<Fitting, u32> {
    let run = manifold.run.tube.nominal.fitting_size();
    let plain = |kind| Fitting {
        kind,
        run,
        branch: None,
    };
    let mut fittings = BTreeMap::new();
    let mut add = |fitting, count| {
        if count > 0 {
            *fittings.entry(fitting).or_insert(0) += count;
        }
    };
    if manifold.build == Build::Purchased {
        return BTreeMap::new();
    }
    for end in manifold.run.ends {
        match end {
            EndKind::Plain => {}
            EndKind::Cap => add(plain(FittingKind::Cap), 1),
            EndKind::Coupling => add(plain(FittingKind::Coupling), 1),
        }
    }
    add(plain(FittingKind::Coupling), layout.couplings.len() as u32);
    if matches!(manifold.build, Build::TeesBrazed | Build::TeesSoldered) {
        for outlet in &manifold.outlets {
            add(
                Fitting {
                    kind: FittingKind::Tee,
                    run,
                    branch: Some(outlet.tube.nominal.fitting_size()),
                },
                1,
            );
        }
    }
    fittings
}

/// Filler of a tube in a cup, and of nothing when nothing is joined here.
fn cup_filler(manifold: &Manifold, catalogue: &Catalogue, tube: &Tube) -> Option<JointFill> {
    let method = manifold.build.joint_method()?;
    let depth = catalogue.cup_depth(tube);
    let density = manifold.filler.density.0;
    Some(JointFill::of_cup(method, tube.od, depth, density))
}

/// Filler of each branch's joint: in its collar, or in the cup of its tee.
fn branch_fillers(
    manifold: &Manifold,
    catalogue: &Catalogue,
    rules: &RuleSet,
    layout: &Layout,
) -> Vec<JointFill> {
    if manifold.build != Build::FormedOutlets {
        let outlets = manifold.outlets.iter();
        return outlets
            .filter_map(|outlet| cup_filler(manifold, catalogue, &outlet.tube))
            .collect();
    }
    let (gap, density) = (rules.forming.gap, manifold.filler.density.0);
    let outlets = manifold.outlets.iter().zip(&layout.formed);
    outlets
        .map(|(outlet, formed)| {
            let drawn = formed.collar.map(|collar| collar.height);
            let lap = outlet.collar.height.or(drawn).unwrap_or(formed.required);
            JointFill::new(outlet.tube.od, (lap, gap), density)
        })
        .collect()
}

/// Joints counted by place, tube, metal and filler.
struct JointList<'a> {
    method: JointMethod,
    run: &'a Tube,
    joints: Vec<Joints>,
}

impl JointList<'_> {
    fn add(
        &mut self,
        (place, metal): (JointPlace, Metal),
        tube: &Arc<Tube>,
        made: (u32, JointFill),
    ) {
        let (count, fill) = made;
        let alike = self.joints.iter_mut().find(|known| {
            known.place == place
                && known.metal == metal
                && known.tube.id == tube.id
                && known.fill.is_like(&fill)
        });
        match alike {
            Some(known) => known.count += count,
            None if count == 0 => {}
            None => self.joints.push(Joints {
                method: self.method,
                place,
                tube: Arc::clone(tube),
                metal,
                count,
                fill,
                least_lap: LeastLap::new(
                    self.method,
                    tube,
                    (place == JointPlace::Collar).then_some(self.run),
                ),
            }),
        }
    }

    /// Joints of the run with the cups of its fittings: those of copper, then those at its ends.
    fn add_cups(&mut self, manifold: &Manifold, cups: u32, fill: JointFill) {
        let run = &manifold.run.tube;
        let ends = manifold.run.ends.iter().zip(manifold.run.joins);
        let fitted: Vec<(EndKind, Metal)> = ends
            .map(|(kind, metal)| (*kind, metal))
            .filter(|(kind, _)| *kind != EndKind::Plain)
            .collect();
        // The outer cup of a coupling at an end is joined on site, not here.
        let on_site = fitted.iter().filter(|(kind, _)| *kind == EndKind::Coupling);
        let within = cups - (on_site.count() + fitted.len()) as u32;
        self.add((JointPlace::Cup, Metal::Copper), run, (within, fill));
        for (_, metal) in fitted {
            self.add((JointPlace::Cup, metal), run, (1, fill));
        }
    }
}

fn joints(
    manifold: &Manifold,
    catalogue: &Catalogue,
    branch_fillers: &[JointFill],
    fittings: &BTreeMap<Fitting, u32>,
) -> Vec<Joints> {
    let run = &manifold.run.tube;
    let (Some(method), Some(in_cup)) = (
        manifold.build.joint_method(),
        cup_filler(manifold, catalogue, run),
    ) else {
        return Vec::new();
    };
    let mut list = JointList {
        method,
        run,
        joints: Vec::new(),
    };
    let cups: u32 = fittings
        .iter()
        .map(|(fitting, count)| match fitting.kind {
            // The branch's cup is counted with its branch.
            FittingKind::Tee => (fitting.kind.cups() - 1) * count,
            _ => fitting.kind.cups() * count,
        })
        .sum();
    let formed = manifold.build == Build::FormedOutlets;
    if !formed {
        list.add_cups(manifold, cups, in_cup);
    }
    let place = if formed {
        JointPlace::Collar
    } else {
        JointPlace::Cup
    };
    for (outlet, fill) in manifold.outlets.iter().zip(branch_fillers) {
        list.add((place, Metal::Copper), &outlet.tube, (1, *fill));
    }
    if formed {
        list.add_cups(manifold, cups, in_cup);
    }
    list.joints
}

fn mass(
    manifold: &Manifold,
    catalogue: &Catalogue,
    layout: &Layout,
    fittings: &BTreeMap<Fitting, u32>,
) -> Mass {
    let run = &manifold.run.tube;
    let cup = |tube: &Tube| catalogue.cup_depth(tube);
    if manifold.build == Build::Purchased {
        let branches: Mass = manifold
            .outlets
            .iter()
            .map(|o| o.tube.linear_mass() * o.stub)
            .sum();
        return run.linear_mass() * manifold.run.length + branches;
    }
    let tube: Mass = layout
        .pieces
        .iter()
        .map(|piece| piece.tube.linear_mass() * piece.length * f64::from(piece.count))
        .sum();
    let bought: Mass = fittings
        .iter()
        .map(|(fitting, count)| {
            let branch = manifold
                .outlets
                .iter()
                .find(|outlet| Some(outlet.tube.nominal.fitting_size()) == fitting.branch)
                .map(|outlet| (outlet.tube.as_ref(), cup(&outlet.tube)));
            stand_in_mass(fitting.kind, run, cup(run), branch) * f64::from(*count)
        })
        .sum();
    tube + bought
}

fn contents(manifold: &Manifold) -> Volume {
    let branches: Volume = manifold
        .outlets
        .iter()
        .map(|outlet| outlet.tube.contents(outlet.stub))
        .sum();
    manifold.run.tube.contents(manifold.run.length) + branches
}
