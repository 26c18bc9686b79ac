//! Words of the checks that only a regulated shop has.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "certificate-missing",
        title: "Lot without a certificate",
        sentence: "No certificate of the feedstock is on record for lot {lot}.",
        why: "Without it nobody can show what the parts were made of.",
        remedy: "Enter the certificate's number with the lot.",
    },
    Prose {
        check: "signature-missing",
        title: "Signature missing",
        sentence: "For the role {role} {how}.",
        why: "The shop lets nothing run that the people named for it have not signed.",
        remedy: "Have it signed by somebody with that role, each role by another person.",
    },
    Prose {
        check: "operator-not-qualified",
        title: "Qualification not in force",
        sentence: "{name}: {how}.",
        why: "A run signed by somebody without a qualification in force does not count.",
        remedy: "Renew it and enter the day, or let somebody else run it.",
    },
];
