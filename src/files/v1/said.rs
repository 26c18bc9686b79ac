//! What people said of a load: declarations, acceptances, signatures.

use super::{day, some_time};
use crate::files::fault::Fault;
use crate::load as work;
use serde::{Deserialize, Serialize};

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Declaration {
    question: String,
    answer: String,
    by: String,
    on: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    about: Option<String>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Acceptance {
    check: String,
    subjects: Vec<String>,
    /// All that was written at first. It does not tell one limit from another, so what hangs on it
    /// lapses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    limit_revision: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    limit: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    value: Option<String>,
    by: String,
    reason: String,
    on: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    role: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    procedure: Option<Procedure>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Procedure {
    name: String,
    revision: String,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Signature {
    role: String,
    by: String,
    on: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<String>,
}

impl From<&work::Declaration> for Declaration {
    fn from(declaration: &work::Declaration) -> Declaration {
        let work::Declaration {
            question,
            answer,
            by,
            on,
            at,
            about,
        } = declaration.clone();
        Declaration {
            question,
            answer,
            by,
            on,
            at,
            about,
        }
    }
}

impl Declaration {
    pub(super) fn into_work(self, place: &str) -> Result<work::Declaration, Fault> {
        let Declaration {
            question,
            answer,
            by,
            on,
            at,
            about,
        } = self;
        day(place, "on", &on)?;
        some_time(place, "at", &at)?;
        Ok(work::Declaration {
            question,
            answer,
            by,
            on,
            at,
            about,
        })
    }
}

impl From<&work::Acceptance> for Acceptance {
    fn from(acceptance: &work::Acceptance) -> Acceptance {
        let work::Acceptance {
            check,
            subjects,
            limit,
            value,
            by,
            reason,
            on,
            role,
            procedure,
        } = acceptance.clone();
        let limit_revision = limit.as_ref().and_then(|limit| limit.parse().ok());
        Acceptance {
            check,
            subjects,
            limit_revision,
            limit: limit.filter(|_| limit_revision.is_none()),
            value,
            by,
            reason,
            on,
            role,
            procedure: procedure
                .map(|work::ProcedureRef { name, revision }| Procedure { name, revision }),
        }
    }
}

impl Acceptance {
    pub(super) fn into_work(self, place: &str) -> Result<work::Acceptance, Fault> {
        let Acceptance {
            check,
            subjects,
            limit_revision,
            limit,
            value,
            by,
            reason,
            on,
            role,
            procedure,
        } = self;
        day(place, "on", &on)?;
        Ok(work::Acceptance {
            check,
            subjects,
            limit: limit.or_else(|| limit_revision.map(|n| n.to_string())),
            value,
            by,
            reason,
            on,
            role,
            procedure: procedure
                .map(|Procedure { name, revision }| work::ProcedureRef { name, revision }),
        })
    }
}

impl From<&work::Signature> for Signature {
    fn from(signature: &work::Signature) -> Signature {
        let work::Signature { role, by, on, at } = signature.clone();
        Signature { role, by, on, at }
    }
}

impl Signature {
    pub(super) fn into_work(self, place: &str) -> Result<work::Signature, Fault> {
        let Signature { role, by, on, at } = self;
        day(place, "on", &on)?;
        some_time(place, "at", &at)?;
        Ok(work::Signature { role, by, on, at })
    }
}
