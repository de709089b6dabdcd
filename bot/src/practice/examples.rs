//! Sentences a newcomer can try, by seat: invented, and chosen to show what the service does.

use super::SeatKind;

/// A sentence and what it shows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Example {
    pub(super) label: &'static str,
    pub(super) text: &'static str,
}

const LIFTER: &[Example] = &[
    Example {
        label: "An ordinary set",
        text: "Squat 140 kg x 5 at RPE 8, I weigh 92 kg. Out of the bottom my hips shoot up first \
               and I tip forward. What should I change?",
    },
    Example {
        label: "A bench set",
        text: "Bench 100 kg, 4 reps with a pause, RPE 9. It sticks a hand's width off my chest and \
               my elbows flare. Spotter there, safeties set.",
    },
    Example {
        label: "Unit missing",
        text: "Squatted 225 for 3 today, felt like an 8. My knees cave in on the way up.",
    },
    Example {
        label: "A set with a warning sign",
        text: "Deadlift 180 kg x 3. On the second rep something popped in my lower back and now my \
               left foot is numb. Can I still do my back-off sets?",
    },
    Example {
        label: "The next set, told by the one before",
        text: "same as last time but 5 kg more, hips still shoot up",
    },
    Example {
        label: "Ask for the coach",
        text: "ask the coach",
    },
    Example {
        label: "Everything that is kept of you",
        text: "my data",
    },
    Example {
        label: "What can I write?",
        text: "help",
    },
];

const COACH: &[Example] = &[
    Example {
        label: "What waits",
        text: "queue",
    },
    Example {
        label: "One case",
        text: "show 1",
    },
    Example {
        label: "Take it",
        text: "take 1",
    },
    Example {
        label: "Answer it",
        text: "say 1 Same load next week. Film one set from the side, bar at hip height.",
    },
    Example {
        label: "Plan the session",
        text: "review sheet 20 minutes",
    },
    Example {
        label: "What has worked",
        text: "what works",
    },
];

const MEMBER: &[Example] = &[
    Example {
        label: "Open challenges",
        text: "challenges",
    },
    Example {
        label: "Answer one",
        text: "answer 1 the hips rise before the bar does: push the floor away, paused squats",
    },
    Example {
        label: "What can I write?",
        text: "help",
    },
];

/// What a seat of this kind is offered.
pub(super) const fn examples(kind: SeatKind) -> &'static [Example] {
    match kind {
        SeatKind::Lifter => LIFTER,
        SeatKind::Coach => COACH,
        SeatKind::Member => MEMBER,
    }
}
