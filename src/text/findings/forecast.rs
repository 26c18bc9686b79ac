//! Words of the checks that need a forecast.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "dryer-air-short",
        title: "Too little air in the dryer",
        sentence: "The solvent in the lots needs {limit} of air to stay under a quarter of its \
                 flammable limit; the dryer moves {value}.",
        why: "Solvent vapour above that burns at the first spark.",
        remedy: "Dry fewer parts at once, or with more air; follow the dryer's written \
                 procedure.",
    },
    Prose {
        check: "pores-not-open",
        title: "Pores not open in time",
        sentence: "{subject}: {value} of the volume is open pores when the backbone leaves \
                 fastest; {limit} is wanted.",
        why: "Gas that finds no way out lifts the surface.",
        remedy: "Slow the ramp before it, or take more out in the first step.",
    },
    Prose {
        check: "core-pressure-high",
        title: "Pressure in the core",
        sentence: "{subject}: {value} in the core as the backbone leaves; {limit} is taken for \
                 what it bears.",
        why: "The green part cracks or bloats from inside.",
        remedy: "Slow the ramp where the backbone leaves.",
    },
    Prose {
        check: "debind-hold-short",
        title: "Debind hold short at the coldest spot",
        sentence: "At the coldest spot {value} of the backbone is out at the end of the hold; \
                 {limit} is wanted.",
        why: "What is left turns to carbon higher up.",
        remedy: "Lengthen the hold.",
    },
    Prose {
        check: "offgas-over-sweep",
        title: "Off-gas over the sweep",
        sentence: "The off-gas reaches {value} of the sweep flow; up to {limit} is usual.",
        why: "Vapour that is not carried away condenses on cold spots.",
        remedy: "Slow the ramp or raise the sweep.",
    },
    Prose {
        check: "pump-floor-with-vapour",
        title: "Pump cannot hold the pressure",
        sentence: "With the vapour of the binder the pump holds {value}; {limit} is set.",
        why: "The pressure rises where the controller cannot see why.",
        remedy: "Set a higher pressure there, or slow the ramp.",
    },
    Prose {
        check: "trap-catch-predicted",
        title: "Trap fills by the forecast",
        sentence: "After the run the trap holds {value} of its capacity; {limit} is allowed.",
        why: "A full trap plugs and passes vapour to the pump.",
        remedy: "Empty it first.",
    },
    Prose {
        check: "coldest-spot-not-in-band",
        title: "Hold shorter than the load's lag",
        sentence: "The coldest spot is in the band for {value} of the hold; {limit} is wanted.",
        why: "Part of the load gets less than the program says.",
        remedy: "Lengthen the hold, or wait on load thermocouples.",
    },
    Prose {
        check: "band-never-reached",
        title: "A wait that never ends",
        sentence: "Segment {segment}: what it waits for never comes into the band; {value} \
                 away, {limit} allowed.",
        why: "The program stands until its timeout.",
        remedy: "Widen the band or raise the target.",
    },
    Prose {
        check: "wait-too-long",
        title: "Long wait",
        sentence: "Segment {segment} waits {value}; its timeout is {limit}.",
        why: "The run takes longer than planned, and an alarm comes in between.",
        remedy: "Slow the ramp before it, or lengthen the timeout.",
    },
    Prose {
        check: "ramp-beyond-power",
        title: "Ramp beyond the furnace's power",
        sentence: "Segment {segment} asks for {limit}; with this load the furnace follows \
                 {value}.",
        why: "The program runs ahead of the furnace.",
        remedy: "Slow the ramp, or load less.",
    },
    Prose {
        check: "sinter-hold-short-at-coldest",
        title: "Sinter hold short at the coldest spot",
        sentence: "The coldest spot is {value} in the sinter range; {limit} is wanted.",
        why: "It stays less dense than the rest.",
        remedy: "Lengthen the hold.",
    },
    Prose {
        check: "hot-spot-over-range",
        title: "Hottest spot over the sinter range",
        sentence: "The hottest spot reaches {value}; the sinter range ends at {limit}.",
        why: "Parts there slump or grow coarse.",
        remedy: "Lower the peak, or leave that place empty.",
    },
    Prose {
        check: "density-low",
        title: "Density low",
        sentence: "{subject} comes to {value} of full density at the coldest spot; {limit} is \
                 wanted.",
        why: "It fails where it is weakest.",
        remedy: "Raise the peak or lengthen the hold.",
    },
    Prose {
        check: "density-uncertain",
        title: "Density uncertain",
        sentence: "{subject}: the predicted density is known to {value}; {limit} is wanted.",
        why: "A margin smaller than that says nothing.",
        remedy: "Measure densities of this feedstock and enter them.",
    },
    Prose {
        check: "size-outside-tolerance",
        title: "Size outside its tolerance",
        sentence: "{subject}: {value} off by the forecast; {limit} is allowed.",
        why: "The part is scrap or has to be machined.",
        remedy: "Change its place, the peak or the oversize factor.",
    },
    Prose {
        check: "spot-size-error",
        title: "Size differs by the place",
        sentence: "{subject}: between its hottest and its coldest place {value}; {limit} is \
                 allowed.",
        why: "Parts of one lot come out of two sizes.",
        remedy: "Move it to the middle.",
    },
    Prose {
        check: "plate-creep-bow",
        title: "Plate bows by creep",
        sentence: "{subject} sinks by {value} in this run; {limit} is allowed.",
        why: "Parts on it take on its shape.",
        remedy: "Support it nearer to the middle, or turn it over.",
    },
    Prose {
        check: "plate-may-crack",
        title: "Plate may crack",
        sentence: "{subject}: {value} from edge to centre as it heats or cools; {limit} is \
                 taken for what it bears.",
        why: "A cracked plate drops what stands on it.",
        remedy: "Slow that ramp.",
    },
    Prose {
        check: "reduction-gas-limited",
        title: "Too little gas to reduce",
        sentence: "The gas of the reduction hold carries off {value} of the oxide; {limit} is \
                 wanted.",
        why: "Oxide that stays keeps pores open and carbon in.",
        remedy: "Raise the flow or lengthen the hold.",
    },
    Prose {
        check: "furnace-dew-point",
        title: "Dew point in the furnace",
        sentence: "At the hottest hold the dew point comes to {value}; {limit} is allowed.",
        why: "The alloy oxidises instead of being reduced.",
        remedy: "Raise the flow of dry gas.",
    },
    Prose {
        check: "evaporation-loss",
        title: "Metal evaporates",
        sentence: "{subject} may lose {value} at the peak; {limit} is allowed.",
        why: "The surface is left poor in what protects it.",
        remedy: "Raise the pressure at the peak.",
    },
    Prose {
        check: "carbon-near-range",
        title: "Carbon near the end of its range",
        sentence: "{subject}: {value} of carbon by the forecast, nearer to the end of its range \
                 at {limit} than the forecast is sure.",
        why: "Carbon out of range fails the alloy.",
        remedy: "Measure a coupon; change the debind gas or hold.",
    },
    Prose {
        check: "nitrogen-taken-up",
        title: "Nitrogen taken up",
        sentence: "{subject}: {value} in nitrogen while it takes it up; {limit} is allowed.",
        why: "Nitrides cost corrosion resistance and toughness.",
        remedy: "Cool in argon or hydrogen, or faster.",
    },
    Prose {
        check: "load-hot-at-unload",
        title: "Load hot at unload",
        sentence: "The hottest part is at {value} when the door opens; {limit} is allowed.",
        why: "The chamber reads less than the parts hold.",
        remedy: "Cool longer, and measure before you open; follow the furnace's written \
                 procedure.",
    },
    Prose {
        check: "run-longer-than-planned",
        title: "Run longer than the program",
        sentence: "The run takes {value}; the program adds up to {limit}.",
        why: "Waits and free cooling are not in the program's sum.",
        remedy: "Plan the start by the longer time.",
    },
];
