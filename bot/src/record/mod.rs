//! The shapes that casework decides on and the store keeps: plain data, no behaviour beyond
//! what reads a field. Everything here serialises, so a kept row can be read back years later.

mod case;
mod challenge;
mod desk;
mod effects;
mod event;
mod file;
mod outgoing;
mod person;
mod privacy;
mod session;
mod sheet;
mod strike;
mod verdict;

pub use case::{
    Case, CaseBody, CaseState, Entry, EntryKind, FollowUp, FollowUpKind, Given, OpenQuestion, Part,
    QueueItem, Reason, Round, Urgency,
};
pub use challenge::{
    AnswerState, Challenge, ChallengeAnswer, ChallengeBody, ChallengeChange, ChallengeState,
    SeasonSum,
};
pub use desk::{CaseFile, DeadLetter, QueueLine};
pub use effects::{Effects, FollowUpChange, MessageMark, QueueChange, Withdraw};
pub use event::{Actor, ActorKind, Attachment, Event, EventKey, FieldValue, LeaveReason, Payload};
pub use file::{KeptFile, MOST_PIXELS, Unkept};
pub use outgoing::{ChoiceButton, ChoiceStyle, Drawing, Outgoing, Picture, Purpose, Recipient};
pub use person::{Lifter, PersonKey, Profile, Spell};
pub use privacy::{
    ConsentEntry, ConsentHow, ConsentStep, DataLink, Dossier, Erasure, GuardianConsent,
    HealthConsent, Keep, TooOld, Wipe, hex,
};
pub use session::{Access, CaseLine, Outcome, QueueCount, Session, SignInLink};
pub use sheet::{Sheet, SheetCard, SheetDrawn, SheetLine};
pub use strike::{Strike, StrikeState, StrikeStep};
pub use verdict::CoachVerdict;
