//! Words of what is on file: meshes, and load thermocouples in parts.

use super::Prose;

pub(super) const PROSE: &[Prose] = &[
    Prose {
        check: "mesh-file-other",
        title: "Mesh file is another one now",
        sentence: "The mesh file of {part} is not the one that the part was made from.",
        why: "The load is judged by the shape as it was read. If the drawing has changed, sizes, mass \
              and clearances are those of the old one.",
        remedy: "Import the file again as a part, or put the old file back.",
    },
    Prose {
        check: "load-thermocouple-in-part",
        title: "Load thermocouple within a part",
        sentence: "The tip of load thermocouple {sensor} stands where {part} has material.",
        why: "Without a hole the tip cannot be there. Beside the part it reads the gas and the radiation \
              as well, not the part alone.",
        remedy: "Move the tip into a bore or beside the part, or set its height; for a drilled part, \
                 use the drawing with its hole.",
    },
];
