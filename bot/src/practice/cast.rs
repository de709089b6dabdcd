//! The practice room's invented people and rooms; the demo plays with them too.

use super::{Room, Seat, SeatKind};

/// `CloudEvents` source of the practice platform.
pub const SOURCE: &str = "/chat/practice";

/// Room of the lifters.
const LIFTERS: &str = "lifters";
/// Room of the coach.
const COACHES: &str = "coaches";
/// Room that challenges are posted in.
pub const CHALLENGES: &str = "challenges";

/// The seats; all names are invented.
pub fn seats() -> Vec<Seat> {
    let lifters = [
        ("mara", "Mara"),
        ("tobi", "Tobi"),
        ("ruth", "Ruth"),
        ("kemi", "Kemi"),
        ("ole", "Ole"),
        ("nadia", "Nadia"),
        ("bram", "Bram"),
        ("suri", "Suri"),
        ("pia", "Pia"),
        ("joel", "Joel"),
        ("lena", "Lena"),
        ("otto", "Otto"),
    ];
    let mut seats: Vec<Seat> = lifters
        .into_iter()
        .map(|(id, name)| seat(id, name, "lifter", SeatKind::Lifter, LIFTERS))
        .collect();
    seats.push(seat(
        "wren",
        "Coach Wren",
        "coach",
        SeatKind::Coach,
        COACHES,
    ));
    seats.push(seat("ida", "Ida", "member", SeatKind::Member, LIFTERS));
    seats
}

/// One seat.
fn seat(id: &str, name: &str, role: &str, kind: SeatKind, room: &str) -> Seat {
    Seat {
        id: id.to_owned(),
        name: name.to_owned(),
        role_label: role.to_owned(),
        kind,
        room: room.to_owned(),
    }
}

/// The public rooms.
pub fn rooms() -> Vec<Room> {
    [
        (LIFTERS, "Lifters' room"),
        (CHALLENGES, "Room for challenges"),
        (COACHES, "Coach's room"),
    ]
    .map(|(id, label)| Room {
        id: id.to_owned(),
        label: label.to_owned(),
    })
    .to_vec()
}
