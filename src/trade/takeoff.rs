//! The material take-off: what one manifold needs bought, cut and joined.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::catalogue::Catalogue;
use super::fitting::{Fitting, FittingKind, stand_in_mass};
use super::forming::RuleSet;
use super::joint::{JointMethod, cup_filler_mass, filler_mass};
use super::layout::{Layout, Piece, stretches};
use super::manifold::{Build, EndKind, Manifold};
use super::quantity::{Length, Mass, Volume};
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
    /// How many in one manifold.
    pub count: u32,
    /// Filler of one joint, before the shop's allowance.
    pub filler_each: Mass,
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
        let joints = joints(manifold, catalogue, rules, &layout, &fittings);
        let mass = mass(manifold, catalogue, &layout, &fittings);
        Self {
            contents: contents(manifold),
            layout,
            fittings,
            joints,
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
            .map(|joints| joints.filler_each * f64::from(joints.count))
            .sum()
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
    let run = manifold.run.tube.nominal;
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
                    branch: Some(outlet.tube.nominal),
                },
                1,
            );
        }
        add(plain(FittingKind::Coupling), extra_sticks(manifold));
    }
    fittings
}

/// Couplings inside stretches between tees that are longer than a stick.
fn extra_sticks(manifold: &Manifold) -> u32 {
    stretches(manifold)
        .iter()
        .map(|stretch| ((*stretch / manifold.run.tube.stick).ceil() as u32).saturating_sub(1))
        .sum()
}

/// Joints counted by place and tube.
struct JointList<'a> {
    method: JointMethod,
    manifold: &'a Manifold,
    catalogue: &'a Catalogue,
    joints: Vec<Joints>,
}

impl JointList<'_> {
    fn add(&mut self, place: JointPlace, tube: &Arc<Tube>, count: u32, filler_each: Mass) {
        let alike = self
            .joints
            .iter_mut()
            .find(|known| known.place == place && known.tube.id == tube.id);
        match alike {
            Some(known) => known.count += count,
            None => self.joints.push(Joints {
                method: self.method,
                place,
                tube: Arc::clone(tube),
                count,
                filler_each,
            }),
        }
    }

    fn add_cups(&mut self, tube: &Arc<Tube>, count: u32) {
        if count > 0 {
            let depth = self
                .catalogue
                .cup(tube.nominal)
                .map_or(tube.od, |cup| cup.depth);
            let each = cup_filler_mass(self.method, tube.od, depth, self.manifold.filler.density.0);
            self.add(JointPlace::Cup, tube, count, each);
        }
    }
}

fn joints(
    manifold: &Manifold,
    catalogue: &Catalogue,
    rules: &RuleSet,
    layout: &Layout,
    fittings: &BTreeMap<Fitting, u32>,
) -> Vec<Joints> {
    let Some(method) = manifold.build.joint_method() else {
        return Vec::new();
    };
    let mut list = JointList {
        method,
        manifold,
        catalogue,
        joints: Vec::new(),
    };
    for (outlet, formed) in manifold.outlets.iter().zip(&layout.formed) {
        let lap = formed
            .collar
            .map_or(formed.required, |collar| collar.height);
        let each = filler_mass(
            outlet.tube.od,
            lap,
            rules.forming.gap,
            manifold.filler.density.0,
        );
        list.add(JointPlace::Collar, &outlet.tube, 1, each);
    }
    let cups: u32 = fittings
        .iter()
        .map(|(fitting, count)| match fitting.kind {
            FittingKind::Cap => *count,
            FittingKind::Tee | FittingKind::Coupling => 2 * count,
        })
        .sum();
    // The outer cup of a coupling at an end is joined on site, not here.
    let on_site = manifold
        .run
        .ends
        .iter()
        .filter(|end| **end == EndKind::Coupling)
        .count() as u32;
    list.add_cups(&manifold.run.tube, cups - on_site);
    if manifold.build != Build::FormedOutlets {
        for outlet in &manifold.outlets {
            list.add_cups(&outlet.tube, 1);
        }
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
    let cup = |tube: &Tube| catalogue.cup(tube.nominal).map_or(tube.od, |cup| cup.depth);
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
                .find(|outlet| Some(outlet.tube.nominal) == fitting.branch)
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
