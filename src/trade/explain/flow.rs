//! The rules of flow.

use super::{Example, Explanation, memory, seen, stand_in};
use crate::trade::manifold::{Design, Drive, EndKind, EndUse, Supply};
use crate::trade::quantity::{FlowCoefficient, FlowRate, Length, Temperature};
use crate::trade::service::Service;

/// Every outlet wants this much, in gpm.
fn wanting(design: &mut Design, gpm: f64) {
    for outlet in &mut design.outlets {
        outlet.flow = Some(FlowRate::gallons_per_minute(gpm));
    }
}

pub(super) fn velocity() -> Explanation {
    Explanation {
        title: "The water runs no faster than copper bears",
        text: "Fast water wears the oxide off copper, wastes head and is heard. The limit falls with temperature: cold water 8 ft/s, hot water to 140 degF 5 ft/s, above that 2 to 3 ft/s; tube of 1/2 in and less stays at the low end. Above the limit it is a caution. That is the copper tube industry's advice; a rule set may take a model residential code's note instead, 5 to 8 ft/s whatever the temperature, or whichever asks for less. A check takes the flows wanted of the outlets; the flow call takes the flows that the header really shares out. Sprinkler piping, which stands still, is not judged.",
        formula: "v = Q / (pi/4 x bore^2)",
        sources: vec![
            seen(
                "ETB-930, advice of the copper tube industry: 8 ft/s cold, 5 ft/s hot to 140 degF, 2 to 3 ft/s above",
            ),
            seen("IRC 2018, appendix P: a note on velocities of 5 to 8 ft/s"),
            memory("the low end of the band in tube of 1/2 in and less"),
        ],
        example: Example {
            told: "Each outlet wants 10 gpm.",
            change: |_, design| {
                wanting(design, 10.0);
                Some(())
            },
        },
    }
}

pub(super) fn flow_spread() -> Explanation {
    Explanation {
        title: "The outlets share the water evenly",
        text: "How a header shares its water follows from the heads along it: friction in the run, what each outlet costs the water that passes and the water that leaves, and what stands at the end of each branch. Outlets that differ by more than ten per cent of their mean want balancing. It stops where the head at hand does not carry a flow that is wanted, or where the heads could not be made to close. The flow call works it out; a check does not.",
        formula: "friction h = f L/D x v^2/2g, f by Colebrook (64/Re below 2300, a straight line to 4000); tee h = K x v^2/2g of the combined flow; spread = (greatest - least) / mean of flow over flow wanted",
        sources: vec![
            seen("Crane TP-410: loss factors of dividing and combining tees"),
            seen("roughness of drawn copper 5e-6 ft"),
            stand_in(
                "no loss figure of a formed collar is openly published; that of a tee stands in",
            ),
            memory("balanced to within ten per cent (common practice)"),
        ],
        example: Example {
            told: "It is fed at the second end with 3 ft of head, and each outlet feeds a device that passes 20 gpm at 1 psi.",
            change: |_, design| {
                for outlet in &mut design.outlets {
                    outlet.duty.end_use = Some(EndUse::Coefficient(FlowCoefficient::cv(20.0)));
                }
                design.run.ends[0].kind = EndKind::Cap;
                design.supply = Some(Supply {
                    drive: Drive::Head(Length::feet(3.0)),
                    ..Supply::of_flow(FlowRate::ZERO)
                });
                Some(())
            },
        },
    }
}

pub(super) fn area_ratio() -> Explanation {
    Explanation {
        title: "The branch bores together against the run's",
        text: "A header feeds evenly when its water runs slowly beside that of the branches. Where the branch bores together have more area than the run, the split should be worked out before it is relied on. It is a note: branches that lose much themselves share evenly all the same.",
        formula: "sum of the areas of the branch bores / area of the run's bore, at most 1",
        sources: vec![memory(
            "branches together no wider than the header (common practice)",
        )],
        example: Example {
            told: "Each outlet wants 6 gpm.",
            change: |_, design| {
                wanting(design, 6.0);
                Some(())
            },
        },
    }
}

pub(super) fn dead_leg() -> Explanation {
    Explanation {
        title: "Drinking water stands nowhere",
        text: "Water that stands grows germs. Beyond the last outlet of a drinking water header, a capped end should be as short as forming allows. Longer than two bores of the run it is a caution; the plumbing code of the place decides.",
        formula: "from the edge of the last branch's bore to the cap <= 2 x bore of the run",
        sources: vec![seen(
            "water regulations interpretation I21 (2008): a dead leg no longer than twice the diameter of the pipe",
        )],
        example: Example {
            told: "It carries cold drinking water, and the second end is capped.",
            change: |_, design| {
                design.service = Service::PotableCold;
                design.design_temperature = Temperature::fahrenheit(60.0);
                design.run.ends[1].kind = EndKind::Cap;
                Some(())
            },
        },
    }
}
